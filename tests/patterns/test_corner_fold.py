"""The pattern corner-fold: a corner reflected in a line, on to the sheet.

By hand, with the corner at the origin, x to the left and y down, the fold from (c, 0) to
(0, d).  The foot of the perpendicular from the corner on x / c + y / d = 1 is (d, c) times
c d / (c² + d²), and the tip twice that: (2 c d², 2 c² d) / (c² + d²).  With c = d = 40 mm it is
(40, 40); with 60 and 30 mm it is (24, 48).

On a sheet of w by h the tip stays while 2 c d² <= w (c² + d²) and 2 c² d <= h (c² + d²).  The
first holds for every d where 2 c <= w, else for d <= c sqrt(w / (2 c - w)): on 105 mm with 80 mm
across, 80 sqrt(105 / 55) = 110.53 mm.  The second is a square in d without roots where c < h,
else it holds for d <= c h / (c + sqrt(c² - h²)): on a height of 100 mm with 150 mm across,
15000 / (150 + sqrt(12500)) = 57.29 mm.

Closed.  w by h, for a part of each edge at the corner is left.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.measures import Unit
from foldwright.proving import Proof

from .posed import pose_of
from .published import iso, quarter_letter_mm
from .shipped import closed_mm, proof, resolved, rules_of
from .shut import box_of, front_up, key_of, lies_above, stack_of
from .within_limits import within_limits

IN = Fraction("25.4")


def tip_of(found: Proof) -> tuple[float, float]:
    """Where the corner comes to lie in the closed card, from the lower left one."""
    (piece,) = found.resolved.pieces
    footprint = stack_of(found).cover.footprints[key_of(found, "corner")]
    at = piece.outline.vertices[2].at.floats()
    x, y, _ = footprint.placed.apply3((*at, 0.0))
    return x, y


def reckoned(found: Proof) -> tuple[float, float]:
    """The same by hand."""
    w, h, c, d = (
        float(found.resolved.measures[name]) for name in ("width", "height", "across", "down")
    )
    return w - 2 * c * d * d / (c * c + d * d), h - 2 * c * c * d / (c * c + d * d)


class TestWhereEverythingLies:
    def test_the_metric_edition(self) -> None:
        (piece,) = resolved("corner-fold").pieces
        (fold,) = piece.folds
        assert [(v.at.x, v.at.y) for v in fold.path.vertices] == [(65, 148), (105, 108)]
        assert fold.senses == ("valley",)

    def test_the_inch_edition(self) -> None:
        (piece,) = resolved("corner-fold", Unit.IN).pieces
        (fold,) = piece.folds
        assert [(v.at.x / IN, v.at.y / IN) for v in fold.path.vertices] == [
            (Fraction("2.75"), Fraction("5.5")), (Fraction("4.25"), 4),
        ]  # fmt: skip

    def test_the_sheet_is_a6_or_a_quarter_of_a_letter_sheet(self) -> None:
        assert closed_mm(proof("corner-fold")) == iso("A6")
        assert closed_mm(proof("corner-fold", Unit.IN)) == pytest.approx(quarter_letter_mm())


class TestTheTip:
    def test_at_45_degrees(self) -> None:
        assert tip_of(proof("corner-fold")) == pytest.approx((65, 108))

    def test_at_another_angle(self) -> None:
        assert tip_of(proof("corner-fold", across="60", down="30")) == pytest.approx((81, 100))

    @given(st.data())
    @settings(max_examples=25)
    def test_it_stays_on_the_sheet_whatever_the_angle(self, data: st.DataObject) -> None:
        found = proof("corner-fold", Unit.MM, **data.draw(within_limits("corner-fold")))
        x, y = tip_of(found)
        assert (x, y) == pytest.approx(reckoned(found), abs=1e-6)
        width, height = closed_mm(found)
        assert -1e-6 <= x <= width
        assert -1e-6 <= y <= height
        left, bottom, right, top = box_of(found, "corner")
        assert min(left, bottom) >= 0
        assert (right, top) <= (width + 1e-6, height + 1e-6)

    def test_the_corner_lies_on_the_front_and_shows_its_back(self) -> None:
        found = proof("corner-fold")
        assert front_up(found, "sheet")
        assert not front_up(found, "corner")
        assert lies_above(found, "corner", "sheet")


class TestLimits:
    def test_a_tip_past_the_left_edge_is_refused(self) -> None:
        most = 80 * math.sqrt(105 / 55)
        found = proof("corner-fold", across="80", down=f"{math.floor(most * 1e6) / 1e6}")
        assert tip_of(found)[0] == pytest.approx(0, abs=1e-5)
        assert rules_of("corner-fold", across="80", down=f"{most + 0.001}") == {
            ("above-most", "down")
        }

    def test_a_tip_past_the_lower_edge_is_refused(self) -> None:
        most = 15000 / (150 + math.sqrt(12500))
        wide = {"width": "200", "height": "100", "across": "150"}
        found = proof("corner-fold", Unit.MM, **wide, down=f"{math.floor(most * 1e6) / 1e6}")
        assert tip_of(found)[1] == pytest.approx(0, abs=1e-5)
        assert rules_of("corner-fold", Unit.MM, **wide, down=f"{most + 0.001}") == {
            ("above-most", "down")
        }

    @pytest.mark.parametrize("across", ["20", "40", "52.5"])
    def test_a_short_fold_may_run_down_all_of_the_edge(self, across: str) -> None:
        resolved("corner-fold", across=across, down="143")
        assert rules_of("corner-fold", across=across, down="143.1") == {("above-most", "down")}

    def test_corners_have_room_for_a_mat(self) -> None:
        assert ("below-least", "across") in rules_of("corner-fold", across="19")
        assert rules_of("corner-fold", down="19") == {("below-least", "down")}
        assert rules_of("corner-fold", across="100.1", down="40") == {("above-most", "across")}


def test_half_open_the_corner_stands_up() -> None:
    found = proof("corner-fold")
    (piece,) = found.resolved.pieces
    motion = pose_of(found, "half open").folded.placed[key_of(found, "corner")]
    x, y, z = motion.apply3((*piece.outline.vertices[2].at.floats(), 0.0))
    # Over the foot of the perpendicular, as high as that is long.
    assert (x, y, z) == pytest.approx((85, 128, 20 * math.sqrt(2)))
