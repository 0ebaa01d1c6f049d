"""This module is the pass that adds registers: lines that show where a sheet has to lie.

A blank that is trimmed by hand is laid into an angle that the machine draws
first.  A sheet that is worked from both faces is pierced by crosses beside the
piece while its first face is worked; turned over, it is laid so that they come
to lie on the drawn ones.
"""

from __future__ import annotations

from dataclasses import replace

from foldwright.profiles.model import Tool

from ..drawing import Drawing, Layer, Role, Side, Stroke, Work
from ..geometry import Path, Point, line, union_box
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .crosses import ARM_MM, crosses_beside
from .faces import (
    at_right_and_top,
    corner_of,
    first_side,
    main_side,
    origin,
    pages_name,
)
from .job import Job, Passed
from .misfit import past_the_edge
from .place import extent, lies_inside
from .wording import mm

# How far a leg of the angle runs along an edge of the blank, in mm, where the edge
# is that long.
LEG_MM = 20.0


def add(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the registers that it needs; its page grows to hold them."""
    if not drawing.strokes:
        return Passed(drawing)
    first = first_side(drawing, job)
    found: list[Problem] = []
    if job.options.pretrimmed:
        added, found = _corner(drawing, job)
    elif first is not None:
        added = _crosses(job, first)
    else:
        return Passed(drawing)
    if first is not None:
        found.append(_second_face(drawing, job, first, registered=bool(added)))
    box = union_box([extent(drawing, job), *(stroke.path.box() for stroke in added)])
    return Passed(replace(drawing, strokes=(*added, *drawing.strokes), extent=box), tuple(found))


def _register(job: Job, path: Path, side: Side, source: str, *, pierced: bool = False) -> Stroke:
    return Stroke(
        path=path,
        layer=Layer.CUT if pierced else Layer.MARK,
        work=Work.THROUGH if pierced else Work.DRAWN,
        piece=job.piece.name,
        source=source,
        role=Role.REGISTER,
        side=side,
    )


# The blank that is trimmed by hand.


def _corner(drawing: Drawing, job: Job) -> tuple[list[Stroke], list[Problem]]:
    """The angle for the blank's corner on each face that is worked."""
    main = main_side(drawing, job)
    corner = str(origin(job))
    if not lies_inside(drawing, job):
        machine = job.options.machine
        assert machine is not None
        past = past_the_edge(job, machine)
        return [], [
            job.problem(
                "register-in-the-rim",
                place=machine.place,
                piece_name=job.piece.name,
                machine=machine.name,
                corner=corner,
            ),
            *([] if past is None else [past]),
        ]
    right_and_top = at_right_and_top(job, main)
    outline = job.piece.outline.rounded()
    box = outline.box()
    at_x, at_y = corner_of(box, right_and_top)
    along_x, straight_x = _leg(outline, at_x, at_y, level=True)
    along_y, straight_y = _leg(outline, at_y, at_x, level=False)
    angle = line(Point(along_x, at_y), Point(at_x, at_y), Point(at_x, along_y))
    by_hand = job.tool is Tool.HAND
    found = [
        job.problem(
            "corner-register",
            place=job.piece.place,
            piece_name=job.piece.name,
            corner=corner,
            under="the cutting mat" if by_hand else "the carrier, or on card that lies on the bed",
        )
    ]
    if not (straight_x and straight_y):
        found.append(
            job.problem(
                "register-holds-little",
                at=(at_x, at_y),
                place=job.piece.place,
                piece_name=job.piece.name,
                corner=corner,
            )
        )
    return [_register(job, angle, side, "corner") for side in drawing.sides], found


def _leg(outline: Path, start: float, at: float, *, level: bool) -> tuple[float, bool]:
    """How far a leg runs from the corner, and whether a straight edge of the blank lies along it.

    It lies on the side of the blank's box at `at` and starts at `start`, both along their axes.
    """
    touching = []
    for segment in outline.segments:
        ends = [
            end.floats() if level else end.floats()[::-1] for end in (segment.start, segment.end)
        ]
        if segment.is_line and all(abs(end[1] - at) <= MEETS_MM for end in ends):
            touching.append(sorted((end[0] for end in ends), key=lambda place: abs(place - start)))
    if touching:
        near, far = min(touching, key=lambda edge: abs(edge[0] - start))
        length = min(abs(far - start), abs(near - start) + LEG_MM)
        return start + (length if far > start else -length), True
    left, bottom, right, top = outline.box()
    low, high = (left, right) if level else (bottom, top)
    # The place where it touches is somewhere along the side: the leg takes all of it.
    return (high if start == low else low), False


# The sheet that is turned over.


def _crosses(job: Job, first: Side) -> list[Stroke]:
    """Pierced crosses on the face that is worked first, drawn ones on the other."""
    found = []
    for number, at in enumerate(crosses_beside(job.piece.outline.box(), job.kerf), 1):
        x, y = at
        for path in (
            line(Point(x - ARM_MM, y), Point(x + ARM_MM, y)),
            line(Point(x, y - ARM_MM), Point(x, y + ARM_MM)),
        ):
            for side in Side:
                found.append(_register(job, path, side, f"cross {number}", pierced=side is first))
    return found


def _second_face(drawing: Drawing, job: Job, first: Side, *, registered: bool) -> Problem:
    main = main_side(drawing, job)
    folds = {stroke.source for stroke in drawing.strokes if _is(Role.FOLD, stroke, first)}
    marks = {stroke.source for stroke in drawing.strokes if _is(Role.MARK, stroke, first)}
    score = job.way.score
    figure = None if score is None else score.registration
    if figure is None:
        off = f"nobody has said how far off lines of the {first} may lie"
    else:
        where = figure.place.prefix()
        basis = ", ".join(part for part in (where, figure.confidence, figure.basis) if part)
        off = f"lines of the {first} may lie up to {mm(figure.value)} off ({basis})"
    if not job.options.pretrimmed and job.tool is Tool.HAND:
        how = f"prick the middles of the crosses through, and measure from them on the {main}"
    elif not job.options.pretrimmed:
        how = (
            f"draw the crosses of the {main} on the carrier first, "
            "then lay the pierced ones on them"
        )
    elif registered:
        how = "lay the same corner of the blank into the register of each file"
    else:
        how = f"lay the same corner of the blank into the {origin(job)} corner after the turn"
    return job.problem(
        "second-face",
        place=job.piece.place,
        measure_mm=None if figure is None else figure.value,
        piece_name=job.piece.name,
        folds=_counted(folds, "fold") if folds or not marks else _counted(marks, "mark"),
        first=first,
        second=main,
        edge=job.options.turn_about,
        off=off,
        start=f", with the sheet in the {pages_name(drawing, job, first)} corner of its page"
        if job.options.machine is not None
        else "",
        how=how,
        out=", which cuts it out as well" if not job.options.pretrimmed else "",
    )


def _is(role: Role, stroke: Stroke, side: Side) -> bool:
    return stroke.role is role and stroke.side is side


def _counted(lines: set[str], word: str) -> str:
    return f"1 {word}" if len(lines) == 1 else f"{len(lines)} {word}s"
