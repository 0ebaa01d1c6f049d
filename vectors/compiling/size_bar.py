"""This module is the pass that adds bars of known length: they show how a program reads a file."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Path, Point, line
from .job import Job, Passed
from .place import extent


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """A bar of `parts` equal parts of `part` mm; a doubled one has a second line above the first.

    A drawing holds no letters, so two bars of nearly one length must be told
    apart by their looks.
    """

    name: str
    part: float
    parts: int
    doubled: bool = False

    @property
    def length(self) -> float:
        """The whole length in mm, between the outer sides of the end ticks' lines."""
        return self.part * self.parts


# From the piece downwards: the two units in which people measure.  The metric
# bar has a tick every 10 mm, the one in inches a tick every half inch and a
# double line.
BARS: tuple[Bar, ...] = (
    Bar(name="50 mm", part=10.0, parts=5),
    Bar(name="2 in", part=12.7, parts=4, doubled=True),
)

# The clear distance above each bar, the height of its end ticks and of those
# between them, and how far the second line of a doubled bar lies above the
# first, in mm.
GAP_MM = 5.0
TICK_MM = 3.0
SMALL_TICK_MM = 1.5
DOUBLE_MM = 1.0


def add(drawing: Drawing, job: Job) -> Passed:
    """The drawing with a 50 mm and a 2 in bar below the piece, where they were asked for."""
    if not job.options.size_bar:
        return Passed(drawing)
    left, bottom, right, top = extent(drawing, job)
    strokes = list(drawing.strokes)
    for bar in BARS:
        bottom -= GAP_MM + TICK_MM
        strokes += [
            Stroke(
                path=path,
                layer=Layer.MARK,
                work=Work.DRAWN,
                piece=job.piece.name,
                source=bar.name,
                role=Role.SIZE_BAR,
            )
            for path in bar_lines(bar, left, bottom)
        ]
        right = max(right, left + bar.length)
    return Passed(replace(drawing, strokes=tuple(strokes), extent=(left, bottom, right, top)))


def bar_lines(bar: Bar, left: float, bottom: float) -> list[Path]:
    """The bar with its end ticks in one go, then its second line, then the ticks between."""
    right, top = left + bar.length, bottom + TICK_MM
    found = [line(Point(left, top), Point(left, bottom), Point(right, bottom), Point(right, top))]
    foot = bottom
    if bar.doubled:
        foot += DOUBLE_MM
        found.append(line(Point(left, foot), Point(right, foot)))
    for number in range(1, bar.parts):
        x = left + bar.part * number
        found.append(line(Point(x, foot), Point(x, foot + SMALL_TICK_MM)))
    return found
