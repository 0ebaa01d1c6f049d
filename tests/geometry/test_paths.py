"""Paths of lines and arcs, against closed forms and the arc functions of a reference library.

Published values are in tests/published/units.toml with their sources; the
outside reference is `ezdxf.math`, a general-purpose library for DXF.
"""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from itertools import pairwise
from pathlib import Path as File

import pytest
from ezdxf.math import Vec2, arc_to_bulge, bulge_center, bulge_radius, bulge_to_arc
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.geometry import (
    Path,
    Point,
    Segment,
    Vector,
    Vertex,
    bulge_through,
    circle,
    line,
    path_of,
    point,
    polygon,
    union_box,
)

PUBLISHED = tomllib.loads(
    (File(__file__).parents[1] / "published" / "units.toml").read_text(encoding="utf-8")
)
BULGE = PUBLISHED["bulge"]

COORDINATES = st.floats(-500, 500).map(lambda x: round(x, 3))
POINTS = st.builds(Point, COORDINATES, COORDINATES)
# From almost straight to almost a full circle, either way round.
BULGES = st.one_of(st.floats(0.001, 20), st.floats(-20, -0.001))


@st.composite
def arcs(draw: st.DrawFn) -> Segment:
    start, end = draw(POINTS), draw(POINTS)
    assume(start.distance(end) > 1)
    return Segment(start, end, draw(BULGES))


@st.composite
def segments(draw: st.DrawFn) -> Segment:
    arc = draw(arcs())
    return arc if draw(st.booleans()) else Segment(arc.start, arc.end)


@st.composite
def paths(draw: st.DrawFn) -> Path:
    places = draw(st.lists(POINTS, min_size=2, max_size=6, unique=True))
    bulges = draw(st.lists(st.one_of(st.just(0.0), st.floats(-2, 2)), min_size=6, max_size=6))
    closed = draw(st.booleans()) and len(places) > 2
    found = Path(tuple(Vertex(at, b) for at, b in zip(places, bulges, strict=False)), closed)
    assume(all(segment.chord > 0.5 for segment in found.segments))
    return found


def near(one: Point, other: Point | tuple[float, float]) -> bool:
    x, y = other.floats() if isinstance(other, Point) else other
    return math.dist(one.floats(), (x, y)) < 1e-7 * (1 + abs(x) + abs(y))


class TestPublishedBulges:
    @pytest.mark.parametrize(
        ("key", "degrees"), [("half_circle", 180), ("quarter_circle", 90), ("sixty_degrees", 60)]
    )
    def test_bulge_is_the_tangent_of_a_quarter_of_the_sweep(self, key: str, degrees: int) -> None:
        arc = Segment(point(0, 0), point(10, 0), BULGE[key])
        assert math.degrees(arc.sweep) == pytest.approx(degrees, abs=1e-9)
        # The sagitta over half the chord, as the reference's documentation has it.
        sagitta = arc.middle.distance(point(5, 0))
        assert sagitta / 5 == pytest.approx(BULGE[key], abs=1e-12)

    def test_the_worked_half_circle(self) -> None:
        worked = BULGE["worked"]
        arc = Segment(Point(*worked["start"]), Point(*worked["end"]), worked["bulge"])
        assert arc.centre == Point(*worked["centre"])
        assert arc.radius == worked["radius"]
        assert near(arc.middle, tuple(worked["through"]))
        assert near(arc.at(0.5), tuple(worked["through"]))
        assert arc.direction(0.5).x == pytest.approx(1)
        assert bulge_through(arc.start, Point(*worked["through"]), arc.end) == pytest.approx(1.0)

    def test_the_quarter_circle(self) -> None:
        quarter = BULGE["quarter"]
        arc = Segment(point(0, 0), point(10, 0), math.tan(math.radians(22.5)))
        assert near(arc.centre, tuple(quarter["centre"]))
        assert arc.radius == pytest.approx(quarter["radius"], abs=1e-7)

    def test_small_and_large_arc_over_one_chord(self) -> None:
        # Radius 10 over a chord of 10: sixty degrees, or the three hundred that are left.
        small = Segment(point(0, 0), point(10, 0), math.tan(math.radians(15)))
        large = Segment(point(0, 0), point(10, 0), math.tan(math.radians(75)))
        assert small.radius == pytest.approx(10)
        assert large.radius == pytest.approx(10)
        assert small.length == pytest.approx(PUBLISHED["arc"]["small"], abs=1e-8)
        assert large.length == pytest.approx(PUBLISHED["arc"]["large"], abs=1e-8)


@given(arcs())
def test_the_published_forms_of_bulge_and_radius(arc: Segment) -> None:
    # [bulge]: sagitta over half the chord, and the radius from chord and bulge.
    middle_of_chord = arc.start.between(arc.end, 0.5)
    sagitta = arc.middle.distance(middle_of_chord)
    assert sagitta == pytest.approx(abs(arc.bulge) * arc.chord / 2)
    assert arc.radius == pytest.approx(arc.chord * (1 + arc.bulge**2) / (4 * abs(arc.bulge)))
    # More than half a circle is a bulge above 1: the large arc flag of SVG.
    assert (abs(arc.sweep) > math.pi) == (abs(arc.bulge) > 1)


@given(arcs())
def test_arcs_agree_with_the_reference(arc: Segment) -> None:
    start, end = Vec2(arc.start.floats()), Vec2(arc.end.floats())
    centre, from_angle, to_angle, radius = bulge_to_arc(start, end, arc.bulge)
    assert near(arc.centre, (centre.x, centre.y))
    assert arc.radius == pytest.approx(radius)
    assert arc.radius == pytest.approx(bulge_radius(start, end, arc.bulge))
    assert near(arc.centre, tuple(bulge_center(start, end, arc.bulge))[:2])
    # The reference's arcs always run anticlockwise.
    swept = (to_angle - from_angle) % math.tau
    assert abs(arc.sweep) == pytest.approx(swept, abs=1e-9)
    middle = from_angle + swept / 2
    assert near(
        arc.middle, (centre.x + radius * math.cos(middle), centre.y + radius * math.sin(middle))
    )
    # And back: the bulge of the reference's arc is ours.
    back = arc_to_bulge(centre, from_angle, to_angle, radius)[2]
    assert abs(arc.bulge) == pytest.approx(back, rel=1e-6)


@given(arcs(), st.floats(0, 1))
def test_places_on_an_arc(arc: Segment, share: float) -> None:
    at = arc.at(share)
    assert at.distance(arc.centre) == pytest.approx(arc.radius, rel=1e-9)
    along = arc.part(0.0, share) if share else Segment(arc.start, arc.start)
    assert along.length == pytest.approx(arc.length * share, rel=1e-6, abs=1e-6)
    # Travel is square to the radius, its centre to the left when anticlockwise.
    ahead, radius = arc.direction(share), arc.centre - at
    assert abs(float(ahead.dot(radius))) < 1e-6 * arc.radius
    assert (ahead.cross(radius) > 0) == (arc.bulge > 0)
    assert ahead.length == pytest.approx(1)
    assert arc.at(0.0) is arc.start
    assert arc.at(1.0) is arc.end


@given(segments(), st.floats(0.01, 0.99))
def test_parts_make_the_whole(segment: Segment, share: float) -> None:
    first, second = segment.part(0.0, share), segment.part(share, 1.0)
    assert first.end == second.start == segment.at(share)
    assert first.length + second.length == pytest.approx(segment.length)
    assert first.sweep + second.sweep == pytest.approx(segment.sweep)
    if not segment.is_line:
        assert near(second.centre, segment.centre)


@given(arcs(), st.floats(0.1, 3))
def test_splitting_bounds_the_sweep(arc: Segment, largest: float) -> None:
    parts = arc.split(largest)
    assert all(abs(part.sweep) <= largest * (1 + 1e-6) for part in parts)
    assert len(parts) == max(1, math.ceil(abs(arc.sweep) / largest - 1e-9))
    assert parts[0].start == arc.start
    assert parts[-1].end == arc.end
    assert all(a.end == b.start for a, b in pairwise(parts))
    assert math.fsum(part.length for part in parts) == pytest.approx(arc.length)


def test_a_quarter_circle_is_kept_whole() -> None:
    quarter = Segment(point(10, 0), point(0, 10), math.tan(math.pi / 8))
    assert quarter.split(math.pi / 2) == (quarter,)
    half = Segment(point(10, 0), point(-10, 0), 1.0)
    assert len(half.split(math.pi / 2)) == 2
    assert Segment(point(0, 0), point(3, 4)).split(0.1) == (Segment(point(0, 0), point(3, 4)),)


@given(segments())
def test_the_box_holds_the_segment_and_touches_it(segment: Segment) -> None:
    left, bottom, right, top = segment.box()
    places = [segment.at(i / 200).floats() for i in range(201)]
    slack = 1e-7 * (1 + (0 if segment.is_line else segment.radius))
    assert left - slack <= min(x for x, _ in places)
    assert right + slack >= max(x for x, _ in places)
    assert bottom - slack <= min(y for _, y in places)
    assert top + slack >= max(y for _, y in places)
    # Two hundred steps miss an extreme by at most the height of one step's arc.
    miss = slack if segment.is_line else segment.radius * (segment.sweep / 200) ** 2
    assert min(x for x, _ in places) - left <= miss + slack
    assert top - max(y for _, y in places) <= miss + slack


def test_boxes_of_half_circles() -> None:
    below = Segment(point(0, 0), point(10, 0), 1.0)
    above = Segment(point(0, 0), point(10, 0), -1.0)
    assert below.box() == pytest.approx((0, -5, 10, 0))
    assert above.box() == pytest.approx((0, 0, 10, 5))
    right = Segment(point(0, 0), point(0, 10), 1.0)
    assert right.box() == pytest.approx((0, 0, 5, 10))
    assert circle(point(3, 4), Fraction(2)).box() == pytest.approx((1, 2, 5, 6))
    assert Segment(point(3, 1), point(1, 5)).box() == (1, 1, 3, 5)


@given(segments())
def test_turning_back(segment: Segment) -> None:
    back = segment.reversed
    assert back.reversed == segment
    assert back.length == pytest.approx(segment.length)
    assert near(back.middle, segment.middle)
    assert back.box() == pytest.approx(segment.box(), abs=1e-6)
    ahead, behind = segment.direction(0.25), back.direction(0.75)
    assert (ahead + behind).length == pytest.approx(0, abs=1e-9)


@given(arcs(), st.floats(0.05, 0.95))
def test_the_arc_through_three_places(arc: Segment, share: float) -> None:
    found = bulge_through(arc.start, arc.at(share), arc.end)
    assert found == pytest.approx(arc.bulge, rel=1e-5)


def test_the_arc_through_three_places_on_a_line() -> None:
    assert bulge_through(point(0, 0), point(3, 1), point(6, 2)) == 0.0
    # A third of a sixth is no float: what only rounding bends is straight.
    assert bulge_through(point(0, 0), Point(0.1 + 0.2, 0.1), Point(0.9, 0.3)) == 0.0
    assert bulge_through(point(0, 0), point(1, 1), point(0, 0)) == 0.0


def test_which_way_round_three_places_go() -> None:
    start, end = point(10, 0), point(-10, 0)
    assert bulge_through(start, point(0, 10), end) == pytest.approx(1)
    assert bulge_through(start, point(0, -10), end) == pytest.approx(-1)
    # Three quarters of a circle, the large way.
    assert bulge_through(point(10, 0), point(-10, 0), point(0, -10)) == pytest.approx(
        math.tan(math.radians(270) / 4)
    )


@pytest.mark.parametrize("bulge", [1e-6, 1e-9, 1e-12, 1e-15, 1e-200])
def test_almost_straight_arcs_lose_nothing(bulge: float) -> None:
    # The centre of such an arc lies up to light years away; places, length, area and box are
    # those of its chord and its sagitta (half the chord times the bulge).
    arc = Segment(point(0, 0), point(100, 0), bulge)
    assert near(arc.at(0.5), (50.0, -50.0 * bulge))
    assert arc.at(0.25).distance(Point(25.0, -37.5 * bulge)) < 1e-9
    assert arc.box() == pytest.approx((0, -50 * bulge, 100, 0), abs=1e-12)
    assert arc.length == pytest.approx(100)
    # Two thirds of chord times sagitta: the area of a flat circular segment.
    bow = Path((Vertex(point(0, 0), bulge), Vertex(point(100, 0))), closed=True)
    assert bow.area == pytest.approx(2 / 3 * 100 * 50 * bulge, rel=1e-6)


class TestPaths:
    def test_a_rectangle(self) -> None:
        sheet = polygon(point(0, 0), point(148, 0), point(148, 210), point(0, 210))
        assert sheet.length == 2 * (148 + 210)
        assert sheet.area == 148 * 210
        assert sheet.reversed.area == -148 * 210
        assert sheet.box() == (0, 0, 148, 210)
        assert sheet.start == sheet.end == point(0, 0)
        assert len(sheet.segments) == 4

    def test_a_circle(self) -> None:
        disc = circle(point(3, 4), 10)
        assert disc.length == pytest.approx(20 * math.pi)
        assert disc.area == pytest.approx(100 * math.pi)
        assert disc.reversed.area == pytest.approx(-100 * math.pi)

    @given(st.integers(20, 300), st.integers(20, 300), st.fractions(1, 10, max_denominator=8))
    def test_a_rectangle_with_round_corners(self, width: int, height: int, r: Fraction) -> None:
        quarter = math.tan(math.pi / 8)
        corners: list[tuple[tuple[Fraction | int, Fraction | int], float]] = [
            ((r, 0), 0.0), ((width - r, 0), quarter),
            ((width, r), 0.0), ((width, height - r), quarter),
            ((width - r, height), 0.0), ((r, height), quarter),
            ((0, height - r), 0.0), ((0, r), quarter),
        ]  # fmt: skip
        sheet = Path(
            tuple(Vertex(point(x, y), bulge) for (x, y), bulge in corners),
            closed=True,
        )
        radius = float(r)
        # Closed forms: the sides less their rounded ends, and one circle.
        assert sheet.length == pytest.approx(2 * (width + height) - (8 - math.tau) * radius)
        assert sheet.area == pytest.approx(width * height - (4 - math.pi) * radius**2)
        assert sheet.box() == pytest.approx((0, 0, width, height))

    @given(paths())
    def test_turning_back(self, path: Path) -> None:
        back = path.reversed
        assert back.length == pytest.approx(path.length)
        assert back.box() == pytest.approx(path.box(), abs=1e-6)
        assert back.reversed.segments == path.segments
        if path.closed:
            assert back.area == pytest.approx(-path.area, abs=1e-6)
            assert back.start == path.start
        else:
            assert (back.start, back.end) == (path.end, path.start)

    @given(paths(), st.floats(0, 1), st.floats(0, 1))
    def test_a_stretch_is_as_long_as_asked(self, path: Path, one: float, other: float) -> None:
        low, high = sorted((one * path.length, other * path.length))
        assume(high - low > 1e-3)
        found = path.stretch(low, high)
        assert not found.closed
        assert found.length == pytest.approx(high - low, abs=1e-6)
        before = path.stretch(0.0, low)
        if before.vertices:
            assert before.end.distance(found.start) < 1e-6
        else:
            assert found.start.distance(path.start) < 1e-6

    @given(paths(), st.floats(0, 1), st.floats(0.05, 0.95))
    def test_a_stretch_over_the_first_vertex(self, path: Path, start: float, share: float) -> None:
        assume(path.closed)
        total = path.length
        found = path.stretch(start * total, (start + share) * total)
        assert found.length == pytest.approx(share * total, abs=1e-6)
        for here, there in pairwise(found.segments):
            assert here.end == there.start

    def test_the_whole_stretch_is_the_path_opened(self) -> None:
        sheet = polygon(point(0, 0), point(10, 0), point(10, 10), point(0, 10))
        found = sheet.stretch(5.0, 45.0)
        assert [v.at.floats() for v in found.vertices] == [
            (5, 0), (10, 0), (10, 10), (0, 10), (0, 0), (5, 0),
        ]  # fmt: skip

    @given(paths(), st.builds(Vector, COORDINATES, COORDINATES))
    def test_moving_changes_nothing_but_the_place(self, path: Path, by: Vector) -> None:
        moved = path.moved(by)
        assert moved.length == pytest.approx(path.length)
        left, bottom, right, top = path.box()
        x, y = float(by.x), float(by.y)
        due = (left + x, bottom + y, right + x, top + y)
        assert moved.box() == pytest.approx(due, abs=1e-6)
        if path.closed:
            assert moved.area == pytest.approx(path.area, abs=1e-4)

    @given(paths())
    def test_segments_make_the_path_again(self, path: Path) -> None:
        again = path_of(path.segments, path.closed)
        assert again.segments == path.segments

    def test_rounding(self) -> None:
        third = line(point(0, 0), point(Fraction(1, 3), 0))
        assert third.vertices[1].at.exact
        assert not third.rounded().vertices[1].at.exact
        assert third.rounded().length == pytest.approx(1 / 3)
        assert third.end == point(Fraction(1, 3), 0)

    def test_no_box_without_segments(self) -> None:
        with pytest.raises(ValueError, match="not enough values"):
            union_box([])
        with pytest.raises(ValueError, match="not enough values"):
            Path(()).box()
        assert union_box([(0, 0, 1, 1), (-1, 2, 0, 3)]) == (-1, 0, 1, 3)


def test_what_a_line_does_not_have() -> None:
    straight = Segment(point(0, 0), point(3, 4))
    assert straight.is_line
    assert (straight.sweep, straight.radius, straight.length) == (0.0, math.inf, 5.0)
    assert straight.direction(0.3) == Vector(0.6, 0.8)
    with pytest.raises(ValueError, match="no centre"):
        _ = straight.centre
    with pytest.raises(ValueError, match="no direction"):
        Segment(point(1, 1), point(1, 1)).direction(0.0)
