"""The pattern tent: a ridge, and a triangle of two panels and the table.

By hand, with a front of height f, a back of height b and the spread s at the ridge.

Closed.  The back lies on the front, b <= f: width by f.

Standing.  The law of cosines gives the distance d of the two lower edges on the table,
d² = f² + b² - 2 f b cos s.  From the edge of the front the ridge is x = (d² + f² - b²) / (2 d)
away and h = sqrt(f² - x²) high.  Panels weigh as they are high, so the centre of mass is
(f x / 2 + b (d + x) / 2) / (f + b) from that edge and h / 2 high.  For equal panels and 60
degrees the triangle is equilateral: d = f, and the centre in the middle.

The back stands upright where b = f cos s: the least back, 52.5 mm for 105 mm and 60 degrees.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.measures import Unit
from foldwright.stacking.standing import Standing

from .posed import pose_of
from .published import iso, letter
from .shipped import closed_mm, proof, resolved, rules_of
from .shut import lies_above

IN = Fraction("25.4")


def standing(units: Unit = Unit.MM, **overrides: str) -> Standing:
    found = pose_of(proof("tent", units, **overrides), "standing").standing
    assert found is not None
    return found


class TestTheSheet:
    def test_the_metric_edition_is_made_from_a5(self) -> None:
        (piece,) = resolved("tent").pieces
        assert piece.outline.box() == (0, 0, *iso("A5"))
        (ridge,) = piece.folds
        assert (ridge.path.start.y, ridge.senses) == (105, ("mountain",))

    def test_the_inch_edition_is_made_from_half_a_letter_sheet(self) -> None:
        (piece,) = resolved("tent", Unit.IN).pieces
        short, long = letter()
        corner = piece.outline.vertices[2].at
        assert (corner.x, corner.y) == (long / 2 * IN, short * IN)
        (ridge,) = piece.folds
        assert ridge.path.start.y == Fraction("4.25") * IN

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof("tent")) == (148, 105)
        assert closed_mm(proof("tent", back="60")) == (148, 105)

    def test_the_panels_lie_back_to_back(self) -> None:
        # The ridge is a mountain, so the outside stays outside.
        assert not lies_above(proof("tent"), "back", "front")


class TestStanding:
    def test_it_touches_the_table_with_an_edge_of_each_panel(self) -> None:
        rest = standing().asked
        assert rest.touching == (("tent", 0), ("tent", 1))
        assert rest.lying == ()
        assert rest.stands

    def test_the_worked_example(self) -> None:
        rest = standing().asked
        assert len(rest.polygon) == 4
        assert {round(x, 6) for x, _ in rest.polygon} == {0, 148}
        assert depth(rest.polygon) == pytest.approx(105)
        assert rest.margin_mm == pytest.approx(52.5)
        height = 105 * math.sqrt(3) / 4
        assert rest.centre[2] == pytest.approx(height)
        assert rest.tip_deg == pytest.approx(math.degrees(math.atan2(52.5, height)))

    @given(st.integers(30, 300), st.integers(0, 16), st.integers(30, 90), st.integers(40, 400))
    @settings(max_examples=30)
    def test_any_tent_stands_as_reckoned(
        self, front: int, share: int, spread: int, width: int
    ) -> None:
        f, s = float(front), math.radians(spread)
        least = max(20.0, f * math.cos(s))
        # A millionth inside of the limit, which need not be a fraction.
        b = min(f, round(least + (f - least) * share / 16 + 1e-6, 6))
        rest = standing(
            front=str(front), back=f"{b:.6f}", spread=f"{spread} deg", width=str(width)
        ).asked
        d = math.sqrt(f * f + b * b - 2 * f * b * math.cos(s))
        x = (d * d + f * f - b * b) / (2 * d)
        centre = (f * x / 2 + b * (d + x) / 2) / (f + b)
        assert depth(rest.polygon) == pytest.approx(d, abs=1e-3)
        assert rest.margin_mm == pytest.approx(min(centre, d - centre, width / 2), abs=1e-3)
        assert rest.centre[2] == pytest.approx(math.sqrt(f * f - x * x) / 2, abs=1e-3)
        assert rest.stands


class TestLimits:
    def test_a_back_that_would_lean_out_is_refused(self) -> None:
        resolved("tent", back="52.5")
        assert rules_of("tent", back="52.4") == {("below-least", "back")}
        assert rules_of("tent", back="70", spread="45 deg") == {("below-least", "back")}
        assert rules_of("tent", back="105.1") == {("above-most", "back")}

    def test_spreads(self) -> None:
        resolved("tent", spread="90 deg")
        assert rules_of("tent", spread="91 deg") == {("above-most", "spread")}
        assert rules_of("tent", spread="29 deg") == {("below-least", "spread")}


def depth(polygon: tuple[tuple[float, float], ...]) -> float:
    """How deep what it stands on is, across the ridge."""
    return max(y for _, y in polygon) - min(y for _, y in polygon)
