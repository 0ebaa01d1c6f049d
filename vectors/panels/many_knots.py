"""This module finds the knots of a piece of many lines, as `knots` does.

The half-edges round a node that leave it along hinges all of them make the knot of an
inner vertex.  Walks that touch a slit or an edge are left to the code of few lines.
"""

from __future__ import annotations

import numpy as np

from ..geometry.box_pairs import Indices
from .deferred import many
from .half_edges import Survey
from .knots import by_place, cancel, knots_from, vertex
from .model import Crossing, Knot


def many_knots(found: Survey, number_of: Indices, hinge_of: Indices) -> tuple[Knot, ...]:
    """The knots of a piece, by place from below, then from the left.

    `number_of` gives the panel of a face, `hinge_of` the hinge of an edge, -1 for none.
    """
    turns = np.repeat(hinge_of >= 0, 2)
    degree = np.diff(found.begin)
    folds = np.bincount(found.tail, turns, minlength=len(degree))
    inner = (degree > 0) & (folds == degree)
    knots = _vertices(found, number_of, hinge_of, np.flatnonzero(inner))
    left = np.flatnonzero(turns & ~inner[found.tail]).tolist()
    numbers, hinges = number_of[:-1].tolist(), hinge_of.tolist()
    knots += knots_from(
        found.net.noded,
        found.plan,
        {face: number for face, number in enumerate(numbers) if number >= 0},
        {edge: hinge for edge, hinge in enumerate(hinges) if hinge >= 0},
        left,
    )
    return by_place(knots)


def _vertices(
    found: Survey, number_of: Indices, hinge_of: Indices, nodes: Indices
) -> list[tuple[int, Knot]]:
    """The knots of these nodes, each with the first half-edge that leaves it."""
    begin, degree = found.begin[nodes], np.diff(found.begin)[nodes]
    # The half-edges clockwise, the lowest one first.
    of = np.repeat(np.arange(len(nodes)), degree)
    nth = np.arange(len(of)) - np.repeat(np.cumsum(degree) - degree, degree)
    round_ = found.order[begin[of] + nth]
    first = np.full(len(nodes), len(found.order), dtype=np.int64)
    np.minimum.at(first, of, round_)
    lowest = nth[round_ == first[of]]
    halves = found.order[begin[of] + (lowest[of] - nth) % degree[of]]
    crossings = many(
        Crossing,
        len(halves),
        hinge=hinge_of[halves >> 1].tolist(),
        before=number_of[found.face[halves]].tolist(),
        after=number_of[found.face[halves ^ 1]].tolist(),
        outward=(halves & 1 == 0).tolist(),
    )
    knots = []
    end = 0
    rows = zip(nodes.tolist(), first.tolist(), degree.tolist(), strict=True)
    for node, half, count in rows:
        start, end = end, end + count
        crossed: tuple[Crossing, ...] = tuple(crossings[start:end])
        if not cancel(crossed):
            knots.append((half, vertex(found.net.node(node), crossed)))
    return knots
