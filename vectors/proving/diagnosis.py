"""This module answers of a made card that does not close: was it the making, or the design.

The card is made once more on paper with its folds where they were found.  If
the design closes and this card does not, a fold that was measured is to blame.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from ..folding import Verdict
from ..measures.exact import MEETS_MM
from ..problems import Collector, DesignError
from .diagnosis_wording import (
    alike_sentence,
    design_sentence,
    elsewhere_sentence,
    faults_of,
    full_name,
    making_sentence,
    met_apart,
    nothing_sentence,
    order_sentence,
    vertex_sentence,
)
from .made_card import MadeCard
from .measured import MeasuredFold, as_made
from .model import Mend, Proof
from .suspects import Suspect, least_put_back, suspects_of


class Cause(StrEnum):
    """Where the fault lies.

    `design`: the design never could have closed.  `making`: folds lie where the
    card cannot close.  `order`: measured so, one line lies beyond another one.
    `vertex`: folds that meet at one place lie shifted, which is not reckoned.
    `elsewhere`: the card as measured closes within what the material gives.
    `nothing`: the folds that were measured lie where they should.
    """

    DESIGN = "design"
    MAKING = "making"
    ORDER = "order"
    VERTEX = "vertex"
    ELSEWHERE = "elsewhere"
    NOTHING = "nothing"


@dataclass(frozen=True, kw_only=True, slots=True)
class Diagnosis:
    """What a made card that was measured tells.

    `sentence` says it in plain words.  `measured_gap_mm` is the largest gap of
    the card as measured, None where it has none; `gives_mm` what the material
    of its piece gives.  `suspects` are most likely first, `put_back` the fewest
    of them, from the first on, that close the card where the design has them.
    `mends` each close the card as measured by one line or two.  `unmeasured`
    are the folds of its loops that nobody measured.
    """

    sentence: str
    cause: Cause
    design_closes: bool
    measured_gap_mm: float | None
    gives_mm: float
    measured: tuple[MeasuredFold, ...]
    suspects: tuple[Suspect, ...] = ()
    put_back: tuple[str, ...] = ()
    mends: tuple[Mend, ...] = ()
    unmeasured: tuple[str, ...] = ()


def diagnose(proof: Proof, measured: Sequence[MeasuredFold]) -> Diagnosis:
    """Hold the folds of a made card against the proof of its design.

    Raises DesignError for a place where a fold cannot lie.
    """
    found = tuple(measured)
    # A design that cannot be judged has no card to hold it against.
    judged = proof.verdict is not Verdict.UNPROVEN
    card = _made(proof, found if judged else ())
    told_of = Diagnosis(
        sentence="",
        cause=Cause.NOTHING,
        design_closes=judged and not faults_of(proof),
        measured_gap_mm=card.gap_mm,
        gives_mm=card.gives(card.worst),
        measured=found,
        unmeasured=_unmeasured(proof, found),
    )
    off = [one for one in found if abs(float(one.off_mm)) > MEETS_MM]
    alike = alike_sentence(proof, found)
    if not told_of.design_closes:
        cause, sentence = Cause.DESIGN, design_sentence(proof)
    elif not off:
        cause, sentence = Cause.NOTHING, nothing_sentence(found, told_of.unmeasured)
    elif not card.sound:
        met = met_apart(proof, card, off)
        if met is None:
            cause, sentence = Cause.ORDER, order_sentence(proof, card, off)
        else:
            cause, sentence = Cause.VERTEX, vertex_sentence(proof, *met)
    elif card.closes:
        cause, sentence = Cause.ELSEWHERE, elsewhere_sentence(proof, card, told_of.unmeasured)
        sentence = _joined(alike, sentence)
    else:
        suspects = suspects_of(proof, card, off)
        put_back = least_put_back(proof, found, suspects)
        return replace(
            told_of,
            sentence=_joined(alike, making_sentence(proof, card, put_back, alike=bool(alike))),
            cause=Cause.MAKING,
            suspects=suspects,
            put_back=tuple(full_name(proof, one.piece, one.line) for one in put_back),
            mends=card.mends(),
        )
    return replace(told_of, sentence=sentence, cause=cause)


def _made(proof: Proof, measured: tuple[MeasuredFold, ...]) -> MadeCard:
    """The card as measured; not `sound` where only folds that meet at one place hinder it.

    Raises DesignError for a place where a fold cannot lie.
    """
    try:
        return MadeCard.made(proof, measured)
    except DesignError:
        # Folds that cannot lie there even by themselves are told as such.
        alone = Collector()
        for one in measured:
            try:
                as_made(proof.resolved, (one,))
            except DesignError as error:
                alone.extend(error)
        alone.raise_if_stopped(DesignError)
        as_designed = replace(MadeCard.made(proof, ()), sound=False, closings=())
        if met_apart(proof, as_designed, measured) is None:
            raise
        return as_designed


def _joined(first: str, then: str) -> str:
    return f"{first}; {then}" if first else then


def _unmeasured(proof: Proof, measured: Sequence[MeasuredFold]) -> tuple[str, ...]:
    """The folds that some loop passes and that nobody measured, in the order of the file."""
    known = {(one.piece, one.fold) for one in measured}
    passed = {
        (step.before[0], step.hinge.fold)
        for piece in proof.pieces
        for one in piece.closings
        for step in one.loop.steps
        if step.hinge is not None
    }
    return tuple(
        full_name(proof, piece.name, fold.name)
        for piece in proof.resolved.pieces
        for index, fold in enumerate(piece.folds)
        if (piece.name, index) in passed and (piece.name, fold.name) not in known
    )
