"""This module is the pass that stops scores short of edges and slits.

A score that runs into a cut starts a tear there, so its end keeps the profile's
inset from outlines, openings and slits.  Where folds meet inside the piece no
end is shortened, nor where a slit merely ends on a fold that runs on.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..drawing import Drawing, Role, Stroke
from ..geometry import Path, Point, Segment, Vector
from ..geometry.boxes import overlapping
from ..geometry.meetings import share_of
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .job import Job, Passed
from .strokes import place_of
from .wording import mm

# What must be left of a score, in mm, for the paper to take it as a fold line;
# common practice, no source.
SHORTEST_SCORE_MM = 3.0

# A score that meets an edge at a slant keeps its distance from the edge by
# stopping earlier, but by no more than this many insets.
MOST_INSETS = 4.0

# Two folds that leave a place within this angle of straight on are one line.
_STRAIGHT_RAD = math.radians(1.0)


@dataclass(frozen=True, slots=True)
class _Line:
    """A segment of the piece, of which stroke's line, and whether that line is a slit or a fold."""

    segment: Segment
    owner: int
    role: Role


@dataclass(frozen=True, slots=True)
class _Ray:
    """A direction in which a line leaves a place; `inner` where the place is inside its run."""

    way: Vector
    owner: int
    role: Role
    inner: bool


def shorten(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its folds' scores ending the profile's inset before cuts.

    A score that would be left too short to fold on is kept in full, and told.
    """
    inset = 0.0 if job.way.score is None else job.way.score.inset.value
    if inset == 0.0:
        return Passed(drawing)
    folds = [
        index
        for index, stroke in enumerate(drawing.strokes)
        if stroke.role is Role.FOLD and not stroke.path.closed
    ]
    ends = [(index, at) for index in folds for at in _ends(drawing.strokes[index].path)]
    meeting = _meeting(_lines(drawing, job), [at for _, at in ends])
    strokes = list(drawing.strokes)
    found: list[Problem] = []
    for place, index in enumerate(folds):
        stroke = strokes[index]
        segments = stroke.path.segments
        before = _trim(segments[0].direction(0.0), index, meeting[2 * place], inset)
        after = _trim(-segments[-1].direction(1.0), index, meeting[2 * place + 1], inset)
        if before == after == 0.0:
            continue
        length = stroke.path.length
        if length < before + after + SHORTEST_SCORE_MM:
            found.append(_too_short(job, stroke, length, inset))
            continue
        strokes[index] = replace(stroke, path=stroke.path.stretch(before, length - after))
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _ends(path: Path) -> tuple[Point, Point]:
    return path.start, path.end


def _lines(drawing: Drawing, job: Job) -> list[_Line]:
    """All segments that a score may end on: folds, and cuts where the edges will be."""
    paths: list[tuple[int, Role, Path]] = [
        (index, stroke.role, stroke.path)
        for index, stroke in enumerate(drawing.strokes)
        if stroke.role in (Role.FOLD, Role.SLIT)
    ]
    cuts = [(Role.OUTLINE, job.piece.outline.rounded())]
    cuts += [(Role.OPENING, opening.path.rounded()) for opening in job.piece.openings]
    # A cut that has no stroke of its own gets a number that no stroke has.
    paths += [(-1 - index, role, path) for index, (role, path) in enumerate(cuts)]
    return [
        _Line(segment, index, role)
        for index, role, path in paths
        for segment in path.segments
        if segment.chord > 0.0
    ]


def _meeting(lines: list[_Line], places: list[Point]) -> list[list[_Ray]]:
    """For each place the directions in which lines leave it."""
    found: list[list[_Ray]] = [[] for _ in places]
    boxes = [line.segment.box() for line in lines]
    count = len(boxes)
    boxes += [(*at.floats(), *at.floats()) for at in places]
    for i, j in overlapping(boxes, MEETS_MM):
        if i < count <= j:
            line = lines[i]
            share = share_of(line.segment, places[j - count], MEETS_MM)
            if share is not None:
                found[j - count] += _rays(line, share)
    return found


def _rays(line: _Line, share: float) -> list[_Ray]:
    inner = 0.0 < share < 1.0
    found = []
    if share < 1.0:
        found.append(_Ray(line.segment.direction(share), line.owner, line.role, inner))
    if share > 0.0:
        found.append(_Ray(-line.segment.direction(share), line.owner, line.role, inner))
    return found


def _trim(way: Vector, owner: int, rays: list[_Ray], inset: float) -> float:
    """How much a score loses at the end from which it runs in the direction `way`, in mm."""
    cuts = [ray for ray in rays if ray.role is not Role.FOLD]
    if not cuts:
        return 0.0
    slits_end = all(
        ray.role is Role.SLIT
        and not ray.inner
        # A vertex inside a slit has two of its rays, its end only one.
        and sum(other.owner == ray.owner for other in cuts) == 1
        for ray in cuts
    )
    runs_on = any(
        ray.role is Role.FOLD and ray.owner != owner and _angle(-way, ray.way) < _STRAIGHT_RAD
        for ray in rays
    )
    if slits_end and runs_on:
        return 0.0
    return max(_trim_beside(_angle(way, ray.way), inset) for ray in cuts)


def _angle(first: Vector, second: Vector) -> float:
    """The angle between two directions, in radians, 0 to pi."""
    return math.atan2(abs(float(first.cross(second))), float(first.dot(second)))


def _trim_beside(angle: float, inset: float) -> float:
    """How much to lose so that the score's end is `inset` away from a cut at `angle` to it."""
    if angle >= math.pi / 2.0:
        return inset
    return min(inset / max(math.sin(angle), 1e-9), MOST_INSETS * inset)


def _too_short(job: Job, stroke: Stroke, length: float, inset: float) -> Problem:
    middle = stroke.path.stretch(0.0, length / 2.0).end
    return job.problem(
        "score-too-short",
        at=middle.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=length,
        piece_name=job.piece.name,
        line=stroke.source,
        length=mm(length),
        inset=mm(inset),
    )
