"""The written files hold no line twice: every pattern and design, read back and searched plainly.

Each stroke is snapped to whole micrometres, and two segments that lie on one line are
compared along it, whatever their layers: arithmetic on whole numbers that shares
nothing with the pass that merges strokes (contract R15).
"""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise
from math import gcd
from pathlib import Path as FilePath

import pytest

from foldwright.compiling import CompileOptions, compile_piece
from foldwright.design import read_design, resolve
from foldwright.design.pieces import Piece
from foldwright.drawing import Drawing
from foldwright.measures import Unit
from foldwright.patterns.half_fold import pattern as half_fold
from foldwright.patterns.side_steps import pattern as side_steps
from foldwright.patterns.starter import starter
from foldwright.plugins import Group, load
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Tool
from foldwright.writers import ReadStroke, WriteOptions, Writer

DESIGNS = sorted((FilePath(__file__).parents[1] / "designs").glob("*.toml"))
PATTERNS = [(pattern, units) for pattern in (half_fold, side_steps) for units in Unit]

# The same line, reduced: its direction and how far from the origin it passes.
Line = tuple[int, int, int]


def doubled(strokes: list[ReadStroke]) -> list[tuple[Line, int]]:
    """Lines that are drawn twice over more than 3 µm, and arcs that are drawn twice."""
    on_line: dict[Line, list[tuple[int, int]]] = defaultdict(list)
    arcs: dict[tuple[int, ...], int] = defaultdict(int)
    for stroke in strokes:
        for segment in stroke.path.segments:
            (x0, y0), (x1, y1) = (
                tuple(round(value * 1000) for value in at.floats())
                for at in (segment.start, segment.end)
            )
            if (x0, y0) == (x1, y1):
                continue
            if not segment.is_line:
                mx, my = (round(value * 100) for value in segment.middle.floats())
                arcs[(*sorted((x0, x1)), *sorted((y0, y1)), mx, my)] += 1
                continue
            if (x1, y1) < (x0, y0):
                x0, y0, x1, y1 = x1, y1, x0, y0
            dx, dy = x1 - x0, y1 - y0
            # Upright and level lines, and others to whole degrees, within 2 µm.
            if dx == 0 or dy == 0:
                line = (0, 1, x0) if dx == 0 else (1, 0, y0)
                span = (y0, y1) if dx == 0 else (x0, x1)
            else:
                share = gcd(dx, dy)
                line = (dx // share, dy // share, dx // share * y0 - dy // share * x0)
                span = (x0, x1)
            on_line[line].append(span)
    found = []
    for line, spans in on_line.items():
        spans.sort()
        found += [(line, two[0]) for one, two in pairwise(spans) if two[0] < one[1] - 3]
    return found + [((0, 0, 0), key[0]) for key, count in arcs.items() if count > 1]


def drawings(pieces: tuple[Piece, ...], tool: Tool) -> list[Drawing]:
    material = load_material("card-200")
    options = CompileOptions(size_bar=True)
    return [compile_piece(p, material, tool, options, title="test").drawing for p in pieces]


def written_clean(pieces: tuple[Piece, ...]) -> int:
    """How many strokes are read back of the files of some pieces; none of them lies on another."""
    count = 0
    for tool in Tool:
        for drawing in drawings(pieces, tool):
            for name in ("svg", "dxf"):
                writer = load(Group.WRITERS, name)
                assert isinstance(writer, Writer)
                data = writer.write(drawing, WriteOptions())
                strokes = list(writer.read_back(data, WriteOptions()).strokes)
                assert doubled(strokes) == [], (drawing.title, tool, name)
                count += len(strokes)
    return count


@pytest.mark.parametrize("path", DESIGNS, ids=lambda path: path.stem)
def test_no_design_is_written_with_a_line_twice(path: FilePath) -> None:
    resolved = resolve(read_design(path))
    assert written_clean(resolved.pieces) > 0


@pytest.mark.parametrize(("pattern", "units"), PATTERNS)
def test_no_pattern_is_written_with_a_line_twice(
    pattern: object, units: Unit, tmp_path: FilePath
) -> None:
    file = tmp_path / "card.toml"
    file.write_text(starter(pattern, "Card", units), encoding="utf-8")  # type: ignore[arg-type]
    assert written_clean(resolve(read_design(file)).pieces) > 0


def test_a_line_that_is_written_twice_would_be_seen() -> None:
    """The search itself: a piece's strokes once more, and one moved along itself."""
    resolved = resolve(read_design(DESIGNS[0]))
    (drawing, *_) = drawings(resolved.pieces, Tool.KNIFE)
    writer = load(Group.WRITERS, "svg")
    assert isinstance(writer, Writer)
    strokes = list(writer.read_back(writer.write(drawing, WriteOptions()), WriteOptions()).strokes)
    assert doubled(strokes) == []
    assert doubled([*strokes, strokes[0]])
