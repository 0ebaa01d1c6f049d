"""This module walks the edges of a piece of many lines, as `faces` does, on columns of numbers.

Half-edge 2k runs along edge k from its start to its end, half-edge 2k + 1 back.
The face of a half-edge lies to its left.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..geometry import Path, Point, Segment, Vertex
from ..geometry.box_pairs import Floats, Indices, pairs_between
from ..measures.exact import MEETS_MM, SAME_DIRECTION_RAD
from .faces import Plan, Walk, contains, sorted_around
from .net import Net
from .on_demand import OnDemand

# Less than that, in mm², is enclosed only by lines that nearly run along each other.
_SLIVER_MM2 = MEETS_MM


@dataclass(frozen=True, slots=True, eq=False)
class Walks:
    """The walks along half-edges, by the lowest half-edge of each.

    `of` gives the walk of a half-edge, `first` the lowest half-edge of a walk,
    `area` what it encloses in mm², `box` its box, and `face` the face it bounds or
    is the rim of a hole of, -1 for those outside.
    """

    of: Indices
    first: Indices
    area: Floats
    box: Floats
    face: Indices


@dataclass(frozen=True, slots=True, eq=False)
class Survey:
    """The planar map of some edges of a net, `edges` being their numbers in it.

    `tail` is the node that each half-edge leaves.  `order` has the half-edges by
    node and anticlockwise, those of node n from `begin[n]` on.  `outer` is the
    outer walk of each face, `held` the walks in those faces that hold any (those
    outside as if by face -1), `area` the areas of the faces less the holes.
    """

    net: Net
    edges: Indices
    tail: Indices
    order: Indices
    begin: Indices
    following: Indices
    walks: Walks
    outer: Indices
    held: Mapping[int, list[int]]
    area: Floats
    face: Indices

    @property
    def plan(self) -> Plan:
        """The same as the careful code reads it."""
        net, edges = self.net, self.edges.tolist()
        return Plan(
            edges=OnDemand(len(edges), lambda k: net.edge(edges[k])),
            around=OnDemand(len(self.begin) - 1, self.around),
            following=OnDemand(len(self.following), lambda half: int(self.following[half])),
            faces=OnDemand(len(self.outer), self.walks_of),
            outside=[self.walk(walk) for walk in self.held.get(-1, ())],
            face=OnDemand(len(self.face), lambda half: int(self.face[half])),
        )

    def around(self, node: int) -> tuple[int, ...]:
        """The half-edges that leave a node, anticlockwise."""
        return tuple(self.order[self.begin[node] : self.begin[node + 1]].tolist())

    def walks_of(self, face: int) -> tuple[Walk, ...]:
        """The walks of a face, the outer one first."""
        return tuple(map(self.walk, (int(self.outer[face]), *self.held.get(face, ()))))

    def walk(self, number: int) -> Walk:
        """One walk."""
        half_edges = cycle(self.following, int(self.walks.first[number]))
        return Walk(half_edges, self.path(half_edges), float(self.walks.area[number]))

    def path(self, half_edges: tuple[int, ...]) -> Path:
        """The closed path along half-edges."""
        return _path(self.net, self.edges, half_edges)


def cycle(following: Indices, first: int) -> tuple[int, ...]:
    """The half-edges of a walk from one of them on."""
    found = [first]
    half = int(following[first])
    while half != first:
        found.append(half)
        half = int(following[half])
    return tuple(found)


def survey(net: Net, edges: Indices) -> Survey:
    """Walk the edges with these numbers: the faces, with the holes that lie in them."""
    tail = np.empty(2 * len(edges), dtype=np.int64)
    tail[0::2], tail[1::2] = net.start[edges], net.end[edges]
    order, begin = _around(net, edges, tail)
    following = _following(tail, order, begin)
    of, first = _cycles(following)
    area, box = _areas(net, edges, tail, following, of, first)
    outer = np.flatnonzero(area > 0.0)
    face_of = np.full(len(first), -1, dtype=np.int64)
    face_of[outer] = np.arange(len(outer))
    inner = np.flatnonzero(area <= 0.0)
    walks = Walks(of=of, first=first, area=area, box=box, face=face_of)
    area_of = area[outer]
    held: dict[int, list[int]] = {}
    for walk, home in zip(
        inner.tolist(), _homes(net, edges, following, walks, outer, inner), strict=True
    ):
        face_of[walk] = home
        held.setdefault(home, []).append(walk)
        if home >= 0:
            area_of[home] += area[walk]
    return Survey(
        net=net,
        edges=edges,
        tail=tail,
        order=order,
        begin=begin,
        following=following,
        walks=walks,
        outer=outer,
        held=held,
        area=area_of,
        face=face_of[of],
    )


def _around(net: Net, edges: Indices, tail: Indices) -> tuple[Indices, Indices]:
    """The half-edges by node and anticlockwise, and where those of each node begin.

    They are sorted by where they are a little way out, as `faces` has it.
    """
    x0, y0 = net.x[tail], net.y[tail]
    begin = np.zeros(len(net.x) + 1, dtype=np.int64)
    np.cumsum(np.bincount(tail, minlength=len(net.x)), out=begin[1:])
    along_x, along_y = np.empty(len(tail)), np.empty(len(tail))
    along_x[0::2], along_y[0::2] = x0[1::2] - x0[0::2], y0[1::2] - y0[0::2]
    along_x[1::2], along_y[1::2] = -along_x[0::2], -along_y[0::2]
    bulge = np.repeat(net.bulge[edges], 2)
    arcs = np.flatnonzero(bulge)
    if len(arcs):
        bulge[1::2] *= -1.0
        length = np.hypot(along_x, along_y)
        sweep = 4.0 * np.arctan(bulge[arcs])
        length[arcs] *= (sweep / 2.0) / np.sin(sweep / 2.0)
        out = np.full(len(net.x), math.inf)
        np.minimum.at(out, tail, length)
        # See `Segment.at`.
        share = out[tail[arcs]] / 2.0 / length[arcs]
        part = np.sin(sweep * share / 2.0) / np.sin(sweep / 2.0)
        turned = sweep * (share - 1.0) / 2.0
        cos, sin = part * np.cos(turned), part * np.sin(turned)
        dx, dy = along_x[arcs], along_y[arcs]
        along_x[arcs], along_y[arcs] = dx * cos - dy * sin, dx * sin + dy * cos
    turn = np.arctan2(along_y, along_x)
    # Due left is one direction, whatever the sign of its zero.
    turn[turn <= -math.pi + SAME_DIRECTION_RAD] = math.pi
    order = np.lexsort((turn, tail))
    # Lines that run along each other are put in order with care, as where lines are few.
    close = (np.diff(turn[order]) <= SAME_DIRECTION_RAD) & (np.diff(tail[order]) == 0)
    for node in np.unique(tail[order[1:][close]]).tolist():
        here = slice(begin[node], begin[node + 1])
        halves = np.sort(order[here]).tolist()
        order[here] = sorted_around(OnDemand(len(edges), lambda k: net.edge(int(edges[k]))), halves)
    return order, begin


def _following(tail: Indices, order: Indices, begin: Indices) -> Indices:
    """The half-edge after each: the first one clockwise from the way back."""
    position = np.empty(len(order), dtype=np.int64)
    position[order] = np.arange(len(order))
    node = np.empty(len(tail), dtype=np.int64)
    node[0::2], node[1::2] = tail[1::2], tail[0::2]
    back = np.empty(len(tail), dtype=np.int64)
    back[0::2], back[1::2] = position[1::2], position[0::2]
    before = np.where(back == begin[node], begin[node + 1], back) - 1
    following: Indices = order[before]
    return following


def _cycles(following: Indices) -> tuple[Indices, Indices]:
    """The walk of each half-edge, and the lowest half-edge of each walk.

    Each half-edge learns the lowest of those after it, of twice as many in every round.
    """
    lowest = np.arange(len(following))
    ahead = following
    while True:
        lower = np.minimum(lowest, lowest[ahead])
        if (lower == lowest).all():
            break
        lowest, ahead = lower, ahead[ahead]
    first = np.flatnonzero(lowest == np.arange(len(lowest)))
    number = np.empty(len(lowest), dtype=np.int64)
    number[first] = np.arange(len(first))
    return number[lowest], first


def _areas(
    net: Net, edges: Indices, tail: Indices, following: Indices, of: Indices, first: Indices
) -> tuple[Floats, Floats]:
    """What each walk encloses in mm², negative where it runs clockwise, and its box."""
    count = len(first)
    x, y = net.x[tail], net.y[tail]
    box = np.full((4, count), math.inf)
    for side, values in zip(box, (x, y, -x, -y), strict=True):
        np.minimum.at(side, of, values)
    # From a corner of the walk, so that small ones far out keep their digits.
    x, y = x - box[0][of], y - box[1][of]
    head = np.arange(len(tail)) ^ 1
    hx, hy = net.x[tail[head]] - box[0][of], net.y[tail[head]] - box[1][of]
    swept = (x * hy - hx * y) / 2.0
    box[2:] *= -1.0
    for half in np.flatnonzero(np.repeat(net.bulge[edges], 2)).tolist():
        arc = _directed(net, edges, half)
        # Between the arc and its chord.
        swept[half] += Path((Vertex(arc.start, arc.bulge), Vertex(arc.end)), closed=True).area
        left, bottom, right, top = arc.box()
        walk = of[half]
        box[0][walk], box[1][walk] = min(box[0][walk], left), min(box[1][walk], bottom)
        box[2][walk], box[3][walk] = max(box[2][walk], right), max(box[3][walk], top)
    area: Floats = np.bincount(of, swept, minlength=count).astype(np.float64)
    # A walk along a hanging line and back has an area of rounding only.
    hangs = np.bincount(of, of == of[head], minlength=count) == np.bincount(of, minlength=count)
    area[hangs] = 0.0
    # Between lines that run along each other rounding decides which way round a
    # walk is said to go: the same way as where lines are few.
    for walk in np.flatnonzero((np.abs(area) < _SLIVER_MM2) & ~hangs).tolist():
        area[walk] = _path(net, edges, cycle(following, int(first[walk]))).area
    return area, np.ascontiguousarray(box.T)


def _directed(net: Net, edges: Indices, half: int) -> Segment:
    segment = net.edge(int(edges[half >> 1])).segment
    return segment.reversed if half & 1 else segment


def _path(net: Net, edges: Indices, half_edges: tuple[int, ...]) -> Path:
    vertices = []
    for half in half_edges:
        edge, back = edges[half >> 1], half & 1
        bulge = float(net.bulge[edge])
        at = net.node(int((net.end if back else net.start)[edge]))
        # 0 - 0 is 0, where -0 would be written with a sign.
        vertices.append(Vertex(at, 0.0 - bulge if back else bulge))
    return Path(tuple(vertices), closed=True)


def _homes(
    net: Net, edges: Indices, following: Indices, walks: Walks, outer: Indices, inner: Indices
) -> list[int]:
    """The smallest face that holds each inner walk, or -1 where it lies in no face."""
    at = [_directed(net, edges, half).middle for half in walks.first[inner].tolist()]
    places = np.array([place.floats() for place in at]).reshape(-1, 2)
    near: list[list[int]] = [[] for _ in at]
    for i, j in pairs_between(np.tile(places, (1, 2)), walks.box[outer], 0.0):
        for number, face in zip(i.tolist(), j.tolist(), strict=True):
            near[number].append(face)
    rims: dict[int, _Rim] = {}
    homes = []
    for place, faces, walk in zip(at, near, inner.tolist(), strict=True):
        own = cycle(following, int(walks.first[walk]))
        # The walk is the far side of these faces' own edges.
        beside = {int(walks.of[half ^ 1]) for half in own}
        home = -1
        for face in sorted(faces, key=lambda face: (walks.area[outer[face]], face)):
            if int(outer[face]) in beside:
                continue
            if face not in rims:
                rims[face] = _Rim(net, edges, cycle(following, int(walks.first[outer[face]])))
            if rims[face].holds(place):
                home = face
                break
        homes.append(home)
    return homes


class _Rim:
    """The outer walk of a face that many holes may be asked for."""

    def __init__(self, net: Net, edges: Indices, half_edges: tuple[int, ...]) -> None:
        self._path = _path(net, edges, half_edges)
        at = [vertex.at.floats() for vertex in self._path.vertices]
        self._corners = np.array(at)
        self._arcs = any(vertex.bulge for vertex in self._path.vertices)

    def holds(self, at: Point) -> bool:
        """Whether a place lies within, as `contains` has it."""
        if self._arcs:
            return contains(self._path, at)
        here = self._corners - at.floats()
        there = np.roll(here, -1, axis=0)
        cross = here[:, 0] * there[:, 1] - here[:, 1] * there[:, 0]
        turned = np.arctan2(cross, (here * there).sum(axis=1)).sum()
        return bool(abs(turned) > math.pi)
