"""This module tells how an offset differs from its source: what vanished, where it fell apart.

Every segment of the source should leave a stretch on the rings, next to those of
its neighbours.  A run of segments that leave none is a feature that is lost; two
stretches that meet though others lie between them are a neck that closed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import shapely

from ..measures.exact import AREAS_MM, SAME_DIRECTION_RAD
from .offset_check import FLAT_MM, flattened
from .offset_outcomes import Change, Changed
from .offset_sides import Raw
from .offset_trim import Trimmed
from .paths import Path, Segment, path_of
from .points import Point

# How often the search for a width is halved: to a millionth of where it starts.
_HALVINGS = 20

# Chords to the quarter turn of shapely's arcs.
_QUARTER = 64

# A place along the round of the source: twice the number of a segment, and one more
# for the corner at its end.
_Spot = int


def changes(source: Path, found: Trimmed, area: Any, by: float) -> tuple[Changed, ...]:
    """How the rings differ from their source, in order along it.

    `area` is what the rings enclose, as shapely has it, `by` how far they were moved.
    Raises ValueError where the rings could not be made out.
    """
    if found.rings is None:
        raise ValueError("without rings there is nothing to compare")
    if not found.rings:
        at, width = widest(shapely.Polygon(flattened(source, FLAT_MM / 100.0)))
        return (Changed(Change.VANISHED, at, width),)
    count = len(found.raw)
    spots = [[2 * side + round_ for side, round_ in ring.sides] for ring in found.rings]
    kept = {spot for ring in spots for spot in ring}
    told: dict[object, tuple[int, Changed]] = {}
    rest: Any = None
    for ring in spots:
        for here, there in zip(ring, [*ring[1:], ring[0]], strict=True):
            between = _sides_between(here, there, count)
            if not between:
                continue
            if not any(2 * side in kept for side in between):
                rest = _out_of_reach(source, area, by) if rest is None else rest
                key: object = tuple(between)
                change = _feature(found, between, rest)
            else:
                after = _run(between, kept)
                before = _run(between[::-1], kept)[::-1]
                key = frozenset((tuple(after) or here, tuple(before) or there))
                change = _neck(found.raw, here, after, before, there)
            told.setdefault(key, (here, change))
    return tuple(change for _, change in sorted(told.values(), key=lambda item: item[0]))


def _out_of_reach(source: Path, area: Any, by: float) -> Any:
    """The parts that the source leaves free, and a disc along the rings does not reach."""
    whole = shapely.Polygon(flattened(source))
    # What is no wider than the disc, to rounding, closes first.
    hair = math.copysign(AREAS_MM / 2.0, by)
    back = area.buffer(hair).buffer(-by - hair, quad_segs=_QUARTER)
    parts = shapely.get_parts(back.difference(whole) if by > 0.0 else whole.difference(back))
    return shapely.STRtree(parts[shapely.area(parts) > 0.0])


def _sides_between(here: _Spot, there: _Spot, count: int) -> list[int]:
    """The numbers of the segments from one place along the source to the next."""
    length = (there - here) % (2 * count) or 2 * count
    return [spot % (2 * count) // 2 for spot in range(here + 1, here + length) if spot % 2 == 0]


def _run(between: Sequence[int], kept: set[int]) -> list[int]:
    """The segments at the start of a run that left nothing."""
    found = []
    for side in between:
        if 2 * side in kept:
            break
        found.append(side)
    return found


def _feature(found: Trimmed, between: list[int], rest: Any) -> Changed:
    lost = [found.raw[side] for side in between]
    segments = [Segment(Point(x0, y0), Point(x1, y1), bulge) for x0, y0, x1, y1, bulge in lost]
    run = path_of(segments, closed=False)
    length = run.length
    at = run.stretch(0.0, length / 2.0).end
    turns = [found.pieces.turns[side] for side in (between[0] - 1, *between)]
    if all(turn <= SAME_DIRECTION_RAD for turn in turns) and all(raw[4] <= 0.0 for raw in lost):
        arc = len(segments) == 1 and not segments[0].is_line
        return Changed(Change.CORNER, at, segments[0].radius if arc else length)
    line = shapely.LineString(flattened(run))
    near = rest.query(line, predicate="dwithin", distance=AREAS_MM)
    widths = (widest(part)[1] for part in rest.geometries[near])
    return Changed(Change.CLOSED, at, max(widths, default=0.0))


def _neck(
    raw: Sequence[Raw], here: _Spot, after: list[int], before: list[int], there: _Spot
) -> Changed:
    """The narrowest place between the two walls that met."""
    one, other = (
        shapely.union_all([_at_spot(raw, spot), *(_at_spot(raw, 2 * side) for side in sides)])
        for spot, sides in ((here, after), (there, before))
    )
    (ax, ay), (bx, by) = shapely.shortest_line(one, other).coords
    return Changed(
        Change.NECK, Point((ax + bx) / 2.0, (ay + by) / 2.0), math.hypot(bx - ax, by - ay)
    )


def _at_spot(raw: Sequence[Raw], spot: _Spot) -> Any:
    """The segment, or the corner at its end, as shapely has it."""
    x0, y0, x1, y1, bulge = raw[spot // 2]
    if spot % 2:
        return shapely.Point(x1, y1)
    segment = Segment(Point(x0, y0), Point(x1, y1), bulge)
    return shapely.LineString(flattened(path_of((segment,), closed=False)))


def widest(area: Any) -> tuple[Point, float]:
    """A middle of the widest place of an area, and how wide it is there, in mm.

    The area is worn away from its edge until hardly anything is left.
    """
    left, bottom, right, top = area.bounds
    low, high = 0.0, min(right - left, top - bottom)
    core = area
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        worn = area.buffer(-middle, join_style="mitre")
        if worn.is_empty:
            high = middle
        else:
            low, core = middle, worn
    at = core.representative_point()
    return Point(at.x, at.y), 2.0 * float(area.boundary.distance(at))
