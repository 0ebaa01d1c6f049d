"""This module finds what is seen of the closed card from above and from below.

At each place the outermost ply is seen.  The lines between what is seen of two panels are
edges of paper, or folds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Any

import numpy as np
import shapely

from ..design.pieces import Face, Sense
from ..folding import PanelKey
from ..geometry.areas import areas_of
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM, NODED_MM
from ..panels import Assembly, Hinge
from ..stacking.cover import Cover
from ..stacking.glued import Glued
from ..stacking.laid import laid
from ..stacking.order import PlyOrder, plies_at
from ..stacking.room import Why, Zone
from .closed import SeenLine, SeenPanel, SeenPart, Side, Stroke

# A stretch between two cells: its ends, and what is seen on either side of it.
_Ends = tuple[tuple[float, float], tuple[float, float]]
_Beside = tuple[PanelKey | None, PanelKey | None]


def sides_of(
    assembly: Assembly,
    cover: Cover,
    order: PlyOrder,
    names: Mapping[PanelKey, str],
    given: frozenset[PanelKey],
    glued: Sequence[Glued] = (),
    zones: Sequence[Zone] = (),
) -> tuple[Side, Side]:
    """The two sides of the closed card, from above and from below, both as seen from above."""
    piles = [plies_at(order, cell) for cell in cover.cells]
    above, below = (
        _side(assembly, cover, [pile[place] for pile in piles], names, given, glued, zones, place)
        for place in (-1, 0)
    )
    return above, below


def _side(
    assembly: Assembly,
    cover: Cover,
    outermost: Sequence[PanelKey],
    names: Mapping[PanelKey, str],
    given: frozenset[PanelKey],
    glued: Sequence[Glued],
    zones: Sequence[Zone],
    place: int,
) -> Side:
    above = place == -1
    cells: dict[PanelKey, list[Any]] = {key: [] for key in cover.footprints}
    for key, cell in zip(outermost, cover.cells, strict=True):
        cells[key].append(cell.polygon)
    panels = tuple(
        SeenPanel(
            key=key,
            name=names[key],
            given=key in given,
            face=Face.FRONT if cover.footprints[key].face_up == above else Face.BACK,
            shape=shapely.coverage_union_all(shapes),
        )
        for key, shapes in cells.items()
        if shapes
    )
    lines = (*_lines(assembly, cover, outermost, above=above), *_scores(assembly, cover, panels))
    return Side(
        above=above,
        panels=panels,
        lines=lines,
        parts=tuple(_parts(cover, panels, glued)),
        no_foam=_no_foam(cover, panels, zones),
    )


def _parts(cover: Cover, panels: Iterable[SeenPanel], glued: Sequence[Glued]) -> Iterator[SeenPart]:
    """What is seen of mats and extras on the faces that are seen."""
    for panel in panels:
        placed = cover.footprints[panel.key].placed
        for one in glued:
            if one.panel == panel.key and one.face is panel.face and one.shape is not None:
                shape = areas_of(shapely.intersection(laid(one.shape, placed), panel.shape))
                if not shape.is_empty:
                    yield SeenPart(name=one.part.name, shape=shape)


def _no_foam(cover: Cover, panels: Iterable[SeenPanel], zones: Sequence[Zone]) -> Any:
    found = []
    for panel in panels:
        placed = cover.footprints[panel.key].placed
        shapes = [
            laid(zone.shape, placed)
            for zone in zones
            if zone.panel == panel.key and zone.face is panel.face and zone.why is not Why.GROWS
        ]
        if shapes:
            whole = shapely.union_all(shapes, grid_size=NODED_MM)
            found.append(shapely.intersection(whole, panel.shape))
    shape = areas_of(shapely.union_all(found, grid_size=NODED_MM))
    return None if shape.is_empty else shape


def _lines(
    assembly: Assembly, cover: Cover, outermost: Sequence[PanelKey], *, above: bool
) -> Iterator[SeenLine]:
    """The lines between what is seen of two panels, and at the rim; straight on in one piece."""
    beside = _beside(cover, outermost)
    found: dict[tuple[Stroke, int], list[_Ends]] = {}
    folds = _folds(assembly, cover)
    lines = [line for _, _, _, line in folds]
    middles = shapely.points([np.mean(ends, axis=0) for ends in beside])
    on = shapely.STRtree(lines).query(middles, predicate="dwithin", distance=MEETS_MM)
    near: dict[int, list[int]] = {}
    for place, fold in on.T.tolist():
        near.setdefault(place, []).append(fold)
    within = _on_own_rim(assembly, cover, beside, middles)
    for place, (ends, (one, other)) in enumerate(beside.items()):
        if one == other and not within[place]:
            continue
        stroke, number = Stroke.EDGE, -1
        for fold in near.get(place, ()):
            hinge, left, right, _ = folds[fold]
            seen = _as_seen(cover, hinge, left, right, {one, other}, above=above)
            if seen is not None:
                stroke, number = seen, fold
                break
        found.setdefault((stroke, number), []).append(ends)
    for (stroke, _), stretches in sorted(found.items()):
        merged = shapely.line_merge(shapely.multilinestrings([list(one) for one in stretches]))
        for line in shapely.get_parts(shapely.normalize(merged)).tolist():
            yield SeenLine(stroke=stroke, line=shapely.simplify(line, MEETS_MM / 2.0))


def _beside(cover: Cover, outermost: Sequence[PanelKey]) -> dict[_Ends, _Beside]:
    """Every stretch of the rims of cells and what is seen on either side; None is no paper."""
    found: dict[_Ends, list[PanelKey]] = {}
    for key, cell in zip(outermost, cover.cells, strict=True):
        for ring in (cell.polygon.exterior, *cell.polygon.interiors):
            corners = [(x, y) for x, y in shapely.get_coordinates(ring).tolist()]
            for start, end in pairwise(corners):
                ends = (start, end) if start < end else (end, start)
                found.setdefault(ends, []).append(key)
    return {
        ends: (keys[0], keys[1] if len(keys) > 1 else None) for ends, keys in sorted(found.items())
    }


def _folds(assembly: Assembly, cover: Cover) -> list[tuple[Hinge, PanelKey, PanelKey, Any]]:
    """The hinges of the closed card with their panels, and where their lines lie."""
    found = []
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            left, right = (name, hinge.left), (name, hinge.right)
            if left in cover.footprints and right in cover.footprints:
                ends = shapely.LineString((hinge.start.floats(), hinge.end.floats()))
                found.append((hinge, left, right, laid(ends, cover.footprints[left].placed)))
    return found


def _as_seen(
    cover: Cover,
    hinge: Hinge,
    left: PanelKey,
    right: PanelKey,
    seen: set[PanelKey | None],
    *,
    above: bool,
) -> Stroke | None:
    """How a fold looks between two panels that are seen, None where it is not seen there."""
    up = cover.footprints[left].face_up
    if up != cover.footprints[right].face_up:
        return Stroke.SHUT if seen & {left, right} else None
    if seen != {left, right}:
        return None
    return Stroke.VALLEY if (hinge.sense is Sense.VALLEY) == (up == above) else Stroke.MOUNTAIN


def _on_own_rim(
    assembly: Assembly,
    cover: Cover,
    beside: Mapping[_Ends, _Beside],
    middles: Any,
) -> list[bool]:
    """Whether stretches with one panel on both sides are slits of that panel."""
    found = [False] * len(beside)
    rims: dict[PanelKey, Any] = {}
    for place, (one, other) in enumerate(beside.values()):
        if one is None or one != other:
            continue
        if one not in rims:
            panel = assembly.divisions[one[0]].panels[one[1]]
            rings = [flattened(path, MEETS_MM) for path in (panel.ring, *panel.holes)]
            closed = [[*ring, ring[0]] for ring in rings]
            rims[one] = laid(shapely.MultiLineString(closed), cover.footprints[one].placed)
            shapely.prepare(rims[one])
        found[place] = bool(shapely.dwithin(rims[one], middles[place], MEETS_MM))
    return found


def _scores(assembly: Assembly, cover: Cover, panels: Iterable[SeenPanel]) -> Iterator[SeenLine]:
    """Lines that are scored and never turned, as far as they are seen."""
    for panel in panels:
        for fold in assembly.divisions[panel.key[0]].piece.folds:
            if fold.still:
                ends = list(flattened(fold.path, MEETS_MM))
                line = laid(shapely.LineString(ends), cover.footprints[panel.key].placed)
                for part in shapely.get_parts(shapely.intersection(line, panel.shape)).tolist():
                    if isinstance(part, shapely.LineString) and part.length > MEETS_MM:
                        yield SeenLine(stroke=Stroke.SCORED, line=part)
