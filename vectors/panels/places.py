"""This module tells which of many places are the same: those within a micrometre of each other.

It gives what the nodes of `noding` are, numbered in the same order.  Only where places
crowd, so that which one comes first decides, are they taken one by one.
"""

from __future__ import annotations

import numpy as np

from ..geometry import Point
from ..geometry.box_pairs import Floats, Indices
from ..measures.exact import MEETS_MM
from .noding import Nodes

# Two places within a micrometre share a cell of at least one of four grids that
# are shifted against each other, if cells are more than twice as wide.
_CELL_MM = 2.5 * MEETS_MM


def same_places(x: Floats, y: Floats) -> Indices:
    """A number for each place, the same only where both coordinates are the same."""
    # Any two numbers mixed; where different places come to one, they are told apart below.
    mixed = _mixed((x + 0.0).view(np.uint64), (y + 0.0).view(np.uint64))
    order = np.argsort(mixed, kind="stable")
    ordered = mixed[order]
    new = np.ones(len(order), dtype=np.bool_)
    new[1:] = ordered[1:] != ordered[:-1]
    differ = (x[order][1:] != x[order][:-1]) | (y[order][1:] != y[order][:-1])
    if (differ & ~new[1:]).any():
        order = np.lexsort((y, x))
        new[1:] = (x[order][1:] != x[order][:-1]) | (y[order][1:] != y[order][:-1])
    numbers = np.empty(len(order), dtype=np.int64)
    numbers[order] = np.cumsum(new) - 1
    return numbers


def _mixed(
    one: np.ndarray[tuple[int], np.dtype[np.uint64]],
    other: np.ndarray[tuple[int], np.dtype[np.uint64]],
) -> np.ndarray[tuple[int], np.dtype[np.uint64]]:
    mixed = one * np.uint64(0x9E3779B97F4A7C15) ^ other * np.uint64(0xC2B2AE3D27D4EB4F)
    spread: np.ndarray[tuple[int], np.dtype[np.uint64]] = mixed ^ mixed >> np.uint64(29)
    return spread


def numbered(x: Floats, y: Floats, same: Indices) -> tuple[Indices, Indices]:
    """The node of each place, and for each node the place that it was first met at.

    `same` gives equal numbers, from 0, to equal places.
    """
    count = int(same.max()) + 1 if len(same) else 0
    first = np.full(count, len(same), dtype=np.int64)
    np.minimum.at(first, same, np.arange(len(same)))
    # Where each place is first met, in that order.
    order = np.argsort(first)
    first = first[order]
    stands_for = _near(x[first], y[first])
    nodes, inverse = np.unique(stands_for, return_inverse=True)
    number = np.empty(count, dtype=np.int64)
    number[order] = inverse
    return number[same], first[nodes]


def _near(x: Floats, y: Floats) -> Indices:
    """For each of different places, in order, the one before it that it is the same as."""
    stands_for = np.arange(len(x))
    grids = [_cells(x + right, y + up) for right in _SHIFTS for up in _SHIFTS]
    crowded = np.zeros(len(x), dtype=np.bool_)
    for cells in grids:
        order = np.argsort(cells)
        twin = cells[order][1:] == cells[order][:-1]
        crowded[order[1:][twin]] = True
        crowded[order[:-1][twin]] = True
    if not crowded.any():
        return stands_for
    few = np.flatnonzero(crowded)
    cluster = _clusters([np.unique(cells[few], return_inverse=True)[1] for cells in grids])
    order = np.argsort(cluster, kind="stable")
    starts = np.flatnonzero(np.diff(cluster[order], prepend=-1))
    ends = [*starts[1:].tolist(), len(order)]
    members = few[order]
    size = np.hypot(
        np.maximum.reduceat(x[members], starts) - np.minimum.reduceat(x[members], starts),
        np.maximum.reduceat(y[members], starts) - np.minimum.reduceat(y[members], starts),
    )
    # All within reach of each other: all are the first of them.
    firsts = np.repeat(members[starts], np.diff([*starts.tolist(), len(order)]))
    stands_for[members] = firsts
    for at in np.flatnonzero(size > MEETS_MM).tolist():
        seen = Nodes()
        met: list[int] = []
        for one in members[starts[at] : ends[at]].tolist():
            number = seen.number(Point(float(x[one]), float(y[one])))
            if number == len(met):
                met.append(one)
            stands_for[one] = met[number]
    return stands_for


_SHIFTS = (0.0, _CELL_MM / 2.0)


def _cells(x: Floats, y: Floats) -> np.ndarray[tuple[int], np.dtype[np.uint64]]:
    """A number for the cell that each place lies in; cells far apart may share one."""
    column, row = np.floor(x / _CELL_MM), np.floor(y / _CELL_MM)
    return _mixed((column + 0.0).view(np.uint64), (row + 0.0).view(np.uint64))


def _clusters(groupings: list[Indices]) -> Indices:
    """The clusters of places that are joined by being in one group of any grouping."""
    cluster = np.arange(len(groupings[0]))
    while True:
        before = cluster
        for group in groupings:
            least = np.full(int(group.max()) + 1, len(group), dtype=np.int64)
            np.minimum.at(least, group, cluster)
            cluster = least[group]
        if (cluster == before).all():
            return cluster
