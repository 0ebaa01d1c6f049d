"""This module finds which cuts touch, and which of them may close rings together.

Two cuts whose lines come within the width of the cut touch: their bands run into
each other.  A cut that closes on itself and has no more than ends of others on it
is a plain ring.  Cuts that touch in a way that may close further rings are a
tangle, to be looked at as areas.  What is told is on the safe side: a tangle may
turn out to close no ring, but no ring is left out.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry import Path, Point, Segment
from ..geometry.box_pairs import Floats, Indices, pairs_within
from ..geometry.nearest import nearest_on
from ..geometry.path_columns import PathColumns, Truths, columns_of
from ..measures.exact import SAME_DIRECTION_RAD

# Up to so many vertices boxes are looked at one by one.
_FEW = 24

# A bulge a hair above that of a half circle.
_HALF_CIRCLE = 1.0 + 1e-9


@dataclass(frozen=True, slots=True)
class Touching:
    """The numbers of paths that are plain rings, and of those in each tangle."""

    rings: tuple[int, ...]
    tangles: tuple[tuple[int, ...], ...]


def touching(paths: Sequence[Path], within: float) -> Touching:
    """Which of some paths close rings when each is `within` mm wide."""
    if sum(len(path.vertices) for path in paths) <= _FEW and _far_apart(paths, within):
        # Nothing touches anything, as a look at few boxes shows.
        rings = tuple(index for index, path in enumerate(paths) if path.closed)
        return Touching(rings, ())
    columns = columns_of(paths)
    turned = _turned_back(columns, within)
    joints: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for i, j in pairs_within(columns.boxes(), within):
        owner_i, owner_j = columns.owner[i], columns.owner[j]
        kept = (owner_i != owner_j) | ~_neighbours(columns, i, j)
        i, j = i[kept], j[kept]
        kept = _come_within(columns, i, j, within)
        i, j = i[kept], j[kept]
        for one, other, a, b in zip(
            columns.owner[i].tolist(),
            columns.owner[j].tolist(),
            columns.number[i].tolist(),
            columns.number[j].tolist(),
            strict=True,
        ):
            joints[one, other].append((a, b))
    return _told(paths, turned, joints, within)


def _far_apart(paths: Sequence[Path], within: float) -> bool:
    """Whether no segment comes near another one but those beside it, which cannot meet it again."""
    boxes: list[tuple[float, float, float, float, int, int, int]] = []
    for number, path in enumerate(paths):
        segments = path.segments
        last = len(segments) - 1
        turned = False
        for index, segment in enumerate(segments):
            (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
            height = 0.0
            if segment.bulge:
                if abs(segment.bulge) > _HALF_CIRCLE:
                    return False
                height = abs(segment.bulge) * math.hypot(x1 - x0, y1 - y0) / 2.0
                turned = True
            grown = height + within / 2.0
            left, right = (x0, x1) if x0 < x1 else (x1, x0)
            bottom, top = (y0, y1) if y0 < y1 else (y1, y0)
            around = index - last if path.closed and index == 0 else 0
            boxes.append(
                (left - grown, bottom - grown, right + grown, top + grown, number, index, around)
            )
        # A circle of two halves is as plain as can be.
        halves = path.closed and last == 1 and segments[0].bulge * segments[1].bulge > 0.0
        if turned and not halves and _bent(segments, closed=path.closed):
            return False
    for place, (left, bottom, right, top, number, index, around) in enumerate(boxes):
        for other in boxes[place + 1 :]:
            if other[0] <= right and left <= other[2] and other[1] <= top and bottom <= other[3]:
                step = other[5] - index
                if other[4] != number or (step != 1 and (not around or step != -around)):
                    return False
    return True


def _bent(segments: Sequence[Segment], *, closed: bool) -> bool:
    """Whether two segments that follow each other, one an arc, turn by over half a turn in all."""
    for index, segment in enumerate(segments):
        before = segments[index - 1]
        if (index == 0 and not closed) or not (segment.bulge or before.bulge):
            continue
        if segment.chord == 0.0 or before.chord == 0.0:
            return True
        ends, starts = before.direction(1.0), segment.direction(0.0)
        turn = math.atan2(abs(float(ends.cross(starts))), float(ends.dot(starts)))
        if turn + abs(segment.sweep) + abs(before.sweep) > math.pi + SAME_DIRECTION_RAD:
            return True
    return False


def _neighbours(columns: PathColumns, i: Indices, j: Indices) -> Truths:
    """Whether two segments of one path, the first before the second, follow each other."""
    step = columns.number[j] - columns.number[i]
    around = columns.closed[columns.owner[i]] & (step == columns.counts[columns.owner[i]] - 1)
    found: Truths = (step == 1) | around
    return found


def _turned_back(columns: PathColumns, within: float) -> set[int]:
    """Paths of which two segments that follow each other may meet again, or whose ends meet.

    Two lines that follow each other do not meet again.  With an arc they do so only
    if they turn by more than half a turn in all: a loop with one corner turns by as
    much (Fenchel's theorem, 1929, for a closed curve with a corner of up to half a
    turn).
    """
    found = set()
    before = np.arange(len(columns)) - 1
    firsts, counts = columns.firsts, columns.counts
    some = np.flatnonzero(counts > 0)
    before[firsts[some]] = firsts[some] + counts[some] - 1
    begin, end = columns.directions()
    follows = columns.closed[columns.owner] | (columns.number > 0)
    arc = (columns.bulge != 0.0) | (columns.bulge[before] != 0.0)
    # A circle of two halves is as plain as can be.
    halves = columns.closed[columns.owner] & (counts[columns.owner] == 2)
    halves &= (columns.bulge > 0.0) == (columns.bulge[before] > 0.0)
    corner = begin - end[before]
    sweeps = 4.0 * np.abs(np.arctan(columns.bulge))
    turn = np.abs(np.arctan2(np.sin(corner), np.cos(corner))) + sweeps + sweeps[before]
    back = follows & arc & ~halves & (turn > np.pi + SAME_DIRECTION_RAD)
    back |= np.abs(columns.bulge) > _HALF_CIRCLE
    found.update(columns.owner[back].tolist())
    open_ones = some[~columns.closed[some]]
    first, last = firsts[open_ones], firsts[open_ones] + counts[open_ones] - 1
    apart = np.hypot(columns.x0[first] - columns.x1[last], columns.y0[first] - columns.y1[last])
    straight = (counts[open_ones] == 1) & (columns.bulge[first] == 0.0)
    found.update(open_ones[(apart <= within) & ~straight].tolist())
    return found


def _come_within(columns: PathColumns, i: Indices, j: Indices, within: float) -> Truths:
    """Whether two segments may come within a distance of each other.

    An arc keeps within its height of its chord, so of arcs the chords decide.
    """
    chords = columns.chords
    heights = np.abs(columns.bulge) * chords / 2.0
    reach = within + heights[i] + heights[j]
    ends = [(columns.x0, columns.y0), (columns.x1, columns.y1)]
    near = np.zeros(len(i), dtype=np.bool_)
    for one, other in ((i, j), (j, i)):
        for x, y in ends:
            near |= _away(columns, one, x[other], y[other]) <= reach
    near |= _cross(columns, i, j)
    return near


def _away(columns: PathColumns, i: Indices, x: Floats, y: Floats) -> Floats:
    """How far places are from the chords of segments, in mm."""
    dx, dy = columns.x1[i] - columns.x0[i], columns.y1[i] - columns.y0[i]
    ox, oy = x - columns.x0[i], y - columns.y0[i]
    square = np.maximum(dx * dx + dy * dy, 1e-300)
    share = np.clip((ox * dx + oy * dy) / square, 0.0, 1.0)
    found: Floats = np.hypot(ox - share * dx, oy - share * dy)
    return found


def _cross(columns: PathColumns, i: Indices, j: Indices) -> Truths:
    """Whether the chords of two segments cross."""

    def side(one: Indices, x: Floats, y: Floats) -> Floats:
        dx, dy = columns.x1[one] - columns.x0[one], columns.y1[one] - columns.y0[one]
        found: Floats = dx * (y - columns.y0[one]) - dy * (x - columns.x0[one])
        return found

    def parted(one: Indices, other: Indices) -> Truths:
        start = side(one, columns.x0[other], columns.y0[other])
        end = side(one, columns.x1[other], columns.y1[other])
        found: Truths = (start > 0.0) != (end > 0.0)
        return found

    return parted(i, j) & parted(j, i)


def _told(
    paths: Sequence[Path],
    turned: set[int],
    joints: dict[tuple[int, int], list[tuple[int, int]]],
    within: float,
) -> Touching:
    """The plain rings and the tangles, by counting rings in each group of paths that touch."""
    home = list(range(len(paths)))

    def find(one: int) -> int:
        while home[one] != one:
            home[one] = home[home[one]]
            one = home[one]
        return one

    more: dict[int, int] = defaultdict(int)
    for (one, other), pairs in joints.items():
        if one == other:
            turned.add(one)
            continue
        places = _places(pairs, paths[one], paths[other], within)
        first, second = find(one), find(other)
        # A touch more than what joins two groups closes a ring.
        if first != second:
            home[second] = first
            more[first] += more.pop(second, 0) + places - 1
        else:
            more[first] += places
    groups: dict[int, list[int]] = defaultdict(list)
    for index in range(len(paths)):
        groups[find(index)].append(index)
    rings: list[int] = []
    tangles = []
    for root, group in groups.items():
        if more.get(root, 0) or any(index in turned for index in group):
            tangles.append(tuple(group))
        else:
            rings += [index for index in group if paths[index].closed]
    return Touching(tuple(sorted(rings)), tuple(tangles))


def _places(pairs: list[tuple[int, int]], one: Path, other: Path, within: float) -> int:
    """In how many places two paths touch, or more than that.

    Two lines touch in one place.  Pairs of lines that have a vertex in common are one
    place where that vertex touches too.  Arcs may touch twice.
    """
    ones, others = one.segments, other.segments
    if any(not ones[a].is_line or not others[b].is_line for a, b in pairs):
        return 2 * len(pairs)
    left = list(pairs)
    places = 0
    while left:
        places += 1
        waiting = [left.pop()]
        while waiting:
            a, b = waiting.pop()
            here = ones[a], others[b]
            near = [
                pair for pair in left if _one_place(here, (ones[pair[0]], others[pair[1]]), within)
            ]
            for pair in near:
                left.remove(pair)
            waiting += near
    return places


def _one_place(
    here: tuple[Segment, Segment], there: tuple[Segment, Segment], within: float
) -> bool:
    """Whether two pairs of lines touch around a vertex that their paths have in common."""
    shared = [_common(first, second) for first, second in zip(here, there, strict=True)]
    if here[0] == there[0]:
        return shared[1] is not None and nearest_on(here[0], shared[1])[0] <= within
    if here[1] == there[1]:
        return shared[0] is not None and nearest_on(here[1], shared[0])[0] <= within
    first, second = shared
    return first is not None and second is not None and first.distance(second) <= within


def _common(first: Segment, second: Segment) -> Point | None:
    """The end that two segments have in common."""
    for at in (first.start, first.end):
        if at in (second.start, second.end):
            return at
    return None
