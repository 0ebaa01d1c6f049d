"""Tests of geometry.offset: lines and arcs stay exact, corners are mitred, losses are told."""

from __future__ import annotations

import math
import tomllib
from itertools import pairwise
from pathlib import Path as File

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex, circle, line, point, polygon
from foldwright.geometry.offset import MITRE_LIMIT, Loss, offset
from foldwright.geometry.offset_check import (
    area_tolerance,
    flattened,
    second_opinion,
    sides_apart,
    verify,
)

PUBLISHED = tomllib.loads(
    (File(__file__).parents[1] / "published" / "kerf.toml").read_text(encoding="utf-8")
)

# The bulge of a quarter circle (published/units.toml).
QUARTER = math.tan(math.pi / 8.0)


def rectangle(width: float, height: float) -> Path:
    return polygon(*(point(x, y) for x, y in ((0, 0), (width, 0), (width, height), (0, height))))


def rounded_rectangle(width: float, height: float, radius: float) -> Path:
    w, h, r = width, height, radius
    return Path(
        (
            Vertex(Point(r, 0.0)),
            Vertex(Point(w - r, 0.0), QUARTER),
            Vertex(Point(w, r)),
            Vertex(Point(w, h - r), QUARTER),
            Vertex(Point(w - r, h)),
            Vertex(Point(r, h), QUARTER),
            Vertex(Point(0.0, h - r)),
            Vertex(Point(0.0, r), QUARTER),
        ),
        closed=True,
    )


def moved(path: Path, by: float) -> Path:
    """The offset, which must be without loss and hold before shapely."""
    found = offset(path, by)
    assert found.losses == ()
    assert verify(path, found, by) == ()
    assert second_opinion(path, found, by) == ()
    assert found.path is not None
    return found.path


def places(path: Path) -> list[tuple[float, float]]:
    return [vertex.at.floats() for vertex in path.vertices]


def assert_same(first: Path, second: Path, within: float = 1e-9) -> None:
    assert len(first.vertices) == len(second.vertices)
    for a, b in zip(first.vertices, second.vertices, strict=True):
        assert a.at.distance(b.at) <= within
        assert a.bulge == pytest.approx(b.bulge, abs=1e-9)


class TestPublished:
    def test_kerf_of_a_part_and_of_an_opening(self) -> None:
        kerf = PUBLISHED["kerf"]
        wanted = rectangle(*kerf["wanted_mm"])
        for by, drawn in (
            (kerf["k_mm"] / 2, kerf["part_drawn_mm"]),
            (-kerf["k_mm"] / 2, kerf["opening_drawn_mm"]),
        ):
            left, bottom, right, top = moved(wanted, by).box()
            assert (right - left, top - bottom) == pytest.approx(drawn, abs=1e-12)

    @pytest.mark.parametrize(("degrees", "mitred"), [(23.0, False), (23.2, True), (90.0, True)])
    def test_the_mitre_limit_is_that_of_stroke_joins(self, degrees: float, mitred: bool) -> None:
        """1 / sin(23.07 / 2) is 5: published/kerf.toml, mitre_limit."""
        theta = math.radians(degrees)
        assert (1 / math.sin(theta / 2) <= MITRE_LIMIT) is mitred
        tip = polygon(
            Point(0.0, 0.0),
            Point(50.0, 0.0),
            Point(50.0 * math.cos(theta), 50.0 * math.sin(theta)),
        )
        found = offset(tip, 0.1)
        assert (Point(0.0, 0.0) in found.rounded) is not mitred


class TestExactness:
    def test_arcs_get_another_radius_and_stay_arcs(self) -> None:
        path = moved(rounded_rectangle(100.0, 60.0, 5.0), 0.1)
        assert_same(
            path,
            Path(
                tuple(
                    Vertex(vertex.at + (Point(-0.1, -0.1) - Point(0.0, 0.0)), vertex.bulge)
                    for vertex in rounded_rectangle(100.2, 60.2, 5.1).vertices
                ),
                closed=True,
            ),
            1e-12,
        )
        assert {round(s.radius, 12) for s in path.segments if not s.is_line} == {5.1}

    def test_a_circle_grows_by_the_offset(self) -> None:
        found = moved(circle(Point(3.0, 4.0), 2.0), 0.25)
        assert_same(found, circle(Point(3.0, 4.0), 2.25), 1e-12)

    def test_fractions_are_taken_as_they_are(self) -> None:
        assert moved(rectangle(148, 210), 0.05).box() == (-0.05, -0.05, 148.05, 210.05)

    def test_a_path_that_runs_clockwise_grows_too_and_still_runs_clockwise(self) -> None:
        other = moved(rounded_rectangle(20.0, 10.0, 2.0).reversed, 0.1)
        assert_same(other, moved(rounded_rectangle(20.0, 10.0, 2.0), 0.1).reversed)
        assert other.area < 0.0

    def test_vertices_of_no_length_are_passed_over(self) -> None:
        doubled = polygon(*(point(*at) for at in ((0, 0), (5, 0), (5, 0), (5, 5), (0, 5))))
        assert_same(moved(doubled, 0.1), moved(rectangle(5, 5), 0.1))

    def test_a_vertex_on_a_straight_side_stays_where_it_is_along_it(self) -> None:
        halved = polygon(*(point(*at) for at in ((0, 0), (2, 0), (5, 0), (5, 5), (0, 5))))
        assert places(moved(halved, 0.1))[1] == pytest.approx((2.0, -0.1))


class TestCorners:
    def test_line_and_arc_run_on_until_they_meet(self) -> None:
        """A half disc: the line shifted, the circle grown, met by Pythagoras."""
        half = Path((Vertex(Point(-5.0, 0.0)), Vertex(Point(5.0, 0.0), 1.0)), closed=True)
        across = math.sqrt(5.1**2 - 0.1**2)
        found = moved(half, 0.1)
        assert places(found) == [pytest.approx((-across, -0.1)), pytest.approx((across, -0.1))]
        arc = found.segments[1]
        assert arc.radius == pytest.approx(5.1)
        assert arc.centre.floats() == pytest.approx((0.0, 0.0), abs=1e-9)

    def test_arc_and_arc_run_on_until_they_meet(self) -> None:
        """A lens of two circles of radius 10 whose centres lie 16 apart."""
        bulge = math.tan(math.asin(0.6) / 2.0)
        lens = Path((Vertex(Point(0.0, -6.0), bulge), Vertex(Point(0.0, 6.0), bulge)), closed=True)
        for by in (0.1, -0.1):
            half = math.sqrt((10.0 + by) ** 2 - 8.0**2)
            found = moved(lens, by)
            assert places(found) == [
                pytest.approx((0.0, -half), abs=1e-9),
                pytest.approx((0.0, half), abs=1e-9),
            ]
            assert {round(s.radius, 9) for s in found.segments} == {10.0 + by}

    def test_line_and_arc_that_overlap_are_cut_back_to_their_crossing(self) -> None:
        """A rectangle with a half round bump: between them the corners are hollow."""
        bump = Path(
            (
                Vertex(Point(0.0, 0.0)),
                Vertex(Point(10.0, 0.0)),
                Vertex(Point(10.0, 10.0)),
                Vertex(Point(8.0, 10.0), 1.0),
                Vertex(Point(2.0, 10.0)),
                Vertex(Point(0.0, 10.0)),
            ),
            closed=True,
        )
        half = math.sqrt(3.1**2 - 0.1**2)
        found = places(moved(bump, 0.1))
        assert found[3] == pytest.approx((5.0 + half, 10.1))
        assert found[4] == pytest.approx((5.0 - half, 10.1))

    def test_an_arc_that_bites_in_gets_smaller(self) -> None:
        bite = Path(
            (
                Vertex(Point(0.0, 0.0)),
                Vertex(Point(10.0, 0.0)),
                Vertex(Point(10.0, 10.0)),
                Vertex(Point(8.0, 10.0), -1.0),
                Vertex(Point(2.0, 10.0)),
                Vertex(Point(0.0, 10.0)),
            ),
            closed=True,
        )
        found = moved(bite, 0.1)
        half = math.sqrt(2.9**2 - 0.1**2)
        assert places(found)[3] == pytest.approx((5.0 + half, 10.1))
        assert found.segments[3].radius == pytest.approx(2.9)

    def test_a_sharp_corner_gets_an_arc_about_itself(self) -> None:
        tip = polygon(point(0, 0), point(50, -2), point(50, 2))
        found = offset(tip, 0.1)
        assert found.rounded == (Point(0.0, 0.0),)
        assert found.path is not None
        (arc,) = (segment for segment in found.path.segments if not segment.is_line)
        assert arc.radius == pytest.approx(0.1)
        assert arc.centre.floats() == pytest.approx((0.0, 0.0), abs=1e-9)
        assert second_opinion(tip, found, 0.1) == ()
        # Inwards the same corner is a crossing, and needs no arc.
        assert offset(tip, -0.1).rounded == ()

    def test_a_sharp_corner_that_bites_in_gets_an_arc_when_moved_inwards(self) -> None:
        bite = polygon(
            *(point(*at) for at in ((0, 0), (20, 0), (20, 20), (11, 20), (10, 2), (9, 20), (0, 20)))
        )
        found = offset(bite, -0.2)
        assert found.rounded == (Point(10.0, 2.0),)
        assert second_opinion(bite, found, -0.2) == ()


def losses(path: Path, by: float) -> list[tuple[Loss, tuple[float, float]]]:
    return [(lost.loss, lost.at.floats()) for lost in verify(path, offset(path, by), by)]


class TestLosses:
    def test_a_slot_narrower_than_the_kerf(self) -> None:
        slot = polygon(
            *(
                point(*at)
                for at in (
                    (0, 0),
                    (20, 0),
                    (20, 20),
                    (10.15, 20),
                    (10.15, 5),
                    (10, 5),
                    (10, 20),
                    (0, 20),
                )
            )
        )
        ((loss, at),) = losses(slot, 0.1)
        assert loss is Loss.TURNED
        assert at == pytest.approx((10.075, 5.0))
        assert losses(slot, 0.07) == []

    def test_a_side_that_just_vanishes(self) -> None:
        assert losses(rectangle(10.0, 0.2), -0.1)[0][0] is Loss.TURNED
        assert losses(rectangle(10.0, 0.2), -0.099) == []

    @pytest.mark.parametrize("radius", [0.05, 0.1])
    def test_an_opening_no_larger_than_the_kerf(self, radius: float) -> None:
        found = losses(circle(Point(5.0, 5.0), radius), -0.1)
        assert [loss for loss, _ in found] == [Loss.RADIUS] * 2
        assert found[0][1] == pytest.approx((5.0, 5.0 + radius))

    def test_a_corner_rounder_than_the_tool_can_follow(self) -> None:
        assert losses(rounded_rectangle(10.0, 10.0, 0.09), -0.1)[0][0] is Loss.RADIUS
        assert losses(rounded_rectangle(10.0, 10.0, 0.11), -0.1) == []

    def test_arcs_that_no_longer_meet(self) -> None:
        bulge = math.tan(math.asin(0.6) / 2.0)
        lens = Path((Vertex(Point(0.0, -6.0), bulge), Vertex(Point(0.0, 6.0), bulge)), closed=True)
        # The lens is 2 (10 - 8) = 4 mm wide.
        assert losses(lens, -2.01) == [
            (Loss.APART, (0.0, 6.0)),
            (Loss.APART, (0.0, -6.0)),
        ]
        assert losses(lens, -1.9) == []

    def test_a_neck_that_closes_over_a_wider_room(self) -> None:
        keyhole = polygon(
            *(
                point(*at)
                for at in (
                    (0, 0), (20, 0), (20, 20), (10.1, 20), (10.1, 15), (15, 15), (15, 5), (5, 5),
                    (5, 15), (10, 15), (10, 20), (0, 20),
                )
            )
        )  # fmt: skip
        ((loss, at),) = losses(keyhole, 0.1)
        assert loss is Loss.MERGED
        assert at == pytest.approx((10.05, 15.0), abs=5.3)
        assert losses(keyhole, 0.04) == []

    def test_an_opening_that_falls_in_two(self) -> None:
        dumbbell = polygon(
            *(
                point(*at)
                for at in (
                    (0, 0), (8, 0), (8, 4), (12, 4), (12, 0), (20, 0), (20, 9), (12, 9),
                    (12, 4.15), (8, 4.15), (8, 9), (0, 9),
                )
            )
        )  # fmt: skip
        ((loss, at),) = losses(dumbbell, -0.1)
        assert loss is Loss.MERGED
        assert at[1] == pytest.approx(4.075, abs=0.2)
        assert losses(dumbbell, -0.05) == []

    @pytest.mark.parametrize(
        "crossed",
        [
            ((0, 0), (10, 10), (10, 0), (0, 10)),
            # Turns once in all, but has a small loop and one that undoes it.
            (
                (0, 0),
                (12, 0),
                (12, 4),
                (8, 4),
                (8, -4),
                (20, -4),
                (20, -8),
                (16, -8),
                (16, 2),
                (30, 2),
                (30, 20),
                (0, 20),
            ),
        ],
    )
    def test_a_path_that_crosses_itself(self, crossed: tuple[tuple[int, int], ...]) -> None:
        assert losses(polygon(*(point(*at) for at in crossed)), 0.1)[0][0] is Loss.TANGLED

    def test_a_side_that_runs_straight_back(self) -> None:
        spike = polygon(
            *(point(*at) for at in ((0, 0), (10, 0), (10, 10), (5, 10), (5, 15), (5, 10), (0, 10)))
        )
        assert losses(spike, 0.1) != []

    def test_an_open_path_has_no_inside(self) -> None:
        with pytest.raises(ValueError, match="closed"):
            offset(line(point(0, 0), point(1, 0)), 0.1)

    def test_a_single_side_is_no_ring(self) -> None:
        assert (
            offset(Path((Vertex(Point(0.0, 0.0)),), closed=True), 0.1).losses[0].loss
            is Loss.TANGLED
        )


class TestVerify:
    def test_a_convex_path_and_one_whose_sides_keep_apart_need_no_second_opinion(self) -> None:
        convex = offset(rounded_rectangle(20.0, 10.0, 1.0), 0.1)
        assert convex.convex
        notched = polygon(
            *(
                point(*at)
                for at in ((0, 0), (20, 0), (20, 20), (12, 20), (12, 10), (8, 10), (8, 20), (0, 20))
            )
        )
        found = offset(notched, 0.1)
        assert not found.convex
        assert sides_apart(notched, 0.1)
        assert verify(notched, found, 0.1, second=False) == ()

    def test_what_only_shapely_can_settle_is_not_passed_without_it(self) -> None:
        narrow = polygon(
            *(
                point(*at)
                for at in (
                    (0, 0),
                    (20, 0),
                    (20, 20),
                    (10.5, 20),
                    (10.5, 10),
                    (10, 10),
                    (10, 20),
                    (0, 20),
                )
            )
        )
        found = offset(narrow, 0.1)
        assert not sides_apart(narrow, 0.1)
        assert [lost.loss for lost in verify(narrow, found, 0.1, second=False)] == [Loss.MERGED]
        assert verify(narrow, found, 0.1) == ()

    def test_a_wrong_area_is_found(self) -> None:
        """The offset of another path is laid before the second opinion."""
        right = rounded_rectangle(20.0, 10.0, 1.0)
        wrong = offset(rounded_rectangle(20.0, 10.001, 1.0), 0.1)
        assert second_opinion(right, offset(right, 0.1), 0.1) == ()
        assert [lost.loss for lost in second_opinion(right, wrong, 0.1)] == [Loss.MERGED]
        assert area_tolerance(right, 0.1) < 20.0 * 0.001

    def test_flattening_keeps_to_its_tolerance(self) -> None:
        around = flattened(circle(Point(0.0, 0.0), 10.0), 0.01)
        middles = [
            math.hypot((ax + bx) / 2, (ay + by) / 2) for (ax, ay), (bx, by) in pairwise(around)
        ]
        assert all(9.99 - 1e-9 <= middle < 10.0 for middle in middles)
        assert flattened(line(point(0, 0), point(3, 4))) == [(0.0, 0.0), (3.0, 4.0)]


@st.composite
def convex_polygons(draw: st.DrawFn) -> list[tuple[float, float]]:
    """Corners on a circle of radius 50, no two nearer than a tenth of the round."""
    count = draw(st.integers(3, 8))
    steps = [draw(st.floats(1.0, 3.0)) for _ in range(count)]
    turn = draw(st.floats(0.0, 6.0))
    total = sum(steps)
    corners = []
    for step in steps:
        turn += 2 * math.pi * step / total
        corners.append((50.0 * math.cos(turn), 50.0 * math.sin(turn)))
    return corners


def turns_of(corners: list[tuple[float, float]]) -> list[float]:
    """The turning angle at each corner."""
    found = []
    for index, (x, y) in enumerate(corners):
        ax, ay = corners[index - 1]
        bx, by = corners[index + 1 - len(corners)]
        first, second = math.atan2(y - ay, x - ax), math.atan2(by - y, bx - x)
        found.append((second - first) % (2 * math.pi))
    return found


def filleted(corners: list[tuple[float, float]], radii: list[float]) -> Path:
    """The polygon with corners rounded by tangent arcs; radius 0 leaves one sharp."""
    vertices = []
    for index, ((x, y), turn, radius) in enumerate(
        zip(corners, turns_of(corners), radii, strict=True)
    ):
        if radius == 0.0:
            vertices.append(Vertex(Point(x, y)))
            continue
        ax, ay = corners[index - 1]
        bx, by = corners[index + 1 - len(corners)]
        back = radius * math.tan(turn / 2)
        before, after = math.hypot(ax - x, ay - y), math.hypot(bx - x, by - y)
        vertices.append(
            Vertex(
                Point(x + (ax - x) * back / before, y + (ay - y) * back / before),
                math.tan(turn / 4),
            )
        )
        vertices.append(Vertex(Point(x + (bx - x) * back / after, y + (by - y) * back / after)))
    return Path(tuple(vertices), closed=True)


RADII = st.lists(st.sampled_from([0.0, 0.5, 2.0, 5.0]), min_size=8, max_size=8)
# Zero, or a bulge that is more than the rounding of a straight line.
BULGES = st.floats(-0.35, 0.35).filter(lambda bulge: bulge == 0.0 or abs(bulge) > 1e-15)
HALF_KERFS = st.floats(0.02, 0.4)


class TestProperties:
    @given(convex_polygons(), RADII, HALF_KERFS)
    def test_area_of_a_convex_outline_grows_as_the_closed_form_says(
        self, corners: list[tuple[float, float]], radii: list[float], r: float
    ) -> None:
        """A + P r + r² (sum of tan(e / 2) at mitres, of e / 2 along arcs): published/kerf.toml."""
        radii = radii[: len(corners)]
        turns = turns_of(corners)
        assume(all(math.cos(turn / 2) * MITRE_LIMIT > 1.01 for turn in turns))
        assume(all(5.0 * math.tan(turn / 2) < 8.0 for turn in turns))
        path = filleted(corners, radii)
        found = offset(path, r)
        assert found.path is not None
        assert found.rounded == ()
        corner_term = sum(
            math.tan(turn / 2) if radius == 0.0 else turn / 2
            for turn, radius in zip(turns, radii, strict=True)
        )
        expected = path.area + path.length * r + r * r * corner_term
        assert found.path.area == pytest.approx(expected, rel=1e-12)
        assert len(found.path.segments) == len(path.segments)

    @given(convex_polygons(), RADII, HALF_KERFS)
    def test_out_and_in_again_is_the_outline(
        self, corners: list[tuple[float, float]], radii: list[float], r: float
    ) -> None:
        turns = turns_of(corners)
        assume(all(math.cos(turn / 2) * MITRE_LIMIT > 1.01 for turn in turns))
        assume(all(5.0 * math.tan(turn / 2) < 8.0 for turn in turns))
        path = filleted(corners, radii[: len(corners)])
        out = offset(path, r).path
        assert out is not None
        back = offset(out, -r).path
        assert back is not None
        assert_same(back, path, 1e-8)

    @given(
        st.lists(st.floats(12.0, 40.0), min_size=5, max_size=11),
        st.floats(-0.5, 0.5).filter(lambda by: abs(by) > 0.02),
    )
    def test_any_simple_polygon_is_within_a_micrometre_of_the_mitred_buffer(
        self, reaches: list[float], by: float
    ) -> None:
        """Against shapely's own mitred buffer of the same polygon."""
        count = len(reaches)
        corners = [
            (r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count))
            for i, r in enumerate(reaches)
        ]
        path = polygon(*(Point(*corner) for corner in corners))
        found = offset(path, by)
        assume(not found.losses and not found.rounded)
        assert found.path is not None
        assert verify(path, found, by) == ()
        theirs = shapely.Polygon(corners).buffer(
            by, join_style="mitre", mitre_limit=2 * MITRE_LIMIT
        )
        ours = shapely.Polygon(flattened(found.path))
        assert ours.exterior.hausdorff_distance(theirs.exterior) < 1e-3

    def test_a_corner_without_a_turn_close_to_another_loses_nothing(self) -> None:
        """The ring with the needless vertex gives what the ring without it gives."""
        corners = [(0, 0), (0.349, 0), (0.349, 5), (0.15, 5), (0.15, 5.05), (0.1, 5.05), (0, 5.05)]
        with_it = offset(polygon(*(Point(*at) for at in corners)), -0.05)
        del corners[5]
        without = offset(polygon(*(Point(*at) for at in corners)), -0.05)
        assert with_it.losses == without.losses == ()
        assert with_it.path is not None
        assert without.path is not None
        assert with_it.path.area == pytest.approx(without.path.area, abs=1e-12)

    @pytest.mark.parametrize("flat", [1e-7, 1e-6, 1e-5, -1e-6])
    def test_an_arc_that_is_nearly_straight_meets_its_neighbours_where_it_should(
        self, flat: float
    ) -> None:
        """Its centre lies kilometres away; each corner stays |by| from both sides all the same."""
        corners = (Point(19.0, 0.0), Point(0.0, 15.0), Point(-15.0, 0.0), Point(0.0, -15.0))
        path = Path(
            tuple(
                Vertex(at, bulge) for at, bulge in zip(corners, (flat, 0.25, 0.0, 0.0), strict=True)
            ),
            closed=True,
        )
        found = offset(path, -0.125)
        assert found.path is not None
        ring = shapely.LinearRing(flattened(path))
        for vertex in found.path.vertices:
            away = ring.distance(shapely.Point(*vertex.at.floats()))
            # The copy is flattened to 0.1 µm.
            assert away == pytest.approx(0.125, abs=1.1e-4)

    @given(
        st.lists(st.tuples(st.floats(15.0, 40.0), BULGES), min_size=4, max_size=9),
        st.floats(-0.4, 0.4).filter(lambda by: abs(by) > 0.02),
    )
    def test_no_place_of_an_offset_is_nearer_than_it_should_be(
        self, spokes: list[tuple[float, float]], by: float
    ) -> None:
        """Distances are measured by shapely, on a copy flattened to 0.1 µm."""
        count = len(spokes)
        path = Path(
            tuple(
                Vertex(
                    Point(
                        r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count)
                    ),
                    bulge,
                )
                for i, (r, bulge) in enumerate(spokes)
            ),
            closed=True,
        )
        found = offset(path, by)
        assume(found.path is not None and verify(path, found, by) == ())
        assert found.path is not None
        ring = shapely.LinearRing(flattened(path))
        area = shapely.Polygon(flattened(path))
        for segment in found.path.segments:
            for share in (0.0, 0.2, 0.5, 0.8):
                place = shapely.Point(*segment.at(share).floats())
                away = ring.distance(place)
                assert abs(by) - 2e-4 <= away <= MITRE_LIMIT * abs(by) + 1e-6
                assert area.contains(place) is (by < 0)

    @given(
        st.lists(st.tuples(st.floats(0.02, 3.0), st.floats(0.5, 8.0)), min_size=1, max_size=7),
        st.floats(0.02, 0.5),
    )
    def test_a_comb_loses_exactly_its_slots_that_are_narrower_than_the_kerf(
        self, slots: list[tuple[float, float]], r: float
    ) -> None:
        assume(all(abs(width - 2 * r) > 1e-4 for width, _ in slots))
        corners = [(0.0, 0.0)]
        x = 4.0
        top = []
        for width, depth in slots:
            top += [(x, 10.0), (x, 10.0 - depth), (x + width, 10.0 - depth), (x + width, 10.0)]
            x += width + 4.0
        corners += [(x, 0.0), (x, 10.0), *reversed(top), (0.0, 10.0)]
        comb = polygon(*(Point(*corner) for corner in corners))
        narrow = sum(width < 2 * r for width, _ in slots)
        assert len(losses(comb, r)) == narrow
