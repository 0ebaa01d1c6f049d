"""This module holds the passes that say how far a drawing reaches and bring it to the origin."""

from __future__ import annotations

from dataclasses import replace

from ..drawing import Drawing
from ..geometry import Vector, union_box
from .job import Job, Passed

# Sums of decimal fractions miss round numbers by less than this many decimals.
_DECIMALS = 9


def measure(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its extent, taken while its lines are whole."""
    return Passed(replace(drawing, extent=_reached(drawing, job)))


def extent(drawing: Drawing, job: Job) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of what the page must hold, in mm."""
    return _reached(drawing, job) if drawing.extent is None else drawing.extent


def _reached(drawing: Drawing, job: Job) -> tuple[float, float, float, float]:
    """The box of all strokes; of a pretrimmed piece that of the whole blank.

    The edge of a pretrimmed blank is the page's edge.
    """
    boxes = [stroke.path.box() for stroke in drawing.strokes]
    if job.options.pretrimmed or not boxes:
        boxes.append(job.piece.outline.box())
    return union_box(boxes)


def move(drawing: Drawing, job: Job) -> Passed:
    """The drawing at the origin, its page as large as its `extent`."""
    left, bottom, right, top = extent(drawing, job)
    placed = drawing.moved(Vector(-left, -bottom)) if (left, bottom) != (0.0, 0.0) else drawing
    page = replace(
        placed, width=round(right - left, _DECIMALS), height=round(top - bottom, _DECIMALS)
    )
    if page.strokes:
        return Passed(page)
    return Passed(page, (job.problem("nothing-to-work", piece_name=job.piece.name),))
