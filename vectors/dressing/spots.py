"""This module finds the spot on a part or a panel that is farthest from all its edges."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

import shapely

from ..geometry import Path
from ..geometry.offset_check import flattened
from ..measures.exact import MEETS_MM


class Spot(NamedTuple):
    """The largest circle that lies on a shape: its middle and its radius, in mm."""

    at: tuple[float, float]
    radius: float


def widest_spot(outline: Path, openings: Iterable[Path] = ()) -> Spot:
    """The spot of a shape with holes; it is found to a micrometre."""
    whole = shapely.Polygon(
        flattened(outline.rounded()), [flattened(one.rounded()) for one in openings]
    )
    radius = shapely.maximum_inscribed_circle(whole, tolerance=MEETS_MM)
    middle = whole.centroid
    away = whole.boundary.distance(middle)
    # On a long shape the circle may lie anywhere along it; the middle is where one looks first.
    if whole.contains(middle) and away >= radius.length - MEETS_MM:
        return Spot((round(middle.x, 3), round(middle.y, 3)), float(away))
    at = radius.coords[0]
    return Spot((round(at[0], 3), round(at[1], 3)), float(radius.length))
