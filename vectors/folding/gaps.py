"""This module measures how far panels that should meet stay apart round a loop, in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..geometry import Point
from .loops import Loop
from .motion import STILL, Motion, apart


@dataclass(frozen=True, kw_only=True, slots=True)
class PoseGap:
    """The largest gap of a loop in a pose.

    `mm` is the largest distance between the two places that a hinge's two panels
    give its ends, over all hinges of the loop, `turn_deg` the rotation that is
    left over.  `step` is the step of the loop where the gap is and `at` the end
    of it, on the flat paper of that step's further panel.
    """

    loop: Loop
    mm: float
    turn_deg: float
    step: int
    at: Point


def gap_round(loop: Loop, motions: Sequence[Motion]) -> PoseGap:
    """The largest gap of a loop whose steps move the paper by `motions`."""
    placed: list[Motion] = []
    here = STILL
    for motion in motions:
        here = here @ motion
        placed.append(here)
    residual = here
    worst, at, gap = 0, loop.steps[0].ends[0], 0.0
    for index, (step, motion) in enumerate(zip(loop.steps, placed, strict=True)):
        for end in step.ends:
            folded = motion.apply(end)
            distance = apart(residual.apply3(folded), folded)
            if distance > gap:
                worst, at, gap = index, end, distance
    return PoseGap(loop=loop, mm=gap, turn_deg=residual.turn_deg, step=worst, at=at)
