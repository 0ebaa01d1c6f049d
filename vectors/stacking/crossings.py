"""This module finds the lines along which panels pass through each other in given poses.

Two planes meet in a line.  The panels pass through each other along the stretches of it that
lie inside both.  To tell that from paper that only touches, each panel must reach out of
the other's plane on both sides there, by more than places may be off.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from ..measures.exact import MEETS_MM
from .boxes import near_in_poses
from .paper import Floats, Ints, Paper, Poses
from .stretches import Ends, joined, level_ends, steps_of

# Pairs are judged in portions of at least this many.
_PORTION = 100_000

# A panel is cut at three heights over the other's plane: in it, above it, below it.
_LEVELS = (0.0, 1.0, -1.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class Pairs:
    """k pairs of panels, each in a pose: their numbers, and how far places may be off."""

    pose: Ints
    first: Ints
    second: Ints
    within: Floats

    def __getitem__(self, which: Ints | np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Pairs:
        return Pairs(
            pose=self.pose[which],
            first=self.first[which],
            second=self.second[which],
            within=self.within[which],
        )

    @property
    def swapped(self) -> Pairs:
        """The same pairs, the other panel first."""
        return Pairs(pose=self.pose, first=self.second, second=self.first, within=self.within)


@dataclass(frozen=True, kw_only=True, eq=False)
class Crossings:
    """The longest stretch along which each of some pairs pass through each other.

    `on_first` and `on_second` are its middle on the two flat panels, `at` in space.
    """

    pairs: Pairs
    length: Floats
    at: Floats
    on_first: Floats
    on_second: Floats


def crossings(poses: Poses, apart: Ints) -> Iterator[Crossings]:
    """Every pair that passes through each other, pose by pose, in portions.

    The pairs whose codes are in `apart` are left out.
    """
    for pairs in portions(_near(poses)):
        straddling = straddle(poses, leave_out(pairs, apart, len(poses.paper.keys)))
        if straddling.pose.size:
            yield _along_lines(poses, straddling)


def portions(found: Iterable[Pairs]) -> Iterator[Pairs]:
    """The same pairs, small lots put together: what is done to a lot takes its time however few."""
    waiting: list[Pairs] = []
    count = 0
    for pairs in found:
        waiting.append(pairs)
        count += pairs.pose.size
        if count >= _PORTION:
            yield _gathered(waiting)
            waiting, count = [], 0
    if count:
        yield _gathered(waiting)


def _gathered(lots: list[Pairs]) -> Pairs:
    return Pairs(
        pose=np.concatenate([pairs.pose for pairs in lots]),
        first=np.concatenate([pairs.first for pairs in lots]),
        second=np.concatenate([pairs.second for pairs in lots]),
        within=np.concatenate([pairs.within for pairs in lots]),
    )


def _near(poses: Poses) -> Iterator[Pairs]:
    within = MEETS_MM + poses.loose
    # Paper that reaches out of the other's plane on both sides overlaps its box.
    for pose, first, second in near_in_poses(*poses.boxes, np.zeros(len(within))):
        yield Pairs(pose=pose, first=first, second=second, within=within[pose])


def leave_out(pairs: Pairs, apart: Ints, count: int) -> Pairs:
    """The pairs whose codes are not in `apart`, sorted; `count` is the number of panels."""
    if not apart.size:
        return pairs
    code = pairs.first * count + pairs.second
    place = np.minimum(np.searchsorted(apart, code), apart.size - 1)
    return pairs[apart[place] != code]


def height_over(poses: Poses, pairs: Pairs) -> Floats:
    """The height of the first panel over the plane of the second: factors of x, y and 1, [k, 3]."""
    normal = poses.rows[pairs.pose, pairs.second][:, :, 2]
    own = poses.rows[pairs.pose, pairs.first]
    shift = poses.shift[pairs.pose, pairs.first] - poses.shift[pairs.pose, pairs.second]
    return np.stack(
        (
            np.einsum("ki,ki->k", normal, own[:, :, 0]),
            np.einsum("ki,ki->k", normal, own[:, :, 1]),
            np.einsum("ki,ki->k", normal, shift),
        ),
        axis=1,
    )


def reached(factors: Floats, flat: Floats) -> Floats:
    """The value of x, y and 1 times their factors at places on the flat paper."""
    return factors[:, 0] * flat[:, 0] + factors[:, 1] * flat[:, 1] + factors[:, 2]


def extremes(paper: Paper, panels: Ints, factors: Floats) -> tuple[Floats, Floats]:
    """The lowest and the highest value over each panel of what the factors say, each [k]."""
    item, edge = paper.edges_of(panels)
    if not item.size:
        return np.zeros(0), np.zeros(0)
    values = reached(factors[item], paper.starts[edge])
    begin = np.searchsorted(item, np.arange(panels.size))
    return np.minimum.reduceat(values, begin), np.maximum.reduceat(values, begin)


def bounds(paper: Paper, panels: Ints, factors: Floats) -> tuple[Floats, Floats]:
    """Values that no place on each panel goes below or above: quick, and seldom far off."""
    first = reached(factors, paper.starts[paper.begin[panels]])
    spread = np.hypot(factors[:, 0], factors[:, 1]) * paper.spread[panels]
    return first - spread, first + spread


def straddle(poses: Poses, pairs: Pairs) -> Pairs:
    """The pairs of which each panel reaches out of the other's plane on both sides."""
    for measure in (bounds, extremes):
        for turned in (False, True):
            seen = pairs.swapped if turned else pairs
            lowest, highest = measure(poses.paper, seen.first, height_over(poses, seen))
            pairs = pairs[(lowest < -pairs.within) & (highest > pairs.within)]
    return pairs


def _along_lines(poses: Poses, pairs: Pairs) -> Crossings:
    """Judge pairs that straddle each other's planes, along the lines in which the planes meet."""
    rows = poses.rows[pairs.pose, pairs.first], poses.rows[pairs.pose, pairs.second]
    way = np.cross(rows[0][:, :, 2], rows[1][:, :, 2])
    way /= np.linalg.norm(way, axis=1)[:, None]
    ends: list[Ends] = []
    kept: list[tuple[Floats, Floats]] = []
    for side, seen in enumerate((pairs, pairs.swapped)):
        height = height_over(poses, seen)
        shift = poses.shift[pairs.pose, seen.first] - poses.shift[pairs.pose, pairs.first]
        along = np.stack(
            (
                np.einsum("ki,ki->k", way, rows[side][:, :, 0]),
                np.einsum("ki,ki->k", way, rows[side][:, :, 1]),
                np.einsum("ki,ki->k", way, shift),
            ),
            axis=1,
        )
        kept.append((height, along))
        item, edge = poses.paper.edges_of(seen.first)
        starts, stops = poses.paper.starts[edge], poses.paper.ends[edge]
        heights = reached(height[item], starts), reached(height[item], stops)
        alongs = reached(along[item], starts), reached(along[item], stops)
        for number, level in enumerate(_LEVELS):
            # Groups 0 and 1 are the two panels in the other's plane itself.
            ends.append(
                level_ends(item, heights, alongs, level * pairs.within[item], 2 * number + side)
            )
    item, length, middle = _longest(joined(*ends), pairs.within)
    chosen = pairs[item]
    on_first = _place(kept[0][0][item], kept[0][1][item], middle)
    on_second = _place(kept[1][0][item], kept[1][1][item], middle)
    first = rows[0][item]
    at = (
        first[:, :, 0] * on_first[:, 0, None]
        + first[:, :, 1] * on_first[:, 1, None]
        + poses.shift[chosen.pose, chosen.first]
    )
    return Crossings(pairs=chosen, length=length, at=at, on_first=on_first, on_second=on_second)


def _longest(ends: Ends, within: Floats) -> tuple[Ints, Floats, Floats]:
    """Of each item that has one the longest stretch in both panels: item, length, middle.

    A stretch counts where the panels reach out on all four sides along more of it than
    places may be off.
    """
    steps = steps_of(ends, 2)
    if not steps.item.size:
        return np.zeros(0, dtype=np.intp), np.zeros(0), np.zeros(0)
    inside = steps.chosen == 2
    begins = inside & ~np.concatenate(([False], inside[:-1]))
    stops = ~inside & np.concatenate(([False], inside[:-1]))
    widths = np.diff(steps.at, append=steps.at[-1:])
    run = np.cumsum(begins)[inside] - 1
    through = np.bincount(
        run, weights=np.where(steps.covered == 6, widths, 0.0)[inside], minlength=int(begins.sum())
    )
    item, start, stop = steps.item[begins], steps.at[begins], steps.at[stops]
    counts = through > within[item]
    item, start, stop = item[counts], start[counts], stop[counts]
    order = np.lexsort((start - stop, item))
    item, start, stop = item[order], start[order], stop[order]
    longest = np.concatenate(([True], item[1:] != item[:-1])) if item.size else np.zeros(0, bool)
    item, start, stop = item[longest], start[longest], stop[longest]
    return item, stop - start, (start + stop) / 2.0


def _place(height: Floats, along: Floats, at: Floats) -> Floats:
    """The place on a flat panel that lies in the other's plane and at a place along the line."""
    matrix = np.stack((height[:, :2], along[:, :2]), axis=1)
    right = np.stack((-height[:, 2], at - along[:, 2]), axis=1)
    return np.asarray(np.linalg.solve(matrix, right[..., None])[..., 0])
