"""This module says whether a loop of panels closes, and by how much it does not.

Going round a loop, each step maps the flat paper of the panel after it into that
of the panel before it.  The product of all steps, the loop's residual, must be
the identity (belcastro and Hull, Modelling the folding of paper into three
dimensions using affine transformations, 2002).  Where it is not, the two places
that a hinge's panels give its ends lie apart: that distance is the gap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ..geometry import Point
from ..measures.exact import MEETS_MM, ROUNDING_DEG, Number
from .gaps import gap_round
from .isometry import IDENTITY, Isometry, laying, reflection
from .loops import Loop, Step
from .motion import Motion, in_space
from .sides import Sides, excess, sides_of
from .turning import turned_over


class Verdict(StrEnum):
    """What is said of a loop, and of a whole design by its worst loop.

    `turned` is a loop with an odd number of half turns: a fold is missing or
    there is one too many.  `unproven` is a design whose lines could not be
    judged as loops at all.
    """

    CLOSES = "closes"
    GAPES = "gapes"
    BUCKLES = "buckles"
    TURNED = "turned"
    UNPROVEN = "unproven"


@dataclass(frozen=True, kw_only=True, slots=True)
class Closing:
    """The verdict on a loop.

    `gap_mm` is None for a turned loop, which has none.  `turn_deg` is the
    rotation left over.  `worst` is the index of the step with the largest gap
    and `at` the end of it where that is.  `exact` tells that the loop was
    reckoned in fractions; `residual` is the product of its steps where all lie
    flat.  `sides` are the two sides of a loop of parallel folds that does not
    close.
    """

    loop: Loop
    verdict: Verdict
    gap_mm: float | None
    turn_deg: float
    worst: int
    at: Point
    exact: bool
    residual: Isometry | None = None
    sides: Sides | None = None


def closing(loop: Loop) -> Closing:
    """Fold a loop at its closed angles and measure what is left."""
    if all(_lies_flat(step) for step in loop.steps):
        return _flat_closing(loop)
    return _space_closing(loop)


def slack_of(loop: Loop) -> float:
    """What the joints of a loop may take up together, in mm."""
    return math.fsum(float(step.joint.joint.slack) for step in loop.steps if step.joint is not None)


def _lies_flat(step: Step) -> bool:
    return step.hinge is None or step.hinge.angle in (0, 180)


def flat_step(step: Step) -> Isometry:
    """The map of a step whose fold is turned 0 or 180 degrees, or whose joint is glued."""
    if step.hinge is not None:
        return reflection(step.hinge.line) if step.hinge.angle == 180 else IDENTITY
    before, after = step.joint_lines()
    return laying(after, before, flipped=_turned_over(step))


def _turned_over(step: Step) -> bool:
    # Faces that touch look at each other: front on front turns a panel over.
    if step.joint is None:
        return False
    return step.joint.joint.glue.face is step.joint.joint.to.face


def space_step(step: Step) -> Motion:
    """The motion of a step, the fold turned by its closed angle in its own sense."""
    if step.hinge is None:
        return in_space(flat_step(step))
    return turned_over(step.hinge, step.after[1])


def _flat_closing(loop: Loop) -> Closing:
    placed: list[Isometry] = []
    here = IDENTITY
    for step in loop.steps:
        here = here @ flat_step(step)
        placed.append(here)
    residual = here
    if residual.flips:
        return Closing(
            loop=loop,
            verdict=Verdict.TURNED,
            gap_mm=None,
            turn_deg=180.0,
            worst=0,
            at=loop.steps[0].ends[0],
            exact=residual.exact,
            residual=residual,
        )
    if residual == IDENTITY and residual.exact:
        return _closed_exactly(loop, residual)
    worst, at = 0, loop.steps[0].ends[0]
    largest: Number = Fraction(0)
    for index, (step, motion) in enumerate(zip(loop.steps, placed, strict=True)):
        for end in step.ends:
            folded = motion.apply(end)
            miss = residual.apply(folded) - folded
            distance = miss.dot(miss)
            if distance > largest:
                worst, at, largest = index, end, distance
    gap = math.sqrt(largest)
    turn = residual.turn_deg
    # In fractions a loop closes or it does not; in floats a micrometre is nothing.
    closes = not residual.exact and gap <= MEETS_MM
    # A joint that gives may take a plain displacement up, but no turn.
    closes = closes or (gap <= slack_of(loop) and turn <= ROUNDING_DEG)
    sides = None if closes else sides_of(loop)
    verdict = Verdict.CLOSES
    if not closes:
        # Without sides to compare all that can be said is that they do not meet.
        longer = sides is not None and excess(sides) > 0
        verdict = Verdict.BUCKLES if longer else Verdict.GAPES
    return Closing(
        loop=loop,
        verdict=verdict,
        gap_mm=gap,
        turn_deg=turn,
        worst=worst,
        at=at,
        exact=residual.exact,
        residual=residual,
        sides=sides,
    )


def _closed_exactly(loop: Loop, residual: Isometry) -> Closing:
    return Closing(
        loop=loop,
        verdict=Verdict.CLOSES,
        gap_mm=0.0,
        turn_deg=0.0,
        worst=0,
        at=loop.steps[0].ends[0],
        exact=True,
        residual=residual,
    )


def _space_closing(loop: Loop) -> Closing:
    gap = gap_round(loop, [space_step(step) for step in loop.steps])
    # As where a loop lies flat: slack takes up a displacement, but no turn.
    closes = gap.mm <= MEETS_MM or (gap.mm <= slack_of(loop) and gap.turn_deg <= ROUNDING_DEG)
    return Closing(
        loop=loop,
        verdict=Verdict.CLOSES if closes else Verdict.GAPES,
        gap_mm=gap.mm,
        turn_deg=gap.turn_deg,
        worst=gap.step,
        at=gap.at,
        exact=False,
    )
