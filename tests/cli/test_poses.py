"""Poses as a user meets them: the keys of the JSON, the matrices in it, the table, the statuses."""

from __future__ import annotations

import itertools
import json
import math
from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from foldwright.design import read_design
from foldwright.panels import Assembly
from foldwright.proving import prove_design
from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]
Array = NDArray[np.float64]

DESIGNS = Path(__file__).parents[1] / "designs"

# The keys of the interface first: these stay, more may be added.
MATRIX = [[NUMBER]]
GAP = {
    "around": str,
    "piece": str,
    "fold": str,
    "at": [NUMBER],
    "gap_mm": NUMBER,
    "turn_deg": NUMBER,
}
CLASH = {"panels": [str], "at": [NUMBER], "length_mm": NUMBER}
POSE = {
    "name": str,
    "reached": bool,
    "gap_mm": Maybe(NUMBER),
    "folds": dict,
    "stands": Maybe(bool),
    "margin_mm": Maybe(NUMBER),
    "tip_deg": Maybe(NUMBER),
    "floppy": Maybe(int),
    "panels": [{"name": str, "matrix": MATRIX}],
    "outcome": {"reached", "strained", "not converged"},
    "gap": Maybe(GAP),
    "untouched": Maybe({"touch": str, "gap_mm": NUMBER}),
    "share": NUMBER,
    "held": [str],
    "moving": [str],
    "bends": Maybe({**GAP, "share": NUMBER}),
    "clashes": [CLASH],
    "clashes_on_way": [{**CLASH, "share": NUMBER}],
    "order": Maybe([[str]]),
    "contacts": [{"edge": str, "face": str, "start": [NUMBER], "end": [NUMBER]}],
    "on": [str],
    "view_deg": NUMBER,
}
FOLD = {"sense": {"mountain", "valley"}, "degrees": NUMBER}

# Half of the last decimal that is printed, over the largest place of these cards.
PRINTED = 5e-7 * 300

NAMES = (
    "harbour-steps",
    "v-fold-popup",
    "easel",
    "strut",
    "glued-box",
    "parallel-box",
    "square-twist",
    "everything",
)


@cache
def assembly_of(name: str) -> Assembly:
    return prove_design(read_design(DESIGNS / f"{name}.toml")).assembly


@pytest.fixture(scope="module")
def answers() -> Callable[[str], Any]:
    """What `prove --json` answers for a design that ships with the tests."""
    import contextlib
    import io

    from foldwright.cli import main

    @cache
    def answer(name: str) -> Any:
        out = io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
            main(["prove", str(DESIGNS / f"{name}.toml"), "--json"])
        return json.loads(out.getvalue())

    return answer


def pose_in(answer: Any, name: str) -> Any:
    (found,) = [pose for pose in answer["poses"] if pose["name"] == name]
    return found


def matrices(pose: Any) -> Mapping[str, Array]:
    return {panel["name"]: np.array(panel["matrix"], dtype=float) for panel in pose["panels"]}


def moved(matrix: Array, x: float, y: float) -> Array:
    """Where a place of the flat paper is."""
    found: Array = matrix @ (x, y, 0.0, 1.0)
    return found


def corners(pose: Any, assembly: Assembly, piece: str | None = None) -> Array:
    """The corners of all panels, or of those of one piece."""
    placed = matrices(pose)
    return np.array(
        [
            moved(placed[f"{name}/{panel.name}"], *segment.start.floats())
            for name, division in assembly.divisions.items()
            if piece in (None, name)
            for panel in division.panels
            for segment in panel.ring.segments
        ]
    )


def degrees(pose: Any) -> dict[str, float]:
    return {name: fold["degrees"] for name, fold in pose["folds"].items()}


def every_pose(answers: Callable[[str], Any]) -> Iterator[tuple[str, Any]]:
    for name in NAMES:
        for pose in answers(name)["poses"]:
            yield name, pose


# What holds of every pose


@pytest.mark.parametrize("name", NAMES)
def test_the_keys_of_a_pose(answers: Callable[[str], Any], name: str) -> None:
    answer = answers(name)
    assert fits(answer["poses"], [POSE])
    assert all(fits(fold, FOLD) for pose in answer["poses"] for fold in pose["folds"].values())
    assert [pose["name"] for pose in answer["poses"][:3]] == ["flat", "open", "closed"]
    assert len(answer["poses"]) > 3
    assembly = assembly_of(name)
    hinges = sum(len(division.hinges) for division in assembly.divisions.values())
    panels = sum(len(division.panels) for division in assembly.divisions.values())
    for pose in answer["poses"]:
        assert (len(pose["folds"]), len(pose["panels"])) == (hinges, panels)
        assert set(pose["held"]) <= set(pose["folds"])


def test_a_matrix_is_three_rows_of_four_and_moves_without_bending(
    answers: Callable[[str], Any],
) -> None:
    for name, pose in every_pose(answers):
        for panel, matrix in matrices(pose).items():
            where = name, pose["name"], panel
            assert matrix.shape == (3, 4), where
            turn = matrix[:, :3]
            assert turn @ turn.T == pytest.approx(np.eye(3), abs=5e-6), where
            # A reflection would have -1: the front would have become the back.
            assert np.linalg.det(turn) == pytest.approx(1.0, abs=5e-6), where


def test_panels_on_both_sides_of_a_fold_have_it_at_one_place(
    answers: Callable[[str], Any],
) -> None:
    for name, pose in every_pose(answers):
        if not pose["reached"]:
            continue
        placed = matrices(pose)
        for piece, division in assembly_of(name).divisions.items():
            for hinge in division.hinges:
                left, right = (
                    placed[f"{piece}/{division.panels[index].name}"]
                    for index in (hinge.left, hinge.right)
                )
                for end in (hinge.line.start, hinge.line.end):
                    apart = moved(left, *end.floats()) - moved(right, *end.floats())
                    assert np.linalg.norm(apart) <= 2 * PRINTED, (name, pose["name"], hinge.label)


def test_the_angle_of_a_fold_is_that_between_its_panels(answers: Callable[[str], Any]) -> None:
    """A valley of so many degrees lifts the one panel towards the front of the other."""
    for name, pose in every_pose(answers):
        if not pose["reached"]:
            continue
        placed = matrices(pose)
        for piece, division in assembly_of(name).divisions.items():
            for hinge in division.hinges:
                told = pose["folds"][f"{piece}/{hinge.label}"]
                left, right = (
                    placed[f"{piece}/{division.panels[index].name}"][:, :3]
                    for index in (hinge.left, hinge.right)
                )
                (x0, y0), (x1, y1) = hinge.line.start.floats(), hinge.line.end.floats()
                axis = left @ (x1 - x0, y1 - y0, 0.0) / math.dist((x0, y0), (x1, y1))
                first, second = right[:, 2], left[:, 2]
                turn = math.degrees(
                    math.atan2(float(np.cross(first, second) @ axis), float(first @ second))
                )
                signed = told["degrees"] * (1 if told["sense"] == "valley" else -1)
                off = (turn - signed + 180.0) % 360.0 - 180.0
                assert abs(off) < 1e-3, (name, pose["name"], hinge.label)


def test_glued_lines_lie_on_each_other(answers: Callable[[str], Any]) -> None:
    seen = 0
    for name, pose in every_pose(answers):
        if not pose["reached"] or pose["name"] == "flat":
            continue
        placed = matrices(pose)
        assembly = assembly_of(name)
        for glued in assembly.joints:
            seen += 1
            first, second = (
                placed[f"{piece}/{assembly.divisions[piece].panels[index].name}"]
                for piece, index in (glued.glued, glued.to)
            )
            glue, to = glued.joint.glue, glued.joint.to
            for here, there in ((glue.start, to.start), (glue.end, to.end)):
                apart = moved(first, *here.floats()) - moved(second, *there.floats())
                assert np.linalg.norm(apart) <= 1e-3 + 2 * PRINTED, (name, pose["name"])
            # Faces that are glued lie against each other: like ones look opposite ways.
            alike = 1.0 if glue.face is to.face else -1.0
            assert first[:, 2] @ second[:, 2] == pytest.approx(-alike, abs=1e-5)
    assert seen > 20


def test_what_is_on_the_table_lies_there_and_the_card_above(
    answers: Callable[[str], Any],
) -> None:
    seen = []
    for name, pose in every_pose(answers):
        if not pose["on"]:
            continue
        seen.append(name)
        placed = matrices(pose)
        for panel in pose["on"]:
            assert placed[panel][2] == pytest.approx((0.0, 0.0, placed[panel][2, 2], 0.0), abs=1e-6)
            assert abs(placed[panel][2, 2]) == pytest.approx(1.0, abs=1e-6)
        assert corners(pose, assembly_of(name))[:, 2].min() >= -PRINTED
    assert sorted(set(seen)) == [
        "easel",
        "everything",
        "harbour-steps",
        "parallel-box",
        "v-fold-popup",
    ]


def test_without_a_panel_on_the_table_nothing_is_below_it(answers: Callable[[str], Any]) -> None:
    for name, pose in every_pose(answers):
        lowest = corners(pose, assembly_of(name))[:, 2].min()
        assert lowest >= -PRINTED, (name, pose["name"])


def test_flat_is_the_paper_as_it_is_cut(answers: Callable[[str], Any]) -> None:
    for name in NAMES:
        pose = pose_in(answers(name), "flat")
        assert set(degrees(pose).values()) <= {0.0}
        # Side by side: no two pieces overlap.
        boxes = []
        for piece in assembly_of(name).divisions:
            every = corners(pose, assembly_of(name), piece)
            assert every[:, 2] == pytest.approx(np.zeros(len(every)))
            boxes.append((every[:, 0].min(), every[:, 0].max()))
        assert all(one[1] < other[0] for one, other in itertools.pairwise(sorted(boxes)))


@pytest.mark.parametrize(
    "name", ["harbour-steps", "v-fold-popup", "parallel-box", "easel", "strut", "square-twist"]
)
def test_the_closed_card_is_as_large_as_its_closed_size(
    answers: Callable[[str], Any], name: str
) -> None:
    answer = answers(name)
    first = answer["pieces"][0]["name"]
    every = corners(pose_in(answer, "closed"), assembly_of(name), first)
    width, height, thick = every.max(axis=0) - every.min(axis=0)
    assert width == pytest.approx(answer["closed"]["width_mm"], abs=1e-4)
    assert height == pytest.approx(answer["closed"]["height_mm"], abs=1e-4)
    assert thick == pytest.approx(0.0, abs=1e-4)


def test_pieces_that_nothing_joins_stand_aside(answers: Callable[[str], Any]) -> None:
    """The label of the gate is cut along with it and glued nowhere."""
    pose = pose_in(answers("everything"), "standing")
    assembly = assembly_of("everything")
    label = corners(pose, assembly, "label")
    card = np.concatenate([corners(pose, assembly, name) for name in ("base", "box")])
    assert label[:, 0].min() == pytest.approx(card[:, 0].max() + 10.0, abs=1e-4)
    assert label[:, 2] == pytest.approx(np.zeros(len(label)))


# Cards whose poses are known


def test_a_sail_at_a_right_angle(answers: Callable[[str], Any]) -> None:
    """Spherical trigonometry at the point of the V, with al = 45 and be = 60 degrees.

    With the pages at right angles its two glue lines make an angle of 60 degrees, since
    the cosine of it is cos(al)^2 + sin(al)^2 cos(90) = 1/2: each wing and that make a
    regular tetrahedron, whose faces meet at acos(1/3).  The ridge is turned by the rest of
    180 degrees; it rises half way between the pages, at 45 degrees.  Standing open, its
    glue lines are 90 degrees apart, and the ridge is turned by the 70.529 that is acos(1/3).
    """
    answer = answers("v-fold-popup")
    standing = pose_in(answer, "standing")
    inner = math.degrees(math.acos(1.0 / 3.0))
    found = degrees(standing)
    assert standing["reached"]
    assert found["base/gutter"] == 90
    assert found["sail/ridge"] == pytest.approx(180.0 - inner, abs=1e-6)
    assert found["sail/left crease"] == found["sail/right crease"]
    assert degrees(pose_in(answer, "open"))["sail/ridge"] == pytest.approx(inner, abs=1e-6)
    wing = matrices(standing)["sail/left wing"]
    point, tip = moved(wing, 50, 10), moved(wing, 50, 70)
    # The right page lies on the table with the gutter along y, the left one stands.
    assert (tip - point) / 60.0 == pytest.approx((0.5**0.5, 0.0, 0.5**0.5), abs=2e-6)
    assert pose_in(answer, "closed")["folds"].keys() == found.keys()
    assert set(degrees(pose_in(answer, "closed")).values()) == {180.0}
    assert answer["gluing"] == [
        {"joint": "left", "while": "flat"},
        {"joint": "right", "while": "closed"},
    ]


def test_the_harbour_steps_stand_square(answers: Callable[[str], Any]) -> None:
    standing = pose_in(answers("harbour-steps"), "standing")
    assert set(degrees(standing).values()) == {90.0}
    assert (standing["share"], standing["held"]) == (0.5, ["base/gutter"])
    assert (standing["floppy"], standing["view_deg"]) == (2, 240.0)
    assert standing["moving"] == [f"base/steps {number}" for number in range(1, 6)]
    # The wall stands 105 mm high on the floor's edge.
    every = corners(standing, assembly_of("harbour-steps"))
    assert every[:, 2].max() == pytest.approx(105.0, abs=1e-4)


def test_an_easel_stands_where_the_law_of_cosines_says(answers: Callable[[str], Any]) -> None:
    """Two sides of 52.5 mm over a base of 75 mm: the halves of an isosceles triangle."""
    standing = pose_in(answers("easel"), "standing")
    half = math.degrees(math.acos(37.5 / 52.5))
    assert degrees(standing) == pytest.approx(
        {"base/hinge": 180.0 - half, "base/middle": 2.0 * half}, abs=1e-5
    )
    assert (standing["held"], standing["untouched"], standing["gap_mm"]) == ([], None, 0)


def test_a_bench_is_a_rectangle_at_a_right_angle(answers: Callable[[str], Any]) -> None:
    answer = answers("parallel-box")
    standing = pose_in(answer, "standing")
    assert set(degrees(standing).values()) == {90.0}
    bench = corners(standing, assembly_of("parallel-box"), "bench")
    assert bench[:, 2].max() == pytest.approx(40.0, abs=1e-4)  # its foot on the wall: 30 + 10
    assert [step["while"] for step in answer["gluing"]] == ["flat", "flat"]


def test_a_sleeve_is_a_parallelogram_in_every_pose(answers: Callable[[str], Any]) -> None:
    askew = pose_in(answers("glued-box"), "pushed askew")
    flat = pose_in(answers("glued-box"), "pressed flat")
    names = [f"sleeve/edge {number}" for number in range(1, 5)]
    assert [degrees(askew)[name] for name in names] == [120.0, 60.0, 120.0, 60.0]
    assert [degrees(flat)[name] for name in names] == [180.0, 0.0, 180.0, 0.0]


def test_a_twist_that_cannot_be_half_folded_says_where_it_fails(
    answers: Callable[[str], Any],
) -> None:
    answer = answers("square-twist")
    assert (answer["verdict"], answer["proven"]) == ("closes", False)
    half = pose_in(answer, "half twisted")
    assert (half["reached"], half["outcome"]) == (False, "strained")
    assert half["gap"]["gap_mm"] == half["gap_mm"] > 1.0
    assert half["gap"]["around"].startswith("the vertex at ")
    assert half["gap"]["piece"] == "twist"
    # The held folds keep the angles that they are held at.
    assert [degrees(half)[name] for name in half["held"]] == [90.0] * 4
    closed = pose_in(answer, "closed")
    assert (closed["reached"], closed["gap"], closed["floppy"]) == (True, None, None)
    assert 0.0 < closed["bends"]["share"] < 1.0


def test_a_pose_that_closes_names_no_gap(answers: Callable[[str], Any]) -> None:
    """Where it would be is up to rounding, and not the same on every machine."""
    for _, pose in every_pose(answers):
        assert (pose["gap"] is None) == (pose["reached"] and pose["gap_mm"] == 0)


# Commands


@pytest.mark.parametrize("name", NAMES)
def test_the_status_is_that_of_the_findings(foldwright: Run, name: str) -> None:
    ran = foldwright("prove", DESIGNS / f"{name}.toml")
    stops = ran.err.count(": stop: ")
    assert ran.status == (1 if stops else 0)
    assert stops == (1 if name == "square-twist" else 0)


def test_the_poses_of_the_design_are_told_in_a_table(foldwright: Run) -> None:
    ran = foldwright("prove", DESIGNS / "parallel-box.toml")
    lines = ran.out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("pose "))
    assert lines[at].split("  ")[0] == "pose"
    assert lines[at + 1].startswith("standing  reached  0 mm  ")
    assert "  0  base/gutter 90°  bench/bench 1 90°, bench/bench 2 90°" in lines[at + 1]
    assert "glue, in this order:\n  1. left, while the pieces lie flat\n" in ran.out
    # Flat, open and closed are in the JSON only.
    assert not any(line.startswith(("flat ", "open ", "closed ")) for line in lines[at + 1 :])


def test_another_measure_is_another_pose(foldwright: Run) -> None:
    ran = foldwright("prove", DESIGNS / "easel.toml", "--set", "stop=90", "--json")
    half = math.degrees(math.acos(45.0 / 52.5))
    assert ran.status == 0
    assert degrees(pose_in(ran.json, "standing"))["base/middle"] == pytest.approx(
        2.0 * half, abs=1e-5
    )


def test_an_edition_has_its_own_poses(foldwright: Run) -> None:
    everything = DESIGNS / "everything.toml"
    ran = foldwright("prove", everything, "--variant", "small", "--json")
    # `lean` is 45 degrees there, in place of 60.
    assert degrees(pose_in(ran.json, "standing"))["box/box 1"] == pytest.approx(45.0, abs=1e-6)
    every = foldwright("prove", everything, "--all-variants", "--json").json
    angles = [
        degrees(pose_in(one, "standing"))["base/gutter#1"] for one in (every, *every["variants"])
    ]
    assert angles == [60.0, 60.0, 45.0]
    assert [pose_in(one, "standing")["reached"] for one in every["variants"]] == [True, True]
    # Of the edition in inches the panels are in mm too: 4 3/4 in wide.
    inch = corners(pose_in(every["variants"][0], "flat"), assembly_of("everything"), "base")
    assert len(inch)


def test_a_strained_pose_in_one_edition_is_told_with_its_name(
    foldwright: Run, tmp_path: Path
) -> None:
    text = (DESIGNS / "parallel-box.toml").read_text(encoding="utf-8")
    text = text.replace(
        "[measures]\n", "[measures]\nlean = { is = 90 }\n".replace("90", '"90 deg"')
    )
    text += '\n[[pose]]\nname = "pressed"\nhold = { gutter = 90, "bench 1" = "lean" }\n'
    text += '\n[variant.askew]\nmeasures = { lean = "80 deg" }\n'
    file = tmp_path / "card.toml"
    file.write_text(text, encoding="utf-8")
    assert foldwright("prove", file).status == 0
    ran = foldwright("prove", file, "--all-variants")
    assert ran.status == 1
    (told,) = [line for line in ran.err.splitlines() if "(pose-strained)" in line]
    assert "askew" in told
    assert 'the pose "pressed" cannot be reached' in told


def test_a_card_that_does_not_close_has_poses_all_the_same(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--set", "spine_y=107", "--json")
    assert ran.status == 1
    closed, standing = (pose_in(ran.json, name) for name in ("closed", "standing"))
    # The gutter is 2 mm off: 4 mm when it is shut, and none at a right angle.
    assert (closed["reached"], closed["gap_mm"], closed["gap"]["gap_mm"]) == (False, 4, 4)
    assert set(degrees(closed).values()) == {180.0}
    assert (standing["reached"], standing["gap_mm"]) == (True, 0)
    assert set(degrees(standing).values()) != {90.0}


def test_a_contradiction_is_bad_input(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    held = text.replace('"base/gutter" = 90', '"base/gutter" = 90, "gutter#1" = 80')
    harbour.write_text(held, encoding="utf-8")
    ran = foldwright("prove", harbour)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["holds-contradict"])
    harbour.write_text(text.replace('"base/gutter" = 90', '"base/gutter" = 190'), encoding="utf-8")
    ran = foldwright("prove", harbour)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["fold-angle"])


@pytest.mark.parametrize("held", [0, 180])
def test_held_flat_and_held_shut(foldwright: Run, harbour: Path, held: int) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text.replace('"base/gutter" = 90', f'"base/gutter" = {held}'), "utf-8")
    ran = foldwright("prove", harbour, "--json")
    assert ran.status == 0
    standing = pose_in(ran.json, "standing")
    assert (standing["reached"], standing["floppy"]) == (True, 2)
    assert set(degrees(standing).values()) == {float(held)}


def test_a_pose_that_was_not_found_has_no_numbers(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    from foldwright.folding import nearest

    monkeypatch.setattr(nearest, "_CLOSING_STEPS", 0)
    monkeypatch.setattr(nearest, "_STRAINED_STEPS", 0)
    ran = foldwright("prove", DESIGNS / "v-fold-popup.toml", "--json")
    assert ran.status == 1
    assert fits(ran.json["poses"], [POSE])
    standing = pose_in(ran.json, "standing")
    assert (standing["outcome"], standing["reached"]) == ("not converged", False)
    assert (standing["gap_mm"], standing["folds"], standing["panels"]) == (None, {}, [])
    told = foldwright("prove", DESIGNS / "v-fold-popup.toml")
    (row,) = [line for line in told.out.splitlines() if line.startswith("standing ")]
    assert row.split() == ["standing", "not", "converged", "undecided"]


def test_export_refuses_what_a_pose_shows_to_be_impossible(foldwright: Run, tmp_path: Path) -> None:
    twist = DESIGNS / "square-twist.toml"
    ran = foldwright("export", twist, "--tool", "knife", "--to", tmp_path / "files")
    assert ran.status == 1
    assert "pose-strained" in ran.rules
    assert not (tmp_path / "files").exists()


@pytest.mark.parametrize("name", ["v-fold-popup", "square-twist"])
def test_the_same_bytes_in_every_process(process: Run, name: str) -> None:
    design = DESIGNS / f"{name}.toml"
    first, second = (
        process("prove", design, "--json", environment={"PYTHONHASHSEED": seed})
        for seed in ("1", "77")
    )
    assert first.out == second.out
    assert first.err == second.err
