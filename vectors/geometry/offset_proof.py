"""This module proves the rings of an offset, by ways of making the same area without them.

The area is put together from its parts: the source, a band for each side, a tip or
a sector of a disc for each corner.  Rings are right where it differs from what they
enclose by nothing wider than a micrometre, where every place of them is as far from
the source as it should be, and where shapely's buffer of the whole source, which is
less exact, shows the same picture.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import shapely

from ..measures.exact import AREAS_MM, NODED_MM
from .offset_check import flattened, named_place
from .offset_pieces import Pieces, gone
from .offset_sides import Raw, Side
from .paths import Path, Segment, Vertex
from .points import Point

# Chords to the quarter turn of shapely's arcs: at 2.5 mm they leave them by 0.2 µm.
_QUARTER = 64

# shapely's buffer leaves out vertices where a path turns in if that moves the line by
# no more than a hundredth of the offset (GEOS, BufferParameters; from memory).  Where
# two such lines cross at a small angle a few times that much comes of it.
_SIMPLIFIED = 0.05

# Beyond so many chords that buffer chord by chord would take minutes.
_MOST_CHORDS = 2000

# Overlays are rounded to a grid: without it unions of parts with edges in common
# have been seen to lose a part.
_GRID = NODED_MM

# Shares of a segment at which its distance from the source is measured.
_SHARES = (0.0, 0.25, 0.5, 0.75)


def tangled(source: Path) -> Point | None:
    """Where a closed path crosses or touches itself; None where it keeps clear of itself."""
    area = shapely.Polygon(flattened(source))
    return None if area.is_valid else named_place(shapely.is_valid_reason(area), source)


def area_of_parts(source: Path, raw: Sequence[Raw], pieces: Pieces, by: float) -> Any:
    """The area inside of the closed `source` moved by `by` mm, put together from its parts."""
    whole = shapely.Polygon(flattened(source))
    parts = [
        *(_band(segment, side) for segment, side in zip(raw, pieces.sides, strict=True)),
        *(_sector(raw, piece.side, piece.segment) for piece in pieces.pieces if piece.round),
        *_tips(pieces),
    ]
    if by > 0.0:
        return shapely.union_all([whole, *parts], grid_size=_GRID)
    return shapely.difference(whole, shapely.union_all(parts, grid_size=_GRID), grid_size=_GRID)


def proved(source: Path, rings: Sequence[Path], expected: Any, pieces: Pieces, by: float) -> bool:
    """Whether rings are the edge of the closed `source` moved by `by` mm.

    `expected` is the area made of its parts, `pieces`.
    """
    area = _area_of_rings(source, rings)
    if area is None or not _agree(area, expected, AREAS_MM):
        return False
    # Sliver by sliver the areas agree; so must the sums of the true arcs.
    total = math.copysign(1.0, source.area) * math.fsum(ring.area for ring in rings)
    around = math.fsum(ring.length for ring in rings) + source.length
    return (
        abs(total - float(expected.area)) <= AREAS_MM / 2.0 * around
        and _keep_off(source, rings, pieces, abs(by))
        and _agrees_with_buffer(area, source, pieces, by)
    )


def _area_of_rings(source: Path, rings: Sequence[Path]) -> Any:
    """The area inside of rings: those that run like the source, less those that run the other way.

    None where rings cross themselves.
    """
    way = math.copysign(1.0, source.area)
    outer: list[Any] = []
    rooms: list[Any] = []
    for ring in rings:
        (outer if ring.area * way > 0.0 else rooms).append(_plain(ring))
    if not all(polygon.is_valid for polygon in (*outer, *rooms)):
        return None
    return shapely.difference(
        shapely.union_all(outer, grid_size=_GRID),
        shapely.union_all(rooms, grid_size=_GRID),
        grid_size=_GRID,
    )


def _agree(one: Any, other: Any, within: float) -> bool:
    """Whether two areas differ by nothing that is wider than `within` mm."""
    difference = shapely.symmetric_difference(one, other, grid_size=_GRID)
    return bool(difference.buffer(-within / 2.0).is_empty)


def _keep_off(source: Path, rings: Sequence[Path], pieces: Pieces, by: float) -> bool:
    """Whether all places of rings are `by` mm from the source, or on the tip of a corner beyond."""
    segments = [segment for ring in rings for segment in ring.segments]
    if not segments:
        return True
    places = shapely.points(
        [segment.at(share).floats() for segment in segments for share in _SHARES]
    )
    edge = shapely.LinearRing(flattened(source))
    shapely.prepare(edge)
    away = shapely.distance(edge, places)
    if (away < by - AREAS_MM).any():
        return False
    far = places[away > by + AREAS_MM]
    if not len(far):
        return True
    tips = shapely.union_all([tip.boundary for tip in _tips(pieces)])
    return not tips.is_empty and bool((shapely.distance(tips, far) <= AREAS_MM).all())


def _agrees_with_buffer(area: Any, source: Path, pieces: Pieces, by: float) -> bool:
    """Whether an area is what shapely's buffer makes of the source."""
    if _agree(area, _buffered(source, pieces, by), AREAS_MM + _SIMPLIFIED * abs(by)):
        return True
    # What it leaves out can come to more where the offset is large for its source.  Chord
    # by chord it leaves out nothing, but takes its time.
    places = flattened(source)
    if len(places) > _MOST_CHORDS:
        return False
    ends = [*places[1:], places[0]]
    chords = shapely.linestrings(list(zip(places, ends, strict=True)))
    discs = shapely.buffer(chords, abs(by), quad_segs=_QUARTER)
    swept = shapely.union_all([*discs, *_tips(pieces)], grid_size=_GRID)
    whole = shapely.Polygon(places)
    exact = (
        shapely.union(whole, swept, grid_size=_GRID)
        if by > 0.0
        else shapely.difference(whole, swept, grid_size=_GRID)
    )
    return _agree(area, exact, 2.0 * AREAS_MM)


def _buffered(source: Path, pieces: Pieces, by: float) -> Any:
    """The area by shapely's buffer of the whole source, with the tips."""
    area = shapely.Polygon(flattened(source)).buffer(by, quad_segs=_QUARTER)
    tips = shapely.union_all(_tips(pieces), grid_size=_GRID)
    if by > 0.0:
        return shapely.union(area, tips, grid_size=_GRID)
    return shapely.difference(area, tips, grid_size=_GRID)


def _plain(path: Path) -> Any:
    """The area of a closed path, flattened; empty where it is as thin as the flattening."""
    places = flattened(path)
    return shapely.Polygon(places) if len(places) > 2 else shapely.Polygon()


def _polygon(path: Path) -> Any:
    """The same, mended where rounding makes the path touch itself."""
    return shapely.make_valid(_plain(path))


def _band(raw: Raw, side: Side) -> Any:
    x0, y0, x1, y1, bulge = raw
    if gone(side):
        # What the inside of the arc's circle holds of it: all the way to its centre.
        path = Path(
            (
                Vertex(Point(x0, y0), bulge),
                Vertex(Point(x1, y1)),
                Vertex(Point(side.cx, side.cy)),
            ),
            closed=True,
        )
    else:
        path = Path(
            (
                Vertex(Point(x0, y0), bulge),
                Vertex(Point(x1, y1)),
                Vertex(Point(side.x1, side.y1), 0.0 - side.bulge),
                Vertex(Point(side.x0, side.y0)),
            ),
            closed=True,
        )
    return _polygon(path)


def _sector(raw: Sequence[Raw], corner: int, arc: Segment) -> Any:
    path = Path(
        (
            Vertex(Point(raw[corner][2], raw[corner][3])),
            Vertex(arc.start, arc.bulge),
            Vertex(arc.end),
        ),
        closed=True,
    )
    return _polygon(path)


def _tips(pieces: Pieces) -> list[Any]:
    return [_polygon(tip.area) for tip in pieces.tips]
