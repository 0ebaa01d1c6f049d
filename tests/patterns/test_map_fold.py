"""The pattern map-fold: a sheet of slanting cells that opens and shuts by one pull.

A sheet of width W and height H has m columns a = W / m wide and n rows; its zigzags rise by R
over a column, tan d = R / a.  Rows inside are b high, and the first and the last one, cut
straight, b at their longer side and b - R at the other: H = (n - 2) b + b + (b - R) = n b - R.

At a vertex the zigzag makes 90 - d with the upright on one side and 90 + d on the other, both
ways: opposite sectors add up to 180 degrees.  Turned by z and u, tan(u / 2) = sin d tan(z / 2)
(tests/published/folding.toml, F22, with the acute sector 90 - d).

Closed, reflections in the uprights lay all columns on the first.  Along the slant a place (x, y)
of it lies at x cos d + y sin d, which no reflection in a zigzag changes; across the slant its
rows lie to and fro between two lines b cos d apart.  So the stack is b cos d wide, and from the
corner (0, 0) to the corner (a, H) it is a cos d + H sin d long.  Of the sheet of whole cells
whose edge is a zigzag too, n rows of them, the corners lie R below and above these, and it is
a cos d + (H + 2 R) sin d = a / cos d + n b sin d long, for H + R = n b and R cos d = a sin d: the
published footprint.
"""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from pathlib import Path as File

import pytest
import shapely
from shapely import affinity

from foldwright.design import load_pattern
from foldwright.folding import Verdict
from foldwright.geometry import Path, Point
from foldwright.measures import Unit
from foldwright.proving import Proof
from foldwright.stacking.spill import Spilled

from .posed import pose_of
from .shipped import closed_mm, proof, resolved, rules_of

PUBLISHED = File(__file__).parents[1] / "published" / "folding.toml"
FACTS = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))
ZIGZAG = FACTS["zigzag_map"]
SCHENK = FACTS["miura_cell"]


def places(path: Path) -> list[Point]:
    """The places of a path of lines, from end to end."""
    return [path.start, *(segment.end for segment in path.segments)]


def footprint(found: Proof, slant_deg: float) -> tuple[float, float]:
    """How long the closed stack is along its slant, and how wide across it.

    Its largest cell, one of the second row, slants up or down.
    """
    stack = found.closed_stack
    assert stack is not None
    both = []
    for turn in (slant_deg, -slant_deg):
        left, low, right, high = affinity.rotate(stack.cover.outline, turn).bounds
        both.append((right - left, high - low))
    return min(both, key=lambda one: one[1])


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "sheet", "rise"),
        [
            (Unit.MM, (Fraction(210), Fraction(148)), Fraction(6)),
            (Unit.IN, (Fraction(65, 8), Fraction(11, 2)), Fraction(1, 4)),
        ],
    )
    def test_the_worked_example(
        self, units: Unit, sheet: tuple[Fraction, Fraction], rise: Fraction
    ) -> None:
        inch = Fraction("25.4") if units is Unit.IN else Fraction(1)
        (piece,) = resolved("map-fold", units).pieces
        width, height = sheet
        a, b = width / 5, (height + rise) / 4
        by_name = {fold.name: fold for fold in piece.folds}
        assert set(by_name) == {*(f"zigzag {j}" for j in (1, 2, 3))} | {
            f"upright {i}" for i in (1, 2, 3, 4)
        }
        for j in (1, 2, 3):
            found = [(at.x, at.y) for at in places(by_name[f"zigzag {j}"].path)]
            assert found == [
                (i * a * inch, (j * b - (0 if i % 2 else rise)) * inch) for i in range(6)
            ]
        for i in (1, 2, 3, 4):
            found = [(at.x, at.y) for at in places(by_name[f"upright {i}"].path)]
            rows = [Fraction(0), *(j * b - (0 if i % 2 else rise) for j in (1, 2, 3)), height]
            assert found == [(i * a * inch, y * inch) for y in rows]

    def test_senses_follow_the_theory(self) -> None:
        # Three of one sense and one of the other at each vertex (Maekawa), and not three alike
        # round the two sectors that are less than a right angle (the big-little-big lemma).
        (piece,) = resolved("map-fold", columns="4", rows="5").pieces
        by_name = {fold.name: fold.senses for fold in piece.folds}
        for j in range(1, 5):
            assert len(set(by_name[f"zigzag {j}"])) == 1
            assert by_name[f"zigzag {j}"] != by_name[f"zigzag {j % 4 + 1}"]
            for i in range(1, 4):
                zigzag = by_name[f"zigzag {j}"][0]
                below, above = by_name[f"upright {i}"][j - 1 : j + 1]
                assert below != above
                # A zigzag is highest at the odd uprights: there the narrow sectors lie below.
                assert (below if i % 2 else above) != zigzag


class TestClosed:
    @pytest.mark.parametrize(
        ("columns", "rows", "rise"), [(2, 3, 9), (5, 3, 4), (2, 4, 4), (5, 4, 9), (3, 5, 9)]
    )
    def test_the_stack_along_its_slant(self, columns: int, rows: int, rise: int) -> None:
        a, height = 30, 160
        found = proof(
            "map-fold",
            columns=str(columns), rows=str(rows), width=str(columns * a), height=str(height),
            rise=str(rise),
        )  # fmt: skip
        d = math.atan2(rise, a)
        b = (height + rise) / rows
        assert footprint(found, math.degrees(d)) == pytest.approx(
            (a * math.cos(d) + height * math.sin(d), b * math.cos(d)), abs=1e-6
        )

    def test_the_published_footprint(self) -> None:
        # Whole cells; the sheet of the pattern is cut straight, by R sin d at both ends.
        a, b, rise, rows = (ZIGZAG[key] for key in ("a", "b", "s", "rows"))
        found = proof(
            "map-fold",
            columns=str(ZIGZAG["columns"]), rows=str(rows), width=str(ZIGZAG["columns"] * a),
            height=str(rows * b - rise), rise=str(rise),
        )  # fmt: skip
        d = math.atan2(rise, a)
        length, width = footprint(found, math.degrees(d))
        assert length + 2 * rise * math.sin(d) == pytest.approx(ZIGZAG["footprint"][0], abs=0.05)
        assert width == pytest.approx(ZIGZAG["footprint"][1], abs=0.05)

    def test_the_closed_size_along_the_sheet(self) -> None:
        # tan d = 6 / 42 = 1 / 7: sin d cos d = 0.14, sin^2 d = 0.02; a = 42, b = 154 / 4 = 38.5.
        # Four rows: 42 + (148 - 6) 0.14 by 38.5 + 6.
        assert closed_mm(proof("map-fold")) == (61.88, 44.5)
        # Five: b = 154 / 5 = 30.8; 42 + (148 + 30.8 - 18) 0.14 by 30.8 + 2 b 0.02 + 6.
        assert closed_mm(proof("map-fold", rows="5")) == (64.512, 38.032)

    def test_it_closes_in_fractions(self) -> None:
        (piece,) = proof("map-fold").pieces
        assert len(piece.closings) == 4 * 3
        assert all(one.exact and one.verdict is Verdict.CLOSES for one in piece.closings)

    def test_the_first_column_covers_it_and_each_cell_is_a_ply(self) -> None:
        stack = proof("map-fold").closed_stack
        assert stack is not None
        assert isinstance(stack.spilled, Spilled)
        assert stack.spilled.named
        assert not stack.spilled.spills
        assert not stack.spilled.beside
        assert stack.spilled.outline.area == pytest.approx(stack.cover.outline.area)
        assert max(len(cell.panels) for cell in stack.cover.cells) == 5 * 4
        assert shapely.area([one.polygon for one in stack.cover.footprints.values()]).sum() == (
            pytest.approx(210 * 148)
        )


class TestOnTheWay:
    def test_uprights_and_zigzags_turn_by_the_ratio_of_the_theory(self) -> None:
        found = proof("map-fold")
        (piece,) = found.pieces
        pose = pose_of(found, "half open")
        assert pose.freedom is not None
        assert pose.freedom.count == 0
        zigzag = 2 * math.degrees(math.atan(1 / math.sin(math.atan(6 / 42))))
        for hinge in piece.division.hinges:
            due = zigzag if hinge.label.startswith("zigzag") else 90
            assert pose.folded.turned["map", hinge.index] == pytest.approx(due, abs=1e-7)

    def test_a_cell_in_space_is_the_published_one(self) -> None:
        """Height and width of the half-open map, by the unit cell of Schenk and Guest (2013)."""
        assert "Miura-folded" in SCHENK["source"]
        found = proof("map-fold", columns="4", rows="4", width="120", height="114", rise="6")
        placed = pose_of(found, "half open").folded.placed
        (piece,) = found.pieces
        number = {panel.name: panel.index for panel in piece.division.panels}
        a, b, rise = 30.0, 30.0, 6.0
        zigzag, gamma = math.hypot(a, rise), math.atan2(a, rise)
        # Half of what a zigzag is turned is the angle of a cell to the ground.
        theta = math.atan(1 / math.cos(gamma))
        across = math.cos(theta) * math.tan(gamma)
        motion = placed["map", number["cell 2-2"]]

        def at(x: float, y: float) -> tuple[float, float, float]:
            return motion.apply3((x, y, 0.0))

        # The unit cell is two columns wide: 2 S from zigzag to zigzag, 2 L from row to row.
        left = placed["map", number["cell 1-2"]].apply3((0.0, 24.0, 0.0))
        right = at(60.0, 24.0)
        assert math.dist(left, right) == pytest.approx(
            2 * zigzag * across / math.sqrt(1 + across**2), abs=1e-6
        )
        low = at(30.0, 30.0)
        high = placed["map", number["cell 2-3"]].apply3((30.0, 90.0, 0.0))
        assert math.dist(low, high) == pytest.approx(
            2 * b * math.sqrt(1 - math.sin(theta) ** 2 * math.sin(gamma) ** 2), abs=1e-6
        )


class TestLimits:
    def test_a_rise_is_no_more_than_a_third_of_a_column(self) -> None:
        resolved("map-fold", rise="14")
        assert rules_of("map-fold", rise="14.1") == {("above-most", "rise")}
        assert rules_of("map-fold", rise="2.9") == {("below-least", "rise")}

    def test_cells_stay_ten_millimetres_high(self) -> None:
        # Four rows of b = (60 + R) / 4, the least side of the outer ones b - R = 10: R = 20 / 3.
        resolved("map-fold", height="60", rise="6.6")
        assert rules_of("map-fold", height="60", rise="6.7") == {("above-most", "rise")}

    def test_counts(self) -> None:
        assert ("below-least", "columns") in rules_of("map-fold", columns="1")
        assert ("above-most", "columns") in rules_of("map-fold", columns="10")
        assert ("below-least", "rows") in rules_of("map-fold", rows="2")
        assert ("above-most", "rows") in rules_of("map-fold", rows="9")

    def test_it_says_how_it_moves(self) -> None:
        assert "no fold of it moves without the others" in load_pattern("map-fold").about
