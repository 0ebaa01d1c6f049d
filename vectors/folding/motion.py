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
        columns = tuple(zip(*other.rows, strict=True))
        rows = tuple(
            (_dot(row, columns[0]), _dot(row, columns[1]), _dot(row, columns[2]))
            for row in self.rows
        )
        return Motion((rows[0], rows[1], rows[2]), self.apply3(other.shift))

    def apply3(self, at: Place3) -> Place3:
        """Where a place in space goes."""
        return (
            _dot(self.rows[0], at) + self.shift[0],
            _dot(self.rows[1], at) + self.shift[1],
            _dot(self.rows[2], at) + self.shift[2],
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


def _dot(a: tuple[float, ...], b: tuple[float, ...]) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


STILL = Motion(((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), (0.0, 0.0, 0.0))


def rotation(line: Segment, degrees: float) -> Motion:
    """The rotation about a line of the flat paper, right-handed about its direction.

    The rotation formula of Rodrigues for an axis without a z component; half and
    quarter turns are given their exact sines and cosines.
    """
    (x0, y0), (x1, y1) = line.start.floats(), line.end.floats()
    length = math.hypot(x1 - x0, y1 - y0)
    ux, uy = (x1 - x0) / length, (y1 - y0) / length
    cos, sin = _cos_sin(degrees)
    rest = 1.0 - cos
    rows = (
        (cos + ux * ux * rest, ux * uy * rest, uy * sin),
        (ux * uy * rest, cos + uy * uy * rest, -ux * sin),
        (-uy * sin, ux * sin, cos),
    )
    about = Motion(rows, (0.0, 0.0, 0.0))
    moved = about.apply3((x0, y0, 0.0))
    return Motion(rows, (x0 - moved[0], y0 - moved[1], -moved[2]))


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
