"""This module is the pass that proves on the drawing that every part is held.

It looks at the strokes alone, after the last bridge: whatever they cut free has
to be held by a bridge, or none was asked for.  No part of the piece may come off
that the design means to be one with the rest.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING

from ..drawing import Drawing, Role, Work
from ..geometry import Path, Segment
from ..measures.exact import HAIR_MM, MEETS_MM
from ..problems import Problem
from .bridge_places import FEWEST
from .bridges import way_round
from .job import Job, Passed
from .strokes import OUTLINE, place_of
from .wording import hold_down, in_a_row, line_name, mm, square_mm, written

if TYPE_CHECKING:
    from .loose import LoosePart

# What bridges hold that closes on itself, as one part.
_HELD = (Role.OUTLINE, Role.OPENING)


def prove(drawing: Drawing, job: Job) -> Passed:
    """The drawing as it is, with a finding for every part that is not held as asked for.

    A part of the piece that comes off is a stop; waste and whole pieces that nothing
    holds, though they should be held, are told as a warning: the cut itself is right.
    """
    # Columns of numbers are only needed once there is something to prove.
    from .loose import loose_parts

    found: list[Problem] = []
    runs = _runs(drawing)
    kerf = max(job.kerf, 0.0 if job.way.kerf_y is None else job.way.kerf_y.value)
    # With the outline cut all round, each part of the piece stands by itself.
    filled = _filled(drawing, runs)
    severed = parts = loose_parts(filled, kerf)
    if filled is not drawing:
        whole = [part for part in severed if (Role.OUTLINE, OUTLINE) in part.lines]
        indices = runs[Role.OUTLINE, OUTLINE]
        if all(len(part.lines) == 1 for part in whole) and any(
            length > max(kerf, HAIR_MM) for length in _lengths(drawing, indices)
        ):
            # Its bridges join what it runs round to the sheet, and touch nothing else.
            parts = tuple(part for part in severed if part not in whole)
        else:
            parts = loose_parts(drawing, kerf)
    found += [_cut_free(part, job) for part in severed if part.role is Role.SLIT]
    found += [
        _not_held(part, job)
        for part in parts
        if part.role in _HELD and way_round(part.role, job) is not None
    ]
    found += _held_too_little(drawing, runs, job)
    return Passed(drawing, tuple(found))


def _runs(drawing: Drawing) -> dict[tuple[Role, str], list[int]]:
    """The numbers of the open strokes that each outline, opening or closed slit is left in."""
    found: dict[tuple[Role, str], list[int]] = defaultdict(list)
    for index, stroke in enumerate(drawing.strokes):
        if stroke.role in _HELD and stroke.work is Work.THROUGH and not stroke.path.closed:
            found[stroke.role, stroke.source].append(index)
    return found


def _lengths(drawing: Drawing, indices: list[int]) -> list[float]:
    """The lengths of the bridges between runs of one line, in mm."""
    paths = [drawing.strokes[index].path for index in indices]
    found = []
    for here, there in zip(paths, [*paths[1:], paths[0]], strict=True):
        before, last = here.vertices[-2:]
        first, after = there.vertices[:2]
        if before.bulge and first.bulge:
            found.append(
                bridge_length(
                    Segment(before.at, last.at, before.bulge),
                    Segment(first.at, after.at, first.bulge),
                )
            )
        else:
            found.append(last.at.distance(first.at))
    return found


def _filled(drawing: Drawing, runs: dict[tuple[Role, str], list[int]]) -> Drawing:
    """The drawing with the bridges of its outline cut as well; itself where it has none."""
    indices = runs.get((Role.OUTLINE, OUTLINE), [])
    if not indices:
        return drawing
    strokes = drawing.strokes
    first = strokes[indices[0]]
    places = [vertex for index in indices for vertex in strokes[index].path.vertices]
    whole = replace(first, path=Path(tuple(places), closed=True))
    rest = set(indices)
    others = tuple(stroke for index, stroke in enumerate(strokes) if index not in rest)
    return drawing.with_strokes((*others, whole))


def bridge_length(before: Segment, after: Segment) -> float:
    """The length of the uncut stretch between two arcs, in mm, along the smaller of their circles.

    Of one circle, it is that.  Arcs in place of an ellipse lie on several, and the
    stretch is no longer than along the tightest; arcs that bend to two sides are left a chord.
    """
    chord = before.end.distance(after.start)
    if before.bulge * after.bulge < 0.0:
        return chord
    radius = min(before.radius, after.radius)
    return 2.0 * radius * math.asin(min(1.0, chord / (2.0 * radius)))


def _held_too_little(
    drawing: Drawing, runs: dict[tuple[Role, str], list[int]], job: Job
) -> list[Problem]:
    """A finding for each part whose bridges are fewer, or shorter, than what holds it at all."""
    found = []
    for (role, source), indices in runs.items():
        stroke = drawing.strokes[indices[0]]
        way = way_round(role, job)
        if way is None:
            continue
        asked = way.length.value + job.kerf - MEETS_MM
        lengths = _lengths(drawing, indices)
        good = sum(length >= asked for length in lengths)
        least = FEWEST if role is Role.OUTLINE else 1
        if good < least:
            found.append(
                job.problem(
                    "part-held-too-little",
                    at=stroke.path.start.floats(),
                    place=place_of(job.piece, role, source),
                    measure_mm=max(lengths) - job.kerf,
                    piece_name=job.piece.name,
                    line=line_name(role, source),
                    bridges=("no bridge", "only 1 bridge")[good],
                    length=mm(way.length.value),
                    written=written(way.length),
                    hold=hold_down(job.tool),
                )
            )
    return found


def _cut_free(part: LoosePart, job: Job) -> Problem:
    return _finding("part-cut-free", part, job)


def _not_held(part: LoosePart, job: Job) -> Problem:
    piece = f'piece "{job.piece.name}"'
    what = piece if part.role is Role.OUTLINE else f"waste of {piece}"
    return _finding("part-not-held", part, job, what=what, hold=hold_down(job.tool))


def _finding(code: str, part: LoosePart, job: Job, **fields: str) -> Problem:
    # Of the lines that cut it free the first one inside the piece is the one to change.
    inner = [one for one in part.lines if one[0] is not Role.OUTLINE]
    role, source = (inner or part.lines)[0]
    return job.problem(
        code,
        at=part.at,
        place=place_of(job.piece, role, source),
        piece_name=job.piece.name,
        lines=in_a_row([line_name(*one) for one in part.lines]),
        cut="cuts" if len(part.lines) == 1 else "cut",
        area=square_mm(part.area),
        **fields,
    )
