"""This module turns shapely shapes of a drawing into paths, lines of hatching and rings."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ..geometry import Path, Point, Vertex, polygon
from .camera import Floats
from .clipping import level_stretches
from .model import Line, Pen

# Corners of chords that lie nearer to a straight line than this, in mm of the page, are not seen.
_UNSEEN = 0.01


@dataclass(frozen=True, kw_only=True, slots=True)
class Sheet:
    """How a plane lies on the page: scale, and whether it is turned over sideways.

    What is turned over goes about the upright line x = 0.
    """

    scale: float
    over: bool = False

    def shape(self, shape: Any) -> Any:
        """A shape on the page."""
        sides = np.array([-self.scale if self.over else self.scale, self.scale])
        return shapely.transform(shape, lambda at: at * sides)

    def spot(self, at: Point) -> Point:
        """A place on the page."""
        x, y = at.floats()
        return Point((-x if self.over else x) * self.scale, y * self.scale)


def rings_of(shape: Any) -> list[Floats]:
    """The rings of a (multi)polygon, each without its last corner."""
    return [
        np.asarray(shapely.get_coordinates(ring)[:-1])
        for part in shapely.get_parts(shape).tolist()
        if isinstance(part, shapely.Polygon) and not part.is_empty
        for ring in (part.exterior, *part.interiors)
    ]


def rims(shape: Any, pen: Pen) -> Iterator[Line]:
    """The rim of a (multi)polygon on the page."""
    for part in shapely.get_parts(shapely.simplify(shape, _UNSEEN)).tolist():
        for ring in (part.exterior, *part.interiors):
            corners = shapely.get_coordinates(ring)[:-1].tolist()
            yield Line(path=polygon(*(Point(x, y) for x, y in corners)), pen=pen)


def drawn(line: Any, pen: Pen) -> Iterator[Line]:
    """A shapely line, or several, on the page."""
    for part in shapely.get_parts(shapely.simplify(line, _UNSEEN)).tolist():
        if isinstance(part, shapely.LineString) and part.length > _UNSEEN:
            places = [Point(x, y) for x, y in shapely.get_coordinates(part).tolist()]
            closed = len(places) > 3 and places[0] == places[-1]
            kept = places[:-1] if closed else places
            yield Line(path=Path(tuple(Vertex(at) for at in kept), closed=closed), pen=pen)


def hatched(shape: Any, spacing: float, slant_deg: float, pen: Pen) -> Iterator[Line]:
    """Lines over a (multi)polygon on the page, `spacing` mm apart, at an angle to the right.

    They go through the page's origin, so that those of neighbours run on.
    """
    rings = rings_of(shapely.simplify(shape, _UNSEEN))
    if not rings:
        return
    slant = math.radians(slant_deg)
    cos, sin = math.cos(slant), math.sin(slant)
    # Turned so that the lines are level.
    level = [
        np.stack((ring[:, 0] * cos + ring[:, 1] * sin, ring[:, 1] * cos - ring[:, 0] * sin), axis=1)
        for ring in rings
    ]
    low = min(float(ring[:, 1].min()) for ring in level)
    high = max(float(ring[:, 1].max()) for ring in level)
    steps = range(math.ceil(low / spacing), math.floor(high / spacing) + 1)
    heights = [step * spacing for step in steps]
    for y, row in zip(heights, level_stretches(level, heights), strict=True):
        for left, right in row:
            if right - left > _UNSEEN:
                start, end = (Point(x * cos - y * sin, x * sin + y * cos) for x in (left, right))
                yield Line(path=Path((Vertex(start), Vertex(end))), pen=pen)
