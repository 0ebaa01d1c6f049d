"""Tests of compiling.inset: scores keep their distance from cuts, and only from cuts."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling.inset import shorten
from foldwright.compiling.perforate import divide
from foldwright.compiling.slit_ends import treat
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Sense
from foldwright.drawing import Drawing, Layer, Side, Work
from foldwright.geometry import Path, Point, Vertex, circle, point, polygon
from foldwright.geometry.nearest import nearest
from foldwright.problems import Place, Severity
from foldwright.profiles.model import DashWay, SlitEnd, SlitWay

WAY = {"inset": 0.5, "perforation": (2.0, 1.0)}


def ends(drawing: Drawing, source: str) -> tuple[tuple[float, float], tuple[float, float]]:
    (stroke,) = (stroke for stroke in drawing.on(Layer.SCORE) if stroke.source == source)
    return stroke.path.start.floats(), stroke.path.end.floats()


def scored(build: Any, **parts: Any) -> Drawing:
    passed = build.run(build.piece(**parts), build.way(**WAY), draw, shorten)
    assert passed.findings == ()
    drawing: Drawing = passed.drawing
    return drawing


def test_a_fold_from_edge_to_edge_stops_short_at_both(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    assert ends(drawing, "fold 1") == ((0.5, 30.0), (99.5, 30.0))


def test_without_an_inset_it_runs_full_width(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    passed = build.run(piece, build.way(inset=0.0), draw, shorten)
    assert ends(passed.drawing, "fold 1") == ((0.0, 30.0), (100.0, 30.0))


def test_folds_that_meet_inside_keep_their_ends(build: Any) -> None:
    folds = tuple(
        build.fold(f"fold {i}", (50, 30), at)
        for i, at in enumerate(((0, 30), (100, 30), (50, 0), (50, 60)), 1)
    )
    drawing = scored(build, folds=folds)
    assert ends(drawing, "fold 1") == ((50.0, 30.0), (0.5, 30.0))
    assert ends(drawing, "fold 3") == ((50.0, 30.0), (50.0, 0.5))


def test_a_fold_that_ends_on_the_inside_of_a_slit_stops_short(build: Any) -> None:
    drawing = scored(
        build,
        slits=(build.slit("slit 1", (40, 10), (40, 50)),),
        folds=(build.fold("fold 1", (40, 30), (100, 30)), build.fold("fold 2", (0, 30), (40, 30))),
    )
    assert ends(drawing, "fold 1") == ((40.5, 30.0), (99.5, 30.0))
    # Straight on beyond the slit there is another fold, but the slit parts them.
    assert ends(drawing, "fold 2") == ((0.5, 30.0), (39.5, 30.0))


def test_a_fold_that_starts_at_the_end_of_a_slit_stops_short(build: Any) -> None:
    drawing = scored(
        build,
        slits=(build.slit("slit 1", (40, 10), (40, 50)),),
        folds=(build.fold("fold 1", (40, 50), (100, 50)),),
    )
    assert ends(drawing, "fold 1") == ((40.5, 50.0), (99.5, 50.0))


def test_a_fold_that_goes_on_in_the_line_of_a_slit_stops_short(build: Any) -> None:
    drawing = scored(
        build,
        slits=(build.slit("slit 1", (20, 30), (80, 30)),),
        folds=(build.fold("fold 1", (0, 30), (20, 30)), build.fold("fold 2", (80, 30), (100, 30))),
    )
    assert ends(drawing, "fold 1") == ((0.5, 30.0), (19.5, 30.0))
    assert ends(drawing, "fold 2") == ((80.5, 30.0), (99.5, 30.0))


def test_a_slit_that_ends_on_a_running_fold_leaves_it_whole(build: Any) -> None:
    slits = (build.slit("slit 1", (40, 10), (40, 30)),)
    whole = scored(build, slits=slits, folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    assert ends(whole, "fold 1") == ((0.5, 30.0), (99.5, 30.0))
    # Written as two folds it is the same line.
    parted = scored(
        build,
        slits=slits,
        folds=(build.fold("fold 1", (0, 30), (40, 30)), build.fold("fold 2", (40, 30), (100, 30))),
    )
    assert ends(parted, "fold 1")[1] == (40.0, 30.0)
    assert ends(parted, "fold 2")[0] == (40.0, 30.0)


def test_at_the_corner_of_a_slit_no_fold_runs_on(build: Any) -> None:
    drawing = scored(
        build,
        slits=(build.slit("slit 1", (40, 10), (50, 30), (60, 10)),),
        folds=(build.fold("fold 1", (0, 30), (50, 30)), build.fold("fold 2", (50, 30), (100, 30))),
    )
    assert ends(drawing, "fold 1")[1][0] < 50.0
    assert ends(drawing, "fold 2")[0][0] > 50.0


def test_a_perforated_line_and_an_opening_are_cuts_too(build: Any) -> None:
    drawing = scored(
        build,
        slits=(build.slit("slit 1", (40, 10), (40, 50), how=How.TEAR),),
        openings=(build.opening("window", circle(point(80, 30), Fraction(10))),),
        folds=(build.fold("fold 1", (40, 30), (70, 30)),),
    )
    start, end = ends(drawing, "fold 1")
    assert start == pytest.approx((40.5, 30.0))
    assert end == pytest.approx((69.5, 30.0))


def test_at_a_slant_the_end_keeps_its_distance_from_the_edge(build: Any) -> None:
    """The loss is the inset over sin 45 degrees, so its end is one inset from the edge."""
    drawing = scored(build, folds=(build.fold("fold 1", (0, 20), (40, 60)),))
    assert ends(drawing, "fold 1")[0] == pytest.approx((0.5, 20.5))
    assert ends(drawing, "fold 1")[1] == pytest.approx((39.5, 59.5))


def test_into_a_corner_the_end_keeps_its_distance_from_both_edges(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", (0, 0), (60, 60)),))
    assert ends(drawing, "fold 1")[0] == pytest.approx((0.5, 0.5))


def test_at_a_very_flat_slant_the_loss_is_bounded(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", (0, 0), (100, 2)),))
    assert ends(drawing, "fold 1")[0][0] == pytest.approx(2.0, abs=1e-3)


def test_the_end_of_an_arc_is_shortened_along_it(build: Any) -> None:
    arc = Path((Vertex(Point(20.0, 0.0), -1.0), Vertex(Point(80.0, 0.0))))
    drawing = scored(build, folds=(build.fold("fold 1", path=arc),))
    (stroke,) = drawing.on(Layer.SCORE)
    assert stroke.path.length == pytest.approx(30.0 * math.pi - 1.0)
    assert stroke.path.segments[0].centre.floats() == pytest.approx((50.0, 0.0), abs=1e-9)


def test_lines_that_meet_within_a_micrometre_meet(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", (0.0009, 30.0), (99.9991, 30.0)),))
    assert ends(drawing, "fold 1")[0] == pytest.approx((0.5009, 30.0))


def test_an_end_that_hangs_in_a_panel_meets_nothing(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", (20.0, 30.0), (100, 30)),))
    assert ends(drawing, "fold 1") == ((20.0, 30.0), (99.5, 30.0))


@pytest.mark.parametrize(("right", "kept"), [(23.9, True), (24.1, False)])
def test_a_score_too_short_for_its_insets_is_kept_in_full(
    build: Any, right: float, kept: bool
) -> None:
    """Two insets of 0.5 mm and 3 mm to fold on are 4 mm."""
    piece = build.piece(
        slits=(
            build.slit("slit 1", (20, 10), (20, 50)),
            build.slit("slit 2", (right, 10), (right, 50)),
        ),
        folds=(build.fold("fold 1", (20, 30), (right, 30)),),
    )
    passed = build.run(piece, build.way(**WAY), draw, shorten)
    assert bool(passed.findings) is kept
    assert (ends(passed.drawing, "fold 1") == ((20.0, 30.0), (right, 30.0))) is kept
    if kept:
        (warning,) = passed.findings
        assert (warning.rule, warning.severity) == ("score-too-short", Severity.WARN)
        assert warning.place.line == 10
        assert warning.at == pytest.approx((21.95, 30.0))


def test_closed_folds_have_no_ends(build: Any) -> None:
    drawing = scored(build, folds=(build.fold("fold 1", path=circle(point(50, 30), Fraction(10))),))
    assert drawing.on(Layer.SCORE)[0].path.closed


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(0.05, 0.95), st.floats(0.05, 0.95), st.floats(0.1, 1.5))
def test_no_score_comes_nearer_to_an_edge_than_the_inset(
    build: Any, low: float, high: float, inset: float
) -> None:
    """A fold across a slanted card, ending wherever on its two long edges (contract R21)."""
    outline = polygon(point(0, 0), point(90, 10), point(100, 60), point(5, 45))
    bottom, top = outline.segments[0].at(low), outline.segments[2].at(high)
    piece = build.piece(
        outline=outline, folds=(build.fold("fold 1", bottom.floats(), top.floats()),)
    )
    passed = build.run(piece, build.way(inset=inset), draw, shorten)
    (score,) = passed.drawing.on(Layer.SCORE)
    for end in (score.path.start, score.path.end):
        # Other edges may be nearer than the one it ends on, near a corner.
        assert nearest(outline, end).away <= inset + 1e-6
    middle = nearest(outline, score.path.start).away
    if 0.15 < low < 0.85:
        assert middle == pytest.approx(inset, abs=1e-6)


BOTH_FACES = (Sense.MOUNTAIN, Sense.VALLEY)


def test_a_fold_scored_from_both_faces_runs_on_where_its_sense_changes(build: Any) -> None:
    """With a slit that ends where the runs meet, straight on or at a bend."""
    way = build.way(inset=0.5)
    way = replace(way, score=replace(way.score, valleys_from=Side.BACK))
    for top in (30, 40):
        fold = replace(build.fold("fold 1", (0, 30), (40, 30), (100, top)), senses=BOTH_FACES)
        piece = build.piece(slits=(build.slit("slit 1", (40, 10), (40, 30)),), folds=(fold,))
        first, second = build.run(piece, way, draw, shorten).drawing.on(Layer.SCORE)
        assert {first.side, second.side} == {Side.FRONT, Side.BACK}
        assert first.path.end.floats() == second.path.start.floats() == (40.0, 30.0)
        assert first.path.start.floats() == (0.5, 30.0)


def with_ends(build: Any, end: SlitEnd, size: float, inset: float = 0.5, shift: float = 0.0) -> Any:
    way = build.way(inset=inset)
    return replace(
        way,
        score=replace(way.score, shift=build.figure(shift)),
        slit=SlitWay(end=end, size=build.figure(size)),
    )


def test_a_score_keeps_the_inset_from_the_edge_of_a_relief_hole(build: Any) -> None:
    piece = build.piece(
        slits=(build.slit("slit 1", (40, 10), (40, 50)),),
        folds=(build.fold("fold 1", (40, 50), (100, 50)), build.fold("fold 2", (40, 10), (90, 40))),
    )
    passed = build.run(piece, with_ends(build, SlitEnd.HOLE, 2.0), draw, treat, shorten)
    assert ends(passed.drawing, "fold 1") == ((41.5, 50.0), (99.5, 50.0))
    start, _ = ends(passed.drawing, "fold 2")
    assert math.dist(start, (40.0, 10.0)) == pytest.approx(1.5)
    # Without an inset it ends at the edge of the hole.
    passed = build.run(piece, with_ends(build, SlitEnd.HOLE, 2.0, 0.0), draw, treat, shorten)
    assert ends(passed.drawing, "fold 1") == ((41.0, 50.0), (100.0, 50.0))


def test_a_hole_parts_a_fold_that_runs_on(build: Any) -> None:
    slits = (build.slit("slit 1", (40, 10), (40, 30)),)
    way = with_ends(build, SlitEnd.HOLE, 2.0)
    for folds in (
        (build.fold("fold 1", (0, 30), (100, 30)),),
        (build.fold("fold 1", (0, 30), (40, 30)), build.fold("fold 2", (40, 30), (100, 30))),
    ):
        passed = build.run(build.piece(slits=slits, folds=folds), way, draw, treat, shorten)
        scores = passed.drawing.on(Layer.SCORE)
        assert [(s.path.start.floats(), s.path.end.floats()) for s in scores] == [
            ((0.5, 30.0), (38.5, 30.0)),
            ((41.5, 30.0), (99.5, 30.0)),
        ]


def test_a_hole_opens_a_closed_fold(build: Any) -> None:
    """What is lost is the arc over a chord of 1.5 mm to either side, on a radius of 10 mm."""
    piece = build.piece(
        slits=(build.slit("slit 1", (40, 30), (50, 30)),),
        folds=(build.fold("fold 1", path=circle(point(50, 30), Fraction(10))),),
    )
    passed = build.run(piece, with_ends(build, SlitEnd.HOLE, 2.0), draw, treat, shorten)
    (score,) = passed.drawing.on(Layer.SCORE)
    assert not score.path.closed
    lost = 2 * 20.0 * math.asin(1.5 / 20.0)
    assert score.path.length == pytest.approx(20.0 * math.pi - lost)
    assert {round(segment.radius, 9) for segment in score.path.segments} == {10.0}


@pytest.mark.parametrize(("short", "kept"), [(0.3, 0.4), (0.5, 0.0), (2.0, 0.0)])
def test_a_slit_that_stops_short_leaves_more_of_the_score(
    build: Any, short: float, kept: float
) -> None:
    """The end of the slit stays one inset away: the third side of 0.3, 0.4 and 0.5."""
    piece = build.piece(
        slits=(build.slit("slit 1", (40, 10), (40, 50)),),
        folds=(build.fold("fold 1", (40, 50), (100, 50)),),
    )
    passed = build.run(piece, with_ends(build, SlitEnd.SHORT, short), draw, treat, shorten)
    assert ends(passed.drawing, "fold 1")[0] == pytest.approx((40.0 + kept, 50.0))


def test_both_lines_of_a_double_score_will_keep_the_inset(build: Any) -> None:
    """At 45 degrees the nearer line, 0.3 mm aside, needs 0.3 mm more along the fold."""
    piece = build.piece(folds=(build.fold("fold 1", (0, 20), (40, 60)),))
    way = with_ends(build, SlitEnd.SHORT, 1.0, shift=0.3)
    start, _ = ends(build.run(piece, way, draw, shorten).drawing, "fold 1")
    assert math.dist(start, (0.0, 20.0)) == pytest.approx(0.5 * math.sqrt(2.0) + 0.3)
    straight = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    passed = build.run(straight, way, draw, shorten)
    assert ends(passed.drawing, "fold 1") == ((0.5, 30.0), (99.5, 30.0))


def test_double_scores_of_two_folds_that_end_together_will_not_cross(build: Any) -> None:
    """At 60 degrees to each other they cross at shift / tan 30 from where the folds meet."""
    up = 60 - 30 * math.sqrt(3.0)
    piece = build.piece(
        folds=(build.fold("fold 1", (50, 60), (20, up)), build.fold("fold 2", (50, 60), (80, up)))
    )
    passed = build.run(piece, with_ends(build, SlitEnd.SHORT, 1.0, shift=0.5), draw, shorten)
    start, _ = ends(passed.drawing, "fold 1")
    assert math.dist(start, (50.0, 60.0)) == pytest.approx(0.5 / math.tan(math.radians(30.0)))


@pytest.mark.parametrize("work", [Work.PERFORATED, Work.HALF_CUT])
def test_perforations_and_dashes_keep_the_inset_too(build: Any, work: Work) -> None:
    way = build.way(inset=0.5, work=work, perforation=(2.0, 1.0))
    dashes = DashWay(burn=build.figure(4.0), skip=build.figure(1.0))
    if work is Work.HALF_CUT:
        way = replace(way, score=replace(way.score, dashes=dashes))
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    scores = build.run(piece, way, draw, shorten, divide).drawing.on(Layer.SCORE)
    assert len(scores) > 10
    assert min(s.path.box()[0] for s in scores) >= 0.5
    assert max(s.path.box()[2] for s in scores) <= 99.5


def test_a_score_too_short_names_where_the_inset_was_written(build: Any) -> None:
    way = build.way(inset=0.5)
    inset = replace(way.score.inset, place=Place(file="card.toml", line=24))
    way = replace(way, score=replace(way.score, inset=inset))
    piece = build.piece(
        slits=(build.slit("slit 1", (20, 10), (20, 50)), build.slit("slit 2", (23, 10), (23, 50))),
        folds=(build.fold("fold 1", (20, 30), (23, 30)),),
    )
    (warning,) = build.run(piece, way, draw, shorten).findings
    assert "no inset of 0.5 mm (card.toml:24)" in warning.message
    assert (warning.place.line, warning.measure_mm) == (10, 3.0)
