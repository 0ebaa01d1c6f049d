"""The pattern v-fold-pop-up: two wings that stand up from the gutter of a card.

Both glue lines make the angle p with the gutter, both creases of the piece the angle w with its
ridge.  With the pages opened by t, h = t / 2, let the gutter lie along y and the plane midway
between the pages be x = 0.  A glue line then points along (sin p sin h, cos p, sin p cos h), and
the ridge, by symmetry in that plane, along (0, cos r, sin r).  The angle between them is w:
cos w = cos p cos r + sin p cos h sin r.  Closed, h = 0, it is r - p: r = p + w, the wing lies on
the page beyond its glue line.  Flat open, h = 90, cos r = cos w / cos p, which no r fulfils
where w is less than p.

Closed, the corners of a wing are the point of the V at (0, y), the end of its glue line at
glue (sin p, cos p) and the top of the ridge at ridge (sin(p + w), cos(p + w)) from there; all
must stay 2 mm inside a page of width / 2 by height (common practice, no source).
"""

from __future__ import annotations

import math
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.problems import DesignError
from foldwright.proving import Proof
from foldwright.stacking.spill import Spilled

from .posed import pose_of
from .shipped import closed_mm, proof, resolved, rules_of

PUBLISHED = Path(__file__).parents[1] / "published" / "folding.toml"
FACTS = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
F31 = next(one["value"] for one in FACTS["fact"] if one["id"] == "F31")

PIECE = "pop-up"


def ridge_in(found: Proof, pose: str) -> float:
    """The ridge's angle to the gutter in a pose, in degrees, 0 to 180."""
    placed = pose_of(found, pose).folded.placed
    by_piece = {one.division.piece.name: one.division for one in found.pieces}
    ways = []
    for piece, name in ((PIECE, "ridge"), ("base", "gutter")):
        division = by_piece[piece]
        (hinge,) = [one for one in division.hinges if one.label == name]
        fold = division.fold_of(hinge)
        motion = placed[piece, hinge.left]
        start, end = (motion.apply3((*at.floats(), 0.0)) for at in (fold.path.start, fold.path.end))
        ways.append([b - a for a, b in zip(start, end, strict=True)])
    one, other = ways
    cosine = sum(a * b for a, b in zip(one, other, strict=True)) / math.hypot(*one)
    return math.degrees(math.acos(cosine / math.hypot(*other)))


def refused(values: dict[str, str]) -> set[tuple[str, str]]:
    """The rules by which these values are refused, with the measures; none where they fit."""
    try:
        resolved("v-fold-pop-up", Unit.MM, **values)
    except DesignError:
        return rules_of("v-fold-pop-up", Unit.MM, **values)
    return set()


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "inch", "card", "glue", "ridge", "point"),
        [(Unit.MM, 1, (160, 120), 50, 60, 45), (Unit.IN, 25.4, (6.5, 5), 2, 2.5, 1.75)],
    )
    def test_the_worked_example(
        self,
        units: Unit,
        inch: float,
        card: tuple[float, float],
        glue: float,
        ridge: float,
        point: float,
    ) -> None:
        found = resolved("v-fold-pop-up", units)
        base, piece = found.pieces
        width, height = (side * inch for side in card)
        assert base.outline.vertices[2].at.floats() == pytest.approx((width, height))
        for joint, side in zip(found.joints, (-1, 1), strict=True):
            start, end = joint.to.start, joint.to.end
            assert start.floats() == pytest.approx((width / 2, point * inch))
            assert math.dist(start.floats(), end.floats()) == pytest.approx(glue * inch)
            heading = math.degrees(math.atan2(end.x - start.x, end.y - start.y))
            assert heading == pytest.approx(side * 45)
            own = [at.floats() for at in (joint.glue.start, joint.glue.end)]
            assert math.dist(*own) == pytest.approx(glue * inch)
        folds = {fold.name: fold.path for fold in piece.folds}
        start, end = folds["ridge"].start, folds["ridge"].end
        assert end.x == start.x
        assert float(end.y - start.y) == pytest.approx(ridge * inch)
        for name, side in (("left crease", -1), ("right crease", 1)):
            crease = folds[name]
            heading = math.degrees(
                math.atan2(crease.end.x - crease.start.x, crease.end.y - crease.start.y)
            )
            assert heading == pytest.approx(side * 60)
        senses = {fold.name: fold.senses for fold in piece.folds}
        assert senses == {
            "ridge": ("mountain",), "left crease": ("valley",), "right crease": ("valley",),
        }  # fmt: skip

    def test_a_foot_is_as_deep_as_it_is_said_to_be(self) -> None:
        # A trapezium: glue long at the crease, two depths shorter at its edge.
        found = proof("v-fold-pop-up", foot="12 mm")
        division = found.pieces[1].division
        areas = {panel.name: panel.area for panel in division.panels}
        assert areas["left foot"] == pytest.approx(12 * (50 + 26) / 2)
        assert areas["right foot"] == pytest.approx(areas["left foot"])
        assert areas["left wing"] == pytest.approx(50 * 60 * math.sin(math.radians(60)) / 2)
        assert areas["right wing"] == pytest.approx(areas["left wing"])


class TestPoses:
    def test_the_published_angles(self) -> None:
        found = proof("v-fold-pop-up", page_angle=str(F31["al"]), wing_angle=str(F31["be"]))
        assert ridge_in(found, "open") == pytest.approx(F31["open180"], abs=1e-6)
        assert ridge_in(found, "standing") == pytest.approx(F31["open90"], abs=1e-6)
        assert ridge_in(found, "closed") == pytest.approx(F31["shut"], abs=1e-6)

    @given(st.integers(20, 70), st.integers(0, 20))
    @settings(max_examples=8)
    def test_the_ridge_makes_the_angle_of_the_derivation(self, p: int, more: int) -> None:
        w = min(p + 5 + more, 85)
        found = proof(
            "v-fold-pop-up",
            width="600 mm", height="600 mm", point_y="300 mm", page_angle=str(p),
            wing_angle=str(w),
        )  # fmt: skip
        assert ridge_in(found, "closed") == pytest.approx(p + w, abs=1e-6)
        for pose, h in (("standing", 45), ("open", 90)):
            r = math.radians(ridge_in(found, pose))
            across = math.sin(math.radians(p)) * math.cos(math.radians(h))
            assert math.cos(math.radians(p)) * math.cos(r) + across * math.sin(r) == pytest.approx(
                math.cos(math.radians(w)), abs=1e-9
            )

    def test_one_loop_closes_and_the_gutter_holds_it(self) -> None:
        found = proof("v-fold-pop-up")
        (loop,) = [loop for piece in found.pieces for loop in piece.closings]
        assert loop.verdict is Verdict.CLOSES
        pose = pose_of(found, "standing")
        assert pose.freedom is not None
        assert pose.freedom.count == 0
        # Six folds and glue lines in a ring, and both wings alike.
        angles = {
            hinge.label: pose.folded.turned[PIECE, hinge.index]
            for hinge in found.pieces[1].division.hinges
        }
        assert angles["left crease"] == pytest.approx(angles["right crease"])


class TestClosed:
    def test_it_is_as_large_as_a_page(self) -> None:
        assert closed_mm(proof("v-fold-pop-up")) == (80, 120)
        assert closed_mm(proof("v-fold-pop-up", Unit.IN)) == (82.55, 127)

    def test_nothing_sticks_out_and_six_plies_lie_where_the_feet_are(self) -> None:
        stack = proof("v-fold-pop-up").closed_stack
        assert stack is not None
        assert isinstance(stack.spilled, Spilled)
        assert not stack.spilled.spills
        assert not stack.spilled.beside
        assert max(len(cell.panels) for cell in stack.cover.cells) == 6


class TestLimits:
    def test_wings_reach_farther_than_the_glue_lines(self) -> None:
        assert rules_of("v-fold-pop-up", wing_angle="49.9") == {("below-least", "wing_angle")}
        resolved("v-fold-pop-up", wing_angle="50")

    def test_the_ridge_stays_inside_the_page(self) -> None:
        # (80 - 2) / sin 105 = 80.752 mm.
        resolved("v-fold-pop-up", ridge="80.7")
        assert rules_of("v-fold-pop-up", ridge="80.8") == {("above-most", "ridge")}

    def test_the_glue_line_stays_inside_the_page(self) -> None:
        # Along the page 78 / sin 45 = 110.3 mm; the corner of a foot of 10 mm, 10 mm before its
        # end, (78 - 10 cos 45) / sin 45 + 10 = 110.3 too; up the page 104 / cos 45 = 147 mm.
        for glue, told in (("110.3", set()), ("110.4", {("above-most", "glue")})):
            sheet = {"width": "160", "height": "240", "point_y": "60", "glue": glue}
            assert refused(sheet) == told

    def test_the_point_of_the_v_leaves_room_above_and_below(self) -> None:
        # Below: 2 mm and what the ridge leads down, 60 cos 75 = 15.529 mm.  Above: the end of
        # the glue line, 120 - 2 - 50 cos 45 = 82.645 mm.
        resolved("v-fold-pop-up", point_y="17.6")
        assert rules_of("v-fold-pop-up", point_y="17.5") == {("below-least", "point_y")}
        resolved("v-fold-pop-up", point_y="82.6")
        assert rules_of("v-fold-pop-up", point_y="82.7") == {("above-most", "point_y")}
