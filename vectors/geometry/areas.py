"""This module keeps of what an overlay of shapes leaves only the parts that have an area."""

from __future__ import annotations

from typing import Any

import shapely


def areas_of(shape: Any) -> shapely.MultiPolygon:
    """The polygons that a shape consists of, without the lines and places between them.

    Overlays take no shape in which areas and lines are mixed, though they give such.
    """
    parts = shapely.get_parts(shape)
    return shapely.MultiPolygon(
        [one for one in parts.tolist() if isinstance(one, shapely.Polygon) and one.area > 0.0]
    )
