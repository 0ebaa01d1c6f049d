"""This module finds the places of bridges on one path.

Bridges are evenly spread, clear of corners and of the ends of folds and slits,
and, where there is room elsewhere, off rounded corners.  Edges that the design
wants clean are left out of the reckoning: the rest is worked as if the path were
no longer than that, so that bridges do not crowd where they may lie.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from ..geometry import Path
from .spread import free_stretches, spread_open, spread_over

# A part needs two bridges to stay where it is; common practice, no source.
FEWEST = 2

# A turn beyond this, in radians, is a corner; common practice, no source.
CORNER_RAD = math.radians(5.0)

# An arc of a smaller radius, in mm, is a rounded corner: a bridge on it leaves a
# stub where it shows and cannot be trimmed along a ruler; common practice, no
# source.
ROUNDED_CORNER_MM = 10.0

# Two distances along a path, in mm; the second may pass its length.
Span = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """What a path has to offer to bridges, in mm along it.

    `gap` is the drawn length of a bridge, `pitch` the usual distance from one to
    the next.  Middles of bridges keep off the stretches `taken`, off those that
    are `rounded` where they can, and off edges that should stay `clean`.
    """

    total: float
    gap: float
    pitch: float
    taken: list[Span]
    rounded: list[Span]
    clean: list[Span]


def places_round(room: Room, fewest: int) -> tuple[list[float], int]:
    """Where bridges lie on a closed path, and how many there should be: `fewest` or more."""
    # Where the edges that need not stay clean cannot hold the part, all edges do.
    for kept in (free_stretches(room.total, room.clean), [(0.0, room.total)]):
        length = math.fsum(high - low for low, high in kept)
        wanted = wanted_on(length, room.pitch, fewest)
        for count in range(min(wanted, int(length / (2.0 * room.gap))), 0, -1):
            places = _spread(room, kept, count, wanted)
            if places is not None and (count >= FEWEST or length == room.total):
                return places, wanted
    return [], wanted


def wanted_on(length: float, pitch: float, fewest: int) -> int:
    """How many bridges there should be on `length` mm of a closed path."""
    return max(fewest, math.ceil(length / pitch - 1e-9))


def even_spacing(length: float, gap: float, wanted: int) -> float:
    """How far apart the middles of so many bridges are at least, where all have room."""
    # Two gaps never come nearer than one more gap.
    return max(2.0 * gap, length / (2.0 * wanted))


def places_along(room: Room) -> tuple[list[float], int]:
    """Where bridges lie on an open path, which falls loose nowhere: one or more.

    None where there is no room, or the path is not long enough for any.
    """
    wanted = max(1, math.ceil(room.total / room.pitch - 1e-9))
    for clean in (room.clean, []) if room.clean else ([],):
        for rounded in (room.rounded, []) if room.rounded else ([],):
            free = free_stretches(room.total, room.taken + clean + rounded)
            for count in range(wanted, 0, -1):
                places = spread_open(room.total, free, count, 2.0 * room.gap)
                if places is not None:
                    return places, wanted
    return [], wanted


def _spread(room: Room, kept: list[Span], count: int, wanted: int) -> list[float] | None:
    """Places for `count` of the bridges wanted on the kept stretches, None where they have none."""
    length = math.fsum(high - low for low, high in kept)
    # The best comes first: well apart and off rounded corners, then closer together,
    # then on those.  Only the fewest that hold a part at all are crowded together.
    even = even_spacing(length, room.gap, wanted)
    closer = max(2.0 * room.gap, min(room.pitch / 6.0, even))
    spacings = (even, closer) if count > FEWEST else (even, closer, 2.0 * room.gap)
    taken, rounded = room.taken, room.rounded
    for avoided in (taken + rounded, taken) if rounded else (taken,):
        free = _joined(kept, free_stretches(room.total, avoided))
        for apart in spacings:
            places = spread_over(length, free, count, apart)
            if places is not None:
                return [_on_path(kept, at) for at in places]
    return None


def _joined(kept: list[Span], free: list[Span]) -> list[Span]:
    """The free parts of the kept stretches, as if these were put end to end from 0."""
    found = []
    passed = 0.0
    for low, high in kept:
        parts = [(max(low, start), min(high, end)) for start, end in free]
        found += [(start - low + passed, end - low + passed) for start, end in parts if start < end]
        passed += high - low
    return found


def _on_path(kept: list[Span], at: float) -> float:
    """How far along the path a place is that lies at `at` of the kept stretches put end to end."""
    for low, high in kept:
        if at <= high - low:
            return low + at
        at -= high - low
    return kept[-1][1]


def inside(total: float, at: float, stretches: list[Span]) -> bool:
    """Whether a place lies inside one of some stretches of a closed path."""
    return any(0.0 < (at - low) % total < high - low for low, high in stretches)


def corners(path: Path) -> list[float]:
    """How far along a path its corners lie, in mm; the ends of an open one are none."""
    found: list[float] = []
    passed = 0.0
    segments = [segment for segment in path.segments if segment.chord > 0.0]
    for index, segment in enumerate(segments):
        if index > 0 or path.closed:
            ends, starts = segments[index - 1].direction(1.0), segment.direction(0.0)
            if math.atan2(abs(float(ends.cross(starts))), float(ends.dot(starts))) > CORNER_RAD:
                found.append(passed)
        passed += segment.length
    return found


def rounded_corners(path: Path) -> list[Span]:
    """The stretches of a path that are arcs of a small radius."""
    found: list[Span] = []
    passed = 0.0
    for segment in path.segments:
        if not segment.is_line and segment.radius < ROUNDED_CORNER_MM:
            found.append((passed, passed + segment.length))
        passed += segment.length
    return found


def longest_edge(path: Path) -> float:
    """The longest stretch of a path between two corners, in mm."""
    total = path.length
    places = corners(path)
    if path.closed:
        if not places:
            return total
        onward = [*places[1:], places[0] + total]
        return max(there - here for here, there in zip(places, onward, strict=True))
    places = [0.0, *places, total]
    return max(there - here for here, there in pairwise(places))
