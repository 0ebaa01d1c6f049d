"""Tests of geometry.fitting, beziers and ellipses: arcs stay near their curves and run on smoothly.

How near is measured from places of the curve that are reckoned by formulas of this
file, and back from the arcs to the curve's chords by shapely.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldwright.geometry import Path, Point
from foldwright.geometry.beziers import Bezier
from foldwright.geometry.ellipses import Ellipse
from foldwright.geometry.fitting import fit
from foldwright.measures.exact import FITTED_MM

Pair = tuple[float, float]

# What rounding may add, in mm.
ROUNDING = 1e-8


def bezier(*places: Pair) -> Bezier:
    return Bezier(tuple(Point(*at) for at in places))


def on_bezier(places: tuple[Pair, ...], t: float) -> Pair:
    """A place by de Casteljau's steps, which the module does not use."""
    rows = list(places)
    while len(rows) > 1:
        rows = [(a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t) for a, b in pairwise(rows)]
    return rows[0]


def off_arcs(path: Path, places: list[Pair]) -> float:
    """The largest distance from places to the path."""
    x, y = np.array(places).T
    best = np.full(len(x), np.inf)
    for segment in path.segments:
        (ax, ay), (bx, by) = segment.start.floats(), segment.end.floats()
        ends = np.minimum(np.hypot(x - ax, y - ay), np.hypot(x - bx, y - by))
        best = np.minimum(best, ends)
        if segment.is_line or segment.radius > 1e7:
            share = ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / segment.chord**2
            off = np.abs((x - ax) * (by - ay) - (y - ay) * (bx - ax)) / segment.chord
            inside = (share >= 0.0) & (share <= 1.0)
        else:
            cx, cy = segment.centre.floats()
            mx, my = segment.middle.floats()
            off = np.abs(np.hypot(x - cx, y - cy) - segment.radius)
            # Within half the sweep of the direction to the middle.
            cosine = ((x - cx) * (mx - cx) + (y - cy) * (my - cy)) / segment.radius
            inside = cosine >= np.hypot(x - cx, y - cy) * math.cos(segment.sweep / 2.0)
        best = np.where(inside, np.minimum(best, off), best)
    return float(best.max())


def assert_near(path: Path, curve: Callable[[float], Pair], within: float = FITTED_MM) -> None:
    """From 4000 places of the curve to the arcs, and from 16 places of each arc to the curve."""
    count = 4000
    places = [curve(i / count) for i in range(count + 1)]
    assert off_arcs(path, places) <= within + ROUNDING
    samples = [s.at(share / 16).floats() for s in path.segments for share in range(17)]
    back = shapely.distance(shapely.points(samples), shapely.LineString(places))
    longest = max(math.dist(one, other) for one, other in pairwise(places))
    # A chord of the curve leaves it by less than an eighth of its length.
    assert float(back.max()) <= within + min(longest / 8.0, within)


def assert_smooth(path: Path, corners: int = 0) -> None:
    """Every joint heads one way, but for so many corners."""
    segments = list(path.segments)
    around = segments + segments[:1] if path.closed else segments
    turns = 0
    for before, after in pairwise(around):
        out, into = before.direction(1.0), after.direction(0.0)
        if abs(float(out.cross(into))) > 1e-6 or float(out.dot(into)) < 0.0:
            turns += 1
    assert turns == corners


CURVES = {
    "arch": ((0.0, 0.0), (10.0, 20.0), (30.0, 0.0)),
    "wave": ((0.0, 0.0), (30.0, 0.0), (0.0, 10.0), (30.0, 10.0)),
    "loop": ((0.0, 0.0), (80.0, 50.0), (-50.0, 50.0), (30.0, 0.0)),
    "flat": ((0.0, 0.0), (100.0, 0.5), (200.0, -0.5), (300.0, 0.0)),
    "first step nothing": ((0.0, 0.0), (0.0, 0.0), (20.0, 10.0), (30.0, 0.0)),
    "last step nothing": ((0.0, 0.0), (20.0, 10.0), (30.0, 0.0), (30.0, 0.0)),
}


class TestBezier:
    @pytest.mark.parametrize("name", CURVES)
    @pytest.mark.parametrize("within", [FITTED_MM, 5e-4])
    def test_arcs_keep_within_the_tolerance_and_run_on(self, name: str, within: float) -> None:
        places = CURVES[name]
        path = fit(bezier(*places), within)
        assert_near(path, lambda t: on_bezier(places, t), within)
        assert_smooth(path)
        assert path.start.floats() == places[0]
        assert path.end.floats() == pytest.approx(places[-1], abs=1e-12)
        # It heads at both ends as the control polygon does.
        first = next(at for at in places if at != places[0])
        way = path.segments[0].direction(0.0)
        assert math.atan2(way.y, way.x) == pytest.approx(
            math.atan2(first[1] - places[0][1], first[0] - places[0][0]), abs=1e-9
        )

    def test_a_curve_that_is_straight_is_one_line(self) -> None:
        for places in (
            ((0.0, 0.0), (10.0, 5.0), (20.0, 10.0), (30.0, 15.0)),
            ((0.0, 0.0), (0.0, 0.0), (30.0, 15.0), (30.0, 15.0)),
            ((0.0, 0.0), (2.0, 1.0), (30.0, 15.0)),
        ):
            (segment,) = fit(bezier(*places)).segments
            assert segment.is_line
            assert (segment.start.floats(), segment.end.floats()) == ((0.0, 0.0), (30.0, 15.0))

    def test_a_straight_curve_that_turns_back_does_so(self) -> None:
        """x(t) = 120 t (1 - t)² - 30 t² (1 - t) + 30 t³ turns at t = 1/3 and 2/3 (by hand)."""
        path = fit(bezier((0.0, 0.0), (40.0, 0.0), (-10.0, 0.0), (30.0, 0.0)))
        assert [s.is_line for s in path.segments] == [True] * 3
        turns = [vertex.at.floats()[0] for vertex in path.vertices]
        assert turns == pytest.approx([0.0, 50 / 3, 40 / 3, 30.0])

    def test_the_usual_cubic_for_a_quarter_circle_is_one_arc(self) -> None:
        """Handles of 4/3 tan(22.5°) = 0.5523 radii miss the circle by 2.7e-4 radii (textbook)."""
        k = 4.0 / 3.0 * math.tan(math.pi / 8.0) * 10.0
        (arc,) = fit(bezier((10.0, 0.0), (10.0, k), (k, 10.0), (0.0, 10.0))).segments
        assert arc.sweep == pytest.approx(math.pi / 2.0)
        assert arc.radius == pytest.approx(10.0)
        assert arc.centre.floats() == pytest.approx((0.0, 0.0), abs=1e-9)

    def test_a_cusp_stays_a_corner(self) -> None:
        """The control polygon's first and last steps cross in the middle: a cusp at t = 1/2."""
        places = ((0.0, 0.0), (30.0, 30.0), (0.0, 30.0), (30.0, 0.0))
        curve = bezier(*places)
        assert curve.cusps == (0.5,)
        path = fit(curve)
        assert_near(path, lambda t: on_bezier(places, t))
        assert_smooth(path, corners=1)
        assert any(v.at.floats() == pytest.approx((15.0, 22.5)) for v in path.vertices)

    def test_an_inflection_is_a_joint(self) -> None:
        curve = bezier(*CURVES["wave"])
        assert curve.knots == pytest.approx((0.0, 0.5, 1.0))
        path = fit(curve)
        assert any(v.at.floats() == pytest.approx((15.0, 5.0)) for v in path.vertices)
        assert {s.bulge > 0.0 for s in path.segments[: len(path.segments) // 2]} == {True}
        # The two halves are one shape turned half round, and so are their arcs.
        bulges = [s.bulge for s in path.segments]
        assert bulges == pytest.approx([-b for b in reversed(bulges)])

    def test_few_arcs_are_needed_and_their_number_grows_with_the_third_root(self) -> None:
        counts = [len(fit(bezier(*CURVES["arch"]), w).segments) for w in (1e-2, 1e-5)]
        assert counts[0] <= 10
        assert counts[1] <= 10 * counts[0] + 4

    @settings(deadline=None, max_examples=40)
    @given(st.lists(st.tuples(*[st.integers(-60, 60)] * 2), min_size=3, max_size=4))
    def test_any_curve(self, places: list[tuple[int, int]]) -> None:
        assume(len(set(places)) > 1)
        floats = tuple((float(x), float(y)) for x, y in places)
        curve = bezier(*floats)
        path = fit(curve)
        assert_near(path, lambda t: on_bezier(floats, t))
        assert_smooth(path, corners=sum(1 for t in curve.cusps if t in curve.knots[1:-1]))

    @settings(deadline=None, max_examples=60)
    @given(
        st.sampled_from(["cusp", "first step", "straight"]),
        st.floats(-9.0, -2.0),
        st.floats(-1.0, 3.0),
        st.tuples(*[st.floats(-1.0, 1.0)] * 4),
    )
    def test_what_is_nearly_a_cusp_is_followed_too(
        self, kind: str, small: float, large: float, free: tuple[float, float, float, float]
    ) -> None:
        """Bends far tighter than the tolerance: followed, or a corner, but always as near."""
        e, size = 10.0**small, 10.0**large
        a, b, c, d = free
        unit = {
            "cusp": ((0.0, 0.0), (1.0, 1.0 + e * a), (e * b, 1.0), (1.0, 0.0)),
            "first step": ((0.0, 0.0), (e * a, e * b), (c, d), (1.0, 0.0)),
            "straight": ((0.0, 0.0), (3.0 * a, e * b), (3.0 * c, e * d), (1.0, 0.0)),
        }[kind]
        places = tuple((x * size, y * size) for x, y in unit)
        path = fit(bezier(*places))
        assert_near(path, lambda t: on_bezier(places, t))
        assert len(path.segments) <= 120

    @pytest.mark.parametrize(
        ("places", "text"),
        [
            (((1.0, 1.0),) * 4, "no extent"),
            (((0.0, 0.0), (math.nan, 1.0), (2.0, 0.0)), "not finite"),
            (((0.0, 0.0), (math.inf, 1.0), (2.0, 0.0)), "not finite"),
            (((0.0, 0.0), (2.0, 0.0)), "3 or 4 control places"),
            (((0.0, 0.0),) * 5, "3 or 4 control places"),
        ],
    )
    def test_what_is_no_curve_is_refused(self, places: tuple[Pair, ...], text: str) -> None:
        with pytest.raises(ValueError, match=text):
            bezier(*places)

    def test_a_tolerance_of_nothing_is_refused(self) -> None:
        for within in (0.0, -1.0, math.nan):
            with pytest.raises(ValueError, match="tolerance"):
                fit(bezier(*CURVES["arch"]), within)


def on_ellipse(ellipse: Ellipse, share: float) -> Pair:
    """A place as a complex number turned, which the module does not use."""
    angle = ellipse.start + ellipse.sweep * share
    local = complex(ellipse.rx * math.cos(angle), ellipse.ry * math.sin(angle))
    turned = local * complex(math.cos(ellipse.turned), math.sin(ellipse.turned))
    x, y = ellipse.centre.floats()
    return x + turned.real, y + turned.imag


class TestEllipse:
    @pytest.mark.parametrize(("rx", "ry"), [(50.0, 30.0), (50.0, 5.0), (3.0, 40.0), (8.0, 7.99)])
    def test_a_whole_ellipse(self, rx: float, ry: float) -> None:
        ellipse = Ellipse(centre=Point(1.0, 2.0), rx=rx, ry=ry, turned=0.3)
        path = fit(ellipse)
        assert path.closed
        assert_near(path, lambda share: on_ellipse(ellipse, share))
        assert_smooth(path)
        assert path.area == pytest.approx(math.pi * rx * ry, abs=FITTED_MM * path.length)
        assert len(path.segments) <= 46

    def test_its_arcs_are_their_own_mirror_image(self) -> None:
        path = fit(Ellipse(centre=Point(0.0, 0.0), rx=50.0, ry=30.0))
        lengths = sorted(round(s.length, 6) for s in path.segments)
        # Four vertices' arcs of two kinds, all others four times.
        assert all(lengths.count(length) in (2, 4) for length in lengths)

    def test_a_circle_is_two_exact_arcs(self) -> None:
        path = fit(Ellipse(centre=Point(5.0, 6.0), rx=20.0, ry=20.0))
        assert [s.bulge for s in path.segments] == [1.0, 1.0]
        assert all(s.radius == pytest.approx(20.0, abs=1e-12) for s in path.segments)
        assert path.start.floats() == (25.0, 6.0)

    @pytest.mark.parametrize("sweep", [1.0, -4.0, 2.0 * math.pi - 0.1])
    def test_part_of_a_circle_is_exact_arcs(self, sweep: float) -> None:
        path = fit(Ellipse(centre=Point(0.0, 0.0), rx=20.0, ry=20.0, start=0.3, sweep=sweep))
        assert not path.closed
        assert sum(s.sweep for s in path.segments) == pytest.approx(sweep)
        assert all(s.radius == pytest.approx(20.0) for s in path.segments)
        assert len(path.segments) <= 3

    @settings(deadline=None, max_examples=25)
    @given(
        st.floats(0.5, 80.0),
        st.floats(0.5, 80.0),
        st.floats(-7.0, 7.0),
        st.floats(-7.0, 7.0),
        st.floats(0.05, 6.2),
        st.booleans(),
    )
    def test_any_arc(
        self, rx: float, ry: float, turned: float, start: float, sweep: float, back: bool
    ) -> None:
        ellipse = Ellipse(
            centre=Point(0.0, 0.0),
            rx=rx,
            ry=ry,
            turned=turned,
            start=start,
            sweep=-sweep if back else sweep,
        )
        path = fit(ellipse)
        assert_near(path, lambda share: on_ellipse(ellipse, share))
        assert_smooth(path)

    @pytest.mark.parametrize(
        ("change", "text"),
        [
            ({"rx": 0.0}, "no extent"),
            ({"ry": -1.0}, "no extent"),
            ({"sweep": 0.0}, "no extent"),
            ({"sweep": 7.0}, "once"),
            ({"rx": math.inf}, "not finite"),
            ({"turned": math.nan}, "not finite"),
        ],
    )
    def test_what_is_no_ellipse_is_refused(self, change: dict[str, float], text: str) -> None:
        with pytest.raises(ValueError, match=text):
            Ellipse(**{"centre": Point(0.0, 0.0), "rx": 3.0, "ry": 2.0, **change})  # type: ignore[arg-type]
