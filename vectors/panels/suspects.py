"""This module finds where the lines of a piece of many may have problems, on columns of numbers.

What it finds is judged by the same code as that of a piece of few lines; it leaves out
what cannot be a problem, and so looks at nodes more closely than `checks` has to.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from .checks import Suspects
from .columns import NUMBER_OF
from .curves import Kind
from .half_edges import Survey

Mask = npt.NDArray[np.bool_]


def paper_beside(found: Survey) -> tuple[Mask, Mask]:
    """Whether there is paper to the left of each half-edge, and in each face."""
    net = found.net
    opening = net.columns.kind[net.curve[found.edges]] == NUMBER_OF[Kind.OPENING]
    # One more, for what lies in no face; -1 is its place from the end.
    paper = np.ones(len(found.outer) + 1, dtype=np.bool_)
    paper[found.face[0::2][opening]] = False
    paper[-1] = False
    return paper[found.face], paper[:-1]


def suspects_of(found: Survey) -> Suspects:
    """Every place in a survey that is to be judged."""
    beside, _ = paper_beside(found)
    left, right = beside[0::2], beside[1::2]
    degree = np.diff(found.begin)
    ends = np.flatnonzero(degree == 1)
    ends = ends[beside[found.order[found.begin[ends]]]]
    same = found.face[0::2] == found.face[1::2]
    return Suspects(
        crowded=_crowded(found, degree).tolist(),
        ends=ends.tolist(),
        bare=np.flatnonzero(~left & ~right).tolist(),
        idle=np.flatnonzero(same & left).tolist(),
    )


def _crowded(found: Survey, degree: np.ndarray) -> np.ndarray:
    """The nodes where a line may run across another, or rims may meet.

    Something runs on through such a node with a rim, or for a fold a slit, on both
    sides of it; or else three ends of rims come together.
    """
    columns = found.net.columns
    curve = np.repeat(found.net.curve[found.edges], 2)
    kind = columns.kind[curve]
    rims = (kind == NUMBER_OF[Kind.OUTLINE]) | (kind == NUMBER_OF[Kind.OPENING])
    slits = kind == NUMBER_OF[Kind.SLIT]
    rim_count = np.bincount(found.tail, rims, minlength=len(degree))
    slit_count = np.bincount(found.tail, slits, minlength=len(degree))
    edged = (degree > 2) & (rim_count >= 2)
    slit = (degree > 2) & (slit_count >= 2)
    # The lines that have two ends at such a node.
    looked_at = np.flatnonzero(((edged | slit)[found.tail]) & ~rims)
    rows = np.stack(
        (found.tail[looked_at], kind[looked_at], columns.index[curve[looked_at]]), axis=1
    )
    rows = rows[np.lexsort(rows.T)]
    twice = rows[1:][(rows[1:] == rows[:-1]).all(axis=1)]
    across = np.zeros(len(degree), dtype=np.bool_)
    across[twice[edged[twice[:, 0]], 0]] = True
    across[twice[slit[twice[:, 0]] & (twice[:, 1] != NUMBER_OF[Kind.SLIT]), 0]] = True
    return np.flatnonzero(across | (edged & (rim_count >= 3)))
