"""This module moves many closed paths at once, in whole columns of numbers.

The arithmetic is that of `offset`, step for step.  Only paths are moved that turn one
way and lose nothing: lines meet in mitres, arcs run on smoothly into their neighbours.
All others are left to be moved one by one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ..measures.exact import SAME_PLACE_MM
from .box_pairs import Floats, Indices
from .offset import MITRE_LIMIT
from .path_columns import Truths, columns_of
from .paths import Path, Vertex
from .points import Point

# A turn this small against the others moves nothing by as much as rounding does.
_NO_TURN = 1e-9


def offset_many(paths: Sequence[Path], by: float) -> list[Path | None]:
    """Each closed path moved by `by` mm, outwards where positive; None for those left alone.

    Raises ValueError where one of the paths is open.
    """
    if not all(path.closed for path in paths):
        raise ValueError("only a closed path has an inside")
    found: list[Path | None] = [None] * len(paths)
    # Of one side there is no ring, and columns need at least one.
    which = [index for index, path in enumerate(paths) if len(path.vertices) > 1]
    if not which:
        return found
    moved = _Moved([paths[index] for index in which], by)
    starts, bulges = moved.starts, moved.bulge.tolist()
    xs, ys = starts[:, 0].tolist(), starts[:, 1].tolist()
    vertices = [Vertex(Point(x, y), bulge) for x, y, bulge in zip(xs, ys, bulges, strict=True)]
    end = 0
    for index, count, good in zip(which, moved.counts.tolist(), moved.good.tolist(), strict=True):
        start, end = end, end + count
        if good:
            found[index] = Path(tuple(vertices[start:end]), closed=True)
    return found


class _Moved:
    """All sides of some paths moved: their new starts, and which paths came out well."""

    def __init__(self, paths: Sequence[Path], by: float) -> None:
        columns = columns_of(paths)
        self.counts, self.bulge = columns.counts, columns.bulge
        self._owner, self._firsts = columns.owner, columns.firsts
        x0, y0, x1, y1, bulge = columns.x0, columns.y0, columns.x1, columns.y1, columns.bulge
        count = len(columns)
        after = np.arange(1, count + 1)
        after[self._firsts + self.counts - 1] = self._firsts
        dx, dy = x1 - x0, y1 - y0
        chord = np.hypot(dx, dy)
        arc = bulge != 0.0
        # No length, or an arc as flat as a line: told apart one by one.
        bad = (chord == 0.0) | (arc & (np.abs(bulge) * chord < 2.0 * SAME_PLACE_MM))
        chord[chord == 0.0] = 1.0

        begin, end = columns.directions()
        turn = begin[after] - end
        # In (-pi, pi].
        turn -= 2.0 * math.pi * np.ceil((turn - math.pi) / (2.0 * math.pi))
        total = np.add.reduceat(4.0 * np.arctan(bulge) + turn, self._firsts)
        winding = np.rint(total / (2.0 * math.pi))
        way = winding[self._owner]
        bad |= (np.abs(way) != 1.0) | (way * bulge < 0.0) | (way * turn < -_NO_TURN)
        right = way * by

        ux0, uy0 = dx / chord, dy / chord
        ux1, uy1 = ux0.copy(), uy0.copy()
        which = np.flatnonzero(arc & ~bad)
        bad[which] |= _round(which, x0, y0, x1, y1, bulge, right, (ux0, uy0, ux1, uy1))
        sx, sy = x0 + right * uy0, y0 - right * ux0
        ex, ey = x1 + right * uy1, y1 - right * ux1

        smooth = np.hypot(sx[after] - ex, sy[after] - ey) <= SAME_PLACE_MM
        sharp = ~smooth
        bad |= sharp & (arc | arc[after])
        # Too sharp for a mitre, or for a tool that has to reach into its tip.
        bad |= sharp & (MITRE_LIMIT * np.cos(turn / 2.0) < 1.0)
        bad |= sharp & (math.pi - np.abs(turn) < _NO_TURN)
        corners = np.flatnonzero(sharp & ~bad)
        following = after[corners]
        ax, ay, bx, by_ = ux1[corners], uy1[corners], ux0[following], uy0[following]
        share = right[corners] / (1.0 + ax * bx + ay * by_)
        ex[corners] = x1[corners] + share * (ay + by_)
        ey[corners] = y1[corners] - share * (ax + bx)

        self.starts: Floats = np.empty((count, 2))
        self.starts[after, 0], self.starts[after, 1] = ex, ey
        left = (ex - self.starts[:, 0]) * ux0 + (ey - self.starts[:, 1]) * uy0
        bad |= ~arc & ~(left > SAME_PLACE_MM)
        self.good: Truths = ~np.logical_or.reduceat(bad, self._firsts)


def _round(
    which: Indices,
    x0: Floats,
    y0: Floats,
    x1: Floats,
    y1: Floats,
    bulge: Floats,
    right: Floats,
    directions: tuple[Floats, Floats, Floats, Floats],
) -> Truths:
    """Fills in the directions at both ends of arcs, and tells which of these vanish."""
    x0, y0, x1, y1, bulge = x0[which], y0[which], x1[which], y1[which], bulge[which]
    dx, dy = x1 - x0, y1 - y0
    square = bulge * bulge
    along = (1.0 - square) / (4.0 * bulge)
    cx, cy = (x0 + x1) / 2.0 - dy * along, (y0 + y1) / 2.0 + dx * along
    radius = np.hypot(dx, dy) * (1.0 + square) / (4.0 * np.abs(bulge))
    way = np.sign(bulge)
    for column, values in zip(directions, (cy - y0, x0 - cx, cy - y1, x1 - cx), strict=True):
        column[which] = values / radius * way
    gone: Truths = radius + way * right[which] <= SAME_PLACE_MM
    return gone
