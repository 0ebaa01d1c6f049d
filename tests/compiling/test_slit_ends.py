"""Tests of compiling.slit_ends: real ends of slits are stopped short or get a round hole."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling.slit_ends import leaves_circle, treat
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How, Slit
from foldwright.drawing import Layer, Role, Stroke, Work
from foldwright.geometry import Path, Vertex, circle, line, point
from foldwright.problems import Severity
from foldwright.profiles.model import SlitEnd, SlitWay, ToolWay


def ending(build: Any, end: SlitEnd, size: float | None, kerf: float = 0.0) -> ToolWay:
    slit = SlitWay(end=end, size=None if size is None else build.figure(size))
    found: ToolWay = replace(build.way(kerf=kerf, perforation=(2.0, 1.0)), slit=slit)
    return found


def treated(build: Any, way: ToolWay, *slits: Slit, **parts: Any) -> Any:
    return build.run(build.piece(slits=slits, **parts), way, draw, treat)


def of(passed: Any, role: Role) -> list[Stroke]:
    return [stroke for stroke in passed.drawing.strokes if stroke.role is role]


def ends_of(passed: Any) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    return [(s.path.start.floats(), s.path.end.floats()) for s in of(passed, Role.SLIT)]


def test_full_ends_are_left_alone(build: Any) -> None:
    passed = treated(
        build, ending(build, SlitEnd.FULL, None), build.slit("slit 1", (20, 30), (80, 30))
    )
    assert ends_of(passed) == [((20.0, 30.0), (80.0, 30.0))]
    assert (of(passed, Role.RELIEF), passed.findings) == ([], ())


def test_a_slit_stops_short_at_both_ends_and_nobody_is_told(build: Any) -> None:
    way = ending(build, SlitEnd.SHORT, 0.5)
    passed = treated(build, way, build.slit("slit 1", (20, 30), (80, 30)))
    assert ends_of(passed) == [((20.5, 30.0), (79.5, 30.0))]
    assert passed.findings == ()


def test_a_hole_is_a_circle_smaller_by_half_the_kerf(build: Any) -> None:
    """The tool takes half of its kerf beyond the line it runs, so the hole comes out to size."""
    way = ending(build, SlitEnd.HOLE, 1.5, kerf=0.1)
    passed = treated(build, way, build.slit("slit 1", (20, 30), (80, 30)))
    holes = of(passed, Role.RELIEF)
    assert [(h.layer, h.work, h.source, h.path.closed) for h in holes] == [
        (Layer.CUT, Work.THROUGH, "slit 1", True)
    ] * 2
    assert sorted(h.path.segments[0].centre.floats() for h in holes) == [
        pytest.approx((20.0, 30.0)),
        pytest.approx((80.0, 30.0)),
    ]
    for hole in holes:
        assert [segment.radius for segment in hole.path.segments] == pytest.approx([0.7, 0.7])
    # The slit runs to the edge of the hole as it will be.
    assert ends_of(passed) == [((20.75, 30.0), (79.25, 30.0))]


@pytest.mark.parametrize("end", [SlitEnd.SHORT, SlitEnd.HOLE])
def test_only_real_ends_count(build: Any, end: SlitEnd) -> None:
    """Not on the outline, an opening, another slit or the slit itself; on a fold it is one."""
    passed = treated(
        build,
        ending(build, end, 1.0),
        build.slit("slit 1", (0, 30), (40, 30)),
        build.slit("slit 2", (40, 10), (40, 50)),
        build.slit("slit 3", (60, 30), (70, 30)),
        build.slit("slit 4", (10, 40), (20, 40), (20, 50), (15, 50), (15, 40)),
        openings=(build.opening("window", circle(point(80, 30), Fraction(10))),),
        folds=(build.fold("fold 1", (40, 50), (100, 50)),),
    )
    assert passed.findings == ()
    by = 1.0 if end is SlitEnd.SHORT else 0.5
    assert ends_of(passed) == [
        ((0.0, 30.0), (40.0, 30.0)),
        (pytest.approx((40.0, 10.0 + by)), pytest.approx((40.0, 50.0 - by))),
        (pytest.approx((60.0 + by, 30.0)), (70.0, 30.0)),
        (pytest.approx((10.0 + by, 40.0)), (15.0, 40.0)),
    ]
    assert len(of(passed, Role.RELIEF)) == (4 if end is SlitEnd.HOLE else 0)


def test_closed_slits_and_slits_that_tear_keep_what_they_have(build: Any) -> None:
    ring = Slit(name="ring", path=circle(point(50, 30), Fraction(10)))
    torn = build.slit("slit 2", (10, 10), (90, 10), how=How.TEAR)
    passed = treated(build, ending(build, SlitEnd.HOLE, 1.0), ring, torn)
    assert [s.path.length for s in of(passed, Role.SLIT)] == pytest.approx([20 * math.pi, 80.0])
    assert of(passed, Role.RELIEF) == []


@pytest.mark.parametrize(("length", "told"), [(2.9, True), (3.1, False)])
@pytest.mark.parametrize(("end", "size"), [(SlitEnd.SHORT, 1.0), (SlitEnd.HOLE, 2.0)])
def test_a_slit_that_would_be_too_short_is_cut_in_full(
    build: Any, end: SlitEnd, size: float, length: float, told: bool
) -> None:
    """Two ends of 1 mm and 1 mm of slit are 3 mm."""
    way = ending(build, end, size)
    passed = treated(build, way, build.slit("slit 1", (20, 30), (20 + length, 30)))
    assert (of(passed, Role.SLIT)[0].path.length == pytest.approx(length)) is told
    assert [p.rule for p in passed.findings] == ["slit-too-short"] * told
    assert bool(of(passed, Role.RELIEF)) is (end is SlitEnd.HOLE and not told)
    for finding in passed.findings:
        assert (finding.severity, finding.place.line) == (Severity.WARN, 20)
        assert finding.measure_mm == pytest.approx(length)


NO_ROOM: dict[str, list[tuple[tuple[float, float], ...]]] = {
    "the outline": [((50, 10), (50, 59.3))],
    'slit "slit 2"': [((20, 30), (49.3, 30)), ((50, 5), (50, 55))],
    'opening "window"': [((20, 30), (69.3, 30))],
    'fold "fold 1"': [((10, 10), (10, 49.3))],
    'the hole of slit "slit 2"': [((20, 30), (40, 30)), ((41.8, 30), (60, 30))],
    "the slit itself": [((20, 30), (40, 30), (40, 35), (30, 35), (30, 30.7))],
}


@pytest.mark.parametrize("other", NO_ROOM)
def test_a_hole_without_room_is_told_and_left_out(build: Any, other: str) -> None:
    slits = [build.slit(f"slit {n}", *at) for n, at in enumerate(NO_ROOM[other], 1)]
    parts = {
        "openings": (build.opening("window", circle(point(80, 30), Fraction(10))),),
        "folds": (build.fold("fold 1", (0, 50), (100, 50)),),
    }
    passed = treated(build, ending(build, SlitEnd.HOLE, 2.0), *slits, **parts)
    found = [p for p in passed.findings if f"would reach {other}:" in p.message]
    assert found
    assert {(p.rule, p.severity) for p in found} == {("relief-hole-no-room", Severity.WARN)}
    # Its slit ends in full there.
    end = found[0].at
    assert any(at == pytest.approx(end) for both in ends_of(passed) for at in both)
    assert end not in [h.path.segments[0].centre.floats() for h in of(passed, Role.RELIEF)]


def test_a_hole_no_wider_than_the_kerf_is_told_once(build: Any) -> None:
    slits = (build.slit("slit 1", (20, 30), (80, 30)), build.slit("slit 2", (20, 40), (80, 40)))
    passed = treated(build, ending(build, SlitEnd.HOLE, 0.2, kerf=0.2), *slits)
    (warning,) = passed.findings
    assert (warning.rule, warning.severity) == ("relief-hole-too-small", Severity.WARN)
    assert ends_of(passed)[0] == ((20.0, 30.0), (80.0, 30.0))
    assert of(passed, Role.RELIEF) == []


def test_an_arc_leaves_its_circle_after_a_chord_of_the_radius() -> None:
    """The arc over a chord c of a circle of radius R is 2 R asin(c / 2 R) long."""
    half = Path((Vertex(point(20, 30), 1.0), Vertex(point(40, 30))))
    assert leaves_circle(half, 3.0) == pytest.approx(20.0 * math.asin(3.0 / 20.0))
    assert leaves_circle(line(point(0, 0), point(1, 0), point(1, 9)), 2.0) == pytest.approx(
        1.0 + math.sqrt(3.0)
    )
    assert leaves_circle(line(point(0, 0), point(1, 0)), 2.0) == 1.0


@pytest.mark.parametrize("bulge", [1e-3, 1e-5, 1e-6, 1e-7, -1e-8, 1e-12])
def test_an_almost_straight_arc_leaves_its_circle_as_a_line_does(bulge: float) -> None:
    # The centre of the last one lies 5 million km away.
    flat = Path((Vertex(point(30, 30), bulge), Vertex(point(50, 35))))
    assert leaves_circle(flat, 0.75) == pytest.approx(0.75, abs=1e-6)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.floats(-0.9, 0.9), st.floats(0.3, 4.0), st.sampled_from([SlitEnd.SHORT, SlitEnd.HOLE]))
def test_what_is_left_of_a_slit_is_the_same_run_either_way(
    build: Any, bulge: float, size: float, end: SlitEnd
) -> None:
    path = Path((Vertex(point(30, 30), bulge), Vertex(point(50, 35))))
    both = []
    for way_run in (path, path.reversed):
        slit = Slit(name="slit 1", path=way_run)
        passed = treated(build, ending(build, end, size), slit)
        (stroke,) = of(passed, Role.SLIT)
        assert stroke.path.segments[0].radius == pytest.approx(path.segments[0].radius)
        both.append(sorted((stroke.path.start.floats(), stroke.path.end.floats())))
        for hole in of(passed, Role.RELIEF):
            centre = hole.path.segments[0].centre
            assert min(
                centre.distance(stroke.path.start), centre.distance(stroke.path.end)
            ) == pytest.approx(size / 2.0)
    for first, second in zip(*both, strict=True):
        assert first == pytest.approx(second)
