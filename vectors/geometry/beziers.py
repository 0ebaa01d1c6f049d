"""This module holds Bézier curves of the second and third degree, by their control places.

What can go wrong along one is found beforehand: the inflections, where it begins
to bend the other way, and the cusps, where it stands still and may leave the way it came.
With the hodograph H = d0 (1 - t)² + 2 d1 t (1 - t) + d2 t², d the steps from control
place to control place, both lie at roots of the outer product
[H, H'] / 2 = [d0, d1] (1 - t)² + [d0, d2] t (1 - t) + [d1, d2] t² (textbook, from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from ..measures.exact import ROUNDING_MM
from .fitting import Pair
from .points import Point

# A curve that slows down to this share of its largest step stands still there: what it
# does meanwhile keeps within the square of that share of its size.
_STILL = 1e-4

# At its ends a curve stands still where its first step is this share of its size.
_STILL_AT_AN_END = 1e-6

# A share of the size under which a derivative is nothing but rounding.
_NOTHING = 1e-12

# Knots nearer to each other, or to an end, than this are one.
_SAME_KNOT = 1e-9


@dataclass(frozen=True, slots=True)
class Bezier:
    """A quadratic curve by three control places, or a cubic one by four, the ends among them.

    Raises ValueError where there are fewer or more, where one is not finite, and
    where all are one place.
    """

    control: tuple[Point, ...]
    _places: tuple[Pair, Pair, Pair, Pair] = field(init=False, repr=False, compare=False)
    _steps: tuple[Pair, Pair, Pair] = field(init=False, repr=False, compare=False)
    _size: float = field(init=False, repr=False, compare=False)
    _still: tuple[float, ...] = field(init=False, repr=False, compare=False)
    _knots: tuple[float, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        places = [at.floats() for at in self.control]
        if len(places) not in (3, 4):
            raise ValueError(
                f"a Bézier curve has 3 or 4 control places, its ends among them, not {len(places)}"
            )
        if not all(math.isfinite(c) for at in places for c in at):
            raise ValueError("a control place of a Bézier curve is not finite")
        if len(places) == 3:
            # The same curve as a cubic: its inner places lie 2/3 of the way to the one.
            a, b, c = places
            places = [a, _mix(a, b, 2.0 / 3.0), _mix(c, b, 2.0 / 3.0), c]
        a, b, c, d = places
        steps = (_less(b, a), _less(c, b), _less(d, c))
        size = max(math.hypot(*step) for step in steps)
        if size <= ROUNDING_MM:
            raise ValueError("a Bézier curve whose control places are one place has no extent")
        # The one moment at which the frozen curve is still being made.
        object.__setattr__(self, "_places", (a, b, c, d))
        object.__setattr__(self, "_steps", steps)
        object.__setattr__(self, "_size", size)
        still, knots = self._found()
        object.__setattr__(self, "_still", still)
        object.__setattr__(self, "_knots", knots)

    @property
    def closed(self) -> bool:
        """False: where the ends are one place, the curve has a corner there."""
        return False

    @property
    def knots(self) -> tuple[float, ...]:
        """0, the inflections and cusps in order, and 1."""
        return self._knots

    @property
    def cusps(self) -> tuple[float, ...]:
        """The parameters at which the curve stands still, its ends included."""
        return self._still

    def at(self, parameter: float) -> Pair:
        """The place at a parameter between 0 and 1."""
        t, s = parameter, 1.0 - parameter
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self._places
        fa, fb, fc, fd = s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t
        return fa * ax + fb * bx + fc * cx + fd * dx, fa * ay + fb * by + fc * cy + fd * dy

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        """The unit direction just after a parameter (`onward`), or just before it."""
        hx, hy = self._hodograph(parameter)
        length = math.hypot(hx, hy)
        if length > _NOTHING * self._size and parameter not in self._still:
            return hx / length, hy / length
        # Where it stands still the curve leaves along its second derivative and
        # comes against it; where that is nothing too, both go along the third.
        hx, hy = self._slope(parameter)
        length = math.hypot(hx, hy)
        if length > _STILL_AT_AN_END * self._size:
            sign = 1.0 if onward else -1.0
            return sign * hx / length, sign * hy / length
        d0, d1, d2 = self._steps
        hx, hy = d0[0] - 2.0 * d1[0] + d2[0], d0[1] - 2.0 * d1[1] + d2[1]
        length = math.hypot(hx, hy)
        return hx / length, hy / length

    def _hodograph(self, t: float) -> Pair:
        s = 1.0 - t
        d0, d1, d2 = self._steps
        fa, fb, fc = s * s, 2.0 * s * t, t * t
        return (
            fa * d0[0] + fb * d1[0] + fc * d2[0],
            fa * d0[1] + fb * d1[1] + fc * d2[1],
        )

    def _slope(self, t: float) -> Pair:
        """Half the derivative of the hodograph."""
        s = 1.0 - t
        d0, d1, d2 = self._steps
        return (
            s * (d1[0] - d0[0]) + t * (d2[0] - d1[0]),
            s * (d1[1] - d0[1]) + t * (d2[1] - d1[1]),
        )

    def _found(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Where the curve stands still, and its knots."""
        d0, d1, d2 = self._steps
        c01, c02, c12 = _cross(d0, d1), _cross(d0, d2), _cross(d1, d2)
        size = self._size
        still = [
            end
            for end, step in ((0.0, d0), (1.0, d2))
            if math.hypot(*step) <= _STILL_AT_AN_END * size
        ]
        if max(abs(c01), abs(c02), abs(c12)) <= ROUNDING_MM * size:
            # A straight curve turns back where it stands still.
            ux, uy = max(self._steps, key=lambda step: math.hypot(*step))
            flat = [d[0] * ux + d[1] * uy for d in (d0, d1, d2)]
            inner = _roots(flat[0], 2.0 * flat[1], flat[2])
            still += inner
        else:
            inner = _roots(c01, c02, c12)
            # A double root, which rounding may have pulled apart or made none.
            below = 2.0 * (c01 - c02 + c12)
            middle = math.inf if below == 0.0 else (2.0 * c01 - c02) / below
            if (
                _SAME_KNOT < middle < 1.0 - _SAME_KNOT
                and math.hypot(*self._hodograph(middle)) <= _STILL * size
            ):
                inner = [middle]
                still.append(middle)
        knots = [0.0]
        for knot in sorted(inner):
            if knot - knots[-1] > _SAME_KNOT and 1.0 - knot > _SAME_KNOT:
                knots.append(knot)
        return tuple(still), (*knots, 1.0)


def _roots(a: float, b: float, c: float) -> list[float]:
    """The roots between 0 and 1 of a (1 - t)² + b t (1 - t) + c t², without its ends."""
    square, linear = a - b + c, b - 2.0 * a
    scale = max(abs(a), abs(b), abs(c))
    if abs(square) <= _NOTHING * scale:
        found = [] if abs(linear) <= _NOTHING * scale else [-a / linear]
    else:
        rest = linear * linear - 4.0 * square * a
        if rest < 0.0:
            return []
        # The sum with one sign, so that no digits are lost.
        half = -(linear + math.copysign(math.sqrt(rest), linear)) / 2.0
        found = [half / square] + ([a / half] if half else [])
    return [t for t in found if _SAME_KNOT < t < 1.0 - _SAME_KNOT]


def _less(one: Pair, other: Pair) -> Pair:
    return one[0] - other[0], one[1] - other[1]


def _mix(one: Pair, other: Pair, share: float) -> Pair:
    return one[0] + (other[0] - one[0]) * share, one[1] + (other[1] - one[1]) * share


def _cross(one: Pair, other: Pair) -> float:
    return one[0] * other[1] - one[1] * other[0]
