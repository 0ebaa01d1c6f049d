"""This module draws dimension lines: thin lines with a tick at either end, and their words."""

from __future__ import annotations

from collections.abc import Iterator

from ..geometry import Path, Point, Vertex, polygon
from ..measures import Unit, exact_text
from .boxes import box_of_part
from .lettering import LINE_HEIGHT
from .model import Anchor, Area, Line, Part, Words
from .pens import DIMENSION, PAPER

_SIZE = 3.0
_DIGITS = 6
# From what is measured to its dimension line, how far helping lines go past it, half a tick.
_AWAY, _PAST, _TICK = 4.0, 1.2, 1.0


def size_text(mm: float, units: Unit) -> str:
    """A length without the rounding of double precision, so that fractions of an inch are seen."""
    return exact_text(round(mm, _DIGITS), units)


def below(left: float, right: float, bottom: float, text: str) -> Iterator[Part]:
    """The width of something whose lowest place is `bottom`, below it."""
    y = bottom - _AWAY
    for x in (left, right):
        yield straight(x, bottom - _PAST, x, y - _PAST)
    yield from measured(Point(left, y), Point(right, y))
    at = Point((left + right) / 2.0, y - _SIZE * LINE_HEIGHT)
    yield from _words(text, at, Anchor.MIDDLE)


def beside(bottom: float, top: float, left: float, text: str) -> Iterator[Part]:
    """The height of something whose leftmost place is `left`, to the left of it."""
    x = left - _AWAY
    for y in (bottom, top):
        yield straight(left - _PAST, y, x - _PAST, y)
    yield from measured(Point(x, bottom), Point(x, top))
    yield from _words(text, Point(x - _PAST, (bottom + top) / 2.0 - _SIZE * 0.35), Anchor.END)


def _words(text: str, at: Point, anchor: Anchor) -> Iterator[Part]:
    """Words on plain paper, whatever leader runs there."""
    words = Words(text=text, at=at, size=_SIZE, anchor=anchor)
    left, low, right, high = box_of_part(words)
    corners = ((left, low), (right, low), (right, high), (left, high))
    yield Area(paths=(polygon(*(Point(x, y) for x, y in corners)),), fill=PAPER)
    yield words


def measured(start: Point, end: Point) -> Iterator[Line]:
    """A line between two places with a tick across each end."""
    yield straight(*start.floats(), *end.floats())
    length = float(start.distance(end))
    if length > 0.0:
        (x0, y0), (x1, y1) = start.floats(), end.floats()
        # Ticks lean at 45 degrees to the line.
        ux, uy = (x1 - x0) / length, (y1 - y0) / length
        tx, ty = (ux - uy) * _TICK * 0.7, (ux + uy) * _TICK * 0.7
        for x, y in ((x0, y0), (x1, y1)):
            yield straight(x - tx, y - ty, x + tx, y + ty)


def straight(x0: float, y0: float, x1: float, y1: float) -> Line:
    """A thin line."""
    return Line(path=Path((Vertex(Point(x0, y0)), Vertex(Point(x1, y1)))), pen=DIMENSION)
