"""Tests of compiling.perforate: real short cuts, ties at both ends, a rhythm that fits."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling.perforate import divide, rhythm
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Slit
from foldwright.drawing import Layer, Role, Work
from foldwright.geometry import circle, point
from foldwright.problems import Severity


def test_a_rhythm_that_fits_is_left_as_it_is() -> None:
    assert rhythm(10.0, 2.0, 1.0, closed=False) == [(1.0, 3.0), (4.0, 6.0), (7.0, 9.0)]


def test_a_closed_line_has_as_many_ties_as_cuts() -> None:
    assert rhythm(9.0, 2.0, 1.0, closed=True) == [(0.5, 2.5), (3.5, 5.5), (6.5, 8.5)]


@given(st.floats(4.0, 400.0), st.floats(0.5, 5.0), st.floats(0.3, 3.0))
def test_ties_stand_at_both_ends_and_all_are_alike(length: float, cut: float, tie: float) -> None:
    places = rhythm(length, cut, tie, closed=False)
    edges = [0.0, *(edge for place in places for edge in place), length]
    ties = [high - low for low, high in zip(edges[::2], edges[1::2], strict=True)]
    cuts = [high - low for low, high in places]
    assert max(ties) - min(ties) < 1e-9
    assert max(cuts) - min(cuts) < 1e-9
    assert cuts[0] / ties[0] == pytest.approx(cut / tie)
    # With at least three cuts the rhythm is off by less than a sixth.
    if len(places) >= 3:
        assert 5 / 6 < cuts[0] / cut < 7 / 6


def torn(build: Any, *places: tuple[float, float]) -> Any:
    return build.piece(slits=(build.slit("slit 1", *places, how=How.TEAR),))


def test_a_line_that_tears_becomes_cuts_with_ties(build: Any) -> None:
    way = build.way(perforation=(2.0, 1.0))
    passed = build.run(torn(build, (10, 20), (20, 20)), way, draw, divide)
    cuts = [s for s in passed.drawing.strokes if s.role is Role.SLIT]
    assert [(s.path.start.floats(), s.path.end.floats()) for s in cuts] == [
        (pytest.approx((11.0, 20.0)), pytest.approx((13.0, 20.0))),
        (pytest.approx((14.0, 20.0)), pytest.approx((16.0, 20.0))),
        (pytest.approx((17.0, 20.0)), pytest.approx((19.0, 20.0))),
    ]
    assert {(s.layer, s.work, s.source) for s in cuts} == {(Layer.CUT, Work.PERFORATED, "slit 1")}
    assert passed.findings == ()


def test_a_perforated_score_is_divided_on_its_own_layer(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    way = build.way(work=Work.PERFORATED, perforation=(2.0, 1.0))
    scores = build.run(piece, way, draw, divide).drawing.on(Layer.SCORE)
    assert len(scores) == 33
    assert {s.work for s in scores} == {Work.PERFORATED}


def test_the_kerf_comes_off_both_ends_of_a_cut(build: Any) -> None:
    way = build.way(kerf=0.2, perforation=(2.0, 1.0))
    passed = build.run(torn(build, (10, 20), (20, 20)), way, draw, divide)
    first = next(s for s in passed.drawing.strokes if s.role is Role.SLIT)
    assert first.path.box()[0::2] == pytest.approx((11.1, 12.9))


def test_cuts_run_along_arcs_and_round_corners(build: Any) -> None:
    ring = Slit(name="ring", path=circle(point(50, 30), Fraction(10)), how=How.TEAR)
    way = build.way(perforation=(2.0, 1.0))
    passed = build.run(build.piece(slits=(ring,)), way, draw, divide)
    cuts = [s.path for s in passed.drawing.strokes if s.role is Role.SLIT]
    assert len(cuts) == round(20 * math.pi / 3)
    assert math.fsum(path.length for path in cuts) == pytest.approx(20 * math.pi * 2 / 3)
    for path in cuts:
        assert not path.closed
        for segment in path.segments:
            assert segment.radius == pytest.approx(10.0)
    bent = build.run(torn(build, (10, 20), (20, 20), (20, 30)), way, draw, divide)
    lengths = [s.path.length for s in bent.drawing.strokes if s.role is Role.SLIT]
    assert max(lengths) - min(lengths) < 1e-9


def test_a_line_too_short_for_its_rhythm_is_told(build: Any) -> None:
    way = build.way(perforation=(2.0, 1.0))
    passed = build.run(torn(build, (10, 20), (12, 20)), way, draw, divide)
    (warning,) = passed.findings
    assert (warning.rule, warning.severity) == ("perforation-pressed", Severity.WARN)
    assert warning.measure_mm == pytest.approx(1.0)
    assert warning.place.line == 20


def test_cuts_no_longer_than_the_kerf_are_never_drawn(build: Any) -> None:
    way = build.way(kerf=0.5, perforation=(0.5, 0.5))
    passed = build.run(torn(build, (10, 20), (11.5, 20)), way, draw, divide)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("perforation-too-fine", Severity.STOP)
    assert [s.role for s in passed.drawing.strokes] == [Role.OUTLINE]
