"""Tests of geometry.stretches: the same stretches as those cut out one by one."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex
from foldwright.geometry.stretches import stretches

PLACES = st.integers(-50, 50).map(float)
BULGES = st.one_of(st.just(0.0), st.floats(-2.0, 2.0).filter(lambda b: abs(b) > 1e-3))
PATHS = st.builds(
    lambda v, closed: Path(tuple(v), closed),
    st.lists(
        st.builds(lambda x, y, b: Vertex(Point(x, y), b), PLACES, PLACES, BULGES),
        min_size=2,
        max_size=7,
        unique_by=lambda vertex: (vertex.at.x, vertex.at.y),
    ),
    st.booleans(),
)
SHARES = st.one_of(st.sampled_from((0.0, 0.5, 1.0)), st.floats(0.0, 1.0))


@given(PATHS, st.lists(st.tuples(SHARES, SHARES), max_size=4))
def test_they_are_the_stretches_cut_out_one_by_one(
    path: Path, shares: list[tuple[float, float]]
) -> None:
    total = path.length
    spans = [
        (start * total, (start + size if path.closed else max(start, size)) * total)
        for start, size in shares
    ]
    found = stretches(path, spans)
    for (start, end), one in zip(spans, found, strict=True):
        expected = path.stretch(start, end)
        if end - start < 1e-6:
            assert one.length == pytest.approx(expected.length, abs=1e-6)
            continue
        assert not one.closed
        assert one.length == pytest.approx(end - start)
        assert len(one.vertices) == len(expected.vertices)
        for vertex, other in zip(one.vertices, expected.vertices, strict=True):
            assert vertex.at.distance(other.at) < 1e-6
            assert vertex.bulge == pytest.approx(other.bulge, abs=1e-6)


def test_whole_segments_keep_their_own_vertices() -> None:
    path = Path(tuple(Vertex(Point(*at)) for at in ((0, 0), (10, 0), (10, 10), (0, 10))), True)
    (one,) = stretches(path, [(5.0, 25.0)])
    assert [vertex.at.floats() for vertex in one.vertices] == [(5, 0), (10, 0), (10, 10), (5, 10)]
    assert one.vertices[1] is path.vertices[1]


def test_an_end_that_rounding_put_beyond_the_path_is_its_end() -> None:
    path = Path((Vertex(Point(0.0, 0.0)), Vertex(Point(10.0, 0.0)), Vertex(Point(10.0, 0.3))))
    (one,) = stretches(path, [(5.0, path.length + 1e-12)])
    assert one.end.distance(path.end) < 1e-9
    assert one.length == pytest.approx(5.3)
