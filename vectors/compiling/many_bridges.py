"""This module finds the places of bridges on many closed paths at once, in whole columns.

It gives what `bridge_places.places_round` gives first: places well apart and off
rounded corners.  Where these come too near to each other or have no room it gives
nothing, and the path is to be looked at by itself.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from foldwright.profiles.model import BridgeWay

from ..geometry import Path
from ..geometry.box_pairs import Floats, Indices
from ..geometry.path_columns import PathColumns, columns_of
from ..measures.exact import ROUNDING_MM
from .bridge_places import CORNER_RAD, ROUNDED_CORNER_MM
from .job import Job
from .spread import STARTS

Fewest = Callable[[BridgeWay, Job, tuple[float, float], float], int]


def places(
    paths: Sequence[Path],
    ways: Sequence[BridgeWay],
    ends: Sequence[Sequence[float]],
    job: Job,
    fewest: Fewest,
) -> list[list[float] | None]:
    """Where bridges lie on each of some closed paths; None where it is not so simple.

    `ends` are places along each path, in mm, that bridges keep clear of like corners.
    """
    columns = columns_of(paths)
    totals = columns.path_lengths
    gap = np.array([way.length.value for way in ways]) + job.kerf
    clear = np.array([way.clear.value for way in ways]) + gap / 2.0
    wanted = _wanted(columns, totals, ways, job, fewest)
    free = _Free(columns, totals, clear, ends)
    # Fewer than wanted, or none free: a path to be looked at by itself.
    simple = (wanted * 2.0 * gap <= totals) & (free.counts > 0)
    found: list[list[float] | None] = [None] * len(paths)
    for count in np.unique(wanted[simple]).tolist():
        group = np.flatnonzero(simple & (wanted == count))
        apart = np.maximum(2.0 * gap[group], totals[group] / (2.0 * count))
        _spread(free, totals, group, count, apart, found)
    return found


def _wanted(
    columns: PathColumns, totals: Floats, ways: Sequence[BridgeWay], job: Job, fewest: Fewest
) -> Indices:
    """How many bridges each path should have."""
    boxes, areas = columns.path_boxes, np.abs(columns.path_areas)
    widths, heights = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    least = [
        fewest(way, job, sides, area)
        for way, sides, area in zip(
            ways, zip(widths.tolist(), heights.tolist(), strict=True), areas.tolist(), strict=True
        )
    ]
    pitch = np.array([way.pitch.value for way in ways])
    found: Indices = np.maximum(least, np.ceil(totals / pitch - 1e-9)).astype(np.int64)
    return found


class _Free:
    """The stretches of some closed paths where the middle of a bridge may lie.

    `lows` and `highs` are distances along the paths, all paths put end to end with
    as much room between them that no place of one is near to another's;
    `begins` is where each path begins, `firsts` and `counts` which stretches are its.
    """

    def __init__(
        self, columns: PathColumns, totals: Floats, clear: Floats, ends: Sequence[Sequence[float]]
    ) -> None:
        owner, low, high = _taken(columns, totals, clear, ends)
        self.apart = 4.0 * float(totals.max())
        self.begins = np.arange(len(totals)) * self.apart
        # A path that is taken all round has nothing free.
        full = np.zeros(len(totals), dtype=np.bool_)
        full[owner[high - low >= totals[owner]]] = True
        turns = np.floor(low / totals[owner]) * totals[owner]
        low, high = low - turns, high - turns
        over = high > totals[owner]
        rest = owner[over], np.zeros(int(over.sum())), high[over] - totals[owner[over]]
        high = np.minimum(high, totals[owner])
        # A stretch of no length at the end of each path closes it.
        numbers = np.arange(len(totals))
        owner = np.concatenate((owner, rest[0], numbers))
        low = np.concatenate((low, rest[1], totals)) + self.begins[owner]
        high = np.concatenate((high, rest[2], totals)) + self.begins[owner]
        order = np.lexsort((high, low))
        owner, low, high = owner[order], low[order], high[order]
        # What is taken up to each stretch: the farthest end before it, or its path's begin.
        reached = np.concatenate(([0.0], np.maximum.accumulate(high)[:-1]))
        reached = np.maximum(reached, self.begins[owner])
        gaps = np.flatnonzero((low > reached) & ~full[owner])
        self.lows, self.highs = reached[gaps], low[gaps]
        self.counts = np.bincount(owner[gaps], minlength=len(totals))
        self.firsts = np.cumsum(self.counts) - self.counts


def _taken(
    columns: PathColumns, totals: Floats, clear: Floats, ends: Sequence[Sequence[float]]
) -> tuple[Indices, Floats, Floats]:
    """Stretches that bridges keep off: of which path, from where, to where."""
    lengths = columns.lengths
    owner = columns.owner
    along = np.cumsum(lengths) - lengths
    along = along - along[columns.firsts][owner]
    corners = _corners(columns)
    with np.errstate(divide="ignore"):
        radii = columns.chords * (1.0 + columns.bulge**2) / (4.0 * np.abs(columns.bulge))
    rounded = np.flatnonzero((columns.bulge != 0.0) & (radii < ROUNDED_CORNER_MM))
    at_ends = np.array([at for places in ends for at in places], dtype=np.float64)
    of_ends = np.repeat(np.arange(len(ends)), [len(places) for places in ends])
    found = np.concatenate((owner[corners], owner[rounded], of_ends))
    low = np.concatenate((along[corners], along[rounded], at_ends))
    high = np.concatenate((along[corners], along[rounded] + lengths[rounded], at_ends))
    return found, low - clear[found], high + clear[found]


def _corners(columns: PathColumns) -> Indices:
    """The segments that start at a corner."""
    begin, end = columns.directions()
    before = np.arange(len(columns)) - 1
    before[columns.firsts] = columns.firsts + columns.counts - 1
    turn = begin - end[before]
    corners = np.abs(np.arctan2(np.sin(turn), np.cos(turn))) > CORNER_RAD
    if (columns.chords == 0.0).any():
        # A segment without a length has no heading: its path is made clear all round.
        corners |= True
    return np.flatnonzero(corners)


def _spread(
    free: _Free,
    totals: Floats,
    group: Indices,
    count: int,
    apart: Floats,
    found: list[list[float] | None],
) -> None:
    """Fills in the even spread of `count` places for the paths of a group."""
    total = totals[group][:, None, None]
    starts = np.arange(STARTS)[None, :, None] / STARTS
    ideal = ((starts + np.arange(count)[None, None, :]) * total / count) % total
    ideal, total = np.broadcast_arrays(ideal, total)
    begin = free.begins[group][:, None, None]
    first = free.firsts[group][:, None, None]
    last = first + free.counts[group][:, None, None] - 1
    # The stretch that begins at or before each place, and the one after it, round the path.
    before = np.searchsorted(free.lows, ideal + begin, side="right") - 1
    after = before + 1
    over_start, over_end = before < first, after > last
    before, after = np.where(over_start, last, before), np.where(over_end, first, after)
    low, high = free.lows[after] - begin, free.highs[before] - begin
    inside = ~over_start & (ideal <= high)
    behind = np.where(over_start, ideal + total - high, ideal - high)
    ahead = np.where(over_end, low + total - ideal, low - ideal)
    # Of two places equally near the one nearer to the start of the path.
    take_low = (ahead < behind) | ((ahead == behind) & (low < high))
    away = np.where(inside, 0.0, np.where(take_low, ahead, behind))
    away = np.minimum(away, total - away)
    chosen = np.where(inside, ideal, np.where(take_low, low, high))
    # Rounded, so that rounding never picks between equally good ones.
    worst = np.round(away.max(axis=2), 6)
    squares = np.round((away * away).sum(axis=2), 6)
    best = np.lexsort((np.broadcast_to(np.arange(STARTS), worst.shape), squares, worst), axis=1)
    places = np.sort(chosen[np.arange(len(group)), best[:, 0]], axis=1)
    steps = np.diff(places, axis=1, append=places[:, :1] + totals[group][:, None])
    if count > 1:
        steps = np.minimum(steps, totals[group][:, None] - steps)
    good = np.all(steps >= apart[:, None] - ROUNDING_MM, axis=1).tolist()
    for place, number in enumerate(group.tolist()):
        if good[place] or count == 1:
            found[number] = places[place].tolist()
