"""This module verifies an offset by an ellipse: that no side ran into one that is no neighbour.

The steps are those of `offset_check`; where shapely is asked, the plane is drawn so that
the ellipse is round, and its own buffer of a finely flattened copy is the judge.
"""

from __future__ import annotations

import math
import re
from typing import Any

from ..measures.exact import ACROSS_MM
from .offset import Loss, Lost, Offset
from .offset_check import FLAT_MM, flattened, sides_apart, verify
from .paths import Path
from .points import Point


def verify_across(source: Path, moved: Offset, by_x: float, by_y: float) -> tuple[Lost, ...]:
    """What is wrong with an offset of the closed `source` by an ellipse; nothing if it is right.

    An offset that has no path tells its own losses.
    """
    if by_x == by_y:
        return verify(source, moved, by_x)
    if moved.path is None:
        return moved.losses
    if moved.convex or (moved.smooth and sides_apart(source, max(abs(by_x), abs(by_y)))):
        return ()
    return second_opinion_across(source, moved, by_x, by_y)


def second_opinion_across(
    source: Path, moved: Offset, by_x: float, by_y: float
) -> tuple[Lost, ...]:
    """What shapely finds wrong with an offset by an ellipse that has a path."""
    import shapely

    if moved.path is None:
        raise ValueError("an offset without a path cannot be compared")
    by = math.copysign(max(abs(by_x), ACROSS_MM), by_x + by_y)
    stretch = abs(by) / max(abs(by_y), ACROSS_MM)
    before, after = (
        shapely.Polygon([(x, y * stretch) for x, y in flattened(path)])
        for path in (source, moved.path)
    )
    for area, loss in ((before, Loss.TANGLED), (after, Loss.MERGED)):
        if not area.is_valid:
            return (Lost(loss, _named(shapely.is_valid_reason(area), source, stretch)),)
    whole = before.buffer(by, quad_segs=32)
    turned = math.copysign(1.0, source.area)
    # Mitres add to the area whichever way round it is run.
    expected = whole.area + moved.mitred * stretch
    # What flattening and fitting can make alone: see `area_tolerance`.
    longest = source.length * max(1.0, stretch)
    tolerance = longest * (FLAT_MM + ACROSS_MM) + 0.01 * by * by * len(source.vertices)
    if (
        whole.geom_type == "Polygon"
        and not whole.interiors
        and abs(turned * moved.path.area * stretch - expected) <= tolerance
    ):
        return ()
    return (Lost(Loss.MERGED, _farthest(whole.symmetric_difference(after), source, stretch)),)


def _named(reason: str, source: Path, stretch: float) -> Point:
    """The place that shapely names in brackets behind its reason."""
    found = re.search(r"\[(\S+) (\S+)\]", reason)
    return source.start if found is None else Point(float(found[1]), float(found[2]) / stretch)


def _farthest(difference: Any, source: Path, stretch: float) -> Point:
    """The middle of the largest part by which two areas differ."""
    parts = [part for part in getattr(difference, "geoms", [difference]) if not part.is_empty]
    if not parts:
        return source.start
    middle = max(parts, key=lambda part: part.area).representative_point()
    return Point(middle.x, middle.y / stretch)
