"""The pattern centre-steps: steps between two plain strips, which may differ in width.

By hand, with n steps of tread t and riser r, gutter at g, sheet w by l:

Folds.  From the top of the stair, g + n r, down: t, r, t, r ... to g - n t.  With the worked
measures (148 x 210 mm, n = 2, t = 30, r = 35, g = 105) that is 175, 145, 110, 80, 45.

Closure.  A stair's treads lie along the floor and its risers along the wall at every angle of
the gutter, so the loop round a slit is the sum n t along the floor and n r along the wall, which
the strip has from the gutter to the slit's ends: a length of strip is in no sum.

Closed.  The wall lies on the floor, distances from the gutter outwards: the stair starts at n r;
a tread leads out by t, a riser back by r.  Its mountain folds lie at n r + k t - (k - 1) r for
k = 1 to n, its valleys at n r + k (t - r) for k = 0 to n.  Both are linear in k, so the farthest
is n r + t or n t + r, the nearest min(n r, n t): so deep is the bay at the spine.

Freedom.  With the gutter held, wall and floor are fixed and so is the other gutter.  A chain of
2 n + 1 parallel folds between them keeps three conditions of the plane: 2 n - 2 freedoms are left.

The worked measures are common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, MeasureDraft, load_pattern, measures
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.proving import prove_design

from .posed import extent, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

IN = Fraction("25.4")


class TestWhereEverythingLies:
    def test_the_metric_edition(self) -> None:
        (piece,) = resolved("centre-steps").pieces
        folds = {fold.name: fold for fold in piece.folds}
        assert [folds[f"steps {i}"].path.start.y for i in range(1, 6)] == [175, 145, 110, 80, 45]
        assert [str(*folds[f"steps {i}"].senses) for i in range(1, 6)] == [
            "valley", "mountain", "valley", "mountain", "valley",
        ]  # fmt: skip
        assert {(at.x, at.y) for cut in piece.slits for at in (cut.path.start, cut.path.end)} == {
            (35, 45), (35, 175), (113, 45), (113, 175),
        }  # fmt: skip
        for side, ends in (("left", [0, 35]), ("right", [113, 148])):
            path = folds[f"{side} gutter"].path
            assert [path.start.x, path.end.x] == ends
            assert path.start.y == path.end.y == 105

    def test_the_inch_edition(self) -> None:
        # On 5 3/4 x 8 1/4 in: gutter at 4 1/8, treads of 1 1/8, risers of 1 3/8.
        (piece,) = resolved("centre-steps", Unit.IN).pieces
        folds = {fold.name: fold for fold in piece.folds}
        assert [folds[f"steps {i}"].path.start.y / IN for i in range(1, 6)] == [
            Fraction(55, 8), Fraction(46, 8), Fraction(35, 8), Fraction(26, 8), Fraction(15, 8),
        ]  # fmt: skip
        assert {cut.path.start.x / IN for cut in piece.slits} == {Fraction(11, 8), Fraction(35, 8)}

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof("centre-steps")) == (148, 105)
        assert closed_mm(proof("centre-steps", Unit.IN)) == (146.05, 104.775)


class TestHowItCloses:
    @given(
        st.integers(1, 8),
        st.fractions(12, 40, max_denominator=16),
        st.fractions(6, 40, max_denominator=16),
        st.fractions(10, 60, max_denominator=16),
        st.fractions(10, 60, max_denominator=16),
    )
    @settings(max_examples=20)
    def test_strips_of_any_width(
        self, steps: int, tread: Fraction, riser: Fraction, left: Fraction, right: Fraction
    ) -> None:
        page = max(steps * tread + 8, steps * riser + 8, steps * riser + tread + 2, Fraction(40))
        page = max(page, steps * tread + riser + 2)
        found = proof(
            "centre-steps",
            length=str(2 * page), steps=str(steps), tread=str(tread), riser=str(riser),
            left=str(left), right=str(right),
        )  # fmt: skip
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0
        (piece,) = found.pieces
        assert [loop.exact for loop in piece.closings] == [True, True]

    @pytest.mark.parametrize(("height", "gap"), [("gutter_y", 0), ("gutter_y + 1 mm", 2)])
    def test_both_strips_fold_at_one_height(self, height: str, gap: float) -> None:
        # A fold moved by d moves all beyond it by 2 d in the closed card.
        (base,) = load_pattern("centre-steps").parts({"steps": 2}).pieces
        left, right = base.folds
        moved = replace(right, points=[("width - right", height), ("width", height)])
        design = Design(
            name="Two gutters",
            measures=measures(
                width=148,
                length=210,
                gutter_y=105,
                left=35,
                right=35,
                tread=30,
                riser=35,
                steps=MeasureDraft(value=2, count=True),
            ),
            pieces=(replace(base, folds=(left, moved)),),
        )
        found = prove_design(design)
        assert found.verdict is (Verdict.CLOSES if gap == 0 else Verdict.BUCKLES)
        assert found.gap_mm == gap

    @pytest.mark.parametrize(("tread", "riser", "bay"), [("30", "35", 60), ("40", "20", 40)])
    def test_the_bay_at_the_spine(self, tread: str, riser: str, bay: float) -> None:
        found = proof("centre-steps", tread=tread, riser=riser)
        stair = [f"{name} {i}" for name in ("tread", "riser") for i in (1, 2)]
        # The spine lies at 105 mm, whichever page lies still.
        off = [abs(y - 105) for panel in stair for y in extent(found, "closed", panel, 1)]
        assert min(off) == bay
        n, t, r = 2, int(tread), int(riser)
        assert max(off) == max(n * t + r, n * r + t)


class TestHowItStands:
    @pytest.mark.parametrize("steps", [1, 2, 5])
    def test_what_is_free(self, steps: int) -> None:
        found = proof("centre-steps", steps=str(steps), tread="18", riser="12")
        pose = pose_of(found, "standing")
        assert pose.folded.reached
        assert pose.freedom is not None
        assert pose.freedom.count == 2 * steps - 2

    def test_treads_are_level_and_risers_upright(self) -> None:
        # The gutter lies at 105 mm, the wall stands there; the table is z = 0.
        found = proof("centre-steps")
        for step, (back, height) in enumerate(((105, 70), (75, 35)), start=1):
            assert extent(found, "standing", f"tread {step}", 1) == (back - 30, back)
            assert extent(found, "standing", f"tread {step}", 2) == (height, height)
            assert extent(found, "standing", f"riser {step}", 1) == (back - 30, back - 30)
            assert extent(found, "standing", f"riser {step}", 2) == (height - 35, height)


class TestLimits:
    def test_what_would_spill_is_refused(self) -> None:
        # 2 risers and a tread of 30 mm, or 2 treads and a riser, and 2 mm: a page of 105 mm.
        resolved("centre-steps", riser="36.5")
        assert rules_of("centre-steps", riser="36.6") == {("above-most", "riser")}
        resolved("centre-steps", tread="48", riser="7")
        assert rules_of("centre-steps", tread="48", riser="7.1") == {("above-most", "riser")}

    def test_slits_keep_off_the_edges(self) -> None:
        # Two treads and 8 mm below the gutter, two risers and 8 mm above it.
        resolved("centre-steps", gutter_y="132")
        assert rules_of("centre-steps", gutter_y="132.1") == {("above-most", "riser")}
        resolved("centre-steps", gutter_y="68")
        assert rules_of("centre-steps", gutter_y="67.9") == {("above-most", "tread")}

    def test_strips_leave_a_band(self) -> None:
        # 148 mm less a band of 20 mm.
        resolved("centre-steps", left="80", right="48")
        assert rules_of("centre-steps", left="80", right="48.1") == {("above-most", "right")}
        assert rules_of("centre-steps", left="119", right="10") >= {("above-most", "left")}
        assert rules_of("centre-steps", right="9.9") == {("below-least", "right")}

    def test_too_many_steps_are_told(self) -> None:
        assert rules_of("centre-steps", steps="8") == {("too-many-of-it", "steps")}
        assert rules_of("centre-steps", steps="9") == {("above-most", "steps")}
