"""What holds of every pose, whatever the card: and no wrong number where there is none."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Piece
from foldwright.folding import Verdict, closing, loops_of
from foldwright.folding.linkage import linkage_of
from foldwright.folding.path import Aim, followed
from foldwright.folding.poses import Outcome, PoseRequest, Start, fold_to
from foldwright.geometry import Path, Point, Vertex
from foldwright.panels import Assembly
from tests.folding.folded_samples import (
    M,
    Sample,
    V,
    accordion,
    apart,
    assembled,
    bare,
    box_between_slits,
    fold,
    mirrored,
    mirrored_sample,
    miura,
    parallel_box,
    rectangle,
    square_grid,
    square_twist,
    stair,
    tube,
    v_fold,
    vertex,
    vertex4,
    zigzag_grid,
)
from tests.folding.posing import Posed, freedom_in, held_keys, hinge_keys, posed

lengths = st.fractions(min_value=5, max_value=40, max_denominator=16)


def gaps_of(pose: Posed) -> list[float]:
    """How far apart the two places of every hinge's ends are, from the panels' own motions."""
    found = []
    for name, division in pose.assembly.divisions.items():
        for hinge in division.hinges:
            left = pose.folded.placed[name, hinge.left]
            right = pose.folded.placed[name, hinge.right]
            for end in (hinge.start, hinge.end):
                found.append(math.dist(left.apply(end), right.apply(end)))
    for joint in pose.assembly.joints:
        ends = joint.joint.glue, joint.joint.to
        for first, second in ((ends[0].start, ends[1].start), (ends[0].end, ends[1].end)):
            found.append(
                math.dist(
                    pose.folded.placed[joint.glued].apply(first),
                    pose.folded.placed[joint.to].apply(second),
                )
            )
    return found


def angles_between_panels(pose: Posed) -> dict[str, float]:
    """The degrees between the fronts of the panels beside every hinge."""
    found = {}
    for label, (piece, index) in hinge_keys(pose.assembly).items():
        hinge = pose.assembly.divisions[piece].hinges[index]
        left, right = (
            np.array(pose.folded.placed[piece, panel].rows)[:, 2]
            for panel in (hinge.left, hinge.right)
        )
        cross = float(np.linalg.norm(np.cross(left, right)))
        found[label] = math.degrees(math.atan2(cross, float(left @ right)))
    return found


# Bands.


def test_a_band_of_equal_sums_closes_at_twenty_random_gutters() -> None:
    """Treads as long as the floor, risers as long as the wall: no gap at any angle."""
    chance = random.Random(20)
    for _ in range(20):
        steps = chance.randint(1, 5)
        treads = [Fraction(chance.randint(40, 160), 4) for _ in range(steps)]
        risers = [Fraction(chance.randint(40, 160), 4) for _ in range(steps)]
        gutter = chance.uniform(0.5, 179.5)
        pose = posed(assembled(stair(treads, risers)), {"gutter": gutter})
        assert pose.outcome is Outcome.REACHED
        assert pose.folded.gap_mm <= 1e-9
        assert max(gaps_of(pose)) <= 1e-9
        # Each tread lies level with the floor, each riser with the wall.
        assert list(pose.every.values()) == pytest.approx([gutter] * len(pose.every), abs=1e-9)


@settings(max_examples=25)
@given(
    treads=st.lists(lengths, min_size=1, max_size=4),
    data=st.data(),
    gutter=st.floats(min_value=1.0, max_value=179.0),
)
def test_a_band_of_equal_sums_closes_at_any_gutter(
    treads: list[Fraction], data: st.DataObject, gutter: float
) -> None:
    risers = data.draw(st.lists(lengths, min_size=len(treads), max_size=len(treads)))
    pose = posed(assembled(stair(treads, risers)), {"gutter": gutter})
    assert pose.outcome is Outcome.REACHED
    assert max(gaps_of(pose)) <= 1e-9
    assert list(pose.every.values()) == pytest.approx([gutter] * len(pose.every), abs=1e-9)


@pytest.mark.parametrize("off", [-7, 3])
def test_a_step_of_unequal_sums_is_no_parallelogram(off: int) -> None:
    """It may stand, as a four-bar with other angles, but it never closes."""
    assembly = assembled(stair([30], [40], wall=40 + off))
    (loop,) = loops_of(assembly)
    assert closing(loop).verdict is not Verdict.CLOSES
    pose = posed(assembly, {"gutter": 60})
    if pose.outcome is Outcome.REACHED:
        assert max(gaps_of(pose)) <= 1e-6
        assert max(abs(turned - 60) for turned in pose.every.values()) > 0.5
    shut = posed(assembly, {"gutter": 180})
    assert shut.outcome is Outcome.REACHED or shut.folded.gap_mm > 0.01


# One answer, whatever the way.

CARDS: Mapping[str, tuple[Callable[[], Assembly], dict[str, float]]] = {
    "a vertex": (lambda: assembled(vertex4(60, 100, "A")), {"crease 2": 100.0}),
    "a vertex of five": (
        lambda: assembled(vertex((70, 80, 60, 90), (V, V, M, V, V))),
        {"crease 1": 40.0},
    ),
    "a vertex of six": (
        lambda: assembled(vertex((50, 80, 45, 65, 70), (V, M, V, V, M, V))),
        {"crease 1": 60.0},
    ),
    "a map": (lambda: assembled(zigzag_grid([30] * 4, [40, 50, 45], [9, 17])), {"zigzag 1": 110}),
    "a twist": (lambda: assembled(square_twist(30, senses=(M, M, V, V))), {"side 1": 75.0}),
    "a stair": (lambda: assembled(stair([30, 20, 25], [35, 40, 15])), {"gutter": 80.0}),
    "a stair held askew": (
        lambda: assembled(stair([30, 20, 25], [35, 40, 15])),
        {"gutter": 80.0, "steps 2": 100.0},
    ),
    "a box": (lambda: assembled(box_between_slits()), {"ridge": 55.0}),
    "a V-fold": (lambda: v_fold().assembly, {"gutter": 35.0}),
    "a glued step": (lambda: parallel_box(30, 50).assembly, {"gutter": 120.0}),
    "a tube": (lambda: tube().assembly, {"edge 2": 50.0}),
}


@pytest.mark.parametrize("name", CARDS)
def test_a_pose_does_not_depend_on_the_number_of_steps(name: str) -> None:
    make, holds = CARDS[name]
    assembly = make()
    first = posed(assembly, holds, steps=24)
    assert first.outcome is Outcome.REACHED
    for steps in (2, 5, 17, 64):
        again = posed(assembly, holds, steps=steps)
        assert again.outcome is Outcome.REACHED
        assert dict(again.every) == pytest.approx(dict(first.every), abs=1e-7), steps


@pytest.mark.parametrize("name", CARDS)
def test_a_pose_keeps_its_holds_and_its_panels_together(name: str) -> None:
    make, holds = CARDS[name]
    pose = posed(make(), holds)
    keys = held_keys(pose.assembly, holds)
    assert pose.folded.held == frozenset(keys)
    assert {key: pose.folded.turned[key] for key in keys} == keys
    assert max(gaps_of(pose)) <= 1e-6
    # The panels in space are as far apart in angle as the folds say.
    for label, between in angles_between_panels(pose).items():
        assert between == pytest.approx(abs(pose.every[label]), abs=1e-6), label
    # The way ends in the pose, and its shares grow.
    shares = [point.share for point in pose.folded.way]
    assert shares == sorted(shares)
    assert pose.folded.way[-1].turned == pose.folded.turned


@pytest.mark.parametrize("name", CARDS)
def test_a_pose_is_the_nearest_to_one_common_share(name: str) -> None:
    """No closing pose close by has a smaller sum of squares: tried along its free motions."""
    make, holds = CARDS[name]
    pose = posed(make(), holds)
    linkage = linkage_of(pose.assembly)
    share = pose.folded.share
    target = np.degrees(linkage.closed) * share
    turned = np.array([pose.folded.turned[key] for key in linkage.hinges])
    free = freedom_in(pose, list(holds))
    assert share == pytest.approx(
        np.mean([d / math.degrees(linkage.closed[linkage.column[key]])
                 for key, d in held_keys(pose.assembly, holds).items()])
    )  # fmt: skip
    here = float(((turned - target) ** 2).sum())
    labels = {key: label for label, key in hinge_keys(pose.assembly).items()}
    # One fold for each freedom is enough to lead out of the pose in every way.
    for key in free.holding:
        label = labels[key]
        for nudge in (-1.0, 1.0):
            other = posed(pose.assembly, {**holds, label: pose.folded.turned[key] + nudge})
            if other.outcome is Outcome.REACHED:
                there = np.array([other.folded.turned[key] for key in linkage.hinges])
                assert float(((there - target) ** 2).sum()) > here - 1e-6


# The same card, told otherwise.


@pytest.mark.parametrize("name", CARDS)
def test_a_mirrored_card_folds_into_the_mirrored_pose(name: str) -> None:
    make, holds = CARDS[name]
    assembly = make()
    sample = Sample(
        pieces=tuple(division.piece for division in assembly.divisions.values()),
        joints=tuple(joint.joint for joint in assembly.joints),
    )
    pose = posed(assembly, holds)
    mirror = posed(mirrored_sample(sample).assembly, holds)
    # Hinges along a fold keep their order; each fold turns as before.
    assert dict(mirror.every) == pytest.approx(dict(pose.every), abs=1e-7)


def moved(piece: Piece) -> Piece:
    """A quarter turn and a step aside, by exact numbers."""
    turned = mirrored(piece)
    return _swapped(turned)


def _swapped(piece: Piece) -> Piece:
    # A mirror in the line x = y after one in the y axis makes a quarter turn.
    def path(old: Path) -> Path:
        return Path(
            tuple(Vertex(Point(v.at.y + 7, v.at.x - 3), -v.bulge) for v in old.vertices), old.closed
        )

    def closed(old: Path) -> Path:
        return Path(tuple(reversed(path(old).vertices)), closed=True)

    return replace(
        piece,
        outline=closed(piece.outline),
        slits=tuple(replace(slit, path=path(slit.path)) for slit in piece.slits),
        folds=tuple(replace(one, path=path(one.path)) for one in piece.folds),
    )


@pytest.mark.parametrize("name", ["a vertex", "a vertex of six", "a map", "a stair held askew"])
def test_a_card_that_lies_otherwise_or_is_told_in_another_order_folds_alike(name: str) -> None:
    make, holds = CARDS[name]
    assembly = make()
    pose = posed(assembly, holds)
    (division,) = assembly.divisions.values()
    turned = posed(assembled(moved(division.piece)), holds)
    assert dict(turned.every) == pytest.approx(dict(pose.every), abs=1e-7)
    backward = replace(division.piece, folds=tuple(reversed(division.piece.folds)))
    again = posed(assembled(backward), holds)
    assert dict(again.every) == pytest.approx(dict(pose.every), abs=1e-7)


@pytest.mark.parametrize("size", [0.02, 40.0])
def test_a_small_and_a_large_card_fold_alike(size: float) -> None:
    holds = {"zigzag 1": 100.0}
    one = posed(assembled(miura(3, 3, 65.0)), holds)
    other = posed(assembled(miura(3, 3, 65.0, a=30.0 * size, b=25.0 * size)), holds)
    assert dict(other.every) == pytest.approx(dict(one.every), abs=1e-7)


# Ends of the range.


def test_flat_and_shut_are_told_exactly() -> None:
    for make, holds in CARDS.values():
        assembly = make()
        if assembly.joints:
            continue
        flat = posed(assembly, dict.fromkeys(holds, 0.0))
        assert flat.outcome is Outcome.REACHED
        assert list(flat.every.values()) == pytest.approx([0.0] * len(flat.every), abs=1e-7)
        if all(closing(loop).verdict is Verdict.CLOSES for loop in loops_of(assembly)):
            shut = posed(assembly, dict.fromkeys(holds, 180.0))
            assert shut.outcome is Outcome.REACHED
            assert list(shut.every.values()) == pytest.approx([180.0] * len(shut.every), abs=1e-7)


def test_a_fold_that_is_flat_when_closed_may_be_held_turned() -> None:
    strip = assembled(accordion([20, 30, 20, 25], angles=[180, 0, 90]))
    pose = posed(strip, {"fold 2": 35.0, "fold 1": 90.0})
    # Folds in no loop follow the common share, here that of the one hold that has one.
    assert dict(pose.every) == pytest.approx({"fold 1": 90.0, "fold 2": 35.0, "fold 3": 45.0})
    assert pose.folded.share == pytest.approx(0.5)


def test_nothing_held_is_half_way() -> None:
    pose = posed(assembled(accordion([20, 30, 20])), {})
    assert dict(pose.every) == {"fold 1": 90.0, "fold 2": 90.0}
    vertex_pose = posed(assembled(vertex4(60, 100, "A")), {})
    assert vertex_pose.outcome is Outcome.REACHED
    assert vertex_pose.folded.held == frozenset()


def test_a_piece_without_folds_is_a_pose_of_its_own() -> None:
    pose = posed(assembled(bare()), {})
    assert pose.outcome is Outcome.REACHED
    assert len(pose.folded.placed) == 1


def test_pieces_that_nothing_joins_are_folded_each_by_itself() -> None:
    pose = posed(apart().assembly, {"gutter": 70.0, "fold 1": 20.0})
    assert pose.outcome is Outcome.REACHED
    assert pose.every["fold 1"] == 20.0
    assert max(gaps_of(pose)) <= 1e-6
    # The stair keeps to its own law, not to the common share of both pieces.
    rest = [degrees for label, degrees in pose.every.items() if label != "fold 1"]
    assert pose.folded.share == 0.25
    assert rest == pytest.approx([70.0] * 4, abs=1e-7)
    assert {key[0] for key in pose.folded.placed} == {"base", "loose"}


# What cannot be.


@pytest.mark.parametrize("held", [1.0, 30.0, 90.0, 150.0])
def test_three_folds_at_a_vertex_are_locked(held: float) -> None:
    """N - 3 freedoms: three folds of a flat sheet that meet cannot turn at all."""
    pose = posed(assembled(vertex((110, 120), (V, V, M))), {"crease 1": held})
    assert pose.outcome is Outcome.STRAINED
    assert pose.turned("crease 1") == held
    assert pose.folded.gap_mm > 0.01
    assert pose.folded.worst is not None
    assert pose.folded.gap_mm == pytest.approx(pose.folded.worst.mm)


def test_an_odd_number_of_half_turns_is_never_a_pose() -> None:
    """Three folds shut leave a half turn over, whose sine is nothing."""
    pose = posed(assembled(vertex((110, 120), (V, V, M))), {f"crease {k}": 180 for k in (1, 2, 3)})
    assert pose.outcome is not Outcome.REACHED
    crossed = posed(
        assembled(vertex((90, 90, 90), (V, V, V, M))), {"crease 1": 180.0, "crease 3": 0.0}
    )
    assert crossed.outcome is not Outcome.REACHED


@pytest.mark.parametrize(
    ("make", "holds"),
    [
        # Opposite folds of a flat-foldable vertex turn alike.
        (lambda: assembled(vertex4(60, 100, "A")), {"crease 2": 100.0, "crease 4": 80.0}),
        # Every fold of a parallelogram turns like the gutter.
        (lambda: parallel_box(30, 50).assembly, {"gutter": 90.0, "ridge": 70.0}),
        (lambda: assembled(stair([30], [40])), {"gutter": 90.0, "steps 2": 100.0}),
        # Neighbours of a tube add to two right angles.
        (lambda: tube().assembly, {"edge 1": 90.0, "edge 2": 120.0}),
        (lambda: assembled(square_grid(3)), {"upright 1": 90.0, "upright 2": 60.0}),
    ],
)
def test_holds_that_contradict_each_other_strain(
    make: Callable[[], Assembly], holds: dict[str, float]
) -> None:
    pose = posed(make(), holds, steps=6)
    assert pose.outcome is Outcome.STRAINED
    assert pose.folded.gap_mm > 0.1
    keys = held_keys(pose.assembly, holds)
    assert {key: pose.folded.turned[key] for key in keys} == keys
    # The gap that is told is one that the panels show.
    assert max(gaps_of(pose)) > 0.01
    assert pose.folded.worst is not None
    assert pose.folded.bends is None


def test_a_step_whose_parts_do_not_reach_is_strained_from_where_they_stop_reaching() -> None:
    """Glued at 40 and 40, parts of 30 each: they span 60, so no opening above 97.18 degrees."""
    most = 2.0 * math.degrees(math.asin(30.0 / 40.0))
    sample = parallel_box(40, 40, 30, 30, angles=_four_bar_turns(40, 40, 30, 30, 60.0))
    for opening, outcome in (
        (most - 0.5, Outcome.REACHED),
        (most + 0.5, Outcome.STRAINED),
        (150.0, Outcome.STRAINED),
        (180.0, Outcome.STRAINED),
    ):
        pose = posed(sample.assembly, {"gutter": 180.0 - opening}, steps=6)
        assert pose.outcome is outcome, opening
    # Flat open, 80 between the glue lines and 60 of paper: 20 mm are missing.
    assert 5.0 < pose.folded.gap_mm <= 20.0 + 1e-6


def _four_bar_turns(a: float, d: float, b: float, c: float, opening: float) -> list[float]:
    # Symmetrical: the diagonal's triangles have two equal sides each.
    assert (a, b) == (d, c)
    across = 2.0 * a * math.sin(math.radians(opening / 2.0))
    top = 2.0 * math.degrees(math.asin(across / 2.0 / b))
    foot = 180.0 - (180.0 - opening) / 2.0 - (180.0 - top) / 2.0
    return [180.0 - opening, 180.0 - foot, 180.0 - top, 180.0 - foot]


def test_no_ridge_of_a_v_fold_is_held_flatter_than_the_open_card_leaves_it() -> None:
    """With glue lines at 30 and wings at 70 the ridge is turned 115.7 degrees or more."""
    assembly = v_fold(30, 70).assembly
    rise = math.acos(math.cos(math.radians(70)) / math.cos(math.radians(30)))
    # Open flat the glue lines stand 60 degrees apart: an isosceles triangle on the sphere.
    least = 180.0 - 2.0 * math.degrees(
        math.asin(math.sin(math.radians(30)) / math.sin(math.radians(70)))
    )
    assert 0.0 < rise < math.pi
    beyond = posed(assembly, {"ridge": least - 2.0}, steps=6)
    assert beyond.outcome is Outcome.STRAINED
    within = posed(assembly, {"ridge": least + 2.0}, steps=6)
    assert within.outcome is Outcome.REACHED
    assert within.turned("gutter") > 0.0


def test_unequal_glue_angles_never_lie_flat() -> None:
    """Left and right differ by 5 degrees: common practice has it that the wings twist."""
    assembly = v_fold(45, 60, right_al=40).assembly
    (loop,) = loops_of(assembly)
    assert closing(loop).verdict is Verdict.GAPES
    shut = posed(assembly, {"gutter": 180.0})
    if shut.outcome is Outcome.REACHED:
        # With the pages shut the wings still stand out between them.
        assert min(abs(abs(turned) - 180.0) for turned in shut.every.values()) < 1e-9
        assert max(abs(abs(turned) - 180.0) for turned in shut.every.values()) > 30.0


# Joints that give.


@pytest.mark.parametrize(("slack", "outcome"), [(0, "strained"), (2, "strained"), (25, "reached")])
def test_slack_takes_up_a_gap_and_no_more(slack: int, outcome: str) -> None:
    """Parts of 30 and 30 between places 40 and 40: open flat, 20 mm are missing in all."""
    sample = parallel_box(40, 40, 30, 30, slack=slack)
    pose = posed(sample.assembly, {"gutter": 0.0}, steps=6)
    assert pose.outcome == outcome
    assert pose.folded.gap_mm > 2.0


def test_a_step_that_misses_by_less_than_its_slack_is_reached() -> None:
    # Shut, the one part must reach from 50 to 80 and the other from 30 to 80: parts of
    # 30 and 49 reach 1 mm less.
    tight, giving = (
        parallel_box(30, 50, 50, 29, slack=slack).assembly for slack in (Fraction(1, 2), 2)
    )
    assert posed(tight, {"gutter": 180.0}).outcome is Outcome.STRAINED
    pose = posed(giving, {"gutter": 180.0})
    assert pose.outcome is Outcome.REACHED
    assert 0.1 < pose.folded.gap_mm <= 2.0


# Requests that make no sense.


def test_a_hold_of_a_hinge_that_is_not_there_is_refused() -> None:
    linkage = linkage_of(assembled(bare()))
    with pytest.raises(KeyError):
        fold_to(linkage, PoseRequest(name="no", holds={("plate", 0): 10.0}, start=Start.FLAT))


@pytest.mark.parametrize("held", [-90.0, -10.0, 180.0])
def test_a_fold_held_against_its_sense_or_shut_gives_an_exact_pose_or_a_strained_one(
    held: float,
) -> None:
    for make, holds in CARDS.values():
        pose = posed(make(), dict.fromkeys(holds, held))
        if pose.outcome is Outcome.REACHED:
            assert max(gaps_of(pose)) <= 1e-3
        else:
            assert pose.outcome is Outcome.STRAINED
            assert pose.folded.gap_mm > 1e-3


def test_a_closed_ring_of_rigid_right_angles_is_told_as_what_it_is() -> None:
    """Two crossing folds may only turn one at a time: both held is a strain."""
    cross = Piece(
        name="cross",
        outline=rectangle(100, 100),
        folds=(fold("level", (0, 50), (100, 50)), fold("upright", (50, 0), (50, 100))),
    )
    one = posed(assembled(cross), {"level": 70.0, "upright": 0.0})
    assert one.outcome is Outcome.REACHED
    both = posed(assembled(cross), {"level": 90.0, "upright": 90.0})
    assert both.outcome is Outcome.STRAINED
    # The commutator of two quarter turns turns by 120 degrees (closed form).
    assert both.folded.worst is not None
    assert both.folded.worst.turn_deg == pytest.approx(120.0, abs=1e-9)
    assert both.folded.gap_mm == pytest.approx(50.0 * math.sqrt(2.0), abs=1e-9)


@pytest.mark.parametrize("acute", [60.0, 75.0])
def test_a_way_that_bends_evenly_is_led_on_along_its_bend(acute: float) -> None:
    """Shut by one zigzag, the uprights of a map hang back and then come fast.

    Guessed along a straight line the next pose is so far off near the end that steps are halved
    and matrices factored again; a parabola through three poses leads to within reach of it.
    """
    linkage = linkage_of(assembled(miura(5, 4, acute)))
    held = np.array([linkage.column[hinge_keys(linkage.assembly)["zigzag 1#1"]]], dtype=np.intp)
    aim = Aim(begun=0.0 * linkage.closed, target=linkage.closed, held=held)
    passed = followed(linkage, aim, 24)
    assert all(one.found.closes and not one.jumped for one in passed)
    # The first one is the short step out of flat paper.
    assert len(passed) == 24 + 1
    assert sum(one.found.factorisations for one in passed) < 3 * len(passed)
