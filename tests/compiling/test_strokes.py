"""Tests of compiling.strokes: every line of a piece becomes the right kind of stroke."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Mark
from foldwright.drawing import Layer, Role, Side, Work
from foldwright.geometry import Path, Vertex, circle, line, point
from foldwright.problems import Severity


def test_every_line_has_its_layer_work_role_and_source(build: Any) -> None:
    passed = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw)
    assert [(s.layer, s.work, s.role, s.source) for s in passed.drawing.strokes] == [
        (Layer.MARK, Work.DRAWN, Role.MARK, "mark 1"),
        (Layer.SCORE, Work.CREASED, Role.FOLD, "gutter"),
        (Layer.SCORE, Work.CREASED, Role.FOLD, "steps 1"),
        (Layer.SCORE, Work.CREASED, Role.FOLD, "steps 2"),
        (Layer.SCORE, Work.CREASED, Role.FOLD, "steps 3"),
        (Layer.SCORE, Work.CREASED, Role.FOLD, "steps 4"),
        (Layer.CUT, Work.THROUGH, Role.SLIT, "slit 1"),
        (Layer.CUT, Work.PERFORATED, Role.SLIT, "coupon"),
        (Layer.CUT, Work.THROUGH, Role.OPENING, "window"),
        (Layer.CUT, Work.THROUGH, Role.OUTLINE, "outline"),
    ]
    assert {s.side for s in passed.drawing.strokes} == {Side.FRONT}
    assert {s.piece for s in passed.drawing.strokes} == {"base"}


@pytest.mark.parametrize("work", [Work.CREASED, Work.HALF_CUT, Work.PERFORATED])
def test_folds_are_worked_as_the_profile_says(build: Any, work: Work) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    passed = build.run(piece, build.way(work=work, perforation=(2.0, 1.0)), draw)
    (score,) = passed.drawing.on(Layer.SCORE)
    assert score.work is work


def test_arcs_and_folds_that_are_never_turned_are_scored_too(build: Any) -> None:
    arc = Path((Vertex(point(20, 30), 0.5), Vertex(point(80, 30))))
    folds = (
        replace(build.fold("fold 1", path=arc), still=True),
        build.fold("fold 2", (0, 10), (100, 10)),
    )
    passed = build.run(build.piece(folds=folds), build.way(), draw)
    first, second = passed.drawing.on(Layer.SCORE)
    assert first.path.vertices[0].bulge == 0.5
    assert second.source == "fold 2"


def test_coordinates_are_floats(build: Any) -> None:
    third = point(Fraction(1, 3), Fraction(2))
    piece = build.piece(marks=(Mark(name="mark 1", path=line(third, point(5, 5))),))
    (mark,) = build.run(piece, build.way(), draw).drawing.on(Layer.MARK)
    assert isinstance(mark.path.start.x, float)
    assert mark.path.start.floats() == (1 / 3, 2.0)


def test_text_is_told_and_not_drawn(build: Any) -> None:
    passed = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw)
    (note,) = passed.findings
    assert (note.rule, note.severity, note.at) == ("text-not-drawn", Severity.NOTE, (70.0, 200.0))
    assert '"TOP"' in note.message


def test_without_a_way_to_score_folds_are_left_out_with_a_stop(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    passed = build.run(piece, build.way(inset=None), draw)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("no-score-way", Severity.STOP)
    assert "1 fold to score" in stop.message
    assert passed.drawing.on(Layer.SCORE) == ()
    assert build.run(build.piece(), build.way(inset=None), draw).findings == ()


def test_without_a_rhythm_nothing_is_cut_through_that_should_tear(build: Any) -> None:
    piece = build.piece(
        slits=(build.slit("slit 1", (10, 10), (90, 10), how=How.TEAR),),
        folds=(build.fold("fold 1", (0, 30), (100, 30)),),
    )
    passed = build.run(piece, build.way(work=Work.PERFORATED), draw)
    assert [(p.rule, p.place.line) for p in passed.findings] == [
        ("no-perforation-way", 10),
        ("no-perforation-way", 20),
    ]
    assert {s.role for s in passed.drawing.strokes} == {Role.OUTLINE}


def test_figures_that_are_not_worked_in_are_told(build: Any) -> None:
    way = build.way()
    assert way.score is not None
    way = replace(
        way, score=replace(way.score, allowance=build.figure(0.3), shift=build.figure(0.25))
    )
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    (note,) = build.run(piece, way, draw).findings
    assert (note.rule, note.measure_mm) == ("figure-not-applied", 0.25)
    assert "score shift of 0.25 mm" in note.message
    assert build.run(build.piece(), way, draw).findings == ()


def test_a_circle_stays_two_half_circles(build: Any) -> None:
    piece = build.piece(openings=(build.opening("window", circle(point(50, 30), Fraction(8))),))
    (window, _) = build.run(piece, build.way(), draw).drawing.on(Layer.CUT)
    assert window.path.closed
    assert window.path.area == pytest.approx(64.0 * math.pi)
