"""This module finds the area of what a closed path encloses and where its middle lies.

By Green's theorem both are sums over the segments of the boundary, so that lines
and arcs count exactly and holes are taken off by adding their own sums.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from .paths import Path, Segment, bow_area
from .points import Point


@dataclass(frozen=True, slots=True)
class Moments:
    """An area in mm², and the area times the place of its centroid, in mm³."""

    area: float
    across: float
    up: float

    @property
    def centroid(self) -> Point:
        """The centroid of the area.  Raises ValueError where there is no area."""
        if self.area == 0.0:
            raise ValueError("what has no area has no centroid")
        return Point(self.across / self.area, self.up / self.area)

    def times(self, share: float) -> Moments:
        """The same figure weighed with a factor, such as a mass for each mm²."""
        return Moments(self.area * share, self.across * share, self.up * share)


def moments(*paths: Path) -> Moments:
    """The moments of closed paths together: those run clockwise are taken off."""
    return total(_moments(path) for path in paths)


def total(several: Iterable[Moments]) -> Moments:
    """The moments of several figures together."""
    found = tuple(several)
    return Moments(
        math.fsum(one.area for one in found),
        math.fsum(one.across for one in found),
        math.fsum(one.up for one in found),
    )


def _moments(path: Path) -> Moments:
    # About its first vertex: far from the origin no large products are taken from each other.
    x, y = path.start.floats()
    near = total(_swept(segment, x, y) for segment in path.segments)
    return Moments(near.area, near.across + x * near.area, near.up + y * near.area)


def _swept(segment: Segment, x: float, y: float) -> Moments:
    """What the line from (x, y) to a place that runs along the segment sweeps over."""
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    ax, ay, bx, by = x0 - x, y0 - y, x1 - x, y1 - y
    area = (ax * by - bx * ay) / 2.0
    triangle = Moments(area, area * (ax + bx) / 3.0, area * (ay + by) / 3.0)
    if segment.is_line or segment.chord == 0.0:
        return triangle
    bow = bow_area(segment)
    # The bow lies to the right of the chord, its height half the chord times the bulge.
    out = segment.bulge / 2.0 * _centroid_share(segment.sweep)
    cx, cy = (ax + bx) / 2.0 + (by - ay) * out, (ay + by) / 2.0 - (bx - ax) * out
    return total((triangle, Moments(bow, bow * cx, bow * cy)))


def _centroid_share(sweep: float) -> float:
    """How far from its chord the centroid of an arc's bow lies, as a share of its height.

    The centroid of a circular segment is 4 r sin³(a / 2) / (3 (a - sin a)) from the
    centre of its circle (any table of centroids); the chord is r cos(a / 2) from it.
    """
    half = abs(sweep) / 2.0
    if half < 0.05:
        # By its series, where the differences would lose their digits: 2/5 as in a parabola.
        return 0.4 * (1.0 + 3.0 / 140.0 * half * half)
    reach = 4.0 * math.sin(half) ** 3 / (3.0 * (2.0 * half - math.sin(2.0 * half)))
    return (reach - math.cos(half)) / (1.0 - math.cos(half))
