"""This module finds the panels that may meet: pairs whose boxes in space overlap.

Boxes are sorted along one axis and swept; only boxes that overlap along it are compared
along the other two.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from .paper import Floats, Ints

# So many pairs are compared at a time: enough to keep the arrays busy, few enough to fit.
_AT_A_TIME = 1_000_000


# Up to so many panels every two boxes of all poses are compared at once: sorting them pose by
# pose takes longer then.
_FEW = 40


def near_in_poses(low: Floats, high: Floats, within: Floats) -> Iterator[tuple[Ints, Ints, Ints]]:
    """The pairs of `near_pairs` in each of m poses, with the pose of each.

    `low` and `high` are [m, n, 3], `within` [m].
    """
    count = low.shape[1]
    if count <= _FEW:
        first, second = np.triu_indices(count, 1)
        reach = high + within[:, None, None]
        meets = (low[:, first] <= reach[:, second]) & (low[:, second] <= reach[:, first])
        pose, pair = np.nonzero(meets.all(axis=2))
        yield pose, first[pair], second[pair]
        return
    for number in range(len(low)):
        for i, j in near_pairs(low[number], high[number], float(within[number])):
            yield np.full(i.size, number, dtype=np.intp), i, j


def near_pairs(low: Floats, high: Floats, within: float) -> Iterator[tuple[Ints, Ints]]:
    """Pairs i < j of boxes that come within a distance of each other along every axis.

    `low` and `high` are [n, 3].  The pairs come in portions, in no order.
    """
    count = len(low)
    orders = [np.argsort(low[:, axis], kind="stable") for axis in range(3)]
    reaches = []
    for axis, order in enumerate(orders):
        bound = high[order, axis] + within
        last = np.searchsorted(low[order, axis], bound, side="right")
        reaches.append(np.maximum(last - np.arange(count) - 1, 0))
    axis = int(np.argmin([reach.sum() for reach in reaches]))
    order, reach = orders[axis], reaches[axis]
    others = [i for i in range(3) if i != axis]
    passed = np.concatenate(([0], np.cumsum(reach)))
    start = 0
    while start < count:
        stop = int(np.searchsorted(passed, passed[start] + _AT_A_TIME, side="right")) - 1
        stop = min(max(stop, start + 1), count)
        firsts = np.arange(start, stop)
        here = np.repeat(firsts, reach[start:stop])
        # The boxes after each, as many as it reaches over.
        ahead = firsts + 1 - (passed[start:stop] - passed[start])
        there = np.arange(here.size) + ahead[here - start]
        i, j = order[here], order[there]
        for other in others:
            meets = (low[i, other] <= high[j, other] + within) & (
                low[j, other] <= high[i, other] + within
            )
            i, j = i[meets], j[meets]
        if i.size:
            yield np.minimum(i, j), np.maximum(i, j)
        start = stop
