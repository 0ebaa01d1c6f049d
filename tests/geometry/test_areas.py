"""What has an area in a shape, and what an overlay leaves beside it."""

from __future__ import annotations

import shapely

from foldwright.geometry.areas import areas_of


def test_only_areas_are_kept() -> None:
    square, line = shapely.box(0, 0, 2, 2), shapely.LineString([(3, 0), (3, 2)])
    mixed = shapely.GeometryCollection([square, line, shapely.Point(5, 5)])
    assert areas_of(mixed).equals(square)
    assert areas_of(shapely.MultiPolygon([square, shapely.box(4, 0, 5, 1)])).area == 5.0
    assert areas_of(line).is_empty
    # What was mixed can be laid under another shape after that.
    left = shapely.difference(areas_of(mixed), shapely.box(1, 0, 2, 2), grid_size=1e-6)
    assert left.area == 2.0
