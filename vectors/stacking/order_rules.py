"""This module gathers what a valid order of the panels of the closed card has to keep to.

Of two panels that share a cell one lies above the other.  What that must agree with are the
usual conditions of flat folding (J. Justin, Towards a mathematical theory of origami, 1997;
E. D. Demaine and J. O'Rourke, Geometric Folding Algorithms, 2007, where the middle three
are called taco-taco, taco-tortilla and tortilla-tortilla):

* the sense of a shut fold, and which face looks up, say which of its panels is above;
* two shut folds that lie on each other and open to the same side do not interleave;
* nothing that runs on across a shut fold lies between its two panels;
* what runs on across a line, in one panel or over a flat fold, does not change places there;
* in a cell, above is transitive;
* faces that are glued touch: nothing lies between them on the line of the glue.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, NamedTuple

import numpy as np
import shapely

from ..design.pieces import Face, Sense
from ..folding import PanelKey
from ..geometry import Point
from ..measures.exact import MEETS_MM, ROUNDING_MM, SLIVER_MM
from ..panels import Assembly, Hinge
from .cover import Cover, Footprint
from .paper import Floats

# A number pair (low, high) says that panel `high` lies above panel `low`.
Pair = tuple[int, int]
Place = tuple[float, float]


class Why(StrEnum):
    """What a rule forbids, as part of a sentence."""

    SENSE = "the folds and the glue between two panels contradict each other"
    NEST = "two folds that lie on each other would interleave"
    ACROSS = "a panel that runs on across a fold would lie between the two panels that it joins"
    FLAT = "panels that run on across a line would change places there"
    GLUE = "a panel would lie between two faces that are glued together"
    ROUND = "each of the panels would have to lie above the next"


class Fixed(NamedTuple):
    """A pair of panels whose order is known."""

    pair: Pair
    at: Place


class Alike(NamedTuple):
    """Two pairs of which both or neither hold."""

    one: Pair
    other: Pair
    why: Why
    at: Place


class Nested(NamedTuple):
    """Two shut folds, each as its lower and its upper panel, that must not interleave."""

    one: Pair
    other: Pair
    at: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class Rules:
    """What an order of `count` panels has to keep to.

    `cells` are the sets of panels that share a cell, as bits; sets within others are left
    out.  `pressed` are rules that hold where glue covers all that two panels share,
    and may be given up where it does not reach beyond its line.
    """

    count: int
    cells: tuple[int, ...]
    fixed: tuple[Fixed, ...]
    alike: tuple[Alike, ...]
    nested: tuple[Nested, ...]
    pressed: tuple[Alike, ...] = ()


def among(rules: Rules, panels: Iterable[int]) -> Rules:
    """The rules that speak of these panels only."""
    kept = frozenset(panels)
    mask = sum(1 << panel for panel in kept)
    return Rules(
        count=rules.count,
        cells=largest_sets(cell & mask for cell in rules.cells),
        fixed=tuple(rule for rule in rules.fixed if kept.issuperset(rule.pair)),
        alike=tuple(rule for rule in rules.alike if kept.issuperset(rule.one + rule.other)),
        nested=tuple(rule for rule in rules.nested if kept.issuperset(rule.one + rule.other)),
        pressed=tuple(rule for rule in rules.pressed if kept.issuperset(rule.one + rule.other)),
    )


def largest_sets(sets: Iterable[int]) -> tuple[int, ...]:
    """The sets of bits that lie within no other one."""
    kept: list[int] = []
    for one in sorted(set(sets), key=lambda bits: (-bits.bit_count(), bits)):
        if not any(one & other == one for other in kept):
            kept.append(one)
    return tuple(kept)


def rules_of(assembly: Assembly, cover: Cover) -> Rules:
    """The rules for the panels of a cover, numbered in its order."""
    number = {key: place for place, key in enumerate(cover.footprints)}
    prints = tuple(cover.footprints.values())
    cells = largest_sets(sum(1 << number[key] for key in cell.panels) for cell in cover.cells)
    found = _Found(fixed={}, alike={}, nested={}, pressed={})
    folds = tuple(_folds(assembly, number, prints))
    _along_folds(found, folds, cover, prints)
    _along_glue(found, assembly, cover, number, prints, cells)
    return Rules(
        count=len(prints),
        cells=cells,
        fixed=tuple(Fixed(pair, at) for pair, at in found.fixed.items()),
        alike=tuple(Alike(one, other, *rest) for (one, other), rest in found.alike.items()),
        nested=tuple(Nested(one, other, at) for (one, other), at in found.nested.items()),
        pressed=tuple(Alike(one, other, *rest) for (one, other), rest in found.pressed.items()),
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Found:
    """Rules as they are found, each once, with the place where it was found first."""

    fixed: dict[Pair, Place]
    alike: dict[tuple[Pair, Pair], tuple[Why, Place]]
    nested: dict[tuple[Pair, Pair], Place]
    pressed: dict[tuple[Pair, Pair], tuple[Why, Place]]


class _Fold(NamedTuple):
    """A hinge in the plane of the closed card; `upper` lies above `lower` where it is shut."""

    lower: int
    upper: int
    shut: bool
    ends: tuple[Place, Place]


def _folds(
    assembly: Assembly, number: dict[PanelKey, int], prints: tuple[Footprint, ...]
) -> Iterator[_Fold]:
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            if (name, hinge.left) in number and (name, hinge.right) in number:
                left, right = number[name, hinge.left], number[name, hinge.right]
                yield _fold(hinge, left, right, prints)


def _fold(hinge: Hinge, left: int, right: int, prints: tuple[Footprint, ...]) -> _Fold:
    one, other = prints[left], prints[right]
    # The fronts of a valley's panels look at each other, the backs of a mountain's.
    above = one.face_up == (hinge.sense is Sense.VALLEY)
    return _Fold(
        lower=left if above else right,
        upper=right if above else left,
        shut=one.face_up != other.face_up,
        ends=(_laid(one, hinge.start), _laid(one, hinge.end)),
    )


def _laid(footprint: Footprint, at: Point) -> Place:
    x, y, _ = footprint.placed.apply(at)
    return x, y


def _along_folds(
    found: _Found, folds: tuple[_Fold, ...], cover: Cover, prints: tuple[Footprint, ...]
) -> None:
    """The rules along every line that a fold lies on."""
    for fold in folds:
        if fold.shut:
            (x0, y0), (x1, y1) = fold.ends
            found.fixed.setdefault((fold.lower, fold.upper), ((x0 + x1) / 2.0, (y0 + y1) / 2.0))
    middles, normals, there = _stretches(folds, cover.edges)
    sides = _beside(middles, normals, prints)
    for at, left, right, here in zip(middles.tolist(), *sides, there, strict=True):
        _along_line(found, [folds[one] for one in here], left, right, (at[0], at[1]))


def _stretches(folds: tuple[_Fold, ...], edges: Floats) -> tuple[Floats, Floats, list[list[int]]]:
    """The lines between cells that folds lie on: their middles, their normals, the folds there."""
    way = edges[:, 1] - edges[:, 0]
    length = np.hypot(way[:, 0], way[:, 1])
    edges, way = edges[length > 2.0 * SLIVER_MM], way[length > 2.0 * SLIVER_MM]
    if not folds or not len(edges):
        return np.empty((0, 2)), np.empty((0, 2)), []
    ends = np.array([fold.ends for fold in folds])
    tree = shapely.STRtree(shapely.linestrings(ends))
    middles = edges.mean(axis=1)
    edge, fold = tree.query(shapely.points(middles), predicate="dwithin", distance=MEETS_MM)
    # A line that only crosses a fold ends there, so that its own ends tell it apart.
    along = ends[fold, 1] - ends[fold, 0]
    along /= np.hypot(along[:, 0], along[:, 1])[:, None]
    off = edges[edge] - ends[fold, None, 0]
    beside = np.abs(off[:, :, 0] * along[:, None, 1] - off[:, :, 1] * along[:, None, 0])
    runs = (beside <= 2.0 * MEETS_MM).all(axis=1)
    edge, fold = edge[runs], fold[runs]
    order = np.lexsort((fold, edge))
    edge, fold = edge[order], fold[order]
    which, begins = np.unique(edge, return_index=True)
    there = [part.tolist() for part in np.split(fold, begins[1:])] if len(which) else []
    return middles[which], _normals(way[which]), there


def _normals(way: Floats) -> Floats:
    """The unit directions to the left of others."""
    length = np.hypot(way[:, 0], way[:, 1])
    return np.stack((-way[:, 1], way[:, 0]), axis=1) / length[:, None]


def _beside(
    middles: Floats, normals: Floats, prints: tuple[Footprint, ...]
) -> tuple[list[int], list[int]]:
    """The panels just to the left and just to the right of places, as bits."""
    count = len(middles)
    places = np.concatenate((middles + SLIVER_MM * normals, middles - SLIVER_MM * normals))
    polygons: Any = [one.polygon for one in prints]
    place, panel = shapely.STRtree(polygons).query(shapely.points(places), predicate="within")
    sets = [0] * (2 * count)
    for one, other in zip(place.tolist(), panel.tolist(), strict=True):
        sets[one] |= 1 << other
    return sets[:count], sets[count:]


def _along_line(found: _Found, folds: list[_Fold], left: int, right: int, at: Place) -> None:
    """The rules along a stretch with these panels to its left and to its right."""
    # What runs on across the line: on the left, and on the right.
    running = [(panel, panel) for panel in bits(left & right)]
    whole = len(running)
    shut: tuple[list[Pair], list[Pair]] = ([], [])
    for fold in folds:
        low, high = 1 << fold.lower, 1 << fold.upper
        if fold.shut:
            for side, here in enumerate((left, right)):
                if here & low and here & high:
                    shut[side].append((fold.lower, fold.upper))
        elif left & low and right & high:
            running.append((fold.lower, fold.upper))
        elif left & high and right & low:
            running.append((fold.upper, fold.lower))
    for side, pairs in enumerate(shut):
        for place, (low_panel, high_panel) in enumerate(pairs):
            for run in running:
                one = run[side]
                if one not in (low_panel, high_panel):
                    key = (one, low_panel), (one, high_panel)
                    found.alike.setdefault(key, (Why.ACROSS, at))
            for other in pairs[:place]:
                if other != (low_panel, high_panel):
                    found.nested.setdefault((other, (low_panel, high_panel)), at)
    for place, run in enumerate(running[whole:], whole):
        for other in running[:place]:
            if run[0] != other[0] and run[1] != other[1]:
                found.alike.setdefault(((run[0], other[0]), (run[1], other[1])), (Why.FLAT, at))


def bits(of: int) -> Iterator[int]:
    """The places of the bits that are set, the lowest first."""
    while of:
        lowest = of & -of
        yield lowest.bit_length() - 1
        of ^= lowest


def _along_glue(
    found: _Found,
    assembly: Assembly,
    cover: Cover,
    number: dict[PanelKey, int],
    prints: tuple[Footprint, ...],
    cells: tuple[int, ...],
) -> None:
    """The rules for panels that joints glue on each other."""
    for joint in assembly.joints:
        if joint.glued not in number or joint.to not in number:
            continue
        one, other = number[joint.glued], number[joint.to]
        both = 1 << one | 1 << other
        shared = [cell & ~both for cell in cells if cell & both == both]
        if not shared:
            continue
        glue, to = joint.joint.glue, joint.joint.to
        ends = _laid(prints[one], glue.start), _laid(prints[one], glue.end)
        at = ((ends[0][0] + ends[1][0]) / 2.0, (ends[0][1] + ends[1][1]) / 2.0)
        # Each face says where the other panel is: both say the same, unless they look away.
        for (near, face), far in (((one, glue.face), other), ((other, to.face), one)):
            looks_up = prints[near].face_up == (face is Face.FRONT)
            found.fixed.setdefault((near, far) if looks_up else (far, near), at)
        middles, normals = _cut_line(ends, cover.edges)
        sides = _beside(middles, normals, prints)
        for place, left, right in zip(middles.tolist(), *sides, strict=True):
            for here in (left, right):
                if here & both == both:
                    for panel in bits(here & ~both):
                        key = (panel, one), (panel, other)
                        found.alike.setdefault(key, (Why.GLUE, (place[0], place[1])))
        for cell in shared:
            for panel in bits(cell):
                key = (panel, one), (panel, other)
                if key not in found.alike:
                    found.pressed.setdefault(key, (Why.GLUE, at))


def _cut_line(ends: tuple[Place, Place], edges: Floats) -> tuple[Floats, Floats]:
    """The stretches of a line between the cells' rims: their middles and their normals."""
    start, stop = np.array(ends)
    way = stop - start
    length = float(np.hypot(*way))
    way /= length
    off = (edges[:, :, 0] - start[0]) * -way[1] + (edges[:, :, 1] - start[1]) * way[0]
    along = (edges[:, :, 0] - start[0]) * way[0] + (edges[:, :, 1] - start[1]) * way[1]
    meets = (off.min(axis=1) <= MEETS_MM) & (off.max(axis=1) >= -MEETS_MM)
    off, along = off[meets], along[meets]
    rise = off[:, 1] - off[:, 0]
    level = np.abs(rise) <= ROUNDING_MM
    share = np.clip(-off[:, 0] / np.where(level, 1.0, rise), 0.0, 1.0)
    crossing = along[:, 0] + share * (along[:, 1] - along[:, 0])
    cuts = np.concatenate(([0.0, length], along[level].ravel(), crossing[~level]))
    cuts = np.unique(cuts[(cuts >= 0.0) & (cuts <= length)])
    wide = np.diff(cuts) > 2.0 * SLIVER_MM
    middle = (cuts[:-1] + cuts[1:])[wide] / 2.0
    return start + middle[:, None] * way, _normals(np.tile(way, (len(middle), 1)))
