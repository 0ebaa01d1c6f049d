"""This module is the first pass: each line of a piece becomes a stroke with layer and work."""

from __future__ import annotations

from ..design.pieces import Fold, How, Mark, Opening, Piece, Slit
from ..drawing import Drawing, Layer, Role, Stroke, Work
from ..geometry import Path
from ..problems import Place, Problem
from .job import Job, Passed
from .wording import mm

OUTLINE = "outline"


def draw(drawing: Drawing, job: Job) -> Passed:
    """The drawing with a stroke, in float coordinates, for each line of the job's piece.

    Text is not drawn, and lines that the material has no figures for are left
    out: the findings say which.
    """
    piece = job.piece
    found: list[Problem] = []
    strokes: list[Stroke] = []

    def stroke(path: Path, layer: Layer, work: Work, role: Role, source: str) -> None:
        strokes.append(
            Stroke(
                path=path.rounded(),
                layer=layer,
                work=work,
                piece=piece.name,
                source=source,
                role=role,
            )
        )

    for mark in piece.marks:
        if mark.path is not None:
            stroke(mark.path, Layer.MARK, Work.DRAWN, Role.MARK, mark.name)
        if mark.text is not None:
            at = None if mark.at is None else mark.at.floats()
            found.append(
                job.problem("text-not-drawn", at=at, place=mark.place, text=_short(mark.text))
            )
    score = job.way.score
    if score is None:
        if piece.folds:
            found.append(_no_score(job))
    else:
        for fold in piece.folds:
            if score.work is Work.PERFORATED and job.way.perforation is None:
                found.append(_no_perforation(job, fold.name, fold.place))
            else:
                stroke(fold.path, Layer.SCORE, score.work, Role.FOLD, fold.name)
        found += _not_applied(job)
    for slit in piece.slits:
        if slit.how is not How.TEAR:
            stroke(slit.path, Layer.CUT, Work.THROUGH, Role.SLIT, slit.name)
        elif job.way.perforation is None:
            found.append(_no_perforation(job, slit.name, slit.place))
        else:
            stroke(slit.path, Layer.CUT, Work.PERFORATED, Role.SLIT, slit.name)
    for opening in piece.openings:
        stroke(opening.path, Layer.CUT, Work.THROUGH, Role.OPENING, opening.name)
    stroke(piece.outline, Layer.CUT, Work.THROUGH, Role.OUTLINE, OUTLINE)
    return Passed(drawing.with_strokes(tuple(strokes)), tuple(found))


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


def _not_applied(job: Job) -> list[Problem]:
    """Says that a score's shift is not worked into the lines yet.

    The allowance is no matter of the lines: it belongs to the measures, which
    say how far apart folds lie that wrap round other plies.
    """
    score = job.way.score
    if score is None or not job.piece.folds or score.shift.value == 0.0:
        return []
    return [
        job.problem(
            "figure-not-applied",
            place=score.shift.place,
            measure_mm=score.shift.value,
            figure="shift",
            length=mm(score.shift.value),
            tool=job.tool,
            material=job.profile.name,
        )
    ]


def _short(text: str) -> str:
    return text if len(text) <= 30 else f"{text[:29]}…"
