"""This module verifies an offset: that no side ran into another one that is not its neighbour.

Three steps, the cheapest first.  A path that turns one way only cannot tangle.
A path whose sides keep well apart cannot either, and boxes tell that.  What is
left is put before shapely: the ring must be valid and hold the area of shapely's
own buffer of a finely flattened copy.
"""

from __future__ import annotations

import math
import re
from typing import Any

from ..measures.exact import SAME_PLACE_MM
from .boxes import overlapping
from .offset import MITRE_LIMIT, Loss, Lost, Offset
from .paths import Path
from .points import Point

# An arc is flattened for shapely so finely that no chord leaves it by more, in mm.
FLAT_MM = 1e-4

# The bulge of 3/4 of a half circle.
_LARGEST_BULGE = math.tan(0.75 * math.pi / 4.0)

# Below this many sides trying every pair is quicker than dividing on.
_FEW = 24


def verify(source: Path, moved: Offset, by: float, *, second: bool = True) -> tuple[Lost, ...]:
    """What is wrong with an offset of the closed `source` by `by` mm; nothing where it is right.

    An offset that has no path tells its own losses.  Without `second` shapely is
    not asked, and an offset that only shapely could settle counts as wrong.
    """
    if moved.path is None:
        return moved.losses
    if moved.convex or (moved.smooth and sides_apart(source, by)):
        return ()
    if not second:
        return (Lost(Loss.MERGED, source.start),)
    return second_opinion(source, moved, by)


def sides_apart(source: Path, by: float) -> bool:
    """Whether sides that are no neighbours keep so far apart that an offset cannot join them.

    Every place of the offset lies within the mitre limit times `by` of the side
    it belongs to, so boxes grown by that much must not overlap.  Only for paths
    whose corners lie between straight sides: these meet once, and so do arcs
    that run on smoothly, of up to 3/4 of a half circle.
    """
    reach = MITRE_LIMIT * abs(by) + SAME_PLACE_MM
    places = [vertex.at.floats() for vertex in source.vertices]
    boxes: list[tuple[float, float, float, float]] = []
    for index, vertex in enumerate(source.vertices):
        (x0, y0), (x1, y1) = places[index], places[index + 1 - len(places)]
        if x0 == x1 and y0 == y1:
            continue
        bulge = abs(vertex.bulge)
        if bulge > _LARGEST_BULGE:
            return False
        # An arc of no more than a half circle keeps within its height of its chord's box.
        grown = reach + (bulge * math.hypot(x1 - x0, y1 - y0) / 2.0 if bulge else 0.0)
        left, right = (x0, x1) if x0 < x1 else (x1, x0)
        bottom, top = (y0, y1) if y0 < y1 else (y1, y0)
        boxes.append((left - grown, bottom - grown, right + grown, top + grown))
    count = len(boxes)
    if count < 4:
        return False
    if count > _FEW:
        return all(j - i in (1, count - 1) for i, j in overlapping(boxes, 0.0))
    for i, (left, bottom, right, top) in enumerate(boxes):
        # The last side is the first one's neighbour.
        for other in boxes[i + 2 : count if i else count - 1]:
            if other[0] <= right and left <= other[2] and other[1] <= top and bottom <= other[3]:
                return False
    return True


def flattened(path: Path, within: float = FLAT_MM) -> list[tuple[float, float]]:
    """Places along a path, arcs as chords that leave them by at most `within` mm."""
    places: list[tuple[float, float]] = []
    for segment in path.segments:
        places.append(segment.start.floats())
        if not segment.is_line and abs(segment.bulge) * segment.chord > 2.0 * SAME_PLACE_MM:
            # 1 - cos(step / 2) is twice the square of sin(step / 4).
            step = 4.0 * math.asin(math.sqrt(min(1.0, within / segment.radius) / 2.0))
            count = max(1, math.ceil(abs(segment.sweep) / step))
            places += [segment.at(index / count).floats() for index in range(1, count)]
    if not path.closed:
        places.append(path.end.floats())
    return places


def area_tolerance(source: Path, by: float) -> float:
    """The difference of areas, in mm², that flattening alone can make.

    A chord cuts off at most 2/3 of its height times its length; an arc about a
    corner, 32 chords to the quarter turn, less than a hundredth of its sector.
    """
    return source.length * FLAT_MM + 0.01 * by * by * len(source.vertices)


def second_opinion(source: Path, moved: Offset, by: float) -> tuple[Lost, ...]:
    """What shapely finds wrong with an offset that has a path."""
    import shapely

    if moved.path is None:
        raise ValueError("an offset without a path cannot be compared")
    before, after = shapely.Polygon(flattened(source)), shapely.Polygon(flattened(moved.path))
    if not before.is_valid:
        return (Lost(Loss.TANGLED, named_place(shapely.is_valid_reason(before), source)),)
    if not after.is_valid:
        return (Lost(Loss.MERGED, named_place(shapely.is_valid_reason(after), source)),)
    whole = before.buffer(by, quad_segs=32)
    turned = math.copysign(1.0, source.area)
    expected = whole.area + turned * moved.mitred
    if (
        whole.geom_type == "Polygon"
        and not whole.interiors
        and abs(turned * moved.path.area - expected) <= area_tolerance(source, by)
    ):
        return ()
    return (Lost(Loss.MERGED, _farthest(whole.symmetric_difference(after), source)),)


def named_place(reason: str, source: Path) -> Point:
    """The place that shapely names in brackets behind its reason."""
    found = re.search(r"\[(\S+) (\S+)\]", reason)
    return source.start if found is None else Point(float(found[1]), float(found[2]))


def _farthest(difference: Any, source: Path) -> Point:
    """The middle of the largest part by which two areas differ."""
    parts = [part for part in getattr(difference, "geoms", [difference]) if not part.is_empty]
    if not parts:
        return source.start
    middle = max(parts, key=lambda part: part.area).representative_point()
    return Point(middle.x, middle.y)
