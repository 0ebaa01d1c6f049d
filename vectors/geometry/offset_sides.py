"""This module shifts each segment of a closed path by itself, its neighbours not yet looked at.

Lines move to their right, arcs get another radius about their centre; what
becomes of the corners between them is decided elsewhere.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..measures.exact import ROUNDING_MM, SAME_PLACE_MM
from .paths import Path, Segment
from .points import Point


@dataclass(slots=True)
class Side:
    """A shifted segment in plain floats: where it starts and ends, its directions, its circle."""

    x0: float
    y0: float
    x1: float
    y1: float
    # Unit directions of travel at the start and at the end.
    ux0: float
    uy0: float
    ux1: float
    uy1: float
    bulge: float
    sweep: float
    # Of an arc: its centre and its new radius.
    cx: float
    cy: float
    radius: float


Raw = tuple[float, float, float, float, float]


def raw_sides(path: Path) -> list[Raw]:
    """Start, end and bulge of each segment that has a length, arcs as flat as a line made lines."""
    places = [vertex.at.floats() for vertex in path.vertices]
    found: list[Raw] = []
    for index, vertex in enumerate(path.vertices):
        x0, y0 = places[index]
        x1, y1 = places[index + 1 - len(places)]
        if x0 != x1 or y0 != y1:
            bulge = vertex.bulge
            # The height of an arc over its chord is half the chord times the bulge.
            if bulge and abs(bulge) * math.hypot(x1 - x0, y1 - y0) < 2.0 * SAME_PLACE_MM:
                bulge = 0.0
            found.append((x0, y0, x1, y1, bulge))
    return found


def without_straight_corners(raw: list[Raw]) -> list[Raw]:
    """Lines that run on in one direction made one."""
    joined: list[Raw] = []
    for segment in raw:
        if joined and _runs_on(joined[-1], segment):
            x0, y0 = joined[-1][:2]
            joined[-1] = (x0, y0, *segment[2:])
        else:
            joined.append(segment)
    if len(joined) > 2 and _runs_on(joined[-1], joined[0]):
        x0, y0 = joined[-1][:2]
        joined[0] = (x0, y0, *joined[0][2:])
        joined.pop()
    return joined


def _runs_on(before: Raw, after: Raw) -> bool:
    if before[4] or after[4]:
        return False
    ax, ay = before[2] - before[0], before[3] - before[1]
    bx, by = after[2] - after[0], after[3] - after[1]
    if ax * bx + ay * by <= 0.0:
        return False
    return abs(ax * by - ay * bx) <= ROUNDING_MM * math.hypot(ax + bx, ay + by)


def turning(raw: list[Raw]) -> tuple[list[float], bool, float]:
    """The turn at the end of each segment, whether all turns go left, and the total, in radians."""
    ways = []
    total = 0.0
    convex = True
    for x0, y0, x1, y1, bulge in raw:
        way = math.atan2(y1 - y0, x1 - x0)
        half = 2.0 * math.atan(bulge) if bulge else 0.0
        ways.append((way - half, way + half))
        total += 2.0 * half
        convex = convex and bulge >= 0.0
    turns = []
    for index, (_, end) in enumerate(ways):
        turn = wrapped(ways[index + 1 - len(ways)][0] - end)
        # Straight back, as `crossing` has it.
        if math.pi - abs(turn) < 1e-9:
            turn = _cusp(raw[index], raw[index + 1 - len(raw)], turn)
        turns.append(turn)
        total += turn
        # A turn this small moves nothing by as much as rounding does.
        convex = convex and turn >= -1e-9
    return turns, convex, total


def _cusp(side: Raw, after: Raw, turn: float) -> float:
    """The turn where a path runs straight back: to the left at a spike, to the right in a notch.

    The angle alone does not tell which it is; the bends of the two sides do.
    Two that lie on each other keep the turn that was found.
    """
    bend = _curvature(side) + _curvature(after)
    return turn if bend == 0.0 else math.copysign(turn, -bend)


def _curvature(side: Raw) -> float:
    """One through the radius, positive where the side bends to the left, in 1/mm."""
    x0, y0, x1, y1, bulge = side
    return 4.0 * bulge / (math.hypot(x1 - x0, y1 - y0) * (1.0 + bulge * bulge))


def turns_once(path: Path) -> bool:
    """Whether a closed path turns through one full turn, as all do that do not cross themselves."""
    raw = raw_sides(path)
    return len(raw) > 1 and abs(round(turning(raw)[2] / (2.0 * math.pi))) == 1


def wrapped(angle: float) -> float:
    """The same angle in (-pi, pi]."""
    if -math.pi < angle <= math.pi:
        return angle
    return angle - 2.0 * math.pi * math.ceil((angle - math.pi) / (2.0 * math.pi))


def shifted(raw: list[Raw], by: float) -> list[Side]:
    """Each segment moved to its right by `by`, its neighbours not yet looked at.

    The radius of an arc that vanishes or turns inside out is 0 or less.
    """
    sides = []
    for x0, y0, x1, y1, bulge in raw:
        dx, dy = x1 - x0, y1 - y0
        chord = math.hypot(dx, dy)
        if bulge == 0.0:
            ux, uy = dx / chord, dy / chord
            mx, my = by * uy, -by * ux
            sides.append(
                Side(x0 + mx, y0 + my, x1 + mx, y1 + my, ux, uy, ux, uy, 0.0, 0.0, 0.0, 0.0, 0.0)
            )
            continue
        square = bulge * bulge
        along = (1.0 - square) / (4.0 * bulge)
        cx, cy = (x0 + x1) / 2.0 - dy * along, (y0 + y1) / 2.0 + dx * along
        radius = chord * (1.0 + square) / (4.0 * abs(bulge))
        way = 1.0 if bulge > 0.0 else -1.0
        larger = radius + way * by
        ax, ay = (x0 - cx) / radius, (y0 - cy) / radius
        zx, zy = (x1 - cx) / radius, (y1 - cy) / radius
        sides.append(
            Side(
                # From the ends, not from the centre, which may be very far away.
                x0 + ax * way * by,
                y0 + ay * way * by,
                x1 + zx * way * by,
                y1 + zy * way * by,
                -ay * way,
                ax * way,
                -zy * way,
                zx * way,
                bulge,
                4.0 * math.atan(bulge),
                cx,
                cy,
                larger,
            )
        )
    return sides


def middle_of(raw: Raw) -> Point:
    """The place half way along a segment."""
    x0, y0, x1, y1, bulge = raw
    return Segment(Point(x0, y0), Point(x1, y1), bulge).middle
