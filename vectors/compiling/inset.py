"""This module is the pass that stops scores short of edges, slits and relief holes.

A score that runs into a cut starts a tear there, so its end keeps the profile's
inset from outlines, openings and slits.  Where folds meet inside the piece no
end is shortened, nor where a slit merely ends on a fold that runs on: a fold
that is scored now from the front and now from the back runs on too.  A relief
hole is a cut like any other, and parts even a fold that runs on.

The ends of a double score keep the inset with both of its lines.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from ..drawing import Drawing, Role, Stroke
from ..geometry import Path, Point, Segment, Vector
from ..geometry.boxes import overlapping
from ..geometry.meetings import share_of
from ..geometry.nearest import nearest
from ..measures.exact import MEETS_MM
from ..problems import Problem
from .job import Job, Passed
from .slit_ends import leaves_circle
from .strokes import OUTLINE, place_of
from .wording import mm, written

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
    """A segment of the piece, of which stroke's line, and what that line is.

    `gaps` are how far before either end of the segment a cut stops, in mm.
    """

    segment: Segment
    owner: int
    role: Role
    source: str
    gaps: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class _Ray:
    """A direction in which a line leaves a place; `inner` where the place is inside its run.

    `gap` is how far from the place a cut begins, in mm.
    """

    way: Vector
    owner: int
    role: Role
    source: str
    inner: bool
    gap: float


@dataclass(frozen=True, slots=True)
class _Part:
    """A stretch of a score, as distances along it, with its insets and without any."""

    start: float
    end: float
    bare_start: float
    bare_end: float


def shorten(drawing: Drawing, job: Job) -> Passed:
    """The drawing with its folds' scores ending the profile's inset before cuts.

    A score that would be left too short to fold on is kept in full, and told.
    """
    score = job.way.score
    if score is None:
        return Passed(drawing)
    inset, shift = score.inset.value, score.shift.value
    holes = _holes(drawing)
    folds = [index for index, stroke in enumerate(drawing.strokes) if stroke.role is Role.FOLD]
    if not folds or (inset == shift == 0.0 and not holes):
        return Passed(drawing)
    opened = [index for index in folds if not drawing.strokes[index].path.closed]
    ends = [(index, at) for index in opened for at in _ends(drawing.strokes[index].path)]
    lines = _lines(drawing, job)
    meeting = dict(zip(ends, _meeting(lines, [at for _, at in ends]), strict=True))
    pierced = _pierced(lines, drawing, holes)
    found: list[Problem] = []
    shortened: dict[int, list[Stroke]] = {}
    for index in folds:
        stroke = drawing.strokes[index]
        path = stroke.path
        trims = (0.0, 0.0)
        if not path.closed:
            away = (path.segments[0].direction(0.0), -path.segments[-1].direction(1.0))
            trims = (
                _trim(away[0], index, stroke.source, meeting[index, path.start], inset, shift),
                _trim(away[1], index, stroke.source, meeting[index, path.end], inset, shift),
            )
        along = pierced.get(index, [])
        if trims == (0.0, 0.0) and not along:
            continue
        if path.closed:
            # Opened at a hole, so that it is a run from hole to hole.
            first, length = along[0], path.length
            path = path.stretch(first, first + length)
            along = [*(at - first for at in along), length]
        shortened[index] = []
        for part in _parts(path, trims, along, _radius(job), inset):
            start, end = part.start, part.end
            if end - start < SHORTEST_SCORE_MM:
                start, end = part.bare_start, part.bare_end
                # What lies in a hole altogether is gone with it.
                if end - start <= MEETS_MM:
                    continue
                found.append(_too_short(job, stroke, path.stretch(start, end)))
            whole = start == 0.0 and end == path.length
            kept = path if whole else path.stretch(start, end)
            shortened[index].append(replace(stroke, path=kept))
    strokes = [
        kept
        for index, stroke in enumerate(drawing.strokes)
        for kept in shortened.get(index, [stroke])
    ]
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _ends(path: Path) -> tuple[Point, Point]:
    return path.start, path.end


def _holes(drawing: Drawing) -> list[Point]:
    """The middles of all relief holes."""
    return [s.path.segments[0].centre for s in drawing.strokes if s.role is Role.RELIEF]


def _radius(job: Job) -> float:
    """The radius of a relief hole as it will be, in mm."""
    size = job.way.slit.size
    return 0.0 if size is None else size.value / 2.0


def _pierced(lines: list[_Line], drawing: Drawing, holes: list[Point]) -> dict[int, list[float]]:
    """How far along which folds' strokes the middles of holes lie, in mm."""
    folds = [line for line in lines if line.role is Role.FOLD]
    boxes = [line.segment.box() for line in folds]
    boxes += [(*at.floats(), *at.floats()) for at in holes]
    found: dict[int, set[int]] = {}
    for i, j in overlapping(boxes, MEETS_MM):
        if i < len(folds) <= j:
            at = holes[j - len(folds)]
            if share_of(folds[i].segment, at, MEETS_MM) is not None:
                found.setdefault(folds[i].owner, set()).add(j - len(folds))
    return {
        index: sorted(nearest(drawing.strokes[index].path, holes[hole]).along for hole in here)
        for index, here in found.items()
    }


def _parts(
    path: Path, trims: tuple[float, float], along: list[float], radius: float, inset: float
) -> list[_Part]:
    """What is left of an open score between the insets at its ends and those at holes."""
    length = path.length
    starts, ends = [(trims[0], 0.0)], [(length - trims[1], length)]
    for at in along:
        if at > MEETS_MM:
            back = path.stretch(0.0, at).reversed
            stop = at - leaves_circle(back, radius + inset), at - leaves_circle(back, radius)
            if at < length - MEETS_MM:
                ends.insert(-1, stop)
            else:
                ends[-1] = (min(ends[-1][0], stop[0]), stop[1])
        if at < length - MEETS_MM:
            on = path.stretch(at, length)
            start = at + leaves_circle(on, radius + inset), at + leaves_circle(on, radius)
            if at > MEETS_MM:
                starts.append(start)
            else:
                starts[0] = (max(starts[0][0], start[0]), start[1])
    return [
        _Part(start, end, bare_start, bare_end)
        for (start, bare_start), (end, bare_end) in zip(starts, ends, strict=True)
    ]


def _lines(drawing: Drawing, job: Job) -> list[_Line]:
    """All segments that a score may end on: folds, and cuts where the edges will be.

    A slit counts with all its length as designed, and with the gaps at its ends.
    """
    slits = {slit.name: slit.path.rounded() for slit in job.piece.slits}
    found: list[_Line] = []
    for index, stroke in enumerate(drawing.strokes):
        if stroke.role not in (Role.FOLD, Role.SLIT):
            continue
        path, gaps = stroke.path, (0.0, 0.0)
        if stroke.role is Role.SLIT and not path.closed:
            path = slits.get(stroke.source, path)
            gaps = (
                path.start.distance(stroke.path.start),
                path.end.distance(stroke.path.end),
            )
        last = len(path.segments) - 1
        found += [
            _Line(
                segment,
                index,
                stroke.role,
                stroke.source,
                (gaps[0] if place == 0 else 0.0, gaps[1] if place == last else 0.0),
            )
            for place, segment in enumerate(path.segments)
        ]
    cuts = [(Role.OUTLINE, OUTLINE, job.piece.outline)]
    cuts += [(Role.OPENING, opening.name, opening.path) for opening in job.piece.openings]
    # A cut that has no stroke of its own gets a number that no stroke has.
    found += [
        _Line(segment, -1 - index, role, name)
        for index, (role, name, path) in enumerate(cuts)
        for segment in path.rounded().segments
    ]
    return [line for line in found if line.segment.chord > 0.0]


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
    for way, leaves, gap in ((1.0, share < 1.0, line.gaps[0]), (-1.0, share > 0.0, line.gaps[1])):
        if leaves:
            heading = line.segment.direction(share) * way
            found.append(
                _Ray(heading, line.owner, line.role, line.source, inner, 0.0 if inner else gap)
            )
    return found


def _trim(
    way: Vector, owner: int, source: str, rays: list[_Ray], inset: float, shift: float
) -> float:
    """How much a score loses at the end from which it runs in the direction `way`, in mm."""
    cuts = [ray for ray in rays if ray.role is not Role.FOLD]
    if not cuts:
        return 0.0
    others = [ray for ray in rays if ray.role is Role.FOLD and ray.owner != owner]
    # The next run of the same fold, scored from the other face.
    if any(ray.source == source and not ray.inner for ray in others):
        return 0.0
    slits_end = all(
        ray.role is Role.SLIT
        and not ray.inner
        # A vertex inside a slit has two of its rays, its end only one.
        and sum(other.owner == ray.owner for other in cuts) == 1
        for ray in cuts
    )
    if slits_end and any(_angle(-way, ray.way) < _STRAIGHT_RAD for ray in others):
        return 0.0
    trim = max(_trim_beside(_angle(way, ray.way), inset, shift, ray.gap) for ray in cuts)
    # Double scores of two folds that end together must not cross.
    return max([trim, *(_trim_apart(_angle(way, ray.way), shift) for ray in others)])


def _angle(first: Vector, second: Vector) -> float:
    """The angle between two directions, in radians, 0 to pi."""
    return math.atan2(abs(float(first.cross(second))), float(first.dot(second)))


def _trim_beside(angle: float, inset: float, shift: float, gap: float) -> float:
    """How much to lose so that the score's end is `inset` away from a cut at `angle` to it.

    The cut begins `gap` from where the two meet; of a double score both lines
    keep the distance.
    """
    return max(_trim_of_line(angle, inset, aside, gap) for aside in {0.0, shift})


def _trim_of_line(angle: float, inset: float, aside: float, gap: float) -> float:
    """The same for one line that runs `aside` from the fold, on the side of the cut."""
    cos, sin = math.cos(angle), math.sin(angle)
    if angle < math.pi / 2.0:
        # Abreast of the cut, its distance is that from the endless line of it.
        sin = max(sin, 1e-9)
        abreast = min(inset / sin, MOST_INSETS * inset) + aside * cos / sin
        if abreast * cos + aside * sin >= gap:
            return abreast
    # Past the cut, the distance is that from its end.
    square = inset * inset - (aside - gap * sin) ** 2
    return max(0.0, gap * cos + math.sqrt(square)) if square > 0.0 else 0.0


def _trim_apart(angle: float, shift: float) -> float:
    """How far from a place the double scores of two folds that leave it no longer cross."""
    return 0.0 if shift == 0.0 else shift / max(math.tan(angle / 2.0), 1e-9)


def _too_short(job: Job, stroke: Stroke, kept: Path) -> Problem:
    score = job.way.score
    if score is None:
        raise ValueError("a score needs a way to score")
    length = kept.length
    return job.problem(
        "score-too-short",
        at=kept.stretch(0.0, length / 2.0).end.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=length,
        piece_name=job.piece.name,
        line=stroke.source,
        length=mm(length),
        inset=mm(score.inset.value),
        written=written(score.inset),
    )
