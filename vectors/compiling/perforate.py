"""This module is the pass that turns perforations and burned dashes into real short strokes.

Programs ignore dash patterns, so both are drawn as what they are.  Where another
line meets or crosses, a tie is centred: no cut runs through such a place.  A
perforated line has a tie at both ends as well, so that it tears where it should
and not out of the edge.  A line of dashes begins and ends with a burned dash,
for its ends keep the inset from every edge already; where it meets another
line it skips, so that nothing is burned twice.

Cuts are never longer than the profile says, and ties never shorter: of the two
ways to fit a rhythm so, pressed cuts or wider ties, the one that cuts more.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from ..drawing import Drawing, Role, Stroke, Work
from ..geometry import Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import Meeting, meetings
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..problems import Problem
from .job import Job, Passed
from .strokes import place_of
from .wording import mm, named

# A cut pressed below this share of itself is told: such a line hardly tears or folds.
_PRESSED = 0.6


@dataclass(frozen=True, slots=True)
class _Rhythm:
    """`cut` mm of work, `tie` mm of none; `at_ends` where a line begins and ends with a tie."""

    cut: float
    tie: float
    at_ends: bool


def rhythm(
    length: float,
    cut: float,
    tie: float,
    *,
    closed: bool = False,
    crossed: Sequence[float] = (),
    at_ends: bool = True,
) -> list[tuple[float, float]]:
    """Where the cuts lie along a line of `length` mm: pairs of distances from its start.

    `crossed` are the distances at which other lines meet it, each of which gets
    a tie over it; so do the ends of an open line where `at_ends`.  A closed line
    that nothing meets starts within a tie; on one that is crossed the last pair
    may run on past its length.
    """
    places = sorted(crossed)
    half = tie / 2.0
    if closed:
        places = places or [0.0]
        spans = [*pairwise(places), (places[-1], places[0] + length)]
        return [
            (low + start, low + end)
            for low, high in spans
            for start, end in _fitted(high - low, cut, tie, (half, half), (False, False))
        ]
    # What meets a line within half a tie of its end lies in the tie there.
    inner = [at for at in places if half < at < length - half]
    first = max((at + half for at in places if at <= half), default=0.0)
    last = max((length - at + half for at in places if at >= length - half), default=0.0)
    low_end, high_end = (tie, tie) if at_ends else (first, last)
    edges = [0.0, *inner, length]
    found = []
    for index, (low, high) in enumerate(pairwise(edges)):
        ends = low_end if index == 0 else half, high_end if index == len(inner) else half
        free = (at_ends and index == 0), (at_ends and index == len(inner))
        for start, end in _fitted(high - low, cut, tie, ends, free):
            found.append((low + start, low + end))
    return found


def _fitted(
    length: float, cut: float, tie: float, ends: tuple[float, float], free: tuple[bool, bool]
) -> list[tuple[float, float]]:
    """The cuts of one stretch between `ends` mm that are left alone before and behind them.

    Ties between cuts may widen, and those at an end that is `free`; the others
    only where there is none of these.
    """
    rest = length - sum(ends)
    # So many cuts of full length fit, and the rest goes into the ties.
    fewer = max(0, math.floor((rest + tie) / (cut + tie) + ROUNDING_MM))
    # So many fit if they are pressed, with ties as they are.
    more = math.ceil((rest + tie) / (cut + tie) - ROUNDING_MM)
    pressed = (rest - (more - 1) * tie) / more if more > 0 else 0.0
    # A line of dashes is burned up to its ends, where nothing meets it there.
    burned = ends[0] == 0.0, ends[1] == 0.0
    split = all(burned) and fewer == 1 < more and pressed > 0.0
    if split or (more > 0 and pressed * more > fewer * cut):
        count, made, wide, before = more, pressed, tie, ends[0]
    elif fewer > 0:
        spare = rest - fewer * cut - (fewer - 1) * tie
        shares = fewer - 1 + sum(free)
        each = spare / shares if shares else 0.0
        count, made, wide = fewer, cut, tie + each
        ahead = {(True, False): 0.0, (False, True): spare}.get(burned, spare / 2.0)
        before = ends[0] + (each if free[0] else 0.0 if shares else ahead)
    else:
        return []
    return [
        (before + index * (made + wide), before + index * (made + wide) + made)
        for index in range(count)
    ]


def divide(drawing: Drawing, job: Job) -> Passed:
    """The drawing with each perforated or dashed stroke replaced by its cuts.

    A drawn cut is shorter than the finished one by the kerf, since the tool
    removes half of it beyond either end.
    """
    rhythms = [_rhythm_of(stroke, job) for stroke in drawing.strokes]
    wanted = [index for index, found in enumerate(rhythms) if found is not None]
    if not wanted:
        return Passed(drawing)
    crossed = _crossed(drawing, job, wanted)
    strokes: list[Stroke] = []
    found: list[Problem] = []
    for index, (stroke, beat) in enumerate(zip(drawing.strokes, rhythms, strict=True)):
        if beat is None:
            strokes.append(stroke)
            continue
        parts, findings = _divided(stroke, beat, crossed[index], job)
        strokes += parts
        found += findings
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _rhythm_of(stroke: Stroke, job: Job) -> _Rhythm | None:
    if stroke.work is Work.PERFORATED:
        way = job.way.perforation
        return None if way is None else _Rhythm(way.cut.value, way.tie.value, at_ends=True)
    dashes = None if job.way.score is None else job.way.score.dashes
    if dashes is None or stroke.role is not Role.FOLD or stroke.work is not Work.HALF_CUT:
        return None
    return _Rhythm(dashes.burn.value, dashes.skip.value, at_ends=False)


def _divided(
    stroke: Stroke, beat: _Rhythm, crossed: list[float], job: Job
) -> tuple[list[Stroke], list[Problem]]:
    path = stroke.path
    length = path.length
    places = rhythm(
        length, beat.cut, beat.tie, closed=path.closed, crossed=crossed, at_ends=beat.at_ends
    )
    # The tool would join cuts that are no longer than its kerf to nothing at all.
    kept = [(start, end) for start, end in places if end - start > job.kerf]
    if not kept:
        # A single cut whose ties are shorter than the profile says, which is told.
        ends = [
            beat.at_ends or any(abs(at - end) <= beat.tie for at in crossed)
            for end in (0.0, length)
        ]
        kept = [_squeezed(length, beat, ends)]
        made = kept[0][1] - kept[0][0]
        met = any(kept[0][0] < at < kept[0][1] for at in crossed)
        if met:
            return [], [_crowded(job, stroke, len(crossed))]
        if made <= job.kerf:
            return [], [_finding("perforation-too-fine", job, stroke, made)]
    found = []
    made = min(end - start for start, end in kept)
    if made < _PRESSED * beat.cut:
        found.append(_finding("perforation-pressed", job, stroke, made))
    uncut = _longest_uncut(kept, length, closed=path.closed)
    if uncut[1] - uncut[0] > beat.cut + 2.0 * beat.tie + MEETS_MM:
        found.append(_blocked(job, stroke, uncut))
    half = job.kerf / 2.0
    parts = []
    for start, end in kept:
        turn = length if start >= length else 0.0
        cut = path.stretch(start + half - turn, end - half - turn)
        parts.append(replace(stroke, path=cut))
    return parts, found


def _squeezed(length: float, beat: _Rhythm, ends: list[bool]) -> tuple[float, float]:
    """The only cut of a line with no room for its ties: all of it is pressed alike."""
    tie = beat.tie if beat.at_ends else beat.tie / 2.0
    scale = length / (beat.cut + tie * sum(ends))
    start = scale * tie if ends[0] else 0.0
    return start, start + scale * beat.cut


def _longest_uncut(
    places: list[tuple[float, float]], length: float, *, closed: bool
) -> tuple[float, float]:
    """The longest stretch of a line without a cut, as distances along it."""
    gaps = [(before[1], after[0]) for before, after in pairwise(places)]
    if closed:
        gaps.append((places[-1][1], places[0][0] + length))
    else:
        gaps += [(0.0, places[0][0]), (places[-1][1], length)]
    return max(gaps, key=lambda gap: gap[1] - gap[0])


def _crossed(drawing: Drawing, job: Job, wanted: list[int]) -> dict[int, list[float]]:
    """How far along which strokes other lines meet them, in mm.

    Lines count as they were designed, for a score that stops short of a line
    still heads for it, and as they are drawn.
    """
    lines: list[tuple[int, tuple[Role, str], Segment, float]] = []
    for index in wanted:
        passed = 0.0
        stroke = drawing.strokes[index]
        for segment in stroke.path.segments:
            lines.append((index, (stroke.role, stroke.source), segment, passed))
            passed += segment.length
    piece = job.piece
    others = [((Role.FOLD, fold.name), fold.path.rounded()) for fold in piece.folds]
    others += [((Role.SLIT, slit.name), slit.path.rounded()) for slit in piece.slits]
    others += [
        ((stroke.role, stroke.source), stroke.path)
        for stroke in drawing.strokes
        if stroke.role in (Role.FOLD, Role.SLIT, Role.OPENING)
    ]
    segments = [(owner, segment) for owner, path in others for segment in path.segments]
    count = len(lines)
    boxes = [line[2].box() for line in lines] + [segment.box() for _, segment in segments]
    found: dict[int, list[float]] = {index: [] for index in wanted}
    for i, j in overlapping(boxes, MEETS_MM):
        if i < count <= j:
            index, owner, segment, passed = lines[i]
            other, beside = segments[j - count]
            if other == owner or segment.chord == 0.0 or beside.chord == 0.0:
                continue
            found[index] += [
                passed + meeting.first * segment.length
                for meeting in meetings(segment, beside, MEETS_MM)
                if isinstance(meeting, Meeting)
            ]
    return {index: _apart(places, drawing.strokes[index]) for index, places in found.items()}


def _apart(places: list[float], stroke: Stroke) -> list[float]:
    """The places in order, each once; on a closed line its end is its start."""
    length = stroke.path.length
    if stroke.path.closed:
        places = [0.0 if at > length - MEETS_MM else at for at in places]
    found: list[float] = []
    for at in sorted(places):
        if not found or at - found[-1] > 2.0 * MEETS_MM:
            found.append(at)
    return found


def _finding(code: str, job: Job, stroke: Stroke, made: float) -> Problem:
    return job.problem(
        code,
        at=stroke.path.start.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=made,
        piece_name=job.piece.name,
        line=named(stroke),
        length=mm(stroke.path.length),
        made=mm(made),
        kerf=mm(job.kerf),
    )


def _crowded(job: Job, stroke: Stroke, lines: int) -> Problem:
    return job.problem(
        "perforation-crowded",
        at=stroke.path.start.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        piece_name=job.piece.name,
        line=named(stroke),
        length=mm(stroke.path.length),
        lines="1 line" if lines == 1 else f"{lines} lines",
    )


def _blocked(job: Job, stroke: Stroke, uncut: tuple[float, float]) -> Problem:
    low, high = uncut
    length = stroke.path.length
    middle = ((low + high) / 2.0) % length
    # From the farther end, since a stretch of no length has no ends.
    if middle < length / 2.0:
        at = stroke.path.stretch(middle, length).start
    else:
        at = stroke.path.stretch(0.0, middle).end
    return job.problem(
        "perforation-blocked",
        at=at.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=high - low,
        piece_name=job.piece.name,
        line=named(stroke),
        length=mm(high - low),
    )
