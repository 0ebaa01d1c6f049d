"""Envelopes from squares, against published cases, closed forms and the proof of the piece."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.dressing.square_blank import NOTCH_RADIUS_MM, SquareBlank
from foldwright.geometry.moments import moments
from foldwright.proving.model import ClosedStack
from foldwright.stacking.spill import NoCover
from tests.dressing.envelope_designs import proof_of, stops_and_warns

FILE = Path(__file__).parents[1] / "published" / "envelopes.toml"
PUBLISHED: dict[str, Any] = tomllib.loads(FILE.read_text(encoding="utf-8"))
SIDES = st.floats(min_value=60, max_value=300)
CORNERS = st.floats(min_value=0, max_value=30)


@pytest.mark.parametrize("case", PUBLISHED["square_blanks"]["cases"])
def test_published_cases(case: dict[str, Any]) -> None:
    unit = 25.4 if case["unit"] == "in" else 1.0
    long, short = case["pocket"]
    blank = SquareBlank(
        long_mm=long * unit, short_mm=short * unit, corner_mm=case["allowance"] * unit
    )
    # The figures are printed to four decimals.
    close = pytest.approx
    assert blank.side_mm / unit == close(case["side"], abs=6e-5)
    assert [x / unit for x in (blank.side_score_mm, blank.upper_score_mm)] == close(
        case["scores"], abs=6e-5
    )
    assert [x / unit for x in (blank.side_flap_mm, blank.upper_flap_mm)] == close(
        case["flaps"], abs=6e-5
    )
    assert (blank.upper_flap_mm - blank.short_mm / 2) / unit == close(case["past_middle"], abs=6e-5)
    assert (blank.long_mm - 2 * blank.side_flap_mm) / unit == close(case["side_gap"], abs=1.1e-4)


def test_the_worked_c6_case() -> None:
    facts = {fact["id"]: fact for fact in PUBLISHED["fact"]}
    blank = SquareBlank(long_mm=162, short_mm=114, corner_mm=12)
    found = [blank.side_mm, blank.side_score_mm, blank.upper_score_mm]
    assert found == pytest.approx(facts["E05"]["value"]["c6"], abs=6e-5)


def test_a_worked_card_of_a_notebook() -> None:
    """A card 148 x 105 with 6 mm: pocket 154 x 111, side at least 187.4.

    Worked example of a notebook on card making (common practice, no source): the scores on a
    square of 200 stand 91.1 and 121.5 from its corners.
    """
    least = SquareBlank(long_mm=154, short_mm=111, corner_mm=0)
    assert least.side_mm == pytest.approx(187.4, abs=0.05)
    blank = SquareBlank(long_mm=154, short_mm=111, corner_mm=200 - least.side_mm)
    assert blank.side_score_mm == pytest.approx(91.1, abs=0.05)
    assert blank.upper_score_mm == pytest.approx(121.5, abs=0.05)
    assert blank.overlap_mm == pytest.approx(math.sqrt(2) * 200 - 2 * 111)


@pytest.mark.parametrize(
    ("blank", "plies"),
    [
        (SquareBlank(long_mm=162, short_mm=114), 4),
        # On a square all four flaps meet in the middle.
        (SquareBlank(long_mm=150, short_mm=150), 5),
        # On a low pocket the upper and the lower flap would reach past it: their tips are off.
        (SquareBlank(long_mm=220, short_mm=110), 4),
        # A V in place of a round notch, and flaps that just meet.
        (SquareBlank(long_mm=120, short_mm=110, corner_mm=2), 4),
        (SquareBlank(long_mm=120, short_mm=120, corner_mm=0), 2),
    ],
)
def test_it_folds_to_its_pocket(blank: SquareBlank, plies: int) -> None:
    proof = proof_of(blank.piece("envelope"))
    assert stops_and_warns(proof) == []
    assert (len(proof.pieces[0].division.panels), proof.verdict) == (5, "closes")
    stack = proof.closed_stack
    assert isinstance(stack, ClosedStack)
    assert stack.thickness.most_plies == plies <= blank.plies
    # Nothing sticks out of the pocket: what covers the closed envelope is as large as it.
    assert not isinstance(stack.spilled, NoCover)
    assert stack.spilled.spills == ()
    radius = blank.notch_mm
    bitten = 4 * math.pi * radius**2 / 4
    assert stack.cover.outline.area == pytest.approx(
        blank.long_mm * blank.short_mm - bitten, abs=0.05
    )
    # The pocket lies aslant on its square: measured along its own sides it is the pocket.
    u, v = _along_its_sides(stack.cover.outline)
    assert sorted((u, v)) == pytest.approx([blank.short_mm, blank.long_mm], abs=1e-6)


def _along_its_sides(outline: Any) -> tuple[float, float]:
    parts = getattr(outline, "geoms", (outline,))
    corners = [xy for part in parts for xy in part.exterior.coords]
    found = []
    for sign in (1.0, -1.0):
        at = [(y + sign * x) / math.sqrt(2) for x, y in corners]
        found.append(max(at) - min(at))
    return found[0], found[1]


@settings(deadline=None)
@given(SIDES, SIDES, CORNERS)
def test_closed_forms(first: float, second: float, corner: float) -> None:
    short, long = sorted((first, second))
    blank = SquareBlank(long_mm=long, short_mm=short, corner_mm=corner)
    piece = blank.piece("envelope")
    left, bottom, right, top = piece.outline.box()
    assert (left, bottom) == pytest.approx((0, 0), abs=1e-9)
    assert (right, top) == pytest.approx((blank.side_mm, blank.side_mm))
    # Each corner loses a right isosceles triangle as wide as the allowance (E01), and three
    # quarters of a round notch.
    radius = blank.notch_mm
    lost = 4 * (corner**2 / 4 + 0.75 * math.pi * radius**2)
    if radius:
        assert radius == NOTCH_RADIUS_MM
    # The tips of flaps that would reach past the pocket are right isosceles as well.
    tips = (blank.side_mm / math.sqrt(2) - long / 2 - blank.side_flap_mm) ** 2
    tips += (blank.side_mm / math.sqrt(2) - short / 2 - blank.upper_flap_mm) ** 2
    assert moments(piece.outline).area == pytest.approx(
        blank.side_mm**2 - lost - 2 * tips, rel=1e-9
    )
    assert blank.upper_flap_mm < short
    # A square on the diagonal is never smaller than the least one (E04).
    assert (long + short) / math.sqrt(2) <= math.hypot(long, short) * (1 + 1e-12)
    assert blank.overlap_mm == pytest.approx(
        min(long - short + math.sqrt(2) * corner, short - 10), abs=1e-9
    )
    lengths = sorted(fold.path.length for fold in piece.folds)
    assert lengths == pytest.approx([short - 2 * radius] * 2 + [long - 2 * radius] * 2)


@settings(deadline=None)
@given(SIDES, SIDES, CORNERS, st.floats(min_value=0.5, max_value=3))
def test_it_scales(first: float, second: float, corner: float, factor: float) -> None:
    short, long = sorted((first, second))
    small = SquareBlank(long_mm=long, short_mm=short, corner_mm=corner)
    large = SquareBlank(long_mm=long * factor, short_mm=short * factor, corner_mm=corner * factor)
    for name in ("side_mm", "side_score_mm", "upper_score_mm"):
        assert getattr(large, name) == pytest.approx(factor * getattr(small, name), abs=1e-9)
