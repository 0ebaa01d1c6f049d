"""This module hatches the back of the paper with lines that lie in it, so that they tell its slant.

The lines run at 45 degrees to the piece's edges, one spacing over the whole piece.
Where a panel is seen so slantwise that they would run together every second one
is left out, or three of four, and so on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from ..design.pieces import Face
from .camera import Camera, Floats
from .clipping import within_rings
from .courses import Course
from .facets import Facet, in_space

# From line to line at the middle of the card, and the least there may be on the
# page of a panel that is seen slantwise; in mm of the page.
_SPACING, _LEAST = 1.5, 0.9
# At most so many halvings: what is left then is seen all but edge on.
_MOST_HALVINGS = 6

_ROOT = math.sqrt(0.5)


def hatching_of(facets: Mapping[int, Facet], camera: Camera, size: float) -> list[Course]:
    """The lines on every panel whose back is seen; `size` is page mm a mm at the card's middle."""
    spacing = _SPACING / size
    return [
        course
        for number, facet in facets.items()
        if facet.face is Face.BACK
        for course in _lines(number, facet, camera, spacing)
    ]


def _lines(number: int, facet: Facet, camera: Camera, spacing: float) -> list[Course]:
    ring = facet.flat[0]
    spacing *= 2 ** _halvings(facet, camera, spacing)
    # Along the lines, and across them.
    along = (ring[:, 0] + ring[:, 1]) * _ROOT
    across = (ring[:, 1] - ring[:, 0]) * _ROOT
    low, high = float(along.min()) - 1.0, float(along.max()) + 1.0
    found = []
    first, last = math.ceil(across.min() / spacing), math.floor(across.max() / spacing)
    for step in range(first, last + 1):
        start, end = (_back(at, step * spacing) for at in (low, high))
        for a, b in within_rings(facet.flat, start, end):
            ends = np.stack((start + (end - start) * a, start + (end - start) * b))
            found.append(Course(places=in_space(ends, facet.motion), owners=(number,)))
    return found


def _back(along: float, across: float) -> Floats:
    return np.array([(along - across) * _ROOT, (along + across) * _ROOT])


def _halvings(facet: Facet, camera: Camera, spacing: float) -> int:
    """How often every second line is left out so that they stay apart on the page."""
    steps = np.array([(0.0, 0.0), (_ROOT, _ROOT), (-_ROOT, _ROOT)])
    corners = facet.flat[0].mean(axis=0) + steps
    spots, _ = camera.page(in_space(corners, facet.motion))
    along, across = spots[1] - spots[0], spots[2] - spots[0]
    length = math.hypot(*along)
    if length == 0.0:
        return _MOST_HALVINGS
    apart = abs(float(along[0] * across[1] - along[1] * across[0])) / length * spacing
    if apart <= 0.0:
        return _MOST_HALVINGS
    return min(max(0, math.ceil(math.log2(_LEAST / apart))), _MOST_HALVINGS)
