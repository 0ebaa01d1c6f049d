"""This module tells whether a flat shape fits in a rectangle that may be turned any way."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from .hull import Place2, convex_hull
from .paths import Path

# An arc is looked at by chords of this sweep, which lie inside it by less than
# 1 in 6000 of its radius.
_CHORD_RAD = math.radians(2.0)


# With chords of this sweep a shape has few corners: what they tell is told quickly.
_COARSE_RAD = math.radians(20.0)


def path_fits_turned(path: Path, width: float, height: float) -> bool:
    """Whether a path lies in some rectangle of these sides, in mm, whichever way that lies."""
    # Places of a shape that do not fit keep all of it out, however few they are.
    return fits_turned(_places(path, _COARSE_RAD), width, height) and fits_turned(
        _places(path, _CHORD_RAD), width, height
    )


def _places(path: Path, chord: float) -> list[Place2]:
    """Places on a path, arcs in chords of at most so large a sweep, in radians."""
    found: list[Place2] = []
    for segment in path.segments:
        found += [part.start.floats() for part in segment.split(chord)]
    found.append(path.end.floats())
    return found


def fits_turned(places: Iterable[Place2], width: float, height: float) -> bool:
    """Whether all places lie in some rectangle of these sides, in mm, whichever way it lies.

    Between two directions in which a side of the convex hull lies flat, the
    extents of the shape are those of two fixed pairs of corners, and each is a
    cosine of the direction, so that it is nowhere smaller than at the ends of the
    stretch where it is looked at.  It is enough to look at these directions, and
    at those where one extent is just one of the sides.
    """
    hull = convex_hull(places)
    box = _extents(hull, 0.0)
    if _inside(box, width, height) or _inside(box, height, width):
        return True
    if len(hull) < 2 or max(math.dist(hull[0], at) for at in hull) > math.hypot(width, height):
        return False
    turns = _flat_directions(hull)
    for first, second in zip(turns, [*turns[1:], turns[0] + math.pi], strict=True):
        looked_at = [first, second, *_just(hull, first, second, (width, height))]
        if any(_inside(_extents(hull, turn), width, height) for turn in looked_at):
            return True
    return False


def _inside(extents: tuple[float, float], width: float, height: float) -> bool:
    return extents[0] <= width + 1e-9 and extents[1] <= height + 1e-9


def _extents(hull: Sequence[Place2], turn: float) -> tuple[float, float]:
    """How far the places reach along a direction, and across it."""
    cos, sin = math.cos(turn), math.sin(turn)
    along = [x * cos + y * sin for x, y in hull]
    across = [y * cos - x * sin for x, y in hull]
    return max(along) - min(along), max(across) - min(across)


def _flat_directions(hull: Sequence[Place2]) -> list[float]:
    """The directions from 0 to half a turn in which a side of the hull lies along or across."""
    found: set[float] = set()
    for (x0, y0), (x1, y1) in zip(hull, [*hull[1:], hull[0]], strict=True):
        along = math.atan2(y1 - y0, x1 - x0)
        found.update((along % math.pi, (along + math.pi / 2.0) % math.pi))
    return sorted(found)


def _just(
    hull: Sequence[Place2], first: float, second: float, sides: tuple[float, float]
) -> list[float]:
    """Directions between two flat ones where an extent is just as long as its side."""
    middle = (first + second) / 2.0
    found = []
    for side, off in zip(sides, (0.0, math.pi / 2.0), strict=True):
        cos, sin = math.cos(middle + off), math.sin(middle + off)
        reach = [x * cos + y * sin for x, y in hull]
        (x0, y0), (x1, y1) = hull[reach.index(min(reach))], hull[reach.index(max(reach))]
        apart = math.hypot(x1 - x0, y1 - y0)
        if apart < side:
            continue
        lies, opens = math.atan2(y1 - y0, x1 - x0) - off, math.acos(min(1.0, side / apart))
        for turn in (lies - opens, lies + opens):
            # As near to the middle as whole turns bring it.
            near = middle + math.remainder(turn - middle, 2.0 * math.pi)
            if first < near < second:
                found.append(near)
    return found
