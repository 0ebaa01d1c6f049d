"""This module is the gauge of bridges: parts that hang in the sheet by longer and longer ones."""

from __future__ import annotations

from types import MappingProxyType

from .lines import cut, drawn
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import APART_MM, rectangle, rounded_up, told_apart, with_gaps
from .ticks import LONG_MM, ticks

NAME = "bridge comb"

_SIDE_MM = 12.0
# From well below the profile's to twice its length: 0.2 to 1 mm for the usual 0.5 mm of card.
_TIMES = (0.4, 0.6, 0.8, 1.0, 1.2, 1.5, 2.0)
_LEAST_MM = 0.1


def draw(setting: Setting) -> Gauge | LeftOut:
    """Squares, each held by two bridges of one length."""
    if setting.way.bridge is None:
        return LeftOut(
            section="bridges",
            name=NAME,
            reason="this tool needs no bridges: a hand or a carrier sheet holds the part",
        )
    gaps = gap_lengths(setting)
    side = max(_SIDE_MM, 3.0 * gaps[-1])
    foot = LONG_MM + 2.0
    strokes = []
    for index, gap in enumerate(gaps):
        left = index * (side + APART_MM)
        source = f"bridges {index + 1}"
        strokes += drawn(ticks(index + 1, left + side / 2.0, 0.0), source)
        outline = rectangle(left, foot, side, side)
        strokes += cut(with_gaps(outline, ((0, 0.5), (2, 0.5)), gap), source)
    return Gauge(
        section="bridges",
        name=NAME,
        sheet=Sheet.COMBS,
        strokes=tuple(strokes),
        width=len(gaps) * (side + APART_MM) - APART_MM,
        height=foot + side,
        drawn=MappingProxyType({"drawn": gaps}),
    )


def gap_lengths(setting: Setting) -> tuple[float, ...]:
    """Drawn gaps in mm, the kerf eats half of itself from either end of each."""
    assert setting.way.bridge is not None
    usual = setting.way.bridge.length.value
    more = rounded_up(setting.kerf, 0.05)
    return told_apart([max(_LEAST_MM, times * usual) + more for times in _TIMES])
