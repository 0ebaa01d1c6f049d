"""Tests of geometry.parallel: lines beside lines, arcs beside arcs, and how far two are apart."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.geometry import Point, Segment
from foldwright.geometry.nearest import nearest_on
from foldwright.geometry.parallel import apart, beside, between, carriers_cross, travelled

PLACES = st.tuples(st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
BULGES = st.one_of(st.just(0.0), st.floats(0.05, 1.2), st.floats(-1.2, -0.05))


@st.composite
def segments(draw: st.DrawFn) -> Segment:
    start, end = Point(*draw(PLACES)), Point(*draw(PLACES))
    assume(start.distance(end) > 1.0)
    return Segment(start, end, draw(BULGES))


@given(segments(), st.floats(-3.0, 3.0), st.floats(0.0, 1.0))
def test_every_place_beside_is_as_far_off(segment: Segment, aside: float, share: float) -> None:
    made = beside(segment, aside)
    if made is None:
        # Nothing is left of an arc that is moved inwards by its radius.
        assert segment.radius <= abs(aside) + 1e-6
        return
    at = made.at(share)
    away, _ = nearest_on(segment, at)
    assert away <= abs(aside) + 1e-9
    if abs(aside) < segment.radius:
        x, y = segment.at(share).floats()
        way = segment.direction(share)
        assert at.floats() == pytest.approx((x - way.y * aside, y + way.x * aside), abs=1e-6)


def test_to_the_left_of_an_anticlockwise_arc_is_inside() -> None:
    half = Segment(Point(10.0, 0.0), Point(-10.0, 0.0), 1.0)
    inner, outer = beside(half, 4.0), beside(half, -4.0)
    assert inner is not None and outer is not None
    assert (inner.radius, outer.radius) == pytest.approx((6.0, 14.0))
    assert beside(half, 10.0) is None


def test_carriers_cross_where_lines_and_circles_do() -> None:
    """The circle of radius 5 about the origin and lines through (3, 4) and (4, 3)."""
    arc = Segment(Point(5.0, 0.0), Point(0.0, 5.0), math.tan(math.pi / 8.0))
    upright = Segment(Point(3.0, -20.0), Point(3.0, -10.0))
    level = Segment(Point(-9.0, 4.0), Point(-8.0, 4.0))
    at = carriers_cross(upright, level, Point(0.0, 0.0))
    assert at is not None and at.floats() == (3.0, 4.0)
    for near, y in ((9.0, 4.0), (-9.0, -4.0)):
        for pair in ((upright, arc), (arc, upright)):
            at = carriers_cross(*pair, Point(3.0, near))
            assert at is not None and at.floats() == pytest.approx((3.0, y))
    other = Segment(Point(11.0, 0.0), Point(6.0, 5.0), math.tan(math.pi / 8.0))
    at = carriers_cross(arc, other, Point(3.0, 9.0))
    assert at is not None and at.floats() == pytest.approx((3.0, 4.0))
    assert carriers_cross(level, Segment(Point(0.0, 0.0), Point(1.0, 0.0)), at) is None


@given(segments(), st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_a_stretch_between_two_places_is_that_part(
    segment: Segment, first: float, second: float
) -> None:
    low, high = sorted((first, second))
    assume(high - low > 1e-3)
    made = between(segment, segment.at(low), segment.at(high))
    assert made.length == pytest.approx((high - low) * segment.length, rel=1e-6)
    assert travelled(segment, segment.at(low)) == pytest.approx(low * segment.length, abs=1e-6)
    middle = segment.at((low + high) / 2.0)
    assert made.middle.distance(middle) < 1e-6


@given(segments(), segments())
def test_no_place_is_nearer_than_two_segments_are_apart(first: Segment, second: Segment) -> None:
    """Held against 400 places of the one, whose distances to the other are exact."""
    away, at = apart(first, second)
    assert nearest_on(first, at)[0] < 1e-6
    sampled = min(nearest_on(second, first.at(i / 400.0))[0] for i in range(401))
    # Where they cross there is no distance to find.
    assume(sampled > first.length / 100.0)
    assert away <= sampled + 1e-9
    assert away >= sampled - first.length / 400.0
