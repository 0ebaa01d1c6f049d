"""This module makes the shapes that tests of geometry share."""

from __future__ import annotations

import math

from foldwright.geometry import Path, Point, Vertex

# The bulge of a quarter circle.
QUARTER = math.tan(math.pi / 8.0)


def rounded_rectangle(width: float, height: float, radius: float) -> Path:
    """Four lines and four quarter circles, anticlockwise, lower left corner at 0, 0."""
    w, h, r = width, height, radius
    places = (
        (r, 0.0),
        (w - r, 0.0),
        (w, r),
        (w, h - r),
        (w - r, h),
        (r, h),
        (0.0, h - r),
        (0.0, r),
    )
    return Path(
        tuple(Vertex(Point(*at), QUARTER * (i % 2)) for i, at in enumerate(places)), closed=True
    )
