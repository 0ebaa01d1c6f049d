"""This module is the pass for blanks trimmed by hand: it leaves the outline out."""

from __future__ import annotations

from ..drawing import Drawing, Role
from .job import Job, Passed


def leave_out(drawing: Drawing, job: Job) -> Passed:
    """The drawing without its outline where the piece is pretrimmed."""
    if not job.options.pretrimmed:
        return Passed(drawing)
    return Passed(
        drawing.with_strokes(
            tuple(stroke for stroke in drawing.strokes if stroke.role is not Role.OUTLINE)
        )
    )
