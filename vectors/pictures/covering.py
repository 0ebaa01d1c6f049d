"""This module finds panels of which nothing is seen, so that nothing need be drawn of them.

In a closed card most panels lie under others.  A panel is covered where its
polygon on the page lies within that of one other panel that is nearer all over it.
What it hides that one hides too, so it need not be asked about either.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray

from ..measures.exact import MEETS_MM
from .camera import Floats
from .facets import Facet

# So many panels are held against all others, those that are largest on the page:
# these cover the most.
_MOST = 64

# Polygons that overhang by less than this on the page, in mm, lie within.
_OVERHANG = 1e-3


def covered_ones(
    facets: Sequence[Facet], plies: Sequence[int], normals: Floats, offsets: Floats
) -> NDArray[np.bool_]:
    """Whether each facet is covered by another one.

    `normals` [n, 3] and `offsets` [n] are the facets' planes, turned towards the eye.
    """
    polygons = np.array([shapely.Polygon(one.page[0], one.page[1:]) for one in facets])
    covered = np.zeros(len(facets), dtype=bool)
    areas = np.round(shapely.area(polygons), 3)
    flat = np.array([one.face is None for one in facets])
    corners = np.concatenate([one.space[0] for one in facets])
    counts = np.array([len(one.space[0]) for one in facets])
    firsts = np.cumsum(counts) - counts
    ply = np.array(plies)
    tried = 0
    for i in np.lexsort((ply, areas))[::-1]:
        if tried == _MOST:
            break
        if covered[i] or flat[i]:
            continue
        tried += 1
        roof = shapely.buffer(polygons[i], _OVERHANG, join_style="mitre")
        shapely.prepare(roof)
        before = (corners * normals[i]).sum(axis=1) - offsets[i]
        high, low = np.maximum.reduceat(before, firsts), np.minimum.reduceat(before, firsts)
        behind = (high <= MEETS_MM) & ((low < -MEETS_MM) | (ply < ply[i]))
        # What lies in the plane lies below by its ply, not by its place.
        asked = np.flatnonzero(behind & ~covered)
        covered[asked[shapely.covers(roof, polygons[asked])]] = True
    return covered
