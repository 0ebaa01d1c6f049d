"""Limits: the closed size either way round, thickness, standing, and limits of an edition."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import parse_design
from foldwright.design.pieces import Limits, Resolved
from foldwright.problems import DesignError, Problem, Severity
from foldwright.proving import Closed, Proof, prove, prove_design
from foldwright.proving.limits import limit_problems

DesignOf = Callable[[str], Resolved]

# A half fold: 148 by 105 mm when shut.
CARD = """
    [[piece]]
    name = "base"
    outline = {{ rectangle = [148, 210] }}
    [[piece.fold]]
    sense = "valley"
    points = [[0, 105], [148, 105]]
    [limits]
    {limits}
    """


def found(limits: str, design_of: DesignOf) -> list[Problem]:
    proof = prove(design_of(CARD.format(limits=limits)), {})
    return [one for one in proof.findings if one.rule != "material-unknown"]


@pytest.mark.parametrize("closed", ["[148, 105]", "[105, 148]", "[162, 114]", "[114, 162]"])
def test_a_card_that_fits_either_way_round(closed: str, design_of: DesignOf) -> None:
    assert found(f"closed = {closed}", design_of) == []


@pytest.mark.parametrize(
    ("closed", "measure", "said"),
    [
        ("[140, 114]", 8, "its width is 8 mm too large, and a quarter turn does not help"),
        ("[162, 100]", 5, "its height is 5 mm too large, and a quarter turn does not help"),
        ("[147.5, 104]", 1, "its width is 0.5 mm too large and its height is 1 mm too large, and"),
        # 100 by 150: turned it is only 5 mm too high for the side of 100.
        ("[100, 150]", 5, "even turned by a quarter turn its height is 5 mm too large"),
        # Turned, the width of 148 goes along the side of 140.
        ("[110, 140]", 8, "even turned by a quarter turn its width is 8 mm too large"),
    ],
)
def test_how_much_too_large_and_which_way(
    closed: str, measure: float, said: str, design_of: DesignOf
) -> None:
    (stop,) = found(f"closed = {closed}", design_of)
    assert (stop.rule, stop.severity) == ("closed-too-large", Severity.STOP)
    assert stop.measure_mm == pytest.approx(measure)
    assert said in stop.message
    assert stop.message.startswith("the closed card is 148 by 105 mm and may be ")


def proof_of(text: str, variant: str | None = None) -> Proof:
    return prove_design(parse_design(text, "card.toml"), variant=variant)


EDITIONS = """format = 1
name = "two sizes"
units = "mm"
[measures]
height = 200
[[piece]]
name = "base"
outline = { rectangle = [100, "height"] }
[[piece.fold]]
sense = "valley"
points = [[0, "height / 2"], [100, "height / 2"]]
[limits]
thickness = 3
stands = true
closed = [100, "min(height / 2, 4 in)"]
[variant.tall]
units = "in"
measures = { height = 10 }
"""


def test_a_limit_follows_the_measures_of_its_edition() -> None:
    assert proof_of(EDITIONS).proven
    proof = proof_of(EDITIONS, "tall")
    (stop,) = [one for one in proof.findings if one.severity is Severity.STOP]
    # Shut it is 5 in high, and 4 in are allowed.
    assert stop.measure_mm == pytest.approx(25.4)
    assert (stop.place.file, stop.place.line) == ("card.toml", 15)
    assert not proof.proven


def test_what_cannot_be_judged_is_a_note_each() -> None:
    """Without a material neither thickness nor balance is known, and no pose is there."""
    notes = {one.rule: one for one in proof_of(EDITIONS).findings}
    assert notes["thickness-unknown"].severity is Severity.NOTE
    assert "so its limit is not judged" in notes["thickness-unknown"].message
    assert notes["standing-unknown"].severity is Severity.NOTE
    assert "the design names no pose to stand in" in notes["standing-unknown"].message
    # One that asks for nothing is not told.
    silent = proof_of(EDITIONS.replace("stands = true", "stands = false"))
    assert "standing-unknown" not in {one.rule for one in silent.findings}


@pytest.mark.parametrize(("thickness", "stops"), [(0.46, 0), (0.45, 1)])
def test_the_limit_of_the_thickness(thickness: float, stops: int) -> None:
    """Two plies of card-200, whose caliper is 0.23 mm."""
    text = EDITIONS.replace("thickness = 3", f"thickness = {thickness}")
    proof = prove_design(parse_design(text, "card.toml"), materials=["card-200"])
    found = [one for one in proof.findings if one.severity is Severity.STOP]
    assert [one.rule for one in found] == ["closed-too-thick"] * stops
    assert proof.proven is (stops == 0)
    if found:
        assert found[0].measure_mm == pytest.approx(0.01)
        assert (found[0].place.file, found[0].place.line) == ("card.toml", 12)


@pytest.mark.parametrize("angle", [0, 90])
def test_a_thickness_without_plies_is_not_judged(angle: int) -> None:
    """A card that is folded to a right angle has no plies; one that is not folded has one."""
    text = EDITIONS.replace('sense = "valley"', f'sense = "valley"\nangle = {angle}')
    rules = [one.rule for one in proof_of(text).findings]
    assert ("limit-not-judged" in rules) is (angle == 90)
    assert ("closed-not-flat" in rules) is (angle == 90)


def test_a_closed_size_that_is_not_known_is_said(design_of: DesignOf) -> None:
    text = CARD.replace("[[0, 105], [148, 105]]", "[[10, 105], [148, 105]]")
    proof = prove(design_of(text.format(limits="closed = [10, 10]")), {})
    assert proof.closed is None
    rules = [one.rule for one in proof.findings]
    assert "closed-size-unknown" in rules
    assert "closed-too-large" not in rules


@pytest.mark.parametrize("limits", ["closed = [0, 100]", "closed = [100, -1]", "thickness = 0"])
def test_a_limit_of_nothing_is_an_error(limits: str, design_of: DesignOf) -> None:
    with pytest.raises(DesignError) as caught:
        design_of(CARD.format(limits=limits))
    assert [one.rule for one in caught.value.problems] == ["not-positive"]


LENGTH = st.integers(1, 400).map(lambda n: Fraction(n, 2))


@given(width=LENGTH, height=LENGTH, most=st.tuples(LENGTH, LENGTH))
def test_a_quarter_turn_of_card_or_limit_changes_nothing(
    width: Fraction, height: Fraction, most: tuple[Fraction, Fraction]
) -> None:
    def over(card: tuple[Fraction, Fraction], limit: tuple[Fraction, Fraction]) -> float:
        closed = Closed(width_mm=float(card[0]), height_mm=float(card[1]))
        found = list(limit_problems(Limits(closed=limit), closed))
        return found[0].measure_mm or 0.0 if found else 0.0

    due = over((width, height), most)
    assert over((height, width), most) == due
    assert over((width, height), (most[1], most[0])) == due
    # Fits exactly when the sorted sides do.
    fits = sorted((width, height))[0] <= sorted(most)[0] and max(width, height) <= max(most)
    assert (due == 0.0) is fits
