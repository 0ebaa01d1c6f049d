"""The pattern gate-meeting: two flaps that share the width of the middle panel with a clearance.

By hand, with a middle panel of width w, a clearance g, flaps l and r.

Closure.  Shut, the left flap lies from 0 to l on the middle panel, the right one from w - r to w.
They leave g free where l + g + r = w: the sheet is 2 w - g wide, its folds at l and l + w.

Closed.  Both flaps lie within the middle panel: w by the height.

Standing.  The flaps stand out at right angles from the middle panel.  Panels weigh as they are
wide, so the centre of mass is (l² + r²) / 2 / (w + l + r) in front of the middle panel.  With
the worked measures 51² / 207 = 12.57 mm.

Published: T15 and T13 of tests/published/thickness_folds.toml.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import load_pattern
from foldwright.measures import Unit

from .posed import extent, pose_of
from .published import iso, panels, quarter_letter_mm, taken
from .shipped import closed_mm, proof, resolved, rules_of
from .shut import box_of, lies_above

IN = Fraction("25.4")


def places(units: Unit = Unit.MM, **overrides: str) -> list[Fraction]:
    """The places of the folds from the left edge, and the width of the sheet."""
    (piece,) = resolved("gate-meeting", units, **overrides).pieces
    folds = [fold.path.start.x for fold in piece.folds]
    return [Fraction(place) for place in (*folds, piece.outline.vertices[2].at.x)]


class TestWhereEverythingLies:
    def test_the_metric_edition(self) -> None:
        assert places() == [51, 156, 207]
        (piece,) = resolved("gate-meeting").pieces
        assert [fold.senses for fold in piece.folds] == [("valley",), ("valley",)]

    def test_the_inch_edition(self) -> None:
        # (4 1/4 - 1/8) / 2 = 2 1/16, 2 1/16 + 4 1/4 = 6 5/16, 2 x 4 1/4 - 1/8 = 8 3/8.
        found = [place / IN for place in places(Unit.IN)]
        assert found == [Fraction("2.0625"), Fraction("6.3125"), Fraction("8.375")]

    def test_it_closes_to_a6_and_to_a_quarter_of_a_letter_sheet(self) -> None:
        assert closed_mm(proof("gate-meeting")) == iso("A6")
        assert closed_mm(proof("gate-meeting", Unit.IN)) == pytest.approx(quarter_letter_mm())

    def test_the_flaps_lie_side_by_side_on_the_middle_panel(self) -> None:
        found = proof("gate-meeting")
        assert box_of(found, "middle") == (0, 0, 105, 148)
        assert box_of(found, "left flap") == (0, 0, 51, 148)
        assert box_of(found, "right flap") == (54, 0, 105, 148)
        assert lies_above(found, "left flap", "middle")
        assert lies_above(found, "right flap", "middle")

    @given(st.integers(50, 300), st.integers(1, 40), st.integers(0, 16))
    @settings(max_examples=20)
    def test_what_is_left_between_the_flaps_is_the_clearance(
        self, width: int, halves: int, share: int
    ) -> None:
        clearance = Fraction(halves, 2)
        left = 10 + (width - clearance - 20) * share / 16
        found = proof("gate-meeting", width=str(width), clearance=str(clearance), left=str(left))
        between = box_of(found, "right flap")[0] - box_of(found, "left flap")[2]
        assert between == pytest.approx(float(clearance), abs=2e-6)


class TestStanding:
    def test_the_flaps_stand_out_at_right_angles(self) -> None:
        found = proof("gate-meeting")
        # The middle panel is the largest, and stays where it is flat; its front looks to +z.
        for flap, x, reach in (("left flap", 51, 51), ("right flap", 156, 51)):
            assert extent(found, "standing", flap, 0) == (x, x)
            assert extent(found, "standing", flap, 2) == (0, reach)

    def test_it_stands_on_its_lower_edges(self) -> None:
        standing = pose_of(proof("gate-meeting"), "standing").standing
        assert standing is not None
        rest = standing.asked
        assert (len(rest.touching), rest.lying) == (3, ())
        assert rest.margin_mm == pytest.approx(51 * 51 / 207)
        assert rest.centre[2] == pytest.approx(74)


class TestPublished:
    def test_the_clearance_is_what_printers_leave(self) -> None:
        (clearance,) = [p for p in load_pattern("gate-meeting").parameters if p.name == "clearance"]
        assert Fraction(clearance.default_in) == taken("gap")
        # 1/16 in of each of two equal flaps: half of the width less that.
        left, right, sheet = (place / IN for place in places(Unit.IN))
        assert left == sheet - right == Fraction("4.25") / 2 - taken("per_panel")

    def test_a_four_panel_gate_of_17_inches(self) -> None:
        # T13: shut, and then folded in the middle, it is the meeting gate whose middle panel is
        # two of the wide panels and whose flaps are the two narrow ones.
        wide, narrow = max(panels("T13")), min(panels("T13"))
        found = [
            place / IN
            for place in places(Unit.IN, width=str(2 * wide), clearance=str(taken("gap")))
        ]
        assert found == [narrow, narrow + 2 * wide, sum(panels("T13"))]


class TestLimits:
    def test_both_flaps_keep_ten_millimetres(self) -> None:
        resolved("gate-meeting", left="92")
        assert rules_of("gate-meeting", left="92.1") == {("above-most", "left")}
        assert rules_of("gate-meeting", left="9.9") == {("below-least", "left")}

    def test_clearances(self) -> None:
        assert rules_of("gate-meeting", clearance="0.4") == {("below-least", "clearance")}
        assert rules_of("gate-meeting", clearance="20.1") == {("above-most", "clearance")}
