"""This module finds where folds and slits end on the drawn edges, so that bridges keep off them."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence

from ..geometry import Path, Point
from ..geometry.nearest import nearest
from ..geometry.offset import MITRE_LIMIT
from ..measures.exact import MEETS_MM
from .job import Job


def edge_reach(job: Job) -> float:
    """How far a drawn edge may lie from the designed one, in mm."""
    kerf = max(job.kerf, 0.0 if job.way.kerf_y is None else job.way.kerf_y.value)
    return MITRE_LIMIT * kerf / 2.0 + MEETS_MM


class LineEnds:
    """The ends of all folds and slits of a piece, from left to right."""

    def __init__(self, job: Job) -> None:
        lines = [fold.path for fold in job.piece.folds] + [slit.path for slit in job.piece.slits]
        places = [at.floats() for path in lines if not path.closed for at in (path.start, path.end)]
        self._places = sorted(set(places))
        self._lefts = [x for x, _ in self._places]
        self._reach = edge_reach(job)

    def on(self, path: Path) -> list[float]:
        """How far along a path lines end on it, in mm."""
        return self._near(path, path.box()) if self._places else []

    def on_each(self, paths: Sequence[Path]) -> list[list[float]]:
        """The same for each of many paths."""
        return [self.on(path) for path in paths]

    def _near(self, path: Path, box: tuple[float, float, float, float]) -> list[float]:
        left, bottom, right, top = box
        reach = self._reach
        first, last = (
            bisect_left(self._lefts, left - reach),
            bisect_right(self._lefts, right + reach),
        )
        found = []
        for x, y in self._places[first:last]:
            if bottom - reach <= y <= top + reach:
                close = nearest(path, Point(x, y))
                if close.away <= reach:
                    found.append(close.along)
        return found
