"""This module adds up small errors in the plane: at worst, and as a root-sum-square.

Each error is a number between -t and t; a generator is the displacement, in mm,
that 1 mm of it makes.  All that n errors can reach together is a zonotope, the
sum of n segments; its farthest corner is the worst case.  Errors that are
independent and small most of the time reach about an ellipse instead, whose
half axes are the square roots of the eigenvalues of G Gᵀ (any text book on
statistical tolerancing; in one dimension it is the root of the sum of squares).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

Pair = tuple[float, float]

# Halvings that take any bracket of lengths below the last digit of a double.
_HALVINGS = 80


def corners(generators: Sequence[Pair]) -> tuple[Pair, ...]:
    """The corners of the zonotope of errors between -1 and 1, anticlockwise.

    The sum of segments [-g, g] is a polygon whose edges are the 2 g in order of
    their angle, so sorting finds all corners: O(n log n), where the errors have
    2^n combinations.  One corner, the origin, without generators.
    """
    upward = []
    for x, y in generators:
        if x == 0.0 and y == 0.0:
            continue
        # A segment has no direction: each generator is turned to point up.
        upward.append((x, y) if y > 0.0 or (y == 0.0 and x > 0.0) else (-x, -y))
    if not upward:
        return ((0.0, 0.0),)
    upward.sort(key=lambda g: math.atan2(g[1], g[0]))
    x = -math.fsum(g[0] for g in upward)
    y = -math.fsum(g[1] for g in upward)
    half = []
    for gx, gy in upward:
        half.append((x, y))
        x, y = x + 2.0 * gx, y + 2.0 * gy
    return (*half, *((-x, -y) for x, y in half))


def worst_case(generators: Sequence[Pair], tolerance: float, start: Pair = (0.0, 0.0)) -> float:
    """The largest distance from the origin, in mm, that `start` and the errors reach together.

    Each error is at most `tolerance` mm either way.  The distance is a convex
    function, so a corner of the zonotope attains it.
    """
    return max(
        math.hypot(start[0] + tolerance * x, start[1] + tolerance * y)
        for x, y in corners(generators)
    )


def largest_at_worst(generators: Sequence[Pair], within: float, start: Pair = (0.0, 0.0)) -> float:
    """The largest tolerance in mm whose worst case stays within `within` mm of the origin.

    0 where `start` is already farther away, infinite where no error matters.
    """
    if math.hypot(*start) > within:
        return 0.0
    return min((_leaves(start, corner, within) for corner in corners(generators)), default=math.inf)


def _leaves(start: Pair, along: Pair, within: float) -> float:
    """The share t >= 0 at which start + t along leaves the circle of radius `within`."""
    a = along[0] * along[0] + along[1] * along[1]
    if a == 0.0:
        return math.inf
    b = start[0] * along[0] + start[1] * along[1]
    c = start[0] * start[0] + start[1] * start[1] - within * within
    root = math.sqrt(max(0.0, b * b - a * c))
    # The form that does not subtract what is nearly equal; c is never above 0.
    return -c / (b + root) if b > 0.0 else (root - b) / a


def half_axes(generators: Sequence[Pair]) -> tuple[float, float, Pair]:
    """The root-sum-square of the generators: largest and smallest, and the largest's direction.

    The square roots of the eigenvalues of the 2 x 2 matrix G Gᵀ, in closed form.
    """
    xx = math.fsum(x * x for x, _ in generators)
    yy = math.fsum(y * y for _, y in generators)
    xy = math.fsum(x * y for x, y in generators)
    mean, half = (xx + yy) / 2.0, math.hypot((xx - yy) / 2.0, xy)
    angle = math.atan2(xy, (xx - yy) / 2.0) / 2.0
    smallest = max(0.0, mean - half)
    return math.sqrt(mean + half), math.sqrt(smallest), (math.cos(angle), math.sin(angle))


def root_sum_square(
    generators: Sequence[Pair], tolerance: float, start: Pair = (0.0, 0.0)
) -> float:
    """The largest distance from the origin, in mm, of the ellipse of the errors about `start`.

    `tolerance` times the largest half axis where `start` is the origin: the
    usual root of the sum of squares.  A `start` adds as a vector.
    """
    return _reach(half_axes(generators), tolerance, start)


def _reach(axes: tuple[float, float, Pair], tolerance: float, start: Pair) -> float:
    a, b, (ux, uy) = axes
    # By symmetry the quadrant of the start holds the farthest place.
    x, y = abs(start[0] * ux + start[1] * uy), abs(start[1] * ux - start[0] * uy)
    return _farthest(a * tolerance, b * tolerance, x, y)


def _farthest(a: float, b: float, x: float, y: float) -> float:
    """The distance of the origin from the farthest place of an ellipse about (x, y), a >= b.

    The place (x + a cos f, y + b sin f) is farthest where a x = (m - a²) cos f
    and b y = (m - b²) sin f with one m >= a² (Lagrange): the m that makes
    cos² + sin² = 1 is found by halving, since both fall as m grows.
    """
    if a == 0.0 or (x == 0.0 and y == 0.0):
        return a if x == 0.0 and y == 0.0 else math.hypot(x, y)
    low, high = a * a, a * a + a * math.hypot(x, y)
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if middle in (low, high):
            break
        cosine = a * x / (middle - a * a) if middle > a * a else math.inf
        sine = b * y / (middle - b * b)
        if math.hypot(cosine, sine) > 1.0:
            low = middle
        else:
            high = middle
    sine = min(1.0, b * y / (high - b * b)) if high > b * b else 0.0
    # Where the start lies on the short axis the cosine is what is left over.
    cosine = math.sqrt(max(0.0, 1.0 - sine * sine))
    return math.hypot(x + a * cosine, y + b * sine)


def largest_by_squares(
    generators: Sequence[Pair], within: float, start: Pair = (0.0, 0.0)
) -> float:
    """The largest tolerance in mm whose root-sum-square stays within `within` mm of the origin.

    0 where `start` is already farther away, infinite where no error matters.
    """
    away = math.hypot(*start)
    if away > within:
        return 0.0
    axes = half_axes(generators)
    largest = axes[0]
    if largest == 0.0:
        return math.inf
    if away == 0.0:
        return within / largest
    # It grows with the tolerance and reaches at least as far as it would without the start.
    low, high = 0.0, within / largest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if _reach(axes, middle, start) > within:
            high = middle
        else:
            low = middle
    return low
