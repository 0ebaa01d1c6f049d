"""This module draws the strip of a loop from the side: its bulge, or what is missing of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ..geometry import Path, Point, Vertex
from ..measures import Unit, exact_text, written
from . import pens
from .lettering import width_of
from .model import Anchor, Line, Part, Words

_SIZE = 2.8
# How many chords stand for the parabola.
_CHORDS = 24


@dataclass(frozen=True, kw_only=True, slots=True)
class SideView:
    """A strip from the side and the height that its drawing takes, from 0 down to `-height`."""

    parts: tuple[Part, ...]
    height: float


def about_text(length: float, units: Unit) -> str:
    """A length that is only roughly known: whole mm, or sixteenths of an inch."""
    if units is Unit.IN:
        return f"about {written(length, units).text}"
    return f"about {length:.0f} mm"


def bulge_view(strip_mm: float, rise_mm: float, width: float, units: Unit) -> SideView:
    """A strip that bulges: a shallow parabola over its length, height and length to one scale.

    `width` is the room for it, in mm of the page.
    """
    figure = about_text(rise_mm, units)
    beside = width_of(figure, _SIZE) + 4.0
    scale = min((width - beside) / strip_mm, 30.0 / rise_mm if rise_mm > 0.0 else 1.0, 1.0)
    length, rise = strip_mm * scale, rise_mm * scale
    base = -rise - 2.0
    along = [i / _CHORDS for i in range(_CHORDS + 1)]
    curve = Path(tuple(Vertex(Point(length * t, base + 4.0 * rise * t * (1.0 - t))) for t in along))
    parts: list[Part] = [
        _line(Point(0.0, base), Point(length + 1.0, base), level=True),
        _line(Point(length / 2.0, base + rise), Point(length + 1.0, base + rise), level=True),
        Line(path=curve, pen=pens.STRIP),
        *_ticks(0.0, length, base),
        Words(
            text=figure,
            at=Point(length + 2.5, base + rise / 2.0 - _SIZE * 0.35),
            size=_SIZE,
        ),
        _below(length, base, exact_text(round(strip_mm, 9), units)),
    ]
    return SideView(parts=tuple(parts), height=-base + 6.0)


def short_view(strip_mm: float, missing_mm: float, width: float, units: Unit) -> SideView:
    """A strip that falls short: its length, and the gap at its end, to one scale."""
    figure = f"{exact_text(missing_mm, units)} missing"
    beside = width_of(figure, _SIZE) + 4.0
    scale = min((width - beside) / (strip_mm + missing_mm), 1.0)
    length, gap = strip_mm * scale, missing_mm * scale
    base = -3.0
    parts: list[Part] = [
        _line(Point(length, base), Point(length + gap, base), level=True),
        Line(path=Path((Vertex(Point(0.0, base)), Vertex(Point(length, base)))), pen=pens.STRIP),
        *_ticks(0.0, length, base),
        *_ticks(length + gap, length + gap, base),
        Words(text=figure, at=Point(length + gap + 2.0, base - _SIZE * 0.35), size=_SIZE),
        _below(length, base, exact_text(round(strip_mm, 9), units)),
    ]
    return SideView(parts=tuple(parts), height=-base + 6.0)


def _line(start: Point, end: Point, *, level: bool) -> Line:
    return Line(path=Path((Vertex(start), Vertex(end))), pen=pens.LEVEL if level else pens.STRIP)


def _ticks(first: float, last: float, base: float) -> Iterator[Line]:
    for x in dict.fromkeys((first, last)):
        yield Line(
            path=Path((Vertex(Point(x, base - 1.2)), Vertex(Point(x, base + 1.2)))),
            pen=pens.FRAME,
        )


def _below(length: float, base: float, text: str) -> Words:
    # A short strip has no room under its middle.
    wide = width_of(text, _SIZE) > length
    return Words(
        text=text,
        at=Point(0.0 if wide else length / 2.0, base - 4.4),
        size=_SIZE,
        anchor=Anchor.START if wide else Anchor.MIDDLE,
    )
