"""This module is the hinge test: how much length a fold takes up for each ply that it wraps.

A strip is folded round a stack of loose plies that are half as long as it is.
One end of the strip lies flush with the ends of the plies, the other falls short
of them by what the fold took up, which is read on a ruler drawn on the plies.
"""

from __future__ import annotations

import math
from types import MappingProxyType

from ..geometry import Path, Point, line
from .lines import cut, drawn, scored
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import APART_MM, held, rectangle
from .ticks import ticks

NAME = "hinge test"
PLIES = (2, 4, 6)

_WIDTH_MM = 15.0
_LENGTH_MM = 30.0
# Teeth of the ruler: whole mm on the left, the halves between them on the right.
_TOOTH_MM = 2.5
_LONG_TOOTH_MM = 4.5
# From a cut to the first line that is drawn.
_CLEAR_MM = 1.0


def draw(setting: Setting) -> Gauge | LeftOut:
    """A strip for each number of plies, scored across its middle, and the plies."""
    score = setting.way.score
    if score is None:
        return LeftOut(section="hinge", name=NAME, reason="the material has no score for this tool")
    most = PLIES[-1] * max(score.allowance.value, setting.profile.caliper.value)
    ruler = math.ceil(1.5 * most + 2.0)
    length = max(_LENGTH_MM, 2.0 * ruler + 6.0, 8.0 * setting.hold)
    step = _WIDTH_MM + APART_MM
    strokes = []
    for index, plies in enumerate(PLIES):
        left = index * step
        source = f"strip for {plies} plies"
        strokes += drawn(ticks(plies, left + _WIDTH_MM / 2.0, 4.0), source)
        strokes += scored(line(*_across(left, length, score.inset.value)), source, setting)
        outline = rectangle(left, 0.0, _WIDTH_MM, 2.0 * length)
        spots = ((1, 0.25), (1, 0.75), (3, 0.25), (3, 0.75))
        strokes += cut(held(outline, spots, setting), source)
    for index in range(PLIES[-1]):
        left = (len(PLIES) + index) * step
        source = f"ply {index + 1}"
        strokes += drawn(_ruler(left, length, ruler), source)
        outline = rectangle(left, 0.0, _WIDTH_MM, length)
        strokes += cut(held(outline, ((1, 0.4), (3, 0.6)), setting), source)
    return Gauge(
        section="hinge",
        name=NAME,
        sheet=Sheet.FOLDS,
        strokes=tuple(strokes),
        width=(len(PLIES) + PLIES[-1]) * step - APART_MM,
        height=2.0 * length,
        drawn=MappingProxyType({"plies": tuple(float(plies) for plies in PLIES)}),
    )


def _across(left: float, height: float, inset: float) -> tuple[Point, Point]:
    # An inset that leaves nothing of a narrow strip is not tried here.
    inset = min(inset, _WIDTH_MM / 4.0)
    return Point(left + inset, height), Point(left + _WIDTH_MM - inset, height)


def _ruler(left: float, top: float, most: int) -> list[Path]:
    """Teeth at every mm below the end of a ply on its left, half way between them on its right."""
    found = []
    right = left + _WIDTH_MM - _CLEAR_MM
    for mm in range(1, most + 1):
        long = _TOOTH_MM if mm % 5 else _LONG_TOOTH_MM
        start = left + _CLEAR_MM
        found.append(line(Point(start, top - mm), Point(start + long, top - mm)))
        half = top - mm + 0.5
        if mm > 1:
            found.append(line(Point(right - _TOOTH_MM, half), Point(right, half)))
    return found
