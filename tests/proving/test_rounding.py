"""Rounding a design to a ruler: its lengths are rounded, so it still closes; its lines are not.

Where each of the lines of a step card is rounded by itself, 2 n + 1 errors spread
evenly over one division of the ruler add up, and the card closes only where their sum
is within half a division.  The volume of that slab of the cube is an Eulerian number
over a factorial: P = A(2 n + 1, n) / (2 n + 1)! (derived: the sum of m numbers that
lie evenly between 0 and 1 is between k and k + 1 with probability A(m, k) / m!,
Laplace; the errors shift it by half of m).
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, parse_design, resolve
from foldwright.folding import Verdict
from foldwright.measures import Ruler, round_to
from foldwright.proving import prove
from foldwright.proving.rounding import rounded


def eulerian(m: int, k: int) -> int:
    """The permutations of m things with k descents, by the recurrence."""
    if k < 0 or k >= m:
        return 0
    if m == 1:
        return 1
    return (k + 1) * eulerian(m - 1, k) + (m - k) * eulerian(m - 1, k - 1)


def share_that_opens(steps: int) -> float:
    """Of step cards whose lines are rounded one by one, the share that no longer closes."""
    lines = 2 * steps + 1
    return 1.0 - eulerian(lines, steps) / math.factorial(lines)


def test_eulerian_numbers() -> None:
    # The triangle of Eulerian numbers, from memory; each row adds to a factorial.
    assert [eulerian(4, k) for k in range(4)] == [1, 11, 11, 1]
    assert [eulerian(5, k) for k in range(5)] == [1, 26, 66, 26, 1]
    assert (eulerian(3, 1), eulerian(7, 3), eulerian(9, 4)) == (4, 2416, 156190)
    for m in range(1, 9):
        assert sum(eulerian(m, k) for k in range(m)) == math.factorial(m)


@pytest.mark.parametrize(("steps", "share"), [(1, 1 / 3), (2, 0.45), (3, 0.5206), (4, 0.5696)])
def test_lines_rounded_one_by_one_open_the_card(steps: int, share: float) -> None:
    assert share_that_opens(steps) == pytest.approx(share, abs=5e-5)
    chance = random.Random(f"step cards of {steps} steps")
    tries = 20_000
    opened = sum(not closes(one_by_one(random_card(steps, chance))) for _ in range(tries))
    # Four standard errors of a share of about a half.
    assert opened / tries == pytest.approx(share, abs=4 * 0.5 / math.sqrt(tries))


Card = tuple[Sequence[Fraction], Fraction]
"""The places of the folds of a step card from above, and that of its gutter, in mm."""


def random_card(steps: int, chance: random.Random) -> Card:
    """A step card that closes, of lengths that lie evenly over whole millimetres."""
    lengths = [Fraction(chance.uniform(12, 30)) for _ in range(2 * steps)]
    places = [Fraction(chance.uniform(20, 21))]
    for length in lengths:
        places.append(places[-1] + length)
    places.reverse()
    return places, alternating(places)


def alternating(places: Sequence[Fraction]) -> Fraction:
    return sum(
        (place if index % 2 == 0 else -place for index, place in enumerate(places)), Fraction(0)
    )


def one_by_one(card: Card) -> Card:
    places, gutter = card
    return [round_to(p, Ruler.MM).value for p in places], round_to(gutter, Ruler.MM).value


def closes(card: Card) -> bool:
    places, gutter = card
    return alternating(places) == gutter


def text_of(card: Card) -> str:
    """A design whose lines are written out in numbers."""
    places, gutter = card
    folds = "\n".join(
        f'[[piece.fold]]\nsense = "{"mountain" if n % 2 else "valley"}"\n'
        f'points = [[50, "{place}"], [148, "{place}"]]'
        for n, place in enumerate(places)
    )
    return f"""
format = 1
name = "step card"
units = "mm"
[[piece]]
name = "base"
outline = {{ rectangle = [148, 400] }}
[[piece.slit]]
points = [[50, "{places[-1]}"], [50, "{places[0]}"]]
{folds}
[[piece.fold]]
sense = "valley"
points = [[0, "{gutter}"], [50, "{gutter}"]]
"""


@pytest.mark.parametrize("steps", [1, 2, 3, 4])
def test_the_proof_says_what_the_sums_say(steps: int) -> None:
    chance = random.Random(f"proved cards of {steps} steps")
    seen = set()
    for _ in range(12):
        card = random_card(steps, chance)
        for one in (card, one_by_one(card)):
            proof = prove(resolve(parse_design(text_of(one))), {}, whole=False)
            assert (proof.verdict is Verdict.CLOSES) == closes(one)
            assert proof.gap_mm == pytest.approx(2 * abs(alternating(one[0]) - one[1]))
            seen.add(closes(one))
        assert closes(card)
    assert seen == {True, False}


def measured(measures: dict[str, str], gutter: str, more: str = "") -> Design:
    """A two-step card over measures: the gutter is where `gutter` says."""
    rows = "\n".join(f"{name} = {value}" for name, value in measures.items())
    top = "bottom + tread_1 + riser_1 + tread_2 + riser_2"
    return parse_design(f"""
format = 1
name = "step card"
units = "mm"
[measures]
{rows}
[[piece]]
name = "base"
outline = {{ rectangle = [148, 400] }}
[[piece.slit]]
points = [[50, "bottom"], [50, "{top}"]]
[[piece.band]]
name = "steps"
from = [50, "{top}"]
to = [148, "{top}"]
walk = ["tread_1", "riser_1", "tread_2", "riser_2"]
first = "valley"
[[piece.fold]]
name = "gutter"
sense = "valley"
points = [[0, "{gutter}"], [50, "{gutter}"]]
{more}
""")


NAMES = ("bottom", "tread_1", "riser_1", "tread_2", "riser_2")


@settings(max_examples=25)
@given(
    st.lists(st.integers(1200, 4000), min_size=5, max_size=5),
    st.sampled_from([Ruler.MM, Ruler.HALF_MM, Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN]),
)
def test_rounding_the_lengths_keeps_a_card_closed(hundredths: list[int], ruler: Ruler) -> None:
    values = [Fraction(value, 100) for value in hundredths]
    written = {n: str(float(v)) for n, v in zip(NAMES, values, strict=True)}
    design = measured(written, "bottom + tread_1 + tread_2")
    rounding = rounded(design, ruler)
    assert rounding.proof.verdict is Verdict.CLOSES
    assert rounding.proof.gap_mm == 0
    for name, value in zip(NAMES, values, strict=True):
        new = rounding.proof.resolved.measures[name]
        assert new == round_to(value, ruler).value
    assert {c.measure for c in rounding.changes} == {
        n for n, v in zip(NAMES, values, strict=True) if round_to(v, ruler).error != 0
    }
    # What has been rounded is rounded already.
    again = rounded(design, ruler, overrides=rounding.overrides)
    assert (again.changes, again.overrides) == ((), rounding.overrides)


def test_lengths_that_fit_by_chance_only_are_mended_on_the_ruler() -> None:
    # 20.4 + 30.4 + 25.4 is 76.2; rounded, 20 + 30 + 25 is 75, and 76.2 goes to 76.
    written = {"bottom": "20.4", "tread_1": "30.4", "riser_1": "22", "tread_2": "25.4"}
    design = measured({**written, "riser_2": "18", "gutter": "76.2"}, "gutter")
    assert prove(resolve(design), {}).verdict is Verdict.CLOSES
    rounding = rounded(design, Ruler.MM)
    proof = rounding.proof
    assert proof.gap_mm == 2
    assert [[(c.measure, int(c.to_mm)) for c in mend.changes] for mend in proof.measure_mends] == [
        [("bottom", 21)],
        [("tread_1", 31)],
        [("tread_2", 26)],
        [("gutter", 75)],
    ]
    for mend in proof.measure_mends:
        texts = {change.measure: f"{change.to_mm} mm" for change in mend.changes}
        after = prove(resolve(design, {}, {**rounding.overrides, **texts}), {})
        assert after.verdict is Verdict.CLOSES


def test_a_card_that_closes_is_never_left_open() -> None:
    # 20.3 is to be kept, so what it adds up with closes only as it is.
    kept = {"bottom": "{ is = 20.3, keep = true }", "tread_1": "30.4", "riser_1": "22.4"}
    rows = {**kept, "tread_2": "25.4", "riser_2": "18", "gutter": "76.1"}
    rounding = rounded(measured(rows, "gutter"), Ruler.MM)
    assert rounding.proof.verdict is Verdict.CLOSES
    assert rounding.closing == ("tread_1", "tread_2", "gutter")
    assert [(c.measure, int(c.to_mm)) for c in rounding.changes] == [("riser_1", 22)]
    assert dict(rounding.overrides) == {"riser_1": "22 mm"}
    # One of them is enough where the others lie on the ruler.
    rounding = rounded(measured({**rows, "tread_1": "30", "gutter": "75.7"}, "gutter"), Ruler.MM)
    assert rounding.closing == ("tread_2", "gutter")
    # Of a card that is open as it is nothing is held back.
    rounding = rounded(measured({**rows, "gutter": "80.2"}, "gutter"), Ruler.MM)
    assert (rounding.closing, rounding.proof.measure_mends) == ((), ())
    assert {c.measure for c in rounding.changes} == {"tread_1", "riser_1", "tread_2", "gutter"}
    assert "no-measure-mends" in {finding.rule for finding in rounding.proof.findings}


@pytest.mark.parametrize(
    ("written", "ruler", "value"),
    [
        # A step of 5 mm meets the ruler of 1/8 in (127/40 mm) at 0 and 635 mm only.
        ("{ is = 25, step = 5 }", Ruler.EIGHTH_IN, None),
        ("0.4", Ruler.MM, None),
        ("0.6", Ruler.MM, Fraction(1)),
        ("{ is = 0.6, most = 0.8 }", Ruler.MM, None),
        # It lies on the ruler, though not on its own step: it stays, and nothing is said.
        ('{ is = "1 in", step = 5 }', Ruler.EIGHTH_IN, Fraction("25.4")),
        ("0", Ruler.MM, Fraction(0)),
    ],
)
def test_no_length_is_rounded_to_nothing(
    written: str, ruler: Ruler, value: Fraction | None
) -> None:
    rows = {"bottom": "1 in", "tread_1": "1 in", "riser_1": "1 in", "tread_2": "1 in"}
    rows = {name: f'"{text}"' for name, text in rows.items()}
    design = measured({**rows, "riser_2": '"1 in"', "d": written}, "bottom + tread_1 + tread_2")
    rounding = rounded(design, ruler)
    before = resolve(design).measures["d"]
    assert rounding.proof.resolved.measures["d"] == (before if value is None else value)
    assert ("d" in rounding.left) == (value is None)
    assert ("d" in {c.measure for c in rounding.changes}) == (value not in (None, before))


def test_limits_and_steps_hold() -> None:
    written = {
        "bottom": "{ is = 20.6, most = 20.7 }",
        "tread_1": "{ is = 31.4, step = 3 }",
        "riser_1": "{ is = 21.6, least = 21.55, most = 21.65 }",
        # The riser above it may not be higher than this one.
        "tread_2": "25.4",
        "riser_2": '{ is = 18.6, most = "riser_1 - 3" }',
    }
    rounding = rounded(measured(written, "bottom + tread_1 + tread_2"), Ruler.MM)
    values = rounding.proof.resolved.measures
    assert [values[name] for name in NAMES] == [20, 30, Fraction("21.6"), 25, 18]
    assert rounding.left == ("riser_1",)
    assert rounding.proof.verdict is Verdict.CLOSES
