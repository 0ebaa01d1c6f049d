"""This package is the geometry: points, paths of lines and arcs, what is done with them."""

from .paths import Path, Segment, Vertex, bulge_through, circle, line, path_of, polygon, union_box
from .points import Point, Vector, point

__all__ = [
    "Path",
    "Point",
    "Segment",
    "Vector",
    "Vertex",
    "bulge_through",
    "circle",
    "line",
    "path_of",
    "point",
    "polygon",
    "union_box",
]
