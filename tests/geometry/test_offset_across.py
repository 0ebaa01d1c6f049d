"""Tests of geometry.offset_across: paths moved by an ellipse, against closed forms and shapely.

The reference draws the plane so that the ellipse is a circle, lets shapely buffer a
finely flattened copy there, and draws it back.
"""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity

from foldwright.geometry import Path, Point, Vertex, circle, line, polygon
from foldwright.geometry.offset import Loss, offset
from foldwright.geometry.offset_across import offset_across
from foldwright.geometry.offset_across_check import second_opinion_across, verify_across
from foldwright.geometry.offset_check import flattened
from foldwright.measures.exact import ACROSS_MM

from .shapes import rounded_rectangle

# The two sides may differ by a micrometre and by what the fit tells.
NEAR_MM = 1e-3 + ACROSS_MM


def shape(*vertices: tuple[float, float, float]) -> Path:
    """A closed path by place and bulge."""
    return Path(tuple(Vertex(Point(x, y), bulge) for x, y, bulge in vertices), closed=True)


def plain(*places: tuple[float, float]) -> Path:
    return polygon(*(Point(*at) for at in places))


def rectangle(w: float, h: float) -> Path:
    return plain((0.0, 0.0), (w, 0.0), (w, h), (0.0, h))


def buffered(
    path: Path, by_x: float, by_y: float, join: str, within: float = 1e-6
) -> shapely.Polygon:
    """The reference: mitred everywhere (reach 5), or round everywhere."""
    stretch = by_x / by_y
    source = shapely.Polygon(flattened(path, within))
    drawn = affinity.scale(source, yfact=stretch, origin=(0, 0))
    found = drawn.buffer(by_x, quad_segs=128, join_style=join, mitre_limit=5.0)
    return affinity.scale(found, yfact=1.0 / stretch, origin=(0, 0))


def assert_as_buffered(
    path: Path, by_x: float, by_y: float, join: str = "mitre", mitre_limit: float = 5.0
) -> Path:
    found = offset_across(path, by_x, by_y, mitre_limit=mitre_limit)
    assert found.losses == ()
    assert found.path is not None
    assert verify_across(path, found, by_x, by_y) == ()
    assert second_opinion_across(path, found, by_x, by_y) == ()
    reference = buffered(path, by_x, by_y, join)
    own = shapely.Polygon(flattened(found.path, 1e-6))
    # Chords of both are short: 0.05 mm more of them change nothing.
    edges = [area.exterior.segmentize(0.05) for area in (own, reference)]
    assert shapely.hausdorff_distance(*edges) <= NEAR_MM
    return found.path


class TestClosedForms:
    @pytest.mark.parametrize("way", [1.0, -1.0])
    def test_a_rectangle_grows_by_twice_each_half_axis(self, way: float) -> None:
        path = offset_across(rectangle(40.0, 20.0), way * 0.2, way * 0.15).path
        assert path is not None
        expected = (-0.2 * way, -0.15 * way, 40.0 + 0.2 * way, 20.0 + 0.15 * way)
        assert path.box() == pytest.approx(expected, abs=1e-12)
        assert len(path.vertices) == 4
        assert all(vertex.bulge == 0.0 for vertex in path.vertices)

    @pytest.mark.parametrize(("by_x", "by_y"), [(0.3, 0.1), (-0.3, -0.1), (0.1, 0.25)])
    def test_a_circle_grows_in_each_axis_by_its_half_axis(self, by_x: float, by_y: float) -> None:
        path = assert_as_buffered(circle(Point(0.0, 0.0), 8.0), by_x, by_y)
        assert path.box() == pytest.approx(
            (-8.0 - by_x, -8.0 - by_y, 8.0 + by_x, 8.0 + by_y), abs=ACROSS_MM
        )
        # The mixed area of disc and ellipse is half the radius times the ellipse's
        # perimeter (Steiner's formula for convex bodies, textbook).
        a, b = abs(by_x), abs(by_y)
        around = sum(
            math.hypot(a * math.sin(t), b * math.cos(t)) * math.tau / 4096
            for t in (math.tau * i / 4096 for i in range(4096))
        )
        grown = math.copysign(8.0 * around, by_x) + math.pi * a * b
        assert path.area == pytest.approx(math.pi * 64.0 + grown, abs=ACROSS_MM * path.length)

    def test_a_line_moves_by_the_support_of_its_normal(self) -> None:
        """Two sides at 30 degrees: h = sqrt((0.3 sin 30)² + (0.1 cos 30)²) = 0.17321 by hand."""
        slope = math.tan(math.radians(30.0))
        path = plain((0.0, 0.0), (30.0, 30.0 * slope), (30.0, 30.0 * slope + 20.0), (0.0, 20.0))
        found = offset_across(path, 0.3, 0.1).path
        assert found is not None
        x, y = found.vertices[0].at.floats()
        away = (x * slope - y) / math.hypot(slope, 1.0)
        assert away == pytest.approx(math.sqrt(0.03), abs=1e-12)
        assert x == pytest.approx(-0.3, abs=1e-12)

    def test_equal_half_axes_are_an_offset_exactly(self) -> None:
        for path in (rounded_rectangle(40.0, 20.0, 3.0), circle(Point(1.0, 2.0), 5.0)):
            assert offset_across(path, 0.2, 0.2) == offset(path, 0.2)
            assert offset_across(path, -0.2, -0.2, mitre_limit=2.0) == offset(
                path, -0.2, mitre_limit=2.0
            )


class TestAgainstShapely:
    @pytest.mark.parametrize(("by_x", "by_y"), [(0.3, 0.1), (-0.3, -0.1), (0.1, 0.25)])
    def test_a_rounded_rectangle(self, by_x: float, by_y: float) -> None:
        path = assert_as_buffered(rounded_rectangle(60.0, 30.0, 4.0), by_x, by_y)
        assert len(path.vertices) <= 4 + 4 * 8
        for before, after in pairwise([*path.segments, path.segments[0]]):
            assert abs(float(before.direction(1.0).cross(after.direction(0.0)))) < 1e-6

    @pytest.mark.parametrize("way", [1.0, -1.0])
    def test_sides_that_lean_and_corners_that_turn_in(self, way: float) -> None:
        arrow = plain((0.0, 0.0), (30.0, 8.0), (24.0, 25.0), (14.0, 20.0), (3.0, 25.0))
        assert_as_buffered(arrow, way * 0.4, way * 0.15)
        assert_as_buffered(arrow.reversed, way * 0.4, way * 0.15)

    def test_crossings_of_arcs_at_corners_that_turn_in(self) -> None:
        """Moved inwards, every corner of a lens, a half disc and a bite is cut back."""
        lens = shape((0.0, 0.0, 0.4), (20.0, 0.0, 0.4))
        half = shape((0.0, 0.0, 0.0), (20.0, 0.0, 1.0))
        bite = shape((0.0, 0.0, 0.0), (20.0, 0.0, 0.0), (20.0, 15.0, 0.0), (0.0, 15.0, -0.6))
        for path in (lens, half, bite):
            assert_as_buffered(path, -0.3, -0.12)
            assert_as_buffered(path, -0.1, -0.35)

    def test_tips_of_arcs_run_on_until_they_meet(self) -> None:
        """A half disc: the moved line at y = -0.1 meets the moved arc, which lies beyond."""
        half = shape((-5.0, 0.0, 0.0), (5.0, 0.0, 1.0))
        found = offset_across(half, 0.2, 0.1)
        assert found.path is not None
        assert second_opinion_across(half, found, 0.2, 0.1) == ()
        whole = offset_across(circle(Point(0.0, 0.0), 5.0), 0.2, 0.1).path
        assert whole is not None
        edge = shapely.LineString([*flattened(whole, 1e-7), whole.start.floats()])
        for vertex in found.path.vertices[:2]:
            assert float(vertex.at.y) == pytest.approx(-0.1, abs=1e-9)
            assert edge.distance(shapely.Point(vertex.at.floats())) <= 2.0 * ACROSS_MM
        assert found.mitred > 0.0

    def test_corners_beyond_the_limit_get_the_ellipses_arc(self) -> None:
        spike = plain((0.0, 0.0), (40.0, -3.0), (40.0, 3.0))
        found = offset_across(spike, 0.4, 0.15)
        assert found.rounded == (Point(0.0, 0.0),)
        assert found.path is not None
        # The arc of the ellipse reaches its half-axis beyond the corner.
        assert found.path.box()[0] == pytest.approx(-0.4, abs=ACROSS_MM)
        path = assert_as_buffered(spike, 0.4, 0.15, join="round", mitre_limit=0.9)
        assert len(path.vertices) <= 3 + 3 * 10

    def test_the_limit_is_measured_in_half_axes(self) -> None:
        """The tip of a right angle, half-axes apart both ways, reaches sqrt(2) of them."""
        square = rectangle(9.0, 9.0)
        assert offset_across(square, 0.5, 0.1, mitre_limit=1.42).rounded == ()
        assert len(offset_across(square, 0.5, 0.1, mitre_limit=1.41).rounded) == 4

    @settings(deadline=None, max_examples=50)
    @given(
        st.lists(
            st.tuples(st.integers(12, 40), st.sampled_from([0.0, 0.0, 0.2, 0.6, -0.15])),
            min_size=3,
            max_size=8,
        ),
        st.integers(5, 60),
        st.integers(5, 60),
        st.booleans(),
    )
    def test_any_star(self, rays: list[tuple[int, float]], a: int, b: int, inwards: bool) -> None:
        """What is given out holds before shapely in the other plane; the rest is told as lost."""
        count = len(rays)
        path = shape(
            *(
                (r * math.cos(math.tau * i / count), r * math.sin(math.tau * i / count), bulge)
                for i, (r, bulge) in enumerate(rays)
            )
        )
        assume(shapely.Polygon(flattened(path)).is_valid and a != b)
        by_x, by_y = (-a / 100, -b / 100) if inwards else (a / 100, b / 100)
        found = offset_across(path, by_x, by_y)
        if found.path is None or verify_across(path, found, by_x, by_y):
            assert found.losses or verify_across(path, found, by_x, by_y)
            return
        own = shapely.Polygon(flattened(found.path, 1e-5))
        reference = buffered(path, abs(by_x), abs(by_y), "round", 1e-5) if not inwards else None
        if reference is not None:
            # Mitres lie outside of the round joints, and reach no farther than the limit.
            assert reference.difference(own).buffer(-NEAR_MM).is_empty
            assert (
                own.difference(buffered(path, 5.0 * abs(by_x), 5.0 * abs(by_y), "round", 1e-4))
                .buffer(-NEAR_MM)
                .is_empty
            )
        else:
            stretch = by_x / by_y
            drawn = affinity.scale(
                shapely.Polygon(flattened(path, 1e-5)), yfact=stretch, origin=(0, 0)
            )
            round_in = affinity.scale(
                drawn.buffer(by_x, quad_segs=128), yfact=1.0 / stretch, origin=(0, 0)
            )
            assert own.difference(round_in).buffer(-NEAR_MM).is_empty


class TestLosses:
    def test_an_arc_that_the_ellipse_does_not_fit_into(self) -> None:
        """Its tightest hollow has the radius a²/b = 0.9 at the ends of the shorter axis."""
        for radius, lost in ((0.95, False), (0.85, True)):
            found = offset_across(circle(Point(0.0, 0.0), radius), -0.3, -0.1)
            assert [loss.loss for loss in found.losses] == ([Loss.RADIUS] * 2 if lost else [])

    def test_a_side_that_vanishes(self) -> None:
        found = offset_across(rectangle(10.0, 0.5), -0.1, -0.3)
        assert {loss.loss for loss in found.losses} == {Loss.TURNED}
        assert offset_across(rectangle(10.0, 0.5), -0.3, -0.1).losses == ()

    def test_sides_that_run_into_each_other(self) -> None:
        """A slot of 1 mm across x closes under 0.6 along x, and under no 0.6 along y."""
        slotted = plain(
            (0.0, 0.0), (20.0, 0.0), (20.0, 15.0), (10.5, 15.0), (10.5, 5.0), (9.5, 5.0),
            (9.5, 15.0), (0.0, 15.0),
        )  # fmt: skip
        found = offset_across(slotted, 0.6, 0.1)
        losses = verify_across(slotted, found, 0.6, 0.1)
        assert losses
        assert {loss.loss for loss in losses} <= {Loss.MERGED, Loss.TURNED}
        assert 9.0 <= float(losses[0].at.x) <= 11.0
        assert_as_buffered(slotted, 0.1, 0.6)

    def test_necks_that_close_without_a_vanished_side(self) -> None:
        neck = plain(
            (0.0, 0.0), (10.0, 4.8), (20.0, 0.0), (20.0, 10.0), (10.0, 5.2), (0.0, 10.0)
        )  # fmt: skip
        found = offset_across(neck, -0.1, -0.3)
        losses = verify_across(neck, found, -0.1, -0.3)
        assert [loss.loss for loss in losses] == [Loss.MERGED]
        assert losses[0].at.distance(Point(10.0, 5.0)) < 2.0
        assert_as_buffered(neck, -0.3, -0.05)

    def test_a_path_that_crosses_itself(self) -> None:
        bow = plain((0.0, 0.0), (10.0, 10.0), (10.0, 0.0), (0.0, 10.0))
        assert [loss.loss for loss in offset_across(bow, 0.2, 0.1).losses] == [Loss.TANGLED]

    def test_what_has_no_inside_or_no_one_way_is_refused(self) -> None:
        with pytest.raises(ValueError, match="inside"):
            offset_across(line(Point(0.0, 0.0), Point(1.0, 0.0)), 0.2, 0.1)
        with pytest.raises(ValueError, match="not both"):
            offset_across(rectangle(4.0, 4.0), 0.2, -0.1)

    def test_a_tool_that_removes_nothing_along_one_axis(self) -> None:
        path = offset_across(rectangle(40.0, 20.0), 0.2, 0.0).path
        assert path is not None
        assert path.box() == pytest.approx((-0.2, 0.0, 40.2, 20.0), abs=ACROSS_MM)
