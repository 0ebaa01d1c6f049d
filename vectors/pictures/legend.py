"""This module writes the legend: what each line and hatching that a picture uses stands for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ..geometry import Path, Point, Vector, Vertex, circle, polygon
from . import pens
from .lettering import width_of
from .model import Area, Hatch, Line, Part, Pen, Words, moved

_SIZE = 2.8
_ROW, _BETWEEN = 6.0, 7.0

SAMPLE = 14.0
"""How wide a sample is, in mm."""

# In the order of the legend; what a picture does not use is left out.
_PENS = (
    pens.OUTLINE,
    pens.SLIT,
    pens.TEAR,
    pens.VALLEY,
    pens.MOUNTAIN,
    pens.SCORED,
    pens.MARK,
    pens.GLUE,
    pens.GAP,
    pens.NEW,
)
_HATCHES = {
    Hatch.RISING: "panels of side A",
    Hatch.FALLING: "panels of side B",
    Hatch.DOTS: "other panels of the ring",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class Legend:
    """The legend, its upper left corner at the origin, and the height it takes."""

    parts: tuple[Part, ...]
    height: float


def legend_for(drawn: Iterable[Part], width: float) -> Legend:
    """The legend of what was drawn, in rows of at most `width` mm."""
    used_pens: set[Pen] = set()
    used_hatches: set[Hatch] = set()
    for part in drawn:
        if isinstance(part, Line):
            used_pens.add(part.pen)
        elif isinstance(part, Area) and isinstance(part.fill, Hatch):
            used_hatches.add(part.fill)
    entries: list[tuple[Pen | Hatch, str]] = [
        *((pen, pen.name) for pen in _PENS if pen in used_pens),
        *((hatch, name) for hatch, name in _HATCHES.items() if hatch in used_hatches),
    ]
    if used_hatches == {Hatch.DOTS}:
        # Where no sides are told apart there are no other ones.
        entries[-1] = (Hatch.DOTS, "panels of the ring")
    return laid_out([(_sample(what, 0.0, 0.0), name) for what, name in entries], width)


def laid_out(entries: Iterable[tuple[Sequence[Part], str]], width: float) -> Legend:
    """Samples, each with what it stands for, in rows of at most `width` mm.

    A sample is drawn from the origin to the right, `SAMPLE` mm wide, its middle at
    the height 0.
    """
    parts: list[Part] = []
    x, y = 0.0, -_ROW / 2.0
    for sample, name in entries:
        room = SAMPLE + 2.0 + width_of(name, _SIZE)
        if x > 0.0 and x + room > width:
            x, y = 0.0, y - _ROW
        parts += moved(sample, Vector(x, y))
        parts.append(Words(text=name, at=Point(x + SAMPLE + 2.0, y - _SIZE * 0.35), size=_SIZE))
        x += room + _BETWEEN
    return Legend(parts=tuple(parts), height=-y + _ROW / 2.0)


def _sample(what: Pen | Hatch, x: float, y: float) -> list[Part]:
    if isinstance(what, Hatch):
        corners = [(0.0, -2.0), (SAMPLE, -2.0), (SAMPLE, 2.0), (0.0, 2.0)]
        frame = polygon(*(Point(x + dx, y + dy) for dx, dy in corners))
        return [Area(paths=(frame,), fill=what), Line(path=frame, pen=pens.FRAME)]
    if what is pens.GAP:
        middle = x + SAMPLE / 2.0
        return [
            Line(path=circle(Point(middle, y), 1.4), pen=what),
            _dash(what, middle - 2.4, y, middle + 2.4, y),
            _dash(what, middle, y - 2.4, middle, y + 2.4),
        ]
    return [_dash(what, x, y, x + SAMPLE, y)]


def _dash(pen: Pen, x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(path=Path((Vertex(Point(x0, y0)), Vertex(Point(x1, y1)))), pen=pen)
