"""This module finds where the panels of a moved piece lie, from its lines alone.

Each panel is taken to have its designed shape and size, and each fold to lie midway between its
panels: what is then left between two panels is the sheet that their fold has to go round.
"""

from __future__ import annotations

import numpy as np

from ..measures.exact import MEETS_MM
from ..panels import Division
from ..panels.displaced import Displaced, NotTheSame, Shares, shares_of
from .least_squares import least_squares
from .paper import Floats


def moves_between(before: Division, after: Displaced) -> Floats:
    """How far each panel of a piece was moved, [n, 2] in mm, told by the corners of both pieces.

    Raises NotTheSame where panels that keep their shape do not explain the moved lines.
    """
    here, there = shares_of(before), shares_of(after.division)
    by = _moved(here, there, after.panel_of)
    moves = least_squares(here.rows, here.columns, here.weights, by, len(before.panels))
    if np.abs(here.of_panels(moves) - by).max(initial=0.0) > MEETS_MM:
        raise NotTheSame("a panel would change its shape")
    return moves


def _moved(here: Shares, there: Shares, panel_of: tuple[int, ...]) -> Floats:
    """How far each node was moved, [m, 2]."""
    by = np.zeros((len(here.x), 2))
    for rings, number in zip(here.rings, panel_of, strict=True):
        others = there.rings[number]
        if sorted(map(len, rings)) != sorted(map(len, others)):
            raise NotTheSame("the corners of a panel would change")
        for ring in rings:
            nodes = np.array(ring, dtype=np.intp)
            at = np.stack((here.x[nodes], here.y[nodes]), axis=1)
            candidates = [_nearest(at, other, there) for other in others if len(other) == len(ring)]
            _, best = min(candidates, key=lambda one: one[0])
            by[nodes] = best - at
    return by


def _nearest(at: Floats, ring: tuple[int, ...], there: Shares) -> tuple[float, Floats]:
    """A boundary run from the corner with which it lies nearest to another one, and how near."""
    nodes = np.array(ring, dtype=np.intp)
    places = np.stack((there.x[nodes], there.y[nodes]), axis=1)
    # The corner that comes nearest to the first one leads, unless a later one fits better.
    first = np.argsort(np.hypot(*(places - at[0]).T), kind="stable")[:8]
    turned = [np.roll(places, -int(start), axis=0) for start in first]
    far = [float(((one - at) ** 2).sum()) for one in turned]
    best = int(np.argmin(far))
    return far[best], turned[best]
