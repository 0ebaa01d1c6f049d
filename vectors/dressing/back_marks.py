"""This module marks the backs of parts: the letter of each, and an arrow where its print goes up.

They stand in the middle of the largest circle that lies on the part, where they are
farthest from all its edges.
"""

from __future__ import annotations

import math
from dataclasses import replace

from ..design.pieces import Face, Mark, Piece
from ..geometry import Path, Point, Vector, Vertex
from ..lettering import CAPITAL, set_text
from .model import MadePiece
from .spots import Spot, widest_spot

LETTER_MM = 8.0
"""How tall the capitals of a letter are where there is room for them."""

LEAST_LETTER_MM = 2.0
"""Letters that would have to be smaller than this are left out, for nobody could read them."""

CLEAR_MM = 1.0
"""How far marks keep from the edges of a part, from folds and from cuts, in mm."""

# The arrow stands to the right of the letter: so long, and so far from it, as shares of its
# height.
_ARROW = 0.75
_APART = 0.25


def unmarked(part: MadePiece) -> Piece:
    """The piece of a part with nothing on its back."""
    marks = tuple(mark for mark in part.piece.marks if mark.face is not Face.BACK)
    return replace(part.piece, marks=marks)


def marked_back(part: MadePiece) -> tuple[Piece, bool]:
    """The piece of a part with its letter and arrow on its back, and whether they have room."""
    plain = unmarked(part)
    spot = widest_spot(part.piece.outline, [one.path for one in part.piece.openings])
    height = letter_height(part.letter, spot, arrow=part.up is not None)
    if height is None:
        return plain, False
    width = letter_width(part.letter, height)
    whole = width if part.up is None else width + (_APART + _ARROW) * height
    left, bottom = spot.at[0] - whole / 2.0, spot.at[1] - height / 2.0
    if part.up is None:
        at = Point(left, bottom)
        arrow: tuple[Mark, ...] = ()
    else:
        # The back is read from behind: what comes first there lies at the right.
        at = Point(left + (_APART + _ARROW) * height, bottom)
        middle = Point(left + _ARROW * height / 2.0, spot.at[1])
        arrow = _arrow(middle, height, part.up)
    letter = Mark(name="letter", text=part.letter, at=at, height=height, face=Face.BACK)
    return replace(plain, marks=(*plain.marks, letter, *arrow)), True


def letter_height(letter: str, spot: Spot, *, arrow: bool = False) -> float | None:
    """How tall a letter may be within a spot, in mm; None where that is too small to be read."""
    width = letter_width(letter, 1.0) + (_APART + _ARROW if arrow else 0.0)
    height = min(LETTER_MM, 2.0 * (spot.radius - CLEAR_MM) / math.hypot(width, 1.0))
    return height if height >= LEAST_LETTER_MM else None


def letter_width(letter: str, height: float) -> float:
    """How wide a letter or several are, in mm."""
    unit = float(set_text(letter, at=Point(0, 0), height=CAPITAL).width) / CAPITAL
    return unit * height


def _arrow(middle: Point, height: float, up: float) -> tuple[Mark, ...]:
    way = Vector(math.cos(math.radians(up)), math.sin(math.radians(up)))
    across = Vector(-way.y, way.x)
    half = height * _ARROW / 2.0
    tail, tip = middle + way * -half, middle + way * half
    barb = half / 2.0
    ends = (tip + way * -barb + across * barb, tip, tip + way * -barb + across * -barb)
    return tuple(
        Mark(name=name, path=Path(tuple(Vertex(end) for end in path)), face=Face.BACK)
        for name, path in (("up", (tail, tip)), ("up, its head", ends))
    )
