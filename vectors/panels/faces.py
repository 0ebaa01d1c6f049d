"""This module walks the edges of a divided piece: half-edges, what follows what, the faces.

Half-edge 2k runs along edge k from its start to its end, half-edge 2k + 1 back.
The face of a half-edge lies to its left.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..geometry import Path, Point, Segment, path_of
from ..geometry.boxes import Box
from ..measures.exact import SAME_DIRECTION_RAD
from .noding import Edge


@dataclass(frozen=True, slots=True)
class Walk:
    """Half-edges in order round one side of a face, and the area they enclose in mm².

    The area is positive for the outer side of a face, negative for the rim of
    a hole in it, or of everything.
    """

    half_edges: tuple[int, ...]
    path: Path
    area: float


@dataclass(frozen=True, slots=True)
class Plan:
    """The planar map of edges: order round each node, the walks, the face of each half-edge.

    `around` gives each node's outgoing half-edges anticlockwise; `following` the
    half-edge after each on its walk; `face` the face number of each half-edge,
    -1 for the outside.  A face is given by its walks, the outer one first.
    """

    edges: Sequence[Edge]
    around: Sequence[tuple[int, ...]]
    following: Sequence[int]
    faces: Sequence[tuple[Walk, ...]]
    outside: Sequence[Walk]
    face: Sequence[int]

    def tail(self, half: int) -> int:
        """The node that a half-edge leaves."""
        edge = self.edges[half >> 1]
        return edge.end if half & 1 else edge.start

    def head(self, half: int) -> int:
        """The node that a half-edge comes to."""
        return self.tail(half ^ 1)


def directed(edges: Sequence[Edge], half: int) -> Segment:
    """The segment of a half-edge in its own direction."""
    segment = edges[half >> 1].segment
    return segment.reversed if half & 1 else segment


def _order_around(edges: Sequence[Edge], node_count: int) -> tuple[tuple[int, ...], ...]:
    leaving: list[list[int]] = [[] for _ in range(node_count)]
    for k, edge in enumerate(edges):
        leaving[edge.start].append(2 * k)
        leaving[edge.end].append(2 * k + 1)
    return tuple(sorted_around(edges, halves) for halves in leaving)


def sorted_around(edges: Sequence[Edge], halves: list[int]) -> tuple[int, ...]:
    """The half-edges that leave one node, anticlockwise.

    They are sorted by where they are a little way out, the same way for all:
    lines and arcs that touch leave in one direction and part only then.
    """
    if len(halves) < 2:
        # None at all where nothing but a score ends.
        return tuple(halves)
    segments = [directed(edges, half) for half in halves]
    out = min(segment.length for segment in segments) / 2.0

    def angle(segment: Segment) -> float:
        there = segment.at(out / segment.length) - segment.start
        turn = math.atan2(there.y, there.x)
        # Due left is one direction, whatever the sign of its zero.
        return math.pi if turn <= -math.pi + SAME_DIRECTION_RAD else turn

    def turn(half: int) -> tuple[float, int]:
        # Two lines along each other between the same nodes: the one that is on the
        # left from here is on the right from there.
        edge = edges[half >> 1]
        return angles[half], half if (edge.start < edge.end) != (half & 1) else -half

    angles = dict(zip(halves, map(angle, segments), strict=True))
    return tuple(sorted(halves, key=turn))


def plan(edges: tuple[Edge, ...], node_count: int) -> Plan:
    """Walk the edges: the faces, with the holes that lie in them."""
    around = _order_around(edges, node_count)
    position = {half: i for found in around for i, half in enumerate(found)}
    following = [0] * (2 * len(edges))
    for half in range(2 * len(edges)):
        # With the face on the left, the next half-edge is the first one
        # clockwise from the way back.
        back = half ^ 1
        edge = edges[half >> 1]
        found = around[edge.start if half & 1 else edge.end]
        following[half] = found[(position[back] - 1) % len(found)]
    walks = [_walk(edges, cycle) for cycle in _cycles(following)]
    # A walk that encloses nothing runs out and back along hanging lines.
    outer = [walk for walk in walks if walk.area > 0.0]
    inner = [walk for walk in walks if walk.area <= 0.0]
    boxes = [walk.path.box() for walk in outer]
    homes = [_home(walk, outer, boxes) for walk in inner]
    holes: dict[int, list[Walk]] = {}
    for walk, home in zip(inner, homes, strict=True):
        if home is not None:
            holes.setdefault(home, []).append(walk)
    faces = tuple((walk, *holes.get(i, ())) for i, walk in enumerate(outer))
    outside = tuple(walk for walk, home in zip(inner, homes, strict=True) if home is None)
    face = [-1] * (2 * len(edges))
    for number, found_walks in enumerate(faces):
        for walk in found_walks:
            for half in walk.half_edges:
                face[half] = number
    return Plan(edges, around, tuple(following), faces, outside, tuple(face))


def _cycles(following: Sequence[int]) -> list[tuple[int, ...]]:
    seen = [False] * len(following)
    found = []
    for first in range(len(following)):
        if seen[first]:
            continue
        cycle = []
        half = first
        while not seen[half]:
            seen[half] = True
            cycle.append(half)
            half = following[half]
        found.append(tuple(cycle))
    return found


def _walk(edges: Sequence[Edge], cycle: tuple[int, ...]) -> Walk:
    path = path_of((directed(edges, half) for half in cycle), closed=True)
    # A walk along a hanging line and back has an area of rounding only.
    area = path.area
    if len({half >> 1 for half in cycle}) * 2 == len(cycle):
        area = 0.0
    return Walk(cycle, path, area)


def _home(walk: Walk, outer: Sequence[Walk], boxes: Sequence[Box]) -> int | None:
    """The smallest face that holds a walk, or None where it lies in no face."""
    own = {half >> 1 for half in walk.half_edges}
    at = walk.path.segments[0].middle
    best: int | None = None
    for i, (candidate, box) in enumerate(zip(outer, boxes, strict=True)):
        if best is not None and candidate.area >= outer[best].area:
            continue
        if not within(box, at) or any(half >> 1 in own for half in candidate.half_edges):
            # Far off, or the walk is the far side of that face's own edges.
            continue
        if contains(candidate.path, at):
            best = i
    return best


def within(box: Box, at: Point) -> bool:
    """Whether a place lies in a box, its rim included."""
    x, y = at.floats()
    left, bottom, right, top = box
    return left <= x <= right and bottom <= y <= top


def contains(path: Path, at: Point) -> bool:
    """Whether a place lies within a closed path, by the angle that the path turns round it."""
    if not within(path.box(), at):
        return False
    x, y = at.floats()
    turned = 0.0
    for segment in path.segments:
        for part in segment.split(math.pi):
            (ax, ay), (bx, by) = part.start.floats(), part.end.floats()
            ax, ay, bx, by = ax - x, ay - y, bx - x, by - y
            cross = ax * by - ay * bx
            turned += math.atan2(cross, ax * bx + ay * by)
            # Between an arc and its chord the arc goes round the place the other
            # way: a full turn more, in the direction of the arc.  An
            # anticlockwise arc lies to the right of its chord.
            if (
                not part.is_line
                and cross * part.bulge < 0.0
                and part.centre.distance(at) < part.radius
            ):
                turned += math.copysign(2.0 * math.pi, part.bulge)
    return abs(turned) > math.pi
