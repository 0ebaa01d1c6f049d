"""This module finds what sticks out of the closed card.

The closed card is covered by the panels that its author calls a cover, or else by
its outermost plies.  What any other panel has outside the outline of these is bent in
the envelope, or shows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import numpy as np
import shapely

from ..folding import PanelKey
from ..geometry import Point, Vector
from ..measures.exact import MEETS_MM, NODED_MM, ROUNDING_MM, SLIVER_MM
from ..panels import Assembly
from .cover import Cover
from .laid import lifted_place, lifted_way
from .order import Blocked, PlyOrder, Undecided, plies_at
from .paper import Floats, Ints

# Beside an outline with bays the farthest place may lie within what sticks out; it
# is sought until no other one can be farther by more than this, in mm.
_WITHIN_MM = 0.01

# The outermost plies are no cover where they are less than this share of the closed card:
# then its other panels lie outside in part, as in a twist.
_LEAST_SHARE = 0.25


class Where(StrEnum):
    """Where something sticks out of the outline.

    `PAST` the rectangle round it: there an envelope bends it.  `BESIDE` the outline and within
    that rectangle, in a `BAY` even within its convex hull: there it shows.
    """

    PAST = "past"
    BESIDE = "beside"
    BAY = "bay"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Spill:
    """A panel that sticks out: by `mm`, the largest distance of a place of it from the outline.

    That place is `at` on the flat paper of the panel and `closed_at` in the closed card;
    `toward`, of length 1, leads to it straight away from the outline, on the flat paper of
    the panel.  `past` is the covering panel whose edge is nearest, at the place `past_at` of its
    flat paper.  `outside` is all that sticks out there, a shapely (multi)polygon in the closed
    card.
    """

    panel: PanelKey
    where: Where
    mm: float
    at: Point
    closed_at: Point
    toward: Vector
    past: PanelKey
    past_at: Point
    outside: Any


@dataclass(frozen=True, slots=True)
class NoCover:
    """There is nothing to tell by what sticks out; `why` is a part of a sentence."""

    why: str


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Spilled:
    """What is covered, and what is not: the panel that sticks out the farthest first.

    `covering` are the panels that cover the card, `named` whether the author called them so,
    `outline` what they cover together, a shapely (multi)polygon without holes: what shows
    through a window is not outside.  `spills` are what sticks out past the rectangle round the
    outline, along the axes of the closed card; `beside` what shows within it.
    """

    covering: tuple[PanelKey, ...]
    named: bool
    outline: Any
    spills: tuple[Spill, ...]
    beside: tuple[Spill, ...]

    @property
    def mm(self) -> float:
        """By how many mm the card spills, 0 where nothing sticks out past its rectangle."""
        return self.spills[0].mm if self.spills else 0.0


def covers_of(assembly: Assembly) -> tuple[PanelKey, ...]:
    """The panels that the design calls a cover."""
    return tuple(
        (name, panel.index)
        for name, division in assembly.divisions.items()
        for panel in division.panels
        if any(one.cover and one.name == panel.name for one in division.piece.panel_names)
    )


def outermost(cover: Cover, order: PlyOrder) -> tuple[PanelKey, ...]:
    """The outermost plies, in the order of the design: with nothing above, or nothing below.

    A leaf that has other plies above it here and below it there, and nowhere both, is one too,
    if the box round it is larger than those round all others: its bands fold to both sides.  A
    step that comes out from under a short page is not.
    """
    under: set[PanelKey] = set()
    over: set[PanelKey] = set()
    inner: set[PanelKey] = set()
    for cell in cover.cells:
        plies = plies_at(order, cell)
        under.update(plies[:-1])
        over.update(plies[1:])
        inner.update(plies[1:-1])
    free = [key for key in cover.footprints if key not in under or key not in over]
    sizes = {key: _size(cover.footprints[key].polygon) for key in cover.footprints}
    largest = max((sizes[key] for key in free), default=0.0)
    leaves = {key for key in cover.footprints if key not in inner and sizes[key] > largest}
    return tuple(key for key in cover.footprints if key in leaves or key in free)


def _size(polygon: Any) -> float:
    """The area of the box round a shape, in mm², rounded so that equal ones are equal."""
    left, low, right, high = polygon.bounds
    return round(float((right - left) * (high - low)), 6)


def spill_of(
    cover: Cover, order: PlyOrder | Blocked | Undecided, covers: Iterable[PanelKey] = ()
) -> Spilled | NoCover:
    """What sticks out of the closed card, by more than SLIVER_MM.

    `covers` are the panels that the design calls a cover; where none of them is part of the
    card the outermost plies are, as long as they cover a quarter of it.  Distances are exact but
    for arcs, which are chords within MEETS_MM here; beside an outline that is not convex
    they may be too small by a hundredth of a mm.
    """
    named = tuple(dict.fromkeys(key for key in covers if key in cover.footprints))
    if named:
        return _spilled(cover, named, named=True)
    if isinstance(order, Blocked):
        return NoCover("its panels would have to pass through each other")
    if isinstance(order, Undecided):
        return NoCover("the order of its plies is not decided")
    covering = outermost(cover, order)
    if not covering:
        return NoCover("each of its panels has others above it and below it")
    found = _spilled(cover, covering, named=False)
    share = found.outline.area / cover.outline.area
    if share < _LEAST_SHARE:
        return NoCover(f"its outermost plies are only {share:.0%} of it")
    return found


def _spilled(cover: Cover, covering: tuple[PanelKey, ...], *, named: bool) -> Spilled:
    outline = _without_holes(
        shapely.union_all([cover.footprints[key].polygon for key in covering], grid_size=NODED_MM)
    )
    within = shapely.buffer(outline, SLIVER_MM)
    shapely.prepare(within)
    others = [key for key in cover.footprints if key not in set(covering)]
    polygons = np.array([cover.footprints[key].polygon for key in others], dtype=object)
    found = [
        spill
        for key, sheltered in zip(others, shapely.covered_by(polygons, within), strict=True)
        if not sheltered
        for spill in _of_panel(key, cover, covering, outline)
    ]
    # Panels that stick out alike stay in the order of the design.
    found.sort(key=lambda spill: -round(spill.mm, 9))
    return Spilled(
        covering=covering,
        named=named,
        outline=outline,
        spills=tuple(one for one in found if one.where is Where.PAST),
        beside=tuple(one for one in found if one.where is not Where.PAST),
    )


def _without_holes(shape: Any) -> Any:
    parts = shapely.get_parts(shape)
    return shapely.union_all(shapely.polygons(shapely.get_exterior_ring(parts)))


def _of_panel(
    key: PanelKey, cover: Cover, covering: Sequence[PanelKey], outline: Any
) -> Iterator[Spill]:
    outside = shapely.difference(cover.footprints[key].polygon, outline)
    box = shapely.box(*outline.bounds)
    # What reaches past the rectangle by less than counts does not, nor does it show beside.
    wider = shapely.buffer(box, SLIVER_MM, join_style="mitre")
    for past, part in (
        (True, shapely.difference(outside, wider)),
        (False, shapely.intersection(outside, box)),
    ):
        if not part.is_empty:
            yield from _spill(key, cover, covering, outline, part, past=past)


def _spill(
    key: PanelKey,
    cover: Cover,
    covering: Sequence[PanelKey],
    outline: Any,
    outside: Any,
    *,
    past: bool,
) -> Iterator[Spill]:
    footprint = cover.footprints[key]
    mm, spot = _farthest(outside, outline)
    if mm <= SLIVER_MM:
        # A crack in the outline that is hardly wider than a sliver.
        return
    rim, _ = shapely.get_coordinates(shapely.shortest_line(outline, spot))
    at, edge = Point(spot.x, spot.y), Point(*rim.tolist())
    away = shapely.distance(
        [cover.footprints[one].polygon for one in covering], shapely.Point(*edge.floats())
    )
    nearest = covering[int(np.argmin(away))]
    along = lifted_way((np.array(at.floats()) - rim) / mm, footprint.placed)
    yield Spill(
        panel=key,
        where=Where.PAST if past else _within_hull(spot, outline),
        mm=mm,
        at=lifted_place(at, footprint.placed),
        closed_at=at,
        toward=Vector(*along.tolist()),
        past=nearest,
        past_at=lifted_place(edge, cover.footprints[nearest].placed),
        outside=outside,
    )


def _within_hull(spot: Any, outline: Any) -> Where:
    inside = shapely.distance(spot, shapely.convex_hull(outline)) <= MEETS_MM
    return Where.BAY if inside else Where.BESIDE


def _farthest(outside: Any, outline: Any) -> tuple[float, Any]:
    """The place of a shape that is farthest from an outline, and how far.

    The distance from a convex outline is a convex function, so a corner attains it.
    """
    corners = shapely.get_coordinates(outside)
    away = shapely.distance(shapely.points(corners), outline)
    best = int(np.argmax(np.round(away, 9)))
    mm, spot = float(away[best]), shapely.Point(corners[best])
    hull = shapely.convex_hull(outline)
    if hull.area - outline.area <= SLIVER_MM * hull.length:
        return mm, spot
    inner = _farthest_within(outside, outline, mm)
    return (mm, spot) if inner is None else inner


def _farthest_within(outside: Any, outline: Any, known: float) -> tuple[float, Any] | None:
    """A place of a shape that is farther than `known` from an outline; None without one.

    The shape is halved as long as a part of it may hold a place that is farther than the best
    one known.  No place is farther from the outline than from one edge of it, nor than the
    mean of its distances from two: convex functions, which a corner of the part attains.
    """
    edges = _edges(outline)
    tree = shapely.STRtree(edges)
    parts = _areas(outside)
    best, found = known + ROUNDING_MM, None
    while len(parts):
        at, owner = shapely.get_coordinates(parts, return_index=True)
        corners = shapely.points(at)
        one = edges[tree.nearest(shapely.centroid(parts))]
        away = shapely.distance(corners, one[owner])
        other = edges[tree.nearest(corners[_last(owner, away)])]
        beyond = shapely.distance(corners, other[owner])
        most = np.minimum(
            away[_last(owner, away)], ((away + beyond) / 2.0)[_last(owner, away + beyond)]
        )
        # Half way between the two edges is what is farthest from both.
        low, high = _last(owner, beyond - away), _last(owner, away - beyond)
        lead, lag = (beyond - away)[low], (away - beyond)[high]
        share = np.divide(lead, lead + lag, out=np.zeros_like(lead), where=lead + lag > 0.0)
        between = at[low] + np.clip(share, 0.0, 1.0)[:, None] * (at[high] - at[low])
        tried = np.concatenate((corners, shapely.points(between)))
        reached = shapely.distance(tried, outline)
        for top in np.argsort(-reached):
            if reached[top] <= best:
                break
            if top < len(corners) or shapely.intersects(outside, tried[top]):
                best, found = float(reached[top]), tried[top]
                break
        parts = _halved(parts[most > best + _WITHIN_MM])
    return None if found is None else (best, found)


def _last(owner: Ints, value: Floats) -> Ints:
    """For each owner, in ascending order, the index of its largest value."""
    order = np.lexsort((value, owner))
    ends = np.append(np.flatnonzero(np.diff(owner[order])), len(order) - 1)
    return np.asarray(order[ends])


def _edges(outline: Any) -> Any:
    """The straight stretches of the rim of an outline, an array of lines."""
    rings = shapely.get_parts(shapely.boundary(outline))
    at, ring = shapely.get_coordinates(rings, return_index=True)
    on = ring[1:] == ring[:-1]
    return shapely.linestrings(np.stack((at[:-1][on], at[1:][on]), axis=1))


def _halved(parts: Any) -> Any:
    """All parts cut in two across the longer side of their boxes."""
    left, low, right, high = shapely.bounds(parts).T
    across = right - left >= high - low
    x = np.where(across, (left + right) / 2.0, right)
    y = np.where(across, high, (low + high) / 2.0)
    first = shapely.box(left, low, x, y)
    second = shapely.box(np.where(across, x, left), np.where(across, low, y), right, high)
    return _areas(
        np.concatenate((shapely.intersection(parts, first), shapely.intersection(parts, second)))
    )


def _areas(shapes: Any) -> Any:
    """The polygons that shapes consist of, an array."""
    parts = shapely.get_parts(shapely.get_parts(shapes))
    return parts[shapely.area(parts) > 0.0]
