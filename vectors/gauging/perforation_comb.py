"""This module is the gauge of perforations: teeth to tear or fold off, each with its rhythm."""

from __future__ import annotations

import math
from types import MappingProxyType

from ..geometry import Point, line
from .lines import cut, drawn, perforated
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import APART_MM, along, comb, held, tooth_lefts
from .ticks import ticks

NAME = "perforation comb"

_BACK_MM = 8.0
_LENGTH_MM = 14.0
_WIDTH_MM = 12.0
# So many times the cut of the profile, at its tie.
_TIMES = (0.5, 0.75, 1.0, 1.5, 2.0)
# A common perforation of statements and tickets: 12 ties an inch, ties narrower
# than cuts (guides of forms printers); two thirds of the pitch are cut.
_TWELVE_AN_INCH = (25.4 / 12.0 * 2.0 / 3.0, 25.4 / 12.0 / 3.0)
# What must be left of a tie between two kerfs.
_LEAST_TIE_MM = 0.1


def draw(setting: Setting) -> Gauge | LeftOut:
    """A comb whose teeth are perforated across, the stiffest first."""
    way = setting.way.perforation
    if way is None:
        return LeftOut(
            section="perforation",
            name=NAME,
            reason="the material has no perforation for this tool",
        )
    rhythms = rhythms_of(setting)
    if not rhythms:
        return LeftOut(
            section="perforation", name=NAME, reason="the ties are no longer than the kerf"
        )
    widths = [_tooth_width(made, tie) for made, tie in rhythms]
    whole = sum(widths) + (len(widths) - 1) * APART_MM
    height = _BACK_MM + 3.0
    strokes = []
    lefts = tooth_lefts(widths)
    for index, (left, width, (made, tie)) in enumerate(zip(lefts, widths, rhythms, strict=True)):
        source = f"perforation {index + 1}"
        strokes += drawn(ticks(index + 1, left + width / 2.0, 2.0), source)
        path = line(Point(left, height), Point(left + width, height))
        strokes += perforated(path, made, tie, source, setting)
    outline = comb(widths, _LENGTH_MM, _BACK_MM)
    strokes += cut(held(outline, along(0, whole, setting), setting), NAME)
    return Gauge(
        section="perforation",
        name=NAME,
        sheet=Sheet.COMBS,
        strokes=tuple(strokes),
        width=whole,
        height=_BACK_MM + _LENGTH_MM,
        drawn=MappingProxyType(
            {
                "drawn_cut": tuple(made for made, _ in rhythms),
                "drawn_tie": tuple(tie for _, tie in rhythms),
            }
        ),
    )


def _tooth_width(made: float, tie: float) -> float:
    """As many whole cuts as a tooth needs, two at least, with a tie at both ends."""
    count = max(2, math.ceil((_WIDTH_MM - tie) / (made + tie)))
    return count * (made + tie) + tie


def rhythms_of(setting: Setting) -> tuple[tuple[float, float], ...]:
    """Drawn cuts and ties in mm, from the largest share of ties to the smallest."""
    way = setting.way.perforation
    assert way is not None
    wanted = [(times * way.cut.value, way.tie.value) for times in _TIMES]
    wanted.append(_TWELVE_AN_INCH)
    found = {
        (round(made, 2), round(tie, 2))
        for made, tie in wanted
        if tie >= setting.kerf + _LEAST_TIE_MM and made >= 0.1
    }
    return tuple(sorted(found, key=lambda one: (one[0] / one[1], one)))
