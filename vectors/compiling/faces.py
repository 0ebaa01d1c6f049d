"""This module tells which faces of a sheet are worked, which of them last, and from which corner.

Until the sheet is turned over, at the end, all strokes lie as seen from the
front: what is told of a file of the back is told there, where it is mirrored.
"""

from __future__ import annotations

from foldwright.profiles.machine import Corner, Lies, Machine

from ..design.pieces import Face, Mark
from ..drawing import Drawing, Side
from .job import Job

Box = tuple[float, float, float, float]

OTHER = {Side.FRONT: Side.BACK, Side.BACK: Side.FRONT}


def face_of(mark: Mark, job: Job) -> Face:
    """The face of the paper that a mark is drawn on: its own, or the one that lies up."""
    if mark.stays or mark.face is Face.BACK:
        return mark.face
    machine = job.options.machine
    return Face.BACK if machine is not None and machine.face is Lies.DOWN else Face.FRONT


def marked_from(mark: Mark, job: Job) -> Side:
    """The side that a mark is given before a job that lies face down has its sides exchanged."""
    machine = job.options.machine
    side = Side(face_of(mark, job))
    return OTHER[side] if machine is not None and machine.face is Lies.DOWN else side


def main_side(drawing: Drawing, job: Job) -> Side:
    """The face that is worked last, and from which the piece is cut out.

    It is the one that lies up where all is worked from one face.
    """
    machine = job.options.machine
    up = Side.BACK if machine is not None and machine.face is Lies.DOWN else Side.FRONT
    sides = drawing.sides
    return up if up in sides or not sides else OTHER[up]


def first_side(drawing: Drawing, job: Job) -> Side | None:
    """The face that is worked before the main one, None where there is one face only."""
    other = OTHER[main_side(drawing, job)]
    return other if other in drawing.sides else None


def origin(job: Job) -> Corner:
    """The corner of the page, in each file, where the sheet's corner lies."""
    machine = job.options.machine
    return Corner.LOWER_LEFT if machine is None else machine.origin


def at_right_and_top(job: Job, side: Side) -> tuple[bool, bool]:
    """Whether the origin of a side's file is at the right, and at the top, seen from the front."""
    corner = origin(job)
    right = corner in (Corner.LOWER_RIGHT, Corner.UPPER_RIGHT)
    top = corner in (Corner.UPPER_LEFT, Corner.UPPER_RIGHT)
    if side is Side.FRONT:
        return right, top
    return (not right, top) if job.options.turn_about.is_upright else (right, not top)


def corner_of(box: Box, right_and_top: tuple[bool, bool]) -> tuple[float, float]:
    """The corner of a box, in mm."""
    left, bottom, right, top = box
    return right if right_and_top[0] else left, top if right_and_top[1] else bottom


def reach_of(machine: Machine, drawing: Drawing, job: Job) -> Box:
    """What the tool reaches of the page on every face that is worked, seen from the front."""
    rim = machine.rim
    across = {Side.FRONT: (rim.left, rim.right), Side.BACK: (rim.left, rim.right)}
    up = {Side.FRONT: (rim.bottom, rim.top), Side.BACK: (rim.bottom, rim.top)}
    turned = across if job.options.turn_about.is_upright else up
    turned[Side.BACK] = turned[Side.BACK][::-1]
    sides = drawing.sides or (Side.FRONT,)
    return (
        max(across[side][0] for side in sides),
        max(up[side][0] for side in sides),
        machine.width - max(across[side][1] for side in sides),
        machine.height - max(up[side][1] for side in sides),
    )


def pages_name(drawing: Drawing, job: Job, side: Side) -> Corner:
    """What the corner at the origin of the main side's file is called in the file of a side."""
    right, top = at_right_and_top(job, main_side(drawing, job))
    if side is Side.BACK:
        if job.options.turn_about.is_upright:
            right = not right
        else:
            top = not top
    return Corner(f"{'upper' if top else 'lower'} {'right' if right else 'left'}")
