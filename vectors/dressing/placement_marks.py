"""This module draws on the pieces of a card where its mats go: an outline, and the letter in it.

The outline runs a millimetre inside the edge of the mat, so that the mat covers it, and
lies on the face that the mat is glued on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import count as numbers

from ..design.pieces import Face, Mark, Piece
from ..geometry import Path, Point, Vector
from ..geometry.inside import inside
from ..geometry.moments import moments
from ..geometry.offset import offset
from ..geometry.offset_check import verify
from ..panels import Division, divide
from ..proving import Proof
from .back_marks import letter_height, letter_width
from .mats import PlacedMat
from .spots import Box, widest_spot

HIDDEN_MM = 1.0
"""How far inside the edge of a mat its outline is drawn, in mm."""


def with_placement(piece: Piece, placed: Iterable[PlacedMat], proof: Proof) -> Piece:
    """A piece as it is cut, with marks for the mats that go on it."""
    mine = [one for one in placed if one.panel[0] == piece.name]
    if not mine:
        return piece
    designed = proof.assembly.divisions[piece.name]
    moves = _moves(designed, piece)
    marks: list[Mark] = []
    drawn = numbers(1)
    # The room of the letters that are there already, beside which those of mats over them go.
    taken: dict[Face, list[Box]] = {face: [] for face in Face}
    for one in mine:
        by = moves[one.panel[1]]
        shape = one.shape.moved(by)
        marks += _outline(one, (shape.outline, *shape.openings), next(drawn))
        letters = _letter(one, shape.outline, shape.openings, taken[one.face])
        taken[one.face] += [_room(mark) for mark in letters]
        marks += letters
    return replace(piece, marks=(*piece.marks, *marks))


def _outline(one: PlacedMat, paths: Iterable[Path], number: int) -> list[Mark]:
    found = []
    for path in paths:
        # The outer edge runs anticlockwise, holes clockwise: both get smaller paper.
        is_hole = moments(path).area < 0.0
        ring = path.reversed if is_hole else path
        by = HIDDEN_MM if is_hole else -HIDDEN_MM
        moved = offset(ring, by)
        if moved.path is None or verify(ring, moved, by):
            # So small or narrow a mat has no room for a line that it covers: its own edge it is.
            moved_path = ring
        else:
            moved_path = moved.path
        found.append(
            Mark(name=f"place {number} of {one.letter}", path=moved_path, face=one.face, stays=True)
        )
    return found


def _letter(
    one: PlacedMat, outline: Path, openings: Iterable[Path], taken: Iterable[Box]
) -> list[Mark]:
    spot = widest_spot(outline, openings, taken)
    height = letter_height(one.letter, spot._replace(radius=spot.radius - HIDDEN_MM))
    if height is None:
        return []
    width = letter_width(one.letter, height)
    at = Point(spot.at[0] - width / 2.0, spot.at[1] - height / 2.0)
    return [
        Mark(
            name=f"letter {one.letter}",
            text=one.letter,
            at=at,
            height=height,
            face=one.face,
            stays=True,
        )
    ]


def _room(mark: Mark) -> Box:
    """The box of a letter."""
    assert mark.text is not None
    assert mark.at is not None
    assert mark.height is not None
    (x, y), height = mark.at.floats(), float(mark.height)
    return x, y, x + letter_width(mark.text, height), y + height


# Lines of a piece that is cut may lie beside those of the design, where its folds take up length.


def _moves(designed: Division, piece: Piece) -> list[Vector]:
    """How far each panel of the design has moved in the piece as it is cut."""
    if piece == designed.piece:
        return [Vector(0.0, 0.0)] * len(designed.panels)
    cut = divide(piece)
    found = []
    for panel in designed.panels:
        spot = widest_spot(panel.ring, panel.holes)
        there = [one for one in cut.panels if _lies_on(spot.at, one.ring, one.holes)]
        found.append(_between(panel.ring, there[0].ring) if there else Vector(0.0, 0.0))
    return found


def _lies_on(at: tuple[float, float], ring: Path, holes: Iterable[Path]) -> bool:
    if not inside(ring.rounded(), *at):
        return False
    return not any(inside(hole.rounded(), *at) for hole in holes)


def _between(first: Path, second: Path) -> Vector:
    """From the middle of the box of one to that of the other."""
    one, other = first.rounded().box(), second.rounded().box()
    return Vector(
        (other[0] + other[2] - one[0] - one[2]) / 2.0, (other[1] + other[3] - one[1] - one[3]) / 2.0
    )
