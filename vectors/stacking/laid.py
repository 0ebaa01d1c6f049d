"""This module carries shapes between the flat paper of a panel and the plane of the closed card."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely

from ..folding.motion import Motion
from ..geometry import Point
from .paper import Floats


def laid(shape: Any, placed: Motion) -> Any:
    """A shapely shape on the flat paper, where a panel that lies level takes it."""
    turn, shift = _plane(placed)
    return shapely.transform(shape, lambda at: at @ turn.T + shift)


def lifted(shape: Any, placed: Motion) -> Any:
    """The shape on the flat paper of a level panel that lies over a shape of the closed card."""
    turn, shift = _plane(placed)
    return shapely.transform(shape, lambda at: (at - shift) @ turn)


def lifted_place(at: Point, placed: Motion) -> Point:
    """The place on the flat paper of a level panel that lies over a place of the closed card."""
    turn, shift = _plane(placed)
    x, y = ((np.array(at.floats()) - shift) @ turn).tolist()
    return Point(x, y)


def lifted_way(along: Floats, placed: Motion) -> Floats:
    """A direction of the closed card as it runs on the flat paper of a level panel."""
    turn, _ = _plane(placed)
    return np.asarray(along @ turn)


def _plane(placed: Motion) -> tuple[Floats, Floats]:
    """What a motion does to a level panel, seen from above: a matrix and a shift."""
    return (
        np.array([row[:2] for row in placed.rows[:2]], dtype=float),
        np.array(placed.shift[:2], dtype=float),
    )
