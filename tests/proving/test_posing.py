"""The poses of a proof: which there are, where their parts stand, how they are reached."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from foldwright.design import parse_design, read_design
from foldwright.design.pieces import Resolved
from foldwright.folding.poses import Outcome
from foldwright.proving import Proof, prove, prove_design
from foldwright.proving.model import PoseProof

DesignOf = Callable[[str], Resolved]

DESIGNS = Path(__file__).parents[1] / "designs"
BENCH = (DESIGNS / "parallel-box.toml").read_text(encoding="utf-8")

# Two strips of three panels that nothing joins, each folded by itself.
TWO = "".join(
    f"""
    [[piece]]
    name = "{name}"
    outline = {{ rectangle = [{width}, 20] }}
    [[piece.fold]]
    name = "{name} left"
    sense = "valley"
    points = [[30, 0], [30, 20]]
    angle = {angle}
    [[piece.fold]]
    name = "{name} right"
    sense = "mountain"
    points = [[60, 0], [60, 20]]
    angle = {angle}
    """
    for name, width, angle in (("first", 90, 180), ("second", 120, 90))
)


def called(proof: Proof, name: str) -> PoseProof:
    (found,) = [one for one in proof.poses if one.name == name]
    return found


def prove_plain(design_of: DesignOf, text: str) -> Proof:
    return prove(design_of(text), {})


def test_every_card_has_three_poses_and_then_its_own(design_of: DesignOf) -> None:
    names = [pose.name for pose in prove_plain(design_of, TWO).poses]
    assert names == ["flat", "open", "closed"]
    asked = "".join(f'[[pose]]\nname = "{name}"\nhold = {{ "first left" = 20 }}\n' for name in "ba")
    proof = prove_plain(design_of, TWO + asked)
    assert [pose.name for pose in proof.poses] == ["flat", "open", "closed", "b", "a"]
    assert [pose.asked is None for pose in proof.poses] == [True] * 3 + [False] * 2
    # No two are told apart by luck: held alike, they are alike.
    assert called(proof, "a").folded.turned == called(proof, "b").folded.turned


def test_a_proof_of_the_closed_card_alone_has_no_poses(design_of: DesignOf) -> None:
    assert prove(design_of(TWO), {}, whole=False).poses == ()


def test_lines_that_cannot_be_divided_have_no_poses(design_of: DesignOf) -> None:
    stray = '[[piece.fold]]\nname = "stray"\nsense = "valley"\npoints = [[5, 5], [9, 9]]\n'
    proof = prove_plain(design_of, TWO + stray)
    assert (proof.verdict, proof.poses) == ("unproven", ())


def test_a_pose_that_names_what_is_not_there_is_left_out_and_the_others_are_not(
    design_of: DesignOf,
) -> None:
    proof = prove_plain(
        design_of,
        TWO + '[[pose]]\nname = "bad"\nhold = { "first left#2" = 20 }\n'
        '[[pose]]\nname = "good"\nhold = { "first left" = 20 }\n',
    )
    assert [pose.name for pose in proof.poses][3:] == ["good"]
    assert "no-such-hinge" in {one.rule for one in proof.findings}


def test_what_is_not_held_turns_by_the_share_of_what_is(design_of: DesignOf) -> None:
    """60 of 180 degrees is a third, and a third of 90 is 30, on any piece."""
    pose = '[[pose]]\nname = "third"\nhold = { "first left" = 60 }\n'
    found = called(prove_plain(design_of, TWO + pose), "third")
    assert found.folded.share == pytest.approx(1 / 3)
    assert dict(found.folded.turned) == pytest.approx(
        {("first", 0): 60.0, ("first", 1): 60.0, ("second", 0): 30.0, ("second", 1): 30.0}
    )


def heights(proof: Proof, pose: PoseProof, piece: str) -> list[float]:
    return [
        pose.placed[piece, panel.index].apply(segment.start)[2]
        for panel in proof.assembly.divisions[piece].panels
        for segment in panel.ring.segments
    ]


@pytest.mark.parametrize("on", ["", 'on = ["second/panel 3", "first/panel 1"]\n'])
def test_every_part_stands_on_the_table_by_itself(design_of: DesignOf, on: str) -> None:
    pose = f'[[pose]]\nname = "up"\nhold = {{ "first left" = 90 }}\n{on}'
    proof = prove_plain(design_of, TWO + pose)
    found = called(proof, "up")
    for piece in ("first", "second"):
        assert min(heights(proof, found, piece)) == pytest.approx(0.0, abs=1e-9)
        assert max(heights(proof, found, piece)) > 20.0
    assert [one.rule for one in proof.findings if one.rule == "off-the-table"] == []
    xs = {
        piece: [
            found.placed[piece, panel.index].apply(segment.start)[0]
            for panel in proof.assembly.divisions[piece].panels
            for segment in panel.ring.segments
        ]
        for piece in ("first", "second")
    }
    assert min(xs["second"]) == pytest.approx(max(xs["first"]) + 10.0)


def test_open_is_the_first_piece_flat(design_of: DesignOf) -> None:
    proof = prove_plain(design_of, TWO)
    opened = called(proof, "open")
    assert opened.folded.held == {("first", 0), ("first", 1)}
    assert set(opened.folded.turned.values()) == {0.0}
    bench = called(prove_design(parse_design(BENCH)), "open")
    assert bench.folded.held == {("base", 0)}
    assert list(bench.folded.turned.values()) == pytest.approx([0.0] * 4, abs=1e-6)


def test_a_card_without_folds_is_the_same_in_every_pose(design_of: DesignOf) -> None:
    proof = prove_plain(design_of, '[[piece]]\nname = "tag"\noutline = { rectangle = [40, 20] }\n')
    for pose in proof.poses:
        assert pose.folded.outcome is Outcome.REACHED
        assert (dict(pose.folded.turned), pose.freedom and pose.freedom.count) == ({}, 0)
        assert np.array_equal(pose.placed["tag", 0].rows, np.eye(3))


@pytest.mark.parametrize("name", ["v-fold-popup", "parallel-box"])
def test_a_glued_card_opens_from_shut_and_closes_the_same_way_back(name: str) -> None:
    proof = prove_design(read_design(DESIGNS / f"{name}.toml"))
    way = called(proof, "closed").folded.way
    gutters = [point.turned["base", 0] for point in way]
    assert gutters == sorted(gutters)
    # Every point of it closes, at the share of the way that it says.
    assert all(point.gap_mm == 0.0 for point in way)
    assert gutters == pytest.approx([180.0 * point.share for point in way], abs=1e-6)


def test_a_part_that_lies_shut_is_counted_half_way_and_the_others_where_they_are() -> None:
    """Two benches apart from each other, the one held flat, the other at a right angle.

    A ring of four is held by any of its folds.  Flat it would seem to have a motion more.
    """
    second = BENCH[BENCH.index("[[piece]]") : BENCH.index("[[pose]]")]
    second = re.sub(r'"(base|bench)(["/])', r'"other \1\2', second)
    second = second.replace('name = "left"', 'name = "l"').replace('name = "right"', 'name = "r"')
    pose = '[[pose]]\nname = "two"\nhold = { "base/gutter" = 0, "other base/gutter" = 90 }\n'
    proof = prove_design(parse_design(BENCH + second + pose))
    found = called(proof, "two")
    turned = list(found.folded.turned.values())
    assert sorted(round(degrees, 3) + 0.0 for degrees in turned) == [0.0] * 4 + [90.0] * 4
    assert found.freedom is not None
    assert found.freedom.count == 0
