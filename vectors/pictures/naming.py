"""This module finds room for the names of panels: on what is seen of each, level with the page."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .camera import Floats
from .clipping import within_rings
from .facets import Facet
from .hidden_lines import Lines, View
from .labels import Box
from .lettering import width_of

SIZE = 3.0
"""The size of the letters of a panel's name, in mm."""

# From row to row as the seen part is sounded; the free space round a name, the
# widest that there is room for.
_ROW = 0.75
_SPACES = (8.0, 5.0, 3.0, 1.8, 0.9)

Spot = tuple[float, float]
Stretch = tuple[float, float]
# What is seen of a panel: the stretches of each row.
_Seen = dict[int, list[Stretch]]


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """Where a panel's name goes: the middle of its box, or None; and a seen place, if any.

    `spot` is in the middle of the longest row of what is seen.
    """

    middle: Spot | None
    spot: Spot | None


@dataclass(frozen=True, slots=True)
class _Row:
    """A level line on the page over a panel: its height in rows, where it starts and ends."""

    facet: int
    level: int
    left: float
    right: float

    @property
    def y(self) -> float:
        """The height on the page."""
        return self.level * _ROW


def fits(name: str, wide: float, tall: float) -> bool:
    """Whether a name has room in a box of a size, in mm, at the best."""
    space = 2.0 * _SPACES[-1]
    return wide >= width_of(name, SIZE) + space and tall >= SIZE + space


def rooms_for(names: Mapping[int, str], view: View, taken: Sequence[Box]) -> dict[int, Room]:
    """The room for the name of each facet, beside the boxes that are taken."""
    rows: list[_Row] = []
    for number in names:
        facet = view.facets[number]
        if facet.face is not None:
            rows += _rows(number, facet)
    found: dict[int, _Seen] = {number: {} for number in names}
    for row, stretches in zip(rows, view.seen(_lines(rows, view)), strict=True):
        width = row.right - row.left
        for low, high in stretches:
            seen = row.left + width * low, row.left + width * high
            found[row.facet].setdefault(row.level, []).extend(_beside(seen, row.level, taken))
    return {number: _room(found[number], name) for number, name in names.items()}


def _beside(stretch: Stretch, level: int, taken: Sequence[Box]) -> list[Stretch]:
    """What is left of a stretch of a row beside the boxes that are taken."""
    left = [stretch]
    for low, bottom, high, top in taken:
        if bottom <= level * _ROW <= top:
            left = [
                (max(a, c), min(b, d))
                for a, b in left
                for c, d in ((-math.inf, low), (high, math.inf))
                if max(a, c) < min(b, d)
            ]
    return left


def _rows(number: int, facet: Facet) -> list[_Row]:
    left, bottom, right, top = facet.box
    rows = []
    for level in range(math.ceil(bottom / _ROW), math.floor(top / _ROW) + 1):
        y = level * _ROW
        start, end = np.array([left - 1.0, y]), np.array([right + 1.0, y])
        for low, high in within_rings(facet.page, start, end):
            width = right - left + 2.0
            rows.append(_Row(number, level, left - 1.0 + width * low, left - 1.0 + width * high))
    return rows


def _lines(rows: Sequence[_Row], view: View) -> Lines:
    """The rows in space: each lies in the plane of its facet."""
    facets = [view.facets[row.facet] for row in rows]
    normals = np.array([facet.normal for facet in facets]).reshape(-1, 3)
    offsets = np.array([facet.offset for facet in facets])
    eye = np.array(view.camera.eye)
    ends: list[Floats] = []
    for xs in ([row.left for row in rows], [row.right for row in rows]):
        spots = np.array([(x, row.y) for x, row in zip(xs, rows, strict=True)]).reshape(-1, 2)
        rays = view.camera.rays(spots)
        depth = (offsets - (normals * eye).sum(axis=1)) / (normals * rays).sum(axis=1)
        ends.append(eye + rays * depth[:, None])
    return Lines(starts=ends[0], ends=ends[1], owners=[(row.facet,) for row in rows])


def _room(seen: _Seen, name: str) -> Room:
    rows = [(level, left, right) for level, row in seen.items() for left, right in row]
    if not rows:
        return Room(middle=None, spot=None)
    level, left, right = max(rows, key=lambda one: (round(one[2] - one[1], 6), -one[0]))
    spot = ((left + right) / 2.0, level * _ROW)
    centre = _centre(rows)
    for space in _SPACES:
        at = _nearest_fit(seen, width_of(name, SIZE) + 2.0 * space, SIZE + 2.0 * space, centre)
        if at is not None:
            return Room(middle=at, spot=spot)
    return Room(middle=None, spot=spot)


def _nearest_fit(seen: _Seen, wide: float, tall: float, centre: Spot) -> Spot | None:
    """The middle of the box of a size that lies in what is seen, the nearest to its centre."""
    deep = math.ceil(tall / _ROW)
    best: tuple[float, Spot] | None = None
    for low in sorted(seen):
        common = seen[low]
        for level in range(low, low + deep + 1):
            common = [
                (max(a, c), min(b, d))
                for a, b in common
                for c, d in seen.get(level, ())
                if min(b, d) - max(a, c) >= wide
            ]
        for start, end in common:
            # As near to the centre as the stretch allows.
            x = min(max(centre[0], start + wide / 2.0), end - wide / 2.0)
            at = (x, (low + deep / 2.0) * _ROW)
            off = math.dist(at, centre)
            if best is None or off < best[0] - 1e-6:
                best = (off, at)
    return None if best is None else best[1]


def _centre(rows: Sequence[tuple[int, float, float]]) -> Spot:
    """The centre of the area that rows cover."""
    total = sum(right - left for _, left, right in rows)
    across = sum((right - left) * (left + right) / 2.0 for _, left, right in rows)
    up = sum((right - left) * level * _ROW for level, left, right in rows)
    return (across / total, up / total)
