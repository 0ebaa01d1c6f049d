"""This module fits lines and tangent arcs to any smooth curve, within a tolerance.

The curve is gone along by biarcs: two arcs that touch each other, that start and
end on the curve and head there as the curve does.  The arcs of a fit therefore run on
smoothly into each other, except where the curve itself has a cusp, or bends so tightly
that half the tolerance covers all of it: that is a corner.  Each biarc is made as
long as the tolerance lets it be, so that few are needed.

How far a biarc leaves its stretch of the curve is measured at `_SAMPLES` places of
the stretch, evenly in the parameter, as the distance across to the arcs; what may lie
between two samples is bounded by the parabola through neighbouring ones, which rises
over them by at most an eighth of their second difference.  The feet of those
distances run along the arcs from end to end without a gap, so no place on the arcs
is farther from the curve either.

Biarcs are textbook matter (D. S. Meek and D. J. Walton wrote the papers on their error,
which falls with the third power of the length; from memory).
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Protocol

from ..measures.exact import FITTED_MM, ROUNDING_MM, SAME_DIRECTION_RAD
from .paths import Path, Segment, path_of
from .points import Point

Pair = tuple[float, float]
"""A place or a unit direction in plain floats."""

# Places of a stretch at which it is measured against its biarc.
_SAMPLES = 24

# One arc of a biarc turns by no more than this, in radians.
_LARGEST_SWEEP = math.pi / 2.0

# A biarc that uses this share of the tolerance is long enough, and what is aimed at.
_ENOUGH = 0.9
_AIM = 0.95

# The search for the longest stretch ends where it is known to this share.
_NEAR_ENOUGH = 0.02

# A stretch shorter than this share of its curve will never fit.
_SHORTEST = 1e-9


class Curve(Protocol):
    """A curve that is smooth between its knots.

    `knots` are parameters in rising order: the two ends, and between them every
    place where the curve has a cusp or begins to bend the other way.
    """

    @property
    def knots(self) -> tuple[float, ...]:
        """The parameters that a fit stops at."""

    @property
    def closed(self) -> bool:
        """Whether the curve ends where it starts, smoothly."""

    def at(self, parameter: float) -> Pair:
        """The place at a parameter, in mm."""

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        """The unit direction of travel just after a parameter (`onward`), or just before it."""


def fit(curve: Curve, within: float = FITTED_MM) -> Path:
    """Lines and tangent arcs that are nowhere farther than `within` mm from the curve.

    The path starts and ends where the curve does, and runs through its knots.
    Raises ValueError for a tolerance that is not positive, and for a curve that bends
    too sharply to be followed.
    """
    if not within > 0.0:
        raise ValueError("a fit needs a tolerance above 0")
    segments: list[Segment] = []
    for low, high in pairwise(curve.knots):
        segments += _span(curve, low, high, within)
    found = joined(segments)
    if curve.closed and len(found) > 2:
        over_the_end = joined([found[-1], found[0]])
        if len(over_the_end) == 1:
            found = over_the_end + found[1:-1]
    return path_of(found, curve.closed)


class _Backwards:
    """A curve run the other way: its parameters change their sign."""

    def __init__(self, curve: Curve) -> None:
        self.curve = curve
        self.closed = curve.closed
        self.knots = tuple(-knot for knot in reversed(curve.knots))

    def at(self, parameter: float) -> Pair:
        return self.curve.at(-parameter)

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        x, y = self.curve.direction(-parameter, onward=not onward)
        return -x, -y


def _span(curve: Curve, low: float, high: float, within: float) -> list[Segment]:
    """The biarcs of the stretch between two knots.

    They are laid from the end that bends more, so that the two halves of a
    curve that is its own mirror image get arcs that are mirror images.
    """
    if _bends_more_at_its_end(curve, low, high):
        found = _run(_Backwards(curve), -high, -low, within)
        return [segment.reversed for segment in reversed(found)]
    return _run(curve, low, high, within)


def _bends_more_at_its_end(curve: Curve, low: float, high: float) -> bool:
    middle = (low + high) / 2.0
    places = [curve.at(parameter) for parameter in (low, middle, high)]
    ways = [
        curve.direction(low, onward=True),
        curve.direction(middle, onward=True),
        curve.direction(high, onward=False),
    ]
    first, second = (abs(_turn(one, other)) for one, other in pairwise(ways))
    before, after = (math.dist(one, other) for one, other in pairwise(places))
    # Turn by length, the lengths multiplied out.
    return second * before > first * after * (1.0 + 1e-9)


def _run(curve: Curve, low: float, high: float, within: float) -> list[Segment]:
    """Biarcs from `low` to `high`, each as long as the tolerance lets it be."""
    found: list[Segment] = []
    start, step = low, high - low
    while start < high:
        end, arcs = _longest(curve, start, high, step, within)
        found += arcs
        start, step = end, 1.2 * (end - start)
    return found


def _longest(
    curve: Curve, start: float, high: float, step: float, within: float
) -> tuple[float, list[Segment]]:
    """The farthest parameter found that one biarc reaches from `start`, and its arcs."""
    shortest = _SHORTEST * (high - start)
    # Where it fits and where it does not, with the error there.
    good, good_off = start, 0.0
    bad, bad_off = math.inf, math.inf
    best: list[Segment] | None = None
    end = min(high, start + step)
    while True:
        arcs, off = biarc(curve, start, end)
        if off > within and _is_speck(curve, start, end, within):
            arcs, off = [Segment(Point(*curve.at(start)), Point(*curve.at(end)))], within
        if off <= within:
            good, good_off, best = end, max(off, 1e-3 * within), arcs
            if end == high or off >= _ENOUGH * within:
                break
        else:
            bad, bad_off = end, off
            if bad - start <= shortest:
                raise ValueError("the curve bends too sharply for arcs to follow it")
        if best is not None and bad < math.inf:
            if bad - good <= _NEAR_ENOUGH * (bad - start):
                break
            share = 0.5
            if bad_off < math.inf:
                share = math.log(_AIM * within / good_off) / math.log(bad_off / good_off)
            end = good + (bad - good) * min(0.9, max(0.1, share))
        elif best is not None:
            # The error grows with the third power of the length.
            grown = (_AIM * within / good_off) ** (1.0 / 3.0)
            end = min(high, start + (good - start) * max(1.1, grown))
        else:
            shrunk = (_AIM * within / bad_off) ** (1.0 / 3.0)
            end = start + (bad - start) * min(0.9, max(0.2, shrunk))
    return good, best or []


def _is_speck(curve: Curve, start: float, end: float, within: float) -> bool:
    """Whether a stretch keeps so close to where it starts that it is a corner."""
    first = curve.at(start)
    return all(
        math.dist(curve.at(start + (end - start) * (index / _SAMPLES)), first) <= within / 2.0
        for index in range(_SAMPLES, 0, -1)
    )


def biarc(curve: Curve, start: float, end: float) -> tuple[list[Segment], float]:
    """The two arcs for the stretch of a curve between two parameters, and how far they leave it.

    The distance is infinite where there are no such arcs.
    """
    a, b = curve.at(start), curve.at(end)
    ta, tb = curve.direction(start, onward=True), curve.direction(end, onward=False)
    vx, vy = b[0] - a[0], b[1] - a[1]
    square = vx * vx + vy * vy
    along = vx * (ta[0] + tb[0]) + vy * (ta[1] + tb[1])
    # Of the pairs of arcs that there are, the one whose two tangents, from each end
    # to where the tangent at the joint meets it, have one length d:
    # |v|² - 2 d v·(ta + tb) - 2 d² (1 - ta·tb) = 0.
    apart = (ta[0] - tb[0]) ** 2 + (ta[1] - tb[1]) ** 2
    below = along + math.sqrt(along * along + apart * square)
    if square == 0.0 or below <= 0.0:
        return [], math.inf
    d = square / below
    p, q = (a[0] + d * ta[0], a[1] + d * ta[1]), (b[0] - d * tb[0], b[1] - d * tb[1])
    joint = ((p[0] + q[0]) / 2.0, (p[1] + q[1]) / 2.0)
    first = _turn(ta, (joint[0] - a[0], joint[1] - a[1]))
    second = _turn((b[0] - joint[0], b[1] - joint[1]), tb)
    if 2.0 * max(abs(first), abs(second)) > _LARGEST_SWEEP + 1e-9:
        return [], math.inf
    arcs = [
        _arc(a, joint, math.tan(first / 2.0)),
        _arc(joint, b, math.tan(second / 2.0)),
    ]
    way = (q[0] - p[0], q[1] - p[1])
    length = math.hypot(*way)
    if length == 0.0:
        return [], math.inf
    way = (way[0] / length, way[1] / length)
    curvatures = [_curvature(arc) for arc in arcs]
    off: list[float] = []
    for index in range(_SAMPLES + 1):
        x, y = curve.at(start + (end - start) * (index / _SAMPLES))
        dx, dy = x - joint[0], y - joint[1]
        # Both arcs pass the joint along one way, and its normal divides them.
        u, v = dx * way[0] + dy * way[1], dx * way[1] - dy * way[0]
        off.append(_across(u, -v, curvatures[0] if u < 0.0 else curvatures[1]))
    worst = 0.0
    for before, here, after in zip(off, off[1:], off[2:], strict=False):
        worst = max(worst, abs(here) + abs(before - 2.0 * here + after) / 8.0)
    return joined(arcs), worst


def _across(along: float, left: float, curvature: float) -> float:
    """How far a place lies to the left of a circle, reckoned without its centre.

    The circle starts at the origin along the first axis and bends to the left by `curvature`.
    """
    f = left - curvature * (along * along + left * left) / 2.0
    return 2.0 * f / (1.0 + math.sqrt(max(0.0, 1.0 - 2.0 * curvature * f)))


def _arc(start: Pair, end: Pair, bulge: float) -> Segment:
    # An arc that neither stands up over its chord nor turns by more than rounding is a line.
    if abs(bulge) <= SAME_DIRECTION_RAD and abs(bulge) * math.dist(start, end) <= ROUNDING_MM:
        bulge = 0.0
    return Segment(Point(*start), Point(*end), bulge)


def _curvature(arc: Segment) -> float:
    return 4.0 * arc.bulge / (arc.chord * (1.0 + arc.bulge * arc.bulge)) if arc.chord else 0.0


def _turn(one: Pair, other: Pair) -> float:
    """The angle from one direction to another, in radians, anticlockwise positive."""
    return math.atan2(one[0] * other[1] - one[1] * other[0], one[0] * other[0] + one[1] * other[1])


def joined(segments: list[Segment]) -> list[Segment]:
    """The same run with neighbours of one line or one circle made one, up to half circles."""
    found: list[Segment] = []
    for segment in segments:
        if segment.chord == 0.0:
            continue
        one = _as_one(found[-1], segment) if found else None
        if one is None:
            found.append(segment)
        else:
            found[-1] = one
    return found


def _as_one(before: Segment, after: Segment) -> Segment | None:
    if before.is_line != after.is_line or before.bulge * after.bulge < 0.0:
        return None
    sweep = before.sweep + after.sweep
    if abs(sweep) > math.pi + 1e-9:
        return None
    one = Segment(before.start, after.end, 0.0 if before.is_line else math.tan(sweep / 4.0))
    if one.chord < max(before.chord, after.chord):
        return None
    # The arc of a half circle may miss 1 by the last digit only.
    if abs(abs(one.bulge) - 1.0) < 1e-12:
        one = Segment(one.start, one.end, math.copysign(1.0, one.bulge))
    share = before.length / (before.length + after.length)
    if one.at(share).distance(before.end) > ROUNDING_MM:
        return None
    # Short arcs of two circles may lie that near to one, but head elsewhere at their ends.
    for part, end in ((before, 0.0), (after, 1.0)):
        if abs(float(one.direction(end).cross(part.direction(end)))) > SAME_DIRECTION_RAD:
            return None
    return one
