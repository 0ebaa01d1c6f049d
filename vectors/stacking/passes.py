"""This module finds panels that pass right through each other between two successive poses.

At neither pose do they cross, but material of one was on one side of the other's plane and
is on its other side now, and it went through the paper, not past it.  Where any of a
panel goes through another, the edge of one of them goes through the inside of the other, or
they go through each other edge on edge as equal panels do: so it is enough to follow edges, and
two lines across the middle of every panel.  Between two poses, a panel is taken to move against the
other as a screw does, by one turn about and one shift along a fixed axis; that is exact
for a fold, and its error elsewhere is covered by a margin from the other's boundary.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np

from ..measures.exact import MEETS_MM, ROUNDING_MM
from .boxes import near_in_poses
from .crossings import Pairs, bounds, extremes, height_over, leave_out, portions, reached
from .paper import Flags, Floats, Ints, Paper, Poses, lines_of
from .stretches import level_ends

# What is told of a line that goes through a panel.
_Told = TypeVar("_Told")

# A line is followed at so many places of it.
_PLACES = 9

# Steps of the search for the instant at which a place goes through a plane.
_STEPS = 12


@dataclass(frozen=True, kw_only=True, slots=True)
class Passage:
    """One panel going through another between the poses `pose` and `pose` + 1.

    `share` (0 to 1) is when, of the time between; `on_first` and `on_second` where, on the
    two flat panels; `length` how long the line is that goes through.
    """

    pose: int
    first: int
    second: int
    share: float
    on_first: tuple[float, float]
    on_second: tuple[float, float]
    length: float

    @property
    def turned_round(self) -> Passage:
        """The same passage, the other panel first."""
        return replace(
            self,
            first=self.second,
            second=self.first,
            on_first=self.on_second,
            on_second=self.on_first,
        )


@dataclass(frozen=True, kw_only=True, eq=False)
class Screws:
    """Motions of k panels over the flat paper of others, from a pose to the next.

    A place x goes to where the turn by `share` of `turn` [k, 3] (a vector along the axis, as long
    as the angle in radians) and the shift that belongs to it take it; `speed` [k, 3] is the
    velocity of the place at the origin as it starts.
    """

    turn: Floats
    speed: Floats

    def paths(self, places: Floats) -> Paths:
        """The paths of places [k, p, 3]."""
        angle = np.linalg.norm(self.turn, axis=1)[:, None]
        axis = (self.turn / np.maximum(angle, 1e-300))[:, None, :]
        speed = self.speed[:, None, :]
        across, about = _cross(axis, places), _cross(axis, speed)
        return Paths(
            angle=angle,
            terms=(places, across, _cross(axis, across), speed, about, _cross(axis, about)),
        )

    def at(self, places: Floats, share: Floats) -> Floats:
        """Where places [k, p, 3] are at shares [k, p] of the way."""
        return self.paths(places).at(share)


@dataclass(frozen=True, kw_only=True, eq=False)
class Paths:
    """The paths of places under screw motions: what each term of the formula is multiplied by.

    `angle` [k, 1] is the turn of the whole way in radians.
    """

    angle: Floats
    terms: tuple[Floats, ...]

    def at(self, share: Floats) -> Floats:
        """Where the places are at shares [k, p] of the way, [k, p, 3]."""
        return np.stack([self.along(axis, share) for axis in range(3)], axis=-1)

    def along(self, axis: int, share: Floats) -> Floats:
        """One coordinate of the places at shares of the way, [k, p]."""
        turned = self.angle * share
        half = np.sin(turned / 2.0)
        # The three integrals of a screw motion, each without a quotient that loses digits.
        first = share * np.sinc(turned / 2.0 / np.pi) * half
        second = share * _less_its_sine(turned)
        places, across, lifted, speed, about, over = (term[..., axis] for term in self.terms)
        return np.asarray(
            places
            + np.sin(turned) * across
            + 2.0 * half**2 * lifted
            + share * speed
            + first * about
            + second * over
        )


def _cross(a: Floats, b: Floats) -> Floats:
    # numpy's own takes several times as long for as few numbers as these are.
    ax, ay, az = a[..., 0], a[..., 1], a[..., 2]
    bx, by, bz = b[..., 0], b[..., 1], b[..., 2]
    found = np.empty(np.broadcast_shapes(a.shape, b.shape))
    found[..., 0] = ay * bz - az * by
    found[..., 1] = az * bx - ax * bz
    found[..., 2] = ax * by - ay * bx
    return found


def _less_its_sine(angle: Floats) -> Floats:
    """1 - sin(a) / a."""
    return np.where(
        np.abs(angle) < 1e-3,
        angle * angle / 6.0,
        1.0 - np.sinc(angle / np.pi),
    )


def screws(before: tuple[Floats, Floats], after: tuple[Floats, Floats]) -> Screws:
    """The screw motions from motions [k, 3, 3] and [k, 3] to others, of less than a half turn."""
    rows = after[0] @ np.swapaxes(before[0], 1, 2)
    shift = after[1] - np.einsum("kij,kj->ki", rows, before[1])
    skew = np.stack(
        (
            rows[:, 2, 1] - rows[:, 1, 2],
            rows[:, 0, 2] - rows[:, 2, 0],
            rows[:, 1, 0] - rows[:, 0, 1],
        ),
        axis=1,
    )
    sine = np.linalg.norm(skew, axis=1)
    angle = np.arctan2(sine, np.trace(rows, axis1=1, axis2=2) - 1.0)
    turn = skew * np.where(sine > 0.0, angle / np.maximum(sine, 1e-300), 0.0)[:, None]
    # The inverse of the integral of the turning: 1 - [t]/2 + (1 - (a/2) cot(a/2)) [k][k].
    half = np.maximum(angle / 2.0, 1e-9)
    rest = np.where(half < 1e-4, 1.0 / 12.0, (1.0 - half / np.tan(half)) / (4.0 * half * half))
    about = _cross(turn, shift)
    return Screws(turn=turn, speed=shift - about / 2.0 + rest[:, None] * _cross(turn, about))


def passages(
    poses: Poses, apart: Ints, crossed_by: dict[tuple[int, int], int]
) -> Iterator[Passage]:
    """The passages between successive poses, in no order; several a pair.

    The pairs whose codes are in `apart` are left out, and each in `crossed_by` from the pose
    on before the one that it names, where the two are known to cross.
    """
    threads = _threads(poses.paper)
    count = len(poses.paper.keys)
    codes = np.array([i * count + j for i, j in crossed_by] or [-1])
    order = np.argsort(codes)
    codes, known = codes[order], np.array([*crossed_by.values()] or [0])[order]
    for near in portions(_near(poses)):
        pairs = leave_out(near, apart, count)
        code = pairs.first * count + pairs.second
        place = np.minimum(np.searchsorted(codes, code), codes.size - 1)
        pairs = pairs[~((codes[place] == code) & (known[place] <= pairs.pose + 1))]
        pairs = _changing_sides(poses, pairs)
        if pairs.pose.size:
            yield from _through(poses, threads, pairs, _inside)
            for passage in _through(poses, threads, pairs.swapped, _inside):
                yield passage.turned_round


def passed(poses: Poses, apart: Ints, last: Ints) -> Iterator[Pairs]:
    """The pairs that pass through each other from their pose to the next one, several times over.

    The pairs whose codes are in `apart` are left out; from the poses `last` none moves on, for
    the next one begins another way.
    """
    threads = _threads(poses.paper)
    for near in portions(_near(poses)):
        pairs = leave_out(near, apart, len(poses.paper.keys))
        pairs = _changing_sides(poses, pairs[~np.isin(pairs.pose, last)])
        if pairs.pose.size:
            for seen in (pairs, pairs.swapped):
                yield from _through(poses, threads, seen, _pairs_inside)


def _near(poses: Poses) -> Iterator[Pairs]:
    """The pairs that may meet between each pose and the next."""
    low, high = poses.boxes
    if len(low) < 2:
        return
    within = MEETS_MM + np.maximum(poses.loose[:-1], poses.loose[1:])
    lowest, highest = np.minimum(low[:-1], low[1:]), np.maximum(high[:-1], high[1:])
    for pose, first, second in near_in_poses(lowest, highest, 2.0 * _bends(poses)):
        yield Pairs(pose=pose, first=first, second=second, within=within[pose])


def _bends(poses: Poses) -> Floats:
    """How far a path from each pose to the next may lie off the straight line, in mm."""
    moved = np.linalg.norm(np.diff(poses.corners, axis=0), axis=2).max(axis=1)
    trace = (poses.rows[1:] * poses.rows[:-1]).sum(axis=(2, 3))
    turn = np.arccos(np.clip((trace - 1.0) / 2.0, -1.0, 1.0)).max(axis=1)
    # An arc of chord s and sweep a rises by s * tan(a / 4) / 2, which is s * a / 8 where
    # it is flat.
    return np.asarray(moved * np.tan(turn / 4.0) / 2.0)


def _later(pairs: Pairs) -> Pairs:
    return Pairs(pose=pairs.pose + 1, first=pairs.first, second=pairs.second, within=pairs.within)


def _changing_sides(poses: Poses, pairs: Pairs) -> Pairs:
    """The pairs of which each panel was on one side of the other's plane and is on its other."""
    for measure in (bounds, extremes):
        for turned in (False, True):
            seen = pairs.swapped if turned else pairs
            before = measure(poses.paper, seen.first, height_over(poses, seen))
            after = measure(poses.paper, seen.first, height_over(poses, _later(seen)))
            down = (before[1] > pairs.within) & (after[0] < -pairs.within)
            up = (before[0] < -pairs.within) & (after[1] > pairs.within)
            pairs = pairs[down | up]
    return pairs


@dataclass(frozen=True, kw_only=True, eq=False)
class Threads:
    """The lines that are followed: panel i has those from `begin[i]` to `begin[i + 1]`.

    They run from `starts` to `ends` on the flat paper, [t, 2] each.
    """

    begin: Ints
    starts: Floats
    ends: Floats


def _threads(paper: Paper) -> Threads:
    """The edges of every panel, and two lines across its middle as far as they run over paper."""
    begin = paper.begin[:-1]
    low = np.minimum.reduceat(paper.starts, begin, axis=0)
    high = np.maximum.reduceat(paper.starts, begin, axis=0)
    middle = ((low + high) / 2.0)[paper.owners]
    owners, starts, ends = [paper.owners], [paper.starts], [paper.ends]
    for along in (0, 1):
        across = 1 - along
        met = level_ends(
            paper.owners,
            (paper.starts[:, across], paper.ends[:, across]),
            (paper.starts[:, along], paper.ends[:, along]),
            middle[:, across],
            0,
        )
        order = np.lexsort((met.at, met.item))
        item, at = met.item[order], met.at[order]
        level = (low + high)[item, across] / 2.0
        places = np.stack((at, level) if along == 0 else (level, at), axis=1)
        owners.append(item[::2])
        starts.append(places[::2])
        ends.append(places[1::2])
    owner = np.concatenate(owners)
    order = np.argsort(owner, kind="stable")
    return Threads(
        begin=np.searchsorted(owner[order], np.arange(len(paper.keys) + 1)),
        starts=np.concatenate(starts)[order],
        ends=np.concatenate(ends)[order],
    )


# What is told of footprints: see `_inside`.
_Tell = Callable[[Poses, Pairs, Floats, Floats, Floats, Floats], Iterator[_Told]]


def _through(poses: Poses, threads: Threads, pairs: Pairs, tell: _Tell[_Told]) -> Iterator[_Told]:
    """What `tell` says of the lines of first panels that go through the inside of second ones."""
    before, after = height_over(poses, pairs), height_over(poses, _later(pairs))
    item, line = lines_of(threads.begin, pairs.first)
    starts, ends = threads.starts[line], threads.ends[line]
    heights = [
        (reached(factors[item], starts), reached(factors[item], ends))
        for factors in (before, after)
    ]
    within = pairs.within[item]
    length = np.linalg.norm(ends - starts, axis=1)
    for sign in (1.0, -1.0):
        over = _above(sign * heights[0][0], sign * heights[0][1], within)
        under = _above(-sign * heights[1][0], -sign * heights[1][1], within)
        begin, stop = np.maximum(over[0], under[0]), np.minimum(over[1], under[1])
        some = (stop - begin) * length > within
        if some.any():
            way = ends[some] - starts[some]
            yield from _followed(
                poses,
                pairs[item[some]],
                starts[some] + way * begin[some, None],
                starts[some] + way * stop[some, None],
                tell,
            )


def _above(first: Floats, last: Floats, level: Floats) -> tuple[Floats, Floats]:
    """The shares of edges between which a height is above a level; nothing where it ends first."""
    rise = last - first
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (level - first) / rise
    begin = np.where(first > level, 0.0, np.where(last > level, share, 1.0))
    stop = np.where(last > level, 1.0, np.where(first > level, share, 0.0))
    return begin, stop


def _followed(
    poses: Poses, pairs: Pairs, starts: Floats, ends: Floats, tell: _Tell[_Told]
) -> Iterator[_Told]:
    """Follow lines on flat panels through the planes of other panels."""
    later = _later(pairs)
    motions = (
        poses.seen_from(pairs.pose, pairs.first, pairs.second),
        poses.seen_from(later.pose, pairs.first, pairs.second),
    )
    screw = screws(*motions)
    flat = starts[:, None] + (ends - starts)[:, None] * np.linspace(0.0, 1.0, _PLACES)[:, None]
    places = [
        np.einsum("kij,kpj->kpi", rows[:, :, :2], flat) + shift[:, None] for rows, shift in motions
    ]
    # How far an arc may be from the straight line between its ends, and so a path from
    # that of a screw; chords may be off by as much as they are off an arc.
    moved = np.linalg.norm(places[1] - places[0], axis=2).max(axis=1)
    bend = moved * np.tan(np.linalg.norm(screw.turn, axis=1) / 4.0) / 2.0
    margin = 2.0 * MEETS_MM + pairs.within + bend
    ends_seen = np.stack((places[0][..., :2], places[1][..., :2]))
    near = _may_meet(poses, pairs.second, ends_seen, moved, margin)
    if not near.any():
        return
    pairs, flat, screw = (
        pairs[near],
        flat[near],
        Screws(turn=screw.turn[near], speed=screw.speed[near]),
    )
    when = _instants(screw, places[0][near], places[1][near])
    seen = screw.at(places[0][near], when)[..., :2]
    yield from tell(poses, pairs, flat, when, seen, margin[near])


def _may_meet(poses: Poses, panels: Ints, ends: Floats, moved: Floats, margin: Floats) -> Flags:
    """Whether the places that lines sweep over come near the boxes of flat panels."""
    paper = poses.paper
    begin = paper.begin[:-1]
    low = np.minimum.reduceat(paper.starts, begin, axis=0)[panels] + margin[:, None]
    high = np.maximum.reduceat(paper.starts, begin, axis=0)[panels] - margin[:, None]
    bend = margin[:, None]
    lowest = ends.min(axis=(0, 2)) - bend
    highest = ends.max(axis=(0, 2)) + bend
    return np.asarray(((lowest < high) & (low < highest)).all(axis=1) & (moved > 0.0))


def _instants(screw: Screws, before: Floats, after: Floats) -> Floats:
    """The share of the time at which each place goes through the plane z = 0.

    By false position, with the height of a side that stays put halved so that both close in
    (the rule called Illinois).
    """
    low, high = np.zeros(before.shape[:2]), np.ones(before.shape[:2])
    f_low, f_high = before[..., 2].copy(), after[..., 2].copy()
    stayed = np.zeros(before.shape[:2])
    when = low
    paths = screw.paths(before)
    for _ in range(_STEPS):
        when = (low * f_high - high * f_low) / (f_high - f_low)
        height = paths.along(2, when)
        # A place that lies in the plane is put on the side that ends the search there.
        lower = height * f_low > 0.0
        f_high = np.where(lower, np.where(stayed > 0.0, f_high / 2.0, f_high), height)
        f_low = np.where(lower, height, np.where(stayed < 0.0, f_low / 2.0, f_low))
        low, high = np.where(lower, when, low), np.where(lower, high, when)
        stayed = np.where(lower, 1.0, -1.0)
    return when


def _inside(
    poses: Poses, pairs: Pairs, flat: Floats, when: Floats, seen: Floats, margin: Floats
) -> Iterator[Passage]:
    """The passages among footprints [k, p, 2] of lines on the flat paper of other panels.

    A passage is where a footprint lies inside the panel by more than the margin.
    """
    import shapely

    some, polygons, inner = _deep(poses, pairs, seen, margin)
    whole = shapely.intersection(shapely.linestrings(seen[some]), polygons)
    for one, deep, inside in zip(some.tolist(), inner, whole, strict=True):
        pieces = [part for part in shapely.get_parts(deep) if part.length > pairs.within[one]]
        if not pieces:
            continue
        longest = max(pieces, key=lambda part: float(part.length))
        spot = longest.interpolate(0.5, normalized=True)
        middle = np.array(spot.coords[0])
        after, share = _on_path(seen[one], middle)
        yield Passage(
            pose=int(pairs.pose[one]),
            first=int(pairs.first[one]),
            second=int(pairs.second[one]),
            share=float(when[one, after - 1] * (1.0 - share) + when[one, after] * share),
            on_first=_pair(flat[one, after - 1] * (1.0 - share) + flat[one, after] * share),
            on_second=_pair(middle),
            length=float(min(shapely.get_parts(inside), key=spot.distance).length),
        )


def _pairs_inside(
    poses: Poses, pairs: Pairs, flat: Floats, when: Floats, seen: Floats, margin: Floats
) -> Iterator[Pairs]:
    """The pairs of the passages that `_inside` tells, and no more of them."""
    import shapely

    some, _, inner = _deep(poses, pairs, seen, margin)
    parts, item = shapely.get_parts(inner, return_index=True)
    yield pairs[some[item[shapely.length(parts) > pairs.within[some[item]]]]]


def _deep(poses: Poses, pairs: Pairs, seen: Floats, margin: Floats) -> tuple[Ints, Any, Any]:
    """The footprints that lie inside the panels by more than the margin.

    Their places in the row, the panels as shapely polygons, and what lies so deep as shapely
    lines.
    """
    import shapely

    paths = np.linalg.norm(np.diff(seen, axis=1), axis=2).sum(axis=1)
    some = np.flatnonzero(paths > pairs.within)
    panels, place = np.unique(pairs.second[some], return_inverse=True)
    polygons = np.array(
        [
            shapely.Polygon(corners[0], corners[1:])
            for corners in (poses.paper.corners(int(panel)) for panel in panels)
        ],
        dtype=object,
    )[place]
    lines = shapely.linestrings(seen[some])
    inner = shapely.intersection(lines, shapely.buffer(polygons, -margin[some]))
    deep = shapely.length(inner) > pairs.within[some]
    return some[deep], polygons[deep], inner[deep]


def _on_path(path: Floats, at: Floats) -> tuple[int, float]:
    """Where a path comes to a place: the corner it comes to next, how far on the way there."""
    way = np.diff(path, axis=0)
    square = (way * way).sum(axis=1)
    part = ((at - path[:-1]) * way).sum(axis=1) / np.maximum(square, ROUNDING_MM**2)
    part = np.clip(part, 0.0, 1.0)
    off = np.linalg.norm(path[:-1] + way * part[:, None] - at, axis=1)
    nearest = int(np.argmin(off))
    return nearest + 1, float(part[nearest])


def _pair(at: Floats) -> tuple[float, float]:
    return float(at[0]), float(at[1])
