"""This module splits the curves of a piece of many lines where they meet, as `noding` does.

The same nodes and edges come out, in the same order, as columns of numbers.  Straight
segments are dealt with all together; pairs with an arc, and those that run along each
other, are given one by one to the code that pieces of few lines use.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry import Point, Segment
from ..geometry.box_pairs import Floats, Indices, pairs_within
from ..geometry.line_meetings import Splits, line_meetings, meet_only_at_an_end
from ..measures.exact import MEETS_MM
from .columns import Columns
from .noding import Doubled, Edge, Noded, splits
from .on_demand import OnDemand
from .places import numbered, same_places


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Curves split where they meet: the places of the nodes, and of each edge what `Edge` has."""

    columns: Columns
    x: Floats
    y: Floats
    curve: Indices
    start: Indices
    end: Indices
    low: Floats
    high: Floats
    bulge: Floats
    doubled: tuple[Doubled, ...]

    @property
    def noded(self) -> Noded:
        """The same as the careful code reads it."""
        return Noded(
            curves=self.columns.curves,
            nodes=OnDemand(len(self.x), self.node),
            edges=OnDemand(len(self.curve), self.edge),
            doubled=self.doubled,
        )

    def node(self, number: int) -> Point:
        """The place of a node."""
        return Point(float(self.x[number]), float(self.y[number]))

    def edge(self, number: int) -> Edge:
        """One edge."""
        start, end = int(self.start[number]), int(self.end[number])
        return Edge(
            curve=int(self.curve[number]),
            start=start,
            end=end,
            segment=Segment(self.node(start), self.node(end), float(self.bulge[number])),
            start_share=float(self.low[number]),
            end_share=float(self.high[number]),
        )


def net_of(columns: Columns) -> Net:
    """Split all curves where they meet."""
    lines = columns.lines
    count = len(columns)
    ends = same_places(lines[:, (0, 2)].ravel(), lines[:, (1, 3)].ravel()).reshape(-1, 2)
    found, doubled = _splits(columns, ends)
    # Every curve's own ends, and the splits between them, in the order along it.
    if len(found.line):
        curve = np.concatenate((np.arange(count), np.arange(count), found.line))
        share = np.concatenate((np.zeros(count), np.ones(count), found.share))
        x = np.concatenate((lines[:, 0], lines[:, 2], found.x))
        y = np.concatenate((lines[:, 1], lines[:, 3], found.y))
        order = np.lexsort((y, x, share, curve))
        curve, share, x, y = curve[order], share[order], x[order], y[order]
        same = same_places(x, y)
    else:
        curve = np.repeat(np.arange(count), 2)
        share = np.tile((0.0, 1.0), count)
        x, y = lines[:, (0, 2)].ravel(), lines[:, (1, 3)].ravel()
        same = ends.ravel()
    node, places = numbered(x, y, same)
    # From each place to the next one on the same curve, if that is another node.
    here = np.flatnonzero((curve[:-1] == curve[1:]) & (node[:-1] != node[1:]))
    curve, low, high = curve[here], share[here], share[here + 1]
    return Net(
        columns=columns,
        x=x[places],
        y=y[places],
        curve=curve,
        start=node[here],
        end=node[here + 1],
        low=low,
        high=high,
        bulge=_bulges(columns.bulge[curve], low, high),
        doubled=tuple(doubled),
    )


def _bulges(bulge: Floats, low: Floats, high: Floats) -> Floats:
    """The bulges of stretches of curves, as `Segment.part` has them."""
    part = (bulge != 0.0) & ((low != 0.0) | (high != 1.0))
    bulge[part] = np.tan(4.0 * np.arctan(bulge[part]) * (high[part] - low[part]) / 4.0)
    return bulge


def _splits(columns: Columns, ends: Indices) -> tuple[Splits, list[Doubled]]:
    """All places inside of curves where others meet them, and the stretches that are doubled."""
    lines, straight = columns.lines, columns.bulge == 0.0
    found: list[Splits] = []
    care: list[Indices] = []
    for i, j in pairs_within(_boxes(columns), MEETS_MM):
        both = straight[i] & straight[j]
        care.append(np.stack((i[~both], j[~both]), axis=1))
        i, j = i[both], j[both]
        more = ~meet_only_at_an_end(lines, ends, i, j, MEETS_MM)
        i, j = i[more], j[more]
        here, left = line_meetings(lines, i, j, MEETS_MM)
        found.append(here)
        care.append(np.stack((i[left], j[left]), axis=1))
    pairs = np.concatenate(care) if care else np.empty((0, 2), dtype=np.int64)
    doubled: list[Doubled] = []
    rows: list[tuple[int, float, float, float]] = []
    for i, j in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))].tolist():
        first, second, along = splits(columns.curve(i), columns.curve(j))
        for curve, some in ((i, first), (j, second)):
            rows += [(curve, share, *at.floats()) for share, at in some]
        doubled += along
    if rows:
        line, share, x, y = zip(*rows, strict=True)
        found.append(Splits(np.array(line), np.array(share), np.array(x), np.array(y)))
    return _joined(found), doubled


def _joined(found: list[Splits]) -> Splits:
    if not found:
        nothing = np.empty(0)
        return Splits(np.empty(0, dtype=np.int64), nothing, nothing, nothing)
    return Splits(
        line=np.concatenate([one.line for one in found]),
        share=np.concatenate([one.share for one in found]),
        x=np.concatenate([one.x for one in found]) + 0.0,
        y=np.concatenate([one.y for one in found]) + 0.0,
    )


def _boxes(columns: Columns) -> Floats:
    """Left, bottom, right and top of every curve."""
    lines = columns.lines
    boxes = np.concatenate(
        (np.minimum(lines[:, :2], lines[:, 2:]), np.maximum(lines[:, :2], lines[:, 2:])), axis=1
    )
    for number in np.flatnonzero(columns.bulge != 0.0).tolist():
        boxes[number] = columns.segment(number).box()
    return boxes
