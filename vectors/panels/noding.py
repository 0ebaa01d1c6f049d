"""This module splits curves where they meet, so that only their ends are shared.

Places within a micrometre of each other become one node.  The nodes are floats:
they say what touches what.  What is computed exactly later, the lines that
panels turn on, comes from the design and not from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..geometry import Point, Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import Overlap, meetings, share_of
from ..measures.exact import MEETS_MM
from .curves import Curve, Owner


@dataclass(frozen=True, slots=True)
class Edge:
    """A stretch of a curve between two nodes, met by nothing on the way.

    `start_share` and `end_share` tell where on the curve's segment it lies.
    """

    curve: int
    start: int
    end: int
    segment: Segment
    start_share: float
    end_share: float


@dataclass(frozen=True, slots=True)
class Doubled:
    """Two curves that run along each other, and a place in the middle of the stretch."""

    first: Owner
    second: Owner
    at: Point


@dataclass(frozen=True, slots=True)
class Noded:
    """Curves split where they meet: the nodes' places, the edges between them, what is doubled."""

    curves: Sequence[Curve]
    nodes: Sequence[Point]
    edges: Sequence[Edge]
    doubled: tuple[Doubled, ...]


class Nodes:
    """Places seen so far; one within a micrometre of another is the same."""

    def __init__(self) -> None:
        self.places: list[Point] = []
        self._numbers: dict[tuple[float, float], int] = {}
        self._cells: dict[tuple[int, int], list[int]] = {}

    def number(self, at: Point) -> int:
        """The number of the node at a place, a new one where there is none yet."""
        # A place that was seen before stays what it was, whatever came in between.
        key = at.floats()
        known = self._numbers.get(key)
        if known is None:
            known = self._numbers[key] = self._new(at, *key)
        return known

    def _new(self, at: Point, x: float, y: float) -> int:
        column, row = int(x // MEETS_MM), int(y // MEETS_MM)
        for i in (column - 1, column, column + 1):
            for j in (row - 1, row, row + 1):
                for number in self._cells.get((i, j), ()):
                    if self.places[number].distance(at) <= MEETS_MM:
                        return number
        self._cells.setdefault((column, row), []).append(len(self.places))
        self.places.append(at.rounded())
        return len(self.places) - 1


# A place on a curve: how far along it (0 to 1), and where.
Split = tuple[float, Point]


def near_pairs(curves: Sequence[Curve]) -> Iterator[tuple[int, int]]:
    """The pairs of curves, by number, that come near enough to each other to meet."""
    return overlapping([curve.segment.box() for curve in curves], MEETS_MM)


def node(curves: Sequence[Curve], near: Iterable[tuple[int, int]]) -> Noded:
    """Split all curves where they meet, `near` being the pairs that may do so."""
    shares: list[list[Split]] = [
        [(0.0, curve.segment.start), (1.0, curve.segment.end)] for curve in curves
    ]
    doubled: list[Doubled] = []
    for i, j in sorted(near):
        first, second, along = splits(curves[i], curves[j])
        shares[i] += first
        shares[j] += second
        doubled += along
    nodes = Nodes()
    edges: list[Edge] = []
    for index, curve in enumerate(curves):
        # Ties by place, so that the order of the pairs above never shows.
        ordered = sorted(shares[index], key=lambda split: (split[0], split[1].floats()))
        numbered = [(share, nodes.number(at)) for share, at in ordered]
        for (low, start), (high, end) in pairwise(numbered):
            if start == end:
                continue
            # From node to node, so that the directions round a node never
            # contradict where its neighbours lie.
            whole = curve.segment if (low, high) == (0.0, 1.0) else curve.segment.part(low, high)
            segment = Segment(nodes.places[start], nodes.places[end], whole.bulge)
            edges.append(Edge(index, start, end, segment, low, high))
    return Noded(tuple(curves), tuple(nodes.places), tuple(edges), tuple(doubled))


def splits(first: Curve, second: Curve) -> tuple[list[Split], list[Split], list[Doubled]]:
    """Where two curves split each other, and where they run along each other."""
    of_first: list[Split] = []
    of_second: list[Split] = []
    doubled: list[Doubled] = []
    for meeting in meetings(first.segment, second.segment, MEETS_MM):
        if isinstance(meeting, Overlap):
            middle = first.segment.at((meeting.start + meeting.end) / 2.0)
            doubled.append(Doubled(first.owner, second.owner, middle))
            # Both are split where they part, so that an end there does not
            # also seem to hang.
            for share in (meeting.start, meeting.end):
                at = first.segment.at(share)
                of_first.append((share, at))
                other = share_of(second.segment, at, MEETS_MM)
                if other is not None:
                    of_second.append((other, at))
            continue
        if 0.0 < meeting.first < 1.0:
            of_first.append((meeting.first, meeting.at))
        if 0.0 < meeting.second < 1.0:
            of_second.append((meeting.second, meeting.at))
    return of_first, of_second, doubled
