"""This module finds the parts that a drawing cuts free, from its strokes alone.

Along everything that is cut through runs a band as wide as the kerf.  What the
bands close in on all sides hangs on nothing: the piece within an outline without
bridges, the waste of an opening, or a part that several cuts sever together.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from typing import Any

from ..drawing import Drawing, Role, Stroke, Work
from ..geometry import Path, Point, Vertex
from ..geometry.offset_check import flattened
from ..geometry.path_columns import columns_of
from ..measures.exact import HAIR_MM
from ..panels.faces import contains
from .touching import touching

# What is cut through when it is drawn so: a perforation is drawn as its cuts.
THROUGH = (Work.THROUGH, Work.PERFORATED)

# The roles that have an inside of their own, the innermost first.
_AREAS = (Role.RELIEF, Role.OPENING, Role.OUTLINE)

Corners = tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class LoosePart:
    """A part that nothing holds.

    `role` says what it is: the piece itself (outline), the waste of an opening or of
    a relief hole, or a part of the piece (slit).  `area` is in mm², less the parts
    that lie loose in it and less what the tool takes; `lines` are the lines that cut
    it free, each with its role and its name; `rim` runs round it, in mm.
    """

    role: Role
    area: float
    lines: tuple[tuple[Role, str], ...]
    rim: Path = field(repr=False)

    @property
    def polygon(self) -> Corners:
        """The corners of its rim, arcs as chords that leave them by less than a micrometre."""
        return tuple(flattened(self.rim))

    @property
    def at(self) -> tuple[float, float]:
        """A place on it, in mm: the middle of its box where that is on it."""
        left, bottom, right, top = self.rim.box()
        middle = Point((left + right) / 2.0, (bottom + top) / 2.0)
        if contains(self.rim, middle):
            return middle.floats()
        import shapely

        place = shapely.Polygon(flattened(self.rim)).representative_point()
        return (place.x, place.y)


def loose_parts(drawing: Drawing, kerf: float) -> tuple[LoosePart, ...]:
    """Every part that the drawing cuts free, the largest first; `kerf` is in mm.

    A knife removes nothing; its cuts count as wide as a hair, so that lines that
    meet do so here too.
    """
    strokes = [stroke for stroke in drawing.strokes if stroke.work in THROUGH]
    width = max(kerf, HAIR_MM)
    found = touching([stroke.path for stroke in strokes], width)
    parts = _rings([strokes[index] for index in found.rings], width)
    for tangle in found.tangles:
        parts += _tangled([strokes[index] for index in tangle], width)
    parts.sort(key=lambda part: -part.area)
    return tuple(_less_what_lies_in(parts, width))


def _rings(strokes: Sequence[Stroke], width: float) -> list[LoosePart]:
    """What each of some strokes that close on themselves cuts free."""
    if not strokes:
        return []
    columns = columns_of([stroke.path for stroke in strokes])
    areas = columns.areas_within(width / 2.0)
    return [
        LoosePart(
            role=stroke.role,
            area=max(0.0, area),
            lines=((stroke.role, stroke.source),),
            rim=stroke.path,
        )
        for stroke, area in zip(strokes, areas.tolist(), strict=True)
    ]


def _tangled(strokes: Sequence[Stroke], width: float) -> list[LoosePart]:
    """What strokes that touch in many ways cut free together: the holes in their bands."""
    import shapely

    lines = [shapely.LineString(_flat(stroke.path)) for stroke in strokes]
    bands = shapely.buffer(lines, width / 2.0, quad_segs=16)
    joined = shapely.union_all(bands)
    holes = [
        shapely.Polygon(ring)
        for part in getattr(joined, "geoms", [joined])
        for ring in part.interiors
    ]
    insides = [(role, area) for role in _AREAS for area in _areas(strokes, role)]
    whole = any(stroke.role is Role.OUTLINE and stroke.path.closed for stroke in strokes)
    parts = [_part(hole, strokes, bands, insides) for hole in holes]
    # The piece itself is the largest part within an outline that is cut all round.
    within = [index for index, part in enumerate(parts) if part.role is Role.OUTLINE]
    body = max(within, key=lambda index: parts[index].area, default=-1) if whole else -1
    return [
        replace(part, role=Role.SLIT) if index in within and index != body else part
        for index, part in enumerate(parts)
    ]


def _part(
    hole: Any, strokes: Sequence[Stroke], bands: Any, insides: Sequence[tuple[Role, Any]]
) -> LoosePart:
    import shapely

    place = hole.representative_point()
    role = next((role for role, area in insides if area.contains(place)), Role.SLIT)
    near = shapely.distance(bands, hole) <= HAIR_MM / 2.0
    lines = dict.fromkeys(
        (stroke.role, stroke.source)
        for stroke, beside in zip(strokes, near.tolist(), strict=True)
        if beside
    )
    rim = Path(tuple(Vertex(Point(x, y)) for x, y in hole.exterior.coords[:-1]), closed=True)
    return LoosePart(role=role, area=hole.area, lines=tuple(lines), rim=rim)


def _flat(path: Path) -> list[tuple[float, float]]:
    """Places along a path, a closed one back to its first."""
    places = flattened(path, HAIR_MM / 10.0)
    if path.closed:
        places.append(places[0])
    return places


def _areas(strokes: Sequence[Stroke], role: Role) -> list[Any]:
    """The areas that lines of a role run round, bridges or none."""
    import shapely

    lines: dict[str, list[Path]] = defaultdict(list)
    for stroke in strokes:
        if stroke.role is role:
            lines[stroke.source].append(stroke.path)
    rings = [ring for paths in lines.values() for ring in _rounds(paths)]
    corners = [[at for path in ring for at in flattened(path, 1e-2)] for ring in rings]
    return [shapely.make_valid(shapely.Polygon(places)) for places in corners if len(places) > 3]


def _rounds(paths: Sequence[Path]) -> list[list[Path]]:
    """The paths of one line, those together that run round one area.

    Holes at both ends of a slit bear its name, and so do all rings of an opening that
    fell apart.  A run that ends nearer to where its ring began than to the start of
    the next run is the last one of its ring.
    """
    found: list[list[Path]] = [[path] for path in paths if path.closed]
    ring: list[Path] = []
    runs = [path for path in paths if not path.closed]
    for path, after in zip_longest(runs, runs[1:]):
        ring.append(path)
        if after is None or path.end.distance(ring[0].start) < path.end.distance(after.start):
            found.append(ring)
            ring = []
    return found


def _less_what_lies_in(parts: list[LoosePart], width: float) -> list[LoosePart]:
    """The parts, largest first, each with its area less that of the parts that lie in it."""
    found = list(parts)
    starts = [part.rim.start.floats() for part in parts]
    for index, outer in enumerate(parts):
        # Waste has nothing in it.
        if outer.role not in (Role.OUTLINE, Role.SLIT) or index + 1 == len(parts):
            continue
        import shapely

        area = shapely.Polygon(flattened(outer.rim, HAIR_MM / 2.0))
        shapely.prepare(area)
        # Rims that came together would not be two.
        inside = shapely.contains_xy(area, starts[index + 1 :]).tolist()
        taken = sum(
            part.area + part.rim.length * width
            for part, within in zip(parts[index + 1 :], inside, strict=True)
            if within
        )
        found[index] = replace(outer, area=max(0.0, outer.area - taken))
    return found
