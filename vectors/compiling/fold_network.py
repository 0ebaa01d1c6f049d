"""This module sees the scores of a piece as a network: edges between the nodes where they meet.

Every segment of a score is parted where another score meets it, so that at each
node only ends of edges come together, in order of their directions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..geometry import Path, Point, Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import Meeting, meetings
from ..measures.exact import MEETS_MM, SAME_PLACE_MM


@dataclass(frozen=True, slots=True)
class Edge:
    """A stretch of one segment of a score, from one node to another.

    `score` is the number of the score and `whole` the segment of it that the
    stretch is a part of, numbered `number`.
    """

    score: int
    number: int
    whole: Segment
    segment: Segment
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Ray:
    """An end of an edge at a node: its start where `first`; `angle` is where it heads, in rad."""

    edge: int
    first: bool
    angle: float


@dataclass(frozen=True, slots=True)
class Network:
    """All edges, score by score and along each, and the rays at each node, anticlockwise."""

    edges: tuple[Edge, ...]
    places: tuple[Point, ...]
    rays: tuple[tuple[Ray, ...], ...]

    def next_left(self, edge: int, *, first: bool) -> tuple[Ray, float] | None:
        """The next ray to the left of an end of an edge, and the angle to it, above 0 to 2 pi.

        Left is as seen from the node along the edge; None where the edge ends alone.
        """
        return self._next(edge, first, 1)

    def next_right(self, edge: int, *, first: bool) -> tuple[Ray, float] | None:
        """The next ray to the right of an end of an edge, and the angle to it."""
        return self._next(edge, first, -1)

    def _next(self, edge: int, first: bool, step: int) -> tuple[Ray, float] | None:
        node = self.edges[edge].start if first else self.edges[edge].end
        rays = self.rays[node]
        if len(rays) < 2:
            return None
        place = next(i for i, ray in enumerate(rays) if (ray.edge, ray.first) == (edge, first))
        other = rays[(place + step) % len(rays)]
        turn = (other.angle - rays[place].angle) * step % (2.0 * math.pi)
        return other, turn


def network(paths: Sequence[Path]) -> Network:
    """The network of some scores, by their paths."""
    segments = [
        (score, number, _flattened(segment))
        for score, path in enumerate(paths)
        for number, segment in enumerate(path.segments)
        if segment.chord > 0.0
    ]
    cuts: list[list[float]] = [[0.0, 1.0] for _ in segments]
    for i, j in overlapping([segment.box() for _, _, segment in segments], MEETS_MM):
        first, second = segments[i][2], segments[j][2]
        for found in meetings(first, second, MEETS_MM):
            # What lies on each other is for another pass to judge.
            if isinstance(found, Meeting):
                _part(cuts[i], found.first, first)
                _part(cuts[j], found.second, second)
    parts: list[tuple[int, int, Segment, Segment]] = []
    for (score, number, segment), shares in zip(segments, cuts, strict=True):
        shares.sort()
        for low, high in pairwise(shares):
            part = segment if (low, high) == (0.0, 1.0) else segment.part(low, high)
            parts.append((score, number, segment, part))
    nodes, places = _nodes([at for *_, part in parts for at in (part.start, part.end)])
    edges = tuple(
        Edge(score, number, whole, part, nodes[2 * index], nodes[2 * index + 1])
        for index, (score, number, whole, part) in enumerate(parts)
    )
    rays: list[list[Ray]] = [[] for _ in places]
    for index, edge in enumerate(edges):
        out, back = edge.segment.direction(0.0), -edge.segment.direction(1.0)
        rays[edge.start].append(Ray(index, True, math.atan2(out.y, out.x)))
        rays[edge.end].append(Ray(index, False, math.atan2(back.y, back.x)))
    ordered = tuple(
        tuple(sorted(here, key=lambda ray: (ray.angle, ray.edge, ray.first))) for here in rays
    )
    return Network(edges, places, ordered)


def _flattened(segment: Segment) -> Segment:
    """The segment, or its chord where it leaves that by less than counts as one place."""
    flat = abs(segment.bulge) * segment.chord < 2.0 * SAME_PLACE_MM
    return Segment(segment.start, segment.end) if flat else segment


def _part(shares: list[float], share: float, segment: Segment) -> None:
    """Adds a share at which a segment is parted, unless it is parted there."""
    if all(abs(share - other) * segment.length > 2.0 * MEETS_MM for other in shares):
        shares.append(share)


def _nodes(places: list[Point]) -> tuple[list[int], tuple[Point, ...]]:
    """For each place the number of its node, and the nodes' places: what meets is one node."""
    leader = list(range(len(places)))

    def lead(index: int) -> int:
        while leader[index] != index:
            leader[index] = leader[leader[index]]
            index = leader[index]
        return index

    boxes = [(*at.floats(), *at.floats()) for at in places]
    for i, j in overlapping(boxes, 2.0 * MEETS_MM):
        a, b = lead(i), lead(j)
        if a != b:
            leader[max(a, b)] = min(a, b)
    numbers: dict[int, int] = {}
    found: list[Point] = []
    nodes = []
    for index in range(len(places)):
        first = lead(index)
        if first not in numbers:
            numbers[first] = len(found)
            found.append(places[first].rounded())
        nodes.append(numbers[first])
    return nodes, tuple(found)
