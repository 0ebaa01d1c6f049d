"""This module is the pass that adds bars of known length: they show how a program reads a file."""

from __future__ import annotations

from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Path, Point, line
from .job import Job, Passed
from .place import extent

# Name and length of each bar, in mm, from the piece downwards: the two units in
# which people measure.
BARS: tuple[tuple[str, float], ...] = (("50 mm", 50.0), ("2 in", 50.8))

# The clear distance above each bar, and the height of its end ticks, in mm.
GAP_MM = 5.0
TICK_MM = 3.0


def add(drawing: Drawing, job: Job) -> Passed:
    """The drawing with a 50 mm and a 2 in bar below the piece, where they were asked for."""
    if not job.options.size_bar:
        return Passed(drawing)
    left, bottom, _, _ = extent(drawing, job)
    strokes = list(drawing.strokes)
    for name, length in BARS:
        top = bottom - GAP_MM
        bottom = top - TICK_MM
        strokes.append(
            Stroke(
                path=_bar(left, bottom, top, length),
                layer=Layer.MARK,
                work=Work.DRAWN,
                piece=job.piece.name,
                source=name,
                role=Role.SIZE_BAR,
            )
        )
    return Passed(drawing.with_strokes(tuple(strokes)))


def _bar(left: float, bottom: float, top: float, length: float) -> Path:
    """One stroke: down the first tick, along the bar, up the second."""
    right = left + length
    return line(Point(left, top), Point(left, bottom), Point(right, bottom), Point(right, top))
