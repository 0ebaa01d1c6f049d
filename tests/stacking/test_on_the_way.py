"""Panels that pass through each other on the way, in a pose of it or between two."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Piece, Sense, Slit
from foldwright.folding.linkage import linkage_of
from foldwright.folding.motion import STILL, Motion
from foldwright.folding.poses import PoseRequest, Start, fold_to
from foldwright.geometry import Path, line, point
from foldwright.panels import Assembly
from foldwright.stacking import WayClash, clashes, clashes_on_way
from foldwright.stacking.passes import screws
from tests.folding import folded_samples
from tests.folding.folded_samples import M, V, assembled, fold, rectangle
from tests.stacking.placed import (
    A,
    B,
    Stop,
    box,
    folded,
    hinge_turns,
    loose,
    motion,
    moving,
    square,
    way_of,
)


def only(found: tuple[WayClash, ...]) -> WayClash:
    assert len(found) == 1
    return found[0]


def strip(*lengths: float, senses: tuple[Sense, ...] = (V, V)) -> Assembly:
    """A strip 20 wide of three panels, folds `1` and `2`."""
    first, second = lengths[0], lengths[0] + lengths[1]
    return assembled(
        Piece(
            name="a",
            outline=rectangle(sum(lengths), 20),
            folds=(
                fold("1", (first, 0), (first, 20), sense=senses[0]),
                fold("2", (second, 0), (second, 20), sense=senses[1]),
            ),
        )
    )


# Poses in which they cross


def test_two_long_flaps_over_a_short_middle_collide_from_their_first_touch_on() -> None:
    """Strip 30, 10, 30, both folds alike: the flaps meet over the middle of the middle panel.

    They do at a distance of 5 / -cos(turn) from their folds, which lies on the flaps as
    soon as -cos(turn) >= 5 / 30, that is from 99.594 degrees on, and go through each other
    from then on until all lies flat.  One valley and one mountain never meet: of a strip 3, 1, 3
    only these two patterns can be folded.  Source: the one-dimensional form of the big-little-big
    rule, Arkin and others, When can you fold a map (2004), from memory.
    """
    touch = math.degrees(math.acos(-1 / 6))
    for stops in (9, 10, 40, 180):
        way = way_of(strip(30, 10, 30), {"1": 180, "2": 180}, stops)
        found = only(clashes_on_way(strip(30, 10, 30), way))
        assert (found.clash.first, found.clash.second) == (("a", 0), ("a", 2))
        assert found.share == min(stop.share for stop in way if stop.share * 180 > touch)
        assert found.clash.length_mm == pytest.approx(20, abs=1e-6)
        # At both ends the strip lies flat, and there it is not judged.
        assert clashes(strip(30, 10, 30), way[0].placed) == ()
        assert clashes(strip(30, 10, 30), way[-1].placed) == ()
    for senses in ((V, M), (M, V)):
        mixed = strip(30, 10, 30, senses=senses)
        assert clashes_on_way(mixed, way_of(mixed, {"1": 180, "2": 180}, 40)) == ()


@pytest.mark.parametrize("senses", [(V, V), (V, M), (M, V), (M, M)])
def test_a_gate_fold_never_collides(senses: tuple[Sense, Sense]) -> None:
    """Strip 1, 2, 1: by the same rule every pattern goes; shut, the tips of the flaps meet."""
    gate = strip(20, 40, 20, senses=senses)
    assert clashes_on_way(gate, way_of(gate, {"1": 180, "2": 180}, 60)) == ()


def test_a_fold_that_goes_beyond_180_on_the_way_is_told_where_it_does() -> None:
    card = assembled(
        Piece(name="a", outline=rectangle(100, 60), folds=(fold("gutter", (50, 0), (50, 60)),))
    )
    found = only(clashes_on_way(card, way_of(card, {"gutter": 200.0}, 20)))
    assert found.share == pytest.approx(0.95)
    assert found.clash.length_mm == 60


def test_each_pair_is_told_once_and_in_the_order_of_the_way() -> None:
    """A blade that comes down through two floors, and stays in them."""
    assembly = loose(square(100), square(100), box(40, 60))
    way = moving(
        [
            {
                A: motion(shift=(0, 0, 20)),
                B: STILL,
                ("c", 0): motion((1, 0, 0), 90, (30, 50, 25.5 - 3 * i)),
            }
            for i in range(11)
        ]
    )
    first, second = clashes_on_way(assembly, way)
    assert (first.clash.first, first.clash.second, first.share) == (A, ("c", 0), 0.2)
    assert (second.clash.first, second.clash.second, second.share) == (B, ("c", 0), 0.9)


def test_a_way_without_stops_or_panels_has_no_clash() -> None:
    assert clashes_on_way(loose(square(10)), []) == ()
    assert clashes_on_way(loose(square(10)), moving([{}, {}])) == ()
    assert clashes_on_way(loose(square(10)), moving([{A: STILL}])) == ()


# Between two poses


def falling(heights: list[float], tilt: Motion = STILL, along: Motion = STILL) -> list[Stop]:
    """B over A, at heights in turn, tilted, and everything moved by `along`."""
    return moving([{A: along, B: along @ motion(shift=(0, 0, z)) @ tilt} for z in heights])


def test_a_panel_that_falls_flat_through_another_is_seen() -> None:
    """At no pose they cross, nor at any between: they lie in one plane for an instant."""
    found = only(
        clashes_on_way(loose(square(100), square(40, 30, 30)), falling([20.0, 10.0, -5.0, -15.0]))
    )
    # 10 of the 15 mm of the second third.
    assert found.share == pytest.approx((1 + 2 / 3) / 3, abs=1e-9)
    assert found.clash.at[2] == pytest.approx(0.0, abs=1e-9)
    assert (found.clash.first, found.clash.second) == (A, B)
    assert found.clash.length_mm == pytest.approx(40, abs=1e-6)


def test_a_panel_that_falls_through_its_equal_is_seen() -> None:
    """Edge on edge: no edge goes through the inside of anything."""
    found = only(clashes_on_way(loose(square(100), square(100)), falling([10.0, -10.0])))
    assert found.share == pytest.approx(0.5, abs=1e-9)
    assert found.clash.length_mm == pytest.approx(100, abs=1e-6)


def test_two_strips_that_fall_across_each_other_are_seen() -> None:
    """No corner of one is inside the other."""
    assembly = loose(box(100, 4, -50, -2), box(4, 100, -2, -50))
    found = only(clashes_on_way(assembly, falling([3.0, -1.0])))
    assert found.share == pytest.approx(0.75, abs=1e-9)
    assert found.clash.at == pytest.approx((0, 0, 0), abs=2.0)
    assert found.clash.length_mm == pytest.approx(4, abs=0.02)


def test_a_blade_that_falls_through_edge_on_is_seen() -> None:
    """Upright, and in its own plane: it leaves the trace of a line only."""
    upright = motion((1, 0, 0), 90, (30, 50, 0))
    found = only(clashes_on_way(loose(square(100), square(40)), falling([1.0, -41.0], upright)))
    assert found.clash.at[:2] == pytest.approx((50, 50), abs=20.1)
    assert found.clash.at[2] == pytest.approx(0, abs=1e-9)
    assert 0 < found.share < 1


def test_what_falls_past_or_through_a_hole_is_not() -> None:
    frame = (square(100), square(40, 30, 30))
    beside, hanging_over, inside = square(40, 100, 30), square(40, 99, 30), square(40, 30, 30)
    assert clashes_on_way(loose(square(100), beside), falling([10.0, -10.0])) == ()
    assert clashes_on_way(loose(frame, inside), falling([10.0, -10.0])) == ()
    assert len(clashes_on_way(loose(square(100), hanging_over), falling([10.0, -10.0]))) == 1
    larger = square(42, 29, 29)
    assert len(clashes_on_way(loose(frame, larger), falling([10.0, -10.0]))) == 1


def test_what_turns_back_or_stays_in_the_plane_is_not() -> None:
    assembly = loose(square(100), square(40, 30, 30))
    for heights in ([10.0, 2.0, 10.0], [10.0, 0.0, 0.0], [0.0, 0.0], [0.0, -10.0], [1.0, 0.0, 1.0]):
        assert clashes_on_way(assembly, falling(heights)) == ()


def test_a_door_that_swings_through_a_wall_is_seen_at_its_angle() -> None:
    """Between 80 and 100 degrees a door sweeps over a narrow wall that stands at 88 degrees.

    The wall is a strip along the plane at 88 degrees, from 20 to 60 mm off the door's axis.
    """
    wall = motion((1, 0, 0), 88)
    swing = [{A: wall, B: motion((1, 0, 0), degrees)} for degrees in (60, 80, 100, 120)]
    found = only(clashes_on_way(loose(box(30, 40, 0, 20), box(30, 70)), moving(swing)))
    assert found.share == pytest.approx((1 + 8 / 20) / 3, abs=1e-6)
    assert found.clash.length_mm == pytest.approx(30, abs=0.01)
    # The same door with a hole where the wall is.
    holed = (box(50, 70, -10), box(32, 42, -1, 19))
    assert clashes_on_way(loose(box(30, 40, 0, 20), holed), moving(swing)) == ()


def test_a_fold_that_jumps_over_180_is_seen_even_where_its_angle_is_told_wrong() -> None:
    card = assembled(
        Piece(name="a", outline=rectangle(100, 60), folds=(fold("gutter", (50, 0), (50, 60)),))
    )
    way = [
        Stop(
            share=share,
            placed=folded(card, {"gutter": degrees}),
            turned=hinge_turns(card, {"gutter": told}),
        )
        for share, degrees, told in ((0.0, 170, 170), (1.0, 190, -170))
    ]
    assert only(clashes_on_way(card, way)).share == pytest.approx(0.5, abs=1e-6)
    # Through flat it may go as it likes.
    flat = way_of(card, {"gutter": 10.0}, 2, start=-1.0)
    assert clashes_on_way(card, flat) == ()


def test_a_flap_swings_through_its_own_window_without_touching() -> None:
    """A flap in a frame, cut free without any play, with a tail below the fold it turns on.

    As the flap rises the tail dips through the hole that it came from, and the other way
    about.  One that is wider than its hole by 2 mm on one side goes through the frame.
    """
    around = line(point(30, 50), point(30, 80), point(70, 80), point(70, 50))
    below = line(point(40, 50), point(40, 35), point(60, 35), point(60, 50))
    assembly = assembled(
        Piece(
            name="a",
            outline=rectangle(100, 100),
            slits=(Slit(name="around", path=around), Slit(name="below", path=below)),
            folds=(fold("left", (30, 50), (40, 50)), fold("right", (60, 50), (70, 50))),
        )
    )
    assert len(assembly.divisions["a"].panels) == 2
    for stops in (2, 3, 7, 30):
        way = way_of(assembly, {"left": 150.0, "right": 150.0}, stops, start=-1.0)
        assert clashes_on_way(assembly, way) == ()
    frame = (square(100), box(40, 45, 30, 35))
    for width, found in ((40, 0), (42, 1)):
        loosely = loose(frame, box(width, 45, 30, -15))
        turns = (-75.0, -25.0, 25.0, 75.0)
        swing = [{A: STILL, B: motion((1, 0, 0), turn, (0, 50, 0))} for turn in turns]
        assert len(clashes_on_way(loosely, moving(swing))) == found


axes = st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda axis: math.hypot(*axis) > 0.1)


@given(
    axis=axes,
    degrees=st.floats(-180, 180),
    shift=st.tuples(*[st.floats(-300, 300)] * 3),
    top=st.floats(1, 20),
    bottom=st.floats(-20, -1),
    left=st.floats(-70, 70),
    turn=st.floats(0, 360),
    swapped=st.booleans(),
)
def test_a_fall_is_seen_wherever_it_happens(
    axis: tuple[float, float, float],
    degrees: float,
    shift: tuple[float, float, float],
    top: float,
    bottom: float,
    left: float,
    turn: float,
    swapped: bool,
) -> None:
    """B is 20 by 20 with its middle `left` from the middle of A, turned in its plane."""
    along = motion(axis, degrees, shift)
    outlines: tuple[Path, Path] = square(100, -50, -50), square(20, -10, -10)
    tilt = motion((0, 0, 1), turn, (left, 0, 0))
    way = falling([top, bottom], tilt, along)
    assembly = loose(*outlines)
    if swapped:
        assembly = loose(outlines[1], outlines[0])
        way = [Stop(stop.share, {A: stop.placed[B], B: stop.placed[A]}, {}) for stop in way]
    reach = 10 * (abs(math.cos(math.radians(turn))) + abs(math.sin(math.radians(turn))))
    overlap = 50 - (abs(left) - reach)
    found = clashes_on_way(assembly, way)
    if overlap > 0.05:
        assert only(found).share == pytest.approx(top / (top - bottom), abs=1e-6)
    elif overlap < 0:
        assert found == ()


@given(
    axis=axes,
    degrees=st.floats(-20, 20),
    shift=st.tuples(*[st.floats(-10, 10)] * 3),
    share=st.floats(0, 1),
)
def test_a_screw_ends_where_it_should_and_its_halves_are_alike(
    axis: tuple[float, float, float],
    degrees: float,
    shift: tuple[float, float, float],
    share: float,
) -> None:
    """A screw motion run in two parts is the screw of each part: its own definition."""
    before, by = motion((1, 2, 3), 40, (5, 6, 7)), motion(axis, degrees, shift)
    after = by @ before

    def of(moved: Motion) -> tuple[np.ndarray, np.ndarray]:
        return np.array([moved.rows]), np.array([moved.shift])

    found = screws(of(before), of(after))
    at = np.array([[before.apply3((3.0, 4.0, 5.0))]])
    assert found.at(at, np.array([[1.0]]))[0, 0] == pytest.approx(
        after.apply3((3.0, 4.0, 5.0)), abs=1e-9
    )
    part = found.at(at, np.array([[share]]))
    rest = found.at(part, np.array([[1.0 - share]]))
    assert rest[0, 0] == pytest.approx(after.apply3((3.0, 4.0, 5.0)), abs=1e-9)


def test_a_step_card_opens_and_closes_without_a_clash() -> None:
    """A box step across a gutter, all folds alike: the parallelogram that it is."""
    piece = Piece(
        name="a",
        outline=rectangle(120, 100),
        slits=(
            Slit(name="left", path=line(point(40, 30), point(40, 70))),
            Slit(name="right", path=line(point(80, 30), point(80, 70))),
        ),
        folds=(
            fold("g1", (0, 50), (40, 50)),
            fold("g2", (80, 50), (120, 50)),
            fold("low", (40, 30), (80, 30)),
            fold("ridge", (40, 50), (80, 50), sense=M),
            fold("high", (40, 70), (80, 70)),
        ),
    )
    assembly = assembled(piece)
    closed = dict.fromkeys(("g1", "g2", "low", "ridge", "high"), 180.0)
    assert clashes_on_way(assembly, way_of(assembly, closed, 30)) == ()


def _held(assembly: Assembly, *labels: str) -> list[tuple[str, int]]:
    return [
        (name, hinge.index)
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
        if hinge.label in labels
    ]


@pytest.mark.parametrize(
    ("sample", "labels", "start"),
    [
        (assembled(folded_samples.box_between_slits()), ("left gutter", "right gutter"), "flat"),
        (assembled(folded_samples.stair((30, 30), (20, 20))), ("gutter",), "flat"),
        (assembled(folded_samples.miura(4, 3, 60.0)), ("zigzag 1#1",), "flat"),
        (folded_samples.parallel_box(30, 50).assembly, ("gutter",), "closed"),
        (folded_samples.v_fold().assembly, ("gutter",), "closed"),
        (folded_samples.tube().assembly, ("edge 1",), "closed"),
    ],
)
@pytest.mark.parametrize("degrees", [10.0, 90.0, 172.0])
def test_cards_that_are_known_to_stand_do_so_without_a_clash(
    sample: Assembly, labels: tuple[str, ...], start: str, degrees: float
) -> None:
    """Poses as they are found: loops closed but for rounding, many panels edge to edge."""
    holds = dict.fromkeys(_held(sample, *labels), degrees)
    request = PoseRequest(name="standing", holds=holds, start=Start(start))
    pose = fold_to(linkage_of(sample), request)
    assert pose.reached
    assert clashes(sample, pose.placed, pose.turned) == ()
    assert clashes_on_way(sample, pose.way) == ()
