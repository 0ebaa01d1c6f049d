"""This module takes stretches away from paths, and joins paths that go on from one another."""

from __future__ import annotations

import math

from ..geometry import Path, Point, Segment, path_of
from ..measures.exact import OVERLAP_UM, SNAPPED_UM
from .spread import free_stretches

_UM_PER_MM = 1000.0

# Two arcs of one circle are made one up to this sweep, in radians: the bulge of
# almost a full circle is too large a number to be exact.
_LARGEST_SWEEP = 1.5 * math.pi


def left_over(path: Path, taken: list[tuple[float, float]]) -> list[Path]:
    """What is left of a path without the `taken` stretches, pairs of distances along it in mm.

    What is no longer than an overlap must be is dropped.
    """
    total = path.length
    shortest = OVERLAP_UM / _UM_PER_MM
    free = [(low, high) for low, high in free_stretches(total, taken) if high - low > shortest]
    if path.closed and len(free) > 1 and free[0][0] == 0.0 and free[-1][1] == total:
        # What runs over the first vertex is one stretch.
        free = [*free[1:-1], (free[-1][0], total + free[0][1])]
    return [path.stretch(low, high) for low, high in free]


def joined(first: Path, second: Path) -> Path | None:
    """The two open paths as one where one's end is the other's, run as the first; else None.

    Straight lines that go straight on, and arcs of one circle, become one segment
    at the joint.  A path that comes back to its start is closed.
    """
    if first.closed or second.closed:
        return None
    ahead, behind = list(first.segments), list(second.segments)
    if _meet(first.end, second.start):
        runs = ahead, behind
    elif _meet(first.end, second.end):
        runs = ahead, list(second.reversed.segments)
    elif _meet(first.start, second.end):
        runs = behind, ahead
    elif _meet(first.start, second.start):
        runs = list(second.reversed.segments), ahead
    else:
        return None
    segments = [*runs[0][:-1], *_as_one(runs[0][-1], runs[1][0]), *runs[1][1:]]
    closed = len(segments) > 1 and _meet(segments[0].start, segments[-1].end)
    if closed and len(segments) > 2:
        joint = _as_one(segments[-1], segments[0])
        segments = [joint[0], *segments[1:-1]] if len(joint) == 1 else segments
    return path_of(segments, closed)


def _meet(first: Point, second: Point) -> bool:
    return first.distance(second) * _UM_PER_MM <= OVERLAP_UM


def _as_one(first: Segment, second: Segment) -> tuple[Segment, ...]:
    """Two segments that meet, as one where they are parts of one line or circle."""
    within = SNAPPED_UM / _UM_PER_MM
    if first.is_line and second.is_line:
        along = second.end - first.start
        bend = first.end - first.start
        straight = float(along.dot(bend)) > 0.0 and float(along.dot(along - bend)) > 0.0
        if straight and abs(float(along.cross(bend))) <= within * float(along.length):
            return (Segment(first.start, second.end),)
    elif not first.is_line and not second.is_line and first.bulge * second.bulge > 0.0:
        sweep = first.sweep + second.sweep
        if (
            abs(sweep) <= _LARGEST_SWEEP
            and first.centre.distance(second.centre) <= within
            and abs(first.radius - second.radius) <= within
        ):
            return (Segment(first.start, second.end, math.tan(sweep / 4.0)),)
    return (first, second)
