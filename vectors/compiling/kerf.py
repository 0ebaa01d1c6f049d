"""This module is the pass for the kerf: outlines move out and openings in by half of it.

A tool that removes k takes k/2 from each side of its line, so a part drawn to
size comes out k too small and an opening k too large.  Slits and scores have no
side that is kept, and stay.
"""

from __future__ import annotations

from dataclasses import replace

from ..drawing import Drawing, Role, Stroke
from ..geometry.offset import Loss, Lost, offset
from ..geometry.offset_check import verify
from ..problems import Problem
from .job import Job, Passed
from .strokes import place_of
from .wording import mm, named

# What a loss of the offset means to the person who drew the line, and its mend.
_TOLD = {
    Loss.RADIUS: (
        "its radius is not larger than half of that",
        "give the arc a larger radius, or use a tool with less kerf",
    ),
    Loss.TURNED: (
        "a side would vanish",
        "make the place wider or the side longer, or use a tool with less kerf",
    ),
    Loss.APART: (
        "two sides would no longer meet",
        "make the corner less sharp, or use a tool with less kerf",
    ),
    Loss.TANGLED: ("it crosses itself", "draw it so that it does not cross or touch itself"),
    Loss.MERGED: (
        "two sides would run into each other",
        "move the sides farther apart, or use a tool with less kerf",
    ),
}


def compensate(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its outline and openings moved by half the kerf.

    A path that would lose a feature is left out of the drawing, with a `stop`.
    """
    if job.way.kerf is None:
        return Passed(
            drawing,
            (
                job.problem(
                    "kerf-unknown",
                    place=job.profile.place,
                    material=job.profile.name,
                    tool=job.tool,
                ),
            ),
        )
    half = job.kerf / 2.0
    if half == 0.0:
        return Passed(drawing)
    found: list[Problem] = []
    strokes: list[Stroke] = []
    for stroke in drawing.strokes:
        if stroke.role not in (Role.OUTLINE, Role.OPENING):
            strokes.append(stroke)
            continue
        by = half if stroke.role is Role.OUTLINE else -half
        moved = offset(stroke.path, by)
        losses = verify(stroke.path, moved, by)
        if losses or moved.path is None:
            found.append(_lost(job, stroke, losses))
            continue
        strokes.append(replace(stroke, path=moved.path))
        if moved.rounded:
            first = moved.rounded[0]
            found.append(
                job.problem(
                    "corner-rounded",
                    at=first.floats(),
                    place=place_of(job.piece, stroke.role, stroke.source),
                    measure_mm=half,
                    piece_name=job.piece.name,
                    line=named(stroke),
                    corners="1 corner"
                    if len(moved.rounded) == 1
                    else f"{len(moved.rounded)} corners",
                    length=mm(half),
                )
            )
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _lost(job: Job, stroke: Stroke, losses: tuple[Lost, ...]) -> Problem:
    first = losses[0]
    more = len(losses) - 1
    reason, mend = _TOLD[first.loss]
    return job.problem(
        "kerf-loses-feature",
        at=first.at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=job.kerf,
        mend=mend,
        piece_name=job.piece.name,
        line=named(stroke),
        kerf=mm(job.kerf),
        reason=reason,
        more=f" and at {more} more place{'s' if more > 1 else ''}" if more else "",
    )
