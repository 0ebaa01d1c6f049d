"""This module mirrors paths in an upright or a level line."""

from __future__ import annotations

from ..measures.exact import Number
from .paths import Path, Vertex
from .points import Point


def mirrored(path: Path, *, upright: bool, twice: Number) -> Path:
    """The path mirrored in the upright line at x = `twice` / 2, or in the level one at that y.

    It is run in the same order, so what ran anticlockwise now runs clockwise.
    """
    return Path(
        tuple(
            # 0 - 0 is 0, where -0 would be written with a sign.
            Vertex(_mirrored(vertex.at, upright, twice), 0.0 - vertex.bulge)
            for vertex in path.vertices
        ),
        path.closed,
    )


def _mirrored(at: Point, upright: bool, twice: Number) -> Point:
    return Point(twice - at.x, at.y) if upright else Point(at.x, twice - at.y)
