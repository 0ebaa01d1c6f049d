"""This module is the pass that gives a drawing the cautions that its job calls for."""

from __future__ import annotations

from dataclasses import replace

from foldwright.profiles.cautions import cautions_for, needs_of

from ..drawing import Drawing, Layer, Work
from .job import Job, Passed


def add(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the cautions of material, tool, machine and job, the last one last.

    Scores with a blade are looked for in the drawing itself; a machine that
    nobody named may stand open.
    """
    machine = job.options.machine
    needs = needs_of(
        job.tool,
        enclosed=None if machine is None else machine.enclosed,
        blade_scores=Work.HALF_CUT in drawing.works(Layer.SCORE),
        stands=job.options.stands,
    )
    cautions = cautions_for(
        job.profile, job.tool, needs, machine=() if machine is None else machine.cautions
    )
    return Passed(replace(drawing, cautions=cautions))
