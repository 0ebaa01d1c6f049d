"""This module finds the lines and tangent arcs again that a finely flattened path was made of.

In three steps.  The places are divided into runs, each as long as one line or one
circle keeps to it; a line or a circle is laid through each run by least squares;
and where two neighbours head one way, both are moved by as little as makes them touch
exactly (Newton's method on the gaps between them, each step the least one).  What
then leaves the places by more than the tolerance is not kept, and its joints become corners.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from ..measures.exact import ROUNDING_MM
from .fitting import Pair
from .meetings import circle_circle, line_circle, line_line
from .nearest import nearest_on
from .paths import Path, Segment, bulge_through, circle, path_of
from .points import Point

# Neighbours whose directions differ by less than this, in radians, are meant to touch.
_MEANT_SMOOTH = 0.1

# One arc turns by no more than this, in radians.
_LARGEST_SWEEP = 1.9 * math.pi

# Newton's method doubles the digits, so that a few steps do.
_STEPS = 12


@dataclass(slots=True)
class _Run:
    """Places from `first` to `last`, and what carries them.

    A line passes (x, y) with unit direction (ux, uy); `half` is half its length.  A
    circle has its centre there and the signed radius `radius`, positive where it is run
    anticlockwise; the radius of a line is 0.
    """

    first: int
    last: int
    x: float
    y: float
    radius: float = 0.0
    ux: float = 0.0
    uy: float = 0.0
    half: float = 0.0

    def heading(self, at: Pair) -> Pair:
        """The unit direction of travel at a place."""
        if self.radius == 0.0:
            return self.ux, self.uy
        dx, dy = at[0] - self.x, at[1] - self.y
        length = math.copysign(math.hypot(dx, dy), self.radius)
        return -dy / length, dx / length


def refit(places: Iterable[Pair], closed: bool, within: float) -> Path:
    """The path of few lines and tangent arcs that keeps within `within` mm of a polyline.

    Every place, and the middle between two neighbours, lies that near the path.  The
    places must lie on lines and arcs to well under half of `within`, and the
    chords between them leave these by as little.  A closed polyline does not repeat
    its first place.  Raises ValueError where the places have no extent or are not finite.
    """
    if not within > 0.0:
        raise ValueError("a fit needs a tolerance above 0")
    given = _apart(places, closed)
    if closed:
        whole = _whole_circle(given, within)
        if whole is not None:
            return whole
        lengths = [math.dist(one, given[index - 1]) for index, one in enumerate(given)]
        # A long side is a line, and starts where another line or arc ends.
        start = max(range(len(given)), key=lambda index: lengths[index]) - 1
        given = given[start:] + given[:start]
        given.append(given[0])
    runs = _runs(given, closed, within / 2.0)
    if closed and len(runs) > 2:
        # The first place may lie in the middle of an arc.
        turned = given[runs[-1].first : -1] + given[: runs[-1].first + 1]
        other = _runs(turned, closed, within / 2.0)
        if len(other) < len(runs):
            given, runs = turned, other
    smooth = _meant_smooth(given, runs, closed)
    while True:
        carried = _touching(runs, smooth, closed)
        segments = None if carried is None else _segments(given, carried, smooth, closed)
        failing = (
            set(smooth) if segments is None else _failing(given, runs, segments, closed, within)
        )
        if segments is not None and not failing:
            return path_of(segments, closed)
        fewer = smooth - failing - {(index + 1) % len(runs) for index in failing}
        if fewer == smooth:
            break
        smooth = fewer
    # As the runs were found: corners at places, and arcs over places.
    return path_of([_over(given, run) for run in runs], closed)


def _apart(places: Iterable[Pair], closed: bool) -> list[Pair]:
    found: list[Pair] = []
    for x, y in places:
        if not (math.isfinite(x) and math.isfinite(y)):
            raise ValueError("a place of the polyline is not finite")
        if not found or math.dist(found[-1], (x, y)) > ROUNDING_MM:
            found.append((float(x), float(y)))
    while closed and len(found) > 1 and math.dist(found[0], found[-1]) <= ROUNDING_MM:
        found.pop()
    if len(found) < (3 if closed else 2):
        raise ValueError("a polyline of so few places has no extent")
    return found


def _whole_circle(places: list[Pair], within: float) -> Path | None:
    x, y, radius = _least_squares_circle(places)
    ring = [*places, places[0]]
    if not all(_keeps(at, x, y, radius, within) for at in _with_middles(ring)):
        return None
    swept = sum(
        math.atan2(
            (a[0] - x) * (b[1] - y) - (a[1] - y) * (b[0] - x),
            (a[0] - x) * (b[0] - x) + (a[1] - y) * (b[1] - y),
        )
        for a, b in pairwise(ring)
    )
    if abs(abs(swept) - 2.0 * math.pi) > 1e-6:
        return None
    path = circle(Point(x, y), radius)
    return path if swept > 0.0 else path.reversed


def _least_squares_circle(places: list[Pair]) -> tuple[float, float, float]:
    """Centre and radius of the circle nearest to places, after Kåsa (from memory)."""
    at = np.array(places)
    middle = at.mean(axis=0)
    at = at - middle
    size = float(np.abs(at).max()) or 1.0
    at = at / size
    rows = np.column_stack((2.0 * at, np.ones(len(at))))
    (x, y, rest), *_ = np.linalg.lstsq(rows, (at * at).sum(axis=1), rcond=None)
    radius = math.sqrt(max(0.0, rest + x * x + y * y))
    return float(x) * size + float(middle[0]), float(y) * size + float(middle[1]), radius * size


def _keeps(at: Pair, x: float, y: float, radius: float, within: float) -> bool:
    return abs(math.hypot(at[0] - x, at[1] - y) - abs(radius)) <= within


def _with_middles(places: list[Pair]) -> Iterable[Pair]:
    for one, other in pairwise(places):
        yield one
        yield (one[0] + other[0]) / 2.0, (one[1] + other[1]) / 2.0
    yield places[-1]


def _runs(places: list[Pair], closed: bool, within: float) -> list[_Run]:
    """Runs of places, each as long as a line or an arc keeps to it, the longer of the two."""
    found: list[_Run] = []
    first, last = 0, len(places) - 1
    while first < last:
        straight = _reach(places, first, within, _is_line)
        bent = _reach(places, first, within, _is_arc)
        end = max(straight, bent)
        if straight >= bent:
            found.append(_line_through(places, first, end))
        else:
            found.append(_circle_through(places, first, end, within))
        first = end
    return found


def _reach(
    places: list[Pair],
    first: int,
    within: float,
    holds: Callable[[list[Pair], int, int, float], bool],
) -> int:
    """The farthest place that is found to hold, by doubling and halving."""
    last = len(places) - 1
    good, step = first + 1, 1
    while good < last and holds(places, first, min(last, good + step), within):
        good = min(last, good + step)
        step *= 2
    while step > 1:
        step //= 2
        if good + step <= last and holds(places, first, good + step, within):
            good += step
    return good


def _is_line(places: list[Pair], i: int, j: int, within: float) -> bool:
    (x0, y0), (x1, y1) = places[i], places[j]
    dx, dy = x1 - x0, y1 - y0
    length = math.hypot(dx, dy)
    if length <= within:
        return False
    passed = 0.0
    for x, y in places[i + 1 : j]:
        if abs((x - x0) * dy - (y - y0) * dx) > within * length:
            return False
        along = (x - x0) * dx + (y - y0) * dy
        if along < passed:
            return False
        passed = along
    return passed <= length * length


def _is_arc(places: list[Pair], i: int, j: int, within: float) -> bool:
    if j < i + 2:
        return False
    arc = _over_places(places, i, j)
    if arc.is_line:
        return False
    x, y = arc.centre.floats()
    radius = arc.radius
    sign = math.copysign(1.0, arc.bulge)
    if not all(_keeps(at, x, y, radius, within) for at in _with_middles(places[i : j + 1])):
        return False
    swept = 0.0
    for a, b in zip(places[i:j], places[i + 1 : j + 1], strict=True):
        cross = (a[0] - x) * (b[1] - y) - (a[1] - y) * (b[0] - x)
        step = sign * math.atan2(cross, (a[0] - x) * (b[0] - x) + (a[1] - y) * (b[1] - y))
        if step <= 0.0:
            return False
        swept += step
    return swept <= _LARGEST_SWEEP


def _over_places(places: list[Pair], i: int, j: int) -> Segment:
    """The arc over the place in the middle of a run."""
    start, through, end = (Point(*places[index]) for index in (i, (i + j) // 2, j))
    return Segment(start, end, bulge_through(start, through, end))


def _over(places: list[Pair], run: _Run) -> Segment:
    if run.radius == 0.0:
        return Segment(Point(*places[run.first]), Point(*places[run.last]))
    return _over_places(places, run.first, run.last)


def _line_through(places: list[Pair], i: int, j: int) -> _Run:
    """The line nearest to the chords of a run: along the axis of their least moment."""
    at = np.array(places[i : j + 1])
    steps, middles = np.diff(at, axis=0), (at[1:] + at[:-1]) / 2.0
    weights = np.hypot(*steps.T)
    centre = (middles * weights[:, None]).sum(axis=0) / weights.sum()
    off = middles - centre
    moment = (off * weights[:, None]).T @ off + (steps * weights[:, None]).T @ steps / 12.0
    way = np.linalg.eigh(moment)[1][:, 1]
    if way @ (at[-1] - at[0]) < 0.0:
        way = -way
    return _Run(
        i,
        j,
        float(centre[0]),
        float(centre[1]),
        ux=float(way[0]),
        uy=float(way[1]),
        half=math.dist(places[i], places[j]) / 2.0,
    )


def _circle_through(places: list[Pair], i: int, j: int, within: float) -> _Run:
    arc = _over_places(places, i, j)
    sign = math.copysign(1.0, arc.bulge)
    if j > i + 2:
        x, y, radius = _least_squares_circle(places[i : j + 1])
        if all(_keeps(at, x, y, radius, 2.0 * within) for at in places[i : j + 1]):
            return _Run(i, j, x, y, sign * radius)
    return _Run(i, j, *arc.centre.floats(), sign * arc.radius)


def _meant_smooth(places: list[Pair], runs: list[_Run], closed: bool) -> set[int]:
    """The runs that go on smoothly from the run before them."""
    found: set[int] = set()
    for index in range(0 if closed and len(runs) > 1 else 1, len(runs)):
        before, after = runs[index - 1], runs[index]
        if before.radius == after.radius == 0.0:
            continue
        at = places[after.first]
        a, b = before.heading(at), after.heading(at)
        if abs(math.atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1])) < _MEANT_SMOOTH:
            found.add(index)
    return found


def _gap(before: _Run, after: _Run) -> tuple[float, list[float], list[float]]:
    """By how much two carriers miss each other, and how that changes with their three numbers.

    Those of a line are a turn about its middle, as the way of its ends, and a shift to
    the left; the third is not used.  Those of a circle are centre and signed radius.
    """
    if before.radius == 0.0:
        gap, line_, round_ = _gap_of_line(before, after)
        return gap, line_, round_
    if after.radius == 0.0:
        gap, line_, round_ = _gap_of_line(after, before)
        return gap, round_, line_
    dx, dy = before.x - after.x, before.y - after.y
    apart = math.hypot(dx, dy) or 1.0
    step = before.radius - after.radius
    sign = math.copysign(1.0, step)
    ux, uy = dx / apart, dy / apart
    return apart - abs(step), [ux, uy, -sign], [-ux, -uy, sign]


def _gap_of_line(line_: _Run, round_: _Run) -> tuple[float, list[float], list[float]]:
    dx, dy = round_.x - line_.x, round_.y - line_.y
    left = line_.ux * dy - line_.uy * dx
    along = line_.ux * dx + line_.uy * dy
    turned = -along / line_.half if line_.half else 0.0
    return left - round_.radius, [turned, -1.0, 0.0], [-line_.uy, line_.ux, -1.0]


def _touching(runs: list[_Run], smooth: set[int], closed: bool) -> list[_Run] | None:
    """The carriers moved by as little as makes smooth neighbours touch; None where that fails."""
    carried = [replace(run) for run in runs]
    joints = sorted(smooth)
    if not joints:
        return carried
    for _ in range(_STEPS):
        rows = np.zeros((len(joints), 3 * len(runs)))
        gaps = np.zeros(len(joints))
        for row, index in enumerate(joints):
            before = index - 1 if index else len(runs) - 1
            gaps[row], one, other = _gap(carried[before], carried[index])
            rows[row, 3 * before : 3 * before + 3] += one
            rows[row, 3 * index : 3 * index + 3] += other
        if float(np.abs(gaps).max()) <= 1e-12 * max(1.0, *(abs(run.radius) for run in carried)):
            break
        moves = np.linalg.lstsq(rows, -gaps, rcond=None)[0].reshape(-1, 3)
        for run, (first, second, third) in zip(carried, moves, strict=True):
            if run.radius == 0.0:
                turn = first / run.half if run.half else 0.0
                cos, sin = math.cos(turn), math.sin(turn)
                run.x, run.y = run.x - run.uy * second, run.y + run.ux * second
                run.ux, run.uy = run.ux * cos - run.uy * sin, run.ux * sin + run.uy * cos
                continue
            run.x, run.y = run.x + first, run.y + second
            if (run.radius + third) * run.radius <= 0.0:
                return None
            run.radius += third
    else:
        return None
    return carried


def _segments(
    places: list[Pair], carried: list[_Run], smooth: set[int], closed: bool
) -> list[Segment] | None:
    """The stretch of each carrier between its joints; None where one is turned round."""
    count = len(carried)
    joints: list[Pair] = []
    for index in range(count + 1):
        if not closed and index in (0, count):
            run = carried[0 if index == 0 else -1]
            joints.append(_foot(run, places[0 if index == 0 else -1]))
            continue
        if index == count:
            joints.append(joints[0])
            continue
        before, after = carried[index - 1], carried[index]
        if index in smooth:
            joints.append(_touch(before, after))
        else:
            joints.append(_meeting(before, after, places[after.first]))
    found: list[Segment] = []
    for run, start, end in zip(carried, joints, joints[1:], strict=False):
        dx, dy = end[0] - start[0], end[1] - start[1]
        if run.radius == 0.0:
            if dx * run.ux + dy * run.uy <= ROUNDING_MM:
                return None
            found.append(Segment(Point(*start), Point(*end)))
            continue
        ax, ay, bx, by = start[0] - run.x, start[1] - run.y, end[0] - run.x, end[1] - run.y
        sign = math.copysign(1.0, run.radius)
        sweep = sign * math.atan2(ax * by - ay * bx, ax * bx + ay * by) % (2.0 * math.pi)
        if sweep > _LARGEST_SWEEP + 0.1 or sweep * abs(run.radius) <= ROUNDING_MM:
            return None
        found.append(Segment(Point(*start), Point(*end), sign * math.tan(sweep / 4.0)))
    return found


def _foot(run: _Run, at: Pair) -> Pair:
    """The place on a carrier nearest to a given one."""
    dx, dy = at[0] - run.x, at[1] - run.y
    if run.radius == 0.0:
        along = dx * run.ux + dy * run.uy
        return run.x + along * run.ux, run.y + along * run.uy
    share = abs(run.radius) / math.hypot(dx, dy)
    return run.x + dx * share, run.y + dy * share


def _touch(before: _Run, after: _Run) -> Pair:
    """The place at which two carriers touch."""
    if before.radius == 0.0 or after.radius == 0.0:
        line_, round_ = (before, after) if before.radius == 0.0 else (after, before)
        return _foot(line_, (round_.x, round_.y))
    # Both centres lie on the joint's normal, each its signed radius to the left.
    step = before.radius - after.radius
    nx, ny = (before.x - after.x) / step, (before.y - after.y) / step
    # From the smaller circle, whose digits are worth more.
    small = before if abs(before.radius) < abs(after.radius) else after
    return small.x - small.radius * nx, small.y - small.radius * ny


def _meeting(before: _Run, after: _Run, at: Pair) -> Pair:
    """The place at which two carriers cross that is nearest to a given one, or that itself."""
    a, b = Point(before.x, before.y), Point(after.x, after.y)
    if before.radius == after.radius == 0.0:
        crossing = line_line(
            a, Point(a.x + before.ux, a.y + before.uy), b, Point(b.x + after.ux, b.y + after.uy)
        )
        found = [] if crossing is None else [crossing]
    elif before.radius == 0.0:
        found = line_circle(a, Point(a.x + before.ux, a.y + before.uy), b, abs(after.radius))
    elif after.radius == 0.0:
        found = line_circle(b, Point(b.x + after.ux, b.y + after.uy), a, abs(before.radius))
    else:
        found = circle_circle(a, abs(before.radius), b, abs(after.radius))
    if not found:
        return at
    return min((place.floats() for place in found), key=lambda place: math.dist(place, at))


def _failing(
    places: list[Pair], runs: list[_Run], segments: list[Segment], closed: bool, within: float
) -> set[int]:
    """The runs whose places, or the middles between them, lie too far from the segments."""
    found: set[int] = set()
    count = len(runs)
    for index, run in enumerate(runs):
        near = {index}
        for other in (index - 1, index + 1):
            if closed or 0 <= other < count:
                near.add(other % count)
        for at in _with_middles(places[run.first : run.last + 1]):
            if all(nearest_on(segments[one], Point(*at))[0] > within for one in near):
                found.add(index)
                break
    return found
