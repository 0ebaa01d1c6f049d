"""Areas and centroids of shapes of lines and arcs, against closed forms and against shapely."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Segment, Vector, Vertex, circle, polygon
from foldwright.geometry.moments import moments
from foldwright.geometry.offset_check import flattened


def at(x: float, y: float) -> Point:
    return Point(x, y)


def close(found: Point, x: float, y: float, within: float = 1e-12) -> bool:
    return found.floats() == pytest.approx((x, y), abs=within)


def test_a_triangle_and_a_trapezium() -> None:
    """Centroid of a triangle: the mean of its corners.  Trapezium: h (a + 2 b) / (3 (a + b))."""
    triangle = moments(polygon(at(1, 2), at(7, 3), at(4, 11)))
    assert triangle.area == pytest.approx(25.5)
    assert close(triangle.centroid, 4, 16 / 3)
    trapezium = moments(polygon(at(-6, 0), at(6, 0), at(2, 5), at(-2, 5)))
    assert trapezium.area == pytest.approx(40)
    assert close(trapezium.centroid, 0, 5 * (12 + 2 * 4) / (3 * (12 + 4)))


def test_a_half_disc() -> None:
    """Any table of centroids: 4 r / (3 pi) from the diameter."""
    half = Path((Vertex(at(10, 5), 1.0), Vertex(at(-10, 5), 0.0)), closed=True)
    found = moments(half)
    assert found.area == pytest.approx(50 * math.pi, rel=1e-14)
    assert close(found.centroid, 0, 5 + 40 / (3 * math.pi))


@pytest.mark.parametrize("degrees", [1e-6, 0.01, 1, 5, 6, 90, 179, 181, 270, 350])
def test_a_sector(degrees: float) -> None:
    """Any table of centroids: 4 r sin(a / 2) / (3 a) from the centre, for a sweep of a."""
    radius, sweep = 20.0, math.radians(degrees)
    start, end = (
        at(radius * math.cos(angle), radius * math.sin(angle)) for angle in (-sweep / 2, sweep / 2)
    )
    sector = Path((Vertex(at(0, 0)), Vertex(start, math.tan(sweep / 4)), Vertex(end)), closed=True)
    found = moments(sector)
    assert found.area == pytest.approx(radius**2 * sweep / 2, rel=1e-9)
    assert close(found.centroid, 4 * radius * math.sin(sweep / 2) / (3 * sweep), 0, 1e-9)


def test_holes_run_the_other_way() -> None:
    """A disc of 30 mm with a hole of 10 mm, half way to its rim: the hole pulls the other way."""
    found = moments(circle(at(100, 0), 30), circle(at(115, 0), 10).reversed)
    assert found.area == pytest.approx(800 * math.pi, rel=1e-14)
    assert close(found.centroid, 100 - 15 * 100 / 800, 0, 1e-11)


def test_far_from_the_origin_nothing_is_lost() -> None:
    small = polygon(at(0, 0), at(3, 0), at(0, 4)).moved(Vector(9000.0, -9000.0))
    assert close(moments(small).centroid, 9001, -9000 + 4 / 3)


@given(
    st.lists(
        st.tuples(st.floats(2, 60), st.floats(-0.5, 0.5), st.floats(0.2, 1)),
        min_size=3,
        max_size=8,
    )
)
def test_shapes_round_a_middle_agree_with_shapely(spokes: list[tuple[float, float, float]]) -> None:
    whole = sum(spoke[2] for spoke in spokes)
    angle, vertices = 0.0, []
    for reach, bulge, share in spokes:
        vertices.append(Vertex(at(reach * math.cos(angle), reach * math.sin(angle)), bulge))
        angle += 2 * math.pi * share / whole
    path = Path(tuple(vertices), closed=True)
    shape = shapely.Polygon(flattened(path))
    # Signed sums are those of the flattened shape even where it crosses itself; shapely's
    # centroid is meant for plain shapes.
    if not shape.is_valid or shape.area < 1:
        return
    found = moments(path)
    signed = math.copysign(1.0, found.area)
    assert signed * found.area == pytest.approx(shape.area, abs=path.length * 1e-4)
    middle = found.centroid.floats()
    reach = path.length**2 * 1e-4 / shape.area
    assert math.dist(middle, (shape.centroid.x, shape.centroid.y)) <= reach + 1e-9


def test_the_area_is_that_of_the_path() -> None:
    path = Path(
        (Vertex(at(0, 0), 0.3), Vertex(at(40, 0), -0.2), Vertex(at(50, 30), 1e-7)), closed=True
    )
    assert moments(path).area == pytest.approx(path.area, rel=1e-14)
    assert moments(path.reversed).area == pytest.approx(-path.area, rel=1e-14)
    assert Segment(at(0, 0), at(1, 0), 1.0).sweep == pytest.approx(math.pi)


def test_what_has_no_area_has_no_centroid() -> None:
    with pytest.raises(ValueError, match="no area"):
        _ = moments(polygon(at(0, 0), at(1, 0), at(2, 0))).centroid
