"""This module says where the three crosses stand by which a sheet is laid again, turned over.

No two pairs of them are equally far apart, so they match in one way only, turned or
mirrored.
"""

from __future__ import annotations

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


def crosses_beside(box: Box, kerf: float) -> tuple[tuple[float, float], ...]:
    """The middles of the crosses for a piece that has this box.

    Two stand along its longer side, at its left or above it, the third near its other
    end, at its right; none stands below, where bars of known length may be.
    """
    left, bottom, right, top = box
    out = CLEAR_MM + kerf / 2.0
    foot = bottom + ARM_MM
    if top - bottom >= right - left:
        apart = max(SHARE * (top - bottom), LEAST_MM)
        last = (right + out, max(foot, top - ARM_MM))
        return (left - out, foot), (left - out, foot + apart), last
    start = left + ARM_MM
    apart = max(SHARE * (right - left), LEAST_MM)
    return (start, top + out), (start + apart, top + out), (right + out, foot)


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
