"""Poses that a search may get wrong: each case here once gave a wrong number, or could."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares

from foldwright.design.pieces import Face, PanelName, Piece
from foldwright.folding.closure import residual
from foldwright.folding.freedom import freedom
from foldwright.folding.linkage import linkage_of
from foldwright.folding.loops import Round
from foldwright.folding.poses import Outcome
from foldwright.folding.ways import way_closed
from foldwright.panels import Assembly
from tests.folding.folded_samples import (
    M,
    Sample,
    V,
    assembled,
    at,
    box_between_slits,
    fold,
    glued,
    miura,
    rectangle,
    stair,
    v_fold,
    vertex,
)
from tests.folding.posing import Array, posed


def test_half_a_turn_left_over_is_no_closed_loop() -> None:
    """One crease shut and the others flat: the paper is cut by no slit, so that cannot be."""
    linkage = linkage_of(assembled(vertex((90, 90, 90), (V, V, V, V))))
    left = residual(linkage, np.radians([180.0, 0.0, 0.0, 0.0]))
    assert float(np.abs(left).max()) * linkage.size == pytest.approx(
        2.0 * float(linkage.rounds[0].reach[0])
    )


@pytest.mark.parametrize("right_al", [40.0, 44.0, 46.0, 47.0, 48.0, 50.0, 55.0])
def test_a_v_fold_of_unequal_glue_angles_stands_on_the_open_card(right_al: float) -> None:
    """Both wings are at 60 degrees to the ridge, and their feet at 45 and at another angle.

    With the card open flat the three lines at the apex are the corners of a spherical
    triangle of sides 60, 60 and the sum of both angles, so that the law of cosines
    gives the ridge.
    """
    base, wing = math.radians(45.0 + right_al), math.radians(60.0)
    between = math.acos((math.cos(base) - math.cos(wing) ** 2) / math.sin(wing) ** 2)
    pose = posed(v_fold(45.0, 60.0, right_al=right_al).assembly, {"gutter": 0.0})
    assert pose.outcome is Outcome.REACHED
    assert pose.turned("ridge") == pytest.approx(180.0 - math.degrees(between), abs=1e-7)


# Several poses close: which one is meant.  `m` and `v` are the creases' senses.


def six_or_eight(sectors: list[float], senses: str) -> Assembly:
    return assembled(vertex(sectors[:-1], [M if one == "m" else V for one in senses]))


@pytest.mark.parametrize(
    ("sectors", "senses", "held"),
    [
        ([45, 75, 15, 30, 120, 75], "mvvvvm", 3),
        ([15, 45, 45, 105, 120, 30], "vvmmvv", 6),
        ([30, 15, 135, 150, 15, 15], "vvmmvv", 1),
        ([15, 150, 120, 15, 45, 15], "vvmvvm", 1),
        ([45, 75, 30, 15, 15, 30, 90, 60], "vmmvvvvm", 4),
        ([120, 90, 60, 90], "vmvv", 1),
    ],
)
def test_of_a_crease_held_shut_the_shut_paper_is_the_nearest_pose(
    sectors: list[float], senses: str, held: int
) -> None:
    """By Kawasaki's theorem the paper lies flat with all creases shut, and nothing is nearer."""
    pose = posed(six_or_eight(sectors, senses), {f"crease {held}": 180.0})
    assert pose.outcome is Outcome.REACHED
    assert list(pose.every.values()) == pytest.approx([180.0] * len(sectors), abs=1e-7)


@pytest.mark.parametrize(
    ("sectors", "senses", "held", "degrees"),
    [
        ([75, 15, 75, 135, 30, 30], "vvmmvv", 3, 120.0),
        ([15, 120, 135, 15, 30, 45], "mvmvvv", 5, 90.0),
        ([30, 15, 45, 75, 30, 45, 75, 45], "vmvvvmmv", 6, 170.0),
        ([15, 45, 60, 30, 15, 45, 90, 60], "mmvvvvmv", 1, 170.0),
        ([45, 45, 105, 60, 30, 75], "vvvvmm", 6, 120.0),
        ([15, 30, 45, 45, 105, 15, 15, 90], "vvvmvmvm", 1, 120.0),
    ],
)
def test_no_fold_is_beyond_shut_and_none_nearer_in_its_own_sense_is_missed(
    sectors: list[float], senses: str, held: int, degrees: float
) -> None:
    """Against scipy's least squares: distance, and loops as stiff springs, within the bounds."""
    assembly = six_or_eight(sectors, senses)
    pose = posed(assembly, {f"crease {held}": degrees})
    assert pose.outcome is Outcome.REACHED
    turned = np.radians(list(pose.every.values()))
    assert np.abs(turned).max() <= np.pi + 1e-9
    linkage = linkage_of(assembly)
    target = np.full(len(turned), np.radians(degrees))
    free = np.delete(np.arange(len(turned)), held - 1)

    def pulled(some: Array, springs: float) -> Array:
        whole = target.copy()
        whole[free] = some
        return np.concatenate([springs * residual(linkage, whole), whole[free] - target[free]])

    some = np.clip(target[free], 0.01, np.pi - 0.01)
    for springs in (3.0, 30.0, 1e3, 1e5):
        asked = lambda angles, springs=springs: pulled(angles, springs)  # noqa: E731
        some = least_squares(asked, some, bounds=(0.0, np.pi), xtol=1e-14, ftol=1e-14).x
    nearest = np.linalg.norm(some - target[free])
    closes = np.abs(pulled(some, 1.0)[: linkage.height]).max() < 1e-6
    if closes and turned.min() < -1e-7:
        pytest.fail(f"every fold in its own sense: {np.degrees(some)}")
    if closes:
        assert np.linalg.norm(turned - target) <= nearest + 1e-4


@pytest.mark.parametrize("steps", [2, 3, 5, 24, 100])
def test_a_pose_at_shut_paper_does_not_depend_on_the_steps_to_it(steps: int) -> None:
    """Loops of all but shut paper are open only by the square of what is missing."""
    assembly = assembled(vertex((45, 110, 135), (M, V, V, V)))
    pose = posed(assembly, {"crease 4": 180.0}, steps=steps)
    assert pose.outcome is Outcome.REACHED
    assert list(pose.every.values()) == pytest.approx([180.0] * 4, abs=1e-7)


# Joints that give, beside loops that do not.


def strip_over_a_step(first: int, second: int, slack: float) -> Sample:
    """A card with a step between slits, and a strip glued across its gutter at 20 and 30 mm."""
    base = replace(
        box_between_slits(),
        panel_names=(PanelName(name="low", at=at(1, 1)), PanelName(name="high", at=at(1, 199))),
    )
    places = (10, 10 + first, 10 + first + second)
    end = places[-1] + 10
    strip = Piece(
        name="strip",
        outline=rectangle(40, end),
        folds=tuple(
            fold(f"strip {k + 1}", (0, y), (40, y), sense=M if k == 1 else V)
            for k, y in enumerate(places)
        ),
        panel_names=(PanelName(name="foot", at=at(1, 1)), PanelName(name="top", at=at(1, end - 1))),
    )
    back, front = Face.BACK, Face.FRONT
    ends = ((0, places[0]), (40, places[0])), ((0, places[2]), (40, places[2]))
    joints = (
        glued("a", ("strip", "foot", back, *ends[0]), ("base", "low", front, (5, 80), (45, 80))),
        glued(
            "b",
            ("strip", "top", back, *ends[1]),
            ("base", "high", front, (5, 130), (45, 130)),
            slack=slack,
        ),
    )
    return Sample(pieces=(base, strip), joints=joints)


@pytest.mark.parametrize("gutter", [0.0, 20.0, 60.0])
def test_a_joint_takes_up_what_it_may_and_the_paper_around_stays_whole(gutter: float) -> None:
    """Parts of 20 and 20 mm between places 20 and 30 mm from the gutter.

    The places are sqrt(20² + 30² + 2 · 20 · 30 cos gutter) apart by the law of cosines.
    """
    apart = math.sqrt(20**2 + 30**2 + 2 * 20 * 30 * math.cos(math.radians(gutter)))
    sample = strip_over_a_step(20, 20, 15)
    pose = posed(sample.assembly, {"left gutter": gutter})
    assert pose.outcome is Outcome.REACHED
    # Least squares share it between a displacement and a little of a turn.
    assert apart - 40.0 - 1e-6 <= pose.folded.gap_mm <= 1.05 * (apart - 40.0)
    tight = posed(strip_over_a_step(20, 20, 1).assembly, {"left gutter": gutter})
    assert tight.outcome is Outcome.STRAINED


def test_slack_of_one_joint_hides_no_gap_of_another_loop() -> None:
    """The step's own folds contradict each other: with the gutter flat its top cannot be turned."""
    pose = posed(
        strip_over_a_step(20, 20, 15).assembly, {"left gutter": 0.0, "top": 0.3, "ridge": 0.0}
    )
    assert pose.outcome is Outcome.STRAINED
    assert pose.folded.worst is not None
    assert pose.folded.worst.loop.round is Round.CLUSTER


# The way to the closed card.


@pytest.mark.parametrize("side", [2, 3, 4])
def test_a_map_of_almost_square_parallelograms_closes_rigidly(side: int) -> None:
    """Its zigzags turn 57 times as fast as its uprights at first: tan(u/2) = cos(89) tan(z/2)."""
    assert way_closed(linkage_of(assembled(miura(side, side, 89.0)))).bends is None


# Freedom of large parts.


@pytest.mark.parametrize("steps", [110, 150])
def test_a_long_stair_has_two_n_less_one_freedoms_too(steps: int) -> None:
    """Very many motions of one loop of more than 200 folds."""
    linkage = linkage_of(assembled(stair([10] * steps, [12] * steps)))
    turned = np.full(len(linkage.hinges), math.pi / 2.0)
    assert freedom(linkage, turned, np.zeros(0, dtype=np.intp)).count == 2 * steps - 1
    gutter = np.array([len(turned) - 1])
    assert freedom(linkage, turned, gutter).count == 2 * steps - 2
