"""This module names the numbers that lengths are made of, and every tolerance of the project.

A number is a `Fraction` as long as arithmetic allows and a float afterwards: one
that came out of a sine is a float, and so is everything reckoned from it.
"""

from __future__ import annotations

import math
from fractions import Fraction

Number = Fraction | float

# Lines that meet within this distance meet: one micrometre, far below what a
# cutter can place and far above the error of double precision at 10 m.
MEETS_MM = 1e-3

# Ends nearer than this are one place: a joint of two sides.  It is a hundredth of
# the last decimal that is written.
SAME_PLACE_MM = 1e-6

# A stretch of an offset that is nearer to its source than it should be by less than
# this is as near as it should be: sides that meet within `SAME_PLACE_MM` of an end are
# cut there, and what so is left of them lies no deeper.
KEEPS_OFF_MM = 2.0 * SAME_PLACE_MM

# What two ways of making one area differ by is nothing where it is no wider than
# this: the read-back of a file is held to it too.
AREAS_MM = 1e-3

# Rounding two lines to whole micrometres, the last decimal that is written, can part
# them by this many.
SNAPPED_UM = 2

# A stretch that two strokes share is longer than this many micrometres; ends that
# meet share none.
OVERLAP_UM = 3

# Areas, in mm², that differ by no more than this are equal: a sheet of half a metre
# each way has its own to a thousandth of that in double precision.
SAME_AREA_MM2 = 1e-6

# The width, in mm, that a cut which removes nothing counts as: lines that meet within
# it part the paper between them.
HAIR_MM = 2.0 * MEETS_MM

# A float that is this small against millimetres is nothing: rounding of double
# precision, not geometry.
ROUNDING_MM = 1e-9

# Directions, in radians, that differ by less than this are the same direction.
SAME_DIRECTION_RAD = 1e-9

# A turn of this many degrees left over round a loop is rounding, not a turn.
ROUNDING_DEG = 1e-7

# Loops that leave no more than this over, as a share of the size of the largest
# one, are closed in space as far as doubles can tell.
CLOSED_SHARE = 1e-10

# Angles, in radians, that differ by less than this are one pose's: half of the
# 1e-7 degrees to which a pose must not depend on how it was reached.
SAME_ANGLE_RAD = 5e-10

# Singular values under this share of the largest count as nothing, if what is
# kept stands over what is dropped by this factor.
DROPPED_SHARE = 1e-9
KEPT_OVER_DROPPED = 1e4

# A fold moves if it has more than this share in a motion of unit length.
MOVES_SHARE = 1e-6

# A fold turned by less than this many degrees against its sense is flat to the eye.
TURNED_DEG = 1e-3

# Lines of panels that lie on each other are cut at places of a grid this fine.
NODED_MM = 1e-6

# A region of the closed card that is narrower than this is no region: the chords of
# two arcs and two lines that count as meeting leave no more between them.
SLIVER_MM = 4.0 * MEETS_MM

# Tangent arcs that stand for another curve of a design leave it by no more, in mm: a
# tenth of what a hand or a cutter on paper can tell.
FITTED_MM = 0.01

# Tangent arcs that stand for an arc moved by an ellipse leave it by no more, in mm:
# half of what counts as meeting.
ACROSS_MM = 5e-4

# A length that a person reads off a caliper may be this far out, in mm: what comes
# out as less than nothing by no more than this is nothing.
READ_MM = 0.05

# A size bar of a sheet that came in at its true size is off by no more than this
# share, and one that is off by less than the second is as good as right.
FULL_SIZE_SHARE = 0.02
TRUE_SIZE_SHARE = 0.005

# Two bars of one sheet that differ by more than this share were not both read right.
SAME_SIZE_SHARE = 0.015

# Mats that can be laid on each other to within this, in mm, are cut as one size: a
# tenth of what a trimmer can tell.
SAME_SIZE_MM = 0.01

# The largest length a design may hold: anything longer is a slip of the pen.
LARGEST_MM = 10_000


def is_exact(*numbers: Number) -> bool:
    """Whether all of the numbers are fractions."""
    return all(isinstance(number, Fraction) for number in numbers)


def exact_sqrt(number: Number) -> Number:
    """The square root, a fraction where it is rational.

    Raises ValueError for a negative number.
    """
    if number < 0:
        raise ValueError("a negative number has no square root")
    if isinstance(number, Fraction):
        top, bottom = math.isqrt(number.numerator), math.isqrt(number.denominator)
        if top * top == number.numerator and bottom * bottom == number.denominator:
            return Fraction(top, bottom)
    return math.sqrt(number)
