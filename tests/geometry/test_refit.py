"""Tests of geometry.refit: flattened lines and arcs come back as they were, and touch."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Segment, Vertex, circle, path_of, polygon
from foldwright.geometry.nearest import nearest
from foldwright.geometry.offset_check import FLAT_MM, flattened
from foldwright.geometry.refit import refit

from .shapes import QUARTER, rounded_rectangle

WITHIN = 1e-3
Pair = tuple[float, float]


def edge(area: object) -> list[Pair]:
    return list(area.exterior.coords)[:-1]  # type: ignore[attr-defined]


def turns(path: Path) -> list[float]:
    """The turn at each joint, in degrees."""
    segments = list(path.segments)
    around = [*segments, segments[0]] if path.closed else segments
    found = []
    for before, after in pairwise(around):
        a, b = before.direction(1.0), after.direction(0.0)
        found.append(math.degrees(math.atan2(float(a.cross(b)), float(a.dot(b)))))
    return found


def assert_refitted(path: Path, places: list[Pair], within: float = WITHIN) -> None:
    """Every place near the path, and every place of the path near the polyline."""
    assert max(nearest(path, Point(*at)).away for at in places) <= within
    chords = [*places, places[0]] if path.closed else places
    arcs = [s.at(i / 20).floats() for s in path.segments for i in range(21)]
    off = shapely.distance(shapely.points(arcs), shapely.LineString(chords))
    # The chords themselves leave what they stand for.
    assert float(off.max()) <= within + 2.0 * FLAT_MM


class TestShapes:
    def test_a_rounded_rectangle_comes_back(self) -> None:
        path = rounded_rectangle(100.0, 60.0, 5.0)
        places = flattened(path)
        found = refit(places, True, WITHIN)
        assert_refitted(found, places)
        assert sorted(s.radius for s in found.segments)[:4] == pytest.approx([5.0] * 4, abs=1e-5)
        assert [s.is_line for s in found.segments].count(True) == 4
        assert max(map(abs, turns(found))) < 1e-9
        assert found.area == pytest.approx(path.area, abs=1e-3)

    @pytest.mark.parametrize("by", [0.1, -0.1, 2.0])
    def test_the_buffer_of_its_chords_is_one_too(self, by: float) -> None:
        places = edge(
            shapely.Polygon(flattened(rounded_rectangle(100.0, 60.0, 5.0))).buffer(by, quad_segs=32)
        )
        found = refit(places, True, WITHIN)
        assert_refitted(found, places)
        assert len(found.segments) == 8
        radii = sorted(s.radius for s in found.segments)[:4]
        assert radii == pytest.approx([5.0 + by] * 4, abs=1e-3)
        assert max(map(abs, turns(found))) < 1e-9

    @pytest.mark.parametrize("back", [False, True])
    def test_a_circle_is_two_half_circles(self, back: bool) -> None:
        path = circle(Point(3.0, 4.0), 2.0)
        path = path.reversed if back else path
        found = refit(flattened(path), True, WITHIN)
        assert [s.bulge for s in found.segments] == [-1.0 if back else 1.0] * 2
        assert found.segments[0].radius == pytest.approx(2.0)
        assert found.segments[0].centre.floats() == pytest.approx((3.0, 4.0))

    def test_corners_stay_corners(self) -> None:
        """A notch that a buffer of 6 closes: rounded outer corners, two arcs that cross inside."""
        notched = shapely.Polygon(
            [(0, 0), (50, 0), (50, 30), (30, 30), (30, 10), (20, 10), (20, 30), (0, 30)]
        )
        places = edge(notched.buffer(6.0, quad_segs=64))
        found = refit(places, True, 2e-3)
        assert_refitted(found, places, 2e-3)
        radii = [s.radius for s in found.segments if not s.is_line]
        assert radii == pytest.approx([6.0] * 6, abs=1e-3)
        corners = [turn for turn in map(abs, turns(found)) if turn > 1e-6]
        # Both arcs about the notch's upper corners reach its middle, 5 of 6 aside.
        assert corners == pytest.approx([2.0 * math.degrees(math.asin(5 / 6))], abs=0.05)
        square = polygon(*(Point(*at) for at in ((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0))))
        assert refit(flattened(square), True, WITHIN).vertices[0].bulge == 0.0
        assert len(refit(flattened(square), True, WITHIN).segments) == 4

    def test_arcs_that_touch_arcs(self) -> None:
        """Two discs grown and shrunk again: their hollows are arcs of the way there and back."""
        discs = (
            shapely.Point(0, 0)
            .buffer(10, quad_segs=128)
            .union(shapely.Point(15, 0).buffer(8, quad_segs=128))
        )
        places = edge(discs.buffer(3, quad_segs=128).buffer(-3, quad_segs=128))
        found = refit(places, True, WITHIN)
        assert_refitted(found, places)
        assert sorted(s.radius for s in found.segments) == pytest.approx(
            [3.0, 3.0, 8.0, 10.0], abs=2e-3
        )
        assert max(map(abs, turns(found))) < 1e-7

    def test_an_open_path_keeps_its_ends(self) -> None:
        path = Path(
            (Vertex(Point(0.0, 0.0)), Vertex(Point(20.0, 0.0), QUARTER), Vertex(Point(30.0, 10.0)),
             Vertex(Point(30.0, 40.0)))
        )  # fmt: skip
        places = flattened(path)
        found = refit(places, False, WITHIN)
        assert not found.closed
        assert [s.is_line for s in found.segments] == [True, False, True]
        assert found.start.distance(path.start) < 1e-4
        assert found.end.distance(path.end) < 1e-4

    def test_many_straight_pieces_are_one_line(self) -> None:
        (segment,) = refit([(i / 7.0, i / 3.0) for i in range(40)], False, WITHIN).segments
        assert segment.is_line

    def test_what_has_no_extent_is_refused(self) -> None:
        for places in ([], [(0.0, 0.0)], [(0.0, 0.0)] * 5, [(0.0, 0.0), (1.0, 0.0)]):
            with pytest.raises(ValueError, match="no extent"):
                refit(places, True, WITHIN)
        with pytest.raises(ValueError, match="not finite"):
            refit([(0.0, 0.0), (math.nan, 0.0), (1.0, 1.0)], True, WITHIN)
        with pytest.raises(ValueError, match="tolerance"):
            refit([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], True, 0.0)


# Length or radius, and the turn of an arc in degrees; 0 is a line.
PIECES = st.lists(
    st.tuples(st.integers(4, 40), st.sampled_from([0, 0, 40, -50, 90, -120, 160])),
    min_size=1,
    max_size=7,
)


class TestAny:
    @settings(deadline=None, max_examples=60)
    @given(PIECES)
    def test_a_chain_of_lines_and_arcs_that_touch(self, pieces: list[tuple[int, int]]) -> None:
        """No more segments than there were, as near as asked for, and smooth as before."""
        segments: list[Segment] = []
        at, way = complex(0.0, 0.0), complex(1.0, 0.0)
        for size, degrees in pieces:
            sweep = math.radians(degrees)
            bulge = math.tan(sweep / 4.0)
            turned = complex(math.cos(sweep / 2.0), math.sin(sweep / 2.0))
            chord = size if not degrees else 2.0 * size * abs(math.sin(sweep / 2.0))
            end = at + chord * way * turned
            segments.append(Segment(Point(at.real, at.imag), Point(end.real, end.imag), bulge))
            at, way = end, way * turned * turned
        places = flattened(path_of(segments, closed=False))
        found = refit(places, False, WITHIN)
        assert len(found.segments) <= len(segments)
        assert_refitted(found, places)
        assert all(abs(turn) < 1e-6 for turn in turns(found))

    @settings(deadline=None, max_examples=40)
    @given(st.lists(st.tuples(*[st.integers(0, 40)] * 2), min_size=3, max_size=7))
    def test_any_buffer(self, corners: list[tuple[int, int]]) -> None:
        area = shapely.MultiPoint(corners).convex_hull
        assume(area.geom_type == "Polygon")
        places = edge(area.buffer(3.0, quad_segs=64))
        found = refit(places, True, WITHIN)
        assert_refitted(found, places)
        assert len(found.segments) <= 2 * (len(area.exterior.coords) - 1)
        assert all(s.is_line or s.radius == pytest.approx(3.0, abs=0.02) for s in found.segments)
