"""This module holds the fit of a shape in a turned rectangle against closed forms and shapely."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import circle, line, point
from foldwright.geometry.turned_boxes import fits_turned, path_fits_turned


def turned(width: float, height: float, degrees: float) -> list[tuple[float, float]]:
    """The corners of a rectangle that lies at an angle, somewhere."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
    return [(7.0 + x * cos - y * sin, -3.0 + x * sin + y * cos) for x, y in corners]


@given(st.floats(1.0, 60.0), st.floats(1.0, 60.0), st.floats(0.0, 360.0))
def test_a_rectangle_fits_itself_however_it_lies(
    width: float, height: float, degrees: float
) -> None:
    places = turned(width, height, degrees)
    assert fits_turned(places, width + 1e-6, height + 1e-6)
    assert fits_turned(places, height + 1e-6, width + 1e-6)
    assert not fits_turned(places, 0.999 * min(width, height), 1e6)


@pytest.mark.parametrize("angle", [5.0, 20.0, 40.0])
def test_a_needle_fits_a_rectangle_as_long_as_its_diagonal(angle: float) -> None:
    needle = turned(50.0, 0.0, angle)
    assert fits_turned(needle, 30.0, 40.0001)
    assert not fits_turned(needle, 30.0, 39.999)


def test_a_rectangle_lies_askew_in_one_that_is_shorter() -> None:
    # An edge of 60 x 4 mm lies neither way along 50 x 40 mm: turned by t it reaches
    # 60 cos t + 4 sin t and 60 sin t + 4 cos t, which at t = 39 deg are 49.15 and 40.87,
    # at 37 deg 50.33 and 39.30: it fits 50.5 x 40 and not 49.5 x 40.
    for degrees in (0.0, 37.0, 90.0, 123.0):
        places = turned(60.0, 4.0, degrees)
        assert fits_turned(places, 50.5, 40.0)
        assert not fits_turned(places, 49.5, 40.0)


def test_a_disc_fits_by_its_diameter() -> None:
    disc = circle(point(5, 5), Fraction(10))
    assert path_fits_turned(disc, 20.0, 20.0)
    assert not path_fits_turned(disc, 19.99, 100.0)


def test_an_open_line_counts_to_its_end() -> None:
    assert not path_fits_turned(line(point(0, 0), point(10, 0), point(20, 0)), 1.0, 19.0)


@given(
    st.lists(st.tuples(st.floats(-40, 40), st.floats(-40, 40)), min_size=3, max_size=9),
    st.floats(5.0, 60.0),
    st.floats(5.0, 60.0),
)
def test_it_is_found_wherever_turning_by_small_steps_finds_it(
    places: list[tuple[float, float]], width: float, height: float
) -> None:
    """By brute force: shapely turns the shape and measures its box."""
    shape = shapely.MultiPoint(places)
    sizes = []
    for step in range(0, 180, 3):
        left, bottom, right, top = shapely.affinity.rotate(shape, step, origin=(0, 0)).bounds
        sizes.append((right - left, top - bottom))
    found = fits_turned(places, width, height)
    if any(across <= width and up <= height for across, up in sizes):
        assert found
    # Within a step of 3 degrees an extent changes by at most 2.7 % of the longest
    # line in the shape, which is below 115 mm.
    if not any(across <= width + 3.1 and up <= height + 3.1 for across, up in sizes):
        assert not found
