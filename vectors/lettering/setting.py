"""This module sets a text: its signs side by side, its lines below each other, on the paper."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..geometry import Path, Point, Vertex, line, point
from ..geometry.mirroring import mirrored as mirrored_path
from ..measures.exact import Number
from .composing import glyph_of
from .glyphs import CAPITAL, Glyph

# From one base line to the next, as a share of the height of capitals: accents of
# capitals stay clear of what hangs below the line above.
PITCH = 2

# What stands for a sign that the alphabet lacks, in units of the grid.
BOX = Glyph(
    strokes=(line(point(2, 0), point(8, 0), point(8, 9), point(2, 9), point(2, 0)),),
    advance=Fraction(10),
)

_TAB = " " * 4


@dataclass(frozen=True, kw_only=True, slots=True)
class Lettering:
    """A text as strokes, in mm.

    `missing` are the signs that are drawn as boxes, each once, in the order in which
    they come.  `width` is that of the longest line, with the clear distance before its
    first and after its last sign.
    """

    strokes: tuple[Path, ...]
    missing: tuple[str, ...]
    width: Number


def set_text(
    text: str,
    *,
    at: Point,
    height: Number | int,
    angle: float = 0.0,
    mirrored: bool = False,
) -> Lettering:
    """The strokes of `text`, its last base line starting at `at` and running at `angle` degrees.

    Capitals are `height` mm tall; lines are parted by a line feed, each `PITCH` times the
    height below the one before.  A text that is `mirrored` is read from the other face of
    the sheet: it fills the same room, and starts at the right.  Numbers stay exact where
    `at` and `height` are and the angle is a whole number of quarter turns.  Raises
    ValueError for a height that is not above 0.
    """
    if not height > 0:
        raise ValueError("letters need a height above 0")
    unit = (Fraction(height) if isinstance(height, int) else height) / CAPITAL
    rows = [_row(row) for row in _lines(text)]
    missing: dict[str, None] = {}
    advances = [sum((glyph.advance for _, glyph in row), Fraction(0)) for row in rows]
    widest = max(advances)
    turn = _turn(angle)
    strokes: list[Path] = []
    for number, row in enumerate(rows):
        x, y = Fraction(0), Fraction(PITCH * CAPITAL * (len(rows) - 1 - number))
        for sign, glyph in row:
            if glyph is BOX:
                missing[sign] = None
            for stroke in glyph.strokes:
                path = _moved(stroke, x, y)
                if mirrored:
                    path = mirrored_path(path, upright=True, twice=widest)
                strokes.append(_on_paper(path, at, unit, turn))
            x += glyph.advance
    return Lettering(strokes=tuple(strokes), missing=tuple(missing), width=widest * unit)


def block_height(text: str, height: Number) -> Number:
    """From the last base line of a text to the top of the capitals of its first line, in mm."""
    return height + height * PITCH * (len(_lines(text)) - 1)


def _lines(text: str) -> list[str]:
    return text.replace("\r\n", "\n").replace("\t", _TAB).split("\n")


def _row(text: str) -> list[tuple[str, Glyph]]:
    return [(sign, glyph_of(sign) or BOX) for sign in _signs(text)]


def _signs(text: str) -> Iterator[str]:
    """The signs of a line, each with all that combines with it."""
    sign = ""
    for character in unicodedata.normalize("NFC", text):
        if sign and unicodedata.combining(character):
            sign += character
            continue
        if sign:
            yield sign
        sign = character
    if sign:
        yield sign


def _turn(angle: float) -> tuple[Number, Number]:
    """Cosine and sine, exact for quarter turns."""
    quarters, rest = divmod(angle, 90.0)
    if rest == 0.0:
        one, nought = Fraction(1), Fraction(0)
        return ((one, nought), (nought, one), (-one, nought), (nought, -one))[int(quarters) % 4]
    return math.cos(math.radians(angle)), math.sin(math.radians(angle))


def _moved(path: Path, x: Fraction, y: Fraction) -> Path:
    return Path(
        tuple(Vertex(Point(v.at.x + x, v.at.y + y), v.bulge) for v in path.vertices), path.closed
    )


def _on_paper(path: Path, at: Point, unit: Number, turn: tuple[Number, Number]) -> Path:
    cos, sin = turn
    return Path(
        tuple(
            Vertex(
                Point(
                    at.x + (vertex.at.x * cos - vertex.at.y * sin) * unit,
                    at.y + (vertex.at.x * sin + vertex.at.y * cos) * unit,
                ),
                vertex.bulge,
            )
            for vertex in path.vertices
        ),
        path.closed,
    )
