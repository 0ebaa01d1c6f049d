"""This module holds rigid motions in space, for folds turned by other than 0 or 180 degrees.

The flat paper lies in the plane z = 0 with its front towards +z.  A motion is a
rotation matrix, three rows of three, and a displacement in mm, in floats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..geometry import Point, Segment
from .isometry import Isometry

Row = tuple[float, float, float]
Place3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Motion:
    """The map x -> rows · x + shift."""

    rows: tuple[Row, Row, Row]
    shift: Place3

    def __matmul__(self, other: Motion) -> Motion:
        """The motion that does `other` first and this one after it."""
        # Written out, for every panel of every pose is placed by it.
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        (r, s, t), (u, v, w), (x, y, z) = other.rows
        return Motion(
            (
                (a * r + b * u + c * x, a * s + b * v + c * y, a * t + b * w + c * z),
                (d * r + e * u + f * x, d * s + e * v + f * y, d * t + e * w + f * z),
                (g * r + h * u + i * x, g * s + h * v + i * y, g * t + h * w + i * z),
            ),
            self.apply3(other.shift),
        )

    def apply3(self, at: Place3) -> Place3:
        """Where a place in space goes."""
        (a, b, c), (d, e, f), (g, h, i) = self.rows
        x, y, z = at
        right, up, front = self.shift
        return (
            a * x + b * y + c * z + right,
            d * x + e * y + f * z + up,
            g * x + h * y + i * z + front,
        )

    def apply(self, at: Point) -> Place3:
        """Where a place on the flat paper goes."""
        x, y = at.floats()
        return self.apply3((x, y, 0.0))

    @property
    def turn_deg(self) -> float:
        """The angle of the rotation, in [0, 180] degrees."""
        (_, r01, r02), (r10, _, r12), (r20, r21, _) = self.rows
        trace = self.rows[0][0] + self.rows[1][1] + self.rows[2][2]
        # The sine from the skew part keeps small angles exact, where the cosine
        # alone would lose half the digits.
        sine = math.hypot(r21 - r12, r02 - r20, r10 - r01)
        return math.degrees(math.atan2(sine, trace - 1.0))


STILL = Motion(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), (0.0, 0.0, 0.0))


@dataclass(frozen=True, slots=True)
class Axis:
    """A line of the flat paper to turn about: its direction, of length 1, and a place on it."""

    ux: float
    uy: float
    x: float
    y: float


def axis_along(line: Segment) -> Axis:
    """The axis from the start of a line to its end, which must not be the same place."""
    (x0, y0), (x1, y1) = line.start.floats(), line.end.floats()
    length = math.hypot(x1 - x0, y1 - y0)
    return Axis((x1 - x0) / length, (y1 - y0) / length, x0, y0)


def rotation(line: Segment, degrees: float) -> Motion:
    """The rotation about a line of the flat paper, right-handed about its direction."""
    return turned_about(axis_along(line), degrees)


def turned_about(axis: Axis, degrees: float) -> Motion:
    """The rotation about an axis, right-handed about its direction.

    The rotation formula of Rodrigues for an axis without a z component; half and
    quarter turns are given their exact sines and cosines.
    """
    ux, uy, x, y = axis.ux, axis.uy, axis.x, axis.y
    cos, sin = _cos_sin(degrees)
    rest = 1.0 - cos
    xx, xy, yy = cos + ux * ux * rest, ux * uy * rest, cos + uy * uy * rest
    return Motion(
        ((xx, xy, uy * sin), (xy, yy, -ux * sin), (-uy * sin, ux * sin, cos)),
        (x - (xx * x + xy * y), y - (xy * x + yy * y), uy * sin * x - ux * sin * y),
    )


def _cos_sin(degrees: float) -> tuple[float, float]:
    quarters, rest = divmod(degrees, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def in_space(plane: Isometry) -> Motion:
    """The motion in space that moves the flat paper as an isometry of the plane does.

    One that flips the paper turns it over, so that its front looks down.
    """
    z = -1.0 if plane.flips else 1.0
    return Motion(
        (
            (float(plane.a), float(plane.b), 0.0),
            (float(plane.c), float(plane.d), 0.0),
            (0.0, 0.0, z),
        ),
        (float(plane.tx), float(plane.ty), 0.0),
    )


def apart(a: Place3, b: Place3) -> float:
    """The distance between two places in space, in mm."""
    return math.dist(a, b)
