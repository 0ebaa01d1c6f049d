"""This module holds places and displacements: two types, since two places cannot be added.

x points right, y up, anticlockwise is positive, the unit is the millimetre.
Coordinates are fractions or floats; arithmetic keeps fractions exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from ..measures.exact import Number, exact_sqrt, is_exact
from ..problems.problem import spot


@dataclass(frozen=True, slots=True)
class Vector:
    """A displacement, in mm."""

    x: Number
    y: Number

    def __add__(self, other: Vector) -> Vector:
        return Vector(self.x + other.x, self.y + other.y)

    def __sub__(self, other: Vector) -> Vector:
        return Vector(self.x - other.x, self.y - other.y)

    def __neg__(self) -> Vector:
        return Vector(-self.x, -self.y)

    def __mul__(self, factor: Number | int) -> Vector:
        return Vector(self.x * factor, self.y * factor)

    __rmul__ = __mul__

    def __truediv__(self, divisor: Number | int) -> Vector:
        if isinstance(divisor, int):
            divisor = Fraction(divisor)
        return Vector(self.x / divisor, self.y / divisor)

    def dot(self, other: Vector) -> Number:
        """The inner product, in mm²."""
        return self.x * other.x + self.y * other.y

    def cross(self, other: Vector) -> Number:
        """The outer product, in mm²: positive when `other` points to the left of this one."""
        return self.x * other.y - self.y * other.x

    @property
    def left(self) -> Vector:
        """The displacement turned a quarter turn to the left (anticlockwise)."""
        return Vector(-self.y, self.x)

    @property
    def right(self) -> Vector:
        """The displacement turned a quarter turn to the right (clockwise)."""
        return Vector(self.y, -self.x)

    @property
    def length(self) -> Number:
        """The length in mm, exact where it is rational."""
        if is_exact(self.x, self.y):
            return exact_sqrt(self.x * self.x + self.y * self.y)
        return math.hypot(self.x, self.y)

    @property
    def angle(self) -> float:
        """The direction in degrees, in (-180, 180], anticlockwise from the x axis."""
        return math.degrees(math.atan2(self.y, self.x))

    def unit(self) -> Vector:
        """The displacement of length 1 in the same direction; ZeroDivisionError for none."""
        return self / self.length


@dataclass(frozen=True, slots=True)
class Point:
    """A place, in mm from the lower left corner of the piece, front to the viewer."""

    x: Number
    y: Number

    def __add__(self, by: Vector) -> Point:
        return Point(self.x + by.x, self.y + by.y)

    def __sub__(self, other: Point) -> Vector:
        return Vector(self.x - other.x, self.y - other.y)

    def distance(self, other: Point) -> float:
        """The distance to `other` in mm, as a float."""
        return math.hypot(float(self.x - other.x), float(self.y - other.y))

    def between(self, other: Point, share: Number) -> Point:
        """The place at `share` (0 to 1) of the way to `other`."""
        return self + (other - self) * share

    @property
    def exact(self) -> bool:
        """Whether both coordinates are fractions."""
        return is_exact(self.x, self.y)

    def floats(self) -> tuple[float, float]:
        """The coordinates as plain floats, in mm."""
        x, y = self.x, self.y
        # Asked for most of all; a fraction's own conversion comes to the same, four calls later.
        return (
            x.numerator / x.denominator if type(x) is Fraction else float(x),
            y.numerator / y.denominator if type(y) is Fraction else float(y),
        )

    def rounded(self) -> Point:
        """The same place with float coordinates."""
        return Point(float(self.x), float(self.y))

    def told(self) -> str:
        """The place as a message names it, `(32, 50.5) mm`, to a thousandth of a millimetre."""
        return spot(*self.floats())


def point(x: Number | int, y: Number | int) -> Point:
    """A place; whole numbers become fractions."""
    return Point(Fraction(x) if isinstance(x, int) else x, Fraction(y) if isinstance(y, int) else y)
