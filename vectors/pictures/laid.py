"""This module tells which panels lie on one another in a pose as they do in the closed card.

Which ply goes over which is worked out for the closed card alone.  Where two panels that
overlap there have the same place towards each other in another pose, such as the glued flaps
of an envelope that is open, their order is the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from ..design.pieces import Face
from ..folding import PanelKey
from ..folding.motion import Motion
from ..measures.exact import MEETS_MM, ROUNDING_DEG
from ..proving.model import ClosedStack
from ..stacking.order import PlyOrder
from .camera import Floats
from .scene import Laid


def laid_in(
    placed: Mapping[PanelKey, Motion], closed: Mapping[PanelKey, Motion], stack: ClosedStack
) -> Iterator[Laid]:
    """The pairs of panels that lie in a pose as in the closed card, whose stack has an order.

    `placed` and `closed` are where the panels are in the pose and in the closed card.
    """
    order = stack.order
    if not isinstance(order, PlyOrder):
        return
    keys = [key for key in stack.cover.footprints if key in placed and key in closed]
    moved = {key: _matrix(placed[key]) @ np.linalg.inv(_matrix(closed[key])) for key in keys}
    for first, second in order.above:
        if first in moved and second in moved and _same(moved[first], moved[second]):
            upper, lower = (second, first) if order.is_above(second, first) else (first, second)
            up = stack.cover.footprints[lower].face_up
            yield Laid(upper=upper, lower=lower, face=Face.FRONT if up else Face.BACK)


def _matrix(motion: Motion) -> Floats:
    found = np.eye(4)
    found[:3, :3], found[:3, 3] = motion.rows, motion.shift
    return found


def _same(one: Floats, other: Floats) -> bool:
    """Whether two motions are one, as near as panels meet."""
    turns = np.abs(one[:3, :3] - other[:3, :3]).max() <= np.radians(ROUNDING_DEG)
    return bool(turns and np.abs(one[:3, 3] - other[:3, 3]).max() <= MEETS_MM)
