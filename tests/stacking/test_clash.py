"""Which panels pass through each other: closed forms, touching, another's judgement."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Piece, Sense, Slit
from foldwright.folding.loops import PanelKey
from foldwright.folding.motion import STILL, Motion, Place3
from foldwright.geometry import Path, Point, circle, line, point
from foldwright.panels import Assembly, assemble, divide
from foldwright.stacking import Clash, clashes
from tests.folding.folded_samples import V, assembled, fold, rectangle
from tests.stacking.placed import (
    A,
    B,
    C,
    box,
    folded,
    hinge_turns,
    loose,
    motion,
    ring,
    square,
)

# An outline, or one with an opening.
Shape = Path | tuple[Path, Path]


def only(found: tuple[Clash, ...]) -> Clash:
    assert len(found) == 1
    return found[0]


# A panel that stands upright across the plane z = 0, its x along the world's x: flat (x, y)
# comes to (x, middle, y - half).
def upright(middle: float, half: float) -> Motion:
    return motion((1, 0, 0), 90, (0.0, middle, -half))


# Closed forms


def test_two_squares_cross_at_right_angles() -> None:
    """A square 100 on the floor, one of 40 upright through it: along the 40 they share."""
    assembly = loose(square(100), square(40))
    stands = motion((1, 0, 0), 90, (30.0, 50.0, -20.0))
    clash = only(clashes(assembly, {A: STILL, B: stands}))
    assert (clash.first, clash.second) == (A, B)
    assert clash.length_mm == pytest.approx(40, abs=1e-6)
    assert clash.at == pytest.approx((50, 50, 0), abs=1e-6)
    assert clash.on_first.floats() == pytest.approx((50, 50), abs=1e-6)
    assert clash.on_second.floats() == pytest.approx((20, 20), abs=1e-6)


def test_the_longest_of_several_stretches_is_told() -> None:
    """A comb with teeth of 10 and 25 on a bar, pushed through the floor with its teeth."""
    comb = ring(
        ((0, 20), (0, 0), (10, 0), (10, 20), (30, 20), (30, 0), (55, 0), (55, 20), (60, 20),
         (60, 40), (0, 40))
    )  # fmt: skip
    assembly = loose(square(100), comb)
    clash = only(clashes(assembly, {A: STILL, B: motion((1, 0, 0), 90, (20, 50, -10))}))
    assert clash.length_mm == pytest.approx(25, abs=1e-6)
    assert clash.on_second.floats() == pytest.approx((42.5, 10), abs=1e-6)
    assert clash.at == pytest.approx((62.5, 50, 0), abs=1e-6)


@pytest.mark.parametrize("degrees", [0.5, 20.0, 90.0, 135.0, 179.5])
def test_slanted_squares_cross_along_their_common_line(degrees: float) -> None:
    assembly = loose(square(60, -30, -30), square(60, -30, -30))
    clash = only(clashes(assembly, {A: STILL, B: motion((1, 0, 0), degrees)}))
    assert clash.length_mm == pytest.approx(60, abs=1e-6)
    assert clash.at == pytest.approx((0, 0, 0), abs=1e-6)
    # About the diagonal, the line is the diagonal.
    clash = only(clashes(assembly, {A: STILL, B: motion((1, 1, 0), degrees)}))
    assert clash.length_mm == pytest.approx(60 * math.sqrt(2), abs=1e-6)


def test_nothing_clashes_in_a_hole() -> None:
    frame = (square(100), square(50, 25, 25))
    placed = {A: STILL, B: motion((1, 0, 0), 90, (30.0, 50.0, -20.0))}
    assert clashes(loose(frame, square(40)), placed) == ()
    # One that is wider than the hole runs through the frame on both sides of it, 20 and 15.
    wide = {A: STILL, B: motion((1, 0, 0), 90, (5.0, 50.0, -20.0))}
    clash = only(clashes(loose(frame, box(85, 40)), wide))
    assert clash.length_mm == pytest.approx(20, abs=1e-6)
    assert clash.at == pytest.approx((15, 50, 0), abs=1e-6)


def test_a_round_hole_lets_through_what_is_narrower_than_its_chord() -> None:
    """Where a circle of radius 25 is cut 15 off its middle, the chord is 40."""
    frame = (square(100), circle(point(50, 50), 25))
    for width, found in ((39.9, 0), (40.1, 1)):
        assembly = loose(frame, box(width, 40))
        placed = {A: STILL, B: motion((1, 0, 0), 90, (50 - width / 2, 65.0, -20.0))}
        assert len(clashes(assembly, placed)) == found


def test_a_round_panel_is_crossed_along_its_chord() -> None:
    assembly = loose(circle(Point(0.0, 0.0), 50.0), square(200, -100, -100))
    clash = only(clashes(assembly, {A: STILL, B: motion((1, 0, 0), 90, (0.0, 30.0, 0.0))}))
    assert clash.length_mm == pytest.approx(80, abs=5e-3)


def test_what_fits_into_the_notch_of_a_panel_does_not_clash() -> None:
    """A U with a notch 30 wide: an upright panel of 28 stands in it, one of 32 cuts both sides."""
    u = ring(((0, 0), (100, 0), (100, 100), (65, 100), (65, 40), (35, 40), (35, 100), (0, 100)))
    for width, found in ((28.0, 0), (32.0, 1)):
        placed = {A: STILL, B: motion((1, 0, 0), 90, (50 - width / 2, 70.0, -20.0))}
        assert len(clashes(loose(u, box(width, 40)), placed)) == found
    clash = only(
        clashes(loose(u, box(32.0, 40)), {A: STILL, B: motion((1, 0, 0), 90, (34.5, 70, -20))})
    )
    # 35 - 34.5 on the left, 34.5 + 32 - 65 on the right.
    assert clash.length_mm == pytest.approx(1.5, abs=1e-6)


# What only touches


@pytest.mark.parametrize("depth", [0.0, 1e-9, -1e-9, 5e-4])
def test_an_edge_that_rests_on_a_face_does_not_clash(depth: float) -> None:
    assembly = loose(square(100), square(40))
    stands = motion((1, 0, 0), 90, (30.0, 50.0, -depth))
    assert clashes(assembly, {A: STILL, B: stands}) == ()


def test_an_edge_clashes_as_soon_as_it_sinks_in() -> None:
    assembly = loose(square(100), square(40))
    for depth, found in ((0.9e-3, 0), (1.1e-3, 1), (0.1, 1)):
        placed = {A: STILL, B: motion((1, 0, 0), 90, (30.0, 50.0, -depth))}
        assert len(clashes(assembly, placed)) == found


@pytest.mark.parametrize("off", [-1e-9, 0.0, 1e-9])
def test_panels_side_by_side_do_not_clash(off: float) -> None:
    """As beside a slit: a floor up to x = 50, a slanted panel from there on, edge to edge."""
    assembly = loose(box(50, 100), box(50, 100))
    for degrees in (1.0, 45.0, 90.0, 160.0):
        # It goes through the floor 30 mm from its lower edge.
        low = -30 * math.sin(math.radians(degrees))
        placed = {A: STILL, B: motion((1, 0, 0), degrees, (50.0 + off, 50.0, low))}
        assert clashes(assembly, placed) == ()
        moved = {A: STILL, B: motion((1, 0, 0), degrees, (49.9, 50.0, low))}
        assert only(clashes(assembly, moved)).length_mm == pytest.approx(0.1, abs=1e-6)


def test_corners_that_touch_do_not_clash() -> None:
    diamond = ring(((0, -30), (30, 0), (0, 30), (-30, 0)))
    for at in (0.0, 20.0):
        # Its lowest corner stands on the floor, or on an edge of it.
        placed = {A: STILL, B: motion((1, 0, 0), 90, (50.0, at, 30.0))}
        assert clashes(loose(square(100), diamond), placed) == ()


def test_panels_in_one_plane_are_not_judged() -> None:
    assembly = loose(square(100), square(40), square(70))
    for tilt in (0.0, 1e-10, 1e-7, -1e-7):
        placed = {
            A: STILL,
            B: motion((1, 0, 0), 180 + math.degrees(tilt), (30.0, 70.0, 1e-9)),
            C: motion((0, 1, 0), 180 - math.degrees(tilt), (90.0, 10.0, -1e-9)),
        }
        assert clashes(assembly, placed) == ()


def test_a_hinge_turned_up_to_180_does_not_clash_and_beyond_it_does() -> None:
    assembly = assembled(
        Piece(name="a", outline=rectangle(100, 60), folds=(fold("gutter", (50, 0), (50, 60)),))
    )
    for degrees, found in (
        (1, 0),
        (90, 0),
        (179, 0),
        (180, 0),
        (180 + 1e-6, 0),
        (181, 1),
        (-181, 1),
    ):
        turned = {"gutter": degrees}
        placed = folded(assembly, turned)
        told = clashes(assembly, placed, hinge_turns(assembly, turned))
        assert len(told) == found, degrees
        # Where the panels are says nothing of it: 181 is 179 the other way.
        assert clashes(assembly, placed) == ()
    clash = only(told)
    assert clash.length_mm == 60
    assert clash.on_first == clash.on_second == Point(50.0, 30.0)
    assert clash.at == pytest.approx((50, 30, 0), abs=1e-9)


def test_neighbours_that_reach_over_the_line_of_their_fold_do_not_clash() -> None:
    """No place of the line is inside both: however they hook into each other, it swings clear.

    The fold runs at y = 50 from x = 0 to 40.  The panel above it has an arm that comes down
    at x = 80 to 95, the one below has one that goes up at x = 50 to 70.
    """
    outline = ring(
        ((0, 0), (70, 0), (70, 90), (50, 90), (50, 30), (40, 30), (40, 70), (45, 70), (45, 95),
         (80, 95), (80, 10), (95, 10), (95, 120), (0, 120))
    )  # fmt: skip
    assembly = assembled(
        Piece(name="a", outline=outline, folds=(fold("spine", (0, 50), (40, 50)),))
    )
    assert len(assembly.divisions["a"].panels) == 2
    for degrees in (1e-5, 0.1, 30.0, 90.0, 179.0, 180.0):
        turned = {"spine": degrees}
        assert clashes(assembly, folded(assembly, turned), hinge_turns(assembly, turned)) == ()


def test_at_a_vertex_and_a_slit_end_nothing_clashes_by_meeting_there() -> None:
    """A box step across a gutter: floor, wall, step and their slits, at every angle."""
    piece = Piece(
        name="a",
        outline=rectangle(120, 100),
        slits=(
            Slit(name="left", path=line(point(40, 30), point(40, 70))),
            Slit(name="right", path=line(point(80, 30), point(80, 70))),
        ),
        folds=(
            Fold(name="g1", path=line(point(0, 50), point(40, 50)), senses=(V,), angle=180),
            Fold(name="g2", path=line(point(80, 50), point(120, 50)), senses=(V,), angle=180),
            Fold(name="low", path=line(point(40, 30), point(80, 30)), senses=(V,), angle=180),
            Fold(
                name="ridge",
                path=line(point(40, 50), point(80, 50)),
                senses=(Sense.MOUNTAIN,),
                angle=180,
            ),
            Fold(name="high", path=line(point(40, 70), point(80, 70)), senses=(V,), angle=180),
        ),
    )
    assembly = assembled(piece)
    for degrees in (1e-6, 0.01, 30.0, 90.0, 150.0, 179.99, 180.0 - 1e-7, 180.0):
        turned = dict.fromkeys(("g1", "g2", "low", "ridge", "high"), degrees)
        assert clashes(assembly, folded(assembly, turned), hinge_turns(assembly, turned)) == ()
    # A ridge that is folded the other way meets the gutter's other side: the step is a tent
    # through nothing, but turned twice as far its halves run through floor and wall.
    wrong = {"g1": 90.0, "g2": 90.0, "low": -60.0, "ridge": 90.0, "high": -60.0}
    assert clashes(assembly, folded(assembly, wrong)) == ()


def test_what_a_gap_of_a_strained_pose_may_do_is_no_clash() -> None:
    """Where a hinge is left 0.5 mm open, paper that sinks in by less may not sink in at all."""
    card = Piece(name="a", outline=rectangle(100, 60), folds=(fold("gutter", (50, 0), (50, 60)),))
    other = Piece(name="b", outline=rectangle(20, 20))
    assembly = assembled(card, other)
    placed = folded(assembly, {"gutter": 90.0})
    for gap, depth, found in ((0.0, 0.3, 1), (0.5, 0.3, 0), (0.5, 0.6, 1), (0.5, -0.1, 0)):
        stands = motion((1, 0, 0), 90, (20.0, 30.0, -depth))
        rows, (x, y, z) = placed[("a", 1)].rows, placed[("a", 1)].shift
        pulled = {**placed, ("a", 1): Motion(rows, (x, y + gap, z)), B: stands}
        assert len(clashes(assembly, pulled)) == found


def test_panels_without_a_place_are_left_out() -> None:
    assembly = loose(square(100), square(40))
    assert clashes(assembly, {A: STILL}) == ()
    assert clashes(assembly, {}) == ()


def test_all_pairs_are_told_in_the_order_of_panels() -> None:
    assembly = loose(square(100), square(100), square(100))
    placed = {
        C: motion((0, 1, 0), 90, (50.0, 0.0, 50.0)),
        B: motion((1, 0, 0), 90, (0.0, 50.0, -50.0)),
        A: STILL,
    }
    assert [(clash.first, clash.second) for clash in clashes(assembly, placed)] == [
        (A, B),
        (A, C),
        (B, C),
    ]


# Another's judgement

corners = st.lists(st.tuples(st.floats(15, 50), st.floats(-0.35, 0.35)), min_size=3, max_size=9)
axes = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda axis: math.hypot(*axis) > 0.1)


@st.composite
def panels(draw: st.DrawFn) -> Shape:
    """A star-shaped polygon round the origin, seldom convex, some with a hole in the middle."""
    found = draw(corners)
    turn = 2 * math.pi / len(found)
    places = [
        (r * math.cos(turn * (i + a)), r * math.sin(turn * (i + a)))
        for i, (r, a) in enumerate(found)
    ]
    outline = ring(places)
    size = draw(st.sampled_from([0.0, 3.0, 6.0]))
    hole = square(size, -size / 2, -size / 2)
    if size and shapely.Polygon(places).buffer(-0.5).contains(shapely.Polygon(_corners(hole))):
        return outline, hole
    return outline


@st.composite
def motions(draw: st.DrawFn, far: float = 30.0) -> Motion:
    shift = draw(st.tuples(*[st.floats(-far, far)] * 3))
    return motion(draw(axes), draw(st.floats(-180, 180)), shift)


def _corners(path: Path) -> list[tuple[float, float]]:
    return [vertex.at.floats() for vertex in path.vertices]


def pierced(shapes: list[Shape], placed: list[Motion]) -> float:
    """How deep an edge of one panel goes through the inside of the other: negative where none does.

    The textbook's test for flat polygons in general position: they cross where an edge of
    one meets the inside of the other.  An edge meets a plane where its ends have heights of
    unlike sign; whether that is inside is asked of shapely.
    """
    deepest = -math.inf
    for one, other in ((0, 1), (1, 0)):
        mine, yours = placed[one], placed[other]
        shape = shapes[other]
        rings = shape if isinstance(shape, tuple) else (shape,)
        area = shapely.Polygon(_corners(rings[0]), [_corners(hole) for hole in rings[1:]])
        own = shapes[one]
        for path in own if isinstance(own, tuple) else (own,):
            seen = [_back(yours, mine.apply(vertex.at)) for vertex in path.vertices]
            for (x0, y0, z0), (x1, y1, z1) in pairwise([*seen, seen[0]]):
                if z0 * z1 >= 0.0:
                    continue
                share = z0 / (z0 - z1)
                at = shapely.Point(x0 + share * (x1 - x0), y0 + share * (y1 - y0))
                edge = area.boundary.distance(at)
                inside = min(abs(z0), abs(z1), edge) if area.contains(at) else -edge
                deepest = max(deepest, inside)
    return deepest


def _back(moved: Motion, at: Place3) -> Place3:
    x, y, z = (a - b for a, b in zip(at, moved.shift, strict=True))
    columns = tuple(zip(*moved.rows, strict=True))
    a, b, c = (column[0] * x + column[1] * y + column[2] * z for column in columns)
    return a, b, c


@given(shapes=st.tuples(panels(), panels()), placed=st.tuples(motions(), motions()))
def test_panels_clash_where_an_edge_pierces_the_other(
    shapes: tuple[Shape, Shape], placed: tuple[Motion, Motion]
) -> None:
    depth = pierced(list(shapes), list(placed))
    # Within a hundredth the two tests may draw the line differently.
    assume(math.isinf(depth) or abs(depth) > 0.01)
    found = clashes(loose(*shapes), {A: placed[0], B: placed[1]})
    assert bool(found) == (depth > 0.0)


@given(shapes=st.tuples(panels(), panels()), placed=st.tuples(motions(10.0), motions(10.0)))
def test_the_stretch_is_the_longest_that_lies_on_both_panels(
    shapes: tuple[Shape, Shape], placed: tuple[Motion, Motion]
) -> None:
    """A long straight line along it, laid on both flat panels, is cut by shapely."""
    for clash in clashes(loose(*shapes), {A: placed[0], B: placed[1]}):
        assert placed[0].apply(clash.on_first) == pytest.approx(clash.at, abs=1e-6)
        assert placed[1].apply(clash.on_second) == pytest.approx(clash.at, abs=1e-6)
        (a, b, c), (d, e, f) = (tuple(row[2] for row in moved.rows) for moved in placed)
        way = (b * f - c * e, c * d - a * f, a * e - b * d)
        size = math.hypot(*way)
        assume(size > 1e-3)
        first, second = (
            stretches(shape, moved, clash.at, (way[0] / size, way[1] / size, way[2] / size))
            for shape, moved in zip(shapes, placed, strict=True)
        )
        both = [
            (max(low, start), min(high, end))
            for low, high in first
            for start, end in second
            if max(low, start) < min(high, end)
        ]
        (low, high) = next(one for one in both if one[0] < 0.0 < one[1])
        assert (low, high) == pytest.approx((-clash.length_mm / 2, clash.length_mm / 2), abs=1e-5)
        # Another may be longer only where it is on the rim of one of them.
        assert clash.length_mm >= max(end - start for start, end in both) - 0.01


def stretches(shape: Shape, moved: Motion, at: Place3, way: Place3) -> list[tuple[float, float]]:
    """Where a line in the plane of a panel runs over it: from and to, counted from `at`."""
    ends = []
    for far in (-200.0, 200.0):
        x, y, z = _back(moved, (at[0] + far * way[0], at[1] + far * way[1], at[2] + far * way[2]))
        assert abs(z) < 1e-6
        ends.append((x, y))
    rings = shape if isinstance(shape, tuple) else (shape,)
    area = shapely.Polygon(_corners(rings[0]), [_corners(hole) for hole in rings[1:]])
    over = shapely.get_parts(shapely.LineString(ends).intersection(area))
    start = shapely.Point(ends[0])
    found = (
        sorted(start.distance(shapely.Point(at)) - 200.0 for at in part.coords) for part in over
    )
    return [(low, high) for low, high in found]


@given(
    shapes=st.tuples(panels(), panels(), panels()),
    placed=st.tuples(motions(), motions(), motions()),
    moved=motions(500.0),
)
def test_a_clash_moves_with_the_panels(
    shapes: tuple[Shape, Shape, Shape], placed: tuple[Motion, Motion, Motion], moved: Motion
) -> None:
    assembly = loose(*shapes)
    here = dict(zip((A, B, C), placed, strict=True))
    there = {key: moved @ one for key, one in here.items()}
    before, after = clashes(assembly, here), clashes(assembly, there)
    assert told(before) == told(after)
    for one, other in zip(before, after, strict=True):
        assert other.length_mm == pytest.approx(one.length_mm, abs=1e-6)
        assert other.at == pytest.approx(moved.apply3(one.at), abs=1e-6)


def told(found: tuple[Clash, ...]) -> list[tuple[PanelKey, PanelKey]]:
    return [(clash.first, clash.second) for clash in found]


@given(shapes=st.tuples(panels(), panels()), placed=st.tuples(motions(), motions()))
def test_which_panel_comes_first_does_not_matter(
    shapes: tuple[Shape, Shape], placed: tuple[Motion, Motion]
) -> None:
    one = clashes(loose(*shapes), {A: placed[0], B: placed[1]})
    other = clashes(loose(shapes[1], shapes[0]), {A: placed[1], B: placed[0]})
    assert len(one) == len(other)
    for first, second in zip(one, other, strict=True):
        assert second.length_mm == pytest.approx(first.length_mm, abs=1e-6)
        assert second.at == pytest.approx(first.at, abs=1e-6)
        assert second.on_first.floats() == pytest.approx(first.on_second.floats(), abs=1e-6)


def test_many_panels_are_found_by_their_boxes() -> None:
    """A grid of 400 squares, and one strip that stands through 20 of them."""
    outlines = {}
    placed: dict[PanelKey, Motion] = {}
    tile = divide(Piece(name="tile", outline=square(9)))
    for i in range(20):
        for j in range(20):
            outlines[f"tile {i} {j}"] = tile
            placed[(f"tile {i} {j}", 0)] = motion(shift=(10.0 * i, 10.0 * j, 0.0))
    outlines["strip"] = divide(Piece(name="strip", outline=box(200, 5)))
    placed[("strip", 0)] = motion((1, 0, 0), 90, (0.0, 34.0, -2.0))
    assembly: Assembly = assemble(outlines, ())
    found = clashes(assembly, placed)
    assert sorted(clash.first[0] for clash in found) == sorted(f"tile {i} 3" for i in range(20))
    assert {clash.second for clash in found} == {("strip", 0)}
    assert [clash.length_mm for clash in found] == pytest.approx([9.0] * 20, abs=1e-6)
