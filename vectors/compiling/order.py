"""This module is the pass that puts the strokes in the order of work.

Marks come first, then scores while the sheet is flat and held, then cuts, from
the inside outwards so that nothing shifts before it is done.  Within a group
the nearest stroke comes next, from whichever end is nearer.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..drawing import Drawing, Layer, Role, Stroke, Work
from .job import Job, Passed
from .place import extent

# Layers in the order of work; roles within a layer from the inside outwards.
_LAYERS = {layer: index for index, layer in enumerate(Layer)}
_ROLES = {
    Role.MARK: 0,
    Role.SIZE_BAR: 1,
    Role.FOLD: 0,
    Role.SLIT: 0,
    Role.OPENING: 1,
    Role.OUTLINE: 2,
}

# Below this many strokes looking at each is quicker than a grid.
_FEW = 32

Place = tuple[float, float]
# Where a stroke can be begun, its number, and whether that is its far end.
Entry = tuple[float, float, int, bool]


def arrange(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its strokes in the order of work, the tool starting at the lower left."""
    groups: dict[tuple[int, bool, int], list[Stroke]] = {}
    for stroke in drawing.strokes:
        # Writers keep strokes of one work together, so what is perforated comes
        # before what is cut through: else it would follow the outline.
        solid = stroke.work is not Work.PERFORATED
        key = (_LAYERS[stroke.layer], solid, _ROLES[stroke.role])
        groups.setdefault(key, []).append(stroke)
    left, bottom, _, _ = extent(drawing, job)
    here = (left, bottom)
    strokes: list[Stroke] = []
    for key in sorted(groups):
        strokes += nearest_next(groups[key], here)
        here = strokes[-1].path.end.floats()
    return Passed(drawing.with_strokes(tuple(strokes)))


def nearest_next(strokes: list[Stroke], here: Place) -> list[Stroke]:
    """The strokes so that each begins nearest to where the one before ended; ties as they came."""
    remaining = dict(enumerate(strokes))
    found: list[Stroke] = []
    while remaining:
        # The grid is made anew whenever half of it is empty, so that it stays dense.
        grid = _Grid(remaining)
        for _ in range(max(1, len(remaining) // 2)):
            index, far = grid.nearest(here)
            stroke = remaining.pop(index)
            if far:
                stroke = replace(stroke, path=stroke.path.reversed)
            found.append(stroke)
            here = stroke.path.end.floats()
    return found


class _Grid:
    """The ends of strokes in square cells, about one stroke a cell."""

    def __init__(self, strokes: dict[int, Stroke]) -> None:
        self._strokes = strokes
        entries = [entry for index in strokes for entry in self._entries(index)]
        left = min(entry[0] for entry in entries)
        right = max(entry[0] for entry in entries)
        bottom = min(entry[1] for entry in entries)
        top = max(entry[1] for entry in entries)
        side = math.sqrt(max(right - left, top - bottom) ** 2 / len(entries))
        self._cell = max(side, 1e-3)
        self._cells: dict[tuple[int, int], list[Entry]] = {}
        for entry in entries:
            self._cells.setdefault(self._at(entry[0], entry[1]), []).append(entry)

    def _entries(self, index: int) -> list[Entry]:
        path = self._strokes[index].path
        near = (*path.start.floats(), index, False)
        return [near] if path.closed else [near, (*path.end.floats(), index, True)]

    def _at(self, x: float, y: float) -> tuple[int, int]:
        return math.floor(x / self._cell), math.floor(y / self._cell)

    def nearest(self, here: Place) -> tuple[int, bool]:
        """The stroke whose end is nearest to `here`, and whether it is its far end."""
        column, row = self._at(*here)
        best: tuple[float, int, bool] | None = None
        ring = 0
        # Beyond as many cells as there are strokes, all are looked at instead.
        while 8 * ring <= len(self._strokes) and len(self._strokes) > _FEW:
            # All that lies in this ring or beyond is at least so far away.
            if best is not None and best[0] <= (ring - 1) * self._cell:
                return best[1], best[2]
            for cell in _ring(column, row, ring):
                for entry in self._cells.get(cell, ()):
                    best = self._nearer(entry, here, best)
            ring += 1
        for index in self._strokes:
            for entry in self._entries(index):
                best = self._nearer(entry, here, best)
        if best is None:
            raise ValueError("there is no stroke left to look for")
        return best[1], best[2]

    def _nearer(
        self, entry: Entry, here: Place, best: tuple[float, int, bool] | None
    ) -> tuple[float, int, bool] | None:
        x, y, index, far = entry
        if index not in self._strokes:
            return best
        key = (math.hypot(x - here[0], y - here[1]), index, far)
        return key if best is None else min(best, key)


def _ring(column: int, row: int, ring: int) -> list[tuple[int, int]]:
    """The cells at the edge of the square of `ring` cells about one."""
    if ring == 0:
        return [(column, row)]
    found = []
    for step in range(-ring, ring + 1):
        found += [(column + step, row - ring), (column + step, row + ring)]
    for step in range(1 - ring, ring):
        found += [(column - ring, row + step), (column + ring, row + step)]
    return found
