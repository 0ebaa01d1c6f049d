"""This module is the pass that puts the strokes in the order of work.

Marks come first, then scores while the sheet is flat and held, then cuts, from
the inside outwards so that nothing shifts before it is done.  Within a group
the nearest stroke comes next, from whichever end is nearer.  The cuts of one
perforated line, or the dashes of one fold, are one run, worked from one end of
the line to the other.  Each face is a job of its own, begun at the corner where
the sheet lies; registers come before all else on their layer.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..drawing import Drawing, Layer, Role, Stroke, Work
from .faces import at_right_and_top, corner_of, main_side
from .job import Job, Passed
from .place import extent

# Layers in the order of work; roles within a layer from the inside outwards.
_LAYERS = {layer: index for index, layer in enumerate(Layer)}
_ROLES = {
    Role.REGISTER: -1,
    Role.MARK: 0,
    Role.SIZE_BAR: 1,
    Role.FOLD: 0,
    Role.RELIEF: 0,
    Role.SLIT: 0,
    Role.OPENING: 1,
    Role.OUTLINE: 2,
}

# Below this many runs looking at each is quicker than a grid.
_FEW = 32

Place = tuple[float, float]
# What is worked in one go: a stroke, or all cuts of a perforated line in order.
Run = tuple[Stroke, ...]
# Where a run can be begun, its number, and whether that is its far end.
Entry = tuple[float, float, int, bool]


def arrange(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its strokes in the order of work, a face at a time."""
    groups: dict[tuple[bool, int, bool, int], list[Stroke]] = {}
    last = main_side(drawing, job)
    for stroke in drawing.strokes:
        # Writers keep strokes of one work together, so what is perforated comes
        # before what is cut through: else it would follow the outline.
        solid = stroke.work is not Work.PERFORATED
        key = (stroke.side is last, _LAYERS[stroke.layer], solid, _ROLES[stroke.role])
        groups.setdefault(key, []).append(stroke)
    box = extent(drawing, job)
    strokes: list[Stroke] = []
    for key in sorted(groups):
        group = groups[key]
        if not strokes or strokes[-1].side is not group[0].side:
            here = corner_of(box, at_right_and_top(job, group[0].side))
        strokes += nearest_next(group, here)
        here = strokes[-1].path.end.floats()
    return Passed(drawing.with_strokes(tuple(strokes)))


def nearest_next(strokes: list[Stroke], here: Place) -> list[Stroke]:
    """The strokes so that each run begins nearest to where the one before ended; ties as they came.

    The cuts of a perforated line are given one after the other, as along the line.
    """
    remaining = dict(enumerate(_runs(strokes)))
    found: list[Stroke] = []
    while remaining:
        # The grid is made anew whenever half of it is empty, so that it stays dense.
        grid = _Grid(remaining)
        for _ in range(max(1, len(remaining) // 2)):
            index, far = grid.nearest(here)
            run = remaining.pop(index)
            if far:
                run = tuple(replace(stroke, path=stroke.path.reversed) for stroke in run[::-1])
            found += run
            here = found[-1].path.end.floats()
    return found


def _runs(strokes: list[Stroke]) -> list[Run]:
    found: list[list[Stroke]] = []
    for stroke in strokes:
        if found and _is_next_cut(found[-1][-1], stroke):
            found[-1].append(stroke)
        else:
            found.append([stroke])
    return [tuple(run) for run in found]


def _is_next_cut(before: Stroke, stroke: Stroke) -> bool:
    """Whether two strokes that were given one after the other are cuts or dashes of one line."""
    return (
        before.work is stroke.work
        and (stroke.work is Work.PERFORATED or _is_dash(stroke))
        and (before.role, before.source) == (stroke.role, stroke.source)
        and not before.path.closed
        and not stroke.path.closed
    )


def _is_dash(stroke: Stroke) -> bool:
    """Whether a stroke may be one of several half cuts of one fold."""
    return stroke.work is Work.HALF_CUT and stroke.role is Role.FOLD


class _Grid:
    """The ends of runs in square cells, about one run a cell."""

    def __init__(self, runs: dict[int, Run]) -> None:
        self._runs = runs
        entries = [entry for index in runs for entry in self._entries(index)]
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
        first, last = self._runs[index][0].path, self._runs[index][-1].path
        near = (*first.start.floats(), index, False)
        return [near] if first.closed else [near, (*last.end.floats(), index, True)]

    def _at(self, x: float, y: float) -> tuple[int, int]:
        return math.floor(x / self._cell), math.floor(y / self._cell)

    def nearest(self, here: Place) -> tuple[int, bool]:
        """The run whose end is nearest to `here`, and whether it is its far end."""
        column, row = self._at(*here)
        best: tuple[float, int, bool] | None = None
        ring = 0
        # Beyond as many cells as there are runs, all are looked at instead.
        while 8 * ring <= len(self._runs) and len(self._runs) > _FEW:
            # All that lies in this ring or beyond is at least so far away.
            if best is not None and best[0] <= (ring - 1) * self._cell:
                return best[1], best[2]
            for cell in _ring(column, row, ring):
                for entry in self._cells.get(cell, ()):
                    best = self._nearer(entry, here, best)
            ring += 1
        for index in self._runs:
            for entry in self._entries(index):
                best = self._nearer(entry, here, best)
        if best is None:
            raise ValueError("there is no run left to look for")
        return best[1], best[2]

    def _nearer(
        self, entry: Entry, here: Place, best: tuple[float, int, bool] | None
    ) -> tuple[float, int, bool] | None:
        x, y, index, far = entry
        if index not in self._runs:
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
