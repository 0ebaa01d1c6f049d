"""This module is the pass that gives a drawing the cautions of its material and tool."""

from __future__ import annotations

from dataclasses import replace

from ..drawing import Drawing
from .job import Job, Passed


def add(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the profile's cautions, and the one that is always last."""
    return Passed(replace(drawing, cautions=job.profile.cautions_for(job.tool)))
