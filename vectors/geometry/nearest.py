"""This module finds the place on a path that is nearest to a given one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from .paths import Path, Segment
from .points import Point

# An arc that leaves its chord by less, in mm, is taken for the chord.
FLAT_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Nearest:
    """The nearest place: how far off it is, and how far along the path it lies, both in mm."""

    away: float
    along: float


def nearest(path: Path, at: Point) -> Nearest:
    """The place on `path` nearest to `at`; of several the first along the path.

    Raises ValueError for a path without segments.
    """
    best: Nearest | None = None
    passed = 0.0
    for segment in path.segments:
        length = segment.length
        if length > 0.0:
            away, share = nearest_on(segment, at)
            if best is None or away < best.away:
                best = Nearest(away, passed + share * length)
        passed += length
    if best is None:
        raise ValueError("a path without segments has no places")
    return best


def nearest_on(segment: Segment, at: Point) -> tuple[float, float]:
    """How far `at` is from a segment, in mm, and at which share (0 to 1) of it that is."""
    (x0, y0), (x1, y1), (x, y) = segment.start.floats(), segment.end.floats(), at.floats()
    # An arc as flat as this has its centre too far away to be reckoned with.
    if abs(segment.bulge) * segment.chord < 2.0 * FLAT_MM:
        dx, dy = x1 - x0, y1 - y0
        share = ((x - x0) * dx + (y - y0) * dy) / (dx * dx + dy * dy)
        share = min(1.0, max(0.0, share))
        return math.hypot(x - x0 - share * dx, y - y0 - share * dy), share
    cx, cy = segment.centre.floats()
    sweep = segment.sweep
    turn = math.atan2(y - cy, x - cx) - math.atan2(y0 - cy, x0 - cx)
    # Brought to the side on which the arc turns.
    share = (math.copysign(1.0, sweep) * turn) % (2.0 * math.pi) / abs(sweep)
    if share <= 1.0:
        return abs(math.hypot(x - cx, y - cy) - segment.radius), share
    ends = (math.hypot(x - x0, y - y0), 0.0), (math.hypot(x - x1, y - y1), 1.0)
    return min(ends)
