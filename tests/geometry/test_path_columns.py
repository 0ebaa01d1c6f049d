"""Tests of geometry.path_columns: the columns say what the segments themselves say."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex, union_box
from foldwright.geometry.path_columns import columns_of, segment_at

PLACES = st.floats(-500.0, 500.0)
BULGES = st.one_of(st.just(0.0), st.floats(-3.0, 3.0).filter(lambda b: abs(b) > 1e-3))
VERTICES = st.lists(
    st.builds(lambda x, y, b: Vertex(Point(x, y), b), PLACES, PLACES, BULGES),
    min_size=2,
    max_size=6,
)


@given(st.lists(st.builds(lambda v, c: Path(tuple(v), c), VERTICES, st.booleans()), max_size=5))
def test_columns_are_the_segments(paths: list[Path]) -> None:
    columns = columns_of(paths)
    expected = [
        (owner, number, segment)
        for owner, path in enumerate(paths)
        for number, segment in enumerate(path.segments)
    ]
    assert len(columns) == len(expected)
    assert columns.counts.tolist() == [len(path.segments) for path in paths]
    boxes, lengths = columns.boxes(), columns.lengths
    begin, end = columns.directions()
    for index, (owner, number, segment) in enumerate(expected):
        assert (columns.owner[index], columns.number[index]) == (owner, number)
        assert segment_at(paths, columns, index) == segment
        assert lengths[index] == pytest.approx(segment.length, rel=1e-12, abs=1e-12)
        assert boxes[index] == pytest.approx(segment.box(), abs=1e-9)
        if segment.chord > 1e-6:
            for heading, share in ((begin[index], 0.0), (end[index], 1.0)):
                way = segment.direction(share)
                turned = complex(float(way.x), float(way.y)) / complex(
                    math.cos(heading), math.sin(heading)
                )
                assert abs(turned - 1.0) < 1e-9


@given(st.lists(st.builds(lambda v: Path(tuple(v), True), VERTICES), min_size=1, max_size=4))
def test_whole_paths_have_their_own_boxes_lengths_and_areas(paths: list[Path]) -> None:
    columns = columns_of(paths)
    for index, path in enumerate(paths):
        assert columns.path_boxes[index] == pytest.approx(path.box(), abs=1e-9)
        assert columns.path_lengths[index] == pytest.approx(path.length, rel=1e-12)
        assert columns.path_areas[index] == pytest.approx(path.area, rel=1e-9, abs=1e-6)


def test_no_paths_have_no_segments() -> None:
    assert len(columns_of([])) == 0
    assert columns_of([]).boxes().shape == (0, 4)


@given(st.builds(lambda v, c: Path(tuple(v), c), VERTICES, st.booleans()))
def test_a_path_reaches_as_far_as_its_segments(path: Path) -> None:
    assert path.box() == pytest.approx(union_box(s.box() for s in path.segments), abs=1e-9)
    assert path.length == pytest.approx(math.fsum(s.length for s in path.segments), rel=1e-12)
