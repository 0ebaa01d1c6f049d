"""The pattern gate-overlapping: two flaps that share the width and their overlap.

By hand, with a middle panel of width w, an upper flap u, an overlap o.

Closure.  Shut, the upper flap lies from w - u to w, the under flap from 0 to its width; they
overlap by o where it is w + o - u wide.  The sheet is 2 w + o wide.

Closed.  Both flaps lie within the middle panel while neither is wider: w by the height.  The
upper flap ends w - u short of the under fold, the under flap u - o short of the upper one.

The worked measures are our own: 105, 70, 20 mm, and 4 1/4, 2 3/4, 3/4 in.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import load_pattern
from foldwright.measures import Unit
from foldwright.profiles.model import Tool
from foldwright.proving import prove_design

from .posed import extent, order_of, pose_of
from .published import iso, quarter_letter_mm, taken
from .shipped import closed_mm, proof, resolved, rules_of, started
from .shut import box_of, lies_above, stack_of

IN = Fraction("25.4")


def places(units: Unit = Unit.MM) -> list[Fraction]:
    """The places of the folds from the left edge, and the width of the sheet."""
    (piece,) = resolved("gate-overlapping", units).pieces
    folds = [fold.path.start.x for fold in piece.folds]
    return [Fraction(place) for place in (*folds, piece.outline.vertices[2].at.x)]


class TestWhereEverythingLies:
    def test_both_editions(self) -> None:
        # 105 + 20 - 70 = 55; 4 1/4 + 3/4 - 2 3/4 = 2 1/4.
        assert places() == [55, 160, 230]
        assert [place / IN for place in places(Unit.IN)] == [
            Fraction("2.25"), Fraction("6.5"), Fraction("9.25"),
        ]  # fmt: skip

    def test_it_closes_to_a6_and_to_a_quarter_of_a_letter_sheet(self) -> None:
        assert closed_mm(proof("gate-overlapping")) == iso("A6")
        assert closed_mm(proof("gate-overlapping", Unit.IN)) == pytest.approx(quarter_letter_mm())

    def test_the_upper_flap_lies_over_the_under_one(self) -> None:
        found = proof("gate-overlapping")
        assert box_of(found, "under flap") == (0, 0, 55, 148)
        assert box_of(found, "upper flap") == (35, 0, 105, 148)
        assert lies_above(found, "upper flap", "under flap")
        assert lies_above(found, "under flap", "middle")
        thickest = stack_of(found).thickness.thickest
        assert thickest is not None
        assert len(thickest.plies) == 3

    @given(st.integers(50, 300), st.integers(1, 12), st.integers(0, 8), st.integers(0, 8))
    @settings(max_examples=20)
    def test_each_flap_ends_short_of_the_others_fold(
        self, width: int, halves: int, first: int, second: int
    ) -> None:
        tuck = Fraction(halves, 2)
        upper = 20 + (width - tuck - 20) * first / 8
        overlap = 10 + (upper - tuck - 10) * second / 8
        found = proof(
            "gate-overlapping",
            width=str(width), tuck=str(tuck), upper=str(upper), overlap=str(overlap),
        )  # fmt: skip
        left, right = box_of(found, "upper flap")[0], box_of(found, "under flap")[2]
        assert left >= float(tuck) - 1e-5
        assert right <= float(width - tuck) + 1e-5
        assert right - left == pytest.approx(float(overlap), abs=1e-5)


class TestHalfShut:
    def test_folded_in_turn_no_flap_passes_through_the_other(self) -> None:
        # Turned together, the flaps would meet half way.
        found = proof("gate-overlapping")
        assert pose_of(found, "closed").clashes_on_way
        assert order_of(found, "closed") == ["under fold", "upper fold"]
        half = pose_of(found, "half shut")
        assert half.folded.reached
        assert not half.clashes_on_way
        assert extent(found, "half shut", "under flap", 2) == (0, 0)
        assert extent(found, "half shut", "under flap", 0) == (55, 110)
        assert extent(found, "half shut", "upper flap", 2) == (0, 70)

    def test_it_stands_open_on_its_lower_edges(self) -> None:
        # By hand, panels weighing as they are wide: (55² + 70²) / 2 / 230 before the middle one.
        standing = pose_of(proof("gate-overlapping"), "standing").standing
        assert standing is not None
        assert standing.asked.margin_mm == pytest.approx((55**2 + 70**2) / 2 / 230)


class TestThickness:
    def test_the_tuck_is_what_printers_take_off(self) -> None:
        (tuck,) = [p for p in load_pattern("gate-overlapping").parameters if p.name == "tuck"]
        assert Fraction(tuck.default_in) == taken("per_panel")

    @pytest.mark.parametrize("units", list(Unit))
    def test_with_the_tuck_no_fold_takes_up_anything(self, units: Unit) -> None:
        # The widest flaps there are: both end a tuck short of a fold, which wraps the other one.
        found = prove_design(
            started("gate-overlapping", units),
            tool=Tool.KNIFE,
            overrides={"upper": "width - tuck", "overlap": "upper - tuck"},
        )
        (one,) = found.thickness
        assert one.wraps
        tolerance = found.profiles["card"]
        assert tolerance is not None
        assert max(one.wants_mm) < tolerance.gives_mm.value / 10


class TestLimits:
    def test_flaps_that_would_spill_are_refused(self) -> None:
        resolved("gate-overlapping", upper="103.5")
        assert rules_of("gate-overlapping", upper="103.6") == {("above-most", "upper")}

    def test_an_overlap_that_would_run_into_the_fold_is_refused(self) -> None:
        resolved("gate-overlapping", overlap="68.5")
        assert rules_of("gate-overlapping", overlap="68.6") == {("above-most", "overlap")}
        assert rules_of("gate-overlapping", overlap="9.9") == {("below-least", "overlap")}
