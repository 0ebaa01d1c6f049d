"""This module is the pass that turns perforated strokes into short cuts with ties between them.

Programs ignore dash patterns, so a perforation is drawn as what it is.  The
rhythm is stretched or pressed a little to fit the line, and a tie stands at
both ends, so that the line tears where it should and not out of the edge.
"""

from __future__ import annotations

from dataclasses import replace

from ..drawing import Drawing, Stroke, Work
from ..problems import Problem
from .job import Job, Passed
from .strokes import place_of
from .wording import mm, named

# A rhythm pressed below this share of itself is told: its ties are weak.
_WEAK = 0.6


def rhythm(length: float, cut: float, tie: float, *, closed: bool) -> list[tuple[float, float]]:
    """Where the cuts lie along a line of `length` mm: pairs of distances from its start.

    The finished lengths are as near to `cut` and `tie` as a whole number of
    cuts allows.  An open line starts and ends with a tie; a closed one has as
    many ties as cuts and starts within one.
    """
    if closed:
        count = max(1, round(length / (cut + tie)))
        scale = length / (count * (cut + tie))
        start = tie / 2.0
    else:
        count = max(1, round((length - tie) / (cut + tie)))
        scale = length / (count * (cut + tie) + tie)
        start = tie
    return [
        (
            scale * (start + index * (cut + tie)),
            scale * (start + index * (cut + tie) + cut),
        )
        for index in range(count)
    ]


def divide(drawing: Drawing, job: Job) -> Passed:
    """The drawing with each perforated stroke replaced by its cuts.

    A drawn cut is shorter than the finished one by the kerf, since the tool
    removes half of it beyond either end.
    """
    way = job.way.perforation
    if way is None:
        return Passed(drawing)
    cut, tie = way.cut.value, way.tie.value
    strokes: list[Stroke] = []
    found: list[Problem] = []
    for stroke in drawing.strokes:
        if stroke.work is not Work.PERFORATED:
            strokes.append(stroke)
            continue
        length = stroke.path.length
        places = rhythm(length, cut, tie, closed=stroke.path.closed)
        made = places[0][1] - places[0][0]
        if made <= job.kerf:
            found.append(_finding("perforation-too-fine", job, stroke, made))
            continue
        if made < _WEAK * cut:
            found.append(_finding("perforation-pressed", job, stroke, made))
        half = job.kerf / 2.0
        strokes += [
            replace(stroke, path=stroke.path.stretch(start + half, end - half))
            for start, end in places
        ]
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def _finding(code: str, job: Job, stroke: Stroke, made: float) -> Problem:
    start = stroke.path.start
    return job.problem(
        code,
        at=start.floats(),
        place=place_of(job.piece, stroke.role, stroke.source),
        measure_mm=made,
        piece_name=job.piece.name,
        line=named(stroke),
        length=mm(stroke.path.length),
        made=mm(made),
        kerf=mm(job.kerf),
    )
