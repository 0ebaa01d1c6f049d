"""Points and vectors: two types, exact where their coordinates are."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Point, Vector, point

FRACTIONS = st.fractions(-1000, 1000, max_denominator=64)
VECTORS = st.builds(Vector, FRACTIONS, FRACTIONS)
POINTS = st.builds(Point, FRACTIONS, FRACTIONS)


@given(POINTS, VECTORS, VECTORS)
def test_displacements_add_up(start: Point, one: Vector, other: Vector) -> None:
    assert (start + one) + other == start + (one + other)
    assert (start + one) - start == one
    assert one - other == one + -other
    assert one * 2 == 2 * one == one + one
    assert (one * 3) / 3 == one


def test_places_do_not_add() -> None:
    with pytest.raises(AttributeError):
        Point(1.0, 2.0) + 3  # type: ignore[operator]
    with pytest.raises(TypeError):
        Vector(1.0, 2.0) * "x"  # type: ignore[operator]


@given(VECTORS, VECTORS)
def test_inner_and_outer_product(one: Vector, other: Vector) -> None:
    assert one.dot(other) == other.dot(one)
    assert one.cross(other) == -other.cross(one)
    assert one.cross(other) == one.left.dot(other)
    assert one.left == -one.right
    assert one.left.dot(one) == 0
    # Lagrange's identity in the plane.
    assert one.dot(other) ** 2 + one.cross(other) ** 2 == one.dot(one) * other.dot(other)


def test_left_is_anticlockwise_with_y_up() -> None:
    assert Vector(1.0, 0.0).left == Vector(0.0, 1.0)
    assert Vector(1.0, 0.0).cross(Vector(0.0, 1.0)) > 0
    assert Vector(0.0, 1.0).angle == 90
    assert Vector(-1.0, 0.0).angle == 180


def test_lengths_are_exact_where_they_are_rational() -> None:
    assert Vector(Fraction(3), Fraction(4)).length == 5
    assert isinstance(Vector(Fraction(3), Fraction(4)).length, Fraction)
    assert isinstance(Vector(Fraction(1), Fraction(1)).length, float)
    assert Vector(3.0, Fraction(4)).length == 5.0
    assert Vector(Fraction(3), Fraction(4)).unit() == Vector(Fraction(3, 5), Fraction(4, 5))
    with pytest.raises(ZeroDivisionError):
        Vector(Fraction(0), Fraction(0)).unit()


@given(POINTS, POINTS, st.fractions(0, 1, max_denominator=16))
def test_between_divides_the_way(one: Point, other: Point, share: Fraction) -> None:
    at = one.between(other, share)
    assert at.exact
    assert one.distance(at) == pytest.approx(float(share) * one.distance(other), abs=1e-9)
    assert one.between(other, Fraction(0)) == one
    assert one.between(other, Fraction(1)) == other


def test_rounding_and_telling() -> None:
    third = point(Fraction(1, 3), 2)
    assert third.exact
    assert not third.rounded().exact
    assert third.floats() == (1 / 3, 2.0)
    assert third.told() == "(0.333, 2) mm"
    assert Point(-0.0001, 50.5).told() == "(0, 50.5) mm"
    assert point(1, 2) == Point(Fraction(1), Fraction(2))
    assert math.isclose(point(0, 0).distance(point(1, 1)), math.sqrt(2))
