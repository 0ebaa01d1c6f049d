"""This module finds the room that a closed card needs in its envelope.

The card is measured with its mats, and with extras that reach past its paper.  To each of
its two sides the clearance is added twice, and once its thickness: a thick card lifts both
faces of an envelope, which takes that much from its width and from its height.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..proving import Proof

CLEARANCE_MM = 3.0
"""What is left free each side where the design does not say: 6 mm, or 1/4 in, in all (common
practice, no source)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """The room that a card needs, in mm; of two sides the longer one first.

    `card_mm` is the closed card with what reaches past it, `thickness_mm` its thickness, None
    where that is not known, and then not in `needed_mm`.
    """

    card_mm: tuple[float, float]
    thickness_mm: float | None
    clearance_mm: float

    @property
    def flat_mm(self) -> tuple[float, float]:
        """The room for a card without thickness."""
        long, short = self.card_mm
        return long + 2.0 * self.clearance_mm, short + 2.0 * self.clearance_mm

    @property
    def needed_mm(self) -> tuple[float, float]:
        """The room with the thickness."""
        deep = self.thickness_mm or 0.0
        long, short = self.flat_mm
        return long + deep, short + deep


def room_of(proof: Proof, clearance_mm: float | None) -> Room | None:
    """The room for the card of a proof; None where its closed size is not known."""
    closed = proof.closed
    if closed is None:
        return None
    past = _past_the_paper(proof)
    short, long = sorted((closed.width_mm + past[0], closed.height_mm + past[1]))
    return Room(
        card_mm=(long, short),
        thickness_mm=closed.thickness_mm,
        clearance_mm=CLEARANCE_MM if clearance_mm is None else clearance_mm,
    )


def _past_the_paper(proof: Proof) -> tuple[float, float]:
    """How much wider and higher the closed card is with what is glued on it."""
    stack = proof.closed_stack
    if stack is None or stack.cover.outline.is_empty:
        return 0.0, 0.0
    left, bottom, right, top = stack.cover.outline.bounds
    boxes = [cell.polygon.bounds for cell in stack.thickness.cells if not cell.panels]
    lefts, bottoms, rights, tops = zip((left, bottom, right, top), *boxes, strict=True)
    past_x, past_y = max(rights) - min(lefts), max(tops) - min(bottoms)
    # Rounding of double precision must not show in a size.
    return round(past_x - (right - left), 6), round(past_y - (top - bottom), 6)
