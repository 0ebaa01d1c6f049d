"""This module cuts many stretches out of one path, in one pass along it."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate

from ..measures.exact import ROUNDING_MM
from .paths import Path, Segment, Vertex


def stretches(path: Path, spans: Iterable[tuple[float, float]]) -> list[Path]:
    """The open stretches between pairs of distances along a path, in mm, as `Path.stretch` does.

    On a closed path an end may pass the length by up to one turn; a start lies
    between 0 and the length.
    """
    segments = path.segments
    # Where each segment begins, and where the last one ends.
    begins = [0.0, *accumulate(segment.length for segment in segments)]
    total = begins[-1]
    found = []
    for start, end in spans:
        if path.closed and end > total:
            vertices = [
                *_vertices(path, segments, begins, start, total),
                *_vertices(path, segments, begins, 0.0, end - total),
            ]
        else:
            # A sum that missed the end by rounding means the end.
            end = min(end, total)
            vertices = _vertices(path, segments, begins, start, end)
        found.append(_open(segments, begins, vertices, start if end <= total else 0.0, end, total))
    return found


def _vertices(
    path: Path, segments: tuple[Segment, ...], begins: list[float], start: float, end: float
) -> list[Vertex]:
    """The vertices at which the segments of a stretch start."""
    found: list[Vertex] = []
    for index in range(max(0, bisect_right(begins, start) - 1), len(segments)):
        begin = begins[index]
        if begin >= end:
            break
        length = begins[index + 1] - begin
        low, high = max(start - begin, 0.0), min(end - begin, length)
        # What is shorter than rounding is no stretch, only a sum that missed.
        if high - low <= ROUNDING_MM:
            continue
        if low == 0.0 and high == length:
            found.append(path.vertices[index])
            continue
        segment = segments[index]
        bulge = segment.bulge
        if bulge:
            bulge = math.tan(segment.sweep * (high - low) / length / 4.0)
        found.append(Vertex(segment.at(low / length), bulge))
    return found


def _open(
    segments: tuple[Segment, ...],
    begins: list[float],
    vertices: list[Vertex],
    start: float,
    end: float,
    total: float,
) -> Path:
    """The path along some vertices, with its last place."""
    if not vertices:
        return Path(())
    end = end - total if end > total else end
    # The last segment that holds more than rounding of the stretch.
    index = min(bisect_right(begins, end) - 1, len(segments) - 1)
    while index > 0 and end - max(begins[index], start) <= ROUNDING_MM:
        index -= 1
    length = begins[index + 1] - begins[index]
    share = min(1.0, (end - begins[index]) / length) if length > 0.0 else 1.0
    vertices.append(Vertex(segments[index].at(share)))
    return Path(tuple(vertices))
