"""This module finds the shape of every mat on every panel that it is glued on.

A mat is as large as its panel less the margin all round: along the outline of the
panel, its folds and slits included, and round its openings as well.  Where that
can be done with lines and arcs it is exact.  Corners of the mat stay sharp, those
that point into it too.  Where sides of the panel vanish, or the mat falls in
parts, the panel is flattened to chords within a tenth of a micrometre and every
place of it at least the margin from its edge is kept: corners that point into
the mat are then rounded by the margin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import shapely

from ..design.pieces import Extra, Mat
from ..folding import PanelKey
from ..geometry import Path, Point, Segment, path_of, polygon
from ..geometry.moments import Moments, moments
from ..geometry.offset import MITRE_LIMIT, offset
from ..geometry.offset_check import flattened, second_opinion, verify
from ..measures import Unit
from ..measures.exact import SAME_PLACE_MM
from ..panels import Assembly, Panel
from .margins import facing_heights, usual_margin

_NONE: Mapping[str, float] = MappingProxyType({})

# A part of a mat smaller than this, in mm², is rounding and no paper.
_CRUMB_MM2 = 1e-4

# Chords for a quarter turn of a rounded corner.
_QUARTER = 128


@dataclass(frozen=True, kw_only=True, slots=True)
class MatShape:
    """A mat on one panel, in the coordinates of its piece.

    `margin` is the margin that it has in mm, the usual one of the panel where the design gives
    none.  `outlines` has the outer edge of each part of it, anticlockwise, `openings` its
    holes, clockwise; both are empty where the margin leaves nothing.
    """

    mat: Mat
    panel: PanelKey
    margin: float
    outlines: tuple[Path, ...]
    openings: tuple[Path, ...]

    @property
    def moments(self) -> Moments:
        """Its area and where the middle of it lies; arcs count exactly."""
        return moments(*self.outlines, *self.openings)

    @property
    def area(self) -> float:
        """Its area in mm², less the holes."""
        return self.moments.area

    @property
    def centroid(self) -> Point:
        """The middle of its area.  Raises ValueError where nothing is left of it."""
        return self.moments.centroid


def mat_shapes(
    assembly: Assembly,
    mats: Sequence[Mat],
    units: Unit = Unit.MM,
    calipers: Mapping[str, float] = _NONE,
) -> tuple[MatShape, ...]:
    """The shapes of all mats, mat by mat, panel by panel; panels that are not there are left out.

    One without outlines is a mat of whose panel the margin leaves nothing.  A margin that the
    design leaves out is the usual one in these units; where a fold shuts over the mat it is at
    least as wide as what lies there is thick, by the calipers in mm of the stocks.
    """
    found: list[MatShape] = []
    keys = panel_keys(assembly)
    lying = [(mat, key) for mat in mats for key in panels_of(mat, keys)]
    heights = facing_heights(assembly, lying, calipers)
    for mat, key in lying:
        panel = assembly.divisions[key[0]].panels[key[1]]
        if mat.margin is None:
            margin = max(usual_margin(panel, units), heights.get((key, mat.face), 0.0))
        else:
            margin = float(mat.margin)
        outlines, openings = inset(panel, margin)
        found.append(
            MatShape(mat=mat, panel=key, margin=margin, outlines=outlines, openings=openings)
        )
    return tuple(found)


def panel_keys(assembly: Assembly) -> dict[tuple[str, str], PanelKey]:
    """The key of each panel by its piece and its name."""
    return {
        (name, panel.name): (name, panel.index)
        for name, division in assembly.divisions.items()
        for panel in division.panels
    }


def panels_of(mat: Mat, keys: Mapping[tuple[str, str], PanelKey]) -> tuple[PanelKey, ...]:
    """The panels of a mat that are there, in the order in which it names them."""
    if mat.panels is None:
        return tuple(key for (piece, _), key in keys.items() if piece == mat.piece)
    named = ((mat.piece, name) for name in mat.panels)
    return tuple(keys[one] for one in named if one in keys)


def unknown_panels(
    assembly: Assembly, mats: Sequence[Mat], extras: Sequence[Extra]
) -> Iterator[tuple[Mat | Extra, str]]:
    """Each mat or extra with a panel that it names and that is not there."""
    keys = panel_keys(assembly)
    parts: tuple[Mat | Extra, ...] = (*mats, *extras)
    for part in parts:
        names = (part.panel,) if isinstance(part, Extra) else part.panels or ()
        yield from ((part, name) for name in names if (part.piece, name) not in keys)


def inset(panel: Panel, margin: float) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """What is left of a panel at least `margin` mm from its edge and its holes.

    Outer edges, anticlockwise, and holes, clockwise; both empty where nothing is left.
    """
    if margin == 0.0:
        return (panel.ring,), panel.holes
    return _exact(panel, margin) or _flattened(panel, margin)


def _exact(panel: Panel, margin: float) -> tuple[tuple[Path, ...], tuple[Path, ...]] | None:
    """The inset with its lines and arcs, None where sides of the panel vanish in it."""
    ring = _moved(panel.ring, -margin) or _sharpened(panel.ring, margin)
    if ring is None:
        return None
    holes: list[Path] = []
    for hole in panel.holes:
        wider = _moved(hole, margin)
        if wider is None:
            return None
        holes.append(wider)
    if holes and not _inside(ring, holes):
        return None
    return (ring,), tuple(holes)


def _moved(path: Path, by: float) -> Path | None:
    moved = offset(path, by)
    return None if verify(path, moved, by) else moved.path


def _sharpened(ring: Path, margin: float) -> Path | None:
    """The inset of a ring whose rounded corners are no larger than the margin.

    The margin is kept from the two straight sides of such a corner, and then also from the
    arc between them, which touches both and lies farther from what is left.
    """
    sharp = _without_fillets(ring, margin)
    if sharp is None:
        return None
    moved = offset(sharp, -margin)
    if moved.path is None or second_opinion(ring, replace(moved, convex=False), -margin):
        return None
    return moved.path


def _without_fillets(ring: Path, margin: float) -> Path | None:
    """A ring with the corners that arcs of at most the margin round off; None without such."""
    segments = ring.segments
    count = len(segments)
    corners: dict[int, Point] = {}
    for index, arc in enumerate(segments):
        if arc.bulge <= 0.0 or arc.radius > margin + SAME_PLACE_MM:
            continue
        corner = _corner(segments[index - 1], arc, segments[(index + 1) % count])
        if corner is not None:
            corners[index] = corner
    if not corners:
        return None
    kept = []
    for index, segment in enumerate(segments):
        if index in corners:
            continue
        start = corners.get((index - 1) % count, segment.start)
        end = corners.get((index + 1) % count, segment.end)
        kept.append(Segment(start, end, segment.bulge))
    return path_of(kept, closed=True)


def _corner(before: Segment, arc: Segment, after: Segment) -> Point | None:
    """Where the straight sides beside an arc meet, if it runs smoothly from one to the other."""
    if not (before.is_line and after.is_line) or arc.bulge >= 1.0:
        return None
    into, out = before.direction(1.0), after.direction(0.0)
    bent = abs(float(into.cross(arc.direction(0.0)))), abs(float(arc.direction(1.0).cross(out)))
    if max(bent) * arc.radius > SAME_PLACE_MM:
        return None
    # The corner lies over the middle of the chord, r tan(sweep / 2) from either end.
    (x, y), reach = arc.start.floats(), abs(arc.chord * (1.0 + arc.bulge**2))
    reach /= 2.0 * (1.0 - arc.bulge**2)
    return Point(x + float(into.x) * reach, y + float(into.y) * reach)


def _inside(ring: Path, holes: Sequence[Path]) -> bool:
    """Whether holes lie within a ring and apart from each other."""
    outer = shapely.Polygon(flattened(ring))
    inner = [shapely.Polygon(flattened(hole)) for hole in holes]
    if not all(outer.contains_properly(hole) for hole in inner):
        return False
    return not any(one.intersects(other) for i, one in enumerate(inner) for other in inner[i + 1 :])


def _flattened(panel: Panel, margin: float) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """The inset of a panel made of chords."""
    whole = shapely.Polygon(flattened(panel.ring), [flattened(hole) for hole in panel.holes])
    sharp = whole.buffer(-margin, join_style="mitre", mitre_limit=MITRE_LIMIT)
    # Mitres only take away; where they went wrong on many short chords nothing is to come in.
    left = sharp.intersection(whole.buffer(-margin, quad_segs=_QUARTER))
    parts = [part for part in getattr(left, "geoms", [left]) if part.area > _CRUMB_MM2]
    turned = [shapely.geometry.polygon.orient(part) for part in parts]
    return (
        tuple(_ring(part.exterior) for part in turned),
        tuple(_ring(hole) for part in turned for hole in part.interiors),
    )


def _ring(ring: Any) -> Path:
    return polygon(*(Point(x, y) for x, y in ring.coords[:-1]))
