"""Round corners and arcs, against the closed forms of the tangent circle and of the chord."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.shaping import Corner, Misfit, shape
from foldwright.geometry import Point, point


def corner(x: float | Fraction | int, y: float | Fraction | int, radius: int = 0) -> Corner:
    return Corner(at=point(x, y), radius=Fraction(radius))


def test_a_right_corner_is_rounded_exactly() -> None:
    shaped = shape([corner(0, 0), corner(10, 0, 3), corner(10, 10)], closed=False)
    assert [vertex.at for vertex in shaped.path.vertices] == [
        point(0, 0),
        point(7, 0),
        point(10, 3),
        point(10, 10),
    ]
    # A quarter turn: bulge = tan(90 / 4 degrees) = sqrt(2) - 1.
    assert shaped.path.vertices[1].bulge == pytest.approx(math.sqrt(2) - 1, abs=1e-15)
    assert shaped.written == (0, 0, 1)


def test_a_corner_to_the_right_is_rounded_clockwise() -> None:
    shaped = shape([corner(0, 10), corner(10, 10, 2), corner(10, 0)], closed=False)
    assert shaped.path.vertices[1].bulge == pytest.approx(1 - math.sqrt(2), abs=1e-15)


def test_a_triangle_of_three_four_and_five_stays_in_fractions() -> None:
    # Its inscribed circle has radius 1 (from memory: (a + b - c) / 2), and touches
    # the sides 1, 2 and 3 from the corners.
    shaped = shape([corner(0, 0, 1), corner(4, 0, 1), corner(0, 3, 1)], closed=True)
    assert all(vertex.at.exact for vertex in shaped.path.vertices)
    # The three arcs use up every side: what is left is the circle itself.
    assert len(shaped.path.vertices) == 3
    assert shaped.path.area == pytest.approx(math.pi, abs=1e-12)


@given(
    turn=st.floats(-170, 170).filter(lambda degrees: abs(degrees) > 1),
    radius=st.floats(0.1, 5),
    heading=st.floats(-180, 180),
)
def test_an_arc_touches_both_lines(turn: float, radius: float, heading: float) -> None:
    reach = radius * math.tan(math.radians(abs(turn)) / 2) + 1
    before, after = math.radians(heading), math.radians(heading + turn)
    start = Point(-reach * math.cos(before), -reach * math.sin(before))
    end = Point(reach * math.cos(after), reach * math.sin(after))
    middle = Corner(at=Point(0.0, 0.0), radius=radius)
    path = shape([Corner(at=start), middle, Corner(at=end)], closed=False).path
    arc = path.segments[1]
    assert arc.radius == pytest.approx(radius, rel=1e-6)
    # The law of tangents: the circle's centre is r / cos(turn / 2) from the corner.
    distance = radius / math.cos(math.radians(turn) / 2)
    assert arc.centre.distance(Point(0.0, 0.0)) == pytest.approx(distance, rel=1e-6)
    assert math.degrees(arc.sweep) == pytest.approx(turn, abs=1e-6)


def test_two_arcs_may_use_up_the_line_between_them() -> None:
    ends = [corner(0, 0, 5), corner(30, 0, 5), corner(30, 10, 5), corner(0, 10, 5)]
    path = shape(ends, closed=True).path
    assert len(path.vertices) == 6
    assert path.area == pytest.approx(20 * 10 + math.pi * 25, abs=1e-9)


def test_a_straight_corner_needs_no_rounding() -> None:
    path = shape([corner(0, 0), corner(5, 0, 2), corner(10, 0)], closed=False).path
    assert [vertex.bulge for vertex in path.vertices] == [0.0, 0.0, 0.0]


def test_a_rounded_corner_fits_as_long_as_its_lines_do() -> None:
    line = [corner(0, 0), corner(10, 0, 10), corner(10, 20)]
    assert len(shape(line, closed=False).path.vertices) == 3
    with pytest.raises(Misfit) as caught:
        shape([corner(0, 0), corner(10, 0, 11), corner(10, 20)], closed=False)
    assert (caught.value.code, caught.value.index) == ("round-does-not-fit", 1)


def test_an_arc_goes_through_its_place() -> None:
    half = Corner(at=point(10, 0), through=point(5, 5))
    path = shape([corner(0, 0), half], closed=False).path
    # A half circle has bulge 1, here clockwise: above the chord, travelling right.
    assert path.vertices[0].bulge == pytest.approx(-1.0, abs=1e-15)


def test_an_arc_through_a_place_on_its_chord_is_a_line() -> None:
    flat = Corner(at=point(10, 0), through=point(4, 0))
    assert shape([corner(0, 0), flat], closed=False).path.vertices[0].bulge == 0.0


def test_a_shape_may_close_with_an_arc() -> None:
    back = Corner(at=point(0, 0), through=point(5, -5))
    path = shape(
        [corner(0, 0), Corner(at=point(10, 0), through=point(5, 5)), back], closed=True
    ).path
    assert len(path.vertices) == 2
    assert abs(path.area) == pytest.approx(math.pi * 25, abs=1e-9)


def test_places_within_a_micrometre_are_one_place() -> None:
    near = [corner(0, 0), Corner(at=Point(Fraction(1, 2000), Fraction(0)))]
    with pytest.raises(Misfit, match="repeated-point"):
        shape(near, closed=False)
