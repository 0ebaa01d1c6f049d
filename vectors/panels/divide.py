"""This module divides a piece into panels and hinges, and finds what its loops go round."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from ..design.pieces import How, Piece
from ..measures.exact import MEETS_MM
from ..problems import Collector, Problem, problem
from .checks import line_problems
from .curves import Kind, curves_of, told
from .deferred import deferred
from .few_lines import FewLines
from .marks import mark_problems
from .model import Division, Hinge, Knot, KnotKind
from .noding import Noded, near_pairs
from .parts import Lines, Parts

# From so many vertices on, or pairs of lines that come near each other, it pays to
# load numpy for a single piece.
MANY = 800


def divide(piece: Piece) -> Division:
    """Divide a piece along its slits and folds.

    The problems of the division say what crosses, hangs or doubles, and where;
    with a stop among them the panels are those of the lines as they are drawn,
    to be looked at and not to be folded.  Arcs and folds that are `still` are
    scored only and divide nothing; neither does a perforated slit that alone
    would part the piece in two.
    """
    return divided(piece, _lines(piece))


def _lines(piece: Piece) -> Lines:
    if _vertices(piece) < MANY:
        curves = curves_of(piece)
        near = list(islice(near_pairs(curves), MANY))
        if len(near) < MANY:
            return FewLines(piece, curves, near)
    # Only here, so that a card of a few folds is proved without a library.
    from .many_lines import ManyLines

    return ManyLines(piece)


def _vertices(piece: Piece) -> int:
    lines = [part.path for parts in (piece.openings, piece.slits, piece.folds) for part in parts]
    # A path has two at least: many of them need not be counted.
    if 2 * len(lines) >= MANY:
        return 2 * len(lines)
    return len(piece.outline.vertices) + sum(len(path.vertices) for path in lines)


def divided(piece: Piece, lines: Lines) -> Division:
    """The division of a piece along its lines, split already."""
    parts = lines.parts(frozenset())
    collector = Collector()
    for one in (
        *line_problems(lines.noded, lines.everything, parts.judged, piece.name),
        *mark_problems(piece),
    ):
        collector.add(one)
    tears = _tears_to_keep(piece, lines.noded, parts)
    if tears:
        parts = lines.parts(tears)
    # What lines that cross or hang lead to is not told on top of them.
    if not collector.stopped:
        for one in (*parts.problems, *_loose(piece, parts)):
            collector.add(one)
    stopped = collector.stopped
    for one in _scored_only(piece, lines.scored()):
        collector.add(one)
    return deferred(
        Division,
        lambda _: {"knots": () if stopped else _knots(parts)},
        piece=piece,
        panels=parts.panels,
        hinges=parts.hinges,
        problems=collector.problems,
    )


def _knots(parts: Parts) -> tuple[Knot, ...]:
    return tuple(knot for knot in parts.knots() if not _runs_on(knot, parts.hinges))


def _runs_on(knot: Knot, hinges: Sequence[Hinge]) -> bool:
    """Whether a vertex is only a place that a fold runs straight on over, in one sense."""
    if knot.kind is not KnotKind.VERTEX or len(knot.crossings) != 2:
        return False
    first, second = (hinges[crossing.hinge] for crossing in knot.crossings)
    if (first.fold, first.sense) != (second.fold, second.sense):
        return False
    one, other = first.line.end - first.line.start, second.line.end - second.line.start
    # Straight on within a micrometre over the length of the longer stretch.
    off = abs(float(one.cross(other)))
    return off <= MEETS_MM * min(float(one.length), float(other.length))


def _tears_to_keep(piece: Piece, noded: Noded, parts: Parts) -> frozenset[int]:
    """The perforated slits beside panels that no fold joins to the rest: until torn, they do."""
    loose = set(parts.loose)
    if not loose or all(slit.how is not How.TEAR for slit in piece.slits):
        return frozenset()
    found = set()
    plan = parts.judged.plan
    for k, edge in enumerate(plan.edges):
        owner = noded.curves[edge.curve].owner
        if owner.kind is Kind.SLIT and piece.slits[owner.index].how is How.TEAR:
            sides = {parts.panel_of(plan.face[half]) for half in (2 * k, 2 * k + 1)}
            if len(sides) == 2 and sides & loose:
                found.add(owner.index)
    return frozenset(found)


def _scored_only(piece: Piece, scored: Sequence[int]) -> list[Problem]:
    """A note for each fold that is still or has arcs: panels stay flat across what is scored."""
    found = []
    for fold in (piece.folds[number] for number in scored):
        arc = next((s for s in fold.path.segments if not s.is_line), None)
        code, at = "still-not-folded", fold.path.segments[0].middle
        if arc is not None and not fold.still:
            code, at = "arc-not-folded", arc.middle
        what = told("fold", fold.name)
        found.append(problem(code, place=fold.place, piece=piece.name, at=at.floats(), fold=what))
    return found


def _loose(piece: Piece, parts: Parts) -> list[Problem]:
    problems = []
    for index in parts.loose:
        left, bottom, right, top = parts.panels[index].box
        problems.append(
            problem(
                "panel-cut-loose",
                place=piece.place,
                piece=piece.name,
                at=((left + right) / 2.0, (bottom + top) / 2.0),
            )
        )
    return problems
