"""This module draws lines in space as far as they are seen: runs of stretches on the page."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry import Path, Point, Vertex
from .camera import Floats
from .hidden_lines import Lines, Stretch, View

# Places of the page are the same to this many decimals of a mm.
_PLACES = 3

Spot = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Course:
    """A line through places in space, [n, 3], and the numbers of the facets that it lies on.

    A closed one runs back to its first place.
    """

    places: Floats
    owners: tuple[int, ...]
    closed: bool = False


def seen_of(courses: Sequence[Course], kinds: Sequence[Hashable], view: View) -> list[list[Path]]:
    """What is seen of each course: paths on the page, in order.

    What lies exactly on another one of its kind that was drawn before, as the two
    sides of a slit in flat paper do, is left out.
    """
    starts, ends, owners = [], [], []
    for course in courses:
        places = course.places
        if course.closed:
            places = np.concatenate((places, places[:1]))
        starts.append(places[:-1])
        ends.append(places[1:])
        owners += [course.owners] * (len(places) - 1)
    if not owners:
        return [[] for _ in courses]
    lines = Lines(starts=np.concatenate(starts), ends=np.concatenate(ends), owners=owners)
    seen = view.seen(lines)
    from_, _ = view.camera.page(lines.starts)
    to, _ = view.camera.page(lines.ends)
    drawn: dict[Hashable, set[tuple[Spot, Spot]]] = {kind: set() for kind in kinds}
    found, first = [], 0
    for piece, kind in zip(starts, kinds, strict=True):
        rows = range(first, first + len(piece))
        runs = _runs([(from_[i], to[i], seen[i]) for i in rows], drawn[kind])
        found.append([_path(run) for run in runs])
        first += len(piece)
    return found


def _runs(
    stretches: Iterable[tuple[Floats, Floats, list[Stretch]]], drawn: set[tuple[Spot, Spot]]
) -> list[list[Spot]]:
    """The seen stretches joined where one goes on where the one before it ends."""
    runs: list[list[Spot]] = []
    for start, end, seen in stretches:
        for low, high in seen:
            one, other = _spot(start, end, low), _spot(start, end, high)
            if one == other or (one, other) in drawn or (other, one) in drawn:
                continue
            drawn.add((one, other))
            if runs and runs[-1][-1] == one:
                runs[-1].append(other)
            else:
                runs.append([one, other])
    # A closed course that is seen where it starts goes on there.
    if len(runs) > 1 and runs[-1][-1] == runs[0][0]:
        runs[0] = runs.pop() + runs[0][1:]
    return runs


def _spot(start: Floats, end: Floats, share: float) -> Spot:
    x, y = start + (end - start) * share
    return round(float(x), _PLACES), round(float(y), _PLACES)


def _path(run: list[Spot]) -> Path:
    closed = len(run) > 3 and run[0] == run[-1]
    spots = run[:-1] if closed else run
    return Path(tuple(Vertex(Point(x, y)) for x, y in spots), closed=closed)
