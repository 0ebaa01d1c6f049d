"""This module holds the passes that say how far a drawing reaches and put it on its page.

Without a machine the page is as large as the drawing.  With one it is the work
area: the job lies in the corner of the machine's origin, as far in as the rim asks.
A blank that is trimmed by hand, and too large for that, lies in the corner of
the work area itself: only its lines need be within reach then.
"""

from __future__ import annotations

from dataclasses import replace

from foldwright.profiles.machine import Machine

from ..drawing import Drawing
from ..geometry import Vector, union_box
from ..problems import Problem
from .faces import Box, at_right_and_top, corner_of, main_side, reach_of
from .job import Job, Passed
from .misfit import has_room, out_of_reach, size_of, to_corner, too_large

# Sums of decimal fractions miss round numbers by less than this many decimals.
_DECIMALS = 9


def measure(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its extent, taken while its lines are whole."""
    return Passed(replace(drawing, extent=_reached(drawing, job)))


def extent(drawing: Drawing, job: Job) -> Box:
    """Left, bottom, right and top of what the page must hold, in mm."""
    return _reached(drawing, job) if drawing.extent is None else drawing.extent


def _reached(drawing: Drawing, job: Job) -> Box:
    """The box of all strokes; of a pretrimmed piece that of the whole blank.

    The edge of a pretrimmed blank is the page's edge.
    """
    boxes = [stroke.path.box() for stroke in drawing.strokes]
    if job.options.pretrimmed or not boxes:
        boxes.append(job.piece.outline.box())
    return union_box(boxes)


def lies_inside(drawing: Drawing, job: Job) -> bool:
    """Whether all of the page's content, the blank with it, has room inside the machine's rim."""
    machine = job.options.machine
    if machine is None:
        return True
    return has_room(size_of(extent(drawing, job)), size_of(reach_of(machine, drawing, job)))


def move(drawing: Drawing, job: Job) -> Passed:
    """The drawing on its page."""
    machine = job.options.machine
    if machine is not None:
        page, found = _on_machine(drawing, job, machine)
    else:
        page, found = _at_origin(drawing, job), []
    if not page.strokes:
        found.append(job.problem("nothing-to-work", piece_name=job.piece.name))
    return Passed(page, tuple(found))


def _at_origin(drawing: Drawing, job: Job) -> Drawing:
    """The drawing at the origin, its page as large as its `extent`."""
    left, bottom, right, top = extent(drawing, job)
    return replace(
        _shifted(drawing, -left, -bottom),
        width=round(right - left, _DECIMALS),
        height=round(top - bottom, _DECIMALS),
    )


def _shifted(drawing: Drawing, x: float, y: float) -> Drawing:
    return drawing.moved(Vector(x, y)) if (x, y) != (0.0, 0.0) else drawing


def _on_machine(drawing: Drawing, job: Job, machine: Machine) -> tuple[Drawing, list[Problem]]:
    """The drawing on the work area of its machine, and whether it does not fit."""
    box = extent(drawing, job)
    if job.options.pretrimmed and not lies_inside(drawing, job):
        by = to_corner(drawing, job, machine, job.piece.outline.box())
        wrong = out_of_reach(drawing, job, machine) if drawing.strokes else None
    else:
        corner = at_right_and_top(job, main_side(drawing, job))
        here, there = corner_of(box, corner), corner_of(reach_of(machine, drawing, job), corner)
        by = there[0] - here[0], there[1] - here[1]
        wrong = too_large(drawing, job, machine, box) if drawing.strokes else None
    page = replace(_shifted(drawing, *by), width=machine.width, height=machine.height)
    return page, [] if wrong is None else [wrong]
