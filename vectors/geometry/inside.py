"""This module tells whether a place lies inside of a closed path of lines and arcs."""

from __future__ import annotations

from .paths import Path


def inside(path: Path, x: float, y: float) -> bool:
    """Whether a place lies inside of a closed path, by the even-odd rule.

    A place on the path itself may be told either way.
    """
    within = False
    places = [vertex.at.floats() for vertex in path.vertices]
    for index, vertex in enumerate(path.vertices):
        (x0, y0), (x1, y1) = places[index], places[index + 1 - len(places)]
        if (y0 > y) != (y1 > y) and x < x0 + (y - y0) * (x1 - x0) / (y1 - y0):
            within = not within
        bulge = vertex.bulge
        if bulge == 0.0:
            continue
        # Between the chord and its arc: right of the chord where the arc runs
        # anticlockwise, and within its circle.
        left = (x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)
        if left * bulge >= 0.0:
            continue
        # The circle's equation through the ends of the chord, without its centre,
        # which may be very far away.
        chord = (x - x0) * (x - x1) + (y - y0) * (y - y1)
        if chord - left * (1.0 - bulge * bulge) / (2.0 * bulge) <= 0.0:
            within = not within
    return within
