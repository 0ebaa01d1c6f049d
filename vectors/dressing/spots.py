"""This module finds the spot on a part or a panel that is farthest from all its edges."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import shapely

from ..geometry import Path
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM

Box = tuple[float, float, float, float]
"""Left, bottom, right and top of an upright rectangle, in mm."""


class Spot(NamedTuple):
    """The largest circle that lies on a shape: its middle and its radius, in mm."""

    at: tuple[float, float]
    radius: float


def widest_spot(outline: Path, openings: Iterable[Path] = (), taken: Iterable[Box] = ()) -> Spot:
    """The spot of a shape with holes, clear of boxes that are taken; right to 2 µm in radius."""
    whole = shapely.Polygon(
        flattened(outline.rounded()), [flattened(one.rounded()) for one in openings]
    )
    whole = whole.difference(shapely.union_all([shapely.box(*box) for box in taken]))
    if whole.is_empty:
        return Spot(outline.rounded().start.floats(), 0.0)
    circle = shapely.maximum_inscribed_circle(whole, tolerance=MEETS_MM)
    found, middle = shapely.Point(circle.coords[0]), whole.centroid
    # On a long stretch the circle may lie anywhere along it; its middle is where one looks first.
    for at in (
        middle,
        shapely.Point(middle.x, found.y),
        shapely.Point(found.x, middle.y),
        found,
    ):
        away = float(whole.boundary.distance(at))
        if whole.contains(at) and away >= circle.length - 2.0 * MEETS_MM:
            break
    return Spot((round(at.x, 3), round(at.y, 3)), away)
