"""Scenes of proved poses: what a proof found, in a picture."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from pathlib import Path as FilePath

import numpy as np
import pytest

from foldwright.design import parse_design, read_design
from foldwright.folding.freedom import Freedom
from foldwright.folding.gaps import PoseGap
from foldwright.folding.poses import Outcome
from foldwright.geometry import Point
from foldwright.pictures import Line, Picture, Words, pens, svg_of
from foldwright.pictures.pose_scene import scene_of
from foldwright.pictures.scene import Scene
from foldwright.pictures.space import draw
from foldwright.pictures.space_page import space_picture
from foldwright.proving import Proof, prove_design
from foldwright.proving.model import PoseProof
from tests.pictures.cards import HEAD
from tests.pictures.scenes import fold, harbour, sheet, shifted
from tests.pictures.test_space_pictures import KEPT as BY_HAND

DESIGNS = FilePath(__file__).parents[1] / "designs"
GOLDEN = FilePath(__file__).parents[1] / "golden" / "poses"

# Two wings of 60 mm over a floor of 40 mm, both turned up by 120 degrees.
WINGS = (
    HEAD.format(name="Crossed wings", units="mm")
    + sheet(
        "card",
        160,
        50,
        fold("left", "valley", (60, 0), (60, 50)) + fold("right", "valley", (100, 0), (100, 50)),
    )
    + '[[piece.panel]]\nname = "floor"\nat = [80, 25]\n'
    + '[[pose]]\nname = "crossed"\nhold = { "left" = 120, "right" = 120 }\n'
    + 'on = ["card/floor"]\nview = 250\n'
)


@cache
def proof_of(name: str) -> Proof:
    text = {"wings": WINGS}.get(name)
    return prove_design(
        read_design(DESIGNS / f"{name}.toml") if text is None else parse_design(text)
    )


def pose_of(name: str, pose: str) -> PoseProof:
    return next(one for one in proof_of(name).poses if one.name == pose)


def scene(name: str, pose: str) -> Scene:
    return scene_of(proof_of(name), pose_of(name, pose))


def words_of(picture: Picture) -> list[str]:
    texts = [part.text for part in picture.parts if isinstance(part, Words)]
    return [text.replace("\N{NO-BREAK SPACE}", " ") for text in texts]


KEPT = {
    "harbour-steps-standing": ("harbour-steps", "standing"),
    "v-fold-popup-standing": ("v-fold-popup", "standing"),
    "easel-standing": ("easel", "standing"),
    "square-twist-strained": ("square-twist", "half twisted"),
    "crossed-wings": ("wings", "crossed"),
}


@pytest.mark.parametrize("name", KEPT)
def test_kept_pictures(name: str, request: pytest.FixtureRequest) -> None:
    data = svg_of(space_picture(scene(*KEPT[name])))
    file = GOLDEN / f"{name}.svg"
    if request.config.getoption("--update-goldens"):
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    assert file.read_bytes() == data, (
        "look at the new picture, then bring it up to date with "
        "pytest tests/pictures --update-goldens"
    )


def test_nothing_but_what_was_kept_lies_beside_it() -> None:
    found = sorted(path.name for path in GOLDEN.iterdir())
    assert found == sorted(f"{name}.svg" for name in (*KEPT, *BY_HAND))


def test_the_harbour_steps_stand_as_they_are_posed_by_hand() -> None:
    proved, by_hand = scene("harbour-steps", "standing"), harbour(90.0, 240.0)
    assert proved.placed.keys() == by_hand.placed.keys()
    # The same card, wherever on the table: corners are equally far from each other.
    spots = []
    for one in (proved, by_hand):
        corners = [
            one.placed[key].apply(at.at)
            for key, panel in one.panels.items()
            for at in panel.ring.vertices
        ]
        spots.append(np.array(corners))
        assert min(z for _, _, z in corners) == pytest.approx(0.0, abs=1e-6)
    first, second = (np.linalg.norm(at[:, None] - at[None], axis=2) for at in spots)
    assert first == pytest.approx(second, abs=1e-6)
    for crease, other in zip(proved.creases, by_hand.creases, strict=True):
        assert (crease.label, crease.first, crease.second) == (
            other.label,
            other.first,
            other.second,
        )
        assert crease.turned == pytest.approx(other.turned)
    lines = [
        sum(
            part.path.length
            for part in draw(one, (150.0, 120.0)).parts
            if isinstance(part, Line) and part.pen is pens.PAPER_EDGE
        )
        for one in (proved, by_hand)
    ]
    assert lines[0] == pytest.approx(lines[1], abs=0.1)


def test_what_is_said_of_a_pose() -> None:
    words = words_of(space_picture(scene("harbour-steps", "standing")))
    assert "Pose standing, folded to about 50 % of the closed angles" in words
    assert "Held: gutter at 90 degrees." in words
    assert "Floppy 2: these folds still move: steps 1, steps 2, steps 3, steps 4, steps 5." in words
    assert "Seen from the front left (240 degrees), 28 degrees above the table." in words
    assert "front floor" in words


@pytest.mark.parametrize("pose", ["flat", "open"])
def test_flat_paper(pose: str) -> None:
    found = scene("harbour-steps", pose)
    words = words_of(space_picture(found))
    assert f"Pose {pose}, every fold flat" in words
    assert not any(text.startswith("Held") for text in words)
    assert pens.CREASE not in {
        part.pen for part in draw(found, (150.0, 120.0)).parts if isinstance(part, Line)
    }


def test_a_closed_card_shows_its_outside() -> None:
    found = scene("harbour-steps", "closed")
    used = {part.pen for part in draw(found, (150.0, 120.0)).parts if isinstance(part, Line)}
    # Folds are turned by 180 degrees: all are ridges.
    assert pens.MOUNTAIN_IN_SPACE in used
    assert pens.VALLEY_IN_SPACE not in used


def test_a_clash_is_drawn_where_the_proof_finds_it() -> None:
    pose = pose_of("wings", "crossed")
    assert len(pose.clashes) == 1
    found = scene("wings", "crossed")
    (passing,) = found.passing
    # An equilateral triangle over the floor of 40 mm: the wings cross in its head.
    assert passing.at[2] == pytest.approx(40.0 * math.sqrt(3.0) / 2.0)
    drawing = draw(found, (150.0, 120.0))
    heavy = [part for part in drawing.parts if isinstance(part, Line) and part.pen is pens.CLASH]
    assert len(heavy) == 1
    ((x, y),), _ = drawing.view.camera.page(np.array([passing.at]))
    middle = heavy[0].path.start.between(heavy[0].path.end, 0.5)
    # Half way in space is nearly half way on the page.
    assert math.dist(middle.floats(), (x, y)) < 0.05 * heavy[0].path.length
    words = words_of(space_picture(found))
    assert any(text.startswith("clash: card") or text.startswith("clash: panel") for text in words)
    assert "clash" in words


def test_a_gap_is_drawn_where_panels_are_apart() -> None:
    pose = pose_of("square-twist", "half twisted")
    assert pose.folded.outcome is Outcome.STRAINED
    found = scene("square-twist", "half twisted")
    assert found.apart
    for gap in found.apart:
        assert math.dist(gap.one, gap.other) == gap.mm
        assert gap.mm > 0.001
    # As many folds are apart as the loops cannot be laid out without.
    assert 0 < len(found.apart) <= len(proof_of("square-twist").pieces[0].closings)
    words = words_of(space_picture(found))
    assert any(text.startswith("Pose half twisted, strained: it cannot close") for text in words)
    assert sum(text.startswith("gap: ") for text in words) == len(found.apart)
    assert "gap" in words


def test_a_fold_under_a_glued_panel_is_not_seen() -> None:
    """The picture of the easel is glued over the middle fold of its base."""
    found = scene("easel", "standing")
    creases = [one.label for one in found.creases if one.turned]
    assert creases == ["hinge", "middle"]
    drawn = [part for part in draw(found, (150.0, 120.0)).parts if isinstance(part, Line)]
    assert len([part for part in drawn if part.pen is pens.CREASE]) == 1


def test_a_pose_that_lines_touching_hold() -> None:
    words = words_of(space_picture(scene("easel", "standing")))
    assert any(text.startswith("Touching: ") for text in words)


def test_lines_that_do_not_touch_are_marked() -> None:
    """The line of the stop told from its other end: the foot cannot lie on it."""
    text = (DESIGNS / "easel.toml").read_text(encoding="utf-8")
    stop = 'line = [[0, "panel - stop"], ["width", "panel - stop"]]'
    other = 'line = [["width", "panel - stop"], [0, "panel - stop"]]'
    assert stop in text
    proof = prove_design(parse_design(text.replace(stop, other)))
    found = scene_of(proof, proof.poses[-1])
    (gap,) = found.apart
    assert gap.label == "touch foot on stop"
    # Square to the foot it lies on its line; along it the ends are a width off.
    assert gap.mm == pytest.approx(75.0, abs=1e-3)
    words = words_of(space_picture(found))
    assert any(text.startswith("gap: 75 mm at touch foot") for text in words)
    assert "To touch: foot on stop." in words
    assert any(text.startswith("Pose standing, strained: its lines do not touch") for text in words)
    assert not any("Panels are placed one after another" in text for text in words)


def test_a_turn_that_is_left_over_is_told_where_no_gap_is() -> None:
    """Two folds in one line at 90 degrees, and one square to them that cannot turn then."""
    text = (
        HEAD.format(name="Cross", units="mm")
        + sheet(
            "card",
            100,
            100,
            fold("left", "valley", (0, 50), (50, 50))
            + fold("right", "valley", (50, 50), (100, 50))
            + fold("up", "valley", (50, 50), (50, 100))
            + fold("down", "mountain", (50, 0), (50, 50)),
        )
        + '[[pose]]\nname = "bent"\nhold = { left = 90, right = 90, up = 30 }\n'
    )
    proof = prove_design(parse_design(text))
    found = scene_of(proof, proof.poses[-1])
    assert proof.poses[-1].folded.outcome is Outcome.STRAINED
    told = "Its panels meet where they are drawn, but not at the angles of its folds."
    assert (told in found.words) == (not found.apart)
    assert told in found.words


def test_a_way_that_is_not_free_is_told() -> None:
    proof = proof_of("wings")
    pose = pose_of("wings", "crossed")
    assert pose.clashes_on_way
    words = " ".join(words_of(space_picture(scene_of(proof, pose))))
    assert "On the way to it panel 1 and panel 2 pass through each other." in words


def test_the_order_that_gets_round_a_clash_is_told_in_its_place() -> None:
    pose = replace(pose_of("wings", "crossed"), order=((("card", 1),), (("card", 0),)))
    words = " ".join(words_of(space_picture(scene_of(proof_of("wings"), pose))))
    assert "Fold it in this order: right, then left." in words
    assert "pass through each other" not in words


def test_folds_turned_against_their_sense_are_told() -> None:
    pose = replace(pose_of("wings", "crossed"), against=(("card", 1),))
    words = words_of(space_picture(scene_of(proof_of("wings"), pose)))
    assert "Turned against its sense: right." in words


def test_a_pose_that_bends_on_the_way_says_so() -> None:
    pose = pose_of("harbour-steps", "standing")
    gap = PoseGap(
        loop=proof_of("harbour-steps").pieces[0].closings[0].loop,
        mm=1.25,
        turn_deg=0.0,
        step=0,
        at=Point(0.0, 0.0),
    )
    bent = replace(pose, folded=replace(pose.folded, bends=gap, bends_share=0.5))
    words = " ".join(words_of(space_picture(scene_of(proof_of("harbour-steps"), bent))))
    assert "the paper has to bend: parts of it stay up to 1.25 mm apart." in words


@pytest.mark.parametrize(
    ("freedom", "text"),
    [
        (Freedom(count=None), "Floppy: undecided."),
        (Freedom(count=0), "Floppy 0: nothing in it moves."),
        (
            Freedom(count=1, moving=(("base", 0), ("base", 5))),
            "Floppy 1: these folds still move: steps 1, gutter.",
        ),
    ],
)
def test_how_floppy_it_is(freedom: Freedom, text: str) -> None:
    pose = replace(pose_of("harbour-steps", "standing"), freedom=freedom)
    assert text in words_of(space_picture(scene_of(proof_of("harbour-steps"), pose)))


def test_joints_that_do_not_meet_are_marked() -> None:
    """A glued foot drawn 3 mm off its line, in a pose that is said to be strained."""
    pose = pose_of("v-fold-popup", "standing")
    placed = dict(pose.placed)
    for key in placed:
        if key[0] == "sail":
            placed[key] = shifted(z=3.0) @ placed[key]
    strained = replace(
        pose, placed=placed, folded=replace(pose.folded, outcome=Outcome.STRAINED, gap_mm=3.0)
    )
    found = scene_of(proof_of("v-fold-popup"), strained)
    assert [(gap.label, round(gap.mm, 9)) for gap in found.apart] == [
        ("joint left", 3.0),
        ("joint right", 3.0),
    ]
    assert "gap: 3 mm at joint left" in words_of(space_picture(found))


def test_a_pose_that_closes_has_no_gaps() -> None:
    for name in ("harbour-steps", "v-fold-popup", "easel"):
        assert scene(name, "standing").apart == ()


def test_glued_feet_and_names() -> None:
    found = scene("v-fold-popup", "standing")
    assert {one.label for one in found.glued} == {"left", "right"}
    words = words_of(space_picture(found))
    assert {"left page", "right page", "left wing", "right wing"} <= set(words)


def test_arcs_are_scored_and_not_folded() -> None:
    text = (
        HEAD.format(name="Bow", units="mm")
        + sheet("card", 120, 80)
        + (
            '[[piece.fold]]\nname = "bow"\nsense = "valley"\n'
            "points = [[0, 40], { arc_to = [120, 40], through = [60, 60] }]\n"
        )
    )
    proof = prove_design(parse_design(text))
    found = scene_of(proof, next(one for one in proof.poses if one.name == "flat"))
    assert len(found.scores) == 1
    assert "scored, not folded" in words_of(space_picture(found))


@pytest.mark.parametrize("upper", ["left", "right"])
def test_plies_lie_in_a_pose_as_in_the_closed_card(upper: str) -> None:
    """Two flaps that overlap by 40 mm: which is glued on the other is known closed and pressed."""
    # x = 60 on the left flap comes to 100 when that is turned about 80, x = 260 on the right one
    # to 100 when turned about 180: the lines meet, and run along each other.
    ends = {
        "left": 'panel = "card/left flap", face = "{}", line = [[60, 0], [60, 50]]',
        "right": 'panel = "card/right flap", face = "{}", line = [[260, 0], [260, 50]]',
    }
    under = "right" if upper == "left" else "left"
    text = (
        HEAD.format(name="Gate", units="mm")
        + sheet(
            "card",
            280,
            50,
            fold("left fold", "valley", (80, 0), (80, 50))
            + fold("right fold", "valley", (180, 0), (180, 50)),
        )
        + '[[piece.panel]]\nname = "left flap"\nat = [20, 25]\n'
        + '[[piece.panel]]\nname = "right flap"\nat = [270, 25]\n'
        + f'[[joint]]\nname = "glue"\nglue = {{ {ends[upper].format("front")} }}\n'
        + f"to = {{ {ends[under].format('back')} }}\n"
        + '[[pose]]\nname = "pressed"\nhold = { "left fold" = 180, "right fold" = 180 }\n'
    )
    proof = prove_design(parse_design(text))
    (pose,) = [one for one in proof.poses if one.name == "pressed"]
    found = replace(scene_of(proof, pose), glued=())
    keys = {panel.name: key for key, panel in found.panels.items()}

    def lies_above(scene: Scene) -> bool:
        view = draw(scene, (150.0, 120.0)).view
        plies = {facet.key: ply for facet, ply in zip(view.facets, view.plies, strict=True)}
        return plies[keys[f"{upper} flap"]] > plies[keys[f"{under} flap"]]

    assert all(lies_above(replace(found, view_deg=view)) for view in (270.0, 90.0))
    # Folds alone do not tell: without the closed card it is the order of the panels.
    assert lies_above(replace(found, laid=())) == (upper == "right")
