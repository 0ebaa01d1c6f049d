"""Tests of compiling.strokes: every line of a piece becomes the right kind of stroke."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling.strokes import draw, sided
from foldwright.design.pieces import Fold, How, Mark, Sense
from foldwright.drawing import Layer, Role, Side, Work
from foldwright.geometry import Path, Vertex, circle, line, point
from foldwright.problems import Severity
from foldwright.profiles.machine import Lies, Machine
from foldwright.profiles.model import SlitWay

MOUNTAIN, VALLEY = Sense.MOUNTAIN, Sense.VALLEY


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


def folded(build: Any, *senses: Sense, path: Path | None = None, still: bool = False) -> Fold:
    """A fold of one straight segment a sense, from the left edge to the right."""
    if path is None:
        step = Fraction(100, len(senses))
        path = line(*(point(step * i, 30) for i in range(len(senses) + 1)))
    found: Fold = replace(build.fold("fold 1", path=path), senses=senses, still=still)
    return found


def scored(build: Any, fold: Fold, work: Work = Work.CREASED, side: Side = Side.BACK) -> Any:
    way = build.way(work=work, perforation=(2.0, 1.0))
    way = replace(way, score=replace(way.score, valleys_from=side))
    return build.run(build.piece(folds=(fold,)), way, draw)


def test_valleys_are_scored_from_the_back_where_the_profile_says_so(build: Any) -> None:
    """The groove of a score lies outside of the fold: published/creasing.toml, T25."""
    passed = scored(build, folded(build, VALLEY, VALLEY, MOUNTAIN, VALLEY))
    scores = passed.drawing.on(Layer.SCORE)
    assert [(s.side, s.path.box()[0::2]) for s in scores] == [
        (Side.BACK, (0.0, 50.0)),
        (Side.FRONT, (50.0, 75.0)),
        (Side.BACK, (75.0, 100.0)),
    ]
    assert {(s.source, s.role) for s in scores} == {("fold 1", Role.FOLD)}
    # The second vertex lies inside a run of one sense, which stays one stroke.
    assert [len(s.path.segments) for s in scores] == [2, 1, 1]
    assert passed.drawing.on(Layer.CUT)[0].side is Side.FRONT


def test_from_the_front_a_fold_of_both_senses_is_one_stroke(build: Any) -> None:
    (score,) = scored(build, folded(build, VALLEY, MOUNTAIN), side=Side.FRONT).drawing.on(
        Layer.SCORE
    )
    assert (score.side, len(score.path.segments)) == (Side.FRONT, 2)


def test_a_closed_fold_is_parted_only_where_its_sense_changes(build: Any) -> None:
    corners = line(point(20, 20), point(60, 20), point(60, 50), point(20, 50))
    ring = Path(corners.vertices, closed=True)
    back, front = scored(
        build, folded(build, VALLEY, MOUNTAIN, VALLEY, VALLEY, path=ring)
    ).drawing.on(Layer.SCORE)
    assert {s.side for s in (back, front)} == set(Side)
    lengths = {s.side: s.path.length for s in (back, front)}
    assert lengths == {Side.FRONT: 30.0, Side.BACK: 110.0}
    (whole,) = scored(build, folded(build, *(VALLEY,) * 4, path=ring)).drawing.on(Layer.SCORE)
    assert whole.path.closed and whole.side is Side.BACK


@given(st.lists(st.sampled_from([MOUNTAIN, VALLEY]), min_size=1, max_size=9))
def test_the_runs_of_a_fold_are_the_fold(senses: list[Sense]) -> None:
    """End to end they give its segments again, arcs untouched, and neighbours change face."""
    vertices = tuple(Vertex(point(10 * i, i % 3), 0.1 * (i % 4)) for i in range(len(senses) + 1))
    made = Fold(name="fold 1", path=Path(vertices), senses=tuple(senses), angle=Fraction(180))
    runs = sided(made, Side.BACK)
    segments = [segment for path, _ in runs for segment in path.segments]
    assert segments == list(made.path.segments)
    sides = [side for path, side in runs for _ in path.segments]
    assert sides == [Side.BACK if sense is VALLEY else Side.FRONT for sense in senses]
    assert all(before[1] is not after[1] for before, after in pairwise(runs))


def test_a_valley_half_cut_from_the_front_is_told(build: Any) -> None:
    """A half cut belongs on the mountain side: common practice, no source."""
    passed = scored(build, folded(build, MOUNTAIN, VALLEY), Work.HALF_CUT, Side.FRONT)
    (warning,) = passed.findings
    assert (warning.rule, warning.severity) == ("half-cut-inside", Severity.WARN)
    assert (warning.at, warning.place.line) == ((75.0, 30.0), 10)
    assert 'valleys_from = "back"' in warning.mend
    for work, side, senses, still in (
        (Work.HALF_CUT, Side.BACK, (MOUNTAIN, VALLEY), False),
        (Work.HALF_CUT, Side.FRONT, (MOUNTAIN, MOUNTAIN), False),
        (Work.HALF_CUT, Side.FRONT, (VALLEY, VALLEY), True),
        (Work.CREASED, Side.FRONT, (VALLEY, VALLEY), False),
    ):
        made = folded(build, *senses, still=still)
        assert scored(build, made, work, side).findings == ()


def test_face_down_it_is_the_mountains_that_are_half_cut_inside(build: Any) -> None:
    machine = Machine(name="bench", width=300.0, height=200.0, face=Lies.DOWN)
    way = build.way(work=Work.HALF_CUT)
    made = build.piece(folds=(folded(build, MOUNTAIN, VALLEY),))
    found = build.compiled(made, way, machine=machine).findings
    (warning,) = (one for one in found if one.rule == "half-cut-inside")
    assert (warning.at, warning.place.line) == ((25.0, 30.0), 10)
    assert "1 mountain " in warning.message and "the back" in warning.message
    made = build.piece(folds=(folded(build, VALLEY, VALLEY),))
    found = build.compiled(made, way, machine=machine).findings
    assert not [one for one in found if one.rule == "half-cut-inside"]


@pytest.mark.parametrize(
    ("how", "slit_way", "work"),
    [
        (How.CUT, SlitWay(), Work.THROUGH),
        (How.CUT, SlitWay(work=Work.HALF_CUT), Work.HALF_CUT),
        (How.CUT, SlitWay(bridged=True), Work.THROUGH),
        (How.TEAR, SlitWay(work=Work.HALF_CUT), Work.PERFORATED),
        (How.TEAR, SlitWay(tear=Work.HALF_CUT), Work.HALF_CUT),
    ],
)
def test_slits_are_worked_as_the_profile_says(
    build: Any, how: How, slit_way: SlitWay, work: Work
) -> None:
    way = replace(build.way(perforation=(2.0, 1.0)), slit=slit_way)
    piece = build.piece(slits=(build.slit("slit 1", (10, 10), (90, 10), how=how),))
    (slit,) = (s for s in build.run(piece, way, draw).drawing.strokes if s.role is Role.SLIT)
    # Openings and outlines are cut through whatever becomes of slits.
    assert (slit.layer, slit.work) == (Layer.CUT, work)


def test_a_tear_line_cut_to_depth_needs_no_rhythm(build: Any) -> None:
    way = replace(build.way(), slit=SlitWay(tear=Work.HALF_CUT))
    piece = build.piece(slits=(build.slit("slit 1", (10, 10), (90, 10), how=How.TEAR),))
    assert build.run(piece, way, draw).findings == ()


def test_a_circle_stays_two_half_circles(build: Any) -> None:
    piece = build.piece(openings=(build.opening("window", circle(point(50, 30), Fraction(8))),))
    (window, _) = build.run(piece, build.way(), draw).drawing.on(Layer.CUT)
    assert window.path.closed
    assert window.path.area == pytest.approx(64.0 * math.pi)
