"""This module is the pass that holds parts in their sheet by short uncut stretches.

Each outline and opening keeps at least two bridges, about one every `pitch`,
evenly spread, clear of corners and of the ends of folds and slits, and, where
there is room elsewhere, off rounded corners.  Edges that the design wants clean
are left out of the reckoning: the rest is worked as if the path were no longer
than that, so that bridges do not crowd where they may lie.
"""

from __future__ import annotations

import math
from dataclasses import replace

from foldwright.profiles.model import BridgeWay

from ..drawing import Drawing, Role, Stroke
from ..geometry import Path, Point
from ..geometry.nearest import nearest
from ..geometry.offset import MITRE_LIMIT
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .job import Job, Passed
from .spread import free_stretches, spread_over
from .strokes import place_of
from .wording import named

# A part needs two bridges to stay where it is; common practice, no source.
FEWEST = 2

# A turn beyond this, in radians, is a corner; common practice, no source.
CORNER_RAD = math.radians(5.0)

# An arc of a smaller radius, in mm, is a rounded corner: a bridge on it leaves a
# stub where it shows and cannot be trimmed along a ruler; common practice, no
# source.
ROUNDED_CORNER_MM = 10.0


def leave(drawing: Drawing, job: Job) -> Passed:
    """The drawing with gaps in its outline and openings where the profile wants bridges."""
    way = job.way.bridge
    if way is None:
        return Passed(drawing)
    strokes: list[Stroke] = []
    found: list[Problem] = []
    for stroke in drawing.strokes:
        if stroke.role not in (Role.OUTLINE, Role.OPENING) or not stroke.path.closed:
            strokes.append(stroke)
            continue
        parts, findings = _bridged(stroke, way, job)
        strokes += parts
        found += findings
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _bridged(stroke: Stroke, way: BridgeWay, job: Job) -> tuple[list[Stroke], list[Problem]]:
    path = stroke.path
    total = path.length
    # The tool removes half its kerf beyond both ends of the gap.
    gap = way.length.value + job.kerf
    clear = way.clear.value + gap / 2.0
    taken = [(at - clear, at + clear) for at in _corners(path) + _line_ends(path, job)]
    clean = [(low - gap / 2.0, high + gap / 2.0) for low, high in _clean_edges(path, job)]
    rounded = [(low - clear, high + clear) for low, high in _rounded_corners(path)]
    places, wanted = _places(total, taken, rounded, clean, gap, way.pitch.value)
    on_clean = [at for at in places if _inside(total, at, clean)]
    found: list[Problem] = []
    if len(places) < wanted:
        found.append(_finding("bridges-no-room", job, stroke, path.start, len(places), wanted))
    if on_clean:
        first = path.stretch(0.0, on_clean[0]).end if on_clean[0] > 0.0 else path.start
        found.append(_finding("bridge-on-clean-edge", job, stroke, first, len(on_clean), wanted))
    if not places:
        return [stroke], found
    parts = []
    for here, there in zip(places, [*places[1:], places[0] + total], strict=True):
        start, end = here + gap / 2.0, there - gap / 2.0
        turn = total if start >= total else 0.0
        parts.append(replace(stroke, path=path.stretch(start - turn, end - turn)))
    return parts, found


def _places(
    total: float,
    taken: list[tuple[float, float]],
    rounded: list[tuple[float, float]],
    clean: list[tuple[float, float]],
    gap: float,
    pitch: float,
) -> tuple[list[float], int]:
    """Where the bridges' middles lie, and how many there should be."""
    # Where the edges that need not stay clean cannot hold the part, all edges do.
    for kept in (free_stretches(total, clean), [(0.0, total)]):
        length = math.fsum(high - low for low, high in kept)
        wanted = max(FEWEST, math.ceil(length / pitch - 1e-9))
        for count in range(min(wanted, int(length / (2.0 * gap))), 0, -1):
            places = _spread(total, kept, taken, rounded, (count, wanted), gap, pitch)
            if places is not None and (count >= FEWEST or length == total):
                return places, wanted
    return [], wanted


def _spread(
    total: float,
    kept: list[tuple[float, float]],
    taken: list[tuple[float, float]],
    rounded: list[tuple[float, float]],
    counts: tuple[int, int],
    gap: float,
    pitch: float,
) -> list[float] | None:
    """Places for the first of `counts` bridges on the kept stretches, None where there is no room.

    The second of `counts` is how many there should be.
    """
    count, wanted = counts
    length = math.fsum(high - low for low, high in kept)
    # Two gaps never come nearer than one more gap.  The best comes first: well
    # apart and off rounded corners, then closer together, then on those.
    # Only the fewest that hold a part at all are crowded together.
    even = max(2.0 * gap, length / (2.0 * wanted))
    closer = max(2.0 * gap, min(pitch / 6.0, even))
    spacings = (even, closer) if count > FEWEST else (even, closer, 2.0 * gap)
    for avoided in (taken + rounded, taken) if rounded else (taken,):
        free = _joined(kept, free_stretches(total, avoided))
        for apart in spacings:
            places = spread_over(length, free, count, apart)
            if places is not None:
                return [_on_path(kept, at) for at in places]
    return None


def _joined(
    kept: list[tuple[float, float]], free: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    """The free parts of the kept stretches, as if these were put end to end from 0."""
    found = []
    passed = 0.0
    for low, high in kept:
        parts = [(max(low, start), min(high, end)) for start, end in free]
        found += [(start - low + passed, end - low + passed) for start, end in parts if start < end]
        passed += high - low
    return found


def _on_path(kept: list[tuple[float, float]], at: float) -> float:
    """How far along the path a place is that lies at `at` of the kept stretches put end to end."""
    for low, high in kept:
        if at <= high - low:
            return low + at
        at -= high - low
    return kept[-1][1]


def _inside(total: float, at: float, stretches: list[tuple[float, float]]) -> bool:
    return any(0.0 < (at - low) % total < high - low for low, high in stretches)


def _corners(path: Path) -> list[float]:
    """How far along a closed path its corners lie, in mm."""
    found: list[float] = []
    passed = 0.0
    segments = [segment for segment in path.segments if segment.chord > 0.0]
    for before, segment in zip([segments[-1], *segments[:-1]], segments, strict=True):
        ends, starts = before.direction(1.0), segment.direction(0.0)
        if math.atan2(abs(float(ends.cross(starts))), float(ends.dot(starts))) > CORNER_RAD:
            found.append(passed)
        passed += segment.length
    return found


def _rounded_corners(path: Path) -> list[tuple[float, float]]:
    """The stretches of a closed path that are arcs of a small radius, as pairs of distances."""
    found: list[tuple[float, float]] = []
    passed = 0.0
    for segment in path.segments:
        if not segment.is_line and segment.radius < ROUNDED_CORNER_MM:
            found.append((passed, passed + segment.length))
        passed += segment.length
    return found


def _line_ends(path: Path, job: Job) -> list[float]:
    """How far along the path folds and slits end on it, in mm."""
    lines = [fold.path for fold in job.piece.folds] + [slit.path for slit in job.piece.slits]
    places = [at for line in lines if not line.closed for at in (line.start, line.end)]
    found = []
    left, bottom, right, top = path.box()
    for at in dict.fromkeys(place.rounded() for place in places):
        x, y = at.floats()
        reach = _reach(job)
        if left - reach <= x <= right + reach and bottom - reach <= y <= top + reach:
            close = nearest(path, at)
            if close.away <= reach:
                found.append(close.along)
    return found


def _reach(job: Job) -> float:
    """How far a drawn edge may lie from the designed one, in mm."""
    return MITRE_LIMIT * job.kerf / 2.0 + MEETS_MM


def _clean_edges(path: Path, job: Job) -> list[tuple[float, float]]:
    """The stretches of the path that the design wants free of bridges, as pairs of distances."""
    total = path.length
    reach = _reach(job)
    corners = _corners(path)
    found = []
    for edge in job.piece.hide_bridges:
        if len(edge.vertices) == 1:
            # A single place names the whole edge that it lies on.
            close = nearest(path, edge.start)
            if close.away <= reach:
                found.append(_edge_round(close.along, corners, total))
            continue
        for segment in edge.rounded().segments:
            ends = (nearest(path, segment.start), nearest(path, segment.end))
            middle = nearest(path, segment.middle)
            if middle.away > reach or any(end.away > reach for end in ends):
                continue
            low, high = sorted(end.along for end in ends)
            # Of the two ways round between the ends, the one over the middle.
            found.append((low, high) if low <= middle.along <= high else (high, low + total))
    return found


def _edge_round(at: float, corners: list[float], total: float) -> tuple[float, float]:
    """The stretch between two corners that holds `at`; without corners the whole path."""
    if not corners:
        return (0.0, total)
    before = min((at - corner) % total for corner in corners)
    after = min((corner - at) % total for corner in corners)
    return (at - before, at + after)


def _finding(code: str, job: Job, stroke: Stroke, at: Point, placed: int, wanted: int) -> Problem:
    return job.problem(
        code,
        at=at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        piece_name=job.piece.name,
        line=named(stroke),
        placed=placed,
        wanted=wanted,
    )
