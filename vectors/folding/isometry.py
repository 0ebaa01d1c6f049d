"""This module holds the isometries of the plane that flat folding is made of.

A fold that is turned 180 degrees reflects the plane in its line.  A reflection in
a line with rational ends is rational, so products of them are exact and a loop
that closes is told from one that misses by a hair.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from ..geometry import Point, Segment, Vector
from ..measures.exact import Number, exact_sqrt, is_exact


@dataclass(frozen=True, slots=True)
class Isometry:
    """The map x -> (a x + b y + tx, c x + d y + ty), with (a b; c d) orthogonal; tx, ty in mm."""

    a: Number
    b: Number
    c: Number
    d: Number
    tx: Number
    ty: Number

    def __matmul__(self, other: Isometry) -> Isometry:
        """The map that does `other` first and this one after it."""
        if self.level and other.level:
            # Most folds run along x or y; fractions take their time.
            return Isometry(
                self.a * other.a,
                self.b,
                self.c,
                self.d * other.d,
                self.a * other.tx + self.tx,
                self.d * other.ty + self.ty,
            )
        return Isometry(
            self.a * other.a + self.b * other.c,
            self.a * other.b + self.b * other.d,
            self.c * other.a + self.d * other.c,
            self.c * other.b + self.d * other.d,
            self.a * other.tx + self.b * other.ty + self.tx,
            self.c * other.tx + self.d * other.ty + self.ty,
        )

    def apply(self, at: Point) -> Point:
        """Where a place goes."""
        if self.level:
            return Point(self.a * at.x + self.tx, self.d * at.y + self.ty)
        return Point(
            self.a * at.x + self.b * at.y + self.tx,
            self.c * at.x + self.d * at.y + self.ty,
        )

    def turn(self, by: Vector) -> Vector:
        """Where a displacement goes."""
        return Vector(self.a * by.x + self.b * by.y, self.c * by.x + self.d * by.y)

    @property
    def level(self) -> bool:
        """Whether the map keeps lines along x and along y so."""
        return not self.b and not self.c

    @property
    def flips(self) -> bool:
        """Whether the map turns the paper over."""
        return self.a * self.d - self.b * self.c < 0

    @property
    def turn_deg(self) -> float:
        """The angle in [0, 180] by which a map that does not flip turns the plane."""
        return abs(math.degrees(math.atan2(float(self.c - self.b), float(self.a + self.d))))

    @property
    def translation(self) -> Vector:
        """Where the origin goes."""
        return Vector(self.tx, self.ty)

    @property
    def inverse(self) -> Isometry:
        """The map that undoes this one."""
        # The inverse of an orthogonal matrix is its transpose.
        return Isometry(
            self.a,
            self.c,
            self.b,
            self.d,
            -(self.a * self.tx + self.c * self.ty),
            -(self.b * self.tx + self.d * self.ty),
        )

    @property
    def exact(self) -> bool:
        """Whether all six numbers are fractions."""
        return all(
            isinstance(number, Fraction)
            for number in (self.a, self.b, self.c, self.d, self.tx, self.ty)
        )


IDENTITY = Isometry(Fraction(1), Fraction(0), Fraction(0), Fraction(1), Fraction(0), Fraction(0))


def reflection(line: Segment) -> Isometry:
    """The reflection in the endless line through the ends of a straight segment.

    Exact where the ends are.  Raises ZeroDivisionError for a segment without
    length.
    """
    along = line.end - line.start
    if is_exact(along.x, along.y) and bool(along.x) is not bool(along.y):
        return _level_reflection(line.start, along)
    square = along.dot(along)
    # v' = 2 (v . u) u / (u . u) - v, about the segment's start.
    a = (along.x * along.x - along.y * along.y) / square
    b = 2 * along.x * along.y / square
    start = line.start
    return Isometry(
        a,
        b,
        b,
        -a,
        start.x - (a * start.x + b * start.y),
        start.y - (b * start.x - a * start.y),
    )


def _level_reflection(start: Point, along: Vector) -> Isometry:
    """The reflection in a line through a place along x or along y."""
    one, none = Fraction(1), Fraction(0)
    if along.x:
        return Isometry(one, none, none, -one, none, 2 * start.y)
    return Isometry(-one, none, none, one, 2 * start.x, none)


def laying(line: Segment, on: Segment, *, flipped: bool) -> Isometry:
    """The isometry that lays one segment on another, start on start, heading the same way.

    `flipped` turns the paper over on the way.  Exact where both segments are and
    have the same rational direction or lengths that divide to a rational.
    """
    along, target = line.end - line.start, on.end - on.start
    # cos and sin of the turn from the one direction to the other; the scale, the
    # product of the lengths, is rational where it can be.
    scale_square = along.dot(along) * target.dot(target)
    scale = exact_sqrt(scale_square)
    if flipped:
        # Mirror in the x axis first, then turn.
        along = Vector(along.x, -along.y)
    cos, sin = along.dot(target) / scale, along.cross(target) / scale
    if flipped:
        a, b, c, d = cos, sin, sin, -cos
    else:
        a, b, c, d = cos, -sin, sin, cos
    start = line.start
    return Isometry(
        a,
        b,
        c,
        d,
        on.start.x - (a * start.x + b * start.y),
        on.start.y - (c * start.x + d * start.y),
    )
