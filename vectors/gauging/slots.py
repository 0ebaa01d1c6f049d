"""This module is the gauge of slot and tongue: which slot takes the edge of the material."""

from __future__ import annotations

from types import MappingProxyType

from foldwright.profiles.model import Tool

from ..drawing import Role
from ..geometry import Point, polygon
from .lines import cut, drawn
from .model import Gauge, LeftOut, Setting, Sheet
from .parts import APART_MM, held, rectangle, rounded_up
from .ticks import LONG_MM, ticks

NAME = "slot and tongue"
COUNT = 6
TONGUE_MM = 12.0

_ROOM_MM = 1.0
_STEP_MM = 10.0
_LENGTH_MM = 26.0


def draw(setting: Setting) -> Gauge | LeftOut:
    """Slots of rising widths, and a tongue whose edge goes into them."""
    if setting.tool is Tool.HAND:
        return LeftOut(
            section="slots", name=NAME, reason="a hand cuts no slots a twentieth of a mm apart"
        )
    widths = slot_widths(setting)
    tall = TONGUE_MM + _ROOM_MM
    length = max(_LENGTH_MM, 8.0 * setting.hold)
    strokes = []
    foot = LONG_MM + 2.0
    for index, width in enumerate(widths):
        left = index * (_STEP_MM + widths[-1])
        source = f"slot {index + 1}"
        strokes += drawn(ticks(index + 1, left + _STEP_MM / 2.0, 0.0), source)
        slot = rectangle(left + (_STEP_MM - width) / 2.0, foot, width, tall)
        strokes += cut([slot], source, Role.OPENING)
    left = len(widths) * (_STEP_MM + widths[-1]) + APART_MM
    right = left + TONGUE_MM
    # It narrows at its tip, so that it finds its way.
    tongue = polygon(
        Point(left, 0.0),
        Point(right, 0.0),
        Point(right, length - 4.0),
        Point(right - 3.0, length),
        Point(left + 3.0, length),
        Point(left, length - 4.0),
    )
    strokes += cut(held(tongue, ((1, 0.3), (5, 0.7)), setting), "tongue")
    return Gauge(
        section="slots",
        name=NAME,
        sheet=Sheet.SIZE,
        strokes=tuple(strokes),
        width=right,
        height=max(length, foot + tall),
        drawn=MappingProxyType({"drawn": widths}),
    )


def slot_widths(setting: Setting) -> tuple[float, ...]:
    """Drawn widths in mm: with the kerf they start below the caliper, as far as a tool can cut.

    Two sides nearer to each other than the kerf would be one line worked twice.
    """
    caliper = setting.profile.caliper.value
    step = 0.05 if caliper < 0.5 else 0.1
    least = max(0.1, caliper - setting.kerf - 2.0 * step, setting.kerf + step)
    start = rounded_up(least, 0.05)
    return tuple(round(start + index * step, 2) for index in range(COUNT))
