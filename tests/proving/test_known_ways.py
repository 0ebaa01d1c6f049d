"""Poses that lie on a way that is known are reached along it, and are those reached by themselves.

Ways: closed forms where a card is a band of parallel folds, the search by itself elsewhere.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from foldwright.design import read_design, resolve
from foldwright.folding import loops_of
from foldwright.folding.closure import linearised
from foldwright.folding.linkage import linkage_of
from foldwright.folding.poses import PoseRequest, Start, fold_to
from foldwright.folding.skeleton import skeleton_of
from foldwright.panels import assemble, divide
from foldwright.proving import prove_design
from foldwright.stacking.paper import paper_of, poses_of, poses_turned

DESIGNS = Path(__file__).parents[1] / "designs"
ON_THE_WAY = ("harbour-steps", "parallel-box", "v-fold-popup")


@pytest.mark.parametrize("name", ON_THE_WAY)
def test_a_pose_on_a_known_way_is_the_one_reached_by_itself(name: str) -> None:
    proof = prove_design(read_design(DESIGNS / f"{name}.toml"))
    pose = next(one for one in proof.poses if one.asked is not None)
    loops = tuple(loops_of(proof.assembly))
    held = {key: pose.folded.turned[key] for key in pose.folded.held}
    start = Start.CLOSED if proof.assembly.joints else Start.FLAT
    alone = fold_to(
        linkage_of(proof.assembly, loops), PoseRequest(name="alone", holds=held, start=start)
    )
    assert pose.folded.turned == pytest.approx(dict(alone.turned), abs=1e-7)
    # It has half of the 24 poses of the known way, alone it has a way of its own.
    assert len(pose.folded.way) < 14 < len(alone.way)
    shares = [one.share for one in pose.folded.way]
    assert shares == sorted(set(shares))
    assert shares[-1] == 1.0
    linkage = linkage_of(proof.assembly, loops)
    for one in pose.folded.way:
        left = linearised(linkage, np.radians([*one.turned.values()])).left
        assert np.abs(left).max() < 1e-9


def test_the_way_of_a_band_to_closed_turns_all_folds_by_every_share() -> None:
    proof = prove_design(read_design(DESIGNS / "harbour-steps.toml"))
    closed = next(one for one in proof.poses if one.name == "closed")
    turned = [[*one.turned.values()] for one in closed.folded.way]
    expected = [[180.0 * step / 24] * len(turned[0]) for step in range(1, 25)]
    assert turned == [pytest.approx(one, abs=1e-7) for one in expected]


@pytest.mark.parametrize("name", ON_THE_WAY)
def test_all_poses_of_a_way_are_placed_as_each_of_them_is(name: str) -> None:
    resolved = resolve(read_design(DESIGNS / f"{name}.toml"))
    assembly = assemble({one.name: divide(one) for one in resolved.pieces}, resolved.joints)
    skeleton, paper = skeleton_of(assembly), paper_of(assembly, ())
    proof = prove_design(read_design(DESIGNS / f"{name}.toml"))
    way = next(one for one in proof.poses if one.name == "closed").folded.way
    every = poses_turned(paper, skeleton, [one.turned for one in way])
    each = poses_of(paper, [one.placed for one in way])
    assert np.abs(every.rows - each.rows).max() < 1e-12
    assert np.abs(every.shift - each.shift).max() < 1e-10
    assert every.loose == pytest.approx(each.loose, abs=1e-10)
