"""This module moves the lines of a piece along with its panels, each panel by its own little way.

A panel keeps its size and shape.  A fold comes to lie midway between its two panels, and where
several meet they still meet.  The sheet that is gained between panels lies at their folds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np

from ..design.pieces import Fold, Mark, Piece
from ..geometry import Path, Point, Segment, Vector, Vertex
from ..geometry.box_pairs import Floats, Indices
from ..geometry.meetings import share_of
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..problems import Severity
from .curves import told
from .divide import divide
from .joints import lies_on
from .model import Division, Panel
from .places import numbered, same_places

Pair = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Displaced:
    """A piece whose lines were moved, divided again: `panel_of` has for each panel its new index.

    Panels without a name are counted from below, so a small move may change their number.
    """

    piece: Piece
    division: Division
    panel_of: tuple[int, ...]


class NotTheSame(ValueError):
    """Moving the lines of a piece would change its panels or how they hang together."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Shares:
    """Which panels carry each node of a piece: a place where a corner or a fold's end is.

    `x` and `y` are the nodes, `rows`, `columns` and `weights` the share of panel
    `columns[i]` in node `rows[i]`; those of a node add up to 1.  `rings` has for each panel
    the nodes of its boundaries, `ends` the two nodes of each hinge.
    """

    x: Floats
    y: Floats
    rows: Indices
    columns: Indices
    weights: Floats
    rings: tuple[tuple[tuple[int, ...], ...], ...]
    ends: tuple[tuple[int, int], ...]

    def of_panels(self, moves: Floats) -> Floats:
        """How far the nodes move, [m, 2], when panels move by [n, 2]."""
        return np.stack(
            [
                np.bincount(self.rows, self.weights * moves[self.columns, k], len(self.x))
                for k in (0, 1)
            ],
            axis=1,
        )


def shares_of(division: Division) -> Shares:
    """The nodes of a division and the panels that carry them.

    A node at the end of hinges lies midway between the panels of each hinge, in the mean of
    the hinges; any other one is carried by the panels that touch it alike.
    """
    at: list[Pair] = []
    sizes: list[list[int]] = []
    for panel in division.panels:
        rims = [[vertex.at.floats() for vertex in path.vertices] for path in _rims(panel)]
        sizes.append([len(rim) for rim in rims])
        at += [place for rim in rims for place in rim]
    corners = len(at)
    at += [one.floats() for hinge in division.hinges for one in (hinge.start, hinge.end)]
    x, y = np.array(at, dtype=float).reshape(-1, 2).T.copy()
    node, first = numbered(x, y, same_places(x, y))
    nodes = node.tolist()
    hinged: dict[int, list[int]] = {}
    ends = []
    for number, hinge in enumerate(division.hinges):
        pair = nodes[corners + 2 * number], nodes[corners + 2 * number + 1]
        ends.append(pair)
        for one in pair:
            hinged.setdefault(one, []).extend((hinge.left, hinge.right))
    touched: dict[int, set[int]] = {}
    rings = []
    passed = 0
    for index, counts in enumerate(sizes):
        here = []
        for size in counts:
            ring = tuple(nodes[passed : passed + size])
            passed += size
            here.append(ring)
            for one in ring:
                touched.setdefault(one, set()).add(index)
        rings.append(tuple(here))
    rows: list[int] = []
    columns: list[int] = []
    weights: list[float] = []
    for one in range(len(first)):
        carried = hinged.get(one) or sorted(touched.get(one, ()))
        rows += [one] * len(carried)
        columns += carried
        weights += [1.0 / len(carried)] * len(carried)
    return Shares(
        x=x[first],
        y=y[first],
        rows=np.array(rows, dtype=np.intp),
        columns=np.array(columns, dtype=np.intp),
        weights=np.array(weights),
        rings=tuple(rings),
        ends=tuple(ends),
    )


def displaced(division: Division, moves: Floats) -> Displaced:
    """The piece of a division with its panels moved by `moves` [n, 2], in mm, divided again.

    Coordinates become floats, bulges stay.  Marks, names of panels and what is only scored move
    with the panel that they lie on.  Raises NotTheSame.
    """
    way = _Way(division, moves)
    piece = division.piece
    moved = replace(
        piece,
        outline=way.path(piece.outline)[0],
        openings=tuple(replace(one, path=way.path(one.path)[0]) for one in piece.openings),
        slits=tuple(replace(one, path=way.path(one.path)[0]) for one in piece.slits),
        folds=tuple(_fold(one, way) for one in piece.folds),
        marks=tuple(_mark(one, way) for one in piece.marks),
        panel_names=tuple(replace(one, at=way.place(one.at)) for one in piece.panel_names),
        hide_bridges=tuple(way.path(one)[0] for one in piece.hide_bridges),
    )
    again = divide(moved)
    return Displaced(piece=moved, division=again, panel_of=_same(division, again))


def _rims(panel: Panel) -> tuple[Path, ...]:
    return (panel.ring, *panel.holes)


def _fold(fold: Fold, way: _Way) -> Fold:
    path, of = way.path(fold.path)
    return replace(fold, path=path, senses=tuple(fold.senses[number] for number in of))


def _mark(mark: Mark, way: _Way) -> Mark:
    return replace(
        mark,
        path=None if mark.path is None else way.path(mark.path)[0],
        at=None if mark.at is None else way.place(mark.at),
    )


class _Way:
    """How every place of a piece moves."""

    def __init__(self, division: Division, moves: Floats) -> None:
        self._division = division
        self._moves = moves
        self._shares = shares_of(division)
        self._by = self._shares.of_panels(moves)

    @cached_property
    def _boxes(self) -> Floats:
        return np.array([panel.box for panel in self._division.panels]).reshape(-1, 4)

    def path(self, path: Path) -> tuple[Path, list[int]]:
        """A path where it then runs, and for each of its segments the one that it was of."""
        segments = path.segments
        found: list[Vertex] = []
        of: list[int] = []
        for number, segment in enumerate(segments):
            parts = self._parts(segment)
            found += [Vertex(start, bulge) for start, bulge in parts]
            of += [number] * len(parts)
        if not path.closed and segments:
            found.append(Vertex(self.place(segments[-1].end)))
        return Path(tuple(found), path.closed), of

    def place(self, at: Point) -> Point:
        """Where a place comes to lie."""
        return at.rounded() + Vector(*self._move(at))

    def _move(self, at: Point) -> Pair:
        x, y = at.floats()
        off = np.hypot(self._shares.x - x, self._shares.y - y)
        near = int(np.argmin(off))
        if off[near] <= MEETS_MM:
            dx, dy = self._by[near].tolist()
            return dx, dy
        boxes = self._boxes
        inside = (
            (boxes[:, 0] - MEETS_MM <= x)
            & (boxes[:, 1] - MEETS_MM <= y)
            & (x <= boxes[:, 2] + MEETS_MM)
            & (y <= boxes[:, 3] + MEETS_MM)
        )
        panels = self._division.panels
        under = [k for k in np.flatnonzero(inside).tolist() if lies_on(panels[k], at.rounded())]
        if not under:
            # Beside the paper it goes with what is nearest.
            dx, dy = self._by[near].tolist()
            return dx, dy
        dx, dy = self._moves[under].mean(axis=0).tolist()
        return dx, dy

    def _parts(self, segment: Segment) -> list[tuple[Point, float]]:
        """A segment in parts, each by its start and its bulge."""
        first, last = np.array(self._move(segment.start)), np.array(self._move(segment.end))
        within = self._within(segment)
        moves = [self._by[node] for _, node in within]
        start = segment.start.rounded() + Vector(*first.tolist())
        if segment.is_line:
            heading = segment.direction(0.0)
            along = np.array([float(heading.x), float(heading.y)])
            kept = [
                (share, by)
                for (share, _), by in zip(within, moves, strict=True)
                # What only slides along the line leaves it straight.
                if abs(_cross(along, by - (1.0 - share) * first - share * last)) > ROUNDING_MM
            ]
            places = [segment.at(share).rounded() + Vector(*by.tolist()) for share, by in kept]
            return [(start, 0.0), *((at, 0.0) for at in places)]
        if all(np.abs(by - first).max() <= ROUNDING_MM for by in moves):
            return [(start, segment.bulge)]
        found = []
        shares = [0.0, *(share for share, _ in within), 1.0]
        for k, (low, high) in enumerate(pairwise(shares)):
            part = segment.part(low, high)
            by = first if k == 0 else moves[k - 1]
            found.append((part.start.rounded() + Vector(*by.tolist()), part.bulge))
        return found

    def _within(self, segment: Segment) -> list[tuple[float, int]]:
        """The nodes that lie on a segment between its ends, each with its share of it."""
        shares = self._shares
        left, bottom, right, top = segment.box()
        inside = (
            (left - MEETS_MM <= shares.x)
            & (bottom - MEETS_MM <= shares.y)
            & (shares.x <= right + MEETS_MM)
            & (shares.y <= top + MEETS_MM)
        )
        found = []
        for node in np.flatnonzero(inside).tolist():
            at = Point(float(shares.x[node]), float(shares.y[node]))
            share = share_of(segment, at, MEETS_MM)
            if share is not None and 0.0 < share < 1.0:
                found.append((share, node))
        return sorted(found)


def _cross(one: Floats, other: Floats) -> float:
    return float(one[0] * other[1] - one[1] * other[0])


def _same(before: Division, after: Division) -> tuple[int, ...]:
    """For each panel its index after a move.  Raises NotTheSame."""
    for one in after.problems:
        if one.severity is Severity.STOP:
            raise NotTheSame(one.message)
    if len(before.panels) != len(after.panels):
        raise NotTheSame(f"{len(before.panels)} panels would become {len(after.panels)}")
    labels, others = ([(one.label, one.sense) for one in side.hinges] for side in (before, after))
    if labels != others:
        raise NotTheSame("other folds would join its panels")
    found: dict[int, int] = {}
    for hinge, moved in zip(before.hinges, after.hinges, strict=True):
        for here, there in ((hinge.left, moved.left), (hinge.right, moved.right)):
            if found.setdefault(here, there) != there:
                raise NotTheSame(f"{told('fold', hinge.label)} would join other panels")
    for panel in before.panels:
        found.setdefault(panel.index, panel.index)
    if len(set(found.values())) != len(before.panels):
        raise NotTheSame("panels would grow together")
    known = {name.name for name in before.piece.panel_names}
    for here, there in found.items():
        names = before.panels[here].name, after.panels[there].name
        if names[0] != names[1] and known & set(names):
            raise NotTheSame(f'panel "{names[0]}" would become "{names[1]}"')
    if _rounds(before) != _rounds(after):
        raise NotTheSame("its panels would hang together in other loops")
    return tuple(found[panel.index] for panel in before.panels)


def _rounds(division: Division) -> set[frozenset[int]]:
    return {frozenset(one.hinge for one in knot.crossings) for knot in division.knots}
