"""This module finds the largest rectangle of a given direction that lies in a polygon with holes.

Between two heights the widest free stretch is found from the sides of the polygon that lie
between them.  A lower band that holds a higher one is never wider, so that the corners of
a range of bands bound all of them: ranges that cannot beat the best rectangle so far are
left out, the others are cut into halves or quarters.  Where all sides run along or across
the direction, the best band runs from corner to corner, and the answer is exact; elsewhere
no side of a larger rectangle could be moved out by more than 0.01 mm, or by as much more as
keeps the ranges few where very many rectangles are nearly as large.  The best one found is
moved to the best near it in any case.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform

from ..measures.exact import MEETS_MM, ROUNDING_MM, SAME_SIZE_MM

Floats = NDArray[np.float64]
_Place = tuple[float, float]

# So many ranges of bands are looked at together: their arrays stay small.
_AT_ONCE = 20_000

# Ranges begin at the heights of no more corners than this.
_MOST_HEIGHTS = 60

# In a slanting strip rectangles of one size lie side by side all along it.  With more ranges
# left than this the search asks for less, twice as much a time.
_MOST_RANGES = 8_000

# A round halves the longer side of all ranges; after so many they are below a nanometre.
_MOST_ROUNDS = 80


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle: its corner, from which it is `width` long along its direction.

    It is `height` high to the left of that; `degrees` is the direction, from the x axis.
    """

    corner: _Place
    width: float
    height: float
    degrees: float = 0.0

    @property
    def area(self) -> float:
        """The area in mm²."""
        return self.width * self.height

    @property
    def corners(self) -> tuple[_Place, _Place, _Place, _Place]:
        """The four corners, anticlockwise from the first on."""
        cos, sin = _cos_sin(self.degrees)
        x, y = self.corner
        along, up = (cos * self.width, sin * self.width), (-sin * self.height, cos * self.height)
        return (
            (x, y),
            (x + along[0], y + along[1]),
            (x + along[0] + up[0], y + along[1] + up[1]),
            (x + up[0], y + up[1]),
        )


def largest_rectangle(
    shape: Any, degrees: float = 0.0, lines: Sequence[Sequence[_Place]] = ()
) -> Rectangle | None:
    """The largest rectangle in a shapely (multi)polygon whose sides run along a direction.

    `degrees` is that direction from the x axis, `lines` are rows of places that no rectangle
    may have inside it.  Of equal ones it is the lowest, then the one farthest to the left.
    None where there is no room for any.
    """
    if shape.is_empty:
        return None
    cos, sin = _cos_sin(degrees)
    turned = affine_transform(shape, (cos, sin, -sin, cos, 0.0, 0.0))
    turned_lines = [[(cos * x + sin * y, cos * y - sin * x) for x, y in row] for row in lines]
    found = _Search(turned, turned_lines).best()
    if found is None:
        return None
    left, bottom, right, top = found
    corner = (cos * left - sin * bottom, sin * left + cos * bottom)
    return Rectangle(corner, right - left, top - bottom, degrees)


_Box = tuple[float, float, float, float]


class _Search:
    """The sides of a polygon, and the search for the best band between two heights."""

    def __init__(self, shape: Any, lines: Sequence[Sequence[_Place]]) -> None:
        sides = [*_sides(shape)]
        bounds = len(sides)
        for row in lines:
            sides += itertools.pairwise(row)
        ends = np.array(sides, dtype=float).reshape(-1, 2, 2)
        ends[:, :, 1] = _levelled(ends[:, :, 1])
        # Each side from its lower to its higher end.
        upward = ends[:, 0, 1] <= ends[:, 1, 1]
        self.low = np.where(upward[:, None], ends[:, 0], ends[:, 1])
        self.high = np.where(upward[:, None], ends[:, 1], ends[:, 0])
        self.bounds = np.arange(len(sides)) < bounds
        self.box: _Box = shape.bounds
        self.at_once = max(500, _AT_ONCE // max(1, len(sides) // 16))
        run = np.abs(self.high - self.low).min(axis=1)
        self.square = bool((run <= ROUNDING_MM).all())

    def best(self) -> _Box | None:
        heights = np.unique(np.concatenate((self.low[:, 1], self.high[:, 1])))
        if self.square:
            return self._of_pairs(heights)
        # Ranges begin at corners: many a best band runs from corner to corner anyway.
        step = max(1, math.ceil(len(heights) / _MOST_HEIGHTS))
        grid = np.append(heights[:-1:step], heights[-1])
        found = self._quartered(grid, self._of_pairs(grid))
        return None if found is None else self._refined(found)

    def _of_pairs(self, heights: Floats) -> _Box | None:
        """The best band that runs from one of the heights to another."""
        bottoms, tops = np.triu_indices(len(heights), 1)
        best: _Box | None = None
        for first in range(0, len(bottoms), self.at_once):
            chosen = slice(first, first + self.at_once)
            best = self._better(best, heights[bottoms[chosen]], heights[tops[chosen]])
        return best

    def _better(self, best: _Box | None, bottom: Floats, top: Floats) -> _Box | None:
        left, right = self.widest(bottom, top)
        areas = (right - left) * (top - bottom)
        least = ROUNDING_MM if best is None else _area(best) * (1.0 + 1e-12)
        if not len(areas) or areas.max() <= least:
            return best
        # Of equal ones the lowest, then the leftmost one.
        top_area = float(areas.max()) * (1.0 - 1e-12)
        order = np.flatnonzero(areas >= top_area)
        i = order[np.lexsort((left[order], bottom[order]))[0]]
        return float(left[i]), float(bottom[i]), float(right[i]), float(top[i])

    def _quartered(self, grid: Floats, best: _Box | None) -> _Box | None:
        """The best band of all, within what a side may be moved by."""
        i, j = np.triu_indices(len(grid) - 1)
        # A range: bottoms from b0 to b1, tops from t0 to t1.
        ranges = np.stack((grid[i], grid[i + 1], grid[j], grid[j + 1]), axis=1)
        by_mm = SAME_SIZE_MM
        for _ in range(_MOST_ROUNDS):
            kept, most = [ranges[:0]], [ranges[:0, 0]]
            for first in range(0, len(ranges), self.at_once):
                part = ranges[first : first + self.at_once]
                best = self._better(best, *_middles(part))
                kept.append(part)
                most.append(self._most(part))
            ranges, areas = np.concatenate(kept), np.concatenate(most)
            left = areas > _beaten(best, by_mm)
            while np.count_nonzero(left) > _MOST_RANGES:
                by_mm *= 2.0
                left = areas > _beaten(best, by_mm)
            ranges = ranges[left]
            if not len(ranges):
                break
            ranges = _split(ranges)
        return best

    def _most(self, ranges: Floats) -> Floats:
        """No rectangle whose band lies in the range is larger than this."""
        b0, b1, t0, t1 = ranges.T
        left, right = self.widest(np.minimum(b1, t0), np.maximum(b1, t0))
        width = right - left
        # Where the range holds bands without height, any width may be free.
        width[b1 >= t0] = self.box[2] - self.box[0]
        return np.asarray((t1 - b0) * width)

    def _refined(self, best: _Box) -> _Box:
        """The best band near a good one: both heights are moved by ever smaller steps."""
        step = (best[3] - best[1]) / 8.0
        while step > ROUNDING_MM:
            moves = np.array([(-1, 0), (1, 0), (0, -1), (0, 1), (-1, -1), (1, 1), (-1, 1), (1, -1)])
            bottom = np.maximum(best[1] + step * moves[:, 0], self.box[1])
            top = np.minimum(best[3] + step * moves[:, 1], self.box[3])
            better = self._better(best, bottom, np.maximum(top, bottom))
            if better == best or better is None:
                step /= 2.0
            else:
                best = better
        return best

    def widest(self, bottom: Floats, top: Floats) -> tuple[Floats, Floats]:
        """The ends of the widest free stretch between two heights, for each pair of them.

        Both are 0 where there is none.
        """
        (x0, y0), (x1, y1) = self.low.T, self.high.T
        rise = np.where(y1 > y0, y1 - y0, 1.0)
        slope = np.where(y1 > y0, (x1 - x0) / rise, 0.0)
        b, t = bottom[:, None], top[:, None]
        inside = (y0 < t) & (y1 > b) | (y0 == y1) & (y0 > b) & (y0 < t)
        at_low = x0 + slope * (np.maximum(y0, b) - y0)
        at_high = np.where(y1 > y0, x0 + slope * (np.minimum(y1, t) - y0), x1)
        lows = np.where(inside, np.minimum(at_low, at_high), np.inf)
        highs = np.where(inside, np.maximum(at_low, at_high), np.inf)
        middle = (b + t) / 2.0
        crossed = inside & self.bounds & (y0 <= middle) & (y1 > middle)
        order = np.argsort(lows, axis=1, kind="stable")
        lows = np.take_along_axis(lows, order, axis=1)
        reach = np.maximum.accumulate(np.take_along_axis(highs, order, axis=1), axis=1)
        # A stretch between two sides is paper where an odd number of them lies to its left.
        odd = np.cumsum(np.take_along_axis(crossed, order, axis=1), axis=1) % 2 == 1
        with np.errstate(invalid="ignore"):
            gaps = lows[:, 1:] - reach[:, :-1]
        gaps = np.where(odd[:, :-1] & np.isfinite(gaps), gaps, 0.0)
        chosen = np.argmax(gaps, axis=1)
        row = np.arange(len(bottom))
        free = gaps[row, chosen] > 0.0
        left = np.where(free, reach[row, chosen], 0.0)
        return left, np.where(free, lows[row, chosen + 1], 0.0)


def _sides(shape: Any) -> Iterator[tuple[_Place, _Place]]:
    for part in getattr(shape, "geoms", [shape]):
        for ring in (part.exterior, *part.interiors):
            corners = list(ring.coords)
            for start, end in itertools.pairwise(corners):
                yield (start[0], start[1]), (end[0], end[1])


def _levelled(heights: Floats) -> Floats:
    """Heights, those that differ by rounding made one."""
    ordered, places = np.unique(heights, return_inverse=True)
    begins = np.append(True, np.diff(ordered) > ROUNDING_MM)
    return np.asarray(ordered[begins][np.cumsum(begins) - 1][places].reshape(heights.shape))


def _middles(ranges: Floats) -> tuple[Floats, Floats]:
    b0, b1, t0, t1 = ranges.T
    bottom, top = (b0 + b1) / 2.0, (t0 + t1) / 2.0
    return bottom, np.maximum(top, bottom)


def _split(ranges: Floats) -> Floats:
    """The halves of ranges along their longer side, and the quarters of the squarish ones."""
    # A range as long as a panel and as thin as a hair would only be cut into thinner ones.
    bottoms, tops = ranges[:, 1] - ranges[:, 0], ranges[:, 3] - ranges[:, 2]
    parts = _halved(ranges, 0, bottoms > tops / 2.0)
    parts = _halved(parts, 2, parts[:, 3] - parts[:, 2] > (parts[:, 1] - parts[:, 0]) / 2.0)
    return np.asarray(parts[parts[:, 3] > parts[:, 0]])


def _halved(ranges: Floats, side: int, chosen: NDArray[np.bool_]) -> Floats:
    """The ranges, the chosen ones in two halves along the side that begins in this column."""
    lower, upper = ranges[chosen], ranges[chosen]
    middle = (lower[:, side] + lower[:, side + 1]) / 2.0
    lower[:, side + 1], upper[:, side] = middle, middle
    return np.concatenate((ranges[~chosen], lower, upper))


def _area(box: _Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _beaten(box: _Box | None, by_mm: float) -> float:
    """The area at which a rectangle is larger by one side that is moved out by so much."""
    if box is None:
        return MEETS_MM**2 * by_mm / SAME_SIZE_MM
    return _area(box) + min(box[2] - box[0], box[3] - box[1]) * by_mm


def _cos_sin(degrees: float) -> tuple[float, float]:
    quarters, rest = divmod(degrees, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
