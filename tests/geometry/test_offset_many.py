"""Tests of geometry.offset_many: paths as one by one, and none that needs a closer look."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex, circle, line, polygon
from foldwright.geometry.offset_many import offset_many
from foldwright.geometry.offset_rings import offset_rings

from .shapes import rounded_rectangle


def rectangle(width: float, height: float) -> Path:
    return polygon(
        *(Point(x, y) for x, y in ((0.0, 0.0), (width, 0.0), (width, height), (0.0, height)))
    )


def test_convex_paths_are_all_moved() -> None:
    paths = [rounded_rectangle(20.0 + i, 10.0, 2.0) for i in range(3)] + [
        rounded_rectangle(20.0, 10.0, 2.0).reversed,
        rectangle(20.0, 10.0),
        circle(Point(3.0, 4.0), 2.0),
    ]
    areas = [path.area for path in offset_many(paths, 0.1) if path is not None]
    corner = (4.0 - math.pi) * 2.1**2
    assert areas == pytest.approx(
        [(20.2 + i) * 10.2 - corner for i in range(3)]
        + [corner - 20.2 * 10.2, 20.2 * 10.2, math.pi * 2.1**2]
    )


def test_what_needs_a_closer_look_is_left_alone() -> None:
    sharp = polygon(Point(0.0, 0.0), Point(50.0, -2.0), Point(50.0, 2.0))
    hollow = polygon(*(Point(*at) for at in ((0.0, 0.0), (9.0, 0.0), (4.0, 2.0), (0.0, 9.0))))
    half = Path((Vertex(Point(-5.0, 0.0)), Vertex(Point(5.0, 0.0), 1.0)), closed=True)
    doubled = polygon(*(Point(*at) for at in ((0.0, 0.0), (5.0, 0.0), (5.0, 0.0), (5.0, 5.0))))
    single = Path((Vertex(Point(0.0, 0.0)),), closed=True)
    crossed = polygon(*(Point(*at) for at in ((0.0, 0.0), (5.0, 5.0), (5.0, 0.0), (0.0, 5.0))))
    assert offset_many([sharp, hollow, half, doubled, single, crossed], 0.1) == [None] * 6
    assert offset_many([circle(Point(0.0, 0.0), 0.1), rectangle(5.0, 0.2)], -0.1) == [None] * 2
    assert offset_many([], 0.1) == []


def test_an_open_path_has_no_inside() -> None:
    with pytest.raises(ValueError, match="closed"):
        offset_many([line(Point(0.0, 0.0), Point(1.0, 0.0))], 0.1)


@st.composite
def paths(draw: st.DrawFn) -> Path:
    """Stars with arcs, polygons that turn one way, and rounded rectangles, either way round."""
    kind = draw(st.sampled_from(["star", "round", "rectangle"]))
    if kind == "rectangle":
        path = rounded_rectangle(
            draw(st.floats(3.0, 9.0)), draw(st.floats(3.0, 9.0)), draw(st.floats(0.05, 1.4))
        )
    else:
        count = draw(st.integers(3, 8))
        reach = st.floats(2.0, 9.0) if kind == "star" else st.just(5.0)
        bulge = st.one_of(st.just(0.0), st.floats(-0.5, 0.5)) if kind == "star" else st.just(0.0)
        turn = draw(st.floats(0.0, 6.0))
        vertices = []
        for i in range(count):
            r, angle = draw(reach), turn + 2.0 * math.pi * i / count
            vertices.append(Vertex(Point(r * math.cos(angle), r * math.sin(angle)), draw(bulge)))
        path = Path(tuple(vertices), closed=True)
    return path.reversed if draw(st.booleans()) else path


@given(
    st.lists(paths(), min_size=1, max_size=6),
    st.floats(-0.8, 0.8).filter(lambda by: abs(by) > 0.02),
)
def test_many_at_once_are_what_they_are_one_by_one(several: list[Path], by: float) -> None:
    for path, moved in zip(several, offset_many(several, by), strict=True):
        if moved is None:
            continue
        alone = offset_rings(path, by)
        assert not (alone.rounded or alone.changed or alone.losses)
        (wanted,) = alone.paths
        assert len(moved.vertices) == len(wanted.vertices)
        for ours, theirs in zip(moved.vertices, wanted.vertices, strict=True):
            assert ours.at.distance(theirs.at) <= 1e-11
            assert ours.bulge == pytest.approx(theirs.bulge, abs=1e-15)
