"""This module tests what is seen of a card as it stands, by hand."""

from __future__ import annotations

import math

import pytest

from foldwright.design.pieces import Face
from foldwright.dressing.directions import LOOKS_DOWN_DEG, pose_seen
from foldwright.dressing.visible import VisiblePanel, visible_panels
from foldwright.proving import Proof
from tests.dressing.matted import STAGE, pose, proved, shipped

FLOOR = '["card/panel 1"]'


def seen(proof: Proof) -> dict[str, VisiblePanel]:
    standing = pose_seen(proof)
    assert standing is not None
    return {
        proof.assembly.panel_called(one.panel): one
        for one in visible_panels(proof.assembly, standing)
    }


def sizes(text: str) -> dict[str, tuple[str, float, float]]:
    return {
        name: (str(one.face), round(one.width_mm, 4), round(one.height_mm, 4))
        for name, one in seen(proved(text)).items()
    }


def test_a_stage_is_seen_whole_from_the_front() -> None:
    assert sizes(STAGE + pose(90, "gutter", on=FLOOR)) == {
        "card/panel 1": ("front", 80, 60),
        "card/panel 2": ("front", 80, 60),
    }


def test_from_behind_the_wall_hides_the_floor() -> None:
    # Over a wall of 60 mm one sees the floor from 60 / tan 20 degrees on: 165 mm away.
    assert sizes(STAGE + pose(90, "gutter", on=FLOOR, view=90)) == {
        "card/panel 2": ("back", 80, 60)
    }
    # A floor of 200 mm reaches farther than that, and the rest of it is seen.
    long = STAGE.replace("[80, 120]", "[80, 260]").replace(
        "[0, 60], [80, 60]", "[0, 200], [80, 200]"
    )
    found = sizes(long + pose(90, "gutter", on=FLOOR, view=90))
    rest = 200 - 60 / math.tan(math.radians(LOOKS_DOWN_DEG))
    face, width, height = found["card/panel 1"]
    assert (face, width) == ("front", 80)
    assert height == pytest.approx(rest, abs=0.06)


def test_a_wall_is_not_seen_edge_on() -> None:
    assert list(sizes(STAGE + pose(90, "gutter", on=FLOOR, view=0))) == ["card/panel 1"]


def test_a_shut_fold_hides_what_lies_inside_it() -> None:
    # The upper half lies on the floor, its back up.
    assert sizes(STAGE + pose(180, "gutter", on=FLOOR)) == {"card/panel 2": ("back", 80, 60)}
    # Of a shorter one the floor looks out.
    short = STAGE.replace("[80, 120]", "[80, 100]")
    assert sizes(short + pose(180, "gutter", on=FLOOR)) == {
        "card/panel 1": ("front", 80, pytest.approx(20)),
        "card/panel 2": ("back", 80, 40),
    }


def test_what_is_glued_on_hides_what_it_lies_on() -> None:
    found = seen(shipped("everything"))
    # The feet are glued on the pages and seen; the labels are no part of the card.
    assert not any(name.startswith("label/") for name in found)
    assert found["box/lower foot"].area_mm2 == pytest.approx(300)
    # Of each page the foot on it is missing: 30 by 10 mm.
    for page, foot in (("base/front page", "lower"), ("base/back page", "upper")):
        _, name = page.split("/")
        division = shipped("everything").assembly.divisions["base"]
        area = next(panel.area for panel in division.panels if panel.name == name)
        assert found[page].area_mm2 < area - 300 + 1, foot


def test_all_panels_of_the_step_card_are_seen() -> None:
    found = seen(shipped("pier-house"))
    assert len(found) == 6
    assert {one.face for one in found.values()} == {Face.FRONT}
    assert found["base/upper front"].height_mm == pytest.approx(35)
    assert found["base/lower tread"].height_mm == pytest.approx(30)
    total = sum(one.area_mm2 for one in found.values())
    assert total == pytest.approx(148 * 210, rel=1e-4)
