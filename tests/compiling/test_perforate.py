"""Tests of compiling.perforate: real short cuts, ties at both ends, a rhythm that fits."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling.inset import shorten
from foldwright.compiling.perforate import divide, rhythm
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Slit
from foldwright.drawing import Layer, Role, Work
from foldwright.geometry import Path, Point, circle, point
from foldwright.geometry.nearest import nearest
from foldwright.problems import Severity
from foldwright.profiles.model import DashWay


def test_a_rhythm_that_fits_is_left_as_it_is() -> None:
    assert rhythm(10.0, 2.0, 1.0, closed=False) == [(1.0, 3.0), (4.0, 6.0), (7.0, 9.0)]


def test_a_closed_line_has_as_many_ties_as_cuts() -> None:
    assert rhythm(9.0, 2.0, 1.0, closed=True) == [(0.5, 2.5), (3.5, 5.5), (6.5, 8.5)]


def test_the_fit_that_cuts_more_is_taken() -> None:
    """Never weaker than asked for: either ties widen, or cuts are pressed."""
    # 10.6 mm: three full cuts leave 4.6 mm for four ties of 1.15.
    widened = rhythm(10.6, 2.0, 1.0)
    assert [end - start for start, end in widened] == pytest.approx([2.0] * 3)
    assert widened[0][0] == pytest.approx(1.15)
    # 12.8 mm: three would leave 6.8 mm for ties, four cuts of 1.95 mm cut more.
    pressed = rhythm(12.8, 2.0, 1.0)
    assert [end - start for start, end in pressed] == pytest.approx([1.95] * 4)
    assert pressed[0][0] == pytest.approx(1.0)


def test_a_tie_is_centred_where_another_line_crosses() -> None:
    """Both stretches of 3.5 mm hold a tie, a cut and half a tie beside the crossing."""
    assert rhythm(7.0, 2.0, 1.0, crossed=(3.5,)) == [(1.0, 3.0), (4.0, 6.0)]


LENGTHS = st.floats(0.5, 300.0)
CUTS, TIES = st.floats(0.5, 5.0), st.floats(0.3, 3.0)
SHARES = st.lists(st.floats(0.0, 1.0), max_size=6)


def check_rhythm(
    places: list[tuple[float, float]], length: float, cut: float, tie: float, crossed: list[float]
) -> None:
    """Cuts and ties in turn fill the length, none is weaker, and no cut is near a crossing."""
    edges = [0.0, *(edge for place in places for edge in place), length]
    assert all(low <= high + 1e-9 for low, high in pairwise(edges))
    total = math.fsum(end - start for start, end in places)
    ties = [after[0] - before[1] for before, after in pairwise(places)]
    ends = edges[1] - 0.0, length - edges[-2]
    if places:
        assert total + math.fsum(ties) + sum(ends) == pytest.approx(length)
    assert all(0.0 < end - start <= cut + 1e-9 for start, end in places)
    assert all(wide >= tie - 1e-9 for wide in ties)
    for at in crossed:
        assert all(
            at <= start - tie / 2 + 1e-9 or at >= end + tie / 2 - 1e-9 for start, end in places
        )


@given(LENGTHS, CUTS, TIES, SHARES, st.booleans())
def test_no_rhythm_is_weaker_than_asked_for(
    length: float, cut: float, tie: float, shares: list[float], at_ends: bool
) -> None:
    crossed = [share * length for share in shares]
    places = rhythm(length, cut, tie, crossed=crossed, at_ends=at_ends)
    check_rhythm(places, length, cut, tie, crossed)
    if at_ends and places:
        assert min(places[0][0], length - places[-1][1]) >= tie - 1e-9
    if not at_ends and not crossed and not cut < length <= tie:
        # Dashes burn both ends, unless there is only room for one.
        assert places[0][0] == 0.0
        assert places[-1][1] == pytest.approx(length)


@given(LENGTHS, CUTS, TIES, SHARES, st.booleans())
def test_a_rhythm_is_the_same_from_either_end(
    length: float, cut: float, tie: float, shares: list[float], at_ends: bool
) -> None:
    crossed = [share * length for share in shares]
    there = rhythm(length, cut, tie, crossed=crossed, at_ends=at_ends)
    back = rhythm(length, cut, tie, crossed=[length - at for at in crossed], at_ends=at_ends)
    turned = [(length - end, length - start) for start, end in reversed(back)]
    assert len(there) == len(turned)
    for first, second in zip(there, turned, strict=True):
        assert first == pytest.approx(second, abs=1e-6)


@given(st.floats(4.0, 300.0), CUTS, TIES, SHARES)
def test_a_closed_line_has_a_tie_over_every_crossing(
    length: float, cut: float, tie: float, shares: list[float]
) -> None:
    crossed = [share * length for share in shares]
    places = rhythm(length, cut, tie, closed=True, crossed=crossed)
    for at in crossed:
        for start, end in places:
            inside = (at - start + tie / 2.0) % length
            assert inside <= 1e-6 or inside >= end - start + tie - 1e-6 or inside >= length - 1e-6


@given(st.floats(20.0, 300.0), CUTS, TIES)
def test_long_lines_keep_to_the_rhythm(length: float, cut: float, tie: float) -> None:
    """Of n periods at most the room of one is lost to wider ties or shorter cuts."""
    places = rhythm(length, cut, tie)
    total = math.fsum(end - start for start, end in places)
    full = math.floor((length - tie) / (cut + tie)) * cut
    assert full - 1e-9 <= total <= (length - tie) * cut / (cut + tie) + 1e-9


PUBLISHED = tomllib.loads(
    (File(__file__).parents[1] / "published" / "perforation.toml").read_text(encoding="utf-8")
)["fact"][0]


@pytest.mark.parametrize("per_inch", [3, 6, 10, 12, 18, 50, 72])
def test_published_rates_come_out_as_pitch(per_inch: int) -> None:
    """Ties per inch and the pitch between cuts: published/perforation.toml, T30."""
    rates = PUBLISHED["value"]
    assert per_inch in {*rates["easy"], *rates["stiff"], rates["statement"], *rates["micro"]}
    pitch = 25.4 / per_inch
    if str(per_inch) in PUBLISHED["pitch_mm"]:
        assert round(pitch, 4) == PUBLISHED["pitch_mm"][str(per_inch)]
    # Ties narrower than cuts, over ten inches.
    tie = 0.3 * pitch
    places = rhythm(254.0 + tie, pitch - tie, tie)
    assert len(places) == 10 * per_inch
    starts = [start for start, _ in places]
    assert [b - a for a, b in pairwise(starts)] == pytest.approx([pitch] * (10 * per_inch - 1))


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
    # Ties stay 1 mm; the 20.94 periods of the ring become 21 with cuts a little shorter.
    assert math.fsum(path.length for path in cuts) == pytest.approx(20 * math.pi - 21.0)
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


def test_lines_that_leave_no_room_between_their_ties_are_told(build: Any) -> None:
    """Nine slits, 1 mm apart, end on a fold with ties of 1.2 mm: not a cut has room."""
    way = build.way(work=Work.PERFORATED, perforation=(2.0, 1.2), kerf=0.1)
    fringe = tuple(build.slit(f"slit {n}", (n, 30), (n, 60)) for n in range(1, 10))
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (10, 30)),), slits=fringe)
    passed = build.run(piece, way, draw, divide)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("perforation-crowded", Severity.STOP)
    assert 'fold "fold 1"' in stop.message and "met by 9 lines on 10 mm" in stop.message
    assert stop.place.line == 10
    assert [s for s in passed.drawing.strokes if s.role is Role.FOLD] == []


def cuts_of(passed: Any, role: Role, source: str) -> list[Path]:
    return [s.path for s in passed.drawing.strokes if (s.role, s.source) == (role, source)]


def test_no_cut_runs_through_a_place_where_lines_meet(build: Any) -> None:
    """A perforated fold is crossed by another, and a slit and a fold end on it from either side."""
    way = build.way(work=Work.PERFORATED, inset=0.5, perforation=(2.0, 1.0))
    piece = build.piece(
        folds=(
            build.fold("fold 1", (0, 30), (100, 30)),
            build.fold("fold 2", (21, 0), (21, 60)),
            build.fold("fold 3", (60.3, 30), (90, 50)),
        ),
        slits=(build.slit("slit 1", (45.2, 10), (45.2, 30)),),
    )
    passed = build.run(piece, way, draw, shorten, divide)
    cuts = sorted(
        (p.start.floats()[0], p.end.floats()[0]) for p in cuts_of(passed, Role.FOLD, "fold 1")
    )
    for at in (21.0, 45.2, 60.3):
        before = max(end for _, end in cuts if end < at)
        after = min(start for start, _ in cuts if start > at)
        assert before == pytest.approx(at - 0.5)
        assert after == pytest.approx(at + 0.5)
    # Of the two that cross, the other is as clear of the place.
    assert min(nearest(p, point(21, 30)).away for p in cuts_of(passed, Role.FOLD, "fold 2")) >= 0.5
    assert passed.findings == ()


def test_a_score_that_stops_short_of_a_tear_line_still_meets_it(build: Any) -> None:
    way = build.way(inset=0.5, perforation=(2.0, 1.0))
    piece = build.piece(
        slits=(build.slit("slit 1", (40, 10), (40, 50), how=How.TEAR),),
        folds=(build.fold("fold 1", (40, 30.5), (100, 30.5)),),
    )
    passed = build.run(piece, way, draw, shorten, divide)
    away = [nearest(path, point(40, 30.5)).away for path in cuts_of(passed, Role.SLIT, "slit 1")]
    assert sorted(away)[:2] == pytest.approx([0.5, 0.5])


def test_lines_that_meet_too_close_together_leave_a_stretch_uncut_and_are_told(build: Any) -> None:
    way = build.way(work=Work.PERFORATED, perforation=(2.0, 1.0))
    folds = [build.fold("fold 1", (0, 30), (100, 30))]
    folds += [build.fold(f"fold {n}", (40 + n, 30), (40 + n, 60)) for n in range(2, 9)]
    passed = build.run(build.piece(folds=tuple(folds)), way, draw, divide)
    (warning,) = (p for p in passed.findings if p.rule == "perforation-blocked")
    assert (warning.severity, warning.measure_mm) == (Severity.WARN, pytest.approx(7.0))
    assert warning.at == pytest.approx((45.0, 30.0))


def test_a_ring_without_a_cut_about_its_first_vertex_tells_that_place(build: Any) -> None:
    """The ring starts at (60, 30), and the nearest lines meet it as far before as behind."""
    ring = Slit(name="ring", path=circle(point(50, 30), Fraction(10)), how=How.TEAR)
    folds = [build.fold(f"fold {n}", (45, 30 + n), (75, 30 + n)) for n in (-2, -1, 0, 1, 2)]
    way = build.way(perforation=(2.0, 1.2))
    passed = build.run(build.piece(slits=(ring,), folds=tuple(folds)), way, draw, divide)
    (warning,) = (p for p in passed.findings if p.rule == "perforation-blocked")
    assert warning.at == pytest.approx((60.0, 30.0))


def dashed(build: Any, burn: float, skip: float, kerf: float = 0.0) -> Any:
    way = build.way(work=Work.HALF_CUT, kerf=kerf)
    dashes = DashWay(burn=build.figure(burn), skip=build.figure(skip))
    return replace(way, score=replace(way.score, dashes=dashes))


def test_dashes_burn_their_ends_and_skip_where_they_meet(build: Any) -> None:
    piece = build.piece(
        folds=(
            build.fold("fold 1", (10, 30), (35, 30)),
            build.fold("fold 2", (35, 30), (35, 50)),
            build.fold("fold 3", (10, 20), (33, 20)),
        )
    )
    passed = build.run(piece, dashed(build, 5.0, 1.0), draw, divide)
    lone = cuts_of(passed, Role.FOLD, "fold 3")
    assert [p.box()[0::2] for p in lone] == [
        pytest.approx(at) for at in ((10, 15), (16, 21), (22, 27), (28, 33))
    ]
    met = cuts_of(passed, Role.FOLD, "fold 1")
    assert met[0].start.floats() == (10.0, 30.0)
    assert met[-1].end.floats() == pytest.approx((34.5, 30.0))
    assert {s.work for s in passed.drawing.on(Layer.SCORE)} == {Work.HALF_CUT}
    # Cuts to depth are no dashes.
    assert len(passed.drawing.on(Layer.CUT)) == 1


def test_a_lone_dash_burns_the_end_that_nothing_meets() -> None:
    assert rhythm(6.2, 5.0, 1.0, at_ends=False, crossed=(6.2,)) == [(0.0, 5.0)]
    assert rhythm(6.2, 5.0, 1.0, at_ends=False, crossed=(0.0,)) == [pytest.approx((1.2, 6.2))]
    # Between two free ends there are two, a skip apart.
    assert rhythm(6.2, 5.0, 1.0, at_ends=False) == [
        pytest.approx((0.0, 2.6)),
        pytest.approx((3.6, 6.2)),
    ]


def test_the_kerf_shortens_every_dash(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 3", (10, 20), (33, 20)),))
    passed = build.run(piece, dashed(build, 5.0, 1.0, kerf=0.2), draw, divide)
    assert [p.length for p in cuts_of(passed, Role.FOLD, "fold 3")] == pytest.approx([4.8] * 4)


def test_half_cuts_without_dashes_stay_whole(build: Any) -> None:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    way = build.way(work=Work.HALF_CUT, perforation=(2.0, 1.0))
    before = build.run(piece, way, draw).drawing
    assert build.run(piece, way, draw, divide).drawing == before


def test_crossed_rings_are_cut_round_their_first_vertex(build: Any) -> None:
    """The ring starts at (60, 30); lines cross it at the top and the bottom."""
    ring = Slit(name="ring", path=circle(point(50, 30), Fraction(10)), how=How.TEAR)
    piece = build.piece(slits=(ring,), folds=(build.fold("fold 1", (50, 0), (50, 60)),))
    passed = build.run(piece, build.way(perforation=(2.0, 1.0)), draw, divide)
    cuts = cuts_of(passed, Role.SLIT, "ring")
    for y in (20.0, 40.0):
        away = sorted(nearest(path, Point(50.0, y)).away for path in cuts)
        # The chord of an arc of half a millimetre on a radius of 10 mm.
        assert away[:2] == pytest.approx([20.0 * math.sin(0.5 / 20.0)] * 2)
    assert {round(s.radius, 9) for path in cuts for s in path.segments} == {10.0}
