"""What is seen of lines in space: closed forms, ray casting, and what the seen parts add up to."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.folding.motion import STILL, Motion
from foldwright.geometry import Path, Point, circle, polygon
from foldwright.pictures.camera import Camera, Floats, camera_for
from foldwright.pictures.facets import Facet, facet_of
from foldwright.pictures.hidden_lines import TABLE, Lines, View
from tests.pictures.scenes import shifted, turned

# A level look along +y from 500 mm before y = 0, where things come out at true size.
LEVEL = Camera(
    eye=(0.0, -500.0, 0.0),
    right=(1.0, 0.0, 0.0),
    up=(0.0, 0.0, 1.0),
    towards=(0.0, -1.0, 0.0),
    scale=500.0,
)


Sheet = tuple[Motion, tuple[Path, ...]]


def square(half: float) -> Path:
    return polygon(
        *(Point(x, y) for x, y in ((-half, -half), (half, -half), (half, half), (-half, half)))
    )


def upright(y: float, x: float = 0.0, z: float = 0.0) -> Motion:
    """Paper that stands facing the viewer."""
    return shifted(x, y, z) @ turned(90.0, (0.0, 0.0), (1.0, 0.0))


def view_of(camera: Camera, *sheets: Sheet, plies: tuple[int, ...] = ()) -> View:
    facets = tuple(
        facet_of(("sheet", i), rings, motion, camera) for i, (motion, rings) in enumerate(sheets)
    )
    return View(camera, facets, plies or tuple(range(len(facets))))


def line(start: tuple[float, float, float], end: tuple[float, float, float], *owners: int) -> Lines:
    return Lines(starts=np.array([start]), ends=np.array([end]), owners=[owners])


def seen(view: View, lines: Lines) -> list[tuple[float, float]]:
    (found,) = view.seen(lines)
    return found


def test_a_smaller_square_before_a_larger_one() -> None:
    # 20 mm half a side at half the distance looks like 40 mm at full distance.
    view = view_of(LEVEL, (upright(0.0), (square(60.0),)), (upright(-250.0), (square(20.0),)))
    found = seen(view, line((-100.0, 0.0, 0.0), (100.0, 0.0, 0.0), 0))
    assert np.array(found) == pytest.approx(np.array([(0.0, 0.3), (0.7, 1.0)]), abs=1e-6)
    # Over the smaller one's edge it is seen all along; before both it is, too.
    for z, y in ((40.5, 0.0), (0.0, -300.0)):
        assert seen(view, line((-10.0, y, z), (10.0, y, z))) == [(0.0, 1.0)]
    assert seen(view, line((-10.0, 0.0, 39.5), (10.0, 0.0, 39.5), 0)) == []


def test_shares_are_those_of_the_page() -> None:
    """A line that runs away from the viewer is longer on the page where it is near."""
    view = view_of(LEVEL, (upright(-100.0, x=40.0), (square(20.0),)))
    start, end = (0.0, -250.0, 0.0), (90.0, 250.0, 0.0)
    # On the page the line runs from 0 to 60, and the square from 25 to 75.  It is behind
    # the square's plane from y = -100 on, where it is 27 mm to the right: at 33.75.
    share = 33.75 / 60.0
    assert np.array(seen(view, line(start, end))) == pytest.approx(
        np.array([(0.0, share)]), abs=1e-5
    )


def test_through_an_opening() -> None:
    holed = (square(60.0), square(20.0).reversed)
    view = view_of(LEVEL, (upright(0.0), holed))
    found = seen(view, line((-100.0, 500.0, 0.0), (100.0, 500.0, 0.0)))
    # At twice the distance 100 mm come out as 50: hidden but for the middle 40.
    assert np.array(found) == pytest.approx(np.array([(0.3, 0.7)]), abs=1e-6)


def test_a_round_opening_is_round() -> None:
    view = view_of(LEVEL, (upright(0.0), (square(60.0), circle(Point(0.0, 0.0), 20.0).reversed)))
    found = seen(view, line((-50.0, 1.0, 12.0), (50.0, 1.0, 12.0)))
    near = 500.0 / 501.0
    half = math.sqrt(20.0**2 - (12.0 * near) ** 2) / (100.0 * near)
    assert np.array(found) == pytest.approx(np.array([(0.5 - half, 0.5 + half)]), abs=3e-4)


def test_through_a_panel() -> None:
    """A line that goes through a panel is seen up to the place where it does."""
    view = view_of(LEVEL, (upright(0.0), (square(60.0),)))
    found = seen(view, line((-30.0, -100.0, 0.0), (30.0, 100.0, 0.0)))
    (x0, x1) = -30.0 * 500.0 / 400.0, 30.0 * 500.0 / 600.0
    assert np.array(found) == pytest.approx(np.array([(0.0, -x0 / (x1 - x0))]), abs=1e-4)


def test_rims_hide_on_one_side_at_most() -> None:
    view = view_of(LEVEL, (upright(0.0), (square(60.0),)))
    # Behind the upper rim and the lower one, exactly: one side is free.
    for z in (120.0, -120.0):
        behind = line((-30.0, 500.0, z), (30.0, 500.0, z))
        assert seen(view, behind) == [(0.0, 1.0)]
    # With paper above the rim too it is hidden, though on the rim of both.
    both = view_of(LEVEL, (upright(0.0), (square(60.0),)), (upright(0.0, z=120.0), (square(60.0),)))
    assert seen(both, line((-30.0, 500.0, 120.0), (30.0, 500.0, 120.0))) == []


def test_lines_in_the_plane_of_a_panel() -> None:
    ground = ((STILL, (square(60.0),)), (STILL, (square(30.0),)))
    camera = camera_for(np.array([(-60.0, -60.0, 0.0), (60.0, 60.0, 0.0)]), 270.0, (100.0, 100.0))
    lower, upper = view_of(camera, *ground), view_of(camera, *ground, plies=(1, 0))
    across = ((-60.0, 0.0, 0.0), (60.0, 0.0, 0.0))
    found = seen(lower, line(*across, 0))
    assert np.array(found) == pytest.approx(np.array([(0.0, 0.25), (0.75, 1.0)]), abs=1e-5)
    assert seen(upper, line(*across, 0)) == [(0.0, 1.0)]
    # A line that stands on the paper and belongs to neither is not below it; the table is.
    assert seen(lower, line(*across)) == [(0.0, 1.0)]
    assert seen(lower, line(*across, TABLE)) == []


def test_a_line_in_the_plane_of_a_panel_is_hidden_where_its_own_panel_lies_behind() -> None:
    """Sheets that meet a wall in one line: from the far side, from this one, and through it."""
    camera = replace(LEVEL, eye=(0.0, -500.0, 50.0))
    wall, shelf = (upright(0.0), (square(60.0),)), (square(30.0),)
    meeting = line((-30.0, 0.0, 0.0), (30.0, 0.0, 0.0), 1)
    for y, found in ((30.0, []), (-30.0, [(0.0, 1.0)]), (0.0, [(0.0, 1.0)])):
        assert seen(view_of(camera, wall, (shifted(y=y), shelf)), meeting) == found
    # The fold of two panels is seen where one of them lies on this side.
    both = view_of(camera, wall, (shifted(y=30.0), shelf), (shifted(y=-30.0), shelf))
    assert seen(both, line((-30.0, 0.0, 0.0), (30.0, 0.0, 0.0), 1)) == []
    assert seen(both, line((-30.0, 0.0, 0.0), (30.0, 0.0, 0.0), 1, 2)) == [(0.0, 1.0)]
    # On the rim of the wall nothing covers one side of the line.
    rim = line((-30.0, 0.0, 60.0), (30.0, 0.0, 60.0), 1)
    assert seen(view_of(camera, wall, (shifted(y=30.0, z=60.0), shelf)), rim) == [(0.0, 1.0)]


def test_a_sheet_that_lies_over_a_fold_hides_it() -> None:
    """One panel of the fold lies under the sheet and the other one leads away behind it."""
    under, leg = (upright(0.0, z=-30.0), (square(30.0),)), (shifted(y=30.0), (square(30.0),))
    sheets = ((upright(0.0), (square(60.0),)), under, leg)
    camera = replace(LEVEL, eye=(0.0, -500.0, 50.0))
    for owners in ((1, 2), (1,), (2,)):
        fold = line((-30.0, 0.0, 0.0), (30.0, 0.0, 0.0), *owners)
        assert seen(view_of(camera, *sheets, plies=(2, 1, 0)), fold) == []
        above = seen(view_of(camera, *sheets, plies=(1, 2, 0)), fold)
        assert above == ([(0.0, 1.0)] if 1 in owners else [])


def test_panels_seen_edge_on_hide_nothing() -> None:
    edge_on = view_of(LEVEL, (STILL, (square(60.0),)))
    assert edge_on.facets[0].face is None
    assert seen(edge_on, line((-30.0, 100.0, 0.0), (30.0, 100.0, 0.0))) == [(0.0, 1.0)]


def test_no_lines_and_no_facets() -> None:
    none = Lines(starts=np.zeros((0, 3)), ends=np.zeros((0, 3)), owners=[])
    assert view_of(LEVEL, (upright(0.0), (square(1.0),))).seen(none) == []


# Random panels, against ray casting.

angles = st.integers(0, 359).map(float)
shifts = st.integers(-40, 40).map(float)


@st.composite
def motions(draw: st.DrawFn) -> Motion:
    tilt = turned(draw(angles), (0.0, 0.0), (1.0, 0.0))
    roll = turned(draw(angles), (0.0, 0.0), (0.0, 1.0))
    return shifted(draw(shifts), draw(shifts), draw(shifts)) @ roll @ tilt


@st.composite
def rings(draw: st.DrawFn) -> tuple[Path, ...]:
    """A star-shaped polygon, in some of them a hole."""
    count = draw(st.integers(3, 7))
    radii = [draw(st.integers(15, 60)) for _ in range(count)]
    corners = [
        Point(r * math.cos(2.0 * math.pi * i / count), r * math.sin(2.0 * math.pi * i / count))
        for i, r in enumerate(radii)
    ]
    outer = polygon(*corners)
    # The inner circle of a star-shaped polygon of these radii is larger than 3 mm.
    return (outer, square(2.0).reversed) if draw(st.booleans()) else (outer,)


sheets = st.lists(st.tuples(motions(), rings()), min_size=2, max_size=6)


def looked_at(found: list[Sheet], side: float) -> View:
    bare = [facet_of(("sheet", 0), paths, motion, LEVEL).space[0] for motion, paths in found]
    camera = camera_for(np.concatenate(bare), side, (150.0, 120.0))
    return view_of(camera, *found)


def flat_polygon(facet: Facet) -> shapely.Polygon:
    return shapely.Polygon(facet.flat[0], facet.flat[1:])


def page_polygon(facet: Facet) -> shapely.Polygon:
    return shapely.Polygon(facet.page[0], facet.page[1:])


def depths_at(view: View, spot: tuple[float, float]) -> list[float | None]:
    """How deep a ray through a place of the page meets each panel, by its flat paper."""
    (ray,) = view.camera.rays(np.array([spot]))
    eye = np.array(view.camera.eye)
    found: list[float | None] = []
    for facet in view.facets:
        slope = float(facet.normal @ ray)
        depth = (facet.offset - float(facet.normal @ eye)) / slope if slope else math.inf
        rows = np.array(facet.motion.rows)
        flat = rows.T @ (eye + depth * ray - np.array(facet.motion.shift))
        hit = depth < 1e6 and shapely.contains_xy(flat_polygon(facet), flat[0], flat[1])
        found.append(depth if hit else None)
    return found


def row_over(view: View, number: int, y: float) -> list[tuple[Floats, Floats]]:
    """The stretches of a level line of the page over a panel, as ends on the page."""
    facet = view.facets[number]
    left, _, right, _ = facet.box
    cut = page_polygon(facet).intersection(shapely.LineString([(left - 1, y), (right + 1, y)]))
    parts = getattr(cut, "geoms", [cut])
    return [
        (np.array(part.coords[0]), np.array(part.coords[-1]))
        for part in parts
        if part.geom_type == "LineString" and part.length > 0.2
    ]


def in_plane(view: View, facet: Facet, spots: Floats) -> Floats:
    rays, eye = view.camera.rays(spots), np.array(view.camera.eye)
    depth = (facet.offset - float(facet.normal @ eye)) / (rays @ facet.normal)
    found: Floats = eye + rays * depth[:, None]
    return found


@given(sheets, angles, st.integers(1, 11))
def test_ray_casting_finds_the_same_panel(found: list[Sheet], side: float, part: int) -> None:
    view = looked_at(found, side)
    for number, facet in enumerate(view.facets):
        # A panel that is all but edge on has no area to look at.
        if facet.face is None or page_polygon(facet).area < 1.0:
            continue
        _, bottom, _, top = facet.box
        y = bottom + (top - bottom) * part / 12.0
        for one, other in row_over(view, number, y):
            ends = in_plane(view, facet, np.stack((one, other)))
            stretches = seen(view, Lines(starts=ends[:1], ends=ends[1:], owners=[(number,)]))
            cuts = [0.0, *(share for stretch in stretches for share in stretch), 1.0]
            for low, high in pairwise(cuts):
                if (high - low) * float(np.abs(other - one).max()) < 0.2:
                    continue
                middle = (low + high) / 2.0
                spot = one + (other - one) * middle
                depths = depths_at(view, (float(spot[0]), float(spot[1])))
                own = depths[number]
                assert own is not None
                others = [depth for depth in depths if depth is not None]
                near = [depth for depth in others if abs(depth - own) < 0.02]
                if len(near) > 1:
                    # So close that the tolerance decides.
                    continue
                shown = any(a <= middle <= b for a, b in stretches)
                assert shown == (own == min(others)), (number, middle)


@given(sheets, angles)
def test_what_is_seen_covers_the_silhouette_once(found: list[Sheet], side: float) -> None:
    """Along any line of the page the seen lengths add up to that of the union of all panels.

    So do the areas, by Cavalieri's principle.  The union is shapely's.
    """
    view = looked_at(found, side)
    solid = [i for i, facet in enumerate(view.facets) if facet.face is not None]
    assume(solid)
    polygons = [page_polygon(view.facets[i]) for i in solid]
    assume(all(one.is_valid and one.area > 1.0 for one in polygons))
    union = shapely.unary_union(polygons)
    _, bottom, _, top = union.bounds
    for part in range(1, 12):
        y = bottom + (top - bottom) * (part + 0.137) / 12.2
        total, cuts = 0.0, 1
        for number in solid:
            facet = view.facets[number]
            own = 0.0
            for one, other in row_over(view, number, y):
                ends = in_plane(view, facet, np.stack((one, other)))
                stretches = seen(view, Lines(starts=ends[:1], ends=ends[1:], owners=[(number,)]))
                cuts += len(stretches) + 1
                own += sum(high - low for low, high in stretches) * math.dist(one, other)
            across = shapely.LineString([(-500.0, y), (500.0, y)])
            assert own <= page_polygon(facet).intersection(across).length + 1e-6
            total += own
        across = shapely.LineString([(-500.0, y), (500.0, y)])
        # Specks are left out, and stretches shorter than those that are looked at.
        assert total == pytest.approx(union.intersection(across).length, abs=0.2 * cuts)


@given(st.lists(st.tuples(shifts, shifts, st.integers(5, 40)), min_size=2, max_size=6))
def test_plies_in_one_plane_cover_each_other_once(
    squares: list[tuple[float, float, int]],
) -> None:
    found: list[Sheet] = [(shifted(x, y), (square(float(half)),)) for x, y, half in squares]
    view = looked_at(found, 270.0)
    polygons = [page_polygon(facet) for facet in view.facets]
    union = shapely.unary_union(polygons)
    _, bottom, _, top = union.bounds
    y = bottom + (top - bottom) * 0.4371
    across = shapely.LineString([(-500.0, y), (500.0, y)])
    total = 0.0
    for number, facet in enumerate(view.facets):
        above = shapely.unary_union(polygons[number + 1 :])
        for one, other in row_over(view, number, y):
            ends = in_plane(view, facet, np.stack((one, other)))
            stretches = seen(view, Lines(starts=ends[:1], ends=ends[1:], owners=[(number,)]))
            length = sum(high - low for low, high in stretches) * math.dist(one, other)
            due = shapely.LineString([one, other]).difference(above).length
            assert length == pytest.approx(due, abs=0.2)
            total += length
    assert total == pytest.approx(union.intersection(across).length, abs=0.5)


def test_a_stack_is_covered_but_for_its_top() -> None:
    half = [(shifted(), (square(30.0),))] * 5
    view = looked_at([*half, (shifted(25.0), (square(30.0),))], 270.0)
    assert view.covered.tolist() == [True, True, True, True, False, False]
    # The other way round the ply that lies aside is the lowest.
    lowest = view_of(view.camera, *half, (shifted(25.0), (square(30.0),)), plies=(5, 4, 3, 2, 1, 0))
    assert lowest.covered.tolist() == [False, True, True, True, True, False]


def test_what_is_covered_lies_behind() -> None:
    near, far = (upright(-250.0), (square(40.0),)), (upright(0.0), (square(60.0),))
    assert view_of(LEVEL, far, near).covered.tolist() == [True, False]
    assert view_of(LEVEL, near, far).covered.tolist() == [False, True]
    # Through an opening something is seen, and of a larger one the rim.
    holed = (upright(-250.0), (square(40.0), square(5.0).reversed))
    assert view_of(LEVEL, far, holed).covered.tolist() == [False, False]
    assert view_of(LEVEL, (upright(0.0), (square(81.0),)), near).covered.tolist() == [False, False]
    # One that goes through the other is not behind it.
    through = (upright(-250.0) @ turned(20.0, (0.0, 0.0), (1.0, 0.0)), (square(30.0),))
    assert not view_of(LEVEL, near, through).covered.any()


@given(sheets, angles)
def test_nothing_is_seen_of_what_is_covered(found: list[Sheet], side: float) -> None:
    view = looked_at([*found, *found[:2]], side)
    for number in np.flatnonzero(view.covered):
        facet = view.facets[number]
        _, bottom, _, top = facet.box
        for one, other in row_over(view, int(number), (bottom + top) / 2.0):
            ends = in_plane(view, facet, np.stack((one, other)))
            lines = Lines(starts=ends[:1], ends=ends[1:], owners=[(int(number),)])
            assert seen(view, lines) == []
