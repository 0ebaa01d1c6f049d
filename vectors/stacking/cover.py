"""This module finds the cover of the closed card: which panels lie at each place of it.

The outlines of all panels, laid down in the closed pose, part the plane into cells
in which nothing begins and nothing ends.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any

import numpy as np
import shapely

from ..folding import PanelKey
from ..folding.motion import Motion
from ..measures.exact import MEETS_MM, NODED_MM, SLIVER_MM
from ..panels import Assembly
from ..panels.joined import parts_of
from ..panels.places import numbered, same_places
from .paper import Floats, Ints, Paper, Poses, paper_of, poses_of


class NotFlat(ValueError):
    """A panel that does not lie in the plane of the closed card.

    `panel` is the one that stands out of it the farthest, `height_mm` how far.
    """

    def __init__(self, panel: PanelKey, height_mm: float) -> None:
        super().__init__(f"panel {panel[1]} of {panel[0]!r} stands out by {height_mm:g} mm")
        self.panel = panel
        self.height_mm = height_mm


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Footprint:
    """What one panel covers, seen from above: its holes and notches are not covered.

    `polygon` is a shapely (multi)polygon in the plane of the closed card, `placed` how the flat
    paper comes there, and `face_up` tells whether its front looks up.
    """

    key: PanelKey
    polygon: Any
    face_up: bool
    placed: Motion


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Cell:
    """A region of the closed card and the panels that lie there, in the order of the design."""

    polygon: Any
    panels: tuple[PanelKey, ...]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Cover:
    """The closed card seen from above: footprints in the order of the design, cells, outline.

    `outline` is the shapely (multi)polygon that all footprints cover together.  `apart` are
    the panels that no fold and no glue ties to the first one: they are not part of it.
    `edges` [k, 2, 2] are the lines between cells, from node to node.
    """

    footprints: Mapping[PanelKey, Footprint]
    cells: tuple[Cell, ...]
    outline: Any
    apart: tuple[PanelKey, ...] = ()
    edges: Floats = field(default_factory=lambda: np.empty((0, 2, 2)))


def cover_of(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> Cover:
    """The cover of a card whose panels all lie flat, as the closed pose lays them down.

    The first panel that has a place says which card is meant; panels without a place are left
    out.  Arcs are replaced by chords within MEETS_MM.  Corners within MEETS_MM of each
    other are one, lines are cut on a grid of NODED_MM, and what is narrower than SLIVER_MM is
    no cell, so that panels that coincide but for rounding give one cell.

    Raises NotFlat where a panel is not level, or not in the plane of the first one.
    """
    paper = paper_of(assembly, (placed,))
    held = _held_to_first(assembly, paper)
    apart = tuple(key for key, here in zip(paper.keys, held, strict=True) if not here)
    if apart:
        kept = {key: placed[key] for key in paper.keys if key not in set(apart)}
        paper = paper_of(assembly, (kept,))
    if not paper.keys:
        return Cover(footprints=MappingProxyType({}), cells=(), outline=shapely.MultiPolygon())
    poses = poses_of(paper, (placed,))
    at = _level(paper, poses)
    node, first = numbered(at[:, 0], at[:, 1], same_places(at[:, 0], at[:, 1]))
    nodes = at[first]
    polygons = _polygons(paper, nodes[node])
    footprints = {
        key: Footprint(key=key, polygon=polygon, face_up=up, placed=placed[key])
        for key, polygon, up in zip(
            paper.keys, polygons, (poses.rows[0, :, 2, 2] > 0.0).tolist(), strict=True
        )
    }
    lines = _lines(paper, node)
    noded = shapely.get_parts(
        shapely.union_all(shapely.linestrings(nodes[lines]), grid_size=NODED_MM)
    )
    cells, outline = _cells(paper.keys, polygons, noded)
    return Cover(
        footprints=MappingProxyType(footprints),
        cells=cells,
        outline=outline,
        apart=apart,
        edges=_edges(noded),
    )


def _held_to_first(assembly: Assembly, paper: Paper) -> list[bool]:
    """For each panel whether folds and joints tie it to the first one."""
    number = paper.number
    pairs = [
        (number[name, hinge.left], number[name, hinge.right])
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
        if (name, hinge.left) in number and (name, hinge.right) in number
    ]
    pairs += [
        (number[joint.glued], number[joint.to])
        for joint in assembly.joints
        if joint.glued in number and joint.to in number
    ]
    ends = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    found: list[bool] = (parts_of(len(paper.keys), ends[:, 0], ends[:, 1]) == 0).tolist()
    return found


def _level(paper: Paper, poses: Poses) -> Floats:
    """Where all corners are in the plane of the closed card, [e, 2].  Raises NotFlat."""
    corners = poses.corners[0]
    height = np.abs(corners[:, 2] - corners[0, 2])
    worst = int(np.argmax(height))
    if height[worst] > MEETS_MM:
        raise NotFlat(paper.keys[int(paper.owners[worst])], float(height[worst]))
    return np.asarray(corners[:, :2])


def _polygons(paper: Paper, at: Floats) -> Any:
    """The footprints, of all corners' places [e, 2]."""
    sizes = np.array([size for rings in paper.rings for size in rings], dtype=np.intp)
    stops = np.cumsum(sizes)
    starts = stops - sizes
    # Each ring ends on the corner that it begins with.
    order = np.insert(np.arange(len(at)), stops, starts)
    rings = np.concatenate(([0], np.cumsum(sizes + 1)))
    panels = np.concatenate(([0], np.cumsum([len(rings) for rings in paper.rings])))
    found = shapely.from_ragged_array(shapely.GeometryType.POLYGON, at[order], (rings, panels))
    odd = ~shapely.is_valid(found)
    if odd.any():
        # A slit from rim to rim of one panel runs there and back along one line.
        found[odd] = shapely.make_valid(found[odd], method="structure")
    return found


def _lines(paper: Paper, node: Ints) -> Ints:
    """The pairs of nodes that edges of panels join, each once, [k, 2]."""
    following = np.arange(1, len(node) + 1)
    sizes = np.array([size for rings in paper.rings for size in rings], dtype=np.intp)
    stops = np.cumsum(sizes)
    following[stops - 1] = stops - sizes
    pairs = np.sort(np.stack((node, node[following]), axis=1), axis=1)
    return np.unique(pairs[pairs[:, 0] != pairs[:, 1]], axis=0)


def _cells(keys: tuple[PanelKey, ...], polygons: Any, noded: Any) -> tuple[tuple[Cell, ...], Any]:
    """The cells, of the regions that lines part, and what they cover together."""
    regions = shapely.get_parts(shapely.polygonize(noded))
    # Twice the area over the length of the rim is the width of a strip.
    wide = 2.0 * shapely.area(regions) > SLIVER_MM * shapely.length(regions)
    inside = shapely.point_on_surface(regions[wide])
    place, panel = shapely.STRtree(polygons).query(inside, predicate="within")
    order = np.lexsort((panel, place))
    place, panel = place[order], panel[order]
    begins = np.searchsorted(place, np.arange(len(inside) + 1))
    there, cuts = panel.tolist(), begins.tolist()
    found = tuple(
        Cell(
            polygon=region,
            panels=tuple([keys[one] for one in there[cuts[number] : cuts[number + 1]]]),
        )
        for number, region in enumerate(regions[wide].tolist())
        if cuts[number] < cuts[number + 1]
    )
    # A sliver belongs to what it lies between, or the outline would be cracked there.
    covered = ~wide
    covered[wide] = np.diff(begins) > 0
    outline = shapely.coverage_union_all(regions[covered]) if found else shapely.MultiPolygon()
    return found, outline


def _edges(noded: Any) -> Floats:
    """The straight stretches of lines, [k, 2, 2]."""
    at, line = shapely.get_coordinates(noded, return_index=True)
    on = line[1:] == line[:-1]
    return np.stack((at[:-1][on], at[1:][on]), axis=1)
