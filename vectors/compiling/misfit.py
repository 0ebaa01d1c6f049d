"""This module tells of a job that its machine cannot hold: by how much, and what would mend it."""

from __future__ import annotations

from foldwright.profiles.machine import Machine

from ..drawing import Drawing, Role, Side
from ..geometry import union_box
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .crosses import with_crosses
from .faces import Box, at_right_and_top, corner_of, first_side, main_side, reach_of
from .job import Job
from .wording import mm

Size = tuple[float, float]


def size_of(box: Box) -> Size:
    """The width and the height of a box, in mm."""
    return box[2] - box[0], box[3] - box[1]


def has_room(size: Size, room: Size) -> bool:
    """Whether what is that large has room in it, either way."""
    return size[0] <= room[0] + MEETS_MM and size[1] <= room[1] + MEETS_MM


def too_large(drawing: Drawing, job: Job, machine: Machine, box: Box) -> Problem | None:
    """What is wrong where all that lies in a box should be inside the machine's rim."""
    room = size_of(reach_of(machine, drawing, job))
    size = size_of(box)
    beyond = {"too wide": size[0] - room[0], "too high": size[1] - room[1]}
    return _misfit(drawing, job, machine, "it needs", size, beyond)


def out_of_reach(drawing: Drawing, job: Job, machine: Machine) -> Problem | None:
    """What is wrong where the blank may cover the rim, but its lines may not.

    The sides are told as the machine sees them in the file of the main face.
    """
    lines = _lines(drawing)
    by = to_corner(drawing, job, machine, job.piece.outline.box())
    reach = reach_of(machine, drawing, job)
    left, right, bottom, top = _beyond(_shifted(lines, *by), reach)
    if main_side(drawing, job) is Side.BACK:
        if job.options.turn_about.is_upright:
            left, right = right, left
        else:
            bottom, top = top, bottom
    beyond = {
        "too far to the left": left,
        "too far to the right": right,
        "too low": bottom,
        "too far up": top,
    }
    return _misfit(drawing, job, machine, "its lines need", size_of(lines), beyond)


def past_the_edge(job: Job, machine: Machine) -> Problem | None:
    """What is to be told of a trimmed blank that is larger than the work area itself."""
    size = size_of(job.piece.outline.box())
    across, up = size[0] - machine.width, size[1] - machine.height
    if max(across, up) <= MEETS_MM:
        return None
    by = [
        f"{mm(round(over, 3))} {way}"
        for over, way in ((across, "across"), (up, "up"))
        if over > MEETS_MM
    ]
    where = machine.place.prefix()
    return job.problem(
        "blank-past-work-area",
        place=job.piece.place,
        measure_mm=max(across, up),
        piece_name=job.piece.name,
        size=_sides(size),
        machine=machine.name,
        where=f" ({where})" if where else "",
        room=_sides((machine.width, machine.height)),
        beyond=" and ".join(by),
    )


def _lines(drawing: Drawing) -> Box:
    return union_box(stroke.path.box() for stroke in drawing.strokes)


def _beyond(box: Box, reach: Box) -> tuple[float, float, float, float]:
    """How far a box lies beyond what can be reached: left, right, bottom and top, in mm."""
    return reach[0] - box[0], box[2] - reach[2], reach[1] - box[1], box[3] - reach[3]


def _misfit(
    drawing: Drawing, job: Job, machine: Machine, what: str, size: Size, beyond: dict[str, float]
) -> Problem | None:
    beyond = {way: by for way, by in beyond.items() if by > MEETS_MM}
    if not beyond:
        return None
    mend = (
        "turn the piece by a quarter turn in the design: it fits then"
        if _fits_turned(drawing, job, machine)
        else "make it smaller, or use a larger machine: a quarter turn would not do"
    )
    where = machine.place.prefix()
    room = size_of(reach_of(machine, drawing, job))
    return job.problem(
        "does-not-fit",
        place=job.piece.place,
        measure_mm=max(beyond.values()),
        mend=mend,
        piece_name=job.piece.name,
        what=what,
        size=_sides(size),
        machine=machine.name,
        where=f" ({where})" if where else "",
        room=_sides(room),
        beyond=" and ".join(f"{mm(round(by, 3))} {way}" for way, by in beyond.items()),
    )


def _sides(size: Size) -> str:
    return " by ".join(mm(round(side, 3)) for side in size)


def _fits_turned(drawing: Drawing, job: Job, machine: Machine) -> bool:
    """Whether the piece would fit after a quarter turn in the design.

    Crosses and bars are put beside the turned piece as beside any other.
    """
    blank = job.piece.outline.box()
    width, height = size_of(blank)
    half = 0.0 if job.options.pretrimmed else job.kerf / 2.0
    turned: Box = (-half, -half, height + half, width + half)
    if first_side(drawing, job) is not None and not job.options.pretrimmed:
        turned = union_box((turned, with_crosses((0.0, 0.0, height, width), job.kerf)))
    bars = [stroke.path.box() for stroke in drawing.strokes if stroke.role is Role.SIZE_BAR]
    if bars:
        box = union_box(bars)
        turned = union_box((turned, (-half, box[1] - blank[1], size_of(box)[0] - half, 0.0)))
    reach = reach_of(machine, drawing, job)
    if has_room(size_of(turned), size_of(reach)):
        return True
    if not job.options.pretrimmed or bars:
        return False
    # In the corner of the work area, turned to the left and to the right.
    left, bottom, right, top = _shifted(_lines(drawing), -blank[0], -blank[1])
    by = to_corner(drawing, job, machine, (0.0, 0.0, height, width))
    return any(
        max(_beyond(_shifted(lines, *by), reach)) <= MEETS_MM
        for lines in (
            (height - top, left, height - bottom, right),
            (bottom, width - right, top, width - left),
        )
    )


def to_corner(drawing: Drawing, job: Job, machine: Machine, blank: Box) -> tuple[float, float]:
    """What takes a blank that has this box to the corner of the work area where it lies."""
    corner = at_right_and_top(job, main_side(drawing, job))
    there = corner_of((0.0, 0.0, machine.width, machine.height), corner)
    here = corner_of(blank, corner)
    return there[0] - here[0], there[1] - here[1]


def _shifted(box: Box, x: float, y: float) -> Box:
    return box[0] + x, box[1] + y, box[2] + x, box[3] + y
