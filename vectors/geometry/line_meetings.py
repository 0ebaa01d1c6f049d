"""This module finds where many pairs of straight segments meet, as `meetings` does for one pair.

The arithmetic is that of `meetings`, step for step, on whole arrays.  Pairs that meet
at several places, as lines that run along each other do, are left to it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .box_pairs import Floats, Indices


@dataclass(frozen=True, slots=True, eq=False)
class Splits:
    """Places inside of lines: the line, how far along it (0 to 1), and where that is."""

    line: Indices
    share: Floats
    x: Floats
    y: Floats


def meet_only_at_an_end(
    lines: Floats, ends: Indices, i: Indices, j: Indices, tolerance: float
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether pairs of lines share an end and come near each other nowhere else.

    `lines` has a row each: start x and y, end x and y; `ends` two numbers each, the
    same for ends at the same place.  Where this says no, they may still do so.
    """
    start_i, end_i, start_j, end_j = ends[i, 0], ends[i, 1], ends[j, 0], ends[j, 1]
    at_start_i = (start_i == start_j) | (start_i == end_j)
    at_start_j = (start_j == start_i) | (start_j == end_i)
    # At one end only: lines with both ends in common run along each other.
    shared = at_start_i ^ ((end_i == start_j) | (end_i == end_j))
    # Away from the shared end, both the same way round.
    way_i = np.where(at_start_i, 1.0, -1.0)
    way_j = np.where(at_start_j, 1.0, -1.0)
    along = lines[:, 2:] - lines[:, :2]
    square = along[:, 0] * along[:, 0] + along[:, 1] * along[:, 1]
    ix, iy, jx, jy = along[i, 0], along[i, 1], along[j, 0], along[j, 1]
    dot = (ix * jx + iy * jy) * way_i * way_j
    cross = ix * jy - iy * jx
    square_i, square_j = square[i], square[j]
    # Twice the tolerance: what is as close as that is looked at with care.
    near = 4.0 * tolerance * tolerance
    long = (square_i > near) & (square_j > near)
    apart = (dot <= 0.0) | (cross * cross > near * np.maximum(square_i, square_j))
    told: np.ndarray[tuple[int], np.dtype[np.bool_]] = shared & long & apart
    return told


def line_meetings(
    lines: Floats, i: Indices, j: Indices, tolerance: float
) -> tuple[Splits, Indices]:
    """Where pairs of lines split each other, and the numbers of the pairs to be left to `meetings`.

    `lines` has a row each: start x and y, end x and y, in mm.
    """
    ax, ay, bx, by = lines[i].T
    cx, cy, dx, dy = lines[j].T
    with np.errstate(divide="ignore", invalid="ignore"):
        # In the order of `meetings`: the ends of the first on the second, then the
        # other way round; how far along the first, and along the second, each lies.
        nothing, whole = np.zeros(len(i)), np.ones(len(i))
        tried = (
            (ax, ay, nothing, _share(cx, cy, dx, dy, ax, ay, tolerance)),
            (bx, by, whole, _share(cx, cy, dx, dy, bx, by, tolerance)),
            (cx, cy, _share(ax, ay, bx, by, cx, cy, tolerance), nothing),
            (dx, dy, _share(ax, ay, bx, by, dx, dy, tolerance), whole),
        )
        x, y, first, second = (np.full(len(i), np.nan) for _ in range(4))
        care = np.zeros(len(i), dtype=np.bool_)
        for at_x, at_y, on_first, on_second in tried:
            touches = ~(np.isnan(on_first) | np.isnan(on_second))
            # A second place further off: they run along each other, or nearly so.
            care |= touches & (np.hypot(at_x - x, at_y - y) > tolerance)
            here = touches & np.isnan(x)
            for kept, found in ((x, at_x), (y, at_y), (first, on_first), (second, on_second)):
                np.copyto(kept, found, where=here)
        crossing = np.flatnonzero(np.isnan(x))
        if len(crossing):
            across = _crossings(lines[i[crossing]], lines[j[crossing]], tolerance)
            for kept, found in zip((x, y, first, second), across, strict=True):
                kept[crossing] = found
    # No line at all has no direction to reckon with.
    care |= ((ax == bx) & (ay == by)) | ((cx == dx) & (cy == dy))
    inside_i = ~care & (first > 0.0) & (first < 1.0)
    inside_j = ~care & (second > 0.0) & (second < 1.0)
    splits = Splits(
        line=np.concatenate((i[inside_i], j[inside_j])),
        share=np.concatenate((first[inside_i], second[inside_j])),
        x=np.concatenate((x[inside_i], x[inside_j])),
        y=np.concatenate((y[inside_i], y[inside_j])),
    )
    return splits, np.flatnonzero(care)


def _share(
    x0: Floats, y0: Floats, x1: Floats, y1: Floats, x: Floats, y: Floats, tolerance: float
) -> Floats:
    """How far along lines places lie, as `share_of` has it; not a number where they are off."""
    along_x, along_y = x1 - x0, y1 - y0
    from_x, from_y = x - x0, y - y0
    square = along_x * along_x + along_y * along_y
    share = (from_x * along_x + from_y * along_y) / square
    off = np.abs(from_x * along_y - from_y * along_x) / np.sqrt(square)
    share[~((off <= tolerance) & (share > 0.0) & (share < 1.0))] = np.nan
    share[np.hypot(x - x1, y - y1) <= tolerance] = 1.0
    share[np.hypot(from_x, from_y) <= tolerance] = 0.0
    return share


def _crossings(
    ones: Floats, others: Floats, tolerance: float
) -> tuple[Floats, Floats, Floats, Floats]:
    """Where pairs of lines cross within both, and how far along each; not a number elsewhere."""
    ax, ay, bx, by = ones.T
    cx, cy, dx, dy = others.T
    along_x, along_y = bx - ax, by - ay
    other_x, other_y = dx - cx, dy - cy
    # Parallel ones are divided by 0, and what comes of that lies on no line.
    ratio = ((cx - ax) * other_y - (cy - ay) * other_x) / (along_x * other_y - along_y * other_x)
    x, y = ax + along_x * ratio, ay + along_y * ratio
    first = _share(ax, ay, bx, by, x, y, tolerance)
    second = _share(cx, cy, dx, dy, x, y, tolerance)
    off = np.isnan(first) | np.isnan(second)
    for one in (x, y, first, second):
        one[off] = np.nan
    return x, y, first, second
