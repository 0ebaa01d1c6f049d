"""This module is the pass that refuses strokes which lie on each other.

A line that is cut twice tears paper, and scorches under a laser; a score on a
cut is no score.  Straight strokes are compared exactly, in whole micrometres.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from ..drawing import Drawing, Layer, Role, Stroke
from ..geometry import Point, Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import share_of
from ..problems import Problem, Severity
from .job import Job, Passed
from .strokes import place_of
from .wording import named

UM_PER_MM = 1000

# Rounding both strokes to whole micrometres can part them by this much.
_ROUNDING_UM = 2

# An overlap must be longer than this to be one; ends that meet are none.
_TOUCH_UM = 3

# Lines that differ in direction by more than 1 in this many cross; they do not overlap.
_PARALLEL = 50


@dataclass(frozen=True, slots=True)
class _Run:
    """A segment snapped to whole micrometres, and the stroke that it belongs to."""

    stroke: int
    segment: Segment
    x0: int
    y0: int
    x1: int
    y1: int


def check(drawing: Drawing, job: Job) -> Passed:
    """The drawing as it is, with a finding for every two strokes that run along each other.

    Outlines and openings were moved by half the kerf, and a tool eats as much
    to both sides: strokes that are so near to one another lie on each other too.
    """
    runs = _runs(drawing.strokes)
    half = round(job.kerf / 2.0 * UM_PER_MM)
    boxes = [run.segment.box() for run in runs]
    found: dict[frozenset[tuple[Role, str]], tuple[tuple[int, int], Problem]] = {}
    for i, j in overlapping(boxes, (2 * half + _ROUNDING_UM) / UM_PER_MM):
        first, second = runs[i], runs[j]
        pair = (first.stroke, second.stroke)
        strokes = drawing.strokes[pair[0]], drawing.strokes[pair[1]]
        named = _names(strokes)
        if named in found:
            continue
        # Sides of one edge were told apart when it was moved, however near they came.
        moved = 0
        if len(named) > 1:
            moved = sum(stroke.role in (Role.OUTLINE, Role.OPENING) for stroke in strokes)
        at = _overlap(first, second, moved * half + _ROUNDING_UM)
        if at is not None:
            found[named] = (pair, _finding(job, strokes, at))
    ordered = sorted(found.values(), key=lambda entry: entry[0])
    return Passed(drawing, tuple(finding for _, finding in ordered))


def _names(strokes: tuple[Stroke, Stroke]) -> frozenset[tuple[Role, str]]:
    return frozenset((stroke.role, stroke.source) for stroke in strokes)


def _runs(strokes: tuple[Stroke, ...]) -> list[_Run]:
    found = []
    for index, stroke in enumerate(strokes):
        for segment in stroke.path.segments:
            x0, y0, x1, y1 = (
                round(value * UM_PER_MM)
                for value in (*segment.start.floats(), *segment.end.floats())
            )
            if (x0, y0) != (x1, y1):
                found.append(_Run(index, segment, x0, y0, x1, y1))
    return found


def _overlap(first: _Run, second: _Run, reach: int) -> Point | None:
    """The middle of the stretch that two segments share within `reach` micrometres."""
    if first.segment.is_line and second.segment.is_line:
        return _lines_overlap(first, second, reach)
    return _arcs_overlap(first, second, reach)


def _lines_overlap(a: _Run, b: _Run, reach: int) -> Point | None:
    dx, dy = a.x1 - a.x0, a.y1 - a.y0
    ex, ey = b.x1 - b.x0, b.y1 - b.y0
    square = dx * dx + dy * dy
    # Along the first line, scaled by its length, and across it likewise.
    t0 = (b.x0 - a.x0) * dx + (b.y0 - a.y0) * dy
    t1 = (b.x1 - a.x0) * dx + (b.y1 - a.y0) * dy
    c0 = dx * (b.y0 - a.y0) - dy * (b.x0 - a.x0)
    c1 = dx * (b.y1 - a.y0) - dy * (b.x1 - a.x0)
    close = max(c0 * c0, c1 * c1) <= _ROUNDING_UM**2 * square
    if not close and (_PARALLEL * (dx * ey - dy * ex)) ** 2 > square * (ex * ex + ey * ey):
        return None
    low, high = max(0, min(t0, t1)), min(square, max(t0, t1))
    if high <= low or (high - low) ** 2 <= _TOUCH_UM**2 * square:
        return None
    # The distance changes evenly along the stretch, so its ends decide.
    for t in (low, high):
        if (c0 * (t1 - t) + c1 * (t - t0)) ** 2 > reach * reach * square * (t1 - t0) ** 2:
            return None
    share = (low + high) / (2 * square)
    return Point((a.x0 + share * dx) / UM_PER_MM, (a.y0 + share * dy) / UM_PER_MM)


def _arcs_overlap(a: _Run, b: _Run, reach: int) -> Point | None:
    first, second, within = a.segment, b.segment, reach / UM_PER_MM
    shares = [
        share
        for share, end in ((0.0, first.start), (1.0, first.end))
        if share_of(second, end, within) is not None
    ]
    for end in (second.start, second.end):
        share = share_of(first, end, within)
        if share is not None:
            shares.append(share)
    shares.sort()
    for low, high in pairwise(shares):
        if (high - low) * first.length * UM_PER_MM <= max(_TOUCH_UM, 2 * reach):
            continue
        # Curves that share two places still part between them, unless they are one.
        between = [first.at(low + (high - low) * part) for part in (0.25, 0.5, 0.75)]
        if all(share_of(second, at, within) is not None for at in between):
            return between[1]
    return None


def _finding(job: Job, strokes: tuple[Stroke, Stroke], at: Point) -> Problem:
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
