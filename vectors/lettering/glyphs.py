"""This module reads the lines of the alphabet: each becomes a glyph of exact strokes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from ..geometry import Path, Point, Vector, Vertex, union_box
from . import alphabet

# From the base line to the top of a capital, in units of the grid.
CAPITAL = 12

_DOT = Fraction(1, 2)


@dataclass(frozen=True, kw_only=True, slots=True)
class Glyph:
    """A sign in units of the grid: its strokes, and how far the next sign stands to the right.

    The strokes are open paths; x is 0 where the sign before ends, y 0 at the base line.
    """

    strokes: tuple[Path, ...]
    advance: Fraction

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of the strokes.  Raises ValueError without strokes."""
        return union_box(stroke.box() for stroke in self.strokes)


@cache
def glyphs() -> dict[str, Glyph]:
    """The signs of the alphabet that are drawn as they are written down, accents left out."""
    texts = (
        alphabet.CAPITALS,
        alphabet.SMALL_LETTERS,
        alphabet.DIGITS,
        alphabet.RAISED_DIGITS,
        alphabet.SIGNS,
        alphabet.FURTHER_LETTERS,
    )
    return read_glyphs("".join(texts))


@cache
def accents() -> dict[str, tuple[Path, ...]]:
    """The strokes of the combining accents, as their lines have them."""
    return {name: glyph.strokes for name, glyph in read_glyphs(alphabet.ACCENTS).items()}


def read_glyphs(text: str) -> dict[str, Glyph]:
    """The glyphs of the lines of a text; a line may use the strokes of any other one.

    Raises ValueError with the line that cannot be read.
    """
    lines: dict[str, list[str]] = {}
    for row in text.splitlines():
        if not row.strip():
            continue
        name, *words = row.split()
        sign = chr(int(name[2:], 16)) if name.startswith("U+") else name
        if len(sign) != 1 or sign in lines or len(words) < 2:
            raise ValueError(f"this line is no new sign: {row}")
        lines[sign] = words
    return {sign: _glyph(lines, sign) for sign in lines}


def _glyph(lines: dict[str, list[str]], sign: str) -> Glyph:
    left, right = (Fraction(word) for word in lines[sign][:2])
    strokes = _strokes(lines, sign, ())
    width = max((on_grid(stroke.box()[2]) for stroke in strokes), default=Fraction(0))
    by = Vector(left, Fraction(0))
    return Glyph(strokes=tuple(path.moved(by) for path in strokes), advance=left + width + right)


def on_grid(number: float) -> Fraction:
    """A reckoned place to a hundredth of a unit, so that it is the same on every machine."""
    return Fraction(round(number * 100), 100)


def _strokes(lines: dict[str, list[str]], sign: str, users: tuple[str, ...]) -> tuple[Path, ...]:
    """The strokes of a sign where its line has them, without the distance at its left."""
    if sign not in lines or sign in users:
        raise ValueError(f'"{sign}" is not there, or made of itself')
    found: list[Path] = []
    parts: list[list[str]] = [[]]
    for word in lines[sign][2:]:
        if word == "/":
            parts.append([])
        else:
            parts[-1].append(word)
    for part in parts:
        if not part:
            continue
        if part[0].startswith("="):
            by = _place(part[1]) - Point(0.0, 0.0) if len(part) > 1 else Vector(0.0, 0.0)
            by = Vector(Fraction(by.x), Fraction(by.y))
            found += (path.moved(by) for path in _strokes(lines, part[0][1:], (*users, sign)))
        elif part[0].startswith("*"):
            found.append(_ring(_place(part[0][1:])))
        else:
            found.append(_stroke(part))
    return tuple(found)


def _ring(at: Point) -> Path:
    right, left = Point(at.x + _DOT, at.y), Point(at.x - _DOT, at.y)
    return Path((Vertex(right, 1.0), Vertex(left, 1.0), Vertex(right)))


def _stroke(words: list[str]) -> Path:
    vertices: list[Vertex] = []
    for word in words:
        if word[0] in "+-" and "," not in word:
            # The bulge of an arc is the tangent of a quarter of its turn; rounded, it
            # is the same on every machine.
            bulge = round(math.tan(math.radians(float(word)) / 4.0), 12)
            vertices[-1] = Vertex(vertices[-1].at, bulge)
        else:
            vertices.append(Vertex(_place(word)))
    if len(vertices) < 2 or vertices[-1].bulge != 0.0:
        raise ValueError(f"this is no stroke: {' '.join(words)}")
    return Path(tuple(vertices))


def _place(word: str) -> Point:
    x, y = word.split(",")
    return Point(Fraction(x), Fraction(y))
