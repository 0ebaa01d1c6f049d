"""Tests of compiling.double_scores: two lines beside a fold, joined like kerbs where folds meet."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling.double_scores import double
from foldwright.compiling.inset import shorten
from foldwright.compiling.perforate import divide
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import Fold, Sense
from foldwright.drawing import Drawing, Layer, Side, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, circle, line, point
from foldwright.geometry.nearest import nearest
from foldwright.problems import Place, Severity
from foldwright.profiles.load import load_material
from foldwright.profiles.model import ToolWay

Spot = tuple[float, float]


def shifted(build: Any, shift: float, inset: float = 0.0, **way: Any) -> ToolWay:
    made = build.way(inset=inset, **way)
    figure = replace(build.figure(shift), place=Place(file="board.toml", line=20))
    found: ToolWay = replace(made, score=replace(made.score, shift=figure))
    return found


def run(build: Any, way: ToolWay, *folds: Fold, **parts: Any) -> Any:
    return build.run(build.piece(folds=folds, **parts), way, draw, shorten, double)


def scored(build: Any, way: ToolWay, *folds: Fold, **parts: Any) -> list[Stroke]:
    passed = run(build, way, *folds, **parts)
    assert passed.findings == ()
    drawing: Drawing = passed.drawing
    return list(drawing.on(Layer.SCORE))


def ends(strokes: list[Stroke], source: str = "fold 1") -> list[tuple[Spot, Spot]]:
    """Start and end of each line, the lesser one first, in order."""
    found = [s.path for s in strokes if s.source == source]
    pairs = [sorted((p.start.floats(), p.end.floats())) for p in found]
    return sorted((first, second) for first, second in pairs)


def close(found: list[tuple[Spot, Spot]], due: list[tuple[Spot, Spot]]) -> None:
    assert len(found) == len(due)
    for pair, wanted in zip(found, due, strict=True):
        assert pair[0] == pytest.approx(wanted[0])
        assert pair[1] == pytest.approx(wanted[1])


def test_without_a_shift_the_single_score_is_left(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    before = build.run(piece, build.way(inset=0.7), draw, shorten).drawing
    assert build.run(piece, build.way(inset=0.7), draw, shorten, double).drawing == before


def test_two_lines_end_where_the_single_one_would(build: Any) -> None:
    scores = scored(build, shifted(build, 0.4, 0.7), build.fold("fold 1", (0, 30), (100, 30)))
    assert ends(scores) == [((0.7, 29.6), (99.3, 29.6)), ((0.7, 30.4), (99.3, 30.4))]
    # The second one is run back: it starts beside the end of the first.
    assert scores[0].path.end.distance(scores[1].path.start) == pytest.approx(0.8)
    assert {(s.work, s.source) for s in scores} == {(Work.CREASED, "fold 1")}


def test_beside_an_arc_they_are_concentric(build: Any) -> None:
    arc = Path((Vertex(Point(20.0, 20.0), -1.0), Vertex(Point(80.0, 20.0))))
    scores = scored(build, shifted(build, 0.5), build.fold("fold 1", path=arc))
    radii = sorted(segment.radius for s in scores for segment in s.path.segments)
    assert radii == pytest.approx([29.5, 30.5])
    for score in scores:
        assert score.path.segments[0].centre.floats() == pytest.approx((50.0, 20.0))
        assert score.path.segments[0].sweep == pytest.approx(
            math.copysign(math.pi, score.path.vertices[0].bulge)
        )


def test_beside_a_closed_fold_both_lines_are_closed(build: Any) -> None:
    ring = build.fold("fold 1", path=circle(point(50, 30), Fraction(10)))
    scores = scored(build, shifted(build, 0.5), ring)
    assert all(s.path.closed for s in scores)
    assert sorted(s.path.length for s in scores) == pytest.approx([19 * math.pi, 21 * math.pi])


def test_round_a_bend_of_one_fold_the_lines_run_on(build: Any) -> None:
    """At a right angle the outer line turns one shift later and the inner one earlier."""
    scores = scored(build, shifted(build, 0.5), build.fold("fold 1", (10, 10), (50, 10), (50, 40)))
    vertices = [[v.at.floats() for v in s.path.vertices] for s in scores]
    for found, due in zip(
        vertices,
        [[(10, 10.5), (49.5, 10.5), (49.5, 40)], [(50.5, 40), (50.5, 9.5), (10, 9.5)]],
        strict=True,
    ):
        assert [pytest.approx(at) for at in due] == found


def test_a_smooth_way_into_an_arc_stays_smooth_and_exact(build: Any) -> None:
    """A line, and from its end a quarter circle of 20 mm: lines of 19.5 and 20.5 mm radius."""
    quarter = math.tan(math.pi / 8.0)
    path = Path((Vertex(point(10, 10)), Vertex(point(40, 10), quarter), Vertex(point(60, 30))))
    scores = scored(build, shifted(build, 0.5), build.fold("fold 1", path=path))
    assert [len(s.path.segments) for s in scores] == [2, 2]
    for score in scores:
        (before, after) = score.path.segments
        first, second = before.direction(1.0), after.direction(0.0)
        assert float(first.cross(second)) == pytest.approx(0.0, abs=1e-9)
    radii = [s.radius for score in scores for s in score.path.segments if not s.is_line]
    assert sorted(radii) == pytest.approx([19.5, 20.5])


def test_where_two_folds_cross_their_lines_meet_at_four_corners(build: Any) -> None:
    """No line enters the strip of the other: each stops at one of (50 ± 0.5, 30 ± 0.5)."""
    scores = scored(
        build,
        shifted(build, 0.5, 0.7),
        build.fold("fold 1", (0, 30), (100, 30)),
        build.fold("fold 2", (50, 0), (50, 60)),
    )
    close(
        ends(scores),
        [
            ((0.7, 29.5), (49.5, 29.5)),
            ((0.7, 30.5), (49.5, 30.5)),
            ((50.5, 29.5), (99.3, 29.5)),
            ((50.5, 30.5), (99.3, 30.5)),
        ],
    )
    corners = {tuple(round(c, 9) for c in at) for pair in ends(scores, "fold 2") for at in pair}
    assert {(49.5, 29.5), (50.5, 29.5), (49.5, 30.5), (50.5, 30.5)} < corners


def test_where_a_fold_ends_on_another_the_far_line_runs_on(build: Any) -> None:
    scores = scored(
        build,
        shifted(build, 0.5),
        build.fold("fold 1", (0, 30), (100, 30)),
        build.fold("fold 2", (50, 30), (50, 60)),
    )
    close(
        ends(scores),
        [
            ((0.0, 29.5), (100.0, 29.5)),
            ((0.0, 30.5), (49.5, 30.5)),
            ((50.5, 30.5), (100.0, 30.5)),
        ],
    )
    # Nothing of the node is left in the line that runs on.
    assert {len(s.path.segments) for s in scores} == {1}


def test_runs_scored_from_either_face_go_on_in_one_line(build: Any) -> None:
    fold = replace(
        build.fold("fold 1", (0, 30), (40, 30), (100, 30)), senses=(Sense.MOUNTAIN, Sense.VALLEY)
    )
    way = shifted(build, 0.5)
    assert way.score is not None
    way = replace(way, score=replace(way.score, valleys_from=Side.BACK))
    scores = scored(build, way, fold)
    assert [s.side for s in scores] == [Side.FRONT, Side.FRONT, Side.BACK, Side.BACK]
    close(
        ends(scores),
        [
            ((0.0, 29.5), (40.0, 29.5)),
            ((0.0, 30.5), (40.0, 30.5)),
            ((40.0, 29.5), (100.0, 29.5)),
            ((40.0, 30.5), (100.0, 30.5)),
        ],
    )


def test_a_slit_that_ends_on_a_fold_parts_the_line_on_its_side_only(build: Any) -> None:
    scores = scored(
        build,
        shifted(build, 0.5, 0.7),
        build.fold("fold 1", (0, 30), (100, 30)),
        slits=(build.slit("slit 1", (50, 10), (50, 30)),),
    )
    close(
        ends(scores),
        [
            ((0.7, 29.5), (49.3, 29.5)),
            ((0.7, 30.5), (99.3, 30.5)),
            ((50.7, 29.5), (99.3, 29.5)),
        ],
    )


def test_a_line_stops_at_an_opening_beside_the_fold_and_goes_on_behind_it(build: Any) -> None:
    """A window 0.3 mm above the fold lies in the way of the upper line only."""
    window = build.opening("window", build.rectangle(20, 30, 25, 40))
    parts = {"openings": (window,)}
    fold = build.fold("fold 1", (0, 29.7), (100, 29.7))
    found = scored(build, shifted(build, 0.5, 1.0), fold, **parts)
    assert [at for pair in ends(found) for at in pair] == [
        pytest.approx(at)
        for at in ((1.0, 29.2), (99.0, 29.2), (1.0, 30.2), (19.0, 30.2), (26.0, 30.2), (99.0, 30.2))
    ]


@pytest.mark.parametrize("height", [59.8, 40.2, 19.8])
def test_a_fold_with_one_line_beside_the_paper_is_scored_once(build: Any, height: float) -> None:
    """Just below the upper edge, and just off the lower and the upper edge of a window."""
    window = build.opening("window", build.rectangle(10, 20, 90, 40))
    fold = build.fold("fold 1", (20, height), (80, height))
    passed = run(build, shifted(build, 0.5), fold, openings=(window,))
    (warn,) = passed.findings
    assert (warn.rule, warn.severity) == ("double-score-no-room", Severity.WARN)
    assert warn.at == pytest.approx((50.0, height))
    (single,) = passed.drawing.on(Layer.SCORE)
    assert single.path == fold.path.rounded()


@pytest.mark.parametrize(("apart", "told"), [(1.9, True), (2.1, False)])
def test_a_panel_narrower_than_a_pair_is_told(build: Any, apart: float, told: bool) -> None:
    """With a shift of 0.5 mm, folds 2 mm apart leave a panel of 1 mm between their lines."""
    folds = (
        build.fold("fold 1", (0, 30), (100, 30)),
        build.fold("fold 2", (0, 30 + apart), (100, 30 + apart)),
        build.fold("fold 3", (0, 10), (100, 10)),
    )
    passed = run(build, shifted(build, 0.5), *folds)
    scores = passed.drawing.on(Layer.SCORE)
    assert len(scores) == (4 if told else 6)
    assert [p.rule for p in passed.findings] == ["double-scores-too-near"] * told
    for warning in passed.findings:
        assert (warning.severity, warning.place.line) == (Severity.WARN, 10)
        assert warning.measure_mm == pytest.approx(0.9)
        assert "a shift of 0.5 mm (board.toml:20)" in warning.message
        assert {s.source: s.path.start.y for s in scores}["fold 1"] == 30.0


def test_pairs_that_overlap_are_told(build: Any) -> None:
    folds = (build.fold("fold 1", (0, 30), (100, 30)), build.fold("fold 2", (10, 30.4), (90, 30.8)))
    (warning,) = run(build, shifted(build, 0.5), *folds).findings
    assert (warning.rule, warning.measure_mm) == (
        "double-scores-too-near",
        pytest.approx(0.2, abs=1e-4),
    )
    crossing = build.fold("fold 2", (10, 10), (90, 50))
    assert run(build, shifted(build, 0.5), folds[0], crossing).findings == ()


def test_folds_drawn_over_each_other_are_left_to_the_pass_that_judges_them(build: Any) -> None:
    folds = (build.fold("fold 1", (0, 30), (100, 30)), build.fold("fold 2", (10, 30), (90, 30)))
    passed = run(build, shifted(build, 0.5), *folds)
    assert {p.rule for p in passed.findings} == {"double-scores-too-near"}
    assert [s.path for s in passed.drawing.on(Layer.SCORE)] == [f.path.rounded() for f in folds]


def test_a_part_between_two_nodes_that_leaves_no_room_is_told(build: Any) -> None:
    """Between crossings 0.8 mm apart a line would have 0.8 mm less two shifts."""
    folds = (
        build.fold("fold 1", (0, 30), (100, 30)),
        build.fold("fold 2", (50, 0), (50, 30)),
        build.fold("fold 3", (50.8, 30), (50.8, 0)),
    )
    passed = run(build, shifted(build, 0.5), *folds)
    assert next((p.rule, p.at) for p in passed.findings) == (
        "double-score-no-room",
        pytest.approx((50.4, 30.0)),
    )
    assert any(
        s.path.start.y == 30.0 for s in passed.drawing.on(Layer.SCORE) if s.source == "fold 1"
    )


def test_an_arc_no_wider_than_the_shift_is_told(build: Any) -> None:
    ring = build.fold("fold 1", path=circle(point(50, 30), Fraction(1, 2)))
    passed = run(build, shifted(build, 0.5), ring)
    (warning,) = passed.findings
    assert warning.rule == "double-score-no-room"
    assert passed.drawing.on(Layer.SCORE)[0].path == ring.path.rounded()


def test_a_curve_in_short_steps_is_joined_beyond_the_steps_at_the_corner(build: Any) -> None:
    """Steps of 0.3 mm of a circle of 20 mm, crossed by a line: as beside the true arc."""
    turn = 2.0 * math.asin(0.3 / 40.0)
    ways = [math.pi / 2.0 + turn * (i - 60) for i in range(121)]
    steps = [Point(50.0 + 20.0 * math.cos(way), 10.0 + 20.0 * math.sin(way)) for way in ways]
    cross = build.fold("fold 2", (50, 0), (50, 60))
    curved = build.fold("fold 1", path=line(*steps))
    bulge = math.tan((ways[-1] - ways[0]) / 4.0)
    arc = build.fold("fold 1", path=Path((Vertex(steps[0], bulge), Vertex(steps[-1]))))
    way = shifted(build, 0.5, 0.7)
    found, due = (ends(scored(build, way, fold, cross)) for fold in (curved, arc))
    assert len(found) == len(due) == 4
    for pair, wanted in zip(found, due, strict=True):
        assert pair[0] == pytest.approx(wanted[0], abs=0.02)
        assert pair[1] == pytest.approx(wanted[1], abs=0.02)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.floats(0.2, 3.0), min_size=1, max_size=12), st.integers(1, 8))
def test_crossed_steps_are_joined_or_told(build: Any, widths: list[float], count: int) -> None:
    """Whatever the steps between crossings: each fold is told or has two lines that keep off."""
    xs = [10.0]
    for width in widths:
        xs.append(xs[-1] + width)
    steps = [(x, 30.0 + 0.2 * (i % 2)) for i, x in enumerate(xs)]
    folds = [build.fold("fold 1", (0.0, 30.0), *steps, (100.0, 30.0))]
    for number in range(count):
        x = 10.0 + 40.0 * number / count
        folds.append(build.fold(f"fold {number + 2}", (x, 0.0), (x, 60.0)))
    passed = run(build, shifted(build, 0.3, 0.5), *folds)
    told = {p.message.split('"')[1] for p in passed.findings}
    for fold in folds:
        lines = [s.path for s in passed.drawing.on(Layer.SCORE) if s.source == fold.name]
        assert lines
        if len(lines) > 1:
            assert all(nearest(fold.path, p.start).away >= 0.25 for p in lines)
        else:
            assert told


def test_beside_a_fold_that_is_scored_once_lines_end_on_its_line(build: Any) -> None:
    """Fold 1 and 2 are too near to each other; fold 3 ends on fold 1."""
    folds = (
        build.fold("fold 1", (0, 30), (100, 30)),
        build.fold("fold 2", (0, 31), (100, 31)),
        build.fold("fold 3", (50, 0), (50, 30)),
    )
    passed = run(build, shifted(build, 0.5), *folds)
    close(
        ends(list(passed.drawing.on(Layer.SCORE)), "fold 3"),
        [((49.5, 0.0), (49.5, 30.0)), ((50.5, 0.0), (50.5, 30.0))],
    )


STAR = st.lists(st.integers(0, 35), min_size=2, max_size=6, unique=True)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(STAR, st.floats(0.1, 0.6))
def test_no_line_enters_the_strip_of_another_fold(
    build: Any, tens: list[int], shift: float
) -> None:
    """Folds from one place at multiples of 10 degrees: lines keep one shift from each."""
    outline = circle(point(0, 0), Fraction(40))
    folds = []
    for number, ten in enumerate(tens, 1):
        way = math.radians(10.0 * ten)
        end = Point(20.0 * math.cos(way), 20.0 * math.sin(way))
        folds.append(build.fold(f"fold {number}", path=line(Point(0.0, 0.0), end)))
    scores = scored(build, shifted(build, shift), *folds, outline=outline)
    for score in scores:
        for fold in folds:
            for segment in score.path.segments:
                for share in (0.0, 0.001, 0.01, 0.1, 0.5, 1.0):
                    assert nearest(fold.path, segment.at(share)).away >= shift - 1e-9
    # Neighbours less than half a turn apart end in one corner.
    ways = sorted(10.0 * ten for ten in tens)
    corners = {
        tuple(round(c, 6) for c in at)
        for score in scores
        for at in (score.path.start.floats(), score.path.end.floats())
    }
    for first, second in pairwise([*ways, ways[0] + 360.0]):
        if 0.0 < second - first < 180.0:
            half = math.radians((first + second) / 2.0)
            reach = shift / math.sin(math.radians((second - first) / 2.0))
            corner = (reach * math.cos(half), reach * math.sin(half))
            assert min(math.dist(corner, at) for at in corners) < 1e-5


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(-0.8, 0.8), st.floats(0.1, 0.8))
def test_the_pair_is_the_same_whichever_way_the_fold_is_drawn(
    build: Any, bulge: float, shift: float
) -> None:
    path = Path((Vertex(Point(20.0, 20.0), bulge), Vertex(Point(60.0, 35.0))))
    there, back = (
        ends(scored(build, shifted(build, shift), build.fold("fold 1", path=way)))
        for way in (path, path.reversed)
    )
    close(there, back)


def test_perforated_pairs_are_divided_line_by_line(build: Any) -> None:
    way = shifted(build, 0.5, 0.5, work=Work.PERFORATED, perforation=(2.0, 1.0))
    piece = build.piece(
        folds=(build.fold("fold 1", (0, 30), (100, 30)), build.fold("fold 2", (50, 0), (50, 30)))
    )
    scores = build.run(piece, way, draw, shorten, double, divide).drawing.on(Layer.SCORE)
    assert {round(float(s.path.start.y), 9) for s in scores if s.source == "fold 1"} == {29.5, 30.5}
    for score in scores:
        if score.source == "fold 1":
            # Ties at the corners that it shares with the other fold's lines.
            assert (
                min(score.path.start.distance(Point(x, 29.5)) for x in (49.5, 50.5)) >= 1.0 - 1e-9
            )


FACTS = {
    fact["id"]: fact
    for fact in tomllib.loads(
        (File(__file__).parents[1] / "published" / "creasing.toml").read_text(encoding="utf-8")
    )["fact"]
}


def channels(caliper: float) -> tuple[float, float, float]:
    """Widths of the channel for a crease: T20 with and across the grain, and T22 for a thin knife.

    T20 is a cover-board mill's for a rule of two points, T22 a paper mill's.
    """
    rule = FACTS["T20"]["value"]
    return (
        rule["with_grain"] * caliper + rule["rule_2pt_mm"],
        rule["cross_grain"] * caliper + rule["rule_2pt_mm"],
        FACTS["T22"]["value"]["factor"] * caliper,
    )


@pytest.mark.parametrize("name", ["board-08", "card-300", "corrugated-e", "greyboard-1"])
def test_double_scores_of_shipped_materials_are_no_wider_than_a_channel(name: str) -> None:
    """Lines farther apart than a crease is wide would leave two folds, not one.

    Nearer than one caliper, the board could not bend round its own thickness
    (common practice, no source).
    """
    profile = load_material(name)
    caliper = profile.caliper.value
    for way in profile.tools.values():
        if way.score is not None and way.score.shift.value > 0.0:
            width = 2.0 * way.score.shift.value
            assert caliper <= width <= max(channels(caliper))


def test_the_channel_of_the_double_score_is_twice_its_shift(build: Any) -> None:
    """E flute of 1.5 mm: two lines 1.5 mm apart, within the 2.66 mm of a channel with the grain."""
    scores = scored(build, shifted(build, 0.75), build.fold("fold 1", (0, 30), (100, 30)))
    (low, _), (high, _) = ends(scores)
    assert high[1] - low[1] == pytest.approx(1.5)
    with_grain, across, thin = channels(1.5)
    assert with_grain == pytest.approx(2.66, abs=0.005)
    assert high[1] - low[1] < with_grain < across
    assert thin == 3.0
