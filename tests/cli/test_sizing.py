"""The options --scale, --scale-to, --scaled-to and --mirrored of prove, export and new."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]

MARK = "# Scaled by Foldwright; scaling again replaces this file.\n"


def test_the_larger_side_of_a_size_lies_along_the_larger_side_of_the_card(
    foldwright: Run, harbour: Path
) -> None:
    ran = foldwright("prove", harbour, "--scale-to", "74 x 105")
    assert ran.status == 0
    assert ran.out.startswith(
        "scaled by 74/105 (about 0.704762), for a closed size of 105 mm by 74 mm: "
        "width from 148 mm to 104.305 mm, length from 210 mm to 148 mm, "
    )
    assert "Harbour steps: closes: its one loop (ring of panels) closes exactly" in ran.out
    assert "closed: 104.305 mm by 74 mm" in ran.out
    assert "which is 0.695 mm less in width" in ran.err
    assert {"size-not-met", "not-scaled"} <= set(ran.rules)


def test_the_json_of_a_scaled_design(foldwright: Run, harbour: Path) -> None:
    answer = foldwright("prove", harbour, "--scale", "1/2", "--json").json
    scaled = answer["scaled"]
    assert (scaled["factor"], scaled["asked_mm"], scaled["met"], scaled["path"]) == (
        0.5,
        None,
        None,
        None,
    )
    assert scaled["measures"][0] == {
        "measure": "width",
        "scale": "with",
        "from_mm": 148,
        "wanted_mm": 74,
        "to_mm": 74,
        "limit": None,
    }
    assert answer["closed"]["width_mm"] == 74
    assert answer["mirrored"] is False
    plain = foldwright("prove", harbour, "--json").json
    assert (plain["scaled"], plain["mirrored"]) == (None, False)


def test_a_measure_of_this_run_stays(foldwright: Run, harbour: Path) -> None:
    answer = foldwright("prove", harbour, "--set", "strip=30", "--scale", "0.5", "--json").json
    assert "strip" not in {one["measure"] for one in answer["scaled"]["measures"]}
    (slit,) = (one for one in answer["pieces"][0]["loops"])
    assert slit["at"][0] == 30


def test_every_edition_is_scaled(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--scale-to", "A7", "--all-variants")
    assert ran.status == 0
    assert ran.out.count("for a closed size of") == 2
    # The inch edition, 8 1/4 in long, is told in inches.
    assert "length from 8 1/4 in to" in ran.out


def test_a_card_that_no_longer_closes_is_told_and_mended(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text("utf-8").replace(
        '{ is = "gutter_y", about', "{ is = 105, most = 120, about"
    )
    harbour.write_text(text.replace("keep = true", "keep = false", 1), "utf-8")
    assert foldwright("prove", harbour).status == 0
    # Scaled up, the fold beside the steps stops at 120 mm, and the gutter goes on to 126 mm.
    ran = foldwright("prove", harbour, "--scale", "1.2", "--json")
    assert ran.status == 1
    assert (ran.json["verdict"], ran.json["proven"]) != ("closes", True)
    assert "scale-limited" in {one["rule"] for one in ran.json["findings"]}
    measures = [mend["measure"] for mend in ran.json["mends"] if "measure" in mend]
    assert measures == ["length"]


def test_the_scaled_design_is_written(foldwright: Run, harbour: Path) -> None:
    target = harbour.with_name("small.toml")
    ran = foldwright("prove", harbour, "--scale", "0.5", "--scaled-to", target)
    assert ran.status == 0
    assert f"wrote {target}: the scaled design" in ran.out
    text = target.read_text("utf-8")
    assert text.endswith(MARK)
    assert "width    = 74\nlength   = { is = 105, keep = true }            # keep: a mend" in text
    assert "mirrored" not in text
    again = foldwright("prove", target, "--json").json
    assert (again["verdict"], again["closed"]["width_mm"]) == ("closes", 74)
    # Ours by now, so it is replaced; somebody's own is not.
    assert foldwright("prove", harbour, "--scale", "0.75", "--scaled-to", target).status == 0
    target.write_text("# mine\n", "utf-8")
    ran = foldwright("prove", harbour, "--scale", "0.75", "--scaled-to", target)
    assert (ran.status, ran.rules) == (2, ["target-not-ours"])
    assert target.read_text("utf-8") == "# mine\n"
    options = ("--scale", "0.75", "--scaled-to", target, "--replace")
    assert foldwright("prove", harbour, *options).status == 0
    assert foldwright("prove", harbour, "--scale", "2", "--scaled-to", harbour).status == 2


def test_the_scaled_and_mirrored_design_is_written(foldwright: Run, harbour: Path) -> None:
    target = harbour.with_name("left.toml")
    options = ("--mirrored", "--scale", "0.5", "--variant", "inch", "--scaled-to", target)
    assert foldwright("prove", harbour, *options).status == 0
    text = target.read_text("utf-8")
    assert 'units   = "mm"\nmirrored = true # all lines stand as for the right hand' in text
    assert 'width = "2 7/8"' in text
    answer = foldwright("prove", target, "--variant", "inch", "--json").json
    assert (answer["mirrored"], answer["closed"]["width_mm"]) == (True, 73.025)
    # The edition that was not asked for is as it was, but mirrored as well.
    assert foldwright("prove", target, "--json").json["closed"]["width_mm"] == 148


def test_mended_and_scaled(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text("utf-8").replace('{ is = "gutter_y", about', "{ is = 107, about")
    harbour.write_text(text, "utf-8")
    ran = foldwright("prove", harbour, "--scale", "0.5", "--mend")
    assert ran.status == 1
    mended = harbour.with_name("harbour-steps.mended.toml")
    assert "{ is = 52.5, about" in mended.read_text("utf-8")
    answer = foldwright("prove", mended, "--json").json
    assert (answer["verdict"], answer["closed"]["width_mm"]) == ("closes", 74)


def test_the_mirror_image(foldwright: Run, harbour: Path) -> None:
    plain = foldwright("prove", harbour, "--json").json
    ran = foldwright("prove", harbour, "--mirrored", "--json")
    assert ran.status == 0
    answer = ran.json
    assert (plain["mirrored"], answer["mirrored"]) == (False, True)
    assert "Harbour steps, mirrored: closes" in foldwright("prove", harbour, "--mirrored").out
    assert plain["pieces"][0]["loops"][0]["at"][0] == 50
    assert answer["pieces"][0]["loops"][0]["at"][0] == 98
    assert answer["closed"] == plain["closed"]
    harbour.write_text(
        harbour.read_text("utf-8").replace("[variant.inch]", "[variant.inch]\nmirrored = true"),
        "utf-8",
    )
    inch = foldwright("prove", harbour, "--variant", "inch", "--json").json
    assert inch["mirrored"] is True
    both = foldwright("prove", harbour, "--variant", "inch", "--mirrored", "--json").json
    assert both["mirrored"] is False


def test_export_scales_and_mirrors_for_this_run(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    options = ("--tool", "knife", "--format", "plain", "--scale", "0.5")
    ran = foldwright("export", harbour, *options, "--to", tmp_path / "right", "--json")
    assert ran.status == 0
    assert ran.json["scaled"]["factor"] == 0.5
    assert ran.json["mirrored"] is False
    assert ran.json["files"][0]["width_mm"] == 74
    left = foldwright("export", harbour, *options, "--mirrored", "--to", tmp_path / "left")
    assert left.status == 0
    assert left.out.startswith("scaled by 0.5: width from 148 mm to 74 mm")
    (right_file,) = (tmp_path / "right").glob("*.txt")
    assert right_file.read_bytes() != (tmp_path / "left" / right_file.name).read_bytes()


def test_new_starts_at_another_size_and_for_the_other_hand(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "left.toml"
    options = ("--scale-to", "A7", "--mirrored", "--to", file)
    ran = foldwright("new", "side-steps", *options)
    assert ran.status == 0
    assert "size-not-met" in ran.rules
    text = file.read_text("utf-8")
    assert 'units   = "mm"\nmirrored = true  # all lines stand as for the right hand' in text
    assert 'gutter_y = "length / 2"' in text
    answer = foldwright("prove", file, "--json").json
    assert (answer["verdict"], answer["mirrored"]) == ("closes", True)
    assert answer["closed"]["height_mm"] == 74
    kept = foldwright("new", "side-steps", "--set", "strip=40", "--scale", "0.5", "--json").json
    assert "strip    = 40 " in kept["text"]
    assert "width    = 74 " in kept["text"]
    assert "mirrored" not in kept["text"]


@pytest.mark.parametrize(
    ("options", "rule"),
    [
        (("--scale", "0"), "unfit-factor"),
        (("--scale", "-2"), "unfit-factor"),
        (("--scale", "5 mm"), "unfit-factor"),
        (("--scale-to", "148"), "unfit-size"),
        (("--scale-to", "0 x 5"), "unfit-size"),
        (("--scale-to", "1 x 1"), "size-out-of-reach"),
        (("--scaled-to", "x.toml"), "nothing-scaled"),
        (("--scaled-to", "x.toml", "--scale", "2", "--all-variants"), "scaled-one-edition"),
        (("--scaled-to", "x.toml", "--scale", "2", "--mend"), "scaled-and-mended"),
        (("--scaled-to", "x.toml", "--scale", "2", "--round-to", "1 mm"), "scaled-and-mended"),
        (("--scale", "2", "--scale-to", "A6"), "bad-usage"),
        (("--scale", ""), "bad-usage"),
    ],
)
def test_bad_input(foldwright: Run, harbour: Path, options: tuple[str, ...], rule: str) -> None:
    ran = foldwright("prove", harbour, *options)
    assert (ran.status, ran.out, ran.rules) == (2, "", [rule])


@pytest.mark.parametrize("command", ["prove", "export", "new"])
def test_the_options_are_in_the_help(foldwright: Run, command: str) -> None:
    out = foldwright(command, "--help").out
    for option in ("--scale FACTOR", "--scale-to SIZE", "--mirrored"):
        assert option in out


def test_the_size_of_an_envelope_is_told(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--scale-to", "C6", "--json")
    assert (ran.status, "size-of-an-envelope" in ran.rules) == (0, True)
    ran = foldwright("prove", harbour, "--scale-to", "A6", "--json")
    assert "size-of-an-envelope" not in ran.rules


def test_numbers_that_stay_are_told_by_the_lines_of_the_file_that_is_written(
    foldwright: Run, tmp_path: Path
) -> None:
    file = tmp_path / "ea.toml"
    given = ("--scale-to", "6 x 6 in", "--units", "in", "--json")
    ran = foldwright("new", "easel", "--written-out", "--to", file, *given)
    (note,) = [one for one in ran.json["findings"] if one["rule"] == "not-scaled"]
    assert note["file"] == str(file)
    lines = file.read_text(encoding="utf-8").splitlines()
    told = re.findall(r'"([^"]*)" in line ([0-9]+)', note["message"])
    assert len(told) >= 4
    for text, line in told:
        assert text in lines[int(line) - 1]


def test_of_a_pattern_that_is_referred_to_nothing_is_told_that_stands_in_no_file(
    foldwright: Run, tmp_path: Path
) -> None:
    file = tmp_path / "ea.toml"
    ran = foldwright("new", "easel", "--to", file, "--scale", "0.9")
    assert "not-scaled" not in ran.rules
    ran = foldwright("prove", file, "--scale", "0.9")
    assert (ran.status, "not-scaled" in ran.rules) == (0, False)
