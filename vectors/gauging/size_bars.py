"""This module is the gauge of the size: bars of known length, as a file for the cutter has them."""

from __future__ import annotations

from types import MappingProxyType

from ..compiling.size_bar import BARS, GAP_MM, TICK_MM, bar_lines
from ..drawing import Role
from .lines import drawn
from .model import Gauge, LeftOut, Setting, Sheet

NAME = "size bar"


def draw(setting: Setting) -> Gauge | LeftOut:
    """The bars of 50 mm and 2 in, the metric one above."""
    strokes = []
    step = TICK_MM + GAP_MM
    for index, bar in enumerate(BARS):
        bottom = step * (len(BARS) - 1 - index)
        strokes += drawn(bar_lines(bar, 0.0, bottom), bar.name, Role.SIZE_BAR)
    return Gauge(
        section="size_bar",
        name=NAME,
        sheet=Sheet.SIZE,
        strokes=tuple(strokes),
        width=max(bar.length for bar in BARS),
        height=step * len(BARS) - GAP_MM,
        drawn=MappingProxyType({"drawn": tuple(bar.length for bar in BARS)}),
    )
