"""prove --picture --pose: the card in space, names that are not there, poses not worked out."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.design import read_design
from foldwright.pictures import svg_of
from foldwright.pictures.closed_page import closed_picture
from foldwright.pictures.closed_scene import closed_scene
from foldwright.pictures.pose_scene import scene_of
from foldwright.pictures.space_page import space_picture
from foldwright.proving import prove_design

DESIGNS = Path(__file__).parents[1] / "designs"

Run = Callable[..., Any]


@pytest.mark.parametrize("pose", ["flat", "open", "standing"])
def test_the_picture_is_that_of_the_pose(
    foldwright: Run, harbour: Path, tmp_path: Path, pose: str
) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--picture", file, "--pose", pose)
    assert ran.status == 0
    assert f"wrote {file}: the picture, in the pose {pose}" in ran.out
    proof = prove_design(read_design(harbour))
    (found,) = [one for one in proof.poses if one.name == pose]
    assert file.read_bytes() == svg_of(space_picture(scene_of(proof, found)))


def test_the_closed_card_is_drawn_from_both_sides(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--picture", file, "--pose", "closed")
    assert ran.status == 0
    assert f"wrote {file}: the picture, in the pose closed" in ran.out
    proof = prove_design(read_design(harbour))
    assert proof.closed_stack is not None
    assert file.read_bytes() == svg_of(closed_picture(closed_scene(proof, proof.closed_stack)))


def test_a_closed_card_that_does_not_lie_flat_is_drawn_in_perspective(
    foldwright: Run, tmp_path: Path
) -> None:
    file = tmp_path / "card.svg"
    foldwright("prove", DESIGNS / "glued-box.toml", "--picture", file, "--pose", "closed")
    words = file.read_text(encoding="utf-8")
    assert "Its panels do not lie in one plane, so it has no plies to show." in words
    assert "degrees above the table" in words


def test_a_closed_card_that_does_not_close_is_drawn_with_its_gaps(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright(
        "prove", harbour, "--set", "spine_y=107 mm", "--picture", file, "--pose", "closed"
    )
    assert ran.status == 1
    words = file.read_text(encoding="utf-8")
    assert "strained: it cannot close" in words
    assert "no plies to show" not in words


def test_json_names_the_file(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--json", "--picture", file, "--pose", "standing")
    assert (ran.status, ran.json["picture"]) == (0, str(file))
    assert b"Pose standing" in file.read_bytes()


def test_a_pose_alone_is_bad_usage(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--pose", "standing")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["pose-without-picture"])


def test_a_pose_of_the_pattern_is_drawn_and_one_it_lacks_is_told(
    foldwright: Run, tmp_path: Path
) -> None:
    card, file = tmp_path / "card.toml", tmp_path / "card.svg"
    foldwright("new", "side-steps", "--to", card)
    ran = foldwright("prove", card, "--picture", file, "--pose", "standing")
    assert (ran.status, b"Pose standing" in file.read_bytes()) == (0, True)
    ran = foldwright("prove", card, "--picture", file, "--pose", "standin")
    assert (ran.status, ran.rules) == (2, ["unknown-pose"])
    assert 'did you mean "standing"?' in ran.err


def test_measures_out_of_their_limits_are_told_before_a_pose(
    foldwright: Run, tmp_path: Path
) -> None:
    card = tmp_path / "card.toml"
    foldwright("new", "side-steps", "--to", card)
    options = ("--set", "steps=99", "--picture", tmp_path / "card.svg", "--pose", "standin")
    ran = foldwright("prove", card, *options)
    assert (ran.status, ran.rules) == (2, ["above-most"])


@pytest.mark.parametrize(
    ("pose", "hint"),
    [
        ("standin", 'did you mean "standing"?'),
        ("x", 'known here: "flat", "open", "closed", "standing"'),
    ],
)
def test_a_pose_that_is_not_there(
    foldwright: Run, harbour: Path, tmp_path: Path, pose: str, hint: str
) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--picture", file, "--pose", pose)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["unknown-pose"])
    assert hint in ran.err
    assert not file.exists()


def test_a_card_that_cannot_be_divided_has_no_poses(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    text = harbour.read_text(encoding="utf-8")
    fold = '[[piece.fold]]\nname = "stray"\nsense = "valley"\npoints = [[20, 60], [90, 60]]\n'
    broken = harbour.with_name("broken.toml")
    broken.write_text(text.replace("  [[piece.panel]]", f"{fold}\n  [[piece.panel]]"), "utf-8")
    file = tmp_path / "card.svg"
    ran = foldwright("prove", broken, "--picture", file, "--pose", "standing")
    assert (ran.status, ran.out) == (2, "")
    # What keeps it from being folded is told, too.
    assert {"fold-crosses-slit", "pose-not-drawn"} <= set(ran.rules)
    assert not file.exists()


def test_the_edition_that_is_shown(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--all-variants", "--picture", file, "--pose", "standing")
    assert ran.status == 0
    assert f"wrote {file}: the picture of the design as it is, in the pose standing\n" in ran.out
    ran = foldwright("prove", harbour, "--variant", "inch", "--picture", file, "--pose", "open")
    assert b"Harbour steps, inch" in file.read_bytes()
