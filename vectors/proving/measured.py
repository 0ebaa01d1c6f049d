"""This module reads where folds were found on a made card, and makes the piece as it was made.

A place is the signed distance of the fold's endless line from the piece's lower
left corner, square to the fold, as the mends tell it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..design import Unfound, find_fold
from ..design.pieces import Fold, Piece, Resolved
from ..geometry import Segment
from ..measures import Number, Scope, Unit, as_length, exact_text, parse
from ..problems import Collector, DesignError, Place, problem
from .relaying import beside, relaid, signed_distance


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredFold:
    """A fold as found on a made card: where the design has its line, and where it lies, in mm."""

    piece: str
    fold: str
    designed_mm: Number
    measured_mm: Number

    @property
    def off_mm(self) -> Number:
        """How far it lies beyond its place, up or to the right; negative when short of it."""
        return self.measured_mm - self.designed_mm


def read_measured(texts: Sequence[str], resolved: Resolved) -> tuple[MeasuredFold, ...]:
    """The measured folds that texts such as `steps 2=145` tell, in the order given.

    A text may hold several, with commas between.  A bare number is in the units
    that the design is printed in; an expression is worked out, but knows no
    measures.  Raises DesignError with all that is wrong with them.
    """
    found = Collector()
    units = Unit(resolved.units)
    names = {piece.name: [fold.name for fold in piece.folds] for piece in resolved.pieces}
    pieces = {piece.name: piece for piece in resolved.pieces}
    measured: dict[tuple[str, str], MeasuredFold] = {}
    for text in texts:
        place = Place(file=f"--measured {text}", key="measured")
        for part in _parts(text):
            name, equals, value = (word.strip() for word in part.rpartition("="))
            if not equals or not name or not value:
                found.add(problem("measured-not-read", place=place, text=part.strip()))
                continue
            try:
                reference = find_fold(name, names)
            except Unfound as unfound:
                found.add(
                    problem("measured-unknown-fold", place=place, name=name, hint=unfound.hint)
                )
                continue
            key = reference.piece, reference.fold
            fold = _fold(pieces[reference.piece], reference.fold)
            line = straight(fold)
            if reference.hinge is not None:
                code = "measured-one-stretch"
                found.add(problem(code, place=place, name=name, fold=reference.fold))
            elif line is None:
                code = "measured-bent"
                found.add(problem(code, place=place, piece=key[0], name=fold.name))
            elif key in measured:
                code = "measured-twice"
                found.add(problem(code, place=place, piece=key[0], name=fold.name))
            else:
                try:
                    quantity = parse(value, place).evaluate(Scope.of(units, {}))
                    to = as_length(quantity, units, place, f'the place of fold "{fold.name}"')
                except DesignError as error:
                    found.extend(error)
                    continue
                measured[key] = MeasuredFold(
                    piece=key[0],
                    fold=fold.name,
                    designed_mm=signed_distance(line.start, line.end),
                    measured_mm=to,
                )
    found.raise_if_stopped(DesignError)
    return tuple(measured.values())


def as_made(resolved: Resolved, measured: Sequence[MeasuredFold]) -> tuple[Piece, ...]:
    """The pieces of the design with the measured folds where they were found.

    Slit ends and fold ends on a moved line follow it.  Names of panels are left
    out where no joint needs them: a line may lie beyond the point that they are
    put at.  Raises DesignError for a place where a fold cannot lie.
    """
    found = Collector()
    pieces = []
    for piece in resolved.pieces:
        made = piece if resolved.joints else replace(piece, panel_names=())
        for one in _in_turn([one for one in measured if one.piece == piece.name]):
            index = next(i for i, fold in enumerate(made.folds) if fold.name == one.fold)
            line = straight(made.folds[index])
            moved = None if line is None else relaid(made, index, beside(line, one.measured_mm))
            if moved is None:
                found.add(
                    problem(
                        "measured-off-piece",
                        place=Place(file=f"--measured {one.fold}", key="measured"),
                        piece=piece.name,
                        name=one.fold,
                        to=exact_text(one.measured_mm, Unit(resolved.units)),
                    )
                )
                continue
            made = moved
        pieces.append(made)
    found.raise_if_stopped(DesignError)
    return tuple(pieces)


def straight(fold: Fold) -> Segment | None:
    """The line of a fold that is one straight segment, else None."""
    segments = fold.path.segments
    return segments[0] if len(segments) == 1 and segments[0].is_line else None


def _fold(piece: Piece, name: str) -> Fold:
    return next(fold for fold in piece.folds if fold.name == name)


def _parts(text: str) -> Iterator[str]:
    """The folds of one text: a comma parts two where an equals sign follows it.

    So the comma of `min(3, 4)` parts nothing.
    """
    yield from re.split(r",(?=[^,]*=)", text)


def _in_turn(measured: Sequence[MeasuredFold]) -> list[MeasuredFold]:
    """The folds in an order in which a line never rests on one that has yet to move.

    Of those that move up or right the farthest goes first, of the others the
    nearest.
    """
    moved = [one for one in measured if one.off_mm != 0]
    return sorted(
        moved,
        key=lambda one: (
            one.off_mm > 0,
            -one.designed_mm if one.off_mm > 0 else one.designed_mm,
        ),
    )
