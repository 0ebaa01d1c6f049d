"""Was it the making or the design: made cards with known slips, and what is said of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Resolved
from foldwright.problems import DesignError
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Tool
from foldwright.proving import Proof, prove
from foldwright.proving.diagnosis import Cause, Diagnosis, diagnose
from foldwright.proving.measured import as_made, read_measured
from tests.conftest import resolved_of
from tests.proving.moved import CHANGES
from tests.proving.test_sensitivity import GLUED

DesignOf = Callable[[str], Resolved]

# The folds of a two-step card, and where they lie.
PLACES = {
    "steps 1": Fraction(175),
    "steps 2": Fraction(145),
    "steps 3": Fraction(110),
    "steps 4": Fraction(80),
    "steps 5": Fraction(45),
    "gutter": Fraction(105),
}


def card(places: Mapping[str, Fraction] = PLACES) -> str:
    def text(number: Fraction) -> str:
        return f'"{number.numerator} / {number.denominator}"'

    folds = "".join(
        f'[[piece.fold]]\nname = "{name}"\n'
        f'sense = "{"mountain" if name in ("steps 2", "steps 4") else "valley"}"\n'
        f"points = [[{0 if name == 'gutter' else 50}, {text(y)}], "
        f"[{50 if name == 'gutter' else 148}, {text(y)}]]\n"
        for name, y in places.items()
    )
    slit = f"[[50, {text(places['steps 5'])}], [50, {text(places['steps 1'])}]]"
    return (
        '[[piece]]\nname = "base"\nstock = "card"\noutline = { rectangle = [148, 210] }\n'
        f"[[piece.slit]]\npoints = {slit}\n{folds}"
    )


def proof_of(text: str, tool: Tool | None = None) -> Proof:
    return prove(resolved_of(text), {"card": load_material("card-200")}, tool)


def diagnosed(proof: Proof, *texts: str) -> Diagnosis:
    return diagnose(proof, read_measured(texts, proof.resolved))


def rules(error: pytest.ExceptionInfo[DesignError]) -> list[str]:
    return [one.rule for one in error.value.problems]


def test_one_line_off_is_found_with_all_of_the_gap() -> None:
    """Closed form: one fold off by e makes a gap of 2 e."""
    found = diagnosed(proof_of(card(), Tool.HAND), "steps 2=146.5")
    assert (found.cause, found.design_closes) == (Cause.MAKING, True)
    assert found.measured_gap_mm == pytest.approx(3.0)
    (suspect,) = found.suspects
    assert (suspect.piece, suspect.line, suspect.off_mm) == ("base", "steps 2", Fraction(3, 2))
    assert suspect.share == pytest.approx(1.0)
    assert (suspect.gap_put_back_mm, suspect.closes_put_back) == (0.0, True)
    # The hand's tolerance for this material is 0.8 mm.
    assert suspect.times_tolerance == pytest.approx(1.5 / 0.8)
    assert found.put_back == ("steps 2",)
    assert 'fold "steps 2" lies at 146.5 mm in place of 145 mm' in found.sentence
    assert "1.5 mm too far up" in found.sentence
    assert found.sentence.endswith("score it again at 145 mm")


def test_the_card_as_made_can_be_mended_by_any_line_of_its_loop() -> None:
    found = diagnosed(proof_of(card()), "gutter=103")
    moves = {mend.moves[0].line: mend.moves[0].to_mm for mend in found.mends}
    # As after any slip of 2 mm: every second line moves by 2 mm, and the gutter back.
    assert moves == {
        "gutter": 105,
        "steps 1": 173,
        "steps 2": 147,
        "steps 3": 108,
        "steps 4": 82,
        "steps 5": 43,
    }


def test_the_likeliest_comes_first_and_shares_add_up() -> None:
    found = diagnosed(proof_of(card(), Tool.KNIFE), "steps 4=80.5", "steps 2=147", "steps 3=110")
    assert [one.line for one in found.suspects] == ["steps 2", "steps 4"]
    assert found.measured_gap_mm == pytest.approx(5.0)
    shares = [one.share for one in found.suspects]
    assert shares == pytest.approx([0.8, 0.2])
    assert [one.gap_put_back_mm for one in found.suspects] == pytest.approx([1.0, 4.0])
    # Neither alone closes it: both are to be made again.
    assert found.put_back == ("steps 2", "steps 4")
    assert "no single fold mends it" in found.sentence
    assert found.unmeasured == ("steps 1", "steps 5", "gutter")


def test_a_line_that_makes_up_for_another_is_no_first_suspect() -> None:
    # steps 2 and steps 3 pull against each other when both move up.
    found = diagnosed(proof_of(card()), "steps 3=113", "steps 2=146")
    assert found.measured_gap_mm == pytest.approx(4.0)
    assert [one.line for one in found.suspects] == ["steps 3", "steps 2"]
    assert [one.share for one in found.suspects] == pytest.approx([1.5, -0.5])
    # With steps 3 put back, steps 2 alone still leaves 2 mm.
    assert found.put_back == ("steps 3", "steps 2")


def test_the_fewest_are_to_be_made_again() -> None:
    # The second slip is within what the material gives.
    found = diagnosed(proof_of(card()), "steps 4=80.1", "steps 2=147")
    assert found.put_back == ("steps 2",)
    assert found.sentence.endswith("score it again at 145 mm")


def test_a_card_made_as_designed_has_nothing() -> None:
    texts = [f"{name}={place}" for name, place in PLACES.items()]
    found = diagnosed(proof_of(card()), *texts)
    assert (found.cause, found.suspects, found.mends) == (Cause.NOTHING, (), ())
    assert (found.measured_gap_mm, found.unmeasured) == (0.0, ())
    assert found.sentence.startswith("all 6 folds that were measured lie where the design has")
    assert "thickness" in found.sentence


def test_small_slips_that_the_material_gives_are_not_the_cause() -> None:
    found = diagnosed(proof_of(card()), "steps 2=145.2")
    assert (found.cause, found.suspects) == (Cause.ELSEWHERE, ())
    assert found.measured_gap_mm == pytest.approx(0.4)
    assert "misses by 0.4 mm only, and the material gives 0.4 mm" in found.sentence
    assert 'fold "gutter" as well' in found.sentence
    just_more = diagnosed(proof_of(card()), "steps 2=145.201")
    assert just_more.cause is Cause.MAKING


def test_slips_that_cancel_are_not_the_cause() -> None:
    found = diagnosed(proof_of(card()), "steps 2=147, steps 3=112")
    assert found.cause is Cause.ELSEWHERE
    assert "the card as measured closes" in found.sentence


def test_a_design_that_never_could_have_closed_says_so_first() -> None:
    wrong = {**PLACES, "gutter": Fraction(107)}
    found = diagnosed(proof_of(card(wrong)), "steps 2=146")
    assert (found.cause, found.design_closes) == (Cause.DESIGN, False)
    assert found.sentence.startswith("the design itself never could have closed: the loop round")
    assert "from 107 mm to 105 mm" in found.sentence or "move fold" in found.sentence
    # What the card as measured would miss by is still told.
    assert found.measured_gap_mm == pytest.approx(6.0)


def test_a_design_whose_lines_cannot_be_judged_says_so() -> None:
    hanging = card().replace('[148, "175 / 1"]', '[140, "175 / 1"]')
    found = diagnosed(proof_of(hanging), "steps 2=146")
    assert (found.cause, found.measured_gap_mm) == (Cause.DESIGN, None)
    assert "cannot be judged" in found.sentence


def test_a_turned_design_is_the_designs_fault() -> None:
    text = card()
    text = text[: text.index('[[piece.fold]]\nname = "steps 4"')]
    odd = text.replace('"45 / 1"', '"110 / 1"') + (
        '[[piece.fold]]\nname = "gutter"\nsense = "valley"\n'
        'points = [[0, "125 / 1"], [50, "125 / 1"]]\n'
        '[[piece.fold]]\nname = "second"\nsense = "valley"\n'
        'points = [[0, "115 / 1"], [50, "115 / 1"]]\n'
    )
    found = diagnosed(proof_of(odd), "gutter=126")
    assert (found.cause, found.measured_gap_mm) == (Cause.DESIGN, None)
    assert "half turns" in found.sentence


def test_a_line_beyond_another_is_told_with_it() -> None:
    found = diagnosed(proof_of(card()), "steps 2=106")
    assert (found.cause, found.measured_gap_mm) == (Cause.ORDER, None)
    assert 'fold "steps 2" at 106 mm would lie beyond fold "steps 3" at 110 mm' in found.sentence
    assert "measure it again" in found.sentence
    # The gutter lies beside the steps, across the slit: it may change places with any.
    assert diagnosed(proof_of(card()), "gutter=112").cause is Cause.MAKING


def test_a_place_from_the_opposite_edge_is_guessed() -> None:
    found = diagnosed(proof_of(card()), "steps 2=65.5")
    assert found.cause is Cause.ORDER
    assert "was it measured from the opposite edge?" in found.sentence
    assert "144.5 mm" in found.sentence


def test_a_line_on_another_is_told() -> None:
    found = diagnosed(proof_of(card()), "steps 2=110")
    assert found.cause is Cause.ORDER
    assert 'beyond fold "steps 3"' in found.sentence


def test_a_card_without_a_loop_cannot_gape() -> None:
    text = """
        [[piece]]
        name = "base"
        stock = "card"
        outline = { rectangle = [148, 210] }
        [[piece.fold]]
        name = "spine"
        sense = "valley"
        points = [[0, 105], [148, 105]]
        """
    found = diagnosed(proof_of(text), "spine=107")
    assert found.cause is Cause.ELSEWHERE
    assert "no loop" in found.sentence
    assert (found.measured_gap_mm, found.unmeasured) == (0.0, ())


@settings(max_examples=25)
@given(
    off=st.dictionaries(
        st.sampled_from(sorted(PLACES)),
        st.integers(-40, 40).map(lambda tenths: Fraction(tenths, 10)),
        max_size=6,
    )
)
def test_the_gap_as_measured_is_twice_the_alternating_sum(off: dict[str, Fraction]) -> None:
    """Closed form: the places of a step card with alternating signs must sum to nothing."""
    signs = dict(zip(PLACES, (1, -1, 1, -1, 1, -1), strict=True))
    proof = proof_of(card())
    found = diagnosed(
        proof, *(f"{name}={PLACES[name] * 10 + by * 10} / 10" for name, by in off.items())
    )
    gap = abs(2 * sum(signs[name] * by for name, by in off.items()))
    assert found.measured_gap_mm == pytest.approx(float(gap), abs=1e-12)
    if not any(off.values()):
        assert found.cause is Cause.NOTHING
    else:
        # card-200 gives 0.4 mm.
        assert found.cause is (Cause.ELSEWHERE if float(gap) <= 0.4 else Cause.MAKING)
    if found.cause is Cause.MAKING:
        shares = [one.share for one in found.suspects if one.share is not None]
        assert sum(shares) == pytest.approx(1.0)
        # The folds to make again do close it, where the design has them.
        left = {name: by for name, by in off.items() if name not in found.put_back}
        again = diagnosed(
            proof, *(f"{name}={PLACES[name] * 10 + by * 10} / 10" for name, by in left.items())
        )
        assert again.cause in (Cause.NOTHING, Cause.ELSEWHERE)
        assert found.mends
        assert all(mend.gap_after_mm <= 1e-3 for mend in found.mends)


@settings(max_examples=10)
@given(
    off=st.integers(-40, 40).filter(bool).map(lambda tenths: Fraction(tenths, 10)),
    which=st.sampled_from(["steps 2", "steps 3", "steps 4", "gutter"]),
)
def test_a_mended_design_measured_as_made_has_nothing(off: Fraction, which: str) -> None:
    wrong = {**PLACES, which: PLACES[which] + off}
    proof = proof_of(card(wrong))
    for mend in proof.mends[:3]:
        (move,) = mend.moves
        mended = {**wrong, move.line: Fraction(move.to_mm)}
        proved = proof_of(card(mended))
        texts = [f"{name}={y.numerator}/{y.denominator}" for name, y in mended.items()]
        found = diagnosed(proved, *texts)
        assert (found.cause, found.suspects) == (Cause.NOTHING, ())
        assert found.measured_gap_mm == 0.0


@pytest.mark.parametrize("change", sorted(CHANGES))
def test_the_same_card_told_otherwise_is_diagnosed_alike(change: str) -> None:
    proof = proof_of(card())
    told = CHANGES[change](proof.resolved)
    other = prove(told, proof.profiles, proof.tool)
    one = diagnosed(proof, "steps 2=147", "steps 4=80.5")

    # The same lines, where the changed card has them and by as much off.
    made = as_made(proof.resolved, read_measured(["steps 2=147,steps 4=80.5"], proof.resolved))
    shifted = CHANGES[change](replace(proof.resolved, pieces=made))
    from foldwright.proving.measured import MeasuredFold, straight
    from foldwright.proving.relaying import signed_distance

    measured = []
    for piece, changed in zip(told.pieces, shifted.pieces, strict=True):
        for fold, moved in zip(piece.folds, changed.folds, strict=True):
            old, new = straight(fold), straight(moved)
            assert old is not None
            assert new is not None
            a = signed_distance(old.start, old.end)
            b = signed_distance(new.start, new.end)
            if a != b:
                measured.append(
                    MeasuredFold(piece=piece.name, fold=fold.name, designed_mm=a, measured_mm=b)
                )
    found = diagnose(other, measured)
    assert len(found.suspects) == 2
    assert found.cause is one.cause
    assert found.measured_gap_mm == pytest.approx(one.measured_gap_mm)
    assert [abs(float(s.off_mm)) for s in found.suspects] == pytest.approx([2.0, 0.5])
    assert [s.share for s in found.suspects] == pytest.approx([s.share for s in one.suspects])


def test_inches_are_read_and_told() -> None:
    text = card().replace("148", '"148 mm"').replace("210", '"210 mm"')
    inch = replace(resolved_of(text), units="in")
    proof = prove(inch, {"card": load_material("card-200")})
    (one,) = read_measured(["steps 2 = 5 3/4"], inch)
    assert one.measured_mm == Fraction("146.05")
    (other,) = read_measured(["steps 2 = 146 mm"], inch)
    assert other.measured_mm == 146
    assert "5 3/4 in" in diagnose(proof, [one]).sentence


def test_several_in_one_text_and_expressions() -> None:
    resolved = resolved_of(card())
    found = read_measured(
        ["steps 2 = 145 + 1/2, gutter=min(105, 106)", "base/steps 3=110"], resolved
    )
    assert [(one.fold, one.measured_mm) for one in found] == [
        ("steps 2", Fraction("145.5")),
        ("gutter", 105),
        ("steps 3", 110),
    ]


@pytest.mark.parametrize(
    ("text", "rule", "says"),
    [
        ("step 2=145", "measured-unknown-fold", 'did you mean "steps 2"'),
        ("steps 2", "measured-not-read", "FOLD=PLACE"),
        ("=12", "measured-not-read", "FOLD=PLACE"),
        ("steps 2=", "measured-not-read", "FOLD=PLACE"),
        ("steps 2#1=145", "measured-one-stretch", 'call it "steps 2"'),
        ("steps 2=145,steps 2=146", "measured-twice", "twice"),
        ("steps 2=60 deg", "not-a-length", "length"),
        ("steps 2=14x", "unknown-unit", "no unit"),
        ("steps 2=20 km", "unknown-unit", "no unit"),
        ("steps 2=width", "unknown-measure", "width"),
    ],
)
def test_bad_input(text: str, rule: str, says: str) -> None:
    with pytest.raises(DesignError) as error:
        read_measured([text], resolved_of(card()))
    assert rules(error) == [rule]
    assert says in str(error.value)
    assert str(error.value).startswith(f"--measured {text}: stop: ")


def test_all_bad_input_at_once() -> None:
    with pytest.raises(DesignError) as error:
        read_measured(["a=1", "b", "gutter=105,gutter=105"], resolved_of(card()))
    assert rules(error) == ["measured-unknown-fold", "measured-not-read", "measured-twice"]


def test_a_fold_off_the_paper_is_bad_input() -> None:
    proof = proof_of(card())
    with pytest.raises(DesignError) as error:
        diagnosed(proof, "gutter=300", "steps 3=-4")
    assert rules(error) == ["measured-off-piece", "measured-off-piece"]


def test_a_bent_fold_has_no_single_place(design_of: DesignOf) -> None:
    design = design_of(
        """
        [[piece]]
        name = "base"
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        name = "bent"
        sense = ["valley", "valley"]
        points = [[0, 50], [50, 50], [100, 60]]
        """
    )
    with pytest.raises(DesignError) as error:
        read_measured(["bent=50"], design)
    assert rules(error) == ["measured-bent"]


def test_lines_that_touch_end_to_end_move_apart(design_of: DesignOf) -> None:
    """A gutter that meets a step of the same height at a slit is moved without it."""
    design = design_of(
        """
        [[piece]]
        name = "base"
        outline = { rectangle = [100, 100] }
        [[piece.slit]]
        points = [[30, 40], [30, 60]]
        [[piece.slit]]
        points = [[70, 40], [70, 60]]
        [[piece.band]]
        name = "step"
        from = [30, 60]
        to = [70, 60]
        walk = [10, 10]
        sense = "alternate"
        first = "valley"
        [[piece.fold]]
        name = "left gutter"
        sense = "valley"
        points = [[0, 50], [30, 50]]
        [[piece.fold]]
        name = "right gutter"
        sense = "valley"
        points = [[70, 50], [100, 50]]
        """
    )
    proof = prove(design, {})
    assert proof.gap_mm == 0.0
    found = diagnosed(proof, "left gutter=51")
    assert found.cause is Cause.MAKING
    assert found.measured_gap_mm == pytest.approx(2.0)
    # All folds shifted alike, whatever the order they are told in: the card closes.
    together = diagnosed(
        proof, "step 1=61,step 2=51,step 3=41", "left gutter=51", "right gutter=51"
    )
    assert together.cause is Cause.ELSEWHERE
    one_by_one = diagnosed(
        proof, "right gutter=41,step 3=31", "left gutter=41", "step 2=41,step 1=51"
    )
    assert one_by_one.cause is Cause.ELSEWHERE


VERTEX = """
    [[piece]]
    name = "sheet"
    outline = { rectangle = [100, 100] }
    [[piece.fold]]
    name = "a"
    sense = "valley"
    points = [[0, 50], [50, 50]]
    [[piece.fold]]
    name = "b"
    sense = "valley"
    points = [[50, 50], [100, 50]]
    [[piece.fold]]
    name = "c"
    sense = "valley"
    points = [[50, 0], [50, 50]]
    [[piece.fold]]
    name = "d"
    sense = "mountain"
    points = [[50, 50], [50, 100]]
    """


@pytest.mark.parametrize("told", ["a=52", "a=51,c=51", "a=51,b=51,c=51"])
def test_folds_that_meet_at_one_place_are_not_reckoned(told: str, design_of: DesignOf) -> None:
    found = diagnosed(prove(design_of(VERTEX), {}), told)
    assert (found.cause, found.measured_gap_mm, found.suspects) == (Cause.VERTEX, None, ())
    assert found.sentence.startswith(
        'this cannot be told: fold "a", fold "d", fold "b" and fold "c" meet at (50, 50) mm of '
        '"sheet", and shifts of folds that meet at one place are not reckoned'
    )


def test_slanted_folds_that_meet_at_one_place_are_not_reckoned(design_of: DesignOf) -> None:
    slanted = (
        VERTEX.replace("[[50, 50], [100, 50]]", "[[50, 50], [100, 100]]")
        .replace("[[50, 0], [50, 50]]", "[[50, 50], [100, 0]]")
        .replace("[[50, 50], [50, 100]]", "[[50, 50], [100, 50]]")
    )
    proof = prove(design_of(slanted), {})
    for told in ("b=2", "c=72", "b=2,c=72"):
        assert diagnosed(proof, told).cause is Cause.VERTEX
    # What lies off the paper is bad input still, and told by itself.
    with pytest.raises(DesignError) as error:
        diagnosed(proof, "b=2", "a=500")
    assert rules(error) == ["measured-off-piece"]


def test_folds_that_still_meet_at_one_place_close(design_of: DesignOf) -> None:
    found = diagnosed(prove(design_of(VERTEX), {}), "a=51,b=51,c=52,d=52")
    assert (found.cause, found.measured_gap_mm) == (Cause.ELSEWHERE, 0.0)


def alike(places: Mapping[str, Fraction | int | float], tool: Tool | None = None) -> Diagnosis:
    return diagnosed(
        proof_of(card(), tool), *(f"{name}={PLACES[name]} + {by}" for name, by in places.items())
    )


STEPS = ("steps 1", "steps 2", "steps 3", "steps 4", "steps 5")


def test_folds_that_lie_off_alike_point_to_one_setting() -> None:
    found = alike(dict.fromkeys(STEPS, 2))
    assert found.cause is Cause.MAKING
    assert found.sentence.startswith(
        "all 5 folds that were measured lie 2 mm too far up: one edge or one setting of the fence "
        "was off; it was the making, not the design"
    )
    assert "score all of them again" in found.sentence
    down = alike({**dict.fromkeys(STEPS, -2), "gutter": -2.2})
    assert "all 6 folds that were measured lie about 2.1 mm too far down" in down.sentence


@pytest.mark.parametrize(
    ("offs", "tool"),
    [
        ({"steps 1": 2, "steps 2": 2}, None),  # two folds show no pattern
        ({"steps 1": 2, "steps 2": 2, "steps 3": 2.3}, None),  # more apart than 0.25 mm
        ({"steps 1": 2, "steps 2": 2, "steps 3": 2.3}, Tool.KNIFE),  # than 0.2 mm
        ({"steps 1": 0.7, "steps 2": 0.7, "steps 3": 0.7}, Tool.HAND),  # each within 0.8 mm
        ({"steps 1": 2, "steps 2": 2, "steps 3": -2}, None),
        ({"steps 1": 2, "steps 2": 2, "steps 3": 2, "gutter": 0}, None),
    ],
)
def test_other_folds_do_not_lie_off_alike(offs: dict[str, float], tool: Tool | None) -> None:
    assert "one setting" not in alike(offs, tool).sentence


def test_the_tolerance_of_the_tool_tells_what_is_alike() -> None:
    offs = {"steps 1": 2, "steps 2": 2, "steps 3": 2.3}
    # 0.8 mm by hand.
    assert "lie about 2.15 mm too far up" in alike(offs, Tool.HAND).sentence


def test_a_glued_strip_is_diagnosed_with_its_joints(design_of: DesignOf) -> None:
    proof = prove(design_of(GLUED), {})
    assert proof.gap_mm == 0.0
    found = diagnosed(proof, "strip 2=42")
    assert found.cause is Cause.MAKING
    assert found.measured_gap_mm == pytest.approx(4.0)
    assert [one.share for one in found.suspects] == pytest.approx([1.0])
    assert 'fold "strip 2" lies at 42 mm in place of 40 mm' in found.sentence
    # The gutter of the other piece and the folds that lie on the glue are of the loop too.
    assert found.unmeasured == ("gutter", "strip 1", "strip 3")
    assert {mend.piece for mend in found.mends} == {"base", "strip"}
