"""This module joins two shifted neighbours at a corner: where they meet, or where they cross."""

from __future__ import annotations

import math

from ..measures.exact import SAME_PLACE_MM
from .meetings import circle_circle, line_circle
from .offset_sides import Side
from .paths import Path, Vertex
from .points import Point

# Two sides that cross at a smaller angle than this, as a sine, run alongside
# each other, and where they meet is not to be made better.
_TANGENT = 1e-6


def _corner(side: Side, after: Side, at: tuple[float, float], by: float) -> tuple[float, float]:
    """Where two shifted lines meet; ZeroDivisionError where the second runs straight back."""
    share = by / (1.0 + side.ux1 * after.ux0 + side.uy1 * after.uy0)
    return at[0] + share * (side.uy1 + after.uy0), at[1] - share * (side.ux1 + after.ux0)


def carriers_meet(side: Side, after: Side) -> list[tuple[float, float]]:
    """Where the endless line or full circle of one side meets that of the next."""
    a, b = Point(side.x0, side.y0), Point(after.x0, after.y0)
    if side.bulge and after.bulge:
        found = circle_circle(
            Point(side.cx, side.cy), side.radius, Point(after.cx, after.cy), after.radius
        )
    elif side.bulge:
        onward = Point(after.x0 + after.ux0, after.y0 + after.uy0)
        found = line_circle(b, onward, Point(side.cx, side.cy), side.radius)
    else:
        onward = Point(side.x0 + side.ux0, side.y0 + side.uy0)
        found = line_circle(a, onward, Point(after.cx, after.cy), after.radius)
    return [_refined(place.floats(), side, after) for place in found]


def _refined(at: tuple[float, float], side: Side, after: Side) -> tuple[float, float]:
    """A meeting place made good to the last digits by Newton's method.

    Reckoned from centres that lie kilometres away, as those of nearly straight
    arcs do, it is off by a fraction of a micrometre.
    """
    for _ in range(2):
        first, nx, ny = _off(side, at)
        second, mx, my = _off(after, at)
        cross = nx * my - ny * mx
        if abs(cross) < _TANGENT:
            break
        at = (
            at[0] + (ny * second - my * first) / cross,
            at[1] + (mx * first - nx * second) / cross,
        )
    return at


def _off(side: Side, at: tuple[float, float]) -> tuple[float, float, float]:
    """How far a place lies off a side's endless line or circle, and the unit way it lies off."""
    dx, dy = at[0] - side.x0, at[1] - side.y0
    if not side.bulge:
        return side.ux0 * dy - side.uy0 * dx, -side.uy0, side.ux0
    rx, ry = at[0] - side.cx, at[1] - side.cy
    reach = math.hypot(rx, ry)
    # |p - c|² - |s - c|² = (p - s) · (p + s - 2 c), with the start s on the
    # circle: no two large squares are taken from each other.
    sx, sy = side.x0 - side.cx, side.y0 - side.cy
    return (dx * (rx + sx) + dy * (ry + sy)) / (reach + side.radius), rx / reach, ry / reach


def mitre_tip(
    side: Side,
    after: Side,
    at: tuple[float, float],
    by: float,
    turn: float,
    mitre_limit: float,
) -> tuple[float, float] | None:
    """Where two sides meet when both are run on past a corner, if that is within the limit."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        if mitre_limit * math.cos(turn / 2.0) < 1.0:
            return None
        return _corner(side, after, at, by)
    best: tuple[float, tuple[float, float]] | None = None
    for x, y in carriers_meet(side, after):
        reach = math.hypot(x - at[0], y - at[1])
        onward = (x - side.x1) * side.ux1 + (y - side.y1) * side.uy1
        before = (after.x0 - x) * after.ux0 + (after.y0 - y) * after.uy0
        if (
            reach <= mitre_limit * abs(by)
            and onward >= -SAME_PLACE_MM
            and before >= -SAME_PLACE_MM
            and (best is None or reach < best[0])
        ):
            best = (reach, (x, y))
    return None if best is None else best[1]


def crossing(
    side: Side, after: Side, at: tuple[float, float], by: float, turn: float
) -> tuple[float, float] | None:
    """Where two sides that overlap at a corner cross, nearest to it; None where they do not."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        # A side that runs straight back has no width: nothing is left of it.
        return None if math.pi - abs(turn) < 1e-9 else _corner(side, after, at, by)
    places = carriers_meet(side, after)
    if not places:
        return None
    return min(places, key=lambda place: math.hypot(place[0] - at[0], place[1] - at[1]))


def mitre_area(side: Side, after: Side, tip: tuple[float, float], by: float, turn: float) -> float:
    """The signed area between a mitre and the arc about its corner, in mm²."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        half = abs(turn) / 2.0
        return math.copysign(by * by * (math.tan(half) - half), by)
    on = bulge_between(side, (side.x1, side.y1), tip)
    back = bulge_between(after, tip, (after.x0, after.y0))
    return Path(
        (
            Vertex(Point(side.x1, side.y1), on),
            Vertex(Point(*tip), back),
            Vertex(Point(after.x0, after.y0), -math.tan(turn / 4.0)),
        ),
        closed=True,
    ).area


def bulge_between(side: Side, start: tuple[float, float], end: tuple[float, float]) -> float:
    """The bulge of the short stretch from `start` to `end` on a side's carrier."""
    if side.bulge == 0.0:
        return 0.0
    return math.tan(angle_between(side, start, end) / 4.0)


def angle_between(side: Side, start: tuple[float, float], end: tuple[float, float]) -> float:
    """The angle from `start` to `end` as seen from an arc's centre, in (-pi, pi]."""
    ax, ay = start[0] - side.cx, start[1] - side.cy
    bx, by = end[0] - side.cx, end[1] - side.cy
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)
