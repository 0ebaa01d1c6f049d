"""Occasions on the command line: listed, and written as they ship."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.occasions import find, names
from tests.cli.shapes import Maybe, fits

Run = Callable[..., Any]

ROW = {
    "name": str,
    "distribution": str,
    "version": str,
    "state": {"good"},
    "about": str,
    "occasion": str,
    "pattern": Maybe(str),
    "editions": [str],
}


def text_of(name: str) -> str:
    found = find(name)
    assert found is not None
    return found.text


def changed(old: str, new: str) -> list[tuple[str, str]]:
    """The lines that differ between two texts of equally many lines."""
    lines = zip(old.splitlines(), new.splitlines(), strict=True)
    return [(before, after) for before, after in lines if before != after]


class TestListed:
    def test_its_json(self, foldwright: Run) -> None:
        ran = foldwright("list", "occasions", "--json")
        assert (ran.status, ran.err) == (0, "")
        assert fits(ran.json, {"occasions": [ROW]})
        assert [row["name"] for row in ran.json["occasions"]] == list(names())
        (train,) = [row for row in ran.json["occasions"] if row["name"] == "night-train"]
        assert (train["occasion"], train["pattern"]) == ("Farewell", "accordion")
        assert train["editions"] == ["inch", "longer"]

    def test_what_a_person_reads(self, foldwright: Run) -> None:
        ran = foldwright("list", "occasions")
        assert (ran.status, ran.err) == (0, "")
        assert ran.out.startswith("occasions:\n")
        for name in names():
            assert f"\n  {name}: " in ran.out
        assert "pattern accordion; variants inch, longer\n" in ran.out
        assert "written out; variants inch, stiff\n" in ran.out

    def test_they_are_part_of_all_that_is_installed(self, foldwright: Run) -> None:
        assert "\n\noccasions:\n" in foldwright("list").out
        assert list(foldwright("list", "--json").json) == [
            "patterns",
            "materials",
            "writers",
            "occasions",
        ]


class TestWritten:
    @pytest.mark.parametrize("name", names())
    def test_as_it_ships(self, foldwright: Run, tmp_path: Path, name: str) -> None:
        file = tmp_path / "for a friend.toml"
        ran = foldwright("new", name, "--to", file)
        assert (ran.status, ran.err) == (0, "")
        assert ran.out.startswith(f"wrote {file}; prove it with: foldwright prove '")
        assert file.read_text(encoding="utf-8") == text_of(name)
        printed = foldwright("new", name)
        assert (printed.status, printed.out) == (0, text_of(name))

    def test_its_json(self, foldwright: Run, tmp_path: Path) -> None:
        ran = foldwright("new", "lantern-bridge", "--json")
        assert ran.status == 0
        assert ran.json == {
            "pattern": None,
            "occasion": "lantern-bridge",
            "units": "mm",
            "written_out": True,
            "path": None,
            "text": text_of("lantern-bridge"),
            "findings": [],
        }
        file = tmp_path / "train.toml"
        ran = foldwright("new", "night-train", "--json", "--to", file)
        assert (ran.json["pattern"], ran.json["path"]) == ("accordion", str(file))
        assert "text" not in ran.json

    def test_a_file_is_never_replaced(self, foldwright: Run, tmp_path: Path) -> None:
        file = tmp_path / "card.toml"
        file.write_text("mine")
        ran = foldwright("new", "night-train", "--to", file)
        assert (ran.status, ran.rules) == (2, ["file-exists"])
        assert file.read_text() == "mine"

    def test_only_the_measures_that_are_set_change(self, foldwright: Run) -> None:
        ran = foldwright("new", "night-train", "--set", "panels=6", "--set", "margin=1/8 in")
        assert (ran.status, ran.err) == (0, "")
        assert changed(text_of("night-train"), ran.out) == [
            (
                "panels   = { number = 4 }       # engine, coaches and van",
                "panels   = { number = 6 }       # engine, coaches and van",
            ),
            (
                "margin   = 4                    # of card round each mat",
                'margin   = "1/8 in"                    # of card round each mat',
            ),
        ]

    def test_a_measure_of_its_pattern_is_added(self, foldwright: Run, tmp_path: Path) -> None:
        file = tmp_path / "gate.toml"
        assert foldwright("new", "orchard-gate", "--set", "left=50", "--to", file).status == 0
        assert "\nleft = 50\n" in file.read_text(encoding="utf-8")
        assert foldwright("prove", file).status == 0

    @pytest.mark.parametrize(
        ("name", "given", "rule"),
        [
            ("night-train", "pans=4", "unknown-measure"),
            ("night-train", "panels=40", "above-most"),
            ("beach-huts", "hut=20", "below-least"),
            ("beach-huts", "hut=20 +", "measure-syntax"),
        ],
    )
    def test_measures_that_it_does_not_take(
        self, foldwright: Run, tmp_path: Path, name: str, given: str, rule: str
    ) -> None:
        file = tmp_path / "card.toml"
        ran = foldwright("new", name, "--set", given, "--to", file)
        assert ran.status == 2
        assert rule in ran.rules
        assert not file.exists()

    def test_the_mirror_image_of_every_edition(self, foldwright: Run, tmp_path: Path) -> None:
        file = tmp_path / "stair.toml"
        assert foldwright("new", "lighthouse-stair", "--mirrored", "--to", file).status == 0
        ran = foldwright("prove", file, "--json", "--all-variants")
        assert ran.status == 0
        here = (ran.json["mirrored"], [one["mirrored"] for one in ran.json["variants"]])
        assert here == (True, [True, False])
        assert file.read_text(encoding="utf-8").startswith("# Exam passed: ")


class TestRefused:
    @pytest.mark.parametrize(
        ("given", "told"),
        [
            (("--units", "in"), "prove and export it with --variant inch"),
            (("--written-out",), "foldwright new accordion --written-out"),
            (("--mats",), "its mats stand in the file"),
            (("--scale", "2"), "prove and export the file with --scale"),
            (("--scale-to", "A6"), "prove and export the file with --scale-to"),
        ],
    )
    def test_options_of_a_pattern(
        self, foldwright: Run, tmp_path: Path, given: tuple[str, ...], told: str
    ) -> None:
        file = tmp_path / "card.toml"
        ran = foldwright("new", "night-train", *given, "--to", file)
        assert (ran.status, ran.out, ran.rules) == (2, "", ["not-of-an-occasion"])
        assert told in ran.err
        assert f"leave {given[0]}" in ran.err
        assert not file.exists()

    def test_all_of_them_are_told_at_once(self, foldwright: Run) -> None:
        ran = foldwright("new", "beach-huts", "--mats", "--written-out", "--scale", "2")
        assert ran.rules == ["not-of-an-occasion"] * 3
        assert "its pieces stand in the file" in ran.err

    @pytest.mark.parametrize(
        ("name", "near"), [("night-trian", "night-train"), ("side-stepps", "side-steps")]
    )
    def test_a_name_that_is_none_names_the_nearest(
        self, foldwright: Run, name: str, near: str
    ) -> None:
        ran = foldwright("new", name)
        assert (ran.status, ran.rules) == (2, ["unknown-plug-in"])
        assert f'there is no pattern or occasion called "{name}"; did you mean "{near}"?' in ran.err

    def test_a_name_that_is_like_nothing(self, foldwright: Run) -> None:
        ran = foldwright("new", "qqq")
        assert (ran.status, ran.rules) == (2, ["unknown-plug-in"])
        assert "foldwright list occasions" in ran.err


def test_a_pattern_of_the_same_name_comes_first(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Somebody's own distribution may register any name.
    monkeypatch.setattr("foldwright.occasions.catalogue.names", lambda: ("half-fold",))
    ran = foldwright("new", "half-fold", "--json")
    assert (ran.json["pattern"], ran.json["occasion"]) == ("half-fold", None)


def test_a_variant_that_does_not_take_what_is_set_is_told(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "stall.toml"
    given = ("--set", "steps=3", "--set", "tread=20", "--set", "riser=22")
    ran = foldwright("new", "flower-stall", "--to", file, "--json", *given)
    told = ran.json["findings"]
    assert (ran.status, [one["rule"] for one in told]) == (0, ["variant-refuses"] * 2)
    assert (
        'the variant "inch" of the file does not take this: the measure "riser" is'
        in (told[0]["message"])
    )
    # And so it is: what `new` tells `prove` says of the same file.
    assert foldwright("prove", file).status == 0
    assert "above-most" in foldwright("prove", file, "--variant", "inch").rules


def test_what_all_variants_take_is_not_told(foldwright: Run) -> None:
    ran = foldwright("new", "flower-stall", "--json", "--set", "pot=17 mm")
    assert (ran.status, ran.json["findings"]) == (0, [])


def test_words_that_a_mirror_turns_round_are_told(foldwright: Run) -> None:
    (one,) = foldwright("new", "beach-huts", "--mirrored", "--json").json["findings"]
    assert '"PARTY", "SUMMER", "TO OUR", "COME"' in one["message"]
    ran = foldwright("new", "beach-huts", "--mirrored")
    assert "all lines stand as for the right hand" in ran.out
