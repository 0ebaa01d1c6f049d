"""This module is the pass that holds parts in their sheet by short uncut stretches.

The outline holds the piece, and an opening its waste, by as many bridges as
length and mass of the part ask for; a slit that closes on itself cuts a part
loose and is held like an outline.  Open slits keep bridges where the profile
asks for it, so that flaps lie still while the rest is cut.  Relief holes are too
small for bridges: what falls out of them is loose.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from foldwright.profiles.model import BridgeWay

from ..drawing import Drawing, Role, Stroke, Work
from ..geometry import Path, Point
from ..geometry.nearest import nearest
from ..geometry.stretches import stretches
from ..problems import Problem
from .bridge_places import (
    FEWEST,
    Room,
    Span,
    corners,
    inside,
    longest_edge,
    places_along,
    places_round,
    rounded_corners,
)
from .job import Job, Passed
from .line_ends import LineEnds, edge_reach
from .strokes import place_of
from .wording import hold_down, mm, named, written

# A part whose longest side is longer than this, in mm, turns on two bridges, and
# needs one more; common practice, no source.
LONG_MM = 100.0
FEWEST_OF_LONG = 3

# From so many closed strokes on they are looked at in whole columns.
_MANY = 64


def leave(drawing: Drawing, job: Job) -> Passed:
    """The drawing with gaps in its cuts where the profile wants bridges."""
    asked = {
        index: way
        for index, stroke in enumerate(drawing.strokes)
        if (way := way_of(stroke, job)) is not None
    }
    if not asked:
        return Passed(drawing)
    ends = LineEnds(job)
    placed = _placed_at_once(drawing.strokes, asked, ends, job)
    strokes: list[Stroke] = []
    found: list[Problem] = []
    for index, stroke in enumerate(drawing.strokes):
        if index not in asked:
            strokes.append(stroke)
        elif index in placed:
            strokes += _parted(stroke, placed[index], asked[index].length.value + job.kerf)
        else:
            parts, findings = _bridged(stroke, asked[index], ends, job)
            strokes += parts
            found += findings
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def way_of(stroke: Stroke, job: Job) -> BridgeWay | None:
    """How a stroke is to keep bridges; None where none are asked for."""
    if stroke.work is not Work.THROUGH:
        return None
    if stroke.path.closed:
        return way_round(stroke.role, job)
    return job.way.bridge if stroke.role is Role.SLIT and job.way.slit.bridged else None


def way_round(role: Role, job: Job) -> BridgeWay | None:
    """How what lies inside a closed cut is to be held; None where nothing is asked for."""
    if role is Role.OPENING:
        if job.way.waste_loose:
            return None
        return job.way.bridge if job.way.waste is None else job.way.waste
    return job.way.bridge if role in (Role.OUTLINE, Role.SLIT) else None


def fewest(way: BridgeWay, job: Job, sides: tuple[float, float], area: float) -> int:
    """The fewest bridges that hold a part, whatever its length round.

    `sides` are width and height in mm of what is drawn round it, `area` is in mm².
    An area in mm² times a grammage in g/m² is a mass in millionths of a gram.
    """
    least = FEWEST_OF_LONG if max(sides) - job.kerf > LONG_MM else FEWEST
    if way.holds is None:
        return least
    mass = area * job.profile.grammage.value * 1e-6
    return max(least, math.ceil(mass / way.holds.value - 1e-9))


def _placed_at_once(
    strokes: tuple[Stroke, ...], asked: dict[int, BridgeWay], ends: LineEnds, job: Job
) -> dict[int, list[float]]:
    """The places of bridges on closed strokes, where there are many and nothing is in their way."""
    closed = [index for index in asked if strokes[index].path.closed]
    if len(closed) < _MANY or job.piece.hide_bridges:
        return {}
    from . import many_bridges

    paths = [strokes[index].path for index in closed]
    ways = [asked[index] for index in closed]
    found = many_bridges.places(paths, ways, ends.on_each(paths), job, fewest)
    return {index: at for index, at in zip(closed, found, strict=True) if at is not None}


@dataclass(frozen=True, slots=True)
class _Asked:
    """A stroke, how it is to be held, and what it offers."""

    stroke: Stroke
    way: BridgeWay
    room: Room


def _bridged(
    stroke: Stroke, way: BridgeWay, ends: LineEnds, job: Job
) -> tuple[list[Stroke], list[Problem]]:
    path = stroke.path
    asked = _Asked(stroke, way, _room(path, way, ends.on(path), job))
    room = asked.room
    found: list[Problem] = []
    if path.closed:
        left, bottom, right, top = path.box()
        least = fewest(way, job, (right - left, top - bottom), abs(path.area))
        places, wanted = places_round(room, least)
        if len(places) < wanted:
            heavy = way.holds is not None and FEWEST_OF_LONG < least == wanted
            found.append(_no_room(asked, job, len(places), wanted, heavy=heavy))
    else:
        places, wanted = places_along(room)
        # What is too short for any needs none: it falls loose nowhere.
        if not places and room.total >= room.gap + 2.0 * way.clear.value:
            found.append(_no_room(asked, job, 0, wanted))
    on_clean = [at for at in places if inside(room.total, at, room.clean)]
    if on_clean:
        first = path.stretch(0.0, on_clean[0]).end if on_clean[0] > 0.0 else path.start
        found.append(_finding("bridge-on-clean-edge", job, asked, first, len(on_clean), wanted))
    return _parted(stroke, places, room.gap), found


def _room(path: Path, way: BridgeWay, ends: list[float], job: Job) -> Room:
    # The tool removes half its kerf beyond both ends of the gap.
    gap = way.length.value + job.kerf
    clear = way.clear.value + gap / 2.0
    total = path.length
    kept = [*corners(path), *ends]
    if not path.closed:
        kept += [0.0, total]
    return Room(
        total=total,
        gap=gap,
        pitch=way.pitch.value,
        taken=[(at - clear, at + clear) for at in kept],
        rounded=[(low - clear, high + clear) for low, high in rounded_corners(path)],
        clean=[(low - gap / 2.0, high + gap / 2.0) for low, high in _clean_edges(path, job)],
    )


def _parted(stroke: Stroke, places: list[float], gap: float) -> list[Stroke]:
    """A stroke in the parts that are left between its bridges."""
    if not places:
        return [stroke]
    path = stroke.path
    if path.closed:
        # One that lies on the first vertex ends as far behind it as it begins before it.
        total = path.length
        onward = [*places[1:], places[0] + total]
        spans = [
            (here + gap / 2.0, there - gap / 2.0)
            for here, there in zip(places, onward, strict=True)
        ]
        spans = [
            (low - total, high - total) if low >= total else (low, high) for low, high in spans
        ]
    else:
        rims = [-gap / 2.0, *places, path.length + gap / 2.0]
        spans = [(here + gap / 2.0, there - gap / 2.0) for here, there in pairwise(rims)]
    return [stroke.along(part) for part in stretches(path, spans)]


def _clean_edges(path: Path, job: Job) -> list[Span]:
    """The stretches of a path that the design wants free of bridges."""
    if not job.piece.hide_bridges:
        return []
    total, within = path.length, edge_reach(job)
    left, bottom, right, top = path.box()
    places = corners(path) if path.closed else [0.0, *corners(path), total]
    found = []
    for edge in job.piece.hide_bridges:
        x, y = edge.start.floats()
        if not (left - within <= x <= right + within and bottom - within <= y <= top + within):
            continue
        if len(edge.vertices) == 1:
            # A single place names the whole edge that it lies on.
            close = nearest(path, edge.start)
            if close.away <= within:
                found.append(_edge_round(close.along, places, total))
            continue
        for segment in edge.rounded().segments:
            ends = (nearest(path, segment.start), nearest(path, segment.end))
            middle = nearest(path, segment.middle)
            if middle.away > within or any(end.away > within for end in ends):
                continue
            low, high = sorted(end.along for end in ends)
            # Of the two ways round between the ends, the one over the middle.
            found.append((low, high) if low <= middle.along <= high else (high, low + total))
    return found


def _edge_round(at: float, places: list[float], total: float) -> Span:
    """The stretch between two corners that holds `at`; without corners the whole path."""
    if not places:
        return (0.0, total)
    before = min((at - corner) % total for corner in places)
    after = min((corner - at) % total for corner in places)
    return (at - before, at + after)


def _no_room(asked: _Asked, job: Job, placed: int, wanted: int, *, heavy: bool = False) -> Problem:
    path = asked.stroke.path
    longest = longest_edge(path)
    if placed == 0 and longest <= asked.way.length.value:
        return _finding(
            "bridge-longer-than-edge", job, asked, path.start, placed, wanted, longest=longest
        )
    holds = asked.way.holds
    why = f", for one carries {holds.value:g} g{written(holds)}" if heavy and holds else ""
    return _finding("bridges-no-room", job, asked, path.start, placed, wanted, why=why)


def _finding(
    code: str,
    job: Job,
    asked: _Asked,
    at: Point,
    placed: int,
    wanted: int,
    *,
    longest: float | None = None,
    why: str = "",
) -> Problem:
    length = asked.way.length
    return job.problem(
        code,
        at=at.floats(),
        place=place_of(job.piece, asked.stroke.role, asked.stroke.source),
        measure_mm=longest,
        piece_name=job.piece.name,
        line=named(asked.stroke),
        placed=placed,
        wanted=wanted,
        length=mm(length.value),
        written=written(length),
        longest="" if longest is None else mm(longest),
        hold=hold_down(job.tool),
        why=why,
    )
