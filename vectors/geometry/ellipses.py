"""This module holds ellipses and arcs of them, by centre, half-axes and the angle of the first."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..measures.exact import ROUNDING_MM
from .fitting import Pair
from .points import Point

_QUARTER = math.pi / 2.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Ellipse:
    """The places centre + rx cos(t) u + ry sin(t) v: t from `start` on through `sweep`.

    `u` is the unit direction at the angle `turned`, v a quarter turn to its left.  All
    angles are in radians; t is the parameter of the textbooks (the eccentric
    angle), not the angle under which a place is seen.  A sweep of a full turn either way
    closes the curve.  Raises ValueError for half-axes that are not positive, a sweep
    of nothing or of more than a full turn, and anything that is not finite.
    """

    centre: Point
    rx: float
    ry: float
    turned: float = 0.0
    start: float = 0.0
    sweep: float = 2.0 * math.pi

    def __post_init__(self) -> None:
        numbers = (*self.centre.floats(), self.rx, self.ry, self.turned, self.start, self.sweep)
        if not all(math.isfinite(number) for number in numbers):
            raise ValueError("a number of an ellipse is not finite")
        if min(self.rx, self.ry) <= ROUNDING_MM:
            raise ValueError("an ellipse whose half-axes are not above 0 has no extent")
        if self.sweep == 0.0:
            raise ValueError("an elliptical arc of no sweep has no extent")
        if abs(self.sweep) > 2.0 * math.pi + 1e-12:
            raise ValueError("an ellipse runs round once, not more")

    @property
    def closed(self) -> bool:
        """Whether it runs all the way round."""
        return abs(self.sweep) >= 2.0 * math.pi - 1e-12

    @property
    def knots(self) -> tuple[float, ...]:
        """0, where it passes its axes, and 1, in shares of the sweep."""
        return quarters(self.start, self.sweep)

    def at(self, parameter: float) -> Pair:
        """The place at a share of the sweep."""
        if self.closed and parameter == 1.0:
            parameter = 0.0
        angle = self.start + self.sweep * parameter
        along, aside = float(self.rx) * math.cos(angle), float(self.ry) * math.sin(angle)
        cos, sin = math.cos(self.turned), math.sin(self.turned)
        x, y = self.centre.floats()
        return x + along * cos - aside * sin, y + along * sin + aside * cos

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        """The unit direction of travel at a share of the sweep."""
        angle = self.start + self.sweep * parameter
        sign = math.copysign(1.0, self.sweep)
        along = -sign * float(self.rx) * math.sin(angle)
        aside = sign * float(self.ry) * math.cos(angle)
        length = math.hypot(along, aside)
        along, aside = along / length, aside / length
        cos, sin = math.cos(self.turned), math.sin(self.turned)
        return along * cos - aside * sin, along * sin + aside * cos


def quarters(start: float, sweep: float) -> tuple[float, ...]:
    """0 and 1, and between them the shares of a sweep at which it passes quarter turns."""
    low, high = sorted((start / _QUARTER, (start + sweep) / _QUARTER))
    passed = range(math.ceil(low - 1e-9), 1 + math.floor(high + 1e-9))
    shares = sorted((quarter * _QUARTER - start) / sweep for quarter in passed)
    return (0.0, *(share for share in shares if 1e-9 < share < 1.0 - 1e-9), 1.0)
