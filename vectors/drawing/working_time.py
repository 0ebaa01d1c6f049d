"""This module estimates how long a machine works on strokes, from its speeds."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import pairwise

from .drawing import Layer, Stroke


def working_time(
    strokes: Sequence[Stroke], speeds: Mapping[Layer, float], travel: float | None
) -> float | None:
    """The seconds for these strokes in their order, None where a speed that they need is missing.

    Each stroke runs at the speed of its layer, and from the end of one to the
    start of the next it goes straight at the speed `travel`, all in mm/s.  What a
    machine takes to speed up, lift and lower its tool is not in it.
    """
    if not all(stroke.layer in speeds for stroke in strokes):
        return None
    worked = math.fsum(stroke.path.length / speeds[stroke.layer] for stroke in strokes)
    moved = math.fsum(
        before.path.end.distance(after.path.start) for before, after in pairwise(strokes)
    )
    if moved == 0.0:
        return worked
    return None if travel is None else worked + moved / travel
