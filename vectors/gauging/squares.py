"""This module is the gauge of the kerf: squares cut out of the sheet, hole and piece to measure.

A cut of kerf k along a square of side a, made at the scale s, leaves a hole of
s a + k and a piece of s a - k.  Half the difference is k, whatever the scale and
whatever the tool was thought to remove; half the sum over a is the scale.
"""

from __future__ import annotations

from types import MappingProxyType

from ..drawing import Role
from ..geometry import Point, line
from .lines import cut, drawn
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import held, rectangle
from .ticks import LONG_MM, ticks

NAME = "square in a square"
SIDE_MM = 20.0
COUNT = 3

# The paper around a hole, which is measured from inside.
_FRAME_MM = 8.0


def draw(setting: Setting) -> Gauge | LeftOut:
    """Three squares, each with a line that runs along x and its number in ticks.

    Bridges stand low on the upright sides, so that both ways across the middle stay clear.
    """
    side = max(SIDE_MM, 5.0 * setting.hold)
    strokes = []
    for index in range(COUNT):
        left = index * (side + _FRAME_MM)
        source = f"square {index + 1}"
        middle = left + side / 2.0
        height = side / 2.0
        mark = line(Point(middle - 5.0, height), Point(middle + 5.0, height))
        strokes += drawn([mark, *ticks(index + 1, middle, height - 2.0 - LONG_MM)], source)
        spots = ((1, 0.2), (3, 0.8))
        outline = rectangle(left, 0.0, side, side)
        strokes += cut(held(outline, spots, setting), source, Role.OPENING)
    return Gauge(
        section="kerf",
        name=NAME,
        sheet=Sheet.SIZE,
        strokes=tuple(strokes),
        width=COUNT * side + (COUNT - 1) * _FRAME_MM,
        height=side,
        drawn=MappingProxyType({"drawn": (side,)}),
    )
