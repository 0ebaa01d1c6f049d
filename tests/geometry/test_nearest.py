"""Tests of geometry.nearest."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex, circle, line, point
from foldwright.geometry.nearest import nearest
from foldwright.geometry.offset_check import flattened

L_SHAPE = line(point(0, 0), point(10, 0), point(10, 5))


@pytest.mark.parametrize(
    ("at", "away", "along"),
    [
        ((4, 3), 3.0, 4.0),
        ((-3, 4), 5.0, 0.0),
        ((12, 2), 2.0, 12.0),
        ((13, 9), 5.0, 15.0),
        ((10, 0), 0.0, 10.0),
    ],
)
def test_distance_and_place_along_lines(at: tuple[int, int], away: float, along: float) -> None:
    found = nearest(L_SHAPE, point(*at))
    assert (found.away, found.along) == pytest.approx((away, along))


def test_place_along_an_arc() -> None:
    ring = circle(Point(0.0, 0.0), 5.0)
    found = nearest(ring, Point(0.0, -7.0))
    assert (found.away, found.along) == pytest.approx((2.0, 7.5 * math.pi))


def test_the_ends_of_a_short_arc_are_nearest_from_behind() -> None:
    arc = Path((Vertex(Point(5.0, 0.0), math.tan(math.pi / 8)), Vertex(Point(0.0, 5.0))))
    assert nearest(arc, Point(6.0, -1.0)).along == 0.0
    assert nearest(arc, Point(-1.0, 6.0)).along == pytest.approx(2.5 * math.pi)
    assert nearest(arc.reversed, Point(6.0, -1.0)).along == pytest.approx(2.5 * math.pi)


def test_a_path_without_segments_has_no_places() -> None:
    with pytest.raises(ValueError, match="no places"):
        nearest(line(point(0, 0)), point(1, 1))


@given(
    st.lists(
        st.tuples(
            st.floats(0.0, 20.0),
            st.floats(0.0, 20.0),
            st.floats(-2.0, 2.0).filter(lambda bulge: bulge == 0.0 or abs(bulge) > 1e-15),
        ),
        min_size=2,
        max_size=5,
        unique_by=lambda vertex: (round(vertex[0]), round(vertex[1])),
    ),
    st.tuples(st.floats(-5.0, 25.0), st.floats(-5.0, 25.0)),
)
def test_the_distance_is_shapelys(
    vertices: list[tuple[float, float, float]], at: tuple[float, float]
) -> None:
    path = Path(tuple(Vertex(Point(x, y), bulge) for x, y, bulge in vertices))
    found = nearest(path, Point(*at))
    curve = shapely.LineString(flattened(path))
    assert found.away == pytest.approx(curve.distance(shapely.Point(*at)), abs=2e-4)
    there = path.stretch(0.0, found.along).end if found.along > 1e-6 else path.start
    assert there.distance(Point(*at)) == pytest.approx(found.away, abs=1e-5)
