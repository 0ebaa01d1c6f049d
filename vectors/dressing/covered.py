"""This module tells which texts on a card a mat will cover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from ..design.pieces import Face, Mark, Piece
from ..geometry.inside import inside
from ..lettering import block_height, set_text
from ..problems import Problem, problem
from .shapes import Shape


class Glued(NamedTuple):
    """What is glued on a face of a piece: the letter of a mat, and its shape where it lies."""

    letter: str
    piece: str
    face: Face
    shape: Shape


def covered_texts(pieces: Sequence[Piece], mats: Sequence[Glued]) -> Iterator[Problem]:
    """A note for each text whose middle lies under a mat on the face that it is drawn on."""
    for piece in pieces:
        for mark in piece.marks:
            middle = _middle(mark)
            if middle is None:
                continue
            over = [
                one
                for one in mats
                if (one.piece, one.face) == (piece.name, mark.face) and _covers(one.shape, *middle)
            ]
            if over:
                yield problem(
                    "text-under-mat",
                    place=mark.place,
                    piece=piece.name,
                    at=middle,
                    text=mark.text,
                    letter=over[0].letter,
                )


def _middle(mark: Mark) -> tuple[float, float] | None:
    """The middle of the room that a text takes, None for a mark that holds none."""
    if mark.text is None or mark.at is None or mark.height is None:
        return None
    x, y = mark.at.floats()
    width = float(set_text(mark.text, at=mark.at, height=mark.height).width)
    return x + width / 2.0, y + float(block_height(mark.text, mark.height)) / 2.0


def _covers(shape: Shape, x: float, y: float) -> bool:
    return inside(shape.outline, x, y) and not any(inside(hole, x, y) for hole in shape.openings)
