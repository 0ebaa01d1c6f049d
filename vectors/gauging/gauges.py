"""This module holds the table of gauges, in the order in which they are made and measured."""

from __future__ import annotations

from collections.abc import Callable

from . import bridge_comb, hinge_test, perforation_comb, score_comb, size_bars, slots, squares
from .model import Gauge, LeftOut, Setting

GAUGES: tuple[Callable[[Setting], Gauge | LeftOut], ...] = (
    size_bars.draw,
    squares.draw,
    slots.draw,
    hinge_test.draw,
    score_comb.draw,
    bridge_comb.draw,
    perforation_comb.draw,
)


def gauges_for(setting: Setting) -> tuple[Gauge | LeftOut, ...]:
    """Every gauge for a material and a tool, or why it is left out."""
    return tuple(draw(setting) for draw in GAUGES)
