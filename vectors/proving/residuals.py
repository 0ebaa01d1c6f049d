"""This module tells by how much the loops of a design miss, as one row of numbers.

A loop that lies flat misses by an isometry of the plane: the four numbers
(a - 1, b, tx, ty) are all 0 just where it closes, the first two without a unit
and the last two in mm.  A loop in space misses by a rotation and a displacement,
twelve numbers of the same kind.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from ..design.pieces import Resolved
from ..folding import Loop, Step
from ..folding.closing import flat_step, space_step
from ..folding.isometry import IDENTITY
from ..folding.motion import STILL
from ..measures.exact import Number, is_exact
from .model import Proof
from .panel_order import panel_order


@dataclass(frozen=True, slots=True)
class Residual:
    """The numbers of every loop, loop by loop."""

    numbers: tuple[Number, ...]

    @property
    def exact(self) -> bool:
        """Whether all of them are fractions."""
        return is_exact(*self.numbers)

    @property
    def size(self) -> float:
        """The length of the row, all numbers taken alike."""
        return math.hypot(*(float(number) for number in self.numbers))


def residual_of(proof: Proof, resolved: Resolved) -> Residual | None:
    """By how much the loops of a proof miss when their lines are those of another edition.

    The panels are taken to lie as they do in the proof, which is true for small
    changes, so nothing is divided anew.  None where the folds differ.
    """
    pieces = {piece.name: piece for piece in resolved.pieces}
    joints = {joint.name: joint for joint in resolved.joints}

    def moved(step: Step) -> Step:
        hinge, joint = step.hinge, step.joint
        if hinge is not None:
            fold = pieces[step.before[0]].folds[hinge.fold]
            line = fold.path.segments[hinge.segment]
            return replace(step, hinge=replace(hinge, line=line, angle=fold.angle))
        if joint is not None:
            return replace(step, joint=replace(joint, joint=joints[joint.joint.name]))
        return step

    try:
        loops = [[moved(step) for step in loop.steps] for loop in _loops(proof)]
    except (KeyError, IndexError):
        return None
    return Residual(tuple(number for steps in loops for number in _numbers(steps)))


def order_of(proof: Proof) -> tuple[object, ...]:
    """In which order the panels of a design lie round its loops; a mend leaves it as it is."""
    pieces = tuple((piece.name, panel_order(piece.division)) for piece in proof.pieces)
    joints = sorted(loop.name for loop in _loops(proof) if any(s.joint for s in loop.steps))
    return (*pieces, *joints)


def _loops(proof: Proof) -> Iterator[Loop]:
    return (closing.loop for piece in proof.pieces for closing in piece.closings)


def _numbers(steps: list[Step]) -> tuple[Number, ...]:
    if all(step.hinge is None or step.hinge.angle in (0, 180) for step in steps):
        flat = IDENTITY
        for step in steps:
            flat = flat @ flat_step(step)
        return (flat.a - 1, flat.b, flat.tx, flat.ty)
    here = STILL
    for step in steps:
        here = here @ space_step(step)
    turned = (
        entry - (1.0 if row == column else 0.0)
        for row, entries in enumerate(here.rows)
        for column, entry in enumerate(entries)
    )
    return (*turned, *here.shift)
