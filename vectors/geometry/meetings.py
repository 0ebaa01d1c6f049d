"""This module finds where two segments, lines or arcs, meet: crossings, touches and overlaps.

Meeting is judged with the tolerance that the caller gives, in mm: an end that
lies within it of the other segment touches it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from .paths import Segment
from .points import Point

_TWO_PI = 2.0 * math.pi


@dataclass(frozen=True, slots=True)
class Meeting:
    """A place that two segments share, and how far along each it lies (shares 0 to 1)."""

    at: Point
    first: float
    second: float


@dataclass(frozen=True, slots=True)
class Overlap:
    """A stretch of the first segment, given by two shares of it, that runs along the second."""

    start: float
    end: float


def line_line(a: Point, b: Point, c: Point, d: Point) -> Point | None:
    """Where the endless lines through `a`, `b` and through `c`, `d` cross; None when parallel.

    Exact where all coordinates are fractions.
    """
    along, other = b - a, d - c
    cross = along.cross(other)
    if cross == 0:
        return None
    return a + along * ((c - a).cross(other) / cross)


def line_circle(
    a: Point, b: Point, centre: Point, radius: float, tolerance: float = 0.0
) -> list[Point]:
    """Where the endless line through `a`, `b` cuts a circle: none, one, or two places.

    One that passes the circle's rim within `tolerance` touches it, at one place.
    """
    (ax, ay), (bx, by), (cx, cy) = a.floats(), b.floats(), centre.floats()
    length = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / length, (by - ay) / length
    along = (cx - ax) * ux + (cy - ay) * uy
    away = (cx - ax) * uy - (cy - ay) * ux
    if abs(abs(away) - radius) <= tolerance:
        return [Point(ax + ux * along, ay + uy * along)]
    rest = radius * radius - away * away
    if rest < 0.0:
        return []
    half = math.sqrt(rest)
    return [
        Point(ax + ux * (along - half), ay + uy * (along - half)),
        Point(ax + ux * (along + half), ay + uy * (along + half)),
    ]


def circle_circle(
    a: Point, radius_a: float, b: Point, radius_b: float, tolerance: float = 0.0
) -> list[Point]:
    """Where two circles cut: none, one, or two places.

    Rims that pass each other within `tolerance` touch, at one place.
    """
    (ax, ay), (bx, by) = a.floats(), b.floats()
    apart = math.hypot(bx - ax, by - ay)
    if apart == 0.0:
        return []
    along = (apart * apart + radius_a * radius_a - radius_b * radius_b) / (2.0 * apart)
    rest = radius_a * radius_a - along * along
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    mx, my = ax + ux * along, ay + uy * along
    outer, inner = radius_a + radius_b, abs(radius_a - radius_b)
    if abs(apart - outer) <= tolerance or abs(apart - inner) <= tolerance:
        return [Point(mx, my)]
    if rest < 0.0:
        return []
    half = math.sqrt(rest)
    return [Point(mx - uy * half, my + ux * half), Point(mx + uy * half, my - ux * half)]


def share_of(segment: Segment, at: Point, tolerance: float) -> float | None:
    """How far along a segment a place lies (0 to 1); None when it is off by over `tolerance`."""
    (x0, y0), (x1, y1), (x, y) = segment.start.floats(), segment.end.floats(), at.floats()
    if math.hypot(x - x0, y - y0) <= tolerance:
        return 0.0
    if math.hypot(x - x1, y - y1) <= tolerance:
        return 1.0
    if segment.is_line:
        dx, dy = x1 - x0, y1 - y0
        square = dx * dx + dy * dy
        if square == 0.0:
            return None
        share = ((x - x0) * dx + (y - y0) * dy) / square
        off = abs((x - x0) * dy - (y - y0) * dx) / math.sqrt(square)
        return share if off <= tolerance and 0.0 < share < 1.0 else None
    cx, cy = segment.centre.floats()
    if abs(math.hypot(x - cx, y - cy) - segment.radius) > tolerance:
        return None
    sweep = segment.sweep
    turn = math.atan2(y - cy, x - cx) - math.atan2(y0 - cy, x0 - cx)
    # Brought to the side on which the arc turns.
    turn = turn % _TWO_PI if sweep > 0 else -((-turn) % _TWO_PI)
    share = turn / sweep
    return share if 0.0 < share < 1.0 else None


def meetings(a: Segment, b: Segment, tolerance: float) -> list[Meeting | Overlap]:
    """Everything that two segments share, in order along the first.

    An `Overlap` longer than `tolerance` takes the place of the touches at its
    ends.
    """
    overlaps = _overlaps(a, b, tolerance)
    if overlaps:
        return list(overlaps)
    found: list[Meeting] = []

    def keep(at: Point, first: float | None, second: float | None) -> None:
        if first is None or second is None:
            return
        if all(at.distance(other.at) > tolerance for other in found):
            found.append(Meeting(at, first, second))

    # Ends first: a crossing so close to an end that it cannot be told from it is
    # that end.
    for share, end in ((0.0, a.start), (1.0, a.end)):
        keep(end, share, share_of(b, end, tolerance))
    for share, end in ((0.0, b.start), (1.0, b.end)):
        keep(end, share_of(a, end, tolerance), share)
    # Two lines cross once: where an end touches, that is the place, even where
    # they run so close together that they cross a little way off.
    if found and a.is_line and b.is_line:
        found.sort(key=lambda meeting: meeting.first)
        return [*found]
    for at in _crossings(a, b, tolerance):
        keep(at, share_of(a, at, tolerance), share_of(b, at, tolerance))
    found.sort(key=lambda meeting: meeting.first)
    return [*found]


def _crossings(a: Segment, b: Segment, tolerance: float) -> list[Point]:
    if a.is_line and b.is_line:
        # Floats: only the place counts here, and fractions would cost ten times as much.
        at = line_line(a.start.rounded(), a.end.rounded(), b.start.rounded(), b.end.rounded())
        return [] if at is None else [at]
    if a.is_line:
        return line_circle(a.start, a.end, b.centre, b.radius, tolerance)
    if b.is_line:
        return line_circle(b.start, b.end, a.centre, a.radius, tolerance)
    return circle_circle(a.centre, a.radius, b.centre, b.radius, tolerance)


def _overlaps(a: Segment, b: Segment, tolerance: float) -> list[Overlap]:
    if a.is_line != b.is_line:
        return []
    if not a.is_line and (
        a.centre.distance(b.centre) > tolerance or abs(a.radius - b.radius) > tolerance
    ):
        return []
    shares = {
        share
        for share in (
            *(
                s
                for s, at in ((0.0, a.start), (1.0, a.end))
                if share_of(b, at, tolerance) is not None
            ),
            *(share_of(a, at, tolerance) for at in (b.start, b.end)),
        )
        if share is not None
    }
    ordered = sorted(shares)
    found = []
    for low, high in pairwise(ordered):
        if (high - low) * a.length <= 2.0 * tolerance:
            continue
        # Two shared ends are an overlap only where the middle between them is
        # shared as well.
        if share_of(b, a.at((low + high) / 2.0), tolerance) is not None:
            found.append(Overlap(low, high))
    return found
