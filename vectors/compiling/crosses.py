"""This module says where the three crosses stand by which a sheet is laid again, turned over.

No two pairs of them are equally far apart, so they match in one way only, turned or
mirrored.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

from ..geometry import union_box
from .faces import Box

# Half the length of each line of a cross, and how far its middle lies outside the
# piece, in mm.
ARM_MM = 2.0
CLEAR_MM = 6.0

# How far apart two crosses lie, as a share of the longer side of the piece, and
# what is the least for small pieces, in mm.
SHARE = 0.8
LEAST_MM = 9.0


# By how much any two of their distances differ at least, in mm: more than half a line
# of a cross is told apart at once.
DIFFER_MM = 1.5

Places = tuple[tuple[float, float], ...]


def crosses_beside(box: Box, kerf: float) -> Places:
    """The middles of the crosses for a piece that has this box.

    Two stand along its longer side, at its left or above it, the third near its other
    end, at its right; none stands below, where bars of known length may be.
    """
    left, bottom, right, top = box
    apart = max(SHARE * max(right - left, top - bottom), LEAST_MM)
    # Beside a small piece the third may come as near to one of them as they are to each
    # other: then these two stand farther apart.
    while not _differ(found := _placed(box, kerf, apart)):
        apart += DIFFER_MM
    return found


def _placed(box: Box, kerf: float, apart: float) -> Places:
    """The middles with the first two so far apart, in mm."""
    left, bottom, right, top = box
    out = CLEAR_MM + kerf / 2.0
    foot = bottom + ARM_MM
    if top - bottom >= right - left:
        last = (right + out, max(foot, top - ARM_MM))
        return (left - out, foot), (left - out, foot + apart), last
    start = left + ARM_MM
    return (start, top + out), (start + apart, top + out), (right + out, foot)


def _differ(places: Places) -> bool:
    """Whether all distances between places differ."""
    apart = sorted(math.dist(one, other) for one, other in combinations(places, 2))
    return all(second - first >= DIFFER_MM for first, second in pairwise(apart))


def with_crosses(box: Box, kerf: float) -> Box:
    """The box of a piece and its crosses together."""
    return union_box(
        (
            box,
            *(
                (x - ARM_MM, y - ARM_MM, x + ARM_MM, y + ARM_MM)
                for x, y in crosses_beside(box, kerf)
            ),
        )
    )
