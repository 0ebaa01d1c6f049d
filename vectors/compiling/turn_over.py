"""This module holds the passes for the second face of a sheet: which side is which, and the mirror.

A job that lies face down in its machine is worked from the back: all that was to
be worked from the front is then worked from the back.  Only scores that belong on the
outside of their folds keep their face, for that does not change with the machine.
"""

from __future__ import annotations

from dataclasses import replace

from foldwright.profiles.machine import Lies

from ..drawing import Drawing, Role, Side
from ..geometry.mirroring import mirrored
from .faces import OTHER
from .job import Job, Passed


def lay(drawing: Drawing, job: Job) -> Passed:
    """The drawing worked from the back where the machine has its jobs face down."""
    machine = job.options.machine
    if machine is None or machine.face is Lies.UP:
        return Passed(drawing)
    score = job.way.score
    outside = score is not None and score.valleys_from is Side.BACK
    strokes = tuple(
        stroke if outside and stroke.role is Role.FOLD else replace(stroke, side=OTHER[stroke.side])
        for stroke in drawing.strokes
    )
    return Passed(
        drawing.with_strokes(strokes),
        (
            job.problem(
                "lies-face-down",
                place=machine.place,
                piece_name=job.piece.name,
                machine=machine.name,
            ),
        ),
    )


def mirror(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the strokes of the back as they lie on the page when the sheet is turned.

    They are mirrored within the page, about the edge that was asked for.
    """
    upright = job.options.turn_about.is_upright
    twice = drawing.width if upright else drawing.height
    strokes = tuple(
        stroke
        if stroke.side is Side.FRONT
        else replace(stroke, path=mirrored(stroke.path, upright=upright, twice=twice))
        for stroke in drawing.strokes
    )
    return Passed(drawing.with_strokes(strokes))
