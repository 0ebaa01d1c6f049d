"""This module shares out the length that folds take up, so that the sheet stays one sheet.

A fold that wraps plies wants its two panels so much farther apart.  Each panel is given one
displacement, so both sides of every slit, and all ways round a vertex or an opening, get the
same length by themselves.  What cannot be granted to all is shared out by least squares.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..folding.placing import largest_panel
from ..folding.skeleton import HingeKey
from ..measures.exact import ROUNDING_MM
from ..panels import Division
from .heights import Wrap
from .least_squares import least_squares
from .paper import Floats, Ints


def wants_of(
    division: Division, wraps: Mapping[HingeKey, Wrap], allowance_mm: float, caliper_mm: float
) -> Floats:
    """How far apart each hinge wants its panels, [h, 2] in mm, from its left to its right one.

    `allowance_mm` is the length that a fold takes up for each ply of `caliper_mm` that it wraps.
    """
    wants = np.zeros((len(division.hinges), 2))
    for hinge in division.hinges:
        wrap = wraps.get((division.piece.name, hinge.index))
        if wrap is not None:
            (x0, y0), (x1, y1) = hinge.start.floats(), hinge.end.floats()
            across = np.array([y1 - y0, x0 - x1]) / np.hypot(x1 - x0, y1 - y0)
            wants[hinge.index] = across * (allowance_mm * wrap.length_mm / caliper_mm)
    return wants


def displacements(division: Division, wants: Floats) -> Floats:
    """Where each panel is put in the sheet, [n, 2] in mm from its designed place.

    The sum over the hinges of the squares of what they lack or have too much is the least
    there is; the largest panel stays.  Without loops every want is met.
    """
    ends = hinge_panels(division)
    count = len(division.panels)
    rows = np.repeat(np.arange(len(ends)), 2)
    weights = np.tile([-1.0, 1.0], len(ends))
    found = least_squares(rows, ends.ravel(), weights, wants, count)
    found = np.asarray(found - found[largest_panel(division).index])
    found[np.abs(found) <= ROUNDING_MM] = 0.0
    return found


def granted(division: Division, moves: Floats) -> Floats:
    """How much farther apart the two panels of each hinge are, [h, 2], for moved panels [n, 2]."""
    ends = hinge_panels(division)
    return np.asarray(moves[ends[:, 1]] - moves[ends[:, 0]])


def hinge_panels(division: Division) -> Ints:
    """The left and the right panel of each hinge, [h, 2]."""
    pairs = [(hinge.left, hinge.right) for hinge in division.hinges]
    return np.array(pairs, dtype=np.intp).reshape(-1, 2)
