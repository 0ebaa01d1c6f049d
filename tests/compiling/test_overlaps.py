"""Tests of compiling.overlaps: strokes that lie on each other are found (contract R15)."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling import Passed, overlaps
from foldwright.compiling.inset import shorten
from foldwright.compiling.kerf import compensate
from foldwright.compiling.overlaps import settle
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Mark, Sense
from foldwright.drawing import Layer, Role, Side, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, circle, line, point, polygon
from foldwright.problems import Problem, Severity

PASSES = (draw, compensate, shorten, settle)


def found(build: Any, kerf: float = 0.0, **piece: Any) -> tuple[Problem, ...]:
    way = build.way(kerf=kerf, inset=0.5, perforation=(2.0, 1.0))
    passed = build.run(build.piece(**piece), way, *PASSES)
    problems: tuple[Problem, ...] = passed.findings
    return problems


def settled(build: Any, kerf: float = 0.0, **piece: Any) -> Passed:
    way = build.way(kerf=kerf, inset=0.0)
    passed: Passed = build.run(build.piece(**piece), way, draw, compensate, settle)
    return passed


def strokes(passed: Passed, role: Role) -> list[tuple[str, list[tuple[float, float]]]]:
    """The sources of some strokes, and their vertices."""
    return [
        (
            stroke.source,
            [(round(float(v.at.x), 6), round(float(v.at.y), 6)) for v in stroke.path.vertices],
        )
        for stroke in passed.drawing.strokes
        if stroke.role is role
    ]


def test_a_card_without_doubles_passes_as_it_is(build: Any) -> None:
    way = build.way(kerf=0.1, inset=0.5, perforation=(2.0, 1.0), bridge=(0.4, 60.0, 5.0))
    before = build.run(build.step_card(), way, *PASSES[:-1])
    after = build.run(build.step_card(), way, *PASSES)
    assert after.drawing == before.drawing
    assert after.findings == before.findings


def test_a_score_on_a_slit_is_a_stop(build: Any) -> None:
    # The score ends four insets early, as it does on any cut in its own direction.
    (stop,) = found(
        build,
        folds=(build.fold("fold 1", (20, 30), (80, 30)),),
        slits=(build.slit("slit 1", (50, 30), (90, 30)),),
    )
    assert (stop.rule, stop.severity) == ("overlapping-strokes", Severity.STOP)
    assert 'fold "fold 1" and slit "slit 1"' in stop.message
    assert stop.at == pytest.approx((64.0, 30.0), abs=0.5)
    assert stop.place.line == 20


@pytest.mark.parametrize("kerf", [0.0, 0.2])
def test_a_fold_or_a_slit_on_an_edge_is_found_though_the_edge_moved(
    build: Any, kerf: float
) -> None:
    on_edge = found(build, kerf, folds=(build.fold("fold 1", (10, 0), (80, 0)),))
    assert [p.rule for p in on_edge] == ["overlapping-strokes"]
    window = build.opening("window", build.rectangle(20, 20, 40, 40))
    on_window = found(
        build, kerf, openings=(window,), slits=(build.slit("slit 1", (40, 10), (40, 50)),)
    )
    assert [p.rule for p in on_window] == ["overlapping-strokes"]


def test_the_place_is_the_middle_of_the_shared_stretch(build: Any) -> None:
    slits = (build.slit("slit 1", (10, 10), (40, 50)), build.slit("slit 2", (25, 30), (49, 62)))
    (note,) = found(build, slits=slits)
    assert note.at == pytest.approx((32.5, 40.0))
    assert "(32.5, 40) mm" in note.message


def test_the_sides_of_a_slot_hardly_wider_than_the_kerf_are_no_doubles(build: Any) -> None:
    """A slot of 0.25 mm and a kerf of 0.2 mm: its sides are drawn 0.05 mm apart."""
    corners = ((0, 0), (100, 0), (100, 60), (50.25, 60), (50.25, 20), (50, 20), (50, 60), (0, 60))
    way = build.way(kerf=0.2, bridge=(0.4, 30.0, 5.0))
    piece = build.piece(outline=polygon(*(point(*at) for at in corners)))
    passed = build.run(piece, way, *PASSES)
    assert len(passed.drawing.strokes) == 1
    assert passed.findings == ()


def test_a_stroke_beyond_the_kerfs_reach_is_no_double(build: Any) -> None:
    near = found(build, 0.2, folds=(build.fold("fold 1", (10.0, 0.01), (80.0, 0.01)),))
    assert near == ()


def test_strokes_that_meet_end_to_end_are_no_doubles(build: Any) -> None:
    slits = (build.slit("slit 1", (10, 30), (50, 30)), build.slit("slit 2", (50, 30), (90, 30)))
    assert found(build, slits=slits) == ()
    overlapping = (
        build.slit("slit 1", (10.0, 30.0), (50.0, 30.0)),
        build.slit("slit 2", (49.99, 30.0), (90.0, 30.0)),
    )
    assert [p.rule for p in found(build, slits=overlapping)] == ["overlap-merged"]


def test_strokes_that_cross_or_part_at_a_flat_angle_are_no_doubles(build: Any) -> None:
    slits = (
        build.slit("slit 1", (10, 30), (90, 30)),
        build.slit("slit 2", (50, 10), (50, 50)),
        build.slit("slit 3", (10, 30), (90, 31)),
    )
    assert found(build, slits=slits) == ()


def test_a_stroke_that_runs_back_on_itself_runs_there_once(build: Any) -> None:
    passed = settled(build, slits=(build.slit("slit 1", (10, 30), (50, 30), (20, 30)),))
    (note,) = passed.findings
    assert note.rule == "overlap-merged"
    assert note.at == pytest.approx((35.0, 30.0))
    assert strokes(passed, Role.SLIT) == [("slit 1", [(10.0, 30.0), (50.0, 30.0)])]


def test_each_pair_is_told_once(build: Any) -> None:
    """A slit that runs along a fold three times."""
    slits = (build.slit("slit 1", (10, 30), (30, 30), (40, 40), (50, 30), (70, 30)),)
    folds = (build.fold("fold 1", (5, 30), (95, 30)),)
    assert [p.rule for p in found(build, slits=slits, folds=folds)] == ["overlapping-strokes"]


@pytest.mark.parametrize(
    ("spans", "expected"),
    [
        # What two lines share, and one line for both of them.
        (((10, 50), (40, 90)), {"slit 1": [(10, 90)]}),
        (((40, 90), (10, 50)), {"slit 1": [(10, 90)]}),
        (((10, 50), (90, 40)), {"slit 1": [(10, 90)]}),
        (((10, 90), (30, 40)), {"slit 1": [(10, 90)]}),
        (((30, 40), (10, 90)), {"slit 1": [(10, 90)]}),
        (((10, 90), (10, 90)), {"slit 1": [(10, 90)]}),
        (((10, 90), (90, 10)), {"slit 1": [(10, 90)]}),
        # Three in a chain, and one that joins two that do not meet.
        (((10, 40), (30, 60), (50, 90)), {"slit 1": [(10, 90)]}),
        (((10, 40), (60, 90), (30, 70)), {"slit 1": [(10, 90)]}),
        # None of these has more than an end in common.
        (((10, 40), (40, 90)), {"slit 1": [(10, 40)], "slit 2": [(40, 90)]}),
    ],
)
def test_slits_on_one_line_become_their_union(
    build: Any, spans: tuple[tuple[int, int], ...], expected: dict[str, list[tuple[int, int]]]
) -> None:
    """On a line with a slope of 4 to 3, so that all its places are whole millimetres."""
    slits = tuple(
        build.slit(f"slit {i}", *((3 * at, 4 * at) for at in span))
        for i, span in enumerate(spans, 1)
    )
    passed = settled(build, outline=build.rectangle(0, 0, 400, 400), slits=slits)
    found: dict[str, list[tuple[int, ...]]] = {}
    for source, places in strokes(passed, Role.SLIT):
        assert all(y * 3 == pytest.approx(4 * x) for x, y in places)
        found.setdefault(source, []).append(tuple(sorted(round(x / 3) for x, _ in places)))
    assert found == expected
    notes = [p for p in passed.findings if p.rule == "overlap-merged"]
    assert bool(notes) == (len(expected) == 1)
    assert {p.severity for p in passed.findings} <= {Severity.NOTE}


def test_what_leaves_the_shared_stretch_sideways_goes_on_from_it(build: Any) -> None:
    slits = (
        build.slit("slit 1", (10, 30), (50, 30)),
        build.slit("slit 2", (20, 30), (50, 30), (60, 50)),
        build.slit("slit 3", (25, 30), (30, 30), (30, 40)),
    )
    passed = settled(build, slits=slits)
    assert strokes(passed, Role.SLIT) == [
        ("slit 1", [(10.0, 30.0), (50.0, 30.0), (60.0, 50.0)]),
        # It branches off in the middle, and stays a stroke of its own.
        ("slit 3", [(30.0, 30.0), (30.0, 40.0)]),
    ]


def test_folds_of_one_sense_are_merged_and_others_are_not(build: Any) -> None:
    folds = (build.fold("fold 1", (10, 30), (50, 30)), build.fold("fold 2", (40, 30), (90, 30)))
    assert [p.rule for p in found(build, folds=folds)] == ["overlap-merged"]
    other = replace(folds[1], senses=(Sense.MOUNTAIN,))
    assert [p.rule for p in found(build, folds=(folds[0], other))] == ["overlapping-strokes"]


def test_a_perforated_slit_and_a_plain_one_are_not_merged(build: Any) -> None:
    slits = (
        build.slit("slit 1", (10, 30), (50, 30)),
        build.slit("slit 2", (40, 30), (90, 30), how=How.TEAR),
    )
    assert [p.rule for p in found(build, slits=slits)] == ["overlapping-strokes"]


def test_strokes_on_two_layers_and_from_two_sides_are_refused(build: Any) -> None:
    """Made by hand: one line as a score, a cut and a mark, from the front and from the back."""
    path = line(point(10, 30), point(90, 30))
    kinds = (
        (Layer.SCORE, Work.CREASED, Side.FRONT, Role.FOLD, "fold 1"),
        (Layer.SCORE, Work.CREASED, Side.BACK, Role.FOLD, "fold 2"),
        (Layer.CUT, Work.THROUGH, Side.FRONT, Role.SLIT, "slit 1"),
        (Layer.MARK, Work.DRAWN, Side.FRONT, Role.MARK, "mark 1"),
    )
    drawn = tuple(
        Stroke(path=path, layer=layer, work=work, piece="card", source=source, role=role, side=side)
        for layer, work, side, role, source in kinds
    )
    job = build.job(build.piece(), build.way())
    passed = settle(build.blank(build.piece()).with_strokes(drawn), job)
    assert passed.drawing.strokes == drawn
    assert [p.severity for p in passed.findings].count(Severity.STOP) == 3
    assert [p.severity for p in passed.findings].count(Severity.WARN) == 3


def test_two_relief_holes_at_one_place_are_one(build: Any) -> None:
    holes = tuple(
        Stroke(
            path=circle(point(20, 20), Fraction(1)).rounded(),
            layer=Layer.CUT,
            work=Work.THROUGH,
            piece="card",
            source=name,
            role=Role.RELIEF,
        )
        for name in ("slit 1", "slit 2")
    )
    job = build.job(build.piece(), build.way())
    passed = settle(build.blank(build.piece()).with_strokes(holes), job)
    assert passed.drawing.strokes == holes[:1]


def test_edges_on_edges_are_refused(build: Any) -> None:
    windows = (
        build.opening("window 1", build.rectangle(10, 10, 30, 30)),
        build.opening("window 2", build.rectangle(30, 20, 50, 50)),
    )
    assert [p.rule for p in found(build, openings=windows)] == ["overlapping-strokes"]
    assert [p.rule for p in found(build, 0.2, openings=windows)] == ["overlapping-strokes"]


def test_a_mark_on_a_cut_is_only_warned_of(build: Any) -> None:
    marks = (Mark(name="mark 1", path=line(point(20, 30), point(40, 30))),)
    (warning,) = found(build, marks=marks, slits=(build.slit("slit 1", (10, 30), (50, 30)),))
    assert warning.severity is Severity.WARN


def test_arcs_of_one_circle_that_overlap_are_found(build: Any) -> None:
    def arc(start: float, end: float) -> Path:
        a, b = math.radians(start), math.radians(end)
        return Path(
            (
                Vertex(Point(50 + 20 * math.cos(a), 30 + 20 * math.sin(a)), math.tan((b - a) / 4)),
                Vertex(Point(50 + 20 * math.cos(b), 30 + 20 * math.sin(b))),
            )
        )

    def pair(start: float) -> Any:
        return (build.fold("fold 1", path=arc(0, 90)), build.fold("fold 2", path=arc(start, 150)))

    passed = settled(build, folds=pair(60))
    assert [p.rule for p in passed.findings] == ["overlap-merged"]
    (merged,) = [stroke.path for stroke in passed.drawing.strokes if stroke.role is Role.FOLD]
    (whole,) = merged.segments
    assert math.degrees(whole.sweep) == pytest.approx(150.0)
    assert whole.radius == pytest.approx(20.0)
    assert whole.centre.floats() == pytest.approx((50.0, 30.0))
    assert found(build, folds=pair(90)) == ()


def test_arcs_that_make_up_a_circle_close_it(build: Any) -> None:
    ring = circle(point(50, 30), Fraction(20)).rounded()
    first = Path((ring.vertices[0], Vertex(ring.vertices[1].at)))
    # A second slit of three quarters, over the end of the first half.
    second = ring.stretch(ring.length / 4.0, ring.length)
    slits = tuple(
        replace(build.slit(f"slit {i}", (0, 0), (1, 1)), path=path)
        for i, path in enumerate((first, second), 1)
    )
    passed = settled(build, slits=slits)
    (path,) = [stroke.path for stroke in passed.drawing.strokes if stroke.role is Role.SLIT]
    assert path.closed
    assert path.length == pytest.approx(ring.length)
    assert {round(segment.radius, 9) for segment in path.segments} == {20.0}


def test_arcs_that_only_share_their_ends_are_no_doubles(build: Any) -> None:
    folds = tuple(
        build.fold(f"fold {i}", path=Path((Vertex(point(20, 30), b), Vertex(point(80, 30)))))
        for i, b in enumerate((0.3, 0.31, -0.3), 1)
    )
    assert found(build, folds=folds) == ()


def test_a_line_that_touches_a_circle_is_no_double(build: Any) -> None:
    window = build.opening("window", circle(point(50, 30), Fraction(10)))
    assert (
        found(build, 0.2, openings=(window,), slits=(build.slit("slit 1", (10, 20), (90, 20)),))
        == ()
    )


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.floats(0.0, math.pi),
    st.floats(0.0, 20.0),
    st.floats(0.1, 20.0),
    st.floats(-1.0, 1.0).filter(lambda off: abs(off) > 0.01),
)
def test_overlaps_are_found_at_any_slant_and_parallels_are_none(
    build: Any, turn: float, start: float, length: float, off: float
) -> None:
    """One line of 20 mm about the card's middle; another along it, or beside it."""
    ux, uy = math.cos(turn), math.sin(turn)

    def along(a: float, b: float, aside: float = 0.0) -> tuple[tuple[float, float], ...]:
        return tuple((50 + t * ux - aside * uy, 30 + t * uy + aside * ux) for t in (a, b))

    first = build.slit("slit 1", *along(0.0, 20.0))
    on_it = build.slit("slit 2", *along(start, start + length))
    beside = build.slit("slit 2", *along(start, start + length, off))
    shared = min(20.0, start + length) - start
    if shared > 0.01:
        passed = settled(build, slits=(first, on_it))
        assert [p.rule for p in passed.findings] == ["overlap-merged"]
        ((source, (low, high)),) = strokes(passed, Role.SLIT)
        assert source == "slit 1"
        whole = max(20.0, start + length)
        assert math.dist(low, high) == pytest.approx(whole, abs=1e-2)
    assert found(build, slits=(first, beside)) == ()


def test_the_outline_has_no_name_to_be_told_by(build: Any) -> None:
    piece = build.piece(slits=(build.slit("slit 1", (0, 10), (0, 50)),))
    (finding,) = build.run(piece, build.way(), draw, settle).findings
    assert finding.message.startswith(
        'slit "slit 1" and the outline of piece "card" lie on each other at '
    )


PLACES = st.builds(lambda x, y: Point(10.0 * x, 10.0 * y), st.integers(0, 4), st.integers(0, 3))
LINES = st.builds(
    lambda places, bulge: Path(
        tuple(Vertex(at, bulge if i % 2 else 0.0) for i, at in enumerate(places))
    ),
    st.lists(PLACES, min_size=2, max_size=4, unique=True),
    st.sampled_from((0.0, 0.0, 1.0, -1.0, 0.4)),
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.lists(LINES, min_size=1, max_size=6), st.sampled_from((0.0, 0.2)))
def test_many_segments_at_once_are_judged_as_each_by_itself(
    build: Any, paths: list[Path], kerf: float
) -> None:
    """On a coarse grid lines often lie on each other, and on the edges of a window."""
    slits = tuple(
        replace(build.slit(f"slit {i}", (0, 0), (1, 1)), path=path) for i, path in enumerate(paths)
    )
    windows = (build.opening("window", build.rectangle(10, 10, 30, 20)),)
    few = settled(build, kerf, slits=slits, openings=windows)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(overlaps, "_MANY", 0)
        many = settled(build, kerf, slits=slits, openings=windows)
    assert few == many
