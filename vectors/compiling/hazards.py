"""This module is the pass that looks for what in this very job may hurt somebody.

Under a laser: perforations whose ties are browned through, and loose parts that
the air lifts into the beam.  With any tool: a piece, or what falls out of one,
that is as small as the small parts of the rules for toys.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations, pairwise

from foldwright.profiles.model import Tool

from ..drawing import Drawing, Role, Stroke, Work
from ..geometry import Path, Segment
from ..geometry.turned_boxes import path_fits_turned
from ..measures.exact import MEETS_MM
from ..panels import divide
from ..problems import Problem
from .bridges import way_round
from .job import Job, Passed
from .strokes import place_of
from .wording import hold_down, mm, named

# A laser browns 0.1 to 0.3 mm beside its cut; common practice, no source.  A tie
# no wider than the most of it at both of its edges is brown right through.
BROWNED_MM = 0.3

# Air of 4 m/s presses with half its density of 1.2 kg/m³ times the square of its
# speed, 9.6 Pa; as much as a sheet of about 1000 g/m² weighs.  What an extraction
# draws through its bed is of that order (from memory).
LIFTED_G_M2 = 1000.0

# A heavier part, in g, is large enough to stay in its place in the sheet and to be
# seen when it does not; common practice, no source.
LIGHT_G = 1.0

# The cylinder for small parts of 16 CFR 1501 and EN 71-1: 31.7 mm wide; its bottom
# slants, so that it is 25.4 mm deep on one side and 57.1 mm on the other (depths
# from memory).  A flat part that stands in it lies in a rectangle of the width and
# the greatest depth; all that fit there are told, also those that the slant leaves out.
CYLINDER_MM = (31.7, 57.1)

# From so many openings on they are looked at in whole columns.
_MANY = 100


def find(drawing: Drawing, job: Job) -> Passed:
    """The same drawing; the findings say what to mind, and where in the piece."""
    found: list[Problem] = []
    if job.tool is Tool.LASER:
        found += _browned(drawing, job)
        found += _lifted(drawing, job)
    found += _small_piece(job)
    found += _small_waste(drawing, job)
    return Passed(drawing, tuple(found))


def _browned(drawing: Drawing, job: Job) -> list[Problem]:
    """Perforations whose narrowest tie is browned through, one finding for all of them."""
    lines: dict[tuple[Role, str], list[Stroke]] = {}
    for stroke in drawing.strokes:
        if stroke.work is Work.PERFORATED:
            lines.setdefault((stroke.role, stroke.source), []).append(stroke)
    narrow = [
        (tie, cuts[0]) for cuts in lines.values() if (tie := _tie(cuts, job)) < 2.0 * BROWNED_MM
    ]
    if not narrow:
        return []
    tie, stroke = min(narrow, key=lambda one: one[0])
    way = job.way.perforation
    figure = "" if way is None else way.tie.place.prefix()
    return [
        job.problem(
            "ties-browned",
            at=_begins(job, stroke),
            place=place_of(job.piece, stroke.role, stroke.source),
            measure_mm=tie,
            piece_name=job.piece.name,
            line=named(stroke),
            more=_more(len(narrow)),
            tie=mm(round(tie, 3)),
            browned=mm(BROWNED_MM),
            figure=f" ({figure})" if figure else "",
        )
    ]


def _tie(cuts: Sequence[Stroke], job: Job) -> float:
    """The narrowest finished tie between cuts that follow each other, in mm."""
    gaps = [
        min(
            here.distance(there)
            for here in (first.path.start, first.path.end)
            for there in (second.path.start, second.path.end)
        )
        for first, second in pairwise(cuts)
    ]
    # The tool removes half its kerf beyond both ends of a cut.
    return min(gaps, default=float("inf")) - job.kerf


def _lifted(drawing: Drawing, job: Job) -> list[Problem]:
    """Small parts that no bridge holds, of stock that the air lifts."""
    grammage = job.profile.grammage.value
    if grammage >= LIFTED_G_M2:
        return []
    largest = LIGHT_G / grammage * 1e6
    loose = [
        stroke
        for stroke in drawing.strokes
        if stroke.role in (Role.OUTLINE, Role.OPENING)
        and stroke.work is Work.THROUGH
        and stroke.path.closed
        and abs(stroke.path.area) < largest
    ]
    if not loose:
        return []
    first = loose[0]
    piece = f'piece "{job.piece.name}"'
    asked = way_round(first.role, job) is not None
    return [
        job.problem(
            "air-lifts",
            at=_begins(job, first),
            place=place_of(job.piece, first.role, first.source),
            piece_name=job.piece.name,
            part=piece
            if first.role is Role.OUTLINE
            else f"what falls out of {named(first)} of {piece}",
            more=_more(len(loose)),
            mending=hold_down(job.tool) if asked else "give the material bridges for it",
        )
    ]


def _small_piece(job: Job) -> list[Problem]:
    piece = job.piece
    if _small_ones([piece.outline]):
        how = "is as small"
    elif _may_fold_small(job):
        how = "may be folded as small"
    else:
        return []
    return [
        job.problem(
            "small-part",
            place=piece.place,
            at=piece.outline.start.floats(),
            piece_name=piece.name,
            how=how,
            width=mm(CYLINDER_MM[0]),
        )
    ]


def _small_waste(drawing: Drawing, job: Job) -> list[Problem]:
    # Nothing falls out of an opening that the kerf left nothing of.
    cut = {stroke.source for stroke in drawing.strokes if stroke.role is Role.OPENING}
    openings = [opening for opening in job.piece.openings if opening.name in cut]
    small = _small_ones([opening.path for opening in openings])
    if not small:
        return []
    first = openings[small[0]]
    return [
        job.problem(
            "small-waste",
            place=first.place,
            at=first.path.start.floats(),
            piece_name=job.piece.name,
            opening=first.name,
            more=_more(len(small)),
            width=mm(CYLINDER_MM[0]),
        )
    ]


def _small_ones(paths: Sequence[Path]) -> list[int]:
    """The numbers of the closed paths that are small."""
    if len(paths) < _MANY:
        looks = [(path.box(), path.area) for path in paths]
    else:
        from ..geometry.path_columns import columns_of

        columns = columns_of(paths)
        boxes, areas = columns.path_boxes.tolist(), columns.path_areas.tolist()
        looks = list(zip(map(tuple, boxes), areas, strict=True))
    return [index for index, look in enumerate(looks) if _is_small(paths[index], *look)]


def _is_small(path: Path, box: tuple[float, float, float, float], area: float) -> bool:
    """Whether a closed path fits the cylinder; its box, and the area in it, settle most."""
    shorter, longer = sorted((box[2] - box[0], box[3] - box[1]))
    width, depth = CYLINDER_MM
    if shorter <= width and longer <= depth:
        return True
    # Nothing in the cylinder is longer than from its deepest place across to its rim.
    if longer > math.hypot(width, depth) or abs(area) > width * depth:
        return False
    return path_fits_turned(path, width, depth)


def _may_fold_small(job: Job) -> bool:
    """Whether every panel of a piece that folds is small: then all of it may be, folded.

    It is not small for certain: which panels come to lie on each other is not
    asked.  A piece with a larger panel is not, however it is folded.
    """
    piece = job.piece
    paths = [*(fold.path for fold in piece.folds), *(slit.path for slit in piece.slits)]
    lines = [line for path in paths for line in path.segments]
    paper = abs(piece.outline.area) - sum(abs(opening.path.area) for opening in piece.openings)
    if not piece.folds or paper > _most_panels(lines) * CYLINDER_MM[0] * CYLINDER_MM[1]:
        return False
    rings = [panel.ring for panel in divide(piece).panels]
    return len(_small_ones(rings)) == len(rings)


def _most_panels(lines: Sequence[Segment]) -> int:
    """A number of panels that lines do not part a sheet into more than."""
    count = len(lines)
    if count > _MANY:
        return 1 + count * count
    # Each line parts one panel more than it crosses lines, an arc may cross one twice.
    boxes = [line.box() for line in lines]
    meeting = sum(
        first[0] <= other[2] + MEETS_MM
        and other[0] <= first[2] + MEETS_MM
        and first[1] <= other[3] + MEETS_MM
        and other[1] <= first[3] + MEETS_MM
        for first, other in combinations(boxes, 2)
    )
    return 1 + count + (meeting if all(line.is_line for line in lines) else 2 * meeting)


def _begins(job: Job, stroke: Stroke) -> tuple[float, float] | None:
    """Where in the piece the line begins that a stroke was made from: strokes have moved by now."""
    piece = job.piece
    if stroke.role is Role.OUTLINE:
        return piece.outline.start.floats()
    lines = {
        (role, line.name): line.path
        for role, group in (
            (Role.FOLD, piece.folds), (Role.SLIT, piece.slits), (Role.OPENING, piece.openings)
        )
        for line in group
    }  # fmt: skip
    path = lines.get((stroke.role, stroke.source))
    return None if path is None else path.start.floats()


def _more(count: int) -> str:
    return f" and {count - 1} more" if count > 1 else ""
