"""This module ranks the folds of a made card that lie off their places, most likely first.

In a loop that lies flat each fold's share of the gap is exact: lines that move
in parallel shift the residual by plain displacements, which add up (see the
module on sensitivity).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..folding import Verdict
from ..measures import Number
from .made_card import MadeCard
from .materials import profile_of
from .measured import MeasuredFold, straight
from .model import Proof
from .relaying import upward_normal
from .sensitivity import laid_lines, lies_flat, meeting_places

# For no more folds than this the card is closed with one of them put back.
_MOST_PUT_BACK = 24


@dataclass(frozen=True, kw_only=True, slots=True)
class Suspect:
    """A fold that lies off its place on a card that does not close.

    `times_tolerance` is how many times the tool's tolerance it is off, None
    without a tool.  `share` is its part of the gap, 1 for all of it, negative
    where it makes the gap smaller; None in a loop that does not lie flat.
    `gap_put_back_mm` is the gap of the card with this fold alone where the
    design has it, `closes_put_back` whether the material gives that much; both
    None where that was not tried.
    """

    piece: str
    line: str
    designed_mm: Number
    measured_mm: Number
    off_mm: Number
    times_tolerance: float | None
    share: float | None
    gap_put_back_mm: float | None
    closes_put_back: bool | None


def suspects_of(proof: Proof, card: MadeCard, off: Sequence[MeasuredFold]) -> tuple[Suspect, ...]:
    """The folds that lie off their places, most likely first.

    First those whose error opens the gap, then those that happen to make it
    smaller; among them the one that is off by most of the tool's tolerances.
    """
    shares = _shares(card, off)
    found = []
    for one in off:
        tolerance = tolerance_of(proof, one.piece)
        alone: MadeCard | None = None
        if len(off) <= _MOST_PUT_BACK:
            alone = MadeCard.made(proof, [other for other in off if other is not one])
        found.append(
            Suspect(
                piece=one.piece,
                line=one.fold,
                designed_mm=one.designed_mm,
                measured_mm=one.measured_mm,
                off_mm=one.off_mm,
                times_tolerance=None if tolerance is None else abs(float(one.off_mm)) / tolerance,
                share=shares.get((one.piece, one.fold)),
                gap_put_back_mm=None if alone is None else alone.gap_mm,
                closes_put_back=None if alone is None else alone.closes,
            )
        )

    def unlikely(one: Suspect) -> tuple[bool, float]:
        how_far = one.times_tolerance
        return (
            one.share is not None and one.share <= 0.0,
            -(abs(float(one.off_mm)) if how_far is None else how_far),
        )

    return tuple(sorted(found, key=unlikely))


def _shares(card: MadeCard, off: Sequence[MeasuredFold]) -> dict[tuple[str, str], float]:
    """Each fold's part of the worst loop's gap, along the gap; of loops that lie flat only."""
    worst = card.worst
    if worst is None or not lies_flat(worst.loop) or worst.verdict is Verdict.TURNED:
        return {}
    miss = max((place.miss for place in meeting_places(worst.loop)), key=lambda m: math.hypot(*m))
    square = miss[0] * miss[0] + miss[1] * miss[1]
    if square == 0.0:
        return {}
    # A parallel shift pulls alike everywhere, so any place will do.
    pulls: dict[tuple[str, int], tuple[float, float]] = {}
    for line in laid_lines(worst.loop):
        if line.is_joint:
            continue
        first, second = line.pulls(line.start)
        x, y = pulls.get(line.key[:2], (0.0, 0.0))
        pulls[line.key[:2]] = (x + first[0] + second[0], y + first[1] + second[1])
    shares = {}
    for one in off:
        folds = card.divisions[one.piece].piece.folds
        index = next(i for i, fold in enumerate(folds) if fold.name == one.fold)
        line_of = straight(folds[index])
        pull = pulls.get((one.piece, index), (0.0, 0.0))
        if line_of is None:
            continue
        # Errors are positive to the left of the line, places up or to the right.
        left = (line_of.end - line_of.start).left == upward_normal(line_of.start, line_of.end)
        by = float(one.off_mm) if left else -float(one.off_mm)
        shares[one.piece, one.fold] = by * (pull[0] * miss[0] + pull[1] * miss[1]) / square
    return shares


def tolerance_of(proof: Proof, piece: str) -> float | None:
    """The tolerance of the tool for the material of a piece, in mm, None where it is not known."""
    stock = next(one.stock for one in proof.resolved.pieces if one.name == piece)
    profile = profile_of(proof.profiles, stock)
    way = None if profile is None or proof.tool is None else profile.tools.get(proof.tool)
    if way is None or way.tolerance is None or way.tolerance.value <= 0.0:
        return None
    return way.tolerance.value


def least_put_back(
    proof: Proof, measured: Sequence[MeasuredFold], suspects: Sequence[Suspect]
) -> tuple[Suspect, ...]:
    """The fewest suspects from the first on that close the card where the design has them.

    One of them alone where any does; all of them where they are too many to try.
    """
    for one in suspects:
        if one.closes_put_back:
            return (one,)
    for count in range(1, len(suspects) if len(suspects) <= _MOST_PUT_BACK else 1):
        back = {(one.piece, one.line) for one in suspects[:count]}
        left = [one for one in measured if (one.piece, one.fold) not in back]
        if MadeCard.made(proof, left).closes:
            return tuple(suspects[:count])
    return tuple(suspects)
