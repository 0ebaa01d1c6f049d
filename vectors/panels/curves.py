"""This module lists the curves that divide a piece, each segment with what it belongs to."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from ..design.pieces import Piece
from ..geometry import Path, Segment
from ..problems import Place


class Kind(StrEnum):
    """What a curve is; the value is the word for it in a message."""

    OUTLINE = "outline"
    OPENING = "opening"
    SLIT = "slit"
    FOLD = "fold"
    # A fold that is scored and never turned: an arc, or one that is `still`.
    SCORE = "score"

    @property
    def rims(self) -> bool:
        """Whether there is paper on one side of such a curve only."""
        return self in (Kind.OUTLINE, Kind.OPENING)


@dataclass(frozen=True, slots=True)
class Owner:
    """The outline, opening, slit or fold that a segment belongs to, `index` among its like."""

    kind: Kind
    index: int
    name: str
    place: Place

    def told(self) -> str:
        """How a message calls it: `the outline`, `slit 2`, `fold "gutter"`."""
        return "the outline" if self.kind is Kind.OUTLINE else told(self.kind.value, self.name)


def told(kind: str, name: str) -> str:
    """A thing by kind and name; one that is called by its place in the file needs no quotes."""
    if re.fullmatch(r"(fold|slit|opening|mark|panel|joint|touch|mat|extra) \d+", name):
        return name
    return f'{"fold" if kind == "score" else kind} "{name}"'


@dataclass(frozen=True, slots=True)
class Curve:
    """One segment of an owner's path; `number` is its place on that path."""

    owner: Owner
    number: int
    segment: Segment


def curves_of(piece: Piece) -> list[Curve]:
    """Every segment of a piece: outline, openings, slits, folds, in this order."""
    found: list[Curve] = []

    def add(owner: Owner, path: Path) -> None:
        found.extend(Curve(owner, number, segment) for number, segment in enumerate(path.segments))

    add(Owner(Kind.OUTLINE, 0, "outline", piece.place), piece.outline)
    for index, opening in enumerate(piece.openings):
        add(Owner(Kind.OPENING, index, opening.name, opening.place), opening.path)
    for index, slit in enumerate(piece.slits):
        add(Owner(Kind.SLIT, index, slit.name, slit.place), slit.path)
    for index, fold in enumerate(piece.folds):
        turned = Owner(Kind.FOLD, index, fold.name, fold.place)
        scored = Owner(Kind.SCORE, index, fold.name, fold.place)
        for number, segment in enumerate(fold.path.segments):
            owner = turned if segment.is_line and not fold.still else scored
            found.append(Curve(owner, number, segment))
    return found
