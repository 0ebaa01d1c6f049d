"""This module holds what a whole card is made of: one kind of part, and how often it is cut."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from ..design.pieces import Piece


class Kind(StrEnum):
    """What a part of the set is for."""

    BASE = "base"
    MAT = "mat"
    GREETING = "greeting"
    ENVELOPE = "envelope"
    LINER = "liner"


@dataclass(frozen=True, kw_only=True, slots=True)
class MadePiece:
    """One kind of part of the set, to be cut `count` times.

    `letter` is the same on the cutting list, on the placement map and on the mark of its
    back: A, B, ... Z, AA; it is empty for the pieces of the card itself.  The coordinates of
    `piece` start near its lower left corner; an envelope has its folds.  `where` names each
    copy's panel, `base/front floor`.  `width_mm` and `height_mm` are its sizes, with `up`
    upright where it has a print direction.  `up` is that direction in degrees in the
    coordinates of the piece, None where it has none, `way` whether the print runs
    `lengthwise` or `crosswise` to its long side, for papers with a print direction.
    """

    letter: str
    kind: Kind
    piece: Piece
    stock: str | None
    count: int
    where: tuple[str, ...]
    width_mm: float
    height_mm: float
    up: float | None = None
    way: str | None = None
