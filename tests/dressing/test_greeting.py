"""This module tests the room for words on a card, by hand."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from foldwright.cli import main
from foldwright.design.pieces import Face
from foldwright.dressing.greeting import Greeting, Room, greeting_of
from tests.dressing.matted import BOOK, DESIGNS, STAGE, mat, pose, proved, shipped

FLOOR = '["card/panel 1"]'


def greeting(text: str) -> Greeting:
    found = greeting_of(proved(text))
    assert found is not None
    return found


def told(room: Room | None) -> tuple[int, str, float, float]:
    assert room is not None
    return room.panel[1], str(room.face), room.width_mm, room.height_mm


def test_every_panel_that_is_seen_has_its_room_less_the_margin() -> None:
    """Of the step card these are its mats, but one rectangle of each L: the larger one."""
    found = greeting_of(shipped("pier-house"))
    assert found is not None
    sizes = sorted((room.width_mm, room.height_mm) for room in found.panels)
    assert sizes == [(44, 99), (92, 24), (92, 24), (92, 29), (92, 29), (142, 39)]
    assert all(room.on_mat for room in found.panels)
    # The floor is the largest on the back as well, and bare.
    assert told(found.back) == (0, "back", 142, 39)
    assert found.writing == found.back


def test_room_keeps_clear_of_marks_openings_and_extras() -> None:
    bare = STAGE + pose(90, "gutter", on=FLOOR)
    assert [told(room) for room in greeting(bare).panels] == [
        (0, "front", 74, 54),
        (1, "front", 74, 54),
    ]
    line = STAGE + "[[piece.mark]]\npoints = [[0, 23], [80, 23]]\n"
    assert told(greeting(line + pose(90, "gutter", on=FLOOR)).panels[0]) == (0, "front", 74, 34)
    hole = STAGE + "[[piece.opening]]\nrectangle = [30, 10, 20, 10]\n"
    assert told(greeting(hole + pose(90, "gutter", on=FLOOR)).panels[0]) == (0, "front", 74, 34)
    gem = '[[extra]]\non = "card/panel 1"\nat = [40, 10]\nsize = [20, 10]\nheight = 1\nmass = 0\n'
    assert told(greeting(bare + gem).panels[0]) == (0, "front", 74, 42)
    text = STAGE + '[[piece.mark]]\ntext = "TOP"\nat = [5, 10]\nheight = 10\n'
    (first, _) = greeting(text + pose(90, "gutter", on=FLOOR)).panels
    assert told(first) == (0, "front", 74, 37)
    # What is drawn on the front is no matter on the back.
    assert told(greeting(text).back)[2:] == (74, 54)


def test_only_what_is_seen_is_room() -> None:
    short = STAGE.replace("[80, 120]", "[80, 100]")
    floor, _ = greeting(short + pose(180, "gutter", on=FLOOR)).panels
    # 20 mm look out at the front; the margin is kept from the edge of the panel.
    assert (floor.panel[1], floor.width_mm) == (0, 74)
    assert floor.height_mm == pytest.approx(17)


def test_words_stand_upright() -> None:
    side = greeting(STAGE + pose(90, "gutter", on=FLOOR, view=0)).panels
    # Read from the right the floor is 60 wide and 80 high.
    assert told(side[0]) == (0, "front", 54, 74)


def test_bare_paper_comes_before_mats_and_glued_faces_have_no_room() -> None:
    matted = BOOK + mat(margin=4) + mat(margin=4, face="back")
    found = greeting(matted)
    assert found.writing is not None and found.writing.on_mat
    easel = greeting_of(shipped("easel"))
    assert easel is not None and easel.back is not None
    assert easel.back.face is Face.BACK
    names = shipped("easel").assembly
    assert names.panel_called(easel.back.panel) == "base/floor"


def test_the_answer_of_prove_has_them(capsys: pytest.CaptureFixture[str]) -> None:
    main(["prove", str(DESIGNS / "pier-house.toml"), "--json"])
    answer = json.loads(capsys.readouterr().out)
    assert answer["visible"][0] == {
        "panel": "base/floor",
        "face": "front",
        "height_mm": 105,
        "width_mm": 148,
        "area_mm2": 9660,
    }
    assert answer["greeting"]["pose"] == "standing"
    assert answer["greeting"]["writing"] == {
        "panel": "base/floor",
        "face": "back",
        "width_mm": 142,
        "height_mm": 39,
        "corners": [[3, 3], [145, 3], [145, 42], [3, 42]],
        "margin_mm": 3,
        "on_mat": False,
    }


def test_a_design_that_is_not_divided_has_none(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    broken = BOOK.replace("[60, 80]]", "[60, 40]]")
    assert greeting_of(proved(broken)) is None
    file = tmp_path / "broken.toml"
    head = 'format = 1\nname = "broken"\nunits = "mm"\n'
    file.write_text(head + broken, encoding="utf-8")
    assert main(["prove", str(file), "--json"]) == 1
    answer = json.loads(capsys.readouterr().out)
    assert (answer["greeting"], answer["visible"]) == (None, [])
