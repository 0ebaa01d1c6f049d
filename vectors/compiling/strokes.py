"""This module is the first pass: each line of a piece becomes a stroke with layer, work and side.

Where the profile has valleys scored from the back, a fold that is now mountain
and now valley becomes one stroke for each run of one sense.  The coordinates
stay those of the front.
"""

from __future__ import annotations

from itertools import groupby

from foldwright.profiles.machine import Lies

from ..design.pieces import Fold, How, Mark, Opening, Piece, Sense, Slit
from ..drawing import Drawing, Layer, Role, Side, Stroke, Work
from ..geometry import Path, path_of
from ..problems import Place, Problem
from .faces import marked_from
from .job import Job, Passed

OUTLINE = "outline"


def draw(drawing: Drawing, job: Job) -> Passed:
    """The drawing with a stroke, in float coordinates, for each line of the job's piece.

    Lines that the material has no figures for are left out: the findings say
    which.  Texts have a pass of their own.
    """
    piece = job.piece
    found: list[Problem] = []
    strokes: list[Stroke] = []

    def stroke(
        path: Path, layer: Layer, work: Work, role: Role, source: str, side: Side = Side.FRONT
    ) -> None:
        strokes.append(
            Stroke(
                path=path.rounded(),
                layer=layer,
                work=work,
                piece=piece.name,
                source=source,
                role=role,
                side=side,
            )
        )

    for mark in piece.marks:
        if mark.path is not None:
            side = marked_from(mark, job)
            stroke(mark.path, Layer.MARK, Work.DRAWN, Role.MARK, mark.name, side)
    score = job.way.score
    if score is None:
        if piece.folds:
            found.append(_no_score(job))
    else:
        for fold in piece.folds:
            if score.work is Work.PERFORATED and job.way.perforation is None:
                found.append(_no_perforation(job, fold.name, fold.place))
            else:
                for path, side in sided(fold, score.valleys_from):
                    stroke(path, Layer.SCORE, score.work, Role.FOLD, fold.name, side)
        found += _inside_cuts(job)
    for slit in piece.slits:
        work = job.way.slit.tear if slit.how is How.TEAR else job.way.slit.work
        if work is Work.PERFORATED and job.way.perforation is None:
            found.append(_no_perforation(job, slit.name, slit.place))
        else:
            stroke(slit.path, Layer.CUT, work, Role.SLIT, slit.name)
    for opening in piece.openings:
        stroke(opening.path, Layer.CUT, Work.THROUGH, Role.OPENING, opening.name)
    stroke(piece.outline, Layer.CUT, Work.THROUGH, Role.OUTLINE, OUTLINE)
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


def sided(fold: Fold, valleys_from: Side) -> list[tuple[Path, Side]]:
    """The path of a fold in runs that are scored from one face, each with that face.

    It is one run where valleys are scored from the front, as mountains always are.
    """
    if valleys_from is Side.FRONT:
        return [(fold.path, Side.FRONT)]
    sides = [Side.BACK if sense is Sense.VALLEY else Side.FRONT for sense in fold.senses]
    if len(set(sides)) == 1:
        return [(fold.path, sides[0])]
    segments = list(fold.path.segments)
    if fold.path.closed:
        # Begun where the sense changes, so that no run is parted at the first vertex.
        first = next(index for index, side in enumerate(sides) if side is not sides[index - 1])
        segments, sides = segments[first:] + segments[:first], sides[first:] + sides[:first]
    runs = groupby(zip(segments, sides, strict=True), key=lambda pair: pair[1])
    return [(path_of((segment for segment, _ in run), closed=False), side) for side, run in runs]


def place_of(piece: Piece, role: Role, source: str) -> Place:
    """Where in the design the line was written that a stroke came from."""
    tables: dict[Role, tuple[Fold | Slit | Opening | Mark, ...]] = {
        Role.FOLD: piece.folds,
        Role.SLIT: piece.slits,
        Role.OPENING: piece.openings,
        Role.MARK: piece.marks,
    }
    lines = tables.get(role, ())
    return next((line.place for line in lines if line.name == source), piece.place)


def _no_score(job: Job) -> Problem:
    return job.problem(
        "no-score-way",
        place=job.profile.place,
        piece_name=job.piece.name,
        tool=job.tool,
        material=job.profile.name,
        folds="1 fold" if len(job.piece.folds) == 1 else f"{len(job.piece.folds)} folds",
    )


def _no_perforation(job: Job, source: str, place: Place) -> Problem:
    return job.problem(
        "no-perforation-way",
        place=place,
        piece_name=job.piece.name,
        line=source,
        tool=job.tool,
        material=job.profile.name,
    )


def _inside_cuts(job: Job) -> list[Problem]:
    """Tells of folds that are half-cut on their inside: valleys from the front, or else mountains.

    A half cut belongs on the outside, where the paper opens it; on the inside
    it keeps the layers that are left from bending (common practice, no source;
    for creases the trade's rule that the groove lies outside says the same).
    """
    score = job.way.score
    if score is None or score.work is not Work.HALF_CUT or score.valleys_from is Side.BACK:
        return []
    machine = job.options.machine
    down = machine is not None and machine.face is Lies.DOWN
    inside = Sense.MOUNTAIN if down else Sense.VALLEY
    folds = [fold for fold in job.piece.folds if not fold.still and inside in fold.senses]
    if not folds:
        return []
    first = folds[0]
    at = first.path.segments[first.senses.index(inside)].middle
    return [
        job.problem(
            "half-cut-inside",
            at=at.floats(),
            place=first.place,
            piece_name=job.piece.name,
            line=first.name,
            folds=f"1 {inside}" if len(folds) == 1 else f"{len(folds)} {inside}s",
            tool=job.tool,
            material=job.profile.name,
            face="one face, and face down that is the back" if down else "the front",
        )
    ]
