"""Tests that a drawing of many arcs has no more nodes than its design, but for what a pass adds."""

from __future__ import annotations

import math
from typing import Any

import pytest

from foldwright.drawing import Role
from foldwright.geometry import Path, Point, Vector, Vertex, circle, polygon

QUARTER = math.tan(math.pi / 8.0)


def rounded(width: float, height: float, radius: float) -> Path:
    w, h, r = width, height, radius
    places = ((r, 0), (w - r, 0), (w, r), (w, h - r), (w - r, h), (r, h), (0, h - r), (0, r))
    return Path(
        tuple(
            Vertex(Point(float(x), float(y)), QUARTER if i % 2 else 0.0)
            for i, (x, y) in enumerate(places)
        ),
        closed=True,
    )


def scallops(count: int) -> Path:
    """A band of shallow arcs along both long sides."""
    under = [Vertex(Point(10.0 * i, 0.0), 0.5) for i in range(count)]
    over = [Vertex(Point(10.0 * (count - i), 40.0), 0.5) for i in range(count)]
    return Path((*under, Vertex(Point(10.0 * count, 0.0)), *over, Vertex(Point(0.0, 40.0))), True)


@pytest.mark.parametrize("kerf", [0.0, 0.1, 0.3])
@pytest.mark.parametrize("bridge", [None, (0.4, 60.0, 1.0)])
def test_nodes_are_those_of_the_design_and_two_a_bridge(
    build: Any, kerf: float, bridge: Any
) -> None:
    """And one for each corner that the mitre limit rounds: a needle has one."""
    needle = polygon(Point(0.0, 0.0), Point(30.0, 0.0), Point(0.0, 3.0))
    windows = [
        rounded(20.0 + 2 * i, 15.0 + i, 2.0 + i % 3).moved(Vector(10.0 + 50.0 * i, 60.0))
        for i in range(6)
    ]
    windows += [circle(Point(20.0 + 50.0 * i, 110.0), 6.0 + i) for i in range(4)]
    openings = tuple(
        build.opening(f"window {i}", path.moved(Vector(15.0, 200.0)))
        for i, path in enumerate(windows)
    )
    frame = rounded(340.0, 420.0, 20.0)
    fold = build.fold("fold 1", (100.0, 5.0), (100.0, 150.0))
    piece = build.piece(outline=frame, openings=openings, folds=(fold,))
    edge = build.piece(outline=scallops(32))
    for one in (piece, edge, build.piece(outline=needle)):
        compiled = build.compiled(one, build.way(kerf=kerf, bridge=bridge))
        paths = [one.outline, *(o.path for o in one.openings), *(f.path for f in one.folds)]
        designed = sum(len(path.vertices) for path in paths)
        strokes = [
            s for s in compiled.drawing.strokes if s.role not in (Role.SIZE_BAR, Role.REGISTER)
        ]
        drawn = sum(len(stroke.path.vertices) for stroke in strokes)
        # A closed line that is left in n runs keeps n bridges.
        bridges = sum(s.role in (Role.OUTLINE, Role.OPENING) and not s.path.closed for s in strokes)
        corners = [p for p in compiled.findings if p.rule == "corner-rounded"]
        rounded_off = sum(int(p.message.split(" corner")[0].split()[-1]) for p in corners)
        assert bool(bridges) == (bridge is not None)
        assert bool(rounded_off) == (one.outline is needle and kerf > 0.0)
        assert drawn <= designed + 2 * bridges + rounded_off
        assert not [p for p in compiled.findings if p.severity == "stop"]


def test_the_design_counted_is_rich_in_arcs() -> None:
    assert sum(not segment.is_line for segment in scallops(32).segments) == 64
