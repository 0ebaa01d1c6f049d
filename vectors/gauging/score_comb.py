"""This module is the gauge of the inset: teeth whose scores stop short of their edges."""

from __future__ import annotations

from types import MappingProxyType

from ..geometry import Point, line
from .lines import cut, drawn, scored
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import APART_MM, along, comb, held, told_apart, tooth_lefts
from .ticks import ticks

NAME = "score comb"

_BACK_MM = 8.0
_LENGTH_MM = 16.0
_WIDTH_MM = 12.0
# The least that is left of a score between two insets.
_SCORE_MM = 6.0
# Where the profile has none, or less than can be told apart, the teeth are about this
# inset, in mm; common practice, no source.
_USUAL_MM = 0.5
_LEAST_MM = 0.1
_TIMES = (0.0, 0.5, 1.0, 1.5, 2.0, 3.0)


def draw(setting: Setting) -> Gauge | LeftOut:
    """A comb to fold, tooth by tooth; each has one inset at both ends of its score."""
    score = setting.way.score
    if score is None:
        return LeftOut(section="score", name=NAME, reason="the material has no score for this tool")
    inset = score.inset.value if score.inset.value >= _LEAST_MM else _USUAL_MM
    insets = told_apart([times * inset for times in _TIMES])
    width = max(_WIDTH_MM, 2.0 * insets[-1] + _SCORE_MM)
    whole = len(insets) * (width + APART_MM) - APART_MM
    height = _BACK_MM + 5.0
    strokes = []
    widths = [width] * len(insets)
    for index, (left, inset) in enumerate(zip(tooth_lefts(widths), insets, strict=True)):
        source = f"score {index + 1}"
        strokes += drawn(ticks(index + 1, left + width / 2.0, 2.0), source)
        path = line(Point(left + inset, height), Point(left + width - inset, height))
        strokes += scored(path, source, setting)
    outline = comb(widths, _LENGTH_MM, _BACK_MM)
    sides = ((1, 0.85), (len(outline.segments) - 1, 0.15))
    strokes += cut(held(outline, (*along(0, whole, setting), *sides), setting), NAME)
    return Gauge(
        section="score",
        name=NAME,
        sheet=Sheet.FOLDS,
        strokes=tuple(strokes),
        width=whole,
        height=_BACK_MM + _LENGTH_MM,
        drawn=MappingProxyType({"drawn": insets}),
    )
