"""This module fits lines and arcs to the flattened edge of an area, as few as keep close to it.

From each place on, the longest line or arc is taken whose distance from all places
of the ring that it passes is within the tolerance, and which passes close to the
chords between them too.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from ..measures.exact import ROUNDING_MM
from .box_pairs import Floats
from .paths import Path, Segment, bulge_through, path_of
from .points import Point

# An arc that covers more than this, in radians, is fitted in two.
_LARGEST_SWEEP = 1.5 * math.pi


def refit(area: Any, within: float) -> list[Path]:
    """The rings of a shapely area as lines and arcs that leave them by at most `within` mm.

    Outer rings run anticlockwise, holes clockwise.
    """
    found = []
    for polygon in getattr(area, "geoms", [area]):
        if polygon.is_empty or polygon.geom_type != "Polygon":
            continue
        for ring, ccw in ((polygon.exterior, True), *((hole, False) for hole in polygon.interiors)):
            places = np.array(ring.coords)[:-1]
            if ring.is_ccw is not ccw:
                places = places[::-1]
            found.append(fit_ring(places, within))
    return found


def fit_ring(places: Floats, within: float) -> Path:
    """Lines and arcs along a closed run of places, a row each, the last not the first again.

    Raises ValueError for fewer than three places.
    """
    if len(places) < 3:
        raise ValueError("a ring needs three places")
    # Begun at the sharpest corner, where a line or an arc ends anyway.
    onward = np.roll(places, -1, axis=0) - places
    way = np.arctan2(onward[:, 1], onward[:, 0])
    turn = np.abs((way - np.roll(way, 1) + math.pi) % (2.0 * math.pi) - math.pi)
    first = int(np.argmax(turn))
    run = np.vstack((places[first:], places[: first + 1]))
    segments: list[Segment] = []
    here, last = 0, len(run) - 1
    while here < last:
        there, segment = _longest(run, here, last, within, whole=not segments)
        segments.append(segment)
        here = there
    return path_of(segments, closed=True)


def _longest(
    run: Floats, here: int, last: int, within: float, *, whole: bool
) -> tuple[int, Segment]:
    """The farthest place that one line or arc reaches, and that line or arc."""
    # One segment alone makes no ring.
    most = last - 1 if whole else last
    good, best = here + 1, _line(run, here, here + 1)
    step = 1
    bad = most + 1
    # Twice as far as long as it fits, then halved to the last place.
    while good < most:
        there = min(good + step, bad - 1)
        if there <= good:
            break
        segment = _fitting(run, here, there, within)
        if segment is None:
            bad, step = there, max(1, (there - good) // 2)
            if bad - good <= 1:
                break
        else:
            good, best = there, segment
            step = step * 2 if bad > most else max(1, (bad - good) // 2)
    return good, best


def _line(run: Floats, here: int, there: int) -> Segment:
    return Segment(Point(*run[here].tolist()), Point(*run[there].tolist()))


def _fitting(run: Floats, here: int, there: int, within: float) -> Segment | None:
    """The line or the arc between two places that keeps close to all between; None for neither."""
    line = _line(run, here, there)
    between = run[here : there + 1]
    if _line_off(between) <= within:
        return line
    middle = (here + there) // 2
    through = Point(*run[middle].tolist())
    bulge = bulge_through(line.start, through, line.end)
    arc = Segment(line.start, line.end, bulge)
    if bulge == 0.0 or abs(arc.sweep) > _LARGEST_SWEEP:
        return None
    centre, radius = np.array(arc.centre.floats()), arc.radius
    # Chords sag by as much as the flattening did; their middles must keep close too.
    halves = (between[1:] + between[:-1]) / 2.0
    for places in (between, halves):
        if np.abs(np.hypot(*(places - centre).T) - radius).max() > within:
            return None
    return arc if _goes_on(between - centre, bulge) else None


def _line_off(places: Floats) -> float:
    """How far places lie off the chord of their run, infinite where they go back along it."""
    along = places[-1] - places[0]
    length = math.hypot(*along.tolist())
    if length <= ROUNDING_MM:
        return math.inf
    unit = along / length
    away = places - places[0]
    if (np.diff(away @ unit) < -ROUNDING_MM).any():
        return math.inf
    return float(np.abs(away[:, 0] * unit[1] - away[:, 1] * unit[0]).max())


def _goes_on(away: Floats, bulge: float) -> bool:
    """Whether places round a centre go on in the arc's sense."""
    cross = away[:-1, 0] * away[1:, 1] - away[:-1, 1] * away[1:, 0]
    return bool((cross * math.copysign(1.0, bulge) > 0.0).all())
