"""This module finds what sticks out of the closed card.

The closed card is covered by the panels that its author calls a cover, or else by
its outermost plies: those that nowhere lie between two others.  What any other panel has
outside the outline of these is bent in the envelope.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ..folding import PanelKey
from ..geometry import Point, Vector
from ..measures.exact import NODED_MM, SLIVER_MM
from ..panels import Assembly
from .cover import Cover
from .laid import lifted_place, lifted_way
from .order import Blocked, PlyOrder, Undecided, plies_at
from .paper import Floats

# Beside an outline with bays the farthest place may lie within what sticks out; it
# is sought until no other one can be farther by more than this, in mm.
_WITHIN_MM = 0.01

# Panels that lie outside all over are no cover where they are less than this share of the
# closed card: then its other panels lie outside in part, as in a twist.
_LEAST_SHARE = 0.25

# Squares to the longer side of what sticks out, in the first search of it.
_SQUARES = 16


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Spill:
    """A panel that sticks out: by `mm`, the largest distance of a place of it from the outline.

    That place is `at` on the flat paper of the panel and `closed_at` in the closed card;
    `toward`, of length 1, leads to it straight away from the outline, on the flat paper of
    the panel.  `past` is the covering panel whose edge is nearest, at the place `past_at` of its
    flat paper.  `outside` is all that sticks out, a shapely (multi)polygon in the closed card.
    """

    panel: PanelKey
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
    through a window is not outside.
    """

    covering: tuple[PanelKey, ...]
    named: bool
    outline: Any
    spills: tuple[Spill, ...]

    @property
    def mm(self) -> float:
        """By how many mm the card spills, 0 where nothing sticks out."""
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
    """The panels that nowhere lie between two others, in the order of the design."""
    inner: set[PanelKey] = set()
    for cell in cover.cells:
        if not inner.issuperset(cell.panels):
            inner.update(plies_at(order, cell)[1:-1])
    return tuple(key for key in cover.footprints if key not in inner)


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
        return NoCover("each of its panels lies between two others somewhere")
    found = _spilled(cover, covering, named=False)
    share = found.outline.area / cover.outline.area
    if share < _LEAST_SHARE:
        return NoCover(f"the plies that lie outside all over are only {share:.0%} of it")
    return found


def _spilled(cover: Cover, covering: tuple[PanelKey, ...], *, named: bool) -> Spilled:
    outline = _without_holes(
        shapely.union_all([cover.footprints[key].polygon for key in covering], grid_size=NODED_MM)
    )
    within = shapely.buffer(outline, SLIVER_MM)
    shapely.prepare(within)
    others = [key for key in cover.footprints if key not in set(covering)]
    polygons = np.array([cover.footprints[key].polygon for key in others], dtype=object)
    spills = (
        _spill(key, cover, covering, outline)
        for key, sheltered in zip(others, shapely.covered_by(polygons, within), strict=True)
        if not sheltered
    )
    found = [spill for spill in spills if spill is not None]
    # Panels that stick out alike stay in the order of the design.
    found.sort(key=lambda spill: -round(spill.mm, 9))
    return Spilled(covering=covering, named=named, outline=outline, spills=tuple(found))


def _without_holes(shape: Any) -> Any:
    parts = shapely.get_parts(shape)
    return shapely.union_all(shapely.polygons(shapely.get_exterior_ring(parts)))


def _spill(key: PanelKey, cover: Cover, covering: Sequence[PanelKey], outline: Any) -> Spill | None:
    footprint = cover.footprints[key]
    outside = shapely.difference(footprint.polygon, outline)
    mm, spot = _farthest(outside, outline)
    if mm <= SLIVER_MM:
        # A crack in the outline that is hardly wider than a sliver.
        return None
    rim, _ = shapely.get_coordinates(shapely.shortest_line(outline, spot))
    at, edge = Point(spot.x, spot.y), Point(*rim.tolist())
    away = shapely.distance(
        [cover.footprints[one].polygon for one in covering], shapely.Point(*edge.floats())
    )
    past = covering[int(np.argmin(away))]
    along = lifted_way((np.array(at.floats()) - rim) / mm, footprint.placed)
    return Spill(
        panel=key,
        mm=mm,
        at=lifted_place(at, footprint.placed),
        closed_at=at,
        toward=Vector(*along.tolist()),
        past=past,
        past_at=lifted_place(edge, cover.footprints[past].placed),
        outside=outside,
    )


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

    Squares over the shape are quartered as long as they may hold a place that is farther than
    the best one known: a distance changes no faster than the place it is measured from.
    """
    left, low, right, high = outside.bounds
    half = max(right - left, high - low) / 2.0 / _SQUARES
    steps = (np.arange(_SQUARES) * 2.0 + 1.0) * half
    centres = np.stack(np.meshgrid(left + steps, low + steps), axis=-1).reshape(-1, 2)
    best, found = known, None
    shapely.prepare(outside)
    while True:
        reach = half * np.sqrt(2.0)
        middles = shapely.points(centres)
        away = shapely.distance(middles, outline)
        open_ = (away + reach > best + _WITHIN_MM) & shapely.dwithin(outside, middles, reach)
        centres, middles, away = centres[open_], middles[open_], away[open_]
        if not len(centres):
            return None if found is None else (best, found)
        inside = shapely.intersects(outside, middles)
        if inside.any():
            top = int(np.argmax(np.where(inside, away, -1.0)))
            if away[top] > best + _WITHIN_MM:
                best, found = float(away[top]), middles[top]
        if reach <= _WITHIN_MM / 2.0:
            return None if found is None else (best, found)
        half /= 2.0
        centres = _quartered(centres, half)


def _quartered(centres: Floats, half: float) -> Floats:
    shifts = half * np.array([(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)])
    return np.asarray((centres[:, None, :] + shifts[None, :, :]).reshape(-1, 2))
