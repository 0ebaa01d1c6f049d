"""This module finds what lies in the folds of a closed card: which plies, how high, how near.

A ply lies as high as all that lies beneath it at its place.  Paper is pressed flat, so two
plies part only where something lies between them: what ends short of a fold leaves them the
stretch up to the fold to come together again.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import shapely

from ..design.pieces import Face
from ..folding import PanelKey
from ..folding.skeleton import HingeKey
from ..measures.exact import MEETS_MM, SLIVER_MM
from ..panels import Assembly, Hinge
from .calipers import caliper_of
from .cover import Cell, Cover
from .glued import Glued
from .order import PlyOrder, plies_at
from .paper import Floats
from .thickness import ThickCell, ThicknessMap, stock_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Wrap:
    """What a fold that is shut wraps: a pack `height_mm` high that ends `clear_mm` short of it.

    `panels` are the plies of the pack from the bottom up; mats and extras count in its
    height.  Of several packs it is the one that takes up most.
    """

    height_mm: float
    clear_mm: float
    panels: tuple[PanelKey, ...]

    @property
    def length_mm(self) -> float:
        """The length of sheet that goes round the pack, beyond the one that lies flat."""
        return length_round(self.height_mm, self.clear_mm)


def length_round(height_mm: float, clear_mm: float) -> float:
    """The least length of sheet round a pack that ends `clear_mm` short of the fold, in mm.

    The sheet runs straight from the lower edge of the pack to the fold and back to its upper
    edge: sqrt(4 c² + h²) in place of 2 c (Pythagoras).  The height itself for a
    pack that reaches the fold, which is two sharp folds of 90 degrees; next to nothing for
    one that ends a few heights short of it.
    """
    whole = math.hypot(2.0 * clear_mm, height_mm)
    # The form that does not subtract what is nearly equal.
    return height_mm * height_mm / (whole + 2.0 * clear_mm) if whole > 0.0 else 0.0


def heights_at(
    cell: ThickCell,
    order: PlyOrder,
    assembly: Assembly,
    cover: Cover,
    calipers: Mapping[str, float],
) -> Mapping[PanelKey, float]:
    """The height of the middle of each ply of a cell, in mm over the lowest face; bottom first.

    Calipers are in mm by stock.  What has no known height counts as nothing.
    """
    plies = plies_at(order, Cell(polygon=cell.polygon, panels=cell.panels))
    on: dict[tuple[PanelKey, bool], float] = {}
    for one in cell.glued:
        side = (one.panel, looks_up(one, cover))
        on[side] = on.get(side, 0.0) + (one.mm or 0.0)
    found: dict[PanelKey, float] = {}
    top = 0.0
    for key in plies:
        half = _half(key, assembly, calipers)
        top += on.get((key, False), 0.0)
        found[key] = top + half
        top += 2.0 * half + on.get((key, True), 0.0)
    return found


def looks_up(one: Glued, cover: Cover) -> bool:
    """Whether a mat or an extra lies on the upper face of its panel in the closed card."""
    return cover.footprints[one.panel].face_up is (one.face is Face.FRONT)


def wraps_of(
    assembly: Assembly,
    cover: Cover,
    order: PlyOrder,
    thickness: ThicknessMap,
    calipers: Mapping[str, float],
) -> Mapping[HingeKey, Wrap]:
    """What each fold that is shut wraps, those left out that wrap nothing.

    Only what lies straight before a stretch of the fold counts, between the two panels that
    it joins.  Calipers are in mm by stock.
    """
    found: dict[HingeKey, Wrap] = {}
    packs = list(_packs(assembly, cover, order, thickness.cells, calipers))
    clear = _clear([(key, cell.polygon) for key, cell, *_ in packs], assembly, cover)
    for (key, _, height, panels), away in zip(packs, clear, strict=True):
        if not math.isfinite(away):
            continue
        wrap = Wrap(height_mm=height, clear_mm=away, panels=panels)
        best = found.get(key)
        if best is None or wrap.length_mm > best.length_mm:
            found[key] = wrap
    return MappingProxyType({key: found[key] for key in sorted(found)})


def is_shut(hinge: Hinge) -> bool:
    """Whether a hinge is turned by 180 degrees in the closed card."""
    return float(hinge.angle) == 180.0


def _half(key: PanelKey, assembly: Assembly, calipers: Mapping[str, float]) -> float:
    return (caliper_of(stock_of(assembly, key), calipers) or 0.0) / 2.0


def _packs(
    assembly: Assembly,
    cover: Cover,
    order: PlyOrder,
    cells: Sequence[ThickCell],
    calipers: Mapping[str, float],
) -> Iterator[tuple[HingeKey, ThickCell, float, tuple[PanelKey, ...]]]:
    """Every hinge that is shut with each cell where something lies between its two panels."""
    shut: dict[PanelKey, list[tuple[HingeKey, PanelKey]]] = {}
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            if is_shut(hinge):
                key = (name, hinge.index)
                shut.setdefault((name, hinge.left), []).append((key, (name, hinge.right)))
    for cell in cells:
        if len(cell.panels) + len(cell.glued) < 3:
            continue
        heights = heights_at(cell, order, assembly, cover, calipers)
        plies = tuple(heights)
        level = {key: place for place, key in enumerate(plies)}
        for one in plies:
            for hinge_key, other in shut.get(one, ()):
                if other not in level:
                    continue
                low, high = sorted((level[one], level[other]))
                lower, upper = plies[low], plies[high]
                own = _half(lower, assembly, calipers) + _half(upper, assembly, calipers)
                pack = heights[upper] - heights[lower] - own
                if pack > MEETS_MM:
                    yield hinge_key, cell, pack, plies[low + 1 : high]


def _clear(pairs: Sequence[tuple[HingeKey, Any]], assembly: Assembly, cover: Cover) -> list[float]:
    """How far short of its fold each cell ends, infinite where it lies before no stretch of it."""
    if not pairs:
        return []
    left, bottom, right, top = cover.outline.bounds
    deep = (right - left) + (top - bottom)
    starts, insides, fields = [], [], []
    known: dict[HingeKey, tuple[Floats, Floats, Any]] = {}
    for key, _ in pairs:
        if key not in known:
            known[key] = _before(key, deep, assembly, cover)
        start, inside, before = known[key]
        starts.append(start)
        insides.append(inside)
        fields.append(before)
    parts = shapely.intersection([polygon for _, polygon in pairs], fields)
    at, number = shapely.get_coordinates(parts, return_index=True)
    off = ((at - np.array(starts)[number]) * np.array(insides)[number]).sum(axis=1)
    found = np.full(len(pairs), np.inf)
    np.minimum.at(found, number, np.maximum(off, 0.0))
    # Twice the area over the length of the rim is the width of a strip.
    thin = 2.0 * shapely.area(parts) <= SLIVER_MM * shapely.length(parts)
    found[thin] = np.inf
    near: list[float] = np.where(found <= MEETS_MM, 0.0, found).tolist()
    return near


def _before(
    key: HingeKey, deep: float, assembly: Assembly, cover: Cover
) -> tuple[Floats, Floats, Any]:
    """A hinge in the closed card: an end, the way in towards its panels, what lies before it."""
    name, index = key
    hinge = assembly.divisions[name].hinges[index]
    footprint = cover.footprints[name, hinge.left]
    turn = np.array([row[:2] for row in footprint.placed.rows[:2]], dtype=float)
    shift = np.array(footprint.placed.shift[:2], dtype=float)
    ends = np.array([hinge.start.floats(), hinge.end.floats()]) @ turn.T + shift
    along = (ends[1] - ends[0]) / np.hypot(*(ends[1] - ends[0]))
    # The left panel lies on the left of the fold, unless its back looks up.
    inside = np.array([-along[1], along[0]]) * (1.0 if footprint.face_up else -1.0)
    corners = [ends[0], ends[1], ends[1] + deep * inside, ends[0] + deep * inside]
    return ends[0], inside, shapely.Polygon(corners)
