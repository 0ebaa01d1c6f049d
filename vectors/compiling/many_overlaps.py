"""This module finds segments of many paths that may lie on each other, in whole columns.

What it leaves out cannot overlap; what it gives is to be judged exactly.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..geometry import Path, Segment
from ..geometry.box_pairs import Indices, pairs_within
from ..geometry.path_columns import PathColumns, Truths, columns_of, segment_at

# Lines that differ in direction by more than 1 in this many do not overlap, unless
# both ends of one lie within rounding of the other: then this is far too strict.
_PARALLEL = 40.0

# So much is added to the reach, in mm, for the rounding of both segments.
_SLACK_MM = 0.005

Numbered = tuple[int, int, Segment]


def near(paths: Sequence[Path], reach: float) -> Iterator[tuple[Numbered, Numbered]]:
    """Pairs of segments that may lie on each other within `reach` mm, in order.

    Each segment comes with the number of its path and its place on it.
    """
    columns = columns_of(paths)
    boxes = columns.boxes()
    chords = columns.chords
    found = []
    for i, j in pairs_within(boxes, reach):
        kept = (chords[i] > 0.0) & (chords[j] > 0.0)
        kept &= ~_part_at_once(columns, i, j)
        lines = (columns.bulge[i] == 0.0) & (columns.bulge[j] == 0.0)
        kept &= ~lines | _alongside(columns, i, j, reach + _SLACK_MM)
        found.append(np.stack((i[kept], j[kept]), axis=1))
    if not found:
        return
    pairs = np.concatenate(found)
    for one, other in pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))].tolist():
        yield (
            (int(columns.owner[one]), int(columns.number[one]), segment_at(paths, columns, one)),
            (
                int(columns.owner[other]),
                int(columns.number[other]),
                segment_at(paths, columns, other),
            ),
        )


def _part_at_once(columns: PathColumns, i: Indices, j: Indices) -> Truths:
    """Whether a segment follows another on their path and does not turn back on it.

    Of two such segments the first runs from i to j or, over the first vertex of a
    closed path, from j to i.
    """
    same = columns.owner[i] == columns.owner[j]
    begin, end = columns.directions()
    last = columns.counts[columns.owner[i]] - 1
    onward = columns.number[j] == columns.number[i] + 1
    around = (
        columns.closed[columns.owner[i]] & (columns.number[i] == 0) & (columns.number[j] == last)
    )
    # The headings differ by the turn at the corner: half a turn runs back.
    back_onward = np.cos(begin[j] - end[i]) < -0.99
    back_around = np.cos(begin[i] - end[j]) < -0.99
    parted: Truths = same & (onward | around)
    parted &= ~(onward & back_onward) & ~(around & back_around)
    # Arcs that bend far may come back to one another.
    gentle = (np.abs(columns.bulge[i]) <= 1.0) & (np.abs(columns.bulge[j]) <= 1.0)
    found: Truths = parted & gentle
    return found


def _alongside(columns: PathColumns, i: Indices, j: Indices, reach: float) -> Truths:
    """Whether two straight lines run side by side over a stretch, within `reach` mm."""
    dx, dy = columns.x1[i] - columns.x0[i], columns.y1[i] - columns.y0[i]
    ex, ey = columns.x1[j] - columns.x0[j], columns.y1[j] - columns.y0[j]
    first, second = np.hypot(dx, dy), np.hypot(ex, ey)
    ox, oy = columns.x0[j] - columns.x0[i], columns.y0[j] - columns.y0[i]
    with np.errstate(divide="ignore", invalid="ignore"):
        c0 = (dx * oy - dy * ox) / first
        c1 = c0 + (dx * ey - dy * ex) / first
        t0 = (dx * ox + dy * oy) / first
        t1 = t0 + (dx * ex + dy * ey) / first
        parallel = np.abs(dx * ey - dy * ex) * _PARALLEL <= first * second
    low, high = np.maximum(0.0, np.minimum(t0, t1)), np.minimum(first, np.maximum(t0, t1))
    close = np.maximum(np.abs(c0), np.abs(c1)) <= reach
    # One side of the line or the other throughout, and out of reach of it: apart.
    apart = (np.sign(c0) == np.sign(c1)) & (np.minimum(np.abs(c0), np.abs(c1)) > reach)
    found: Truths = (high > low) & (parallel | close) & ~apart
    return found
