"""This module tests the largest rectangle in a polygon: by closed forms, and by brute force.

The largest rectangle in a triangle that stands on its base has half its area (Euclid VI 27
gives it for the parallelogram); in a circle of radius r it is the square of side r √2, in a half
circle it is r √2 by r / √2 (any textbook of the calculus).
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate

from foldwright.dressing import rectangles
from foldwright.dressing.rectangles import Rectangle, largest_rectangle

CELLS = st.sets(st.tuples(st.integers(0, 5), st.integers(0, 4)), min_size=1, max_size=30)


def found(shape: object, degrees: float = 0.0) -> Rectangle:
    rectangle = largest_rectangle(shape, degrees)
    assert rectangle is not None
    return rectangle


def test_the_larger_arm_of_an_l_and_the_room_beside_a_hole() -> None:
    shape = shapely.Polygon([(0, 0), (142, 0), (142, 39), (44, 39), (44, 99), (0, 99)])
    # 142 by 39 has 5538 mm², 44 by 99 has 4356.
    assert found(shape) == Rectangle((0, 0), 142, 39)
    holed = shapely.box(0, 0, 60, 40).difference(shapely.box(20, 10, 30, 20))
    # To the right of the hole 30 by 40, above it 60 by 20: of equal ones the lowest.
    assert found(holed) == Rectangle((30, 0), 30, 40)


def test_nothing_is_found_where_there_is_no_room() -> None:
    assert largest_rectangle(shapely.Polygon()) is None
    assert largest_rectangle(shapely.MultiPolygon()) is None


def test_lines_are_kept_out_of_the_inside_and_may_be_its_edge() -> None:
    sheet = shapely.box(0, 0, 100, 60)
    one = largest_rectangle(sheet, lines=[[(30, 10), (30, 50)]])
    assert one == Rectangle((30, 0), 70, 60)
    # A level line, and one of two stretches.
    assert largest_rectangle(sheet, lines=[[(40, 20), (60, 20)]]) == Rectangle((0, 20), 100, 40)
    bent = largest_rectangle(sheet, lines=[[(50, 0), (50, 30), (100, 30)]])
    assert bent == Rectangle((0, 0), 50, 60)


@pytest.mark.parametrize(("base", "height", "tip"), [(80, 60, 30), (50, 90, 0), (33, 20, 33)])
def test_in_a_triangle_on_its_base_it_has_half_the_area(
    base: float, height: float, tip: float
) -> None:
    one = found(shapely.Polygon([(0, 0), (base, 0), (tip, height)]))
    assert (one.width, one.height) == pytest.approx((base / 2, height / 2), abs=1e-3)


def test_in_a_circle_it_is_the_square_and_in_a_half_one_two_of_them() -> None:
    whole = shapely.Point(7, 3).buffer(50, quad_segs=200)
    one = found(whole)
    assert one.width == pytest.approx(50 * math.sqrt(2), abs=0.01)
    assert one.height == pytest.approx(50 * math.sqrt(2), abs=0.01)
    half = found(whole.intersection(shapely.box(-100, 3, 100, 100)))
    assert (half.width, half.height) == pytest.approx(
        (50 * math.sqrt(2), 50 / math.sqrt(2)), abs=0.01
    )


def test_it_lies_along_the_direction_that_is_asked_for() -> None:
    slanted = rotate(shapely.box(0, 0, 60, 30), 20, origin=(0, 0))
    along = found(slanted, 20)
    assert (along.width, along.height) == pytest.approx((60, 30))
    assert along.corner == pytest.approx((0, 0), abs=1e-9)
    assert shapely.Polygon(along.corners).symmetric_difference(slanted).area < 1e-6
    across = found(slanted, 110)
    assert (across.width, across.height) == pytest.approx((30, 60))
    assert found(slanted).area < along.area


def brute_force(cells: set[tuple[int, int]]) -> int:
    """The largest rectangle of whole cells, by trying all of them."""
    best = 0
    for left in range(6):
        for bottom in range(5):
            for right in range(left + 1, 7):
                for top in range(bottom + 1, 6):
                    inside = ((x, y) for x in range(left, right) for y in range(bottom, top))
                    if all(cell in cells for cell in inside):
                        best = max(best, (right - left) * (top - bottom))
    return best


@settings(deadline=None, max_examples=120)
@given(CELLS, st.sampled_from([0.0, 90.0, 180.0, 33.0]))
def test_it_is_that_of_brute_force_where_all_sides_are_square(
    cells: set[tuple[int, int]], degrees: float
) -> None:
    """Shapes of squares, with holes, in parts; cells that meet at a corner only do not join."""
    shape = shapely.union_all([shapely.box(x, y, x + 1, y + 1) for x, y in cells])
    turned = rotate(shape, degrees, origin=(0, 0))
    one = found(turned, degrees)
    assert one.area == pytest.approx(brute_force(cells), abs=1e-6)
    assert turned.buffer(1e-6).contains(shapely.Polygon(one.corners))


SLANTED = st.lists(st.tuples(st.integers(5, 40), st.integers(4, 10)), min_size=3, max_size=8)


@settings(deadline=None, max_examples=25)
@given(SLANTED, st.booleans())
def test_no_rectangle_of_a_fine_grid_is_larger(spokes: list[tuple[int, int]], hole: bool) -> None:
    """Brute force over rectangles of a grid: shapely says which of them the shape contains."""
    total, angle, corners = sum(share for _, share in spokes), 0.1, []
    for reach, share in spokes:
        corners.append((reach * math.cos(angle), reach * math.sin(angle)))
        angle += 2 * math.pi * share / total
    shape = shapely.Polygon(corners).buffer(0)
    if hole:
        shape = shape.difference(shapely.Point(1, 2).buffer(3, quad_segs=8))
    if shape.is_empty:
        return
    one = largest_rectangle(shape)
    assert one is not None
    assert shape.buffer(1e-6).contains(shapely.Polygon(one.corners))
    left, bottom, right, top = shape.bounds
    xs = [left + (right - left) * i / 11 for i in range(12)]
    ys = [bottom + (top - bottom) * i / 11 for i in range(12)]
    boxes = [
        shapely.box(x0, y0, x1, y1)
        for i, x0 in enumerate(xs)
        for x1 in xs[i + 1 :]
        for j, y0 in enumerate(ys)
        for y1 in ys[j + 1 :]
    ]
    shapely.prepare(shape)
    inside = [
        box.area for box, fits in zip(boxes, shapely.contains(shape, boxes), strict=True) if fits
    ]
    assert one.area >= max(inside, default=0.0) - 1e-6


@settings(deadline=None, max_examples=25)
@given(SLANTED)
def test_no_side_of_it_can_be_moved_out(spokes: list[tuple[int, int]]) -> None:
    """By 0.01 mm and more, or the larger rectangle would have been found."""
    total, angle, corners = sum(share for _, share in spokes), 0.1, []
    for reach, share in spokes:
        corners.append((reach * math.cos(angle), reach * math.sin(angle)))
        angle += 2 * math.pi * share / total
    shape = shapely.Polygon(corners).buffer(0)
    if shape.is_empty:
        return
    one = largest_rectangle(shape)
    assert one is not None
    (x0, y0), (x1, y1) = one.corner, (one.corner[0] + one.width, one.corner[1] + one.height)
    for move in ((0.01, 0, 0, 0), (0, 0.01, 0, 0), (0, 0, 0.01, 0), (0, 0, 0, 0.01)):
        grown = shapely.box(x0 - move[0], y0 - move[1], x1 + move[2], y1 + move[3])
        assert not shape.contains(grown)


def test_a_long_slanting_strip_is_searched_without_looking_at_every_place_along_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """As high as half the strip is wide along the level, by that: the same wherever it lies."""
    looked_at = 0
    widest = rectangles._Search.widest

    def counting(search: Any, bottom: Any, top: Any) -> Any:
        nonlocal looked_at
        looked_at += len(bottom)
        return widest(search, bottom, top)

    monkeypatch.setattr(rectangles._Search, "widest", counting)
    strip = shapely.Polygon([(0, 0), (50, 0), (650, 600), (600, 600)])
    one = found(strip)
    # At a height of h it is 50 - h wide; 25 by 25 is the most.
    assert (one.width, one.height) == pytest.approx((25, 25), abs=1e-3)
    # Halving without a bound would look at more than ten millions.
    assert looked_at < 1_000_000
