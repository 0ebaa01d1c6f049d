"""In how many ways a card can still move: counts from the mobility of linkages, and the traps."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from foldwright.design import read_design
from foldwright.design.pieces import Sense
from foldwright.folding.linkage import linkage_of
from foldwright.folding.poses import Outcome
from foldwright.panels import Assembly
from foldwright.proving import prove_design
from tests.folding.folded_samples import (
    M,
    Sample,
    V,
    accordion,
    apart,
    assembled,
    bare,
    box_between_slits,
    easel,
    miura,
    parallel_box,
    square_grid,
    square_twist,
    stair,
    strut,
    tube,
    v_fold,
    vertex,
    vertex4,
)
from tests.folding.posing import Posed, TouchText, freedom_in, hinge_keys, moving, posed

DESIGNS = Path(__file__).parents[1] / "designs"
PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "folding.toml").read_text(encoding="utf-8")
)

Array = NDArray[np.float64]


def half_way(assembly: Assembly, name: str, degrees: float = 90.0) -> Posed:
    """A pose well away from flat and from shut."""
    pose = posed(assembly, {name: degrees})
    assert pose.outcome is Outcome.REACHED
    return pose


def rank_at_a_vertex(directions: Sequence[float], turns: Sequence[float]) -> int:
    """The rank of the axes of a vertex, each where the folds before it have carried it."""
    carried, axes = np.eye(3), []
    for direction, turn in zip(directions, turns, strict=True):
        x, y = math.cos(math.radians(direction)), math.sin(math.radians(direction))
        axes.append(carried @ np.array([x, y, 0.0]))
        cross = np.array([[0.0, 0.0, y], [0.0, 0.0, -x], [-y, x, 0.0]])
        angle = math.radians(turn)
        carried = carried @ (
            np.eye(3) + math.sin(angle) * cross + (1.0 - math.cos(angle)) * cross @ cross
        )
    return int(np.linalg.matrix_rank(np.array(axes), tol=1e-9))


# Stairs.


@pytest.mark.parametrize("steps", [1, 2, 3, 4, 5, 8, 13])
def test_a_stair_of_n_steps_has_two_n_less_one_freedoms(steps: int) -> None:
    """The mobility of a ring of parallel folds (Kutzbach and Gruebler, from memory)."""
    treads, risers = [20 + k for k in range(steps)], [30 - k for k in range(steps)]
    pose = half_way(assembled(stair(treads, risers)), "gutter", 80.0)
    loose = freedom_in(pose)
    assert loose.count == 2 * steps - 1
    assert loose.count == PUBLISHED["mobility"]["stairs"].get(str(steps), 2 * steps - 1)
    assert moving(pose, loose) == set(pose.every)
    assert len(loose.holding) == loose.count
    held = freedom_in(pose, ["gutter"])
    assert held.count == 2 * steps - 2
    assert moving(pose, held) == (set(pose.every) - {"gutter"} if steps > 1 else set())
    assert len(held.holding) == held.count


def test_what_would_hold_a_stair_holds_it() -> None:
    pose = half_way(assembled(stair([30, 30, 30], [35, 35, 35])), "gutter", 80.0)
    held = freedom_in(pose, ["gutter"])
    names = {key: label for label, key in hinge_keys(pose.assembly).items()}
    stops = [names[key] for key in held.holding]
    assert freedom_in(pose, ["gutter", *stops]).count == 0
    # No smaller set of them does.
    for stop in stops:
        rest = [other for other in stops if other != stop]
        assert freedom_in(pose, ["gutter", *rest]).count == 1


def test_a_box_between_two_slits_moves_in_one_way() -> None:
    """Two slits, two loops of four parallel folds that share three: 5 folds, rank 4."""
    pose = half_way(assembled(box_between_slits()), "ridge")
    assert freedom_in(pose).count == 1
    assert freedom_in(pose, ["left gutter"]).count == 0


# Vertices and grids.


@pytest.mark.parametrize("folds", [4, 5, 6, 7, 9])
def test_n_folds_at_a_vertex_leave_n_less_three_freedoms(folds: int) -> None:
    """Three numbers tell a rotation; n turns have to make the identity."""
    sectors = [360.0 / folds * (1.0 + 0.1 * math.sin(k)) for k in range(folds - 1)]
    senses = [V if k % 3 else M for k in range(folds)]
    assembly = assembled(vertex(sectors, senses))
    pose = posed(assembly, {"crease 1": 50.0})
    assert pose.outcome is Outcome.REACHED
    assert freedom_in(pose).count == folds - 3
    assert freedom_in(pose, ["crease 1"]).count == folds - 4


@pytest.mark.parametrize("side", [2, 5])
@pytest.mark.parametrize("upright", [10.0, 90.0, 170.0])
def test_a_grid_of_four_fold_vertices_has_one_freedom(side: int, upright: float) -> None:
    """A flat-foldable quadrilateral mesh moves in one way (Tachi 2009, from memory)."""
    pose = half_way(assembled(square_grid(side)), "upright 1", upright)
    loose = freedom_in(pose)
    assert loose.count == 1
    assert moving(pose, loose) == set(pose.every)
    assert freedom_in(pose, ["zigzag 1#1"]).count == 0


def test_the_rank_at_flat_is_a_trap() -> None:
    """Flat, all axes of a vertex lie in one plane: rank 2, and a freedom that is none."""
    directions, flat = [0.0, 60.0, 160.0, 280.0], [0.0] * 4
    assert rank_at_a_vertex(directions, flat) == 2
    assembly = assembled(vertex4(60, 100, "A"))
    linkage = linkage_of(assembly)
    at_flat = Posed(folded=posed(assembly, {"crease 2": 0}).folded, assembly=assembly)
    if at_flat.folded.turned:
        assert freedom_in(at_flat).count == 2
    pose = half_way(assembly, "crease 2", 90.0)
    turns = [
        pose.turned(f"crease {k + 1}") * (1 if fold.senses[0] is Sense.VALLEY else -1)
        for k, fold in enumerate(assembly.divisions["sheet"].piece.folds)
    ]
    assert rank_at_a_vertex(directions, turns) == 3
    assert freedom_in(pose).count == len(linkage.hinges) - 3


def test_the_rank_at_closed_is_a_trap() -> None:
    """Shut, all axes lie in one plane again."""
    directions, shut = [0.0, 60.0, 160.0, 280.0], [180.0] * 4
    assert rank_at_a_vertex(directions, shut) == 2
    assert freedom_in(half_way(assembled(vertex4(60, 100, "A")), "crease 2", 179.0)).count == 1
    for sample in (v_fold(), parallel_box(30, 50)):
        assert freedom_in(half_way(sample.assembly, "gutter", 90.0)).count == 1
        assert freedom_in(half_way(sample.assembly, "gutter", 179.0)).count == 1


# Glued cards.


@pytest.mark.parametrize(
    ("sample", "name"),
    [
        (v_fold(), "gutter"),
        (v_fold(30, 70), "ridge"),
        (parallel_box(30, 50), "gutter"),
        (tube(), "edge 2"),
    ],
)
def test_a_glued_ring_of_four_moves_in_one_way_and_is_held_by_any_fold(
    sample: Sample, name: str
) -> None:
    # No ridge of the second V-fold is turned by less than 115.7 degrees.
    pose = half_way(sample.assembly, name, 75.0 if name != "ridge" else 140.0)
    loose = freedom_in(pose)
    assert loose.count == 1
    assert moving(pose, loose) == set(pose.every)
    for label in pose.every:
        held = freedom_in(pose, [label])
        assert (held.count, held.moving) == (0, ())


def test_an_easel_is_held_by_what_it_stands_against() -> None:
    assembly = easel().assembly
    stop: tuple[TouchText, ...] = (("outer half", (0, 210), (75, 210), "floor", (0, 30), (75, 30)),)
    free = posed(assembly, {"hinge": 120.0})
    assert freedom_in(free).count == 2
    assert freedom_in(free, ["hinge"]).count == 1
    assert moving(free, freedom_in(free, ["hinge"])) == {"middle"}
    stands = posed(assembly, {}, touches=stop)
    assert stands.outcome is Outcome.REACHED
    assert freedom_in(stands, touches=stop).count == 0


def test_the_proof_of_an_easel_counts_its_stop() -> None:
    proof = prove_design(read_design(DESIGNS / "easel.toml"))
    (stands,) = [pose for pose in proof.poses if pose.name == "standing"]
    assert stands.freedom is not None
    assert stands.freedom.count == 0
    assert [finding.rule for finding in proof.findings if finding.rule == "floppy"] == []


def test_a_box_closed_at_right_angles_is_counted_where_it_is() -> None:
    """All its folds are at 90 degrees, so nothing of it is singular; half way it has no pose."""
    proof = prove_design(read_design(DESIGNS / "glued-box.toml"))
    (closed,) = [pose for pose in proof.poses if pose.name == "closed"]
    assert closed.freedom is not None
    assert closed.freedom.count == 1
    assert len(closed.freedom.moving) == 4


def test_folds_in_no_loop_each_move_by_themselves() -> None:
    pose = posed(assembled(accordion([20] * 7)), {"fold 1": 30.0})
    loose = freedom_in(pose)
    assert loose.count == 6
    assert moving(pose, loose) == set(pose.every)
    held = freedom_in(pose, ["fold 2", "fold 5"])
    assert held.count == 4
    assert moving(pose, held) == {"fold 1", "fold 3", "fold 4", "fold 6"}
    swings = posed(strut().assembly, {"pivot": 20.0})
    assert freedom_in(swings).count == 1
    assert freedom_in(swings, ["pivot"]).count == 0


def test_pieces_that_nothing_joins_move_apart_from_each_other() -> None:
    # One step on its own, and a strip with one fold.
    pose = posed(apart().assembly, {"gutter": 60.0})
    loose = freedom_in(pose)
    assert loose.count == 2
    assert moving(pose, freedom_in(pose, ["gutter"])) == {"fold 1"}


def test_a_piece_without_folds_does_not_move() -> None:
    pose = posed(assembled(bare()), {})
    assert freedom_in(pose).count == 0


# Twists.


def test_a_twist_with_agreeing_multipliers_moves_in_one_way() -> None:
    """The 12 folds and 4 vertices of a square twist: 12 - 12 by count, one in truth."""
    pose = half_way(assembled(square_twist(30, senses=(M, M, V, V))), "side 1", 70.0)
    assert freedom_in(pose).count == 1


@pytest.mark.parametrize("zigzag", [30.0, 120.0])
def test_a_map_of_many_vertices_has_more_conditions_than_folds_and_moves_all_the_same(
    zigzag: float,
) -> None:
    assembly = assembled(miura(7, 7, 65.0))
    pose = half_way(assembly, "zigzag 1", zigzag)
    vertices = 6 * 6
    assert len(pose.every) < 3 * vertices
    assert freedom_in(pose).count == 1
