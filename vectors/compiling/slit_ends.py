"""This module is the pass that stops slits short, or ends them in a round relief hole.

The end of a slit is where a tear starts.  Some stock wants the slit to stop
before it, some a small hole that spreads the pull.  A slit that is torn on
purpose keeps its ends, and only real ends count: none where slits meet, nor on
the outline or an opening.

A hole is drawn as a circle that is smaller by half the kerf; where that differs
by direction, by half the larger one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from foldwright.profiles.model import Figure, SlitEnd

from ..design.pieces import How
from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Path, Point, Segment, circle
from ..geometry.boxes import overlapping
from ..geometry.meetings import circle_circle, line_circle, share_of
from ..geometry.nearest import nearest_on
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .job import Job, Passed
from .strokes import OUTLINE, place_of
from .wording import line_name, mm, written

# What must be left of a slit, in mm, to be one; common practice, no source.
SHORTEST_SLIT_MM = 1.0


@dataclass(frozen=True, slots=True)
class _End:
    """An end of a slit: its start where `first`, else its last place."""

    slit: str
    path: Path
    first: bool

    @property
    def at(self) -> Point:
        return self.path.start if self.first else self.path.end

    @property
    def inwards(self) -> Path:
        """The slit run from this end."""
        return self.path if self.first else self.path.reversed


@dataclass(frozen=True, slots=True)
class _Near:
    """A line that comes near to an end, and how far off it is in mm."""

    role: Role
    name: str
    away: float


def treat(drawing: Drawing, job: Job) -> Passed:
    """The drawing with the ends of its slits as the profile wants them.

    A slit that would be left too short, or whose hole has no room, is cut in full
    at that end, and told.
    """
    way = job.way.slit
    if way.end is SlitEnd.FULL or way.size is None:
        return Passed(drawing)
    torn = {slit.name for slit in job.piece.slits if slit.how is How.TEAR}
    strokes = {
        stroke.source: stroke
        for stroke in drawing.strokes
        if stroke.role is Role.SLIT and stroke.source not in torn and not stroke.path.closed
    }
    ends = [_End(name, s.path, first) for name, s in strokes.items() for first in (True, False)]
    if way.end is SlitEnd.SHORT:
        near = _near(ends, job, MEETS_MM)
        kept = [end for end, lines in zip(ends, near, strict=True) if _real(end, lines)]
        return _shortened(drawing, job, kept, way.size)
    radius = way.size.value / 2.0
    near = _near(ends, job, radius + MEETS_MM)
    kept = []
    found: list[Problem] = []
    beside = _beside(ends, 2.0 * radius)
    for end, lines, other in zip(ends, near, beside, strict=True):
        if not _real(end, lines):
            continue
        blocked = _blocked(end, lines, radius) or (
            None if other is None else f"the hole of {line_name(Role.SLIT, other)}"
        )
        if blocked is None:
            kept.append(end)
        else:
            found.append(_no_room(job, end, way.size, blocked))
    if kept and 2.0 * radius <= job.kerf:
        found.append(_no_wider(job, kept[0], way.size))
        return Passed(drawing, tuple(found))
    passed = _shortened(drawing, job, kept, way.size)
    return Passed(passed.drawing, (*found, *passed.findings))


def _shortened(drawing: Drawing, job: Job, ends: list[_End], size: Figure) -> Passed:
    """The drawing with slits that stop at these ends, and holes there where they are wanted."""
    hole = job.way.slit.end is SlitEnd.HOLE
    radius = size.value / 2.0
    by_slit: dict[str, list[_End]] = {}
    for end in ends:
        by_slit.setdefault(end.slit, []).append(end)
    strokes: list[Stroke] = []
    found: list[Problem] = []
    for stroke in drawing.strokes:
        here = by_slit.get(stroke.source, []) if stroke.role is Role.SLIT else []
        if not here:
            strokes.append(stroke)
            continue
        length = stroke.path.length
        lost = {
            end.first: leaves_circle(end.inwards, radius) if hole else size.value for end in here
        }
        start, stop = lost.get(True, 0.0), length - lost.get(False, 0.0)
        if stop - start < SHORTEST_SLIT_MM:
            found.append(_too_short(job, stroke, size))
            strokes.append(stroke)
            continue
        if hole:
            strokes += [_relief(stroke, end.at, radius - job.kerf / 2.0) for end in here]
        strokes.append(replace(stroke, path=stroke.path.stretch(start, stop)))
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _relief(slit: Stroke, at: Point, radius: float) -> Stroke:
    return replace(
        slit, path=circle(at, radius), layer=Layer.CUT, work=Work.THROUGH, role=Role.RELIEF
    )


def leaves_circle(path: Path, radius: float) -> float:
    """How far along a path it first leaves the circle of `radius` mm about its start.

    The whole length where it never does.
    """
    centre = path.start
    passed = 0.0
    for segment in path.segments:
        if segment.chord > 0.0:
            # The centre of an almost straight arc is too far away to reckon from, and its
            # chord is as good.
            straight = segment.chord * abs(segment.bulge) / 2.0 < MEETS_MM
            run = Segment(segment.start, segment.end) if straight else segment
            shares = [
                share
                for at in _on_circle(run, centre, radius)
                if (share := share_of(run, at, MEETS_MM)) is not None
            ]
            if shares:
                return passed + min(shares) * segment.length
        passed += segment.length
    return passed


def _on_circle(segment: Segment, centre: Point, radius: float) -> list[Point]:
    if segment.is_line:
        return line_circle(segment.start, segment.end, centre, radius)
    return circle_circle(segment.centre, segment.radius, centre, radius)


def _near(ends: list[_End], job: Job, reach: float) -> list[list[_Near]]:
    """For each end the lines of the design that come within `reach` mm of it.

    Of the slit itself only what lies beyond that reach along it counts.
    """
    piece = job.piece
    lines: list[tuple[Role, str, Path]] = [(Role.OUTLINE, OUTLINE, piece.outline)]
    lines += [(Role.OPENING, opening.name, opening.path) for opening in piece.openings]
    lines += [(Role.FOLD, fold.name, fold.path) for fold in piece.folds]
    lines += [(Role.SLIT, slit.name, slit.path) for slit in piece.slits]
    whole = [
        (role, name, segment)
        for role, name, path in lines
        for segment in path.rounded().segments
        if segment.chord > 0.0
    ]
    boxes = [segment.box() for _, _, segment in whole]
    boxes += [(*end.at.floats(), *end.at.floats()) for end in ends]
    found: list[list[_Near]] = [[] for _ in ends]
    for i, j in overlapping(boxes, reach):
        if i < len(whole) <= j:
            role, name, segment = whole[i]
            end = ends[j - len(whole)]
            if (role, name) == (Role.SLIT, end.slit):
                continue
            away, _ = nearest_on(segment, end.at)
            if away <= reach:
                found[j - len(whole)].append(_Near(role, name, away))
    for end, near in zip(ends, found, strict=True):
        out = leaves_circle(end.inwards, reach) + MEETS_MM
        length = end.path.length
        if out < length:
            beyond = end.inwards.stretch(out, length)
            away = min((nearest_on(s, end.at)[0] for s in beyond.segments), default=math.inf)
            if away <= reach - MEETS_MM:
                near.append(_Near(Role.SLIT, end.slit, away))
    return found


def _real(end: _End, near: list[_Near]) -> bool:
    """Whether a cut ends in paper there, and does not run into another one or itself."""
    return all(line.role is Role.FOLD or line.away > MEETS_MM for line in near)


def _blocked(end: _End, near: list[_Near], radius: float) -> str | None:
    """What a hole would reach: a cut, or a fold that does not meet the slit in its end."""
    reached = [line for line in near if line.away > MEETS_MM and line.away < radius + MEETS_MM]
    if not reached:
        return None
    first = min(reached, key=lambda line: line.away)
    if (first.role, first.name) == (Role.SLIT, end.slit):
        return "the slit itself"
    return line_name(first.role, first.name)


def _beside(ends: list[_End], reach: float) -> list[str | None]:
    """For each end the slit of another end that lies within `reach` mm of it, if there is one."""
    found: list[str | None] = [None] * len(ends)
    boxes = [(*end.at.floats(), *end.at.floats()) for end in ends]
    for i, j in overlapping(boxes, reach):
        away = ends[i].at.distance(ends[j].at)
        if MEETS_MM < away <= reach and ends[i].slit != ends[j].slit:
            found[i], found[j] = ends[j].slit, ends[i].slit
    return found


def _no_room(job: Job, end: _End, size: Figure, blocked: str) -> Problem:
    return job.problem(
        "relief-hole-no-room",
        at=end.at.floats(),
        place=place_of(job.piece, Role.SLIT, end.slit),
        measure_mm=size.value,
        piece_name=job.piece.name,
        line=end.slit,
        size=mm(size.value),
        other=blocked,
        written=written(size),
    )


def _no_wider(job: Job, end: _End, size: Figure) -> Problem:
    return job.problem(
        "relief-hole-too-small",
        at=end.at.floats(),
        place=size.place,
        measure_mm=size.value,
        piece_name=job.piece.name,
        line=end.slit,
        size=mm(size.value),
        kerf=mm(job.kerf),
    )


def _too_short(job: Job, slit: Stroke, size: Figure) -> Problem:
    path = slit.path
    return job.problem(
        "slit-too-short",
        at=path.stretch(0.0, path.length / 2.0).end.floats(),
        place=place_of(job.piece, Role.SLIT, slit.source),
        measure_mm=path.length,
        piece_name=job.piece.name,
        line=slit.source,
        length=mm(path.length),
        size=mm(size.value),
        written=written(size),
    )
