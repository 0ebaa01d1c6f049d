"""This module tells by how much the loops of a proof miss, as one row of numbers.

A loop that lies flat misses by an isometry of the plane: the four numbers
(a - 1, b, tx, ty) are all 0 just where it closes, the first two without a unit
and the last two in mm.  A loop in space misses by a rotation and a displacement,
twelve numbers of the same kind.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..folding import Closing, Step, Verdict
from ..folding.closing import space_step
from ..folding.motion import STILL
from ..measures.exact import Number, is_exact
from .model import Proof
from .panel_order import PanelOrder, panel_order


@dataclass(frozen=True, slots=True)
class Residual:
    """The numbers of every loop in a fixed order, and the order of the panels round the loops.

    Two of them compare number by number where their `order` is the same.
    """

    order: tuple[object, ...]
    numbers: tuple[Number, ...]

    @property
    def exact(self) -> bool:
        """Whether all of them are fractions."""
        return is_exact(*self.numbers)

    @property
    def size(self) -> float:
        """The length of the row, all numbers taken alike."""
        return math.hypot(*(float(number) for number in self.numbers))


def residual_of(proof: Proof) -> Residual | None:
    """By how much the loops of a design miss; None where that cannot be said.

    That is where a piece is not divided into panels, or a loop comes back face
    down.
    """
    if proof.verdict in (Verdict.UNPROVEN, Verdict.TURNED):
        return None
    loops = sorted(
        ((_key(closing), closing) for piece in proof.pieces for closing in piece.closings),
        key=lambda pair: pair[0],
    )
    orders: list[tuple[str, PanelOrder]] = [
        (piece.name, panel_order(piece.division)) for piece in proof.pieces
    ]
    numbers = [number for _, closing in loops for number in _numbers(closing)]
    return Residual((*orders, *(key for key, _ in loops)), tuple(numbers))


def _key(closing: Closing) -> tuple[str, str, tuple[str, ...]]:
    # A vertex is named after its place, which moves along with the measures.
    loop = closing.loop
    return (loop.piece, str(loop.round), tuple(_label(step) for step in loop.steps))


def _label(step: Step) -> str:
    piece = step.before[0]
    return f"{piece}/{step.label}"


def _numbers(closing: Closing) -> tuple[Number, ...]:
    flat = closing.residual
    if flat is not None:
        return (flat.a - 1, flat.b, flat.tx, flat.ty)
    here = STILL
    for step in closing.loop.steps:
        here = here @ space_step(step)
    turned = (
        entry - (1.0 if row == column else 0.0)
        for row, entries in enumerate(here.rows)
        for column, entry in enumerate(entries)
    )
    return (*turned, *here.shift)
