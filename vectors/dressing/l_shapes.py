"""This module cuts a mat that is an L of right angles into two rectangles.

The panel is thought to be cut on from its inner corner, and each rectangle keeps the margin
from that cut as it does from every edge.  Of the two cuts the shorter one is made: it
shows least, and on a card it often carries on a slit.  Of equal ones it is the one that
leaves the larger rectangle whole, and then the level one.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..geometry import Path, Point, Vector, polygon
from .shapes import Shape, is_square_cut

# Areas in mm² and lengths in mm that differ by less are equal.
_EQUAL = 1e-6


def two_rectangles(shape: Shape, margin: float) -> tuple[Shape, Shape] | None:
    """The two rectangles of a mat that is an L, the larger first.

    `margin` is what the mat keeps from the edge of its panel, in mm.  None for a shape that is
    no L, or whose arms are too short for it.
    """
    corners = [vertex.at.rounded() for vertex in shape.outline.vertices]
    if shape.openings or len(corners) != 6 or not is_square_cut(shape.outline):
        return None
    inner = next(
        index
        for index, at in enumerate(corners)
        if float((at - corners[index - 1]).cross(corners[(index + 1) % 6] - at)) < 0.0
    )
    # Anticlockwise from the inner corner on; `far` is the corner across from it.
    own, after, second, far, fifth, before = corners[inner:] + corners[:inner]
    ahead, behind = far + (before - fifth), far + (after - second)
    cuts = (
        _cut(own, ahead, (ahead, far, fifth, before), (after, second), margin),
        _cut(own, behind, (far, behind, after, second), (fifth, before), margin),
    )
    possible = [cut for cut in cuts if cut is not None]
    if not possible:
        return None
    best = min(possible, key=lambda cut: cut.order)
    larger, smaller = sorted(best.parts, key=lambda path: -path.area)
    return Shape(larger), Shape(smaller)


@dataclass(frozen=True, slots=True)
class _Cut:
    """A cut from the inner corner: what it leaves, and how it ranks, the best first."""

    parts: tuple[Path, Path]
    order: tuple[int, int, bool]


def _cut(
    own: Point, end: Point, arm: tuple[Point, ...], other: tuple[Point, Point], margin: float
) -> _Cut | None:
    """The cut from the inner corner to `end`; None where nothing is left beyond it.

    `arm` are the corners of the rectangle that is left whole, `other` those of the other one
    away from the cut.
    """
    # The panel's corner lies the margin beyond that of the mat, and so far again begins the
    # other mat.
    near = other[0] if _beside(own, other[0], end) else other[1]
    beyond = near - own
    length = float(beyond.length)
    if length <= 2.0 * margin + _EQUAL:
        return None
    step = Vector(float(beyond.x) / length * 2.0 * margin, float(beyond.y) / length * 2.0 * margin)
    whole, rest = _around(*arm), _around(own + step, end + step, *other)
    level = abs(float(end.y - own.y)) <= abs(float(end.x - own.x))
    seam = round(own.distance(end) / _EQUAL)
    return _Cut((whole, rest), (seam, -round(max(whole.area, rest.area) / _EQUAL), not level))


def _beside(own: Point, at: Point, end: Point) -> bool:
    """Whether a corner lies square off the start of the cut."""
    way, along = at - own, end - own
    return abs(float(way.dot(along))) <= _EQUAL * float(along.dot(along))


def _around(*corners: Point) -> Path:
    """The rectangle through four corners, anticlockwise, from the lowest, leftmost one on."""
    middle = Point(sum(float(at.x) for at in corners) / 4, sum(float(at.y) for at in corners) / 4)
    in_turn = sorted(corners, key=lambda at: (at - middle).angle)
    first = min(range(4), key=lambda i: (round(float(in_turn[i].y), 6), float(in_turn[i].x)))
    return polygon(*in_turn[first:], *in_turn[:first])
