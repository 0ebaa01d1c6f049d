"""This module is the pass that lets no stroke lie on another one: it merges them or refuses them.

A line that is cut twice tears paper, and scorches under a laser; a score on a
cut is no score.  Straight strokes are compared exactly, in whole micrometres;
arcs by how far they part over the stretch that they share.  The pass stands
before all that divides strokes, so that whole lines are merged; what comes after
it only takes stretches away, or adds lines of its own beside the piece.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from ..design.pieces import Sense
from ..drawing import Drawing, Layer, Role, Stroke
from ..geometry import Path, Point, Segment, union_box
from ..geometry.boxes import overlapping
from ..geometry.meetings import share_of
from ..geometry.nearest import nearest_on
from ..measures.exact import MEETS_MM, OVERLAP_UM, SNAPPED_UM
from ..problems import Problem, Severity
from .job import Job, Passed
from .joining import joined, left_over
from .strokes import place_of
from .wording import named

UM_PER_MM = 1000

# Lines that differ in direction by more than 1 in this many cross; they do not overlap.
_PARALLEL = 50

# From so many segments on they are looked at in whole columns.
_MANY = 100

# What may be merged: a line without a side that is kept.
_MERGED = (Role.MARK, Role.FOLD, Role.SLIT, Role.RELIEF)

_CUT_TO_SIZE = (Role.OUTLINE, Role.OPENING)

# A stretch of a segment, as shares (0 to 1) of its length.
Shares = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Run:
    """A segment of a stroke, with the numbers of both."""

    stroke: int
    number: int
    segment: Segment


def settle(drawing: Drawing, job: Job) -> Passed:
    """The drawing with strokes that lie on each other merged, where they are of one kind.

    Of one kind are slits, marks, relief holes or folds of one sense, with the same
    work from the same side: the later one loses what it shares, and what is left
    of it goes on from the first, under the first one's name.  All others stay
    as they are, with a finding that stops.

    Outlines and openings were moved by half the kerf, and a tool eats as much
    to both sides: strokes that are so near to one another lie on each other too.
    """
    strokes = drawing.strokes
    refused: dict[frozenset[tuple[Role, str]], Problem] = {}
    merged: dict[tuple[int, int], Problem] = {}
    shared: dict[int, list[tuple[float, float]]] = {}
    onto: dict[int, set[int]] = {}
    for first, second, stretches in _meeting(strokes, job):
        pair = strokes[first.stroke], strokes[second.stroke]
        low, high = stretches[0]
        at = second.segment.at((low + high) / 2.0)
        if not _of_one_kind(pair, at, job):
            names = frozenset((stroke.role, stroke.source) for stroke in pair)
            if names not in refused and not _through_letters(pair, at, strokes, job):
                refused[names] = _refused(job, pair, at)
            continue
        numbers = first.stroke, second.stroke
        if numbers not in merged:
            merged[numbers] = _merged(job, pair, at)
        before = sum(part.length for part in pair[1].path.segments[: second.number])
        length = second.segment.length
        shared.setdefault(second.stroke, []).extend(
            (before + low * length, before + high * length) for low, high in stretches
        )
        onto.setdefault(second.stroke, set()).add(first.stroke)
    findings = (*refused.values(), *merged.values())
    if not shared:
        return Passed(drawing, findings)
    return Passed(drawing.with_strokes(_without(strokes, shared, onto)), findings)


def _through_letters(
    pair: tuple[Stroke, Stroke], at: Point, strokes: tuple[Stroke, ...], job: Job
) -> bool:
    """Whether a line runs through a text, which the pass of the texts tells of it as a whole.

    A line that only touches the box about the text is not told there.
    """
    texts = {mark.name for mark in job.piece.marks if mark.text is not None}
    x, y = at.floats()
    for stroke in pair:
        if stroke.role is Role.MARK and stroke.source in texts:
            left, bottom, right, top = union_box(
                one.path.box()
                for one in strokes
                if (one.role, one.source) == (stroke.role, stroke.source)
            )
            if left + MEETS_MM < x < right - MEETS_MM and bottom + MEETS_MM < y < top - MEETS_MM:
                return True
    return False


def _meeting(
    strokes: tuple[Stroke, ...], job: Job
) -> Iterator[tuple[_Run, _Run, tuple[Shares, ...]]]:
    """Two segments that lie on each other, in order, and the stretches of the second that do."""
    half = round(
        max(job.kerf, 0.0 if job.way.kerf_y is None else job.way.kerf_y.value) / 2.0 * UM_PER_MM
    )
    for first, second in _near(strokes, (2 * half + SNAPPED_UM) / UM_PER_MM):
        pair = strokes[first.stroke], strokes[second.stroke]
        if pair[0].side is not pair[1].side and all(one.layer is Layer.MARK for one in pair):
            # Lines drawn on two faces do not meet.
            continue
        moved = 0
        # Sides of one edge were told apart when it was moved, however near they came.
        if (pair[0].role, pair[0].source) != (pair[1].role, pair[1].source):
            moved = sum(stroke.role in _CUT_TO_SIZE for stroke in pair)
        stretches = shared_stretches(second.segment, first.segment, moved * half + SNAPPED_UM)
        if stretches:
            yield first, second, stretches


def _near(strokes: tuple[Stroke, ...], reach: float) -> Iterator[tuple[_Run, _Run]]:
    """Segments that may lie on each other within `reach` mm, each pair once and in order."""
    paths = [stroke.path for stroke in strokes]
    if sum(len(path.vertices) for path in paths) >= _MANY:
        from . import many_overlaps

        for first, second in many_overlaps.near(paths, reach):
            yield _Run(*first), _Run(*second)
        return
    runs = [
        _Run(index, number, segment)
        for index, path in enumerate(paths)
        for number, segment in enumerate(path.segments)
        if segment.chord > 0.0
    ]
    for i, j in sorted(overlapping([run.segment.box() for run in runs], reach)):
        yield runs[i], runs[j]


def shared_stretches(segment: Segment, other: Segment, reach: int) -> tuple[Shares, ...]:
    """The stretches of `segment` that lie on `other` within `reach` micrometres.

    Two lines share at most one stretch, two arcs may share two.  Ends that only
    meet share none.
    """
    if segment.is_line and other.is_line:
        found = _line_on_line(segment, other, reach)
        return () if found is None else (found,)
    return tuple(_arc_on_arc(segment, other, reach))


def _snapped(segment: Segment) -> tuple[int, int, int, int]:
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    return (
        round(x0 * UM_PER_MM),
        round(y0 * UM_PER_MM),
        round(x1 * UM_PER_MM),
        round(y1 * UM_PER_MM),
    )


def _line_on_line(segment: Segment, other: Segment, reach: int) -> Shares | None:
    ax0, ay0, ax1, ay1 = _snapped(segment)
    bx0, by0, bx1, by1 = _snapped(other)
    dx, dy, ex, ey = ax1 - ax0, ay1 - ay0, bx1 - bx0, by1 - by0
    square = dx * dx + dy * dy
    # Along the first line, scaled by its length, and across it likewise.
    t0 = (bx0 - ax0) * dx + (by0 - ay0) * dy
    t1 = (bx1 - ax0) * dx + (by1 - ay0) * dy
    c0 = dx * (by0 - ay0) - dy * (bx0 - ax0)
    c1 = dx * (by1 - ay0) - dy * (bx1 - ax0)
    close = max(c0 * c0, c1 * c1) <= SNAPPED_UM**2 * square
    if not close and (_PARALLEL * (dx * ey - dy * ex)) ** 2 > square * (ex * ex + ey * ey):
        return None
    low, high = max(0, min(t0, t1)), min(square, max(t0, t1))
    if high <= low or (high - low) ** 2 <= OVERLAP_UM**2 * square:
        return None
    # The distance changes evenly along the stretch, so its ends decide.
    for t in (low, high):
        if (c0 * (t1 - t) + c1 * (t - t0)) ** 2 > reach * reach * square * (t1 - t0) ** 2:
            return None
    return low / square, high / square


def _arc_on_arc(segment: Segment, other: Segment, reach: int) -> Iterator[Shares]:
    within = reach / UM_PER_MM
    shares = [
        share
        for share, end in ((0.0, segment.start), (1.0, segment.end))
        if share_of(other, end, within) is not None
    ]
    for end in (other.start, other.end):
        share = share_of(segment, end, within)
        if share is not None:
            shares.append(share)
    shares.sort()
    for low, high in pairwise(shares):
        if (high - low) * segment.length * UM_PER_MM <= max(OVERLAP_UM, 2 * reach):
            continue
        # Curves that share two places still part between them, unless they are one.
        between = (segment.at(low + (high - low) * part) for part in (0.25, 0.5, 0.75))
        if all(share_of(other, at, within) is not None for at in between):
            yield low, high


def _of_one_kind(pair: tuple[Stroke, Stroke], at: Point, job: Job) -> bool:
    """Whether two strokes may be worked as one where they share a place."""
    first, second = pair
    return (
        first.role is second.role
        and first.role in _MERGED
        and (first.layer, first.work, first.side) == (second.layer, second.work, second.side)
        and (
            first.role is not Role.FOLD
            or _sense(job, first.source, at) is _sense(job, second.source, at)
        )
    )


def _sense(job: Job, source: str, at: Point) -> Sense | None:
    """The sense of a fold at a place on it; None where the piece has no fold of that name."""
    for fold in job.piece.folds:
        if fold.name == source:
            segments = [segment for segment in fold.path.rounded().segments if segment.chord > 0.0]
            away = [nearest_on(segment, at)[0] for segment in segments]
            return fold.senses[away.index(min(away))] if away else None
    return None


def _without(
    strokes: tuple[Stroke, ...],
    shared: dict[int, list[tuple[float, float]]],
    onto: dict[int, set[int]],
) -> tuple[Stroke, ...]:
    """The strokes, the later ones without what they share with earlier ones and joined to these."""
    made: dict[int, list[Path]] = {}
    for group in _groups(onto):
        parts: list[tuple[int, Path]] = []
        for index in group:
            path = strokes[index].path
            if index not in shared:
                parts.append((index, path))
                continue
            for rest in left_over(path, shared[index]):
                _take_up(rest, index, parts)
        for index in group:
            made[index] = [path for number, path in parts if number == index]
    return tuple(
        replace(stroke, path=path)
        for index, stroke in enumerate(strokes)
        for path in made.get(index, [stroke.path])
    )


def _groups(onto: dict[int, set[int]]) -> list[list[int]]:
    """The numbers of strokes that lie on each other, directly or by way of others, in order."""
    group_of: dict[int, set[int]] = {}
    for index, others in onto.items():
        group = {index, *others}
        for other in tuple(group):
            group |= group_of.get(other, set())
        for other in group:
            group_of[other] = group
    return [sorted(group) for group in {id(group): group for group in group_of.values()}.values()]


def _take_up(rest: Path, index: int, parts: list[tuple[int, Path]]) -> None:
    """Adds what is left of a stroke to the parts of its group, joined to all it goes on from.

    A part bears the number of the first stroke that it was made from.
    """
    place = 0
    while place < len(parts):
        number, path = parts[place]
        longer = joined(path, rest)
        if longer is None:
            place += 1
            continue
        # What has grown may now reach a part that it did not reach before.
        rest, index, place = longer, min(index, number), 0
        parts.remove((number, path))
    parts.append((index, rest))


def _refused(job: Job, strokes: tuple[Stroke, Stroke], at: Point) -> Problem:
    first, second = strokes
    drawn = any(stroke.layer is Layer.MARK for stroke in strokes)
    return job.problem(
        "overlapping-strokes",
        at=at.floats(),
        place=place_of(job.piece, second.role, second.source),
        # A pencil line on a cut does no harm to the paper.
        severity=Severity.WARN if drawn else None,
        piece_name=job.piece.name,
        first=named(first),
        second=named(second),
    )


def _merged(job: Job, strokes: tuple[Stroke, Stroke], at: Point) -> Problem:
    first, second = strokes
    return job.problem(
        "overlap-merged",
        at=at.floats(),
        place=place_of(job.piece, second.role, second.source),
        piece_name=job.piece.name,
        first=named(first),
        second=named(second),
    )
