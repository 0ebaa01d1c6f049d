"""This module tests how an L-shaped mat comes apart into two rectangles."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.dressing.l_shapes import two_rectangles
from foldwright.dressing.shapes import Shape
from foldwright.geometry import Point, polygon
from foldwright.geometry.offset_check import flattened


def l_shape(width: float, height: float, arm: float, foot: float) -> Shape:
    """An L with its corner at the lower left: an upright arm and a foot."""
    corners = [(0, 0), (width, 0), (width, foot), (arm, foot), (arm, height), (0, height)]
    return Shape(polygon(*(Point(float(x), float(y)) for x, y in corners)))


def boxes(parts: tuple[Shape, Shape] | None) -> list[tuple[float, float, float, float]]:
    assert parts is not None
    return [part.box for part in parts]


def test_the_shorter_seam_is_cut() -> None:
    # On from the inner corner (20, 30) it is 20 to the left and 30 down.
    assert boxes(two_rectangles(l_shape(100, 90, 20, 30), 2)) == [(0, 0, 100, 30), (0, 34, 20, 90)]
    assert boxes(two_rectangles(l_shape(100, 90, 40, 30), 2)) == [(0, 0, 40, 90), (44, 0, 100, 30)]


def test_of_equal_seams_the_larger_rectangle_is_left_whole_and_then_the_level_one_is_cut() -> None:
    assert boxes(two_rectangles(l_shape(100, 90, 30, 30), 0)) == [
        (0, 0, 100, 30),
        (0, 30, 30, 90),
    ]
    assert boxes(two_rectangles(l_shape(90, 100, 30, 30), 0)) == [(0, 0, 30, 100), (30, 0, 90, 30)]
    assert boxes(two_rectangles(l_shape(90, 90, 30, 30), 0)) == [(0, 0, 90, 30), (0, 30, 30, 90)]


def test_an_arm_too_short_for_the_seam_is_cut_the_other_way_or_not_at_all() -> None:
    # Above the foot stand 5 mm, which two margins of 3 mm use up.
    assert boxes(two_rectangles(l_shape(100, 35, 20, 30), 3)) == [(26, 0, 100, 30), (0, 0, 20, 35)]
    assert two_rectangles(l_shape(25, 35, 20, 30), 3) is None


def test_what_is_no_l_does_not_come_apart() -> None:
    square = Shape(polygon(*(Point(x, y) for x, y in ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0)))))
    assert two_rectangles(square, 0) is None
    skew = [(0, 0), (99, 0), (99, 30), (21, 30), (20, 90), (0, 90)]
    assert two_rectangles(Shape(polygon(*(Point(float(x), float(y)) for x, y in skew))), 0) is None
    holed = Shape(l_shape(100, 90, 20, 30).outline, (polygon(Point(1.0, 1.0), Point(2.0, 1.0)),))
    assert two_rectangles(holed, 0) is None


@settings(deadline=None)
@given(
    st.floats(10, 60),
    st.floats(10, 60),
    st.floats(10, 60),
    st.floats(10, 60),
    st.floats(-180, 180),
    st.sampled_from([0.0, 1.0, 3.0]),
    st.integers(0, 5),
    st.booleans(),
)
def test_an_l_comes_apart_however_it_lies(
    arm: float,
    foot: float,
    beside: float,
    above: float,
    turn: float,
    margin: float,
    first: int,
    over: bool,
) -> None:
    shape = l_shape(arm + beside, foot + above, arm, foot).turned(turn)
    shape = shape.turned_over() if over else shape
    vertices = shape.outline.vertices
    shape = Shape(type(shape.outline)(vertices[first:] + vertices[:first], closed=True))
    parts = two_rectangles(shape, margin)
    assert parts is not None
    whole = shapely.Polygon(flattened(shape.outline))
    one, other = (shapely.Polygon(flattened(part.outline)) for part in parts)
    assert all(part.is_rectangle for part in parts)
    assert one.exterior.is_ccw and other.exterior.is_ccw
    assert whole.buffer(1e-6).contains(one) and whole.buffer(1e-6).contains(other)
    assert one.area >= other.area - 1e-6
    # Only the strip of two margins beside the seam, the shorter of the two, is lost.
    lost = min(arm, foot) * 2 * margin
    assert one.area + other.area == pytest.approx(whole.area - lost, rel=1e-6)
    assert one.distance(other) == pytest.approx(2 * margin, abs=1e-6)
