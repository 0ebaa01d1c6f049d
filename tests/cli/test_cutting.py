"""This module tests what `prove` tells of mats: the JSON keys and the cutting list."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from foldwright.cli import main

DESIGNS = Path(__file__).parents[1] / "designs"
PIER = str(DESIGNS / "pier-house.toml")


def test_the_answer_has_the_mats(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["prove", PIER, "--json"]) == 0
    mats = json.loads(capsys.readouterr().out)["mats"]
    assert mats[1] == {
        "letter": "B",
        "count": 3,
        "width_mm": 92,
        "height_mm": 29,
        "shape": "rectangle",
        "stock": "print",
        "panels": ["base/back wall", "base/upper front", "base/lower front"],
        "up_deg": 90,
        "way": "crosswise",
        "area_mm2": 2668,
    }
    assert [one["letter"] for one in mats] == ["A", "B", "C", "D"]


def test_a_card_without_mats_has_an_empty_list(capsys: pytest.CaptureFixture[str]) -> None:
    main(["prove", str(DESIGNS / "harbour-steps.toml"), "--json"])
    assert json.loads(capsys.readouterr().out)["mats"] == []


def test_what_mats_are_told_is_among_the_findings(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = Path(PIER).read_text(encoding="utf-8")
    file = tmp_path / "no-pose.toml"
    file.write_text(text[: text.index("[[pose]]")], encoding="utf-8")
    main(["prove", str(file), "--json"])
    rules = [one["rule"] for one in json.loads(capsys.readouterr().out)["findings"]]
    assert "print-seen-flat" in rules


def test_the_cutting_list_is_printed_when_it_is_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["prove", PIER, "--cutting-list"]) == 0
    listed = capsys.readouterr().out.partition("cutting list:\n")[2].splitlines()
    assert [line.split() for line in listed[:3]] == [
        ["piece", "count", "width", "by", "height", "stock", "print", "for"],
        ["base", "1", "148", "mm", "by", "210", "mm", "card", "-", "-"],
        [
            "A",
            "2",
            "44",
            "mm",
            "by",
            "99",
            "mm",
            "print",
            "up,",
            "lengthwise",
            "base/back",
            "wall,",
            "base/floor",
        ],
    ]
    assert len(listed) == 6
    assert main(["prove", PIER]) == 0
    assert "cutting list" not in capsys.readouterr().out


def test_every_variant_has_a_cutting_list_in_its_own_units(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = Path(PIER).read_text(encoding="utf-8")
    inch = '[variant.inch]\nunits = "in"\nmeasures = { width = "5 3/4", length = "8 1/4", '
    inch += 'strip = 2, tread = "1 1/8", riser = "1 3/8", top = "1 3/8" }\n'
    file = tmp_path / "both.toml"
    file.write_text(text + inch, encoding="utf-8")
    assert main(["prove", str(file), "--all-variants", "--cutting-list"]) == 0
    out = capsys.readouterr().out
    assert out.count("cutting list:") == 2
    # 2 in less an eighth on both sides: margins of the inch edition lie on its ruler.
    assert "1 3/4 in by 3 7/8 in" in out


def test_a_shape_that_is_no_rectangle_is_told_by_its_outside(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    text = Path(PIER).read_text(encoding="utf-8").replace('l_shape = "two"', 'l_shape = "one"')
    file = tmp_path / "one.toml"
    file.write_text(text, encoding="utf-8")
    assert main(["prove", str(file), "--cutting-list", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["mats"][0]["shape"] == "polygon"
    assert main(["prove", str(file), "--cutting-list"]) == 0
    out = capsys.readouterr().out
    # An L is a rectangle without one of its corners: 142 less 44, and 99 less 29 or 39.
    assert "142 mm by 99 mm outside, less 98 mm by 70 mm in a corner" in out
    assert "142 mm by 99 mm outside, less 98 mm by 60 mm in a corner" in out


def test_a_frame_is_told_with_its_window(capsys: pytest.CaptureFixture[str]) -> None:
    """The window of 45 mm has 4 mm of margin on each side."""
    assert main(["prove", str(Path(PIER).parent / "window-box.toml"), "--cutting-list"]) == 0
    assert "97 mm by 140 mm outside, less 53 mm by 53 mm inside" in capsys.readouterr().out


def test_what_is_seen_and_where_words_go_is_printed_when_it_is_asked_for(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """By hand: the tread of 98 by 30 keeps 3 mm all round, the floor's L has 142 by 39."""
    assert main(["prove", PIER, "--greeting"]) == 0
    told = capsys.readouterr().out.partition('seen in the pose "standing"')[2].splitlines()
    rows = {line.split("  ")[1]: " ".join(line.split()) for line in told if "base/" in line}
    assert rows["base/lower tread"] == (
        "base/lower tread front 98 mm by 30 mm 92 mm by 24 mm a mat"
    )
    assert "  to write on: 142 mm by 39 mm on the back of base/floor" in told
    assert main(["prove", PIER]) == 0
    assert "room for words" not in capsys.readouterr().out


def test_room_for_words_of_every_edition_is_in_its_units(
    capsys: pytest.CaptureFixture[str],
) -> None:
    steps = str(Path(PIER).parent / "harbour-steps.toml")
    assert main(["prove", steps, "--all-variants", "--greeting"]) == 0
    told = capsys.readouterr().out
    # 5 3/4 in wide and 1 7/8 in deep, less 1/8 in all round.
    assert "on the back: 5 1/2 in by 1 5/8 in on the back" in told
    assert "on the back: 142 mm by 39 mm on the back" in told
