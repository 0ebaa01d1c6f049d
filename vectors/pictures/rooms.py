"""This module finds room for words on a shape that is sounded row by row."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .camera import Floats
from .clipping import level_stretches
from .labels import Box

ROW = 0.75
"""From row to row, in mm."""

# The free space round words, the widest that there is room for.
_SPACES = (8.0, 5.0, 3.0, 1.8, 0.9)

LEAST_SPACE = _SPACES[-1]
"""The least free space round words, in mm."""

Spot = tuple[float, float]
Stretch = tuple[float, float]

Rows = dict[int, list[Stretch]]
"""What there is of a shape: the stretches of each row, by the row's height in rows."""


def rows_in(rings: Sequence[Floats], taken: Sequence[Box] = ()) -> Rows:
    """The rows of what lies within rings, by the even-odd rule, beside the boxes that are taken."""
    bottom = min(float(ring[:, 1].min()) for ring in rings)
    top = max(float(ring[:, 1].max()) for ring in rings)
    levels = range(math.ceil(bottom / ROW), math.floor(top / ROW) + 1)
    found: Rows = {}
    rows = level_stretches(rings, [level * ROW for level in levels])
    for level, row in zip(levels, rows, strict=True):
        stretches = [clear for stretch in row for clear in beside(stretch, level, taken)]
        if stretches:
            found[level] = stretches
    return found


def beside(stretch: Stretch, level: int, taken: Sequence[Box]) -> list[Stretch]:
    """What is left of a stretch of a row beside the boxes that are taken."""
    left = [stretch]
    for low, bottom, high, top in taken:
        if bottom <= level * ROW <= top:
            left = [
                (max(a, c), min(b, d))
                for a, b in left
                for c, d in ((-math.inf, low), (high, math.inf))
                if max(a, c) < min(b, d)
            ]
    return left


def longest_of(rows: Rows) -> tuple[float, float, float] | None:
    """Left, right and height of the longest row, None where there is no row."""
    every = [(level, left, right) for level, row in rows.items() for left, right in row]
    if not every:
        return None
    level, left, right = max(every, key=lambda one: (round(one[2] - one[1], 6), -one[0]))
    return left, right, level * ROW


def spot_on(rows: Rows) -> Spot | None:
    """The middle of the longest row, None where there is no row."""
    found = longest_of(rows)
    return None if found is None else ((found[0] + found[1]) / 2.0, found[2])


def middle_for(rows: Rows, wide: float, tall: float) -> Spot | None:
    """The middle of a box of a size, in mm, as near to the centre of the shape as there is room.

    None where it has no room, or too little free space round it.
    """
    if not rows:
        return None
    centre = _centre([(level, left, right) for level, row in rows.items() for left, right in row])
    for space in _SPACES:
        at = _nearest_fit(rows, wide + 2.0 * space, tall + 2.0 * space, centre)
        if at is not None:
            return at
    return None


def _nearest_fit(rows: Rows, wide: float, tall: float, centre: Spot) -> Spot | None:
    deep = math.ceil(tall / ROW)
    best: tuple[float, Spot] | None = None
    for low in sorted(rows):
        common = rows[low]
        for level in range(low, low + deep + 1):
            common = [
                (max(a, c), min(b, d))
                for a, b in common
                for c, d in rows.get(level, ())
                if min(b, d) - max(a, c) >= wide
            ]
        for start, end in common:
            # As near to the centre as the stretch allows.
            x = min(max(centre[0], start + wide / 2.0), end - wide / 2.0)
            at = (x, (low + deep / 2.0) * ROW)
            off = math.dist(at, centre)
            if best is None or off < best[0] - 1e-6:
                best = (off, at)
    return None if best is None else best[1]


def _centre(rows: Sequence[tuple[int, float, float]]) -> Spot:
    """The centre of the area that rows cover."""
    total = sum(right - left for _, left, right in rows)
    across = sum((right - left) * (left + right) / 2.0 for _, left, right in rows)
    up = sum((right - left) * level * ROW for level, left, right in rows)
    return (across / total, up / total)
