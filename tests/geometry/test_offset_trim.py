"""Tests of geometry.offset_rings and what it rests on: rings with true arcs, and what was lost."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, Vertex, circle, line, offset_trim, polygon
from foldwright.geometry.inside import inside
from foldwright.geometry.offset import MITRE_LIMIT, Loss
from foldwright.geometry.offset_check import flattened
from foldwright.geometry.offset_outcomes import Change, Changed, Rings
from foldwright.geometry.offset_proof import area_of_parts, proved
from foldwright.geometry.offset_refit import fit_ring, refit
from foldwright.geometry.offset_rings import offset_rings
from foldwright.geometry.offset_trim import trimmed

MICROMETRE = 1e-3
TRIMMED = offset_trim.trimmed


def corners(*places: tuple[float, float]) -> Path:
    return polygon(*(Point(float(x), float(y)) for x, y in places))


SLOT = corners((0, 0), (20, 0), (20, 20), (10.15, 20), (10.15, 5), (10, 5), (10, 20), (0, 20))
DUMBBELL = corners(
    (0, 0), (8, 0), (8, 4), (12, 4), (12, 0), (20, 0), (20, 9), (12, 9), (12, 4.15), (8, 4.15),
    (8, 9), (0, 9),
)  # fmt: skip
KEYHOLE = corners(
    (0, 0), (20, 0), (20, 20), (10.15, 20), (10.15, 15), (15, 15), (15, 5), (5, 5), (5, 15),
    (10, 15), (10, 20), (0, 20),
)  # fmt: skip


def c_shape(outer: float, inner: float, half_mouth: float) -> Path:
    """A ring with a mouth that is 2 `half_mouth` radians wide, about the origin."""

    def at(radius: float, angle: float) -> Point:
        return Point(radius * math.cos(angle), radius * math.sin(angle))

    bulge = math.tan((math.pi - half_mouth) / 4.0)
    return Path(
        (
            Vertex(at(outer, half_mouth), bulge),
            Vertex(at(outer, math.pi), bulge),
            Vertex(at(outer, -half_mouth)),
            Vertex(at(inner, -half_mouth), -bulge),
            Vertex(at(inner, math.pi), -bulge),
            Vertex(at(inner, half_mouth)),
        ),
        closed=True,
    )


def kinds(found: Rings) -> list[Change]:
    return [changed.change for changed in found.changed]


def area(found: Rings, source: Path) -> Any:
    """What rings enclose, by shapely."""
    way = math.copysign(1.0, source.area)
    outer = shapely.union_all(
        [shapely.Polygon(flattened(p)) for p in found.paths if p.area * way > 0]
    )
    rooms = shapely.union_all(
        [shapely.Polygon(flattened(p)) for p in found.paths if p.area * way < 0]
    )
    return outer.difference(rooms)


def widest_difference(one: Any, other: Any) -> float:
    """How wide the widest part is by which two areas differ, in mm, to a factor of 2."""
    difference = one.symmetric_difference(other)
    width = 1.0
    while width > 1e-5 and difference.buffer(-width / 2.0).is_empty:
        width /= 2.0
    return width


class TestClosedForms:
    def test_a_slot_that_closes_leaves_the_rectangle(self) -> None:
        found = offset_rings(SLOT, 0.1)
        (path,) = found.paths
        assert [vertex.at.floats() for vertex in path.vertices] == [
            pytest.approx(at) for at in ((-0.1, -0.1), (20.1, -0.1), (20.1, 20.1), (-0.1, 20.1))
        ]
        assert path.area == pytest.approx(20.2 * 20.2)

    @pytest.mark.parametrize("width", [0.15, 0.2 - 1e-7, 0.2])
    def test_also_one_exactly_as_wide_as_the_tool(self, width: float) -> None:
        slot = corners(
            (0, 0), (20, 0), (20, 20), (10 + width, 20), (10 + width, 5), (10, 5), (10, 20), (0, 20)
        )
        (path,) = offset_rings(slot, 0.1).paths
        assert path.area == pytest.approx(20.2 * 20.2, abs=1e-5)

    def test_an_opening_falls_in_two_at_its_neck(self) -> None:
        found = offset_rings(DUMBBELL, -0.1)
        assert [path.area for path in found.paths] == [pytest.approx(7.8 * 8.8)] * 2
        assert kinds(found) == [Change.NECK]

    def test_a_room_behind_a_neck_is_a_ring_the_other_way_round(self) -> None:
        found = offset_rings(KEYHOLE, 0.1)
        outer, room = found.paths
        assert outer.area == pytest.approx(20.2 * 20.2)
        assert room.area == pytest.approx(-9.8 * 9.8)

    def test_a_c_whose_mouth_closes_is_a_ring_and_its_hole(self) -> None:
        """Radii 10.2 and 7.8, in true arcs about the same centre; Steiner for what lies between."""
        source = c_shape(10.0, 8.0, 0.01)
        found = offset_rings(source, 0.2)
        outer, room = found.paths
        assert outer.area > 0.0 > room.area
        radii = {
            round(segment.radius, 9)
            for path in found.paths
            for segment in path.segments
            if not segment.is_line
        }
        assert {10.2, 7.8} <= radii
        assert outer.area == pytest.approx(math.pi * 10.2**2, abs=0.01)
        assert -room.area == pytest.approx(math.pi * 7.8**2, abs=0.01)

    def test_a_fillet_tighter_than_the_tool_becomes_a_crossing(self) -> None:
        tight = 0.04
        path = Path(
            (
                Vertex(Point(0.0, 0.0)),
                Vertex(Point(20.0, 0.0)),
                Vertex(Point(20.0, 10.0)),
                Vertex(Point(10.0 + tight, 10.0), -math.tan(math.pi / 8.0)),
                Vertex(Point(10.0, 10.0 + tight)),
                Vertex(Point(10.0, 20.0)),
                Vertex(Point(0.0, 20.0)),
            ),
            closed=True,
        )
        found = offset_rings(path, 0.1)
        assert found.paths[0].area == pytest.approx(20.2**2 - 10.0**2)
        (changed,) = found.changed
        assert changed.change is Change.CORNER
        assert changed.size == pytest.approx(tight)
        assert changed.at.floats() == pytest.approx((10.0 + tight * (1 - math.sqrt(0.5)),) * 2)

    def test_a_half_round_slot_closes_whole(self) -> None:
        slot = Path(
            (
                *(Vertex(Point(x, y)) for x, y in ((0.0, 0.0), (20.0, 0.0), (20.0, 20.0))),
                Vertex(Point(10.15, 20.0)),
                Vertex(Point(10.15, 5.0), -1.0),
                Vertex(Point(10.0, 5.0)),
                *(Vertex(Point(x, y)) for x, y in ((10.0, 20.0), (0.0, 20.0))),
            ),
            closed=True,
        )
        found = offset_rings(slot, 0.1)
        assert found.paths[0].area == pytest.approx(20.2 * 20.2)
        (changed,) = found.changed
        assert changed.change is Change.CLOSED
        # The lowest place of the slot, and its width.
        assert changed.at.floats() == pytest.approx((10.075, 4.925))
        assert changed.size == pytest.approx(0.15, abs=1e-3)

    @pytest.mark.parametrize("by", [-0.5, -0.51, -3.0])
    def test_a_circle_no_larger_than_the_tool_vanishes(self, by: float) -> None:
        """Though all its sides are turned inside out, and would make a circle again."""
        found = offset_rings(circle(Point(1.0, 2.0), 0.5), by)
        assert found.paths == ()
        (changed,) = found.changed
        assert changed.change is Change.VANISHED
        assert changed.at.floats() == pytest.approx((1.0, 2.0), abs=1e-3)
        assert changed.size == pytest.approx(1.0, abs=1e-3)

    def test_a_rectangle_turned_inside_out_vanishes(self) -> None:
        assert offset_rings(corners((0, 0), (3, 0), (3, 2), (0, 2)), -5.0).paths == ()

    def test_what_is_lost_by_nothing_is_the_analytic_offset(self) -> None:
        rounded = offset_rings(circle(Point(0.0, 0.0), 2.0), 0.5)
        assert rounded.paths[0].area == pytest.approx(math.pi * 2.5**2)
        assert (rounded.changed, rounded.losses) == ((), ())

    def test_a_corner_of_hardly_any_turn_is_cut_all_the_same(self) -> None:
        """Sides of 0.06 degrees overlap by no more than rounding, and still make one ring."""
        bent = corners(
            (0, 0),
            (10, 0),
            (20, -0.0105),
            (20, 15),
            (10.15, 15),
            (10.15, 5),
            (10, 5),
            (10, 15),
            (0, 15),
        )
        for path in (bent, polygon(*(v.at for v in reversed(bent.vertices)))):
            for by in (1.19, -0.07, -0.08):
                found = offset_rings(path, by)
                assert len(found.paths) == 1
                assert not found.refitted


class TestPlaces:
    def test_a_slot(self) -> None:
        (changed,) = offset_rings(SLOT, 0.1).changed
        assert changed.change is Change.CLOSED
        assert changed.at.floats() == pytest.approx((10.075, 5.0))
        assert changed.size == pytest.approx(0.15, abs=1e-4)

    def test_a_neck_is_told_once(self) -> None:
        for path in (DUMBBELL, DUMBBELL.reversed):
            (changed,) = offset_rings(path, -0.1).changed
            assert changed.change is Change.NECK
            x, y = changed.at.floats()
            assert 8.0 <= x <= 12.0
            assert y == pytest.approx(4.075)
            assert changed.size == pytest.approx(0.15)

    def test_mitres_that_run_into_each_other_give_way_where_the_tool_passes(self) -> None:
        """Two spikes whose tips are 0.5 apart: their mitres for 0.2 would meet, the tool fits."""
        spikes = corners(
            (0, 0), (20, 0), (20, 20), (11, 20), (11, 10.5), (10.25, 10), (11, 9.5), (11, 5),
            (9, 5), (9, 9.5), (9.75, 10), (9, 10.5), (9, 20), (0, 20),
        )  # fmt: skip
        found = offset_rings(spikes, 0.24)
        assert found.changed == ()
        assert len(found.paths) == 1
        assert {at.floats() for at in found.rounded} >= {(10.25, 10.0), (9.75, 10.0)}
        # A tool that does not fit closes the gap, and is told of.
        assert Change.NECK in kinds(offset_rings(spikes, 0.26))

    def test_a_path_that_touches_itself_has_no_answer(self) -> None:
        touching = corners((0, 0), (10, 0), (10, 10), (5, 0), (0, 10))
        found = offset_rings(touching, 0.1)
        assert (found.paths, found.changed) == ((), ())
        assert found.losses[0].loss is Loss.TANGLED

    def test_an_open_path_has_no_inside(self) -> None:
        with pytest.raises(ValueError, match="closed"):
            offset_rings(line(Point(0.0, 0.0), Point(1.0, 0.0)), 0.1)
        with pytest.raises(ValueError, match="closed"):
            trimmed(line(Point(0.0, 0.0), Point(1.0, 0.0)), 0.1)


class TestInside:
    @given(
        st.lists(st.tuples(st.floats(5.0, 20.0), st.floats(-1.5, 1.5)), min_size=3, max_size=7),
        st.floats(-25.0, 25.0),
        st.floats(-25.0, 25.0),
    )
    def test_as_shapely_has_it(self, spokes: list[tuple[float, float]], x: float, y: float) -> None:
        path = star(spokes)
        flat = shapely.Polygon(flattened(path))
        assume(flat.is_valid)
        assume(flat.exterior.distance(shapely.Point(x, y)) > MICROMETRE)
        assert inside(path, x, y) is bool(flat.contains(shapely.Point(x, y)))


class TestRefit:
    def test_a_rounded_rectangle_is_found_again(self) -> None:
        quarter = math.tan(math.pi / 8.0)
        path = Path(
            tuple(
                Vertex(Point(*at), quarter if i % 2 else 0.0)
                for i, at in enumerate(
                    (
                        (5.0, 0.0), (95.0, 0.0), (100.0, 5.0), (100.0, 55.0), (95.0, 60.0),
                        (5.0, 60.0), (0.0, 55.0), (0.0, 5.0),
                    )
                )
            ),
            closed=True,
        )  # fmt: skip
        (found,) = refit(shapely.Polygon(flattened(path)), MICROMETRE / 2.0)
        assert len(found.vertices) <= 9
        assert found.area == pytest.approx(path.area, abs=path.length * MICROMETRE)
        ring = shapely.LinearRing(flattened(path))
        for segment in found.segments:
            for share in (0.0, 0.25, 0.5, 0.75):
                place = shapely.Point(*segment.at(share).floats())
                assert ring.distance(place) <= MICROMETRE

    def test_a_circle_is_found_again_and_a_hole_runs_the_other_way(self) -> None:
        ring = shapely.Polygon(
            flattened(circle(Point(0.0, 0.0), 5.0)), [flattened(circle(Point(0.0, 0.0), 3.0))]
        )
        outer, hole = refit(ring, MICROMETRE / 2.0)
        assert outer.area == pytest.approx(math.pi * 25.0, abs=0.02)
        assert hole.area == pytest.approx(-math.pi * 9.0, abs=0.02)
        assert len(outer.vertices) <= 3

    def test_two_places_are_no_ring(self) -> None:
        with pytest.raises(ValueError, match="three"):
            fit_ring(shapely.get_coordinates(shapely.LineString([(0, 0), (1, 1)])), 0.1)

    @pytest.mark.parametrize(
        ("path", "by"),
        [
            (SLOT, 0.1),
            (DUMBBELL, -0.1),
            (KEYHOLE.reversed, 0.1),
            (c_shape(10.0, 8.0, 0.01), 0.2),
        ],
    )
    def test_the_fallback_gives_what_trimming_gives(
        self, path: Path, by: float, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        exact = offset_rings(path, by)

        def fails(source: Path, by: float, **options: Any) -> offset_trim.Trimmed:
            return replace(TRIMMED(source, by, **options), rings=None)

        monkeypatch.setattr(offset_trim, "trimmed", fails)
        fitted = offset_rings(path, by)
        assert fitted.refitted
        assert fitted.losses
        assert not exact.refitted
        assert sorted(p.area for p in fitted.paths) == pytest.approx(
            sorted(p.area for p in exact.paths), abs=path.length * MICROMETRE
        )

    def test_rings_that_are_wrong_are_not_drawn(self, monkeypatch: pytest.MonkeyPatch) -> None:
        """Where one of two rings is missing the proof fails, and the fallback is taken."""

        def halved(source: Path, by: float, **options: Any) -> offset_trim.Trimmed:
            found = TRIMMED(source, by, **options)
            return replace(found, rings=(found.rings or ())[:1])

        monkeypatch.setattr(offset_trim, "trimmed", halved)
        found = offset_rings(DUMBBELL, -0.1)
        assert found.refitted
        assert len(found.paths) == 2


class TestProof:
    def test_a_ring_moved_by_two_micrometres_does_not_prove(self) -> None:
        found = trimmed(SLOT, 0.1)
        assert found.rings is not None
        right = [ring.path for ring in found.rings]
        expected = area_of_parts(SLOT, found.raw, found.pieces, 0.1)
        assert proved(SLOT, right, expected, found.pieces, 0.1)
        wrong = [corners((-0.1, -0.1), (20.102, -0.1), (20.102, 20.1), (-0.1, 20.1))]
        assert not proved(SLOT, wrong, expected, found.pieces, 0.1)
        assert not proved(SLOT, [], expected, found.pieces, 0.1)


def star(spokes: list[tuple[float, float]]) -> Path:
    """Corners at distances from the origin, evenly around it, each with the bulge that follows."""
    count = len(spokes)
    return Path(
        tuple(
            Vertex(
                Point(r * math.cos(2 * math.pi * i / count), r * math.sin(2 * math.pi * i / count)),
                bulge,
            )
            for i, (r, bulge) in enumerate(spokes)
        ),
        closed=True,
    )


SPOKES = st.lists(
    st.tuples(st.floats(0.3, 6.0), st.one_of(st.just(0.0), st.floats(-0.8, 0.8))),
    min_size=3,
    max_size=9,
)
STRAIGHT = st.lists(st.tuples(st.floats(0.3, 6.0), st.just(0.0)), min_size=4, max_size=11)
BY = st.floats(-0.8, 0.8).filter(lambda by: abs(by) > 0.02)
NOTCHES = st.lists(
    st.tuples(
        st.floats(0.05, 3.0),
        st.floats(0.3, 8.0),
        st.floats(0.02, 2.0),
        st.sampled_from([0.0, -1.0]),
    ),
    min_size=1,
    max_size=5,
)


def comb(notches: list[tuple[float, float, float, float]]) -> Path:
    """A card of 12 mm height with notches from the top: width, depth, what stands between, end."""
    top: list[Vertex] = []
    x = 1.0
    for width, depth, between, bulge in notches:
        # From right to left in the end: the whole list is turned round below.
        deep = 10.0 - depth
        top += [
            Vertex(Point(x, 10.0)),
            Vertex(Point(x, deep)),
            Vertex(Point(x + width, deep), bulge),
            Vertex(Point(x + width, 10.0)),
        ]
        x += width + between
    right = x + 1.0
    return Path(
        (
            Vertex(Point(0.0, -2.0)),
            Vertex(Point(right, -2.0)),
            Vertex(Point(right, 10.0)),
            *reversed(top),
            Vertex(Point(0.0, 10.0)),
        ),
        closed=True,
    )


class TestProperties:
    @settings(deadline=None, max_examples=30)
    @given(SPOKES, BY)
    def test_stars_with_arcs_against_a_round_buffer(
        self, spokes: list[tuple[float, float]], by: float
    ) -> None:
        check(star(spokes), by)

    @settings(deadline=None, max_examples=30)
    @given(NOTCHES, BY)
    def test_combs_with_narrow_notches_and_teeth(
        self, notches: list[tuple[float, float, float, float]], by: float
    ) -> None:
        check(comb(notches), by)

    @settings(deadline=None, max_examples=25)
    @given(st.floats(2.0, 9.0), st.floats(0.1, 1.9), st.floats(0.005, 0.5), BY)
    def test_c_shapes(self, outer: float, thick: float, half_mouth: float, by: float) -> None:
        check(c_shape(outer, outer - thick, half_mouth), by)

    @settings(deadline=None, max_examples=30)
    @given(STRAIGHT, BY)
    def test_straight_sides_against_the_mitred_buffer(
        self, spokes: list[tuple[float, float]], by: float
    ) -> None:
        """Where no corner is rounded the rings are those of shapely's mitred buffer."""
        path = star(spokes)
        assume(shapely.Polygon(flattened(path)).is_valid)
        found = offset_rings(path, by)
        assert not found.refitted
        tips = trimmed(path, by).pieces
        assume(not found.rounded and not any(piece.round for piece in tips.pieces))
        theirs = shapely.Polygon(flattened(path)).buffer(
            by, join_style="mitre", mitre_limit=2.0 * MITRE_LIMIT
        )
        assert widest_difference(area(found, path), theirs) <= MICROMETRE
        if len(found.paths) == 1 and not found.changed:
            ours = shapely.LinearRing(flattened(found.paths[0]))
            assert ours.hausdorff_distance(theirs.exterior) <= MICROMETRE

    @settings(deadline=None, max_examples=25)
    @given(SPOKES, BY)
    def test_either_way_round_and_mirrored_it_is_the_same(
        self, spokes: list[tuple[float, float]], by: float
    ) -> None:
        path = star(spokes)
        assume(shapely.Polygon(flattened(path)).is_valid)
        one, other = offset_rings(path, by), offset_rings(path.reversed, by)
        assert sorted(p.area for p in one.paths) == pytest.approx(
            sorted(-p.area for p in other.paths), abs=1e-5
        )
        assert sorted(kinds(one)) == sorted(kinds(other))

    @settings(deadline=None, max_examples=30)
    @given(SPOKES, BY)
    def test_no_more_vertices_than_the_source_and_one_a_rounded_corner(
        self, spokes: list[tuple[float, float]], by: float
    ) -> None:
        path = star(spokes)
        assume(shapely.Polygon(flattened(path)).is_valid)
        found = offset_rings(path, by)
        assume(not found.changed)
        count = sum(len(p.vertices) for p in found.paths)
        assert count <= len(path.vertices) + len(found.rounded)


def check(path: Path, by: float) -> None:
    """Rings keep off the source, agree with shapely's buffer, and tell what they lost."""
    assume(shapely.Polygon(flattened(path)).is_valid)
    found = offset_rings(path, by)
    if found.losses:
        # Only what shapely cannot see at its flattening has no answer.
        assert found.losses[0].loss is Loss.TANGLED
        return
    assert not found.refitted
    whole = shapely.Polygon(flattened(path))
    round_ = whole.buffer(by, quad_segs=64)
    # shapely's buffer leaves out vertices that turn in, within a hundredth of the offset; a
    # mitre reaches beyond it.
    slack = MICROMETRE + 0.05 * abs(by)
    ours = area(found, path)
    if by > 0:
        assert round_.difference(ours).buffer(-slack / 2.0).is_empty
    else:
        assert ours.difference(round_).buffer(-slack / 2.0).is_empty
    edge = shapely.LinearRing(flattened(path))
    for ring in found.paths:
        for segment in ring.segments:
            for share in (0.0, 0.3, 0.5, 0.8):
                place = shapely.Point(*segment.at(share).floats())
                away = edge.distance(place)
                assert abs(by) - 2e-4 <= away <= MITRE_LIMIT * abs(by) + 1e-6
                assert whole.contains(place) is (by < 0)
    if not found.paths:
        assert round_.is_empty or round_.area < slack * path.length
        assert kinds(found) == [Change.VANISHED]
    for changed in found.changed:
        assert_told(changed, edge, by)


def assert_told(changed: Changed, edge: Any, by: float) -> None:
    if changed.change is not Change.CORNER:
        assert 0.0 <= changed.size <= 2.0 * abs(by) + 2.0 * MICROMETRE
    assert edge.distance(shapely.Point(*changed.at.floats())) <= abs(by) + MICROMETRE


def rows_of_half_circles(*, turned: float = 0.0) -> Path:
    """A box of 160 by 80 mm under two half circles of radius 40, which meet in a notch of no angle.

    It is the upper half of a heart, turned by `turned` radians about the origin.
    """
    cos, sin = math.cos(turned), math.sin(turned)
    places = ((0.0, 0.0, 0), (160.0, 0.0, 0), (160.0, 80.0, 1), (80.0, 80.0, 1), (0.0, 80.0, 0))
    return Path(
        tuple(
            Vertex(Point(x * cos - y * sin, x * sin + y * cos), float(bulge))
            for x, y, bulge in places
        ),
        closed=True,
    )


@pytest.mark.parametrize("turned", [0.0, 0.3, 1.0, 2.5, 4.0])
@pytest.mark.parametrize("by", [0.06, 0.5, 2.0])
def test_a_notch_of_no_angle_is_no_crossing(by: float, turned: float) -> None:
    """Outwards the two circles of radius 40 + d overlap: what both hold is half a lens."""
    path = rows_of_half_circles(turned=turned)
    for source, way in ((path, 1.0), (path.reversed, -1.0)):
        found = offset_rings(source, by)
        assert (found.losses, found.changed) == ((), ())
        (ring,) = found.paths
        radius = 40.0 + by
        half_lens = radius**2 * math.acos(40.0 / radius) - 40.0 * math.sqrt(radius**2 - 40.0**2)
        expected = (160.0 + 2.0 * by) * (80.0 + by) + math.pi * radius**2 - half_lens
        assert way * ring.area == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("by", [-0.06, -0.5, -2.0])
def test_inwards_the_tool_turns_about_the_tip_of_a_notch_of_no_angle(by: float) -> None:
    path = rows_of_half_circles(turned=0.3)
    found = offset_rings(path, by)
    assert (found.losses, found.changed) == ((), ())
    assert [(round(at.x, 6), round(at.y, 6)) for at in found.rounded] == [
        (round(path.vertices[3].at.x, 6), round(path.vertices[3].at.y, 6))
    ]
    (ring,) = found.paths
    wanted = shapely.Polygon(flattened(path)).buffer(by, quad_segs=64)
    assert ring.area == pytest.approx(wanted.area, abs=0.02)


def test_a_spike_of_no_angle_is_no_crossing() -> None:
    """The same two half circles as a bay each: between them a tip that runs out to nothing."""
    path = Path(
        (
            Vertex(Point(0.0, 0.0)),
            Vertex(Point(160.0, 0.0)),
            Vertex(Point(160.0, 80.0), -1.0),
            Vertex(Point(80.0, 80.0), -1.0),
            Vertex(Point(0.0, 80.0)),
        ),
        closed=True,
    )
    assert path.area == pytest.approx(160.0 * 80.0 - math.pi * 40.0**2)
    found = offset_rings(path, 0.06)
    assert found.losses == () != found.paths
    wanted = shapely.Polygon(flattened(path)).buffer(0.06, quad_segs=64)
    assert widest_difference(area(found, path), wanted) < 0.06 * MITRE_LIMIT
