"""This module makes the scene of the closed card: its sides, plies, spill, and words about them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import shapely

from ..design.pieces import Face, Mat, Sense
from ..folding import PanelKey
from ..geometry import Point
from ..geometry.offset_check import flattened
from ..measures import Unit
from ..measures.exact import MEETS_MM, NODED_MM, SLIVER_MM
from ..panels import Assembly, Division, Panel
from ..proving import Proof
from ..proving.model import ClosedStack
from ..stacking.cover import Cover
from ..stacking.glued import Glued
from ..stacking.order import Blocked, PlyOrder, Undecided
from ..stacking.room import Why, Zone
from ..stacking.spill import NoCover, Spill, Spilled, Where
from ..stacking.thickness import ThicknessMap
from .closed import (
    ClosedScene,
    FlatFace,
    InTheWay,
    PlyRegion,
    SeenLine,
    Side,
    Sticking,
    Stroke,
    Thickest,
)
from .closed_sides import sides_of
from .dimensions import size_text
from .pose_scene import given_names
from .scene import listed, names_of

# Thicknesses, and places, that are the same to so many decimals of a mm are told as one.
_SAME_DIGITS = 4


def closed_scene(proof: Proof, stack: ClosedStack) -> ClosedScene:
    """The scene of the closed card of a proof, which has a panel."""
    assembly, cover, order = proof.assembly, stack.cover, stack.order
    given = given_names(assembly)
    names = names_of(
        {
            (piece, panel.index): panel
            for piece, division in assembly.divisions.items()
            for panel in division.panels
        },
        given,
    )
    resolved = proof.resolved
    units = Unit(resolved.units)
    sides: tuple[Side, ...] = ()
    if isinstance(order, PlyOrder):
        glued = _glued(stack.thickness)
        sides = sides_of(assembly, cover, order, names, given, glued, stack.zones)
    spilled = stack.spilled
    return ClosedScene(
        design=resolved.name
        if resolved.variant is None
        else f"{resolved.name}, {resolved.variant}",
        units=units,
        outline=cover.outline,
        edges=shapely.multilinestrings(cover.edges),
        sides=sides,
        regions=tuple(_regions(stack.thickness)),
        thickest=_thickest(stack.thickness),
        covering=spilled.outline if isinstance(spilled, Spilled) else None,
        sticking=tuple(_sticking(spilled, cover, names)),
        in_the_way=_in_the_way(order, cover, names),
        faces=tuple(_faces(assembly, stack.zones)),
        foam_mm=stack.foam_mm,
        words=tuple(_words(stack, names, units)),
    )


def _sticking(
    spilled: Spilled | NoCover, cover: Cover, names: Mapping[PanelKey, str]
) -> Iterator[Sticking]:
    """What sticks out, panels that do so at one place by as much together."""
    found = (*spilled.spills, *spilled.beside) if isinstance(spilled, Spilled) else ()
    alike: dict[tuple[float, ...], list[Spill]] = {}
    for one in found:
        x, y, _ = cover.footprints[one.past].placed.apply(one.past_at)
        place = [round(value, _SAME_DIGITS) for value in (x, y, *one.closed_at.floats())]
        alike.setdefault((one.where is Where.PAST, *place), []).append(one)
    for (spills, x, y, *_), group in alike.items():
        first = group[0]
        yield Sticking(
            panels=tuple(names[one.panel] for one in group),
            past=names[first.past],
            spills=bool(spills),
            mm=first.mm,
            at=first.closed_at,
            edge=Point(x, y),
            shape=shapely.union_all([one.outside for one in group]),
        )


def _glued(thickness: ThicknessMap) -> tuple[Glued, ...]:
    """All that is glued on, each thing once."""
    every = (one for cell in thickness.cells for one in cell.glued)
    return tuple({id(one): one for one in every}.values())


def _regions(thickness: ThicknessMap) -> Iterator[PlyRegion]:
    """The map of plies: neighbours with as many plies, and as thick, are one region."""
    alike: dict[tuple[int, float | None], list[Any]] = {}
    for one in thickness.cells:
        mm = None if one.mm is None else round(one.mm, _SAME_DIGITS)
        alike.setdefault((one.plies, mm), []).append(one.polygon)
    for (plies, mm), shapes in sorted(alike.items(), key=lambda one: (one[0][0], one[0][1] or 0)):
        for part in shapely.get_parts(shapely.union_all(shapes, grid_size=NODED_MM)).tolist():
            yield PlyRegion(shape=shapely.normalize(part), plies=plies, mm=mm)


def _thickest(thickness: ThicknessMap) -> Thickest | None:
    there = thickness.thickest
    if there is None or not thickness.known:
        return None
    mats = sum(isinstance(one.part, Mat) for one in there.glued)
    return Thickest(
        at=there.at,
        plies=len(there.plies),
        mm=there.known_mm,
        mats=mats,
        extras=len(there.glued) - mats,
    )


def _in_the_way(
    order: PlyOrder | Blocked | Undecided, cover: Cover, names: Mapping[PanelKey, str]
) -> InTheWay | None:
    if not isinstance(order, Blocked):
        return None
    return InTheWay(
        panels=tuple((names[key], cover.footprints[key].polygon) for key in order.panels),
        at=order.at,
        why=order.why,
    )


def _faces(assembly: Assembly, zones: Sequence[Zone]) -> Iterator[FlatFace]:
    """The faces of the flat pieces on which foam keeps the card from closing somewhere."""
    for name, division in assembly.divisions.items():
        for face in Face:
            here = [one for one in zones if one.panel[0] == name and one.face is face]
            if all(one.why is Why.GROWS for one in here):
                continue
            paper = shapely.union_all([_paper(panel) for panel in division.panels])
            no_foam = _union([one.shape for one in here if one.why is not Why.GROWS])
            grows = _union([one.shape for one in here if one.why is Why.GROWS])
            free = shapely.difference(paper, shapely.union_all([no_foam, grows]))
            everywhere = grows is not None and free.area <= SLIVER_MM * paper.length
            yield FlatFace(
                piece=name,
                face=face,
                paper=paper,
                folds=tuple(_folds(division, face)),
                no_foam=no_foam,
                grows=None if everywhere else grows,
                grows_elsewhere=everywhere,
            )


def _union(shapes: Sequence[Any]) -> Any:
    return shapely.union_all(shapes, grid_size=NODED_MM) if shapes else None


def _paper(panel: Panel) -> Any:
    rim, *holes = (flattened(path, MEETS_MM) for path in (panel.ring, *panel.holes))
    return shapely.make_valid(shapely.Polygon(rim, holes), method="structure")


def _folds(division: Division, face: Face) -> Iterator[SeenLine]:
    for hinge in division.hinges:
        valley = (hinge.sense is Sense.VALLEY) == (face is Face.FRONT)
        yield SeenLine(
            stroke=Stroke.VALLEY if valley else Stroke.MOUNTAIN,
            line=shapely.LineString((hinge.start.floats(), hinge.end.floats())),
        )


def _words(stack: ClosedStack, names: Mapping[PanelKey, str], units: Unit) -> Iterator[str]:
    cover, order, thickness = stack.cover, stack.order, stack.thickness
    left, bottom, right, top = cover.outline.bounds
    most = thickness.most_plies
    yield ", ".join(
        (
            f"{size_text(right - left, units)} wide",
            f"{size_text(top - bottom, units)} high",
            "1 ply" if most == 1 else f"up to {most} plies",
            *(() if thickness.mm is None else (f"up to {size_text(thickness.mm, units)} thick",)),
        )
    )
    if isinstance(order, Blocked):
        yield f"No order of its plies is possible: {order.why}."
        yield f"In each other's way: {listed(names[key] for key in order.panels)}."
    elif isinstance(order, Undecided):
        yield f"The order of its plies is not decided: {order.why}."
    yield from _spill_words(stack.spilled, names, units)
    if not thickness.known:
        yield f"Its thickness is not known, for want of {_missing(thickness)}."
    if cover.apart:
        apart = listed(names[key] for key in cover.apart)
        yield f"Not part of it, since no fold and no glue ties them to it: {apart}."


def _spill_words(
    spilled: Spilled | NoCover, names: Mapping[PanelKey, str], units: Unit
) -> Iterator[str]:
    if isinstance(spilled, NoCover):
        yield f"What sticks out cannot be told: {spilled.why}."
        return
    for found, says, how in (
        (spilled.spills, "Sticks out", "past"),
        (spilled.beside, "Shows beside the cover", "from"),
    ):
        if found:
            told = (
                f"{names[one.panel]} by {size_text(one.mm, units)} {how} {names[one.past]}"
                for one in found
            )
            yield f"{says}: {listed(told)}."
    if not spilled.spills and not spilled.beside:
        yield f"Nothing sticks out of {listed(names[key] for key in spilled.covering)}."


def _missing(thickness: ThicknessMap) -> str:
    stocks = [
        "the paper's caliper (its thickness)" if one is None else f"the caliper of stock {one}"
        for one in thickness.stocks
    ]
    heights = [f"the height of {one.name}" for one in thickness.heights]
    loose = [f"the place of {one.name}" for one in thickness.loose]
    return listed([*stocks, *heights, *loose])
