"""The pattern square-twist: a square that twists as the four pleats round it close.

A pleat p wide leaves a side of the square at the angle g, so the side is p / sin(g) long, and
its corners lie (p / tan(g) - p) / 2 and (p / tan(g) + p) / 2 from the middle of the sheet.  With
g = 45 degrees these are 0 and p: the square stands on its corner, p from the middle.  Round a
corner the sectors are g, 90, 180 - g and 90 degrees.

Closed, the two folds of each pleat are two reflections in parallel lines p apart, which is a
shift by 2 p: the sheet gets smaller by 2 p each way.

In between two folds that meet across a corner turn alike, and the half-angle tangents of two
sides that meet there are as 1 to m = cos((90 - g) / 2) / sin((90 - g) / 2), or m to 1 where their
senses differ (tests/published/folding.toml, F21).  With the first side at 90 degrees the
second, of its sense, stands at 2 atan(m) = 90 + g degrees, the third at 90 again, the fourth at
90 + g.
"""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from foldwright.design import Resolved, load_pattern
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.stacking.spill import Spilled

from .posed import pose_of
from .shipped import closed_mm, proof, resolved, rules_of

PUBLISHED = Path(__file__).parents[1] / "published" / "folding.toml"
FACTS = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
MULTIPLIERS = next(one["value"] for one in FACTS["fact"] if one["id"] == "F23")


def corners(found: Resolved) -> list[tuple[float, float]]:
    """The corners of the square, from the middle of the sheet."""
    (piece,) = found.pieces
    by_name = {fold.name: fold for fold in piece.folds}
    middle = piece.outline.vertices[2].at
    return [
        (float(at.x - middle.x / 2), float(at.y - middle.y / 2))
        for at in (by_name[f"side {k}"].path.start for k in range(1, 5))
    ]


def turned(angle: str = "45", pleat: str = "18") -> dict[str, float]:
    """What every fold is turned by with the first side at 90 degrees."""
    found = proof("square-twist", angle=angle, pleat=pleat)
    (piece,) = found.pieces
    angles = pose_of(found, "half folded").folded.turned
    return {hinge.label: angles["twist", hinge.index] for hinge in piece.division.hinges}


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "sheet", "pleat"), [(Unit.MM, 150, 18), (Unit.IN, 6, Fraction(3, 4))]
    )
    def test_the_square_stands_on_its_corner(
        self, units: Unit, sheet: int, pleat: Fraction
    ) -> None:
        inch = Fraction("25.4") if units is Unit.IN else 1
        found = resolved("square-twist", units)
        (piece,) = found.pieces
        assert piece.outline.vertices[2].at.x == piece.outline.vertices[2].at.y == sheet * inch
        p = float(pleat * inch)
        assert corners(found) == [(0, -p), (p, 0), (0, p), (-p, 0)]

    @pytest.mark.parametrize("g", [30, 40, 57])
    def test_the_square_at_any_angle(self, g: int) -> None:
        found = corners(resolved("square-twist", angle=str(g), pleat="20"))
        less = (20 / math.tan(math.radians(g)) - 20) / 2
        assert found[0] == pytest.approx((-less, -less - 20))
        for k in range(4):
            (x, y), (u, v) = found[k], found[(k + 1) % 4]
            assert (u, v) == pytest.approx((-y, x))
            assert math.hypot(u - x, v - y) == pytest.approx(20 / math.sin(math.radians(g)))

    @pytest.mark.parametrize("g", [45, 52])
    def test_the_vertices_fold_flat(self, g: int) -> None:
        # Kawasaki: every other sector adds to 180 degrees; Maekawa: three of one sense, one of
        # the other; the big-little-big lemma: two senses beside the narrowest sector.
        (piece,) = resolved("square-twist", angle=str(g), pleat="20").pieces
        by_name = {fold.name: fold for fold in piece.folds}
        for k in range(1, 5):
            before = (k - 2) % 4 + 1
            round_it = [f"side {k}", f"side {before}", f"pleat {before} second", f"pleat {k} first"]
            corner = by_name[f"side {k}"].path.start
            senses: list[str] = []
            headings = []
            for name in round_it:
                ends = [by_name[name].path.start, by_name[name].path.end]
                (far,) = [end for end in ends if math.dist(end.floats(), corner.floats()) > 1e-6]
                headings.append(math.degrees(math.atan2(far.y - corner.y, far.x - corner.x)))
                senses += by_name[name].senses
            sectors = [(headings[(i + 1) % 4] - headings[i]) % 360 for i in range(4)]
            assert sectors == pytest.approx([90, 180 - g, 90, g])
            assert sorted(senses.count(one) for one in set(senses)) == [1, 3]
            assert senses[3] != senses[0]

    def test_two_neighbouring_sides_are_mountains(self) -> None:
        (piece,) = resolved("square-twist").pieces
        by_name = {fold.name: fold for fold in piece.folds}
        assert [by_name[f"side {k}"].senses[0] for k in range(1, 5)] == [
            "mountain", "mountain", "valley", "valley",
        ]  # fmt: skip


class TestClosed:
    def test_the_sheet_shrinks_by_two_pleats(self) -> None:
        assert closed_mm(proof("square-twist")) == (114, 114)
        assert closed_mm(proof("square-twist", Unit.IN)) == (114.3, 114.3)
        assert closed_mm(proof("square-twist", height="120", pleat="15")) == (120, 90)

    def test_it_closes_in_fractions_at_45_degrees(self) -> None:
        (piece,) = proof("square-twist").pieces
        assert len(piece.closings) == 4
        assert all(one.exact and one.verdict is Verdict.CLOSES for one in piece.closings)

    def test_corners_cover_it_with_three_plies_in_a_pleat_and_five_in_the_square(self) -> None:
        stack = proof("square-twist").closed_stack
        assert stack is not None
        assert isinstance(stack.spilled, Spilled)
        assert stack.spilled.named
        assert not stack.spilled.spills
        assert stack.spilled.outline.area == pytest.approx(114 * 114)
        assert {len(cell.panels) for cell in stack.cover.cells} == {1, 3, 5}


class TestOnTheWay:
    @pytest.mark.parametrize("g", [30, 45, 60])
    def test_its_sides_turn_by_the_ratios_of_the_theory(self, g: int) -> None:
        angle = turned(angle=str(g), pleat="20")
        m = 1 / math.tan(math.radians(90 - g) / 2)
        second = 2 * math.degrees(math.atan(m))
        assert second == pytest.approx(90 + g)
        assert [angle[f"side {k}"] for k in range(1, 5)] == pytest.approx([90, second] * 2)
        for k in range(1, 5):
            # What runs on across a corner turns like what comes to it.
            before, after = (k - 2) % 4 + 1, k % 4 + 1
            assert angle[f"pleat {k} first"] == pytest.approx(angle[f"side {before}"])
            assert angle[f"pleat {k} second"] == pytest.approx(angle[f"side {after}"])

    def test_the_ratio_at_45_degrees_is_the_published_one(self) -> None:
        angle = turned()
        ratio = math.tan(math.radians(angle["side 2"] / 2)) / math.tan(
            math.radians(angle["side 1"] / 2)
        )
        assert ratio == pytest.approx(-MULTIPLIERS["s45_90"][1], abs=1e-8)

    def test_nothing_bends_and_one_held_fold_holds_all(self) -> None:
        found = proof("square-twist")
        assert not {one.rule for one in found.findings} & {"bends-on-the-way", "pose-strained"}
        pose = pose_of(found, "half folded")
        assert pose.folded.bends is None
        assert pose.freedom is not None
        assert pose.freedom.count == 0
        assert max(point.gap_mm for point in pose.folded.way) < 1e-9

    def test_it_says_so(self) -> None:
        assert FACTS["square_twist"]["source"]
        assert "without bending" in load_pattern("square-twist").about
        assert "multiply to 1" in load_pattern("square-twist").closure


class TestLimits:
    def test_a_pleat_leaves_room_beside_the_square(self) -> None:
        # (150 - 20) / (3 + 1) = 32.5 mm; at 60 degrees (150 - 20) / (3 + 1 / sqrt 3) = 36.3 mm.
        resolved("square-twist", pleat="32.5")
        assert rules_of("square-twist", pleat="32.6") == {("above-most", "pleat")}
        resolved("square-twist", pleat="36.3", angle="60")
        assert rules_of("square-twist", pleat="36.4", angle="60") == {("above-most", "pleat")}
        assert rules_of("square-twist", pleat="7.9") == {("below-least", "pleat")}

    def test_angles_and_sheets(self) -> None:
        assert rules_of("square-twist", angle="29") == {("below-least", "angle")}
        assert rules_of("square-twist", angle="61") == {("above-most", "angle")}
        assert ("below-least", "width") in rules_of("square-twist", width="79", pleat="8")
