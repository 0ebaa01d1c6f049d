"""Tests of compiling.doubles: strokes that lie on each other are found (contract R15)."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling.bridges import leave
from foldwright.compiling.doubles import check
from foldwright.compiling.inset import shorten
from foldwright.compiling.kerf import compensate
from foldwright.compiling.perforate import divide
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Mark
from foldwright.geometry import Path, Point, Vertex, circle, line, point, polygon
from foldwright.problems import Problem, Severity

PASSES = (draw, compensate, shorten, divide, leave, check)


def found(build: Any, kerf: float = 0.0, **piece: Any) -> tuple[Problem, ...]:
    way = build.way(kerf=kerf, inset=0.5, perforation=(2.0, 1.0))
    passed = build.run(build.piece(**piece), way, *PASSES)
    problems: tuple[Problem, ...] = passed.findings
    return problems


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
    (stop,) = found(build, slits=slits)
    assert stop.at == pytest.approx((32.5, 40.0))
    assert "(32.5, 40) mm" in stop.message


def test_the_sides_of_a_slot_hardly_wider_than_the_kerf_are_no_doubles(build: Any) -> None:
    """A slot of 0.25 mm and a kerf of 0.2 mm: its sides are drawn 0.05 mm apart, and bridged."""
    corners = ((0, 0), (100, 0), (100, 60), (50.25, 60), (50.25, 20), (50, 20), (50, 60), (0, 60))
    way = build.way(kerf=0.2, bridge=(0.4, 30.0, 5.0))
    piece = build.piece(outline=polygon(*(point(*at) for at in corners)))
    passed = build.run(piece, way, *PASSES)
    assert len(passed.drawing.strokes) == 14
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
    assert [p.rule for p in found(build, slits=overlapping)] == ["overlapping-strokes"]


def test_strokes_that_cross_or_part_at_a_flat_angle_are_no_doubles(build: Any) -> None:
    slits = (
        build.slit("slit 1", (10, 30), (90, 30)),
        build.slit("slit 2", (50, 10), (50, 50)),
        build.slit("slit 3", (10, 30), (90, 31)),
    )
    assert found(build, slits=slits) == ()


def test_a_stroke_that_runs_back_on_itself_is_found(build: Any) -> None:
    (stop,) = found(build, slits=(build.slit("slit 1", (10, 30), (50, 30), (20, 30)),))
    assert stop.at == pytest.approx((35.0, 30.0))


def test_each_pair_is_told_once(build: Any) -> None:
    """Two perforations on each other are dozens of short cuts on each other."""
    slits = tuple(
        build.slit(f"slit {i}", (left, 30), (90, 30), how=How.TEAR)
        for i, left in enumerate((10, 12), 1)
    )
    assert len(found(build, slits=slits)) == 1


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

    assert [p.rule for p in found(build, folds=pair(60))] == ["overlapping-strokes"]
    assert found(build, folds=pair(90)) == ()


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
        assert [p.rule for p in found(build, slits=(first, on_it))] == ["overlapping-strokes"]
    assert found(build, slits=(first, beside)) == ()


def test_the_outline_has_no_name_to_be_told_by(build: Any) -> None:
    piece = build.piece(slits=(build.slit("slit 1", (0, 10), (0, 50)),))
    (finding,) = build.run(piece, build.way(), draw, check).findings
    assert finding.message.startswith(
        'slit "slit 1" and the outline of piece "card" lie on each other at '
    )
