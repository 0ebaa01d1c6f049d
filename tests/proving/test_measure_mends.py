"""Which measures to change so that a design closes: closed forms, and each change made and proved.

The closed form of a loop of parallel folds that all lie shut: going round it, the
places of the folds count in turn with plus and minus on either side, and the loop
closes where the two sums are equal.  If they differ by d the gap is 2 d, and any one
place mends it by d.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import parse_design
from foldwright.folding import Verdict
from foldwright.measures import Ruler
from foldwright.problems import DesignError
from foldwright.proving import How, MeasureMend, Proof, prove_design


def prove_text(
    text: str,
    *,
    variant: str | None = None,
    ruler: Ruler | None = None,
    overrides: Mapping[str, str] | None = None,
) -> Proof:
    design = parse_design(f'format = 1\nname = "test card"\n{text}')
    return prove_design(design, variant=variant, ruler=ruler, overrides=overrides or {})


def step_card(measures: str, walk: Sequence[str], units: str = "mm", more: str = "") -> str:
    """A step card: a band beside a slit from 40 up, and the gutter of the plain strip."""
    top = " + ".join(("bottom", *walk))
    texts = ", ".join(f'"{step}"' for step in walk)
    return f"""
units = "{units}"
[measures]
bottom = {{ is = "40 mm", keep = true }}
{measures}
[[piece]]
name = "base"
outline = {{ rectangle = ["148 mm", "260 mm"] }}
[[piece.slit]]
points = [["50 mm", "bottom"], ["50 mm", "{top}"]]
[[piece.band]]
name = "steps"
from = ["50 mm", "{top}"]
to = ["148 mm", "{top}"]
walk = [{texts}]
first = "valley"
[[piece.fold]]
name = "gutter"
sense = "valley"
points = [[0, "gutter"], ["50 mm", "gutter"]]
{more}
"""


def changes(mend: MeasureMend) -> dict[str, object]:
    return {change.measure: change.to_mm for change in mend.changes}


def told(proof: Proof) -> list[dict[str, object]]:
    return [changes(mend) for mend in proof.measure_mends]


def rules(proof: Proof) -> list[str]:
    return [finding.rule for finding in proof.findings]


def made(text: str, mend: MeasureMend) -> Proof:
    """The design proved anew with a mend as its measures."""
    overrides = {change.measure: f"{change.to_mm} mm" for change in mend.changes}
    return prove_text(text, overrides=overrides)


def test_one_step() -> None:
    # Folds at 40 + t + r, 40 + r and 40: their alternating sum is 40 + t, and the
    # gutter must lie there; the riser is not in it.
    text = step_card("tread = 30\nriser = 35\ngutter = 73", ["tread", "riser"])
    proof = prove_text(text)
    assert proof.gap_mm == 6
    assert told(proof) == [{"tread": 33}, {"gutter": 70}]
    for mend in proof.measure_mends:
        assert (mend.how, mend.gap_after_mm) == (How.EXACT, 0)
        assert [change.steps for change in mend.changes] == [3]
        assert [change.on_ruler for change in mend.changes] == ["1 mm"]
        after = made(text, mend)
        assert (after.verdict, after.gap_mm) == (Verdict.CLOSES, 0)


def test_two_steps() -> None:
    text = step_card(
        "tread_1 = 30\nriser_1 = 35\ntread_2 = 30\nriser_2 = 37\ngutter = 98",
        ["tread_1", "riser_1", "tread_2", "riser_2"],
    )
    proof = prove_text(text)
    # The sum is 40 + 30 + 30 = 100: of tread, tread and gutter any one by 2.
    assert proof.gap_mm == 4
    assert told(proof) == [{"tread_1": 28}, {"tread_2": 28}, {"gutter": 100}]


def test_the_fewest_steps_come_first() -> None:
    # The tread counts twice: half the way is enough.
    text = step_card("tread = 30\nriser = 35\ngutter = 106", ["tread", "riser"] * 2)
    proof = prove_text(text)
    assert told(proof) == [{"tread": 33}, {"gutter": 100}]
    assert [mend.changes[0].steps for mend in proof.measure_mends] == [3, 6]


def test_the_best_mend_is_that_of_the_finding() -> None:
    text = step_card("tread = 30\nriser = 35\ngutter = 106", ["tread", "riser"] * 2)
    (stop,) = (f for f in prove_text(text).findings if f.rule in ("buckles", "gapes"))
    assert stop.mend == "change tread from 30 mm to 33 mm"


def alternating(places: Sequence[int]) -> int:
    return sum(place if index % 2 == 0 else -place for index, place in enumerate(places))


def across(upper: Sequence[int], lower: Sequence[int], more: str = "") -> str:
    """Folds above and below a slit, each at a measure of its own: accordions, gates.

    Both sides have an odd number or both an even number of folds.
    """
    names = [
        *((f"up_{n + 1}", place, 100) for n, place in enumerate(upper)),
        *((f"low_{n + 1}", place, 0) for n, place in enumerate(lower)),
    ]
    measures = "\n".join(f"{name} = {place}" for name, place, _ in names)
    folds = "\n".join(
        f'[[piece.fold]]\nname = "{name}"\nsense = "{"valley" if n % 2 else "mountain"}"\n'
        f'points = [["{name}", 50], ["{name}", {end}]]'
        for n, (name, _, end) in enumerate(names)
    )
    # The slit ends on the outermost folds, wherever they are.
    return f"""
units = "mm"
[measures]
{measures}
[[piece]]
name = "base"
outline = {{ rectangle = [300, 100] }}
[[piece.slit]]
points = [["min(up_1, low_1)", 50], ["max(up_{len(upper)}, low_{len(lower)})", 50]]
{folds}
{more}
"""


def test_a_gate() -> None:
    # Two folds above the slit and two below, all shut: both gates are as wide.
    text = across([60, 160], [60, 157])
    proof = prove_text(text)
    assert proof.gap_mm == 6
    assert told(proof) == [{"up_1": 63}, {"up_2": 157}, {"low_1": 57}, {"low_2": 160}]


def test_an_accordion() -> None:
    # Four folds above against two below: 60 - 90 + 130 - 200 is -100.
    text = across([60, 90, 130, 200], [60, 164])
    proof = prove_text(text)
    assert proof.gap_mm == 8
    assert told(proof) == [
        {"up_1": 56},
        {"up_2": 94},
        {"up_3": 126},
        {"up_4": 204},
        {"low_1": 64},
        {"low_2": 160},
    ]
    # Without a slit an accordion has no loop, so there is nothing to mend.
    plain = text[: text.index("[[piece.slit]]")] + (
        '[[piece.fold]]\nsense = "valley"\npoints = [["up_1", 0], ["up_1", 100]]\n'
        '[[piece.fold]]\nsense = "mountain"\npoints = [["up_2", 0], ["up_2", 100]]\n'
    )
    assert prove_text(plain).verdict is Verdict.CLOSES
    assert prove_text(plain).measure_mends == ()


PLACES = st.lists(st.integers(10, 45), min_size=2, max_size=4, unique=True).map(
    lambda found: [5 * place for place in sorted(found)]
)


@settings(max_examples=12)
@given(PLACES, PLACES, st.integers(-4, 4))
def test_any_place_mends_by_the_difference_of_the_sums(
    upper: list[int], lower: list[int], shift: int
) -> None:
    if len(upper) % 2 != len(lower) % 2:
        lower = lower[:-1] if len(lower) > 2 else [*lower, lower[-1] + 10]
    lower = [*lower[:-1], lower[-1] + shift]
    difference = alternating(upper) - alternating(lower)
    text = across(upper, lower)
    proof = prove_text(text)
    assert proof.gap_mm == 2 * abs(difference)
    if difference == 0:
        assert proof.measure_mends == ()
        return
    expected = []
    for name, side, sign in (("up", upper, -1), ("low", lower, 1)):
        for n, place in enumerate(side):
            new = [*side[:n], place + sign * difference * (1 if n % 2 == 0 else -1), *side[n + 1 :]]
            # A fold stays between its neighbours, and on the paper.
            ordered = all(a < b for a, b in pairwise([0, *new, 300]))
            if ordered and abs(difference) <= 64:
                expected.append({f"{name}_{n + 1}": Fraction(new[n])})
    if expected:
        assert told(proof) == expected
    for mend in proof.measure_mends:
        after = made(text, mend)
        assert (after.verdict, after.gap_mm) == (Verdict.CLOSES, 0)
        assert all(f.rule != "no-measure-mends" for f in proof.findings)


@settings(max_examples=20)
@given(
    st.lists(st.integers(40, 120), min_size=3, max_size=3),
    st.integers(1, 30).filter(lambda off: off % 4),
    st.sampled_from([None, Ruler.HALF_MM, Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN]),
)
def test_a_mend_always_closes(quarters: list[int], off: int, ruler: Ruler | None) -> None:
    treads = "\n".join(f"tread_{n} = {quarter / 4}" for n, quarter in enumerate(quarters))
    walk = [step for n in range(3) for step in (f"tread_{n}", "riser")]
    text = step_card(f"{treads}\nriser = 20\ngutter = {40 + sum(quarters) / 4 + off / 4}", walk)
    proof = prove_text(text, ruler=ruler)
    assert proof.gap_mm == off / 2
    ranks = []
    for mend in proof.measure_mends:
        after = made(text, mend)
        assert (after.verdict, after.gap_mm) == (Verdict.CLOSES, 0)
        assert after.proven
        ranks.append((len(mend.changes), sum(change.steps for change in mend.changes)))
        if ruler is not None:
            for change in mend.changes:
                assert (change.to_mm / ruler.step).denominator == 1
    assert ranks == sorted(ranks)


def test_a_measure_to_keep_stays() -> None:
    text = step_card(
        "tread = { is = 30, keep = true }\nriser = 35\ngutter = 73", ["tread", "riser"]
    )
    assert told(prove_text(text)) == [{"gutter": 70}]


def test_limits_hold() -> None:
    for limit, expected in (
        ("most = 33", [{"tread": 33}, {"gutter": 70}]),
        ("most = 32", [{"gutter": 70}]),
        # A limit that follows from another measure holds as well.
        ('most = "riser - 3"', [{"gutter": 70}]),
        ('most = "riser - 2"', [{"tread": 33}, {"gutter": 70}]),
    ):
        measures = f"tread = {{ is = 30, {limit} }}\nriser = 35\ngutter = 73"
        text = step_card(measures, ["tread", "riser"])
        assert told(prove_text(text)) == expected, limit


def test_a_step_holds_as_well() -> None:
    for step, expected in ((3, [{"tread": 33}, {"gutter": 70}]), (2, [{"gutter": 70}])):
        measures = f"tread = {{ is = 30, step = {step} }}\nriser = 35\ngutter = 73"
        assert told(prove_text(step_card(measures, ["tread", "riser"]))) == expected


def test_what_is_reckoned_is_not_changed_but_follows() -> None:
    # The gutter follows the tread, so that only what it is off by is left.
    text = step_card(
        'off = 3\ntread = 30\nriser = 35\ngutter = "bottom + tread + off"', ["tread", "riser"]
    )
    assert told(prove_text(text)) == [{"off": 0}]


def test_the_coarsest_ruler_that_has_a_mend() -> None:
    for off, ruler, place in ((3, "1 mm", 70), (3.5, "1 mm", 70)):
        text = step_card(f"tread = 30\nriser = 35\ngutter = {70 + off}", ["tread", "riser"])
        (*_, last) = prove_text(text).measure_mends
        assert changes(last) == {"gutter": place}
        assert last.changes[0].on_ruler == ruler
    text = step_card('tread = "30.5 mm"\nriser = 35\ngutter = "riser * 2"', ["tread", "riser"])
    assert told(prove_text(text)) == [{"tread": 30}]
    # 73.5 = 40 + 33.5, which no 1 mm ruler has.
    text = step_card(
        'tread = 30\nriser = { is = "36.75 mm", keep = true }\ngutter = "riser * 2"',
        ["tread", "riser"],
    )
    (mend,) = prove_text(text).measure_mends
    assert (changes(mend), mend.changes[0].on_ruler) == ({"tread": Fraction(67, 2)}, "0.5 mm")


def test_inch_designs_have_inch_rulers() -> None:
    measures = 'bottom_in = "40 mm"\ntread = "1 1/8"\nriser = 1\ngutter = "bottom + 1 3/16 in"'
    text = step_card(measures, ["tread", "riser"], units="in")
    (mend,) = prove_text(text).measure_mends
    assert changes(mend) == {"tread": Fraction(254, 10) * Fraction(19, 16)}
    assert [(c.on_ruler, int(c.steps)) for c in mend.changes] == [("1/16 in", 1)]
    (stop,) = (f for f in prove_text(text).findings if f.rule in ("buckles", "gapes"))
    assert stop.mend == "change tread from 1 1/8 in to 1 3/16 in"


def test_a_chosen_ruler_is_the_only_one() -> None:
    text = step_card("tread = 30\nriser = 35\ngutter = 73", ["tread", "riser"])
    assert prove_text(text, ruler=Ruler.HALF_MM).measure_mends != ()
    proof = prove_text(text, ruler=Ruler.EIGHTH_IN)
    # 40 mm and a tread on an inch ruler never make a gutter on one.
    assert proof.measure_mends == ()
    (note,) = (f for f in proof.findings if f.rule == "no-measure-mends")
    assert '"tread", "riser", "gutter"' in note.message
    assert "3 measures at most, each by 64 steps of 1/8 in at most" in note.message


def test_two_measures_where_one_will_not_do() -> None:
    # Both treads in steps of 5 from 30, the gutter must stay: 3 is 8 - 5 with the other.
    text = step_card(
        "tread_1 = { is = 32, step = 8 }\nriser = 35\ntread_2 = { is = 30, step = 5 }\n"
        "gutter = { is = 105, keep = true }",
        ["tread_1", "riser", "tread_2", "riser"],
    )
    proof = prove_text(text)
    first = proof.measure_mends[0]
    assert changes(first) == {"tread_1": 40, "tread_2": 25}
    assert len(first.changes) == 2
    assert made(text, first).gap_mm == 0
    (stop,) = (f for f in proof.findings if f.rule in ("buckles", "gapes"))
    assert stop.mend == "change tread_1 from 32 mm to 40 mm and tread_2 from 30 mm to 25 mm"


def test_a_mend_closes_every_loop() -> None:
    # A strip on either side of the steps, each with a gutter of its own.
    more = """
[[piece.slit]]
points = [["98 mm", "bottom"], ["98 mm", "bottom + tread + riser"]]
[[piece.fold]]
name = "right gutter"
sense = "valley"
points = [["98 mm", "right"], ["148 mm", "right"]]
"""
    for right, expected in (
        # Both miss by 3: of one measure only the tread mends both.
        (73, [{"tread": 33}]),
        # One misses: its gutter alone, for the tread would open the other one.
        (70, [{"gutter": 70}]),
        # They miss by 3 and by 1: any two of the three, by 3, 4 and 5 steps.
        (
            71,
            [
                {"tread": 31, "gutter": 71},
                {"gutter": 70, "right": 70},
                {"tread": 33, "right": 73},
            ],
        ),
    ):
        measures = f"tread = 30\nriser = 35\ngutter = 73\nright = {right}"
        text = step_card(measures, ["tread", "riser"], more=more)
        proof = prove_text(text.replace('to = ["148 mm"', 'to = ["98 mm"'))
        assert len(proof.pieces[0].closings) == 2
        assert told(proof) == expected


def test_folds_at_right_angles_are_searched() -> None:
    # Standing at right angles the treads must be as deep as the slit runs below the
    # gutter, and the risers as high as it runs above: the tread is off by 2 mm.
    text = step_card(
        'tread = 32\nriser = 35\ngutter = { is = "70 mm", keep = true }', ["tread", "riser"]
    )
    text = text.replace('first = "valley"', 'first = "valley"\nangle = 90')
    text = text.replace('sense = "valley"\npoints', 'sense = "valley"\nangle = 90\npoints')
    proof = prove_text(text)
    assert proof.verdict is not Verdict.CLOSES
    (mend,) = proof.measure_mends
    assert (changes(mend), mend.how) == ({"tread": 30}, How.SEARCHED)
    assert mend.gap_after_mm <= 1e-3
    assert made(text, mend).verdict is Verdict.CLOSES


def test_a_vertex_is_searched() -> None:
    # Kawasaki: with a straight fold across, the other two mirror each other.
    text = """
units = "mm"
[measures]
up = 70
low = 76
[[piece]]
name = "base"
outline = { rectangle = [100, 100] }
[[piece.fold]]
sense = "valley"
points = [[0, 50], [50, 50]]
[[piece.fold]]
sense = "valley"
points = [[50, 50], [100, 50]]
[[piece.fold]]
sense = "valley"
points = [[50, 50], ["up", 100]]
[[piece.fold]]
sense = "mountain"
points = [[50, 50], ["low", 0]]
"""
    proof = prove_text(text)
    assert "kawasaki" in rules(proof)
    assert told(proof) == [{"up": 76}, {"low": 70}]
    assert {mend.how for mend in proof.measure_mends} == {How.SEARCHED}
    assert made(text, proof.measure_mends[0]).verdict is Verdict.CLOSES
    (stop,) = (f for f in proof.findings if f.rule == "kawasaki")
    assert stop.mend == "change up from 70 mm to 76 mm"


def test_a_loop_over_two_pieces() -> None:
    # A ridge glued on either page: closed, its feet and the glue lines are as far from
    # their folds, so that near - far is left - right.
    lines = {"left": "50 - left", "right": "50 + right", "near": "50 - near", "far": "50 + far"}
    joints = "\n".join(
        f"""[[joint]]
glue = {{ panel = "pop/{foot}", face = "back", line = [[0, "{lines[a]}"], [40, "{lines[a]}"]] }}
to = {{ panel = "base/{page}", face = "front", line = [[30, "{lines[b]}"], [70, "{lines[b]}"]] }}
"""
        for foot, a, page, b in (
            ("foot", "left", "lower", "near"),
            ("head", "right", "upper", "far"),
        )
    )
    text = f"""
units = "mm"
[measures]
near = 20
far = 23
left = 30
right = 30
[[piece]]
name = "base"
outline = {{ rectangle = [100, 100] }}
panel = [{{ name = "lower", at = [50, 5] }}, {{ name = "upper", at = [50, 95] }}]
fold = [{{ sense = "valley", points = [[0, 50], [100, 50]] }}]
[[piece]]
name = "pop"
outline = {{ rectangle = [40, 100] }}
panel = [{{ name = "foot", at = [20, 5] }}, {{ name = "head", at = [20, 95] }}]
fold = [{{ sense = "mountain", points = [[0, 50], [40, 50]] }}]
{joints}
"""
    proof = prove_text(text)
    assert proof.gap_mm == 3
    assert told(proof) == [{"near": 23}, {"far": 20}, {"left": 27}, {"right": 33}]
    for mend in proof.measure_mends:
        assert made(text, mend).gap_mm == 0


def test_measures_at_their_limits() -> None:
    # Neither may grow, and together they may not shrink: both can still be changed.
    measures = (
        'tread = { is = 30, most = 30 }\nriser = { is = 35, most = 35, least = "65 mm - tread" }\n'
        "gutter = { is = 67, keep = true }"
    )
    assert told(prove_text(step_card(measures, ["tread", "riser"]))) == []
    measures = measures.replace('least = "65 mm - tread"', 'least = "62 mm - tread"')
    proof = prove_text(step_card(measures, ["tread", "riser"]))
    assert told(proof) == [{"tread": 27}]
    assert proof.measure_mends[0].how is How.EXACT


def test_a_variant_is_mended_in_its_own_measures() -> None:
    variant = '[variant.inch]\nunits = "in"\nmeasures = { tread = "1 1/8", gutter = "3 1/8" }\n'
    text = step_card("tread = 30\nriser = 35\ngutter = 70", ["tread", "riser"], more=variant)
    assert prove_text(text).measure_mends == ()
    proof = prove_text(text, variant="inch")
    # 40 mm and 1 1/8 in never meet on an inch ruler, but a metric bottom is kept.
    assert proof.verdict is not Verdict.CLOSES
    assert "no-measure-mends" in rules(proof)
    variant = variant.replace('"3 1/8"', '"40 mm + 1 1/4 in"')
    text = step_card("tread = 30\nriser = 35\ngutter = 70", ["tread", "riser"], more=variant)
    (mend,) = prove_text(text, variant="inch").measure_mends
    assert changes(mend) == {"tread": Fraction(254, 10) * Fraction(5, 4)}


def test_what_is_set_for_a_run_may_be_changed() -> None:
    text = step_card('tread = 30\nriser = 35\ngutter = "bottom + tread"', ["tread", "riser"])
    assert told(prove_text(text, overrides={"gutter": "72"})) == [{"tread": 32}, {"gutter": 70}]
    # What is set to an expression follows, and is not changed.
    assert told(prove_text(text, overrides={"gutter": "70 + 2"})) == [{"tread": 32}]


def test_no_literal_measure_is_told() -> None:
    text = step_card("", ["30 mm", "35 mm"])
    text = text.replace('[[0, "gutter"], ["50 mm", "gutter"]]', "[[0, 73], [50, 73]]")
    proof = prove_text(text)
    assert proof.measure_mends == ()
    assert "no-measure-to-change" in rules(proof)
    # The lines can still be moved.
    assert proof.mends


def test_measures_without_any_choice_are_told() -> None:
    text = step_card(
        "tread = { is = 30, least = 30, most = 30 }\nriser = { is = 35, keep = true }\n"
        "gutter = { is = 73, keep = true }",
        ["tread", "riser"],
    )
    proof = prove_text(text)
    (note,) = (f for f in proof.findings if f.rule == "measures-are-tied")
    assert '"tread"' in note.message


def test_limits_that_contradict_are_an_error() -> None:
    measures = "tread = { is = 30, least = 40, most = 20 }\nriser = 35\ngutter = 73"
    with pytest.raises(DesignError) as error:
        prove_text(step_card(measures, ["tread", "riser"]))
    assert [problem.rule for problem in error.value.problems] == ["limits-contradict"]


def test_a_card_beyond_mending_says_so() -> None:
    text = step_card(
        "tread = { is = 30, most = 31 }\nriser = 35\ngutter = { is = 73, keep = true }",
        ["tread", "riser"],
    )
    proof = prove_text(text)
    assert proof.measure_mends == ()
    (note,) = (f for f in proof.findings if f.rule == "no-measure-mends")
    assert '"tread", "riser"' in note.message
    assert "1 mm or 0.5 mm" in note.message


def test_a_design_that_closes_is_left_alone() -> None:
    text = step_card("tread = 30\nriser = 35\ngutter = 70", ["tread", "riser"])
    proof = prove_text(text)
    assert proof.measure_mends == ()
    assert {"no-measure-mends", "no-measure-to-change"}.isdisjoint(rules(proof))
