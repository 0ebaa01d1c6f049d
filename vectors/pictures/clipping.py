"""This module cuts lines to polygons on flat paper, and panels in space to each other's planes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

from ..measures.exact import MEETS_MM
from .camera import Floats
from .facets import Facet

Stretch = tuple[float, float]


def within_rings(rings: Sequence[Floats], start: Floats, end: Floats) -> list[Stretch]:
    """The shares (0 to 1) of a straight line that lie within rings, by the even-odd rule."""
    dx, dy = end - start
    shares = {0.0, 1.0}
    for ring in rings:
        (ax, ay), (bx, by) = (ring - start).T, (np.roll(ring, -1, axis=0) - start).T
        # How far each corner lies to the left of the line, times its length.
        left_a, left_b = dx * ay - dy * ax, dx * by - dy * bx
        crosses = (left_a > 0.0) != (left_b > 0.0)
        t = left_a[crosses] / (left_a[crosses] - left_b[crosses])
        x, y = ax[crosses] + t * (bx - ax)[crosses], ay[crosses] + t * (by - ay)[crosses]
        at = (x * dx + y * dy) / (dx * dx + dy * dy)
        shares |= {float(one) for one in at if 0.0 < one < 1.0}
    found: list[Stretch] = []
    for low, high in pairwise(sorted(shares)):
        if _inside(rings, start + (end - start) * ((low + high) / 2.0)):
            if found and found[-1][1] == low:
                found[-1] = (found[-1][0], high)
            else:
                found.append((low, high))
    return found


def level_stretches(rings: Sequence[Floats], heights: Sequence[float]) -> list[list[Stretch]]:
    """For each of some heights the stretches (left, right) of it within rings, by even and odd."""
    starts = np.concatenate(rings)
    ends = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    (ax, ay), (bx, by) = starts.T, ends.T
    level = np.array(heights)[:, None]
    crosses = (ay > level) != (by > level)
    x = ax + (level - ay) * ((bx - ax) / np.where(ay == by, 1.0, by - ay))
    found = []
    for row, here in zip(x, crosses, strict=True):
        met = np.sort(row[here]).tolist()
        found.append([(a, b) for a, b in zip(met[::2], met[1::2], strict=True) if a < b])
    return found


def _inside(rings: Sequence[Floats], at: Floats) -> bool:
    count = 0
    for ring in rings:
        (ax, ay), (bx, by) = ring.T, np.roll(ring, -1, axis=0).T
        spans = (ay > at[1]) != (by > at[1])
        rise = np.where(spans, by - ay, 1.0)
        count += int((spans & (at[0] < ax + (at[1] - ay) * (bx - ax) / rise)).sum())
    return count % 2 == 1


def crossing_stretches(one: Facet, other: Facet) -> list[tuple[Floats, Floats]]:
    """The straight stretches in space along which two panels pass through each other.

    None where they lie in one plane or in planes that run side by side.
    """
    way = np.cross(one.normal, other.normal)
    size = float(np.sqrt((way**2).sum()))
    if size < MEETS_MM:
        return []
    way = way / size
    # The place of both planes that is nearest to the origin.
    spot = np.cross(one.offset * other.normal - other.offset * one.normal, way) / size
    first, second = _cut(one, other, way), _cut(other, one, way)
    found = []
    for low, high in _common(first, second):
        if high - low > MEETS_MM:
            found.append((spot + way * low, spot + way * high))
    return found


def _cut(facet: Facet, by: Facet, way: Floats) -> list[Stretch]:
    """Where a panel's polygon meets another one's plane, as distances along the line of both."""
    met: list[float] = []
    for ring in facet.space:
        ends = np.roll(ring, -1, axis=0)
        above_a = (ring * by.normal).sum(axis=1) - by.offset
        above_b = np.roll(above_a, -1)
        crosses = (above_a > 0.0) != (above_b > 0.0)
        t = above_a[crosses] / (above_a[crosses] - above_b[crosses])
        places = ring[crosses] + t[:, None] * (ends - ring)[crosses]
        met += [float(one) for one in (places * way).sum(axis=1)]
    met.sort()
    return list(zip(met[::2], met[1::2], strict=True))


def _common(first: Iterable[Stretch], second: Iterable[Stretch]) -> list[Stretch]:
    seconds = list(second)
    return [(max(a, c), min(b, d)) for a, b in first for c, d in seconds if max(a, c) < min(b, d)]
