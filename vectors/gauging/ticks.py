"""This module draws the rows of ticks that tell the teeth of a gauge: as many as its number.

They are counted in groups of five, for a drawing holds no letters.
"""

from __future__ import annotations

from ..geometry import Path, Point, line

# The distance from tick to tick, the one more after every fifth, and the length, in mm.
STEP_MM = 1.2
GROUP_MM = 1.2
LONG_MM = 3.0
_GROUP = 5


def ticks_width(count: int) -> float:
    """How wide a row of ticks is, in mm."""
    return (count - 1) * STEP_MM + (count - 1) // _GROUP * GROUP_MM


def ticks(count: int, middle: float, bottom: float) -> list[Path]:
    """Upright ticks about the middle of a tooth."""
    left = middle - ticks_width(count) / 2.0
    found = []
    for index in range(count):
        x = left + index * STEP_MM + index // _GROUP * GROUP_MM
        found.append(line(Point(x, bottom), Point(x, bottom + LONG_MM)))
    return found
