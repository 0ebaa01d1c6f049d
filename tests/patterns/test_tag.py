"""The pattern tag: an outline and a hole, and how much paper is left between them.

By hand, on a tag of width w with corners c, a hole of radius r and a ligament l.  The middle
of the hole is l + r below the upper edge, and (w / 2 - c + l + r) / sqrt(2) from each slant.
With 50, 12, 2.5 and 7 mm the slants are 22.5 / sqrt(2) - 2.5 = 13.41 mm from the hole.  At the
largest corner, w / 2 - (sqrt(2) - 1) (l + r) = 21.06 mm, they are l from it too.

Its area is w h - c² - pi r²: 4500 - 144 - 19.63 = 4336.37 mm², on card of 300 g/m² 1.30 g.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Resolved
from foldwright.measures import Unit

from .shipped import closed_mm, proof, resolved, rules_of
from .within_limits import within_limits

IN = Fraction("25.4")
LARGEST = 25 - (math.sqrt(2) - 1) * 9.5


def to_slants(found: Resolved) -> float:
    """The paper between the hole and the nearer of the two slanted edges, from the outline."""
    (piece,) = found.pieces
    (hole,) = piece.openings
    left, bottom, right, top = hole.path.box()
    x, y, radius = (left + right) / 2, (bottom + top) / 2, (right - left) / 2
    (_, _, a, b, c, d) = (v.at.floats() for v in piece.outline.vertices)
    return min(away(x, y, *a, *b), away(x, y, *c, *d)) - radius


def away(x: float, y: float, x0: float, y0: float, x1: float, y1: float) -> float:
    """How far a place is from a line."""
    return abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / math.hypot(x1 - x0, y1 - y0)


class TestTheSheet:
    @pytest.mark.parametrize(
        ("units", "factor", "width", "height", "corner"),
        [
            (Unit.MM, Fraction(1), Fraction(50), Fraction(90), Fraction(12)),
            (Unit.IN, IN, Fraction(2), Fraction("3.5"), Fraction("0.5")),
        ],
    )
    def test_both_editions(
        self, units: Unit, factor: Fraction, width: Fraction, height: Fraction, corner: Fraction
    ) -> None:
        (piece,) = resolved("tag", units).pieces
        assert [(v.at.x / factor, v.at.y / factor) for v in piece.outline.vertices] == [
            (0, 0),
            (width, 0),
            (width, height - corner),
            (width - corner, height),
            (corner, height),
            (0, height - corner),
        ]
        assert not piece.folds
        assert closed_mm(proof("tag", units)) == pytest.approx(
            (float(width * factor), float(height * factor))
        )

    def test_the_hole(self) -> None:
        (piece,) = resolved("tag").pieces
        (hole,) = piece.openings
        assert hole.path.box() == pytest.approx((22.5, 78, 27.5, 83))

    def test_what_it_weighs(self) -> None:
        closed = proof("tag").closed
        assert closed is not None
        area = 50 * 90 - 12**2 - math.pi * 2.5**2
        assert closed.mass_g == pytest.approx(area * 300e-6, abs=1e-3)

    def test_it_has_no_pose_of_its_own(self) -> None:
        assert [pose.name for pose in proof("tag").poses] == ["flat", "open", "closed"]


class TestTheLigament:
    def test_the_worked_example(self) -> None:
        assert to_slants(resolved("tag")) == pytest.approx(22.5 / math.sqrt(2) - 2.5)

    def test_at_the_largest_corner_it_is_the_same_all_round(self) -> None:
        found = resolved("tag", corner=f"{math.floor(LARGEST * 1e6) / 1e6}")
        assert to_slants(found) == pytest.approx(7, abs=1e-5)
        assert rules_of("tag", corner=f"{LARGEST + 0.001}") == {("above-most", "corner")}

    @given(st.data())
    @settings(max_examples=40)
    def test_it_is_kept_on_all_sides(self, data: st.DataObject) -> None:
        found = resolved("tag", Unit.MM, **data.draw(within_limits("tag")))
        (piece,) = found.pieces
        (hole,) = piece.openings
        ligament = float(found.measures["ligament"])
        left, bottom, right, top = hole.path.box()
        width, height = float(found.measures["width"]), float(found.measures["height"])
        assert height - top == pytest.approx(ligament, abs=1e-6)
        assert min(left, width - right, to_slants(found)) >= ligament - 1e-6
        assert bottom >= ligament


class TestLimits:
    def test_a_hole_keeps_its_ligament(self) -> None:
        assert rules_of("tag", ligament="3.9") == {("below-least", "ligament")}
        assert ("above-most", "ligament") in rules_of("tag", ligament="22.6")

    def test_lengths(self) -> None:
        assert rules_of("tag", hole="2.9") == {("below-least", "hole")}
        assert rules_of("tag", hole="10.1") == {("above-most", "hole")}
        assert rules_of("tag", corner="2.9") == {("below-least", "corner")}
