"""This module lays lines and arcs beside others, parallel or concentric, and crosses them."""

from __future__ import annotations

import math

from ..measures.exact import ROUNDING_MM
from .meetings import circle_circle, line_circle
from .nearest import nearest_on
from .paths import Segment
from .points import Point


def beside(segment: Segment, aside: float) -> Segment | None:
    """The segment `aside` mm to the left of another (to its right where negative).

    A line moves across itself, an arc gets another radius about its centre;
    None where nothing is left of its radius.
    """
    if segment.chord == 0.0:
        return None
    if not segment.is_line:
        inwards = aside if segment.bulge > 0.0 else -aside
        if segment.radius - inwards <= ROUNDING_MM:
            return None
    places = []
    for share, at in ((0.0, segment.start), (1.0, segment.end)):
        # From the ends, since the centre of an almost straight arc is very far away.
        x, y = at.floats()
        along = segment.direction(share)
        places.append(Point(x - along.y * aside, y + along.x * aside))
    return Segment(places[0], places[1], segment.bulge)


def carriers_cross(first: Segment, second: Segment, near: Point) -> Point | None:
    """Where the endless lines or whole circles of two segments cross, nearest to a place."""
    if first.is_line and second.is_line:
        way, other = first.direction(0.0), second.direction(0.0)
        sine = float(way.cross(other))
        if sine == 0.0:
            return None
        off = second.start.rounded() - first.start.rounded()
        return first.start.rounded() + way * (float(off.cross(other)) / sine)
    if first.is_line:
        found = line_circle(first.start, first.end, second.centre, second.radius)
    elif second.is_line:
        found = line_circle(second.start, second.end, first.centre, first.radius)
    else:
        found = circle_circle(first.centre, first.radius, second.centre, second.radius)
    return min(found, key=near.distance, default=None)


def between(carrier: Segment, start: Point, end: Point) -> Segment:
    """The segment from one place to another along the endless line or circle of `carrier`."""
    if carrier.is_line:
        return Segment(start, end)
    turn = travelled(carrier, end) - travelled(carrier, start)
    return Segment(start, end, math.tan(turn / carrier.radius / 4.0) * _way(carrier))


def travelled(carrier: Segment, at: Point) -> float:
    """How far beyond the start of a carrier a place on it lies, in mm, negative before it.

    On an arc, at most half a circle before its middle or beyond it.
    """
    (x0, y0), (x, y) = carrier.start.floats(), at.floats()
    if carrier.is_line:
        along = carrier.direction(0.0)
        return float(along.x * (x - x0) + along.y * (y - y0))
    cx, cy = carrier.centre.floats()
    mx, my = carrier.middle.floats()
    turn = math.atan2(
        (mx - cx) * (y - cy) - (my - cy) * (x - cx), (mx - cx) * (x - cx) + (my - cy) * (y - cy)
    )
    return (turn * _way(carrier) + abs(carrier.sweep) / 2.0) * carrier.radius


def _way(arc: Segment) -> float:
    return math.copysign(1.0, arc.bulge)


def apart(first: Segment, second: Segment) -> tuple[float, Point]:
    """How far two segments that do not cross are from each other, in mm, and where on the first.

    Where they cross, the distance of an end, or 0 for two arcs or an arc and a line.
    """
    places = [first.start, first.end]
    for at in (second.start, second.end, *_facing(second, first), *_facing(first, second)):
        _, share = nearest_on(first, at)
        places.append(first.at(share))
    return min(((nearest_on(second, at)[0], at) for at in places), key=lambda found: found[0])


def _facing(arc: Segment, other: Segment) -> list[Point]:
    """Places on the circle of an arc that may be nearest to another segment or farthest from it."""
    if arc.is_line:
        return []
    (cx, cy), radius = arc.centre.floats(), arc.radius
    if other.is_line:
        along = other.direction(0.0)
        way = (-float(along.y), float(along.x))
    else:
        ox, oy = other.centre.floats()
        reach = math.hypot(ox - cx, oy - cy)
        if reach == 0.0:
            return []
        way = ((ox - cx) / reach, (oy - cy) / reach)
    return [Point(cx + turn * radius * way[0], cy + turn * radius * way[1]) for turn in (1.0, -1.0)]
