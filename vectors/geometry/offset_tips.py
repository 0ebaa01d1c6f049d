"""This module finds corners that turn in so sharply that an offset stays far off their tips.

What turns the other way gets a mitre, or an arc where that would reach too far; here
a tool would have to reach into a wedge that is narrower than itself.  The same ratio
decides: a place of the offset should be no farther off than the mitre limit times the offset.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from .nearest import nearest_on
from .offset import MITRE_LIMIT
from .offset_outcomes import Change, Changed
from .offset_sides import raw_sides, turning
from .paths import Path
from .points import Point

# Beside straight sides only turns beyond 157 degrees are so sharp; arcs that curve
# towards each other narrow a corner that opens wider.
_SHARP_RAD = math.radians(100.0)


def short_of_tips(
    source: Path, rings: Sequence[Path], along_x: float, along_y: float, told: Sequence[Changed]
) -> tuple[Changed, ...]:
    """The corners of the closed `source` whose tips its moved `rings` do not reach into.

    `along_x` and `along_y` are how far it was moved along the axes, in mm, outwards where
    positive.  The size is the length of the tip that the tool leaves.  Corners of which a
    change is `told` already are left out.
    """
    if not rings:
        return ()
    largest = max(along_x, along_y, key=abs)
    raw = raw_sides(source)
    way = math.copysign(1.0, source.area * largest)
    found = []
    for (_, _, x, y, _), turn in zip(raw, turning(raw)[0], strict=True):
        if turn * way > -_SHARP_RAD:
            continue
        at = Point(x, y)
        away, place = _nearest(rings, at)
        if away <= MITRE_LIMIT * abs(largest):
            continue
        if any(one.at.distance(at) <= away for one in told):
            continue
        found.append(Changed(Change.TIP, at, away - _reach(at, place, along_x, along_y)))
    return tuple(found)


def _nearest(rings: Sequence[Path], at: Point) -> tuple[float, Point]:
    """The place on any of some paths that is nearest to `at`, and how far off it is, in mm."""
    away, share, segment = min(
        (
            (*nearest_on(segment, at), segment)
            for ring in rings
            for segment in ring.segments
            if segment.chord > 0.0
        ),
        key=lambda found: found[0],
    )
    return away, segment.at(share)


def _reach(at: Point, place: Point, along_x: float, along_y: float) -> float:
    """How far a tool at `place` reaches towards `at`, in mm: a circle or an ellipse about it."""
    if along_x == along_y:
        return abs(along_x)
    if along_x == 0.0 or along_y == 0.0:
        return 0.0
    (x0, y0), (x1, y1) = at.floats(), place.floats()
    return at.distance(place) / math.hypot((x1 - x0) / along_x, (y1 - y0) / along_y)
