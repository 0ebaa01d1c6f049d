"""This module finds where foam and other things have room on the panels of the closed card.

A fold that is shut over a thing stays open unless the thing keeps away from it: the
paper needs about as much length beside the thing as the thing is high, for then it rises
over it by no more than 45 degrees, and nothing glued on has less than 1 mm beside
a fold (common practice, no source).  What lies farther in keeps no fold open; it makes the
card thicker.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

import shapely

from ..design.pieces import Extra, Face, Sense
from ..folding import PanelKey
from ..folding.skeleton import HingeKey
from ..geometry import Point
from ..measures.exact import MEETS_MM, NODED_MM, SLIVER_MM
from ..panels import Assembly, Hinge
from .cover import Cover
from .glued import Glued
from .laid import laid, lifted, lifted_place
from .order import PlyOrder
from .thickness import ThickCell, ThicknessMap

LEAST_CLEAR_MM = 1.0
"""Nothing that is glued on comes nearer to a shut fold than this, in mm."""


def clear_of_fold(height_mm: float) -> float:
    """How far from a shut fold a thing of this height has to stay, in mm."""
    return max(LEAST_CLEAR_MM, height_mm)


class Why(StrEnum):
    """Why a place is no place for foam: it holds a fold open, or makes the card too thick.

    `GROWS` is only a warning: there the card becomes thicker than it is.
    """

    FOLD = "fold"
    LIMIT = "limit"
    GROWS = "grows"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Zone:
    """A part of a face of a panel where nothing of a given height should be.

    `shape` is a shapely (multi)polygon on the flat paper.  `hinge` is the fold that would be
    held open, None for the others.
    """

    panel: PanelKey
    face: Face
    why: Why
    shape: Any
    hinge: HingeKey | None = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Held:
    """A shut fold that is held open by what is glued on `panel` inside it.

    Together `parts` are `needs_mm` high at `at`, on the flat paper of the panel, and lie only
    `clear_mm` from the hinge.
    """

    hinge: HingeKey
    label: str
    panel: PanelKey
    parts: tuple[Glued, ...]
    needs_mm: float
    clear_mm: float
    at: Point

    @property
    def stays_open(self) -> bool:
        """Whether the fold is held open; else only the least room beside a fold is not kept."""
        return self.clear_mm < self.needs_mm - MEETS_MM


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Seat:
    """What an extra does to the closed card.

    `held` are the folds that it holds open, with others or alone; `adds_mm` is by how much
    the card would be thinner without it, None where that is not known.
    """

    extra: Extra
    held: tuple[Held, ...]
    adds_mm: float | None
    over_limit: bool


def no_foam(
    assembly: Assembly,
    cover: Cover,
    order: PlyOrder | None,
    thickness: ThicknessMap,
    height_mm: float,
    limit_mm: float | None = None,
) -> tuple[Zone, ...]:
    """The zones of every face where a thing of `height_mm` should not be, panel by panel.

    It comes on top of the mats and extras that are there already.  Without an `order` only the
    panels that a fold joins are known to lie inside it.  Where the thickness of a place is not
    known, it is judged by what is known; that the card grows is then not told.
    """
    strips = _Folds(assembly, cover, order).strips(thickness, height_mm)
    found = [*strips, *_too_thick(cover, thickness, height_mm, limit_mm)]
    number = {key: place for place, key in enumerate(cover.footprints)}
    faces = list(Face)
    return tuple(sorted(found, key=lambda zone: (number[zone.panel], faces.index(zone.face))))


def held_open(
    assembly: Assembly, cover: Cover, order: PlyOrder | None, thickness: ThicknessMap
) -> tuple[Held, ...]:
    """The shut folds that mats and extras hold open, each with the place where it is worst.

    What lies on each other inside a fold counts together.  Without an `order` only what is
    glued on the two panels of a fold is known to lie inside it.
    """
    folds = _Folds(assembly, cover, order)
    places = [cell for cell in (*thickness.cells, *thickness.points) if cell.glued]
    tree = shapely.STRtree([place.polygon for place in places])
    reach = clear_of_fold(max((_height(place.glued) for place in places), default=0.0))
    found = []
    for fold in folds.shut:
        near = tree.query(fold.line, predicate="dwithin", distance=reach).tolist()
        every = (_held(fold, folds, places[number]) for number in sorted(near))
        worst = max(
            (one for one in every if one is not None),
            key=lambda held: (held.stays_open, round(held.needs_mm - held.clear_mm, 6)),
            default=None,
        )
        if worst is not None:
            found.append(worst)
    return tuple(found)


def seats_of(
    thickness: ThicknessMap, held: Sequence[Held], limit_mm: float | None = None
) -> tuple[Seat, ...]:
    """What each extra that has a place does to the closed card, in the order of the design."""
    cells = (*thickness.cells, *thickness.points)
    under: dict[Glued, list[ThickCell]] = {}
    for cell in cells:
        for one in cell.glued:
            if isinstance(one.part, Extra):
                under.setdefault(one, []).append(cell)
    found = []
    for one, own in under.items():
        mine = set(map(id, own))
        without = max(
            cell.known_mm - (one.mm or 0.0 if id(cell) in mine else 0.0) for cell in cells
        )
        most = max(cell.known_mm for cell in own)
        if isinstance(one.part, Extra):
            found.append(
                Seat(
                    extra=one.part,
                    held=tuple(fold for fold in held if one in fold.parts),
                    adds_mm=None if thickness.mm is None else max(0.0, thickness.mm - without),
                    over_limit=limit_mm is not None and most > limit_mm + MEETS_MM,
                )
            )
    found.sort(key=lambda seat: (seat.extra.place.line or 0, seat.extra.name))
    return tuple(found)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Fold:
    """A shut hinge: its two panels, the face of both that looks into it, its line when closed."""

    key: HingeKey
    hinge: Hinge
    panels: tuple[PanelKey, PanelKey]
    face: Face
    line: Any


class _Folds:
    """The shut folds of a closed card, and what lies inside each."""

    def __init__(self, assembly: Assembly, cover: Cover, order: PlyOrder | None) -> None:
        self.cover = cover
        self.order = order
        self.keys = tuple(cover.footprints)
        self.tree = shapely.STRtree([one.polygon for one in cover.footprints.values()])
        self.shut = tuple(_shut(assembly, cover))

    def strips(self, thickness: ThicknessMap, height_mm: float) -> Iterator[Zone]:
        """The strips along all folds where a thing of that height would hold them open."""
        places = [cell for cell in thickness.cells if cell.glued]
        tree = shapely.STRtree([place.polygon for place in places])
        reach = clear_of_fold(
            height_mm + max((_height(place.glued) for place in places), default=0.0)
        )
        for fold in self.shut:
            parts = [shapely.buffer(fold.line, clear_of_fold(height_mm))]
            for number in tree.query(fold.line, predicate="dwithin", distance=reach).tolist():
                there = _height(self.inside(fold, places[number]))
                strip = shapely.buffer(fold.line, clear_of_fold(height_mm + there))
                parts.append(shapely.intersection(strip, places[number].polygon))
            yield from self._zones(fold, shapely.union_all(parts, grid_size=NODED_MM))

    def _zones(self, fold: _Fold, strip: Any) -> Iterator[Zone]:
        # Only as far as both of its panels reach is a thing inside the fold.
        both = [self.cover.footprints[key].polygon for key in fold.panels]
        covered = shapely.intersection_all([strip, *both])
        for number in sorted(self.tree.query(covered, predicate="intersects").tolist()):
            key = self.keys[number]
            faces = self._faces(fold, key)
            footprint = self.cover.footprints[key]
            shape = _areas(shapely.intersection(covered, footprint.polygon)) if faces else None
            if shape is not None and not shape.is_empty:
                flat = lifted(shape, footprint.placed)
                for face in faces:
                    yield Zone(panel=key, face=face, why=Why.FOLD, shape=flat, hinge=fold.key)

    def inside(self, fold: _Fold, place: ThickCell) -> tuple[Glued, ...]:
        """What is glued on at a place and lies inside a fold."""
        if not set(fold.panels) <= set(place.panels):
            return ()
        return tuple(one for one in place.glued if one.face in self._faces(fold, one.panel))

    def _faces(self, fold: _Fold, key: PanelKey) -> tuple[Face, ...]:
        """The faces of a panel that lie inside a fold."""
        if key in fold.panels:
            return (fold.face,)
        if self.order is None:
            return ()
        low, high = fold.panels
        known = all((min(key, end), max(key, end)) in self.order.above for end in fold.panels)
        between = known and self.order.is_above(key, low) != self.order.is_above(key, high)
        return tuple(Face) if between else ()


def _shut(assembly: Assembly, cover: Cover) -> Iterator[_Fold]:
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            left, right = (name, hinge.left), (name, hinge.right)
            if left not in cover.footprints or right not in cover.footprints:
                continue
            here = cover.footprints[left]
            if here.face_up == cover.footprints[right].face_up:
                continue
            ends = shapely.LineString((hinge.start.floats(), hinge.end.floats()))
            yield _Fold(
                key=(name, hinge.index),
                hinge=hinge,
                panels=(left, right),
                # A valley shuts on the front of its panels, a mountain on their backs.
                face=Face.FRONT if hinge.sense is Sense.VALLEY else Face.BACK,
                line=laid(ends, here.placed),
            )


def _areas(shape: Any) -> Any:
    """The parts of a shape that have an area worth the name."""
    parts = shapely.get_parts(shape)
    wide = parts[2.0 * shapely.area(parts) > SLIVER_MM * shapely.length(parts)]
    return shapely.multipolygons(wide)


def _height(parts: Iterable[Glued]) -> float:
    return math.fsum(one.mm or 0.0 for one in parts)


def _held(fold: _Fold, folds: _Folds, place: ThickCell) -> Held | None:
    """What is glued on at a place, if it lies inside a fold and too near to it."""
    parts = folds.inside(fold, place)
    needs, clear = _height(parts), float(shapely.distance(fold.line, place.polygon))
    if not parts or clear >= clear_of_fold(needs) - MEETS_MM:
        return None
    panel = parts[0].panel
    nearest = shapely.get_coordinates(shapely.shortest_line(fold.line, place.polygon))[1]
    return Held(
        hinge=fold.key,
        label=fold.hinge.label,
        panel=panel,
        parts=parts,
        needs_mm=needs,
        clear_mm=clear,
        at=lifted_place(Point(*nearest.tolist()), folds.cover.footprints[panel].placed),
    )


def _too_thick(
    cover: Cover, thickness: ThicknessMap, height_mm: float, limit_mm: float | None
) -> Iterator[Zone]:
    """Where a thing would make the card thicker than its limit, or than it is."""
    over: dict[PanelKey, list[Any]] = {}
    grows: dict[PanelKey, list[Any]] = {}
    for cell in thickness.cells:
        there = cell.known_mm + height_mm
        if limit_mm is not None and there > limit_mm + MEETS_MM:
            _file(cell, over)
        elif thickness.mm is not None and there > thickness.mm + MEETS_MM:
            _file(cell, grows)
    for why, cells in ((Why.LIMIT, over), (Why.GROWS, grows)):
        for key, polygons in cells.items():
            whole = shapely.union_all(polygons, grid_size=NODED_MM)
            flat = lifted(whole, cover.footprints[key].placed)
            for face in Face:
                yield Zone(panel=key, face=face, why=why, shape=flat)


def _file(cell: ThickCell, under: dict[PanelKey, list[Any]]) -> None:
    for key in cell.panels:
        under.setdefault(key, []).append(cell.polygon)
