"""The command prove tells the envelope and the post, and draws the blank."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Ran

CARD = """\
format = 1
name = "Pebble"
units = "mm"

[stock.card]
material = "card-200"
sheet = "A4"

[[piece]]
name = "card"
stock = "card"
outline = { rectangle = [180, 120] }

  [[piece.fold]]
  name = "gutter"
  sense = "valley"
  points = [[90, 0], [90, 120]]
"""
RULES = """\
name = "Islands"
dated = 2026-03-01
source = "the counter"
basis = "asked there"

[[service]]
name = "island-letter"

  [[service.rule]]
  measure = "length"
  most = 100
"""


def write(folder: Path, more: str) -> str:
    file = folder / "card.toml"
    file.write_text(CARD + more, encoding="utf-8")
    return str(file)


def test_a_design_without_an_envelope(foldwright: Callable[..., Ran], tmp_path: Path) -> None:
    ran = foldwright("prove", write(tmp_path, ""), "--json")
    assert (ran.status, ran.json["envelope"], ran.json["post"]) == (0, None, [])


def test_the_keys_of_an_own_envelope(foldwright: Callable[..., Ran], tmp_path: Path) -> None:
    design = write(tmp_path, '[envelope]\nform = "square-blank"\nstock = "card"\n')
    found = foldwright("prove", design, "--json").json
    envelope = found["envelope"]
    assert (envelope["form"], envelope["name"], envelope["sheet"]) == ("square-blank", None, "A4")
    # 120 + 6 + 0.46 and 90 + 6 + 0.46, up to the next half millimetre.
    assert envelope["needed_mm"] == [126.46, 96.46]
    assert envelope["inside_mm"] == [126.5, 96.5]
    assert envelope["play_mm"] == [6.5, 6.5]
    assert envelope["blank_mm"] == [170, 170]
    assert {fold["sense"] for fold in envelope["folds"]} == {"valley"}
    assert [fold["name"] for fold in envelope["folds"]] == ["right", "upper", "left", "lower"]
    assert {one["verdict"] for one in found["post"]} <= {"good", "surcharge", "no"}
    assert all(one["dated"] for one in found["post"])


def test_what_is_told_on_the_terminal(foldwright: Callable[..., Ran], tmp_path: Path) -> None:
    ran = foldwright("prove", write(tmp_path, '[envelope]\nform = "standard"\nstandard = "C6"\n'))
    assert ran.status == 0
    assert "envelope: C6 (ISO 269), 162 mm by 114 mm; play 42 mm and 24 mm" in ran.out
    assert "; they change, so ask your post:\n" in ran.out
    assert "\n  uk-letter: good\n" in ran.out
    assert ran.rules == ["envelope-paper-assumed"]


def test_an_envelope_that_is_too_small_stops(
    foldwright: Callable[..., Ran], tmp_path: Path
) -> None:
    design = write(tmp_path, '[envelope]\nform = "standard"\nstandard = "C7/C6"\n')
    ran = foldwright("prove", design, "--json")
    assert (ran.status, ran.json["proven"]) == (1, False)
    assert ran.json["envelope"]["inside_mm"] is None
    assert "envelope-too-small" in [one["rule"] for one in ran.json["findings"]]


def test_a_file_of_rules_takes_the_place_of_all(
    foldwright: Callable[..., Ran], tmp_path: Path
) -> None:
    rules = tmp_path / "post.toml"
    rules.write_text(RULES, encoding="utf-8")
    design = write(tmp_path, '[envelope]\nform = "standard"\n[limits]\npost = ["island-letter"]\n')
    ran = foldwright("prove", design, "--post", str(rules), "--json")
    (answer,) = ran.json["post"]
    length = ran.json["envelope"]["inside_mm"][0]
    assert answer["fails"] == [
        {"rule": "length", "too": "large", "by": length - 100, "unit": "mm", "verdict": "no"}
    ]
    assert ran.status == 1
    # It is read even where nothing asks for it, so that what is wrong in it is told.
    rules.write_text("name = 3\n", encoding="utf-8")
    wrong = foldwright("prove", write(tmp_path, ""), "--post", str(rules))
    assert (wrong.status, "wrong-type" in wrong.rules) == (2, True)


def test_every_variant_has_its_envelope(foldwright: Callable[..., Ran], tmp_path: Path) -> None:
    more = (
        '[envelope]\nform = "standard"\nclearance_each_side = "spare"\n'
        "[measures]\nspare = 3\n[variant.wide]\nmeasures = { spare = 40 }\n"
    )
    found = foldwright("prove", write(tmp_path, more), "--all-variants", "--json").json
    needed = [one["envelope"]["needed_mm"] for one in (found, *found["variants"])]
    assert needed == [[126.46, 96.46], [200.46, 170.46]]


@pytest.mark.parametrize("form", ["square-blank", "four-flap"])
def test_the_blank_is_drawn(foldwright: Callable[..., Ran], tmp_path: Path, form: str) -> None:
    design = write(tmp_path, f'[envelope]\nform = "{form}"\n')
    picture = tmp_path / "envelope.svg"
    ran = foldwright("prove", design, "--picture", str(picture), "--envelope")
    assert ran.status == 0
    assert "the picture of the envelope" in ran.out
    text = " ".join(ET.parse(picture).getroot().itertext())
    # Folds from the corners along an edge: S - a / sqrt 2 and S - b / sqrt 2 on the square of 170,
    # from the side of the blank of four flaps.
    for words in (
        ("80.6 mm", "101.8 mm", "170 mm") if form == "square-blank" else ("20 mm", "146.5 mm")
    ):
        assert words in text
    assert "valley fold" in text


@pytest.mark.parametrize(
    ("envelope", "options", "rule"),
    [
        ('form = "standard"', ["--picture", "a.svg", "--envelope"], "envelope-not-drawn"),
        ('form = "four-flap"', ["--envelope"], "envelope-without-picture"),
        (
            'form = "four-flap"',
            ["--picture", "a.svg", "--envelope", "--pose", "closed"],
            "envelope-in-a-pose",
        ),
    ],
)
def test_what_cannot_be_drawn_is_told(
    foldwright: Callable[..., Ran],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    envelope: str,
    options: list[str],
    rule: str,
) -> None:
    monkeypatch.chdir(tmp_path)
    ran = foldwright("prove", write(tmp_path, f"[envelope]\n{envelope}\n"), *options)
    assert ran.status == 2
    assert ran.rules[-1] == rule
    assert not (tmp_path / "a.svg").exists()
