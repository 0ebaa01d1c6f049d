"""This module holds the passes that say how far a drawing reaches and put it on its page.

Without a machine the page is as large as the drawing.  With one it is the work
area: the job lies in the corner of the machine's origin, as far in as the rim asks.
A blank that is trimmed by hand, and too large for that, lies in the corner of
the work area itself: only its lines need be within reach then.
"""

from __future__ import annotations

from dataclasses import replace

from foldwright.profiles.machine import Machine

from ..drawing import Drawing, Role
from ..geometry import Vector, union_box
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .faces import Box, at_right_and_top, corner_of, main_side, reach_of
from .job import Job, Passed
from .wording import mm

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
    return _has_room(_size(extent(drawing, job)), _size(reach_of(machine, drawing, job)))


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
    sized = replace(drawing, width=machine.width, height=machine.height)
    reach = reach_of(machine, drawing, job)
    box = extent(drawing, job)
    corner = at_right_and_top(job, main_side(drawing, job))
    in_rim = job.options.pretrimmed and not lies_inside(drawing, job)
    if in_rim:
        here = corner_of(job.piece.outline.box(), corner)
        there = corner_of((0.0, 0.0, machine.width, machine.height), corner)
    else:
        here, there = corner_of(box, corner), corner_of(reach, corner)
    page = _shifted(sized, there[0] - here[0], there[1] - here[1])
    if not page.strokes:
        return page, []
    if in_rim:
        reached = union_box(stroke.path.box() for stroke in page.strokes)
        beyond = _beyond(reached, reach)
    else:
        width, height = _size(box)
        room = _size(reach)
        beyond = {"too wide": width - room[0], "too high": height - room[1]}
    beyond = {way: by for way, by in beyond.items() if by > MEETS_MM}
    return page, [_misfit(drawing, job, machine, reach, beyond, in_rim)] if beyond else []


def _beyond(box: Box, reach: Box) -> dict[str, float]:
    """How far a box lies beyond what can be reached, to each side, in mm."""
    return {
        "too far to the left": reach[0] - box[0],
        "too far to the right": box[2] - reach[2],
        "too low": reach[1] - box[1],
        "too far up": box[3] - reach[3],
    }


def _misfit(
    drawing: Drawing,
    job: Job,
    machine: Machine,
    reach: Box,
    beyond: dict[str, float],
    in_rim: bool,
) -> Problem:
    box = union_box(stroke.path.box() for stroke in drawing.strokes) if in_rim else None
    width, height = _size(extent(drawing, job) if box is None else box)
    room = _size(reach)
    turned = _fits_turned(drawing, job, machine, reach)
    mend = (
        "turn the piece by a quarter turn in the design: it fits then"
        if turned
        else "make it smaller, or use a larger machine: a quarter turn would not do"
    )
    where = machine.place.prefix()
    return job.problem(
        "does-not-fit",
        place=job.piece.place,
        measure_mm=max(beyond.values()),
        mend=mend,
        piece_name=job.piece.name,
        what="its lines need" if in_rim else "it needs",
        width=mm(round(width, 3)),
        height=mm(round(height, 3)),
        machine=machine.name,
        where=f" ({where})" if where else "",
        room_width=mm(round(room[0], 3)),
        room_height=mm(round(room[1], 3)),
        beyond=" and ".join(f"{mm(round(by, 3))} {way}" for way, by in beyond.items()),
    )


def _fits_turned(drawing: Drawing, job: Job, machine: Machine, reach: Box) -> bool:
    """Whether the piece would fit after a quarter turn.

    What lies beside and below it, crosses and bars, stays there.
    """
    blank = job.piece.outline.box()
    left, bottom, right, top = extent(drawing, job)
    kerf = 0.0 if job.options.pretrimmed else job.kerf
    width, height = (side + kerf for side in _size(blank))
    crosses = [
        stroke.path.box()
        for stroke in drawing.strokes
        if stroke.role is Role.REGISTER and not job.options.pretrimmed
    ]
    bars = [stroke.path.box() for stroke in drawing.strokes if stroke.role is Role.SIZE_BAR]
    beside = (right - left) - width if crosses else 0.0
    below = max(0.0, (top - bottom) - height) if bars else 0.0
    bar = _size(union_box(bars))[0] if bars else 0.0
    room = _size(reach)
    if _has_room((max(height, bar) + beside, width + below), room):
        return True
    if not job.options.pretrimmed or bars:
        return False
    lines = union_box(stroke.path.box() for stroke in drawing.strokes)
    l, b, r, t = (  # noqa: E741
        lines[0] - blank[0], lines[1] - blank[1], lines[2] - blank[0], lines[3] - blank[1],
    )  # fmt: skip
    corner = at_right_and_top(job, main_side(drawing, job))
    there = corner_of((0.0, 0.0, machine.width, machine.height), corner)
    here = corner_of((0.0, 0.0, height, width), corner)
    x, y = there[0] - here[0], there[1] - here[1]
    # To the left, and to the right.
    for after in ((height - t, l, height - b, r), (b, width - r, t, width - l)):
        moved = (after[0] + x, after[1] + y, after[2] + x, after[3] + y)
        if all(by <= MEETS_MM for by in _beyond(moved, reach).values()):
            return True
    return False


def _size(box: Box) -> tuple[float, float]:
    return box[2] - box[0], box[3] - box[1]


def _has_room(size: tuple[float, float], room: tuple[float, float]) -> bool:
    return size[0] <= room[0] + MEETS_MM and size[1] <= room[1] + MEETS_MM
