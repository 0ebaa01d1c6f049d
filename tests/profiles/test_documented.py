"""This module holds the README's table of a material's keys against the reader of such files."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from foldwright.problems import ProfileError
from foldwright.profiles import Profile, Tool, load_material, way_for
from foldwright.profiles.make_up import BURNABLE
from foldwright.sources import Table

README = Path(__file__).parents[2] / "README.md"

Keys = tuple[str, ...]


def figure(value: float) -> str:
    return f'{{ is = {value}, basis = "invented for a test", confidence = "estimate" }}'


# Every key there is, with a value that is good for it, for the one tool X = laser.
VALUES = {
    "name": '"own"',
    "about": '"a card"',
    "based_on": '"text-120"',
    "made_of": '"paper"',
    "grain": '"long"',
    "cautions": '["Mind it."]',
    "tool.X.cautions": '["Mind that."]',
    "tool.X.refused": '"it melts"',
    "tool.X.kerf": figure(0.1),
    "tool.X.kerf_y": figure(0.1),
    "tool.X.score.work": '"half-cut"',
    "tool.X.score.valleys_from": '"front"',
    "tool.X.slit.work": '"through"',
    "tool.X.slit.bridged": "true",
    "tool.X.slit.end": '"full"',
    "tool.X.slit.tear": '"half-cut"',
    "tool.X.bridge.pitch": figure(40),
    "tool.X.waste.pitch": figure(40),
}


def rows() -> dict[str, str]:
    """Each key of the table, and whether it is needed."""
    lines = README.read_text("utf-8").splitlines()
    start = lines.index("| key of a material | needed | means |") + 2
    found: dict[str, str] = {}
    for line in lines[start:]:
        if not line.startswith("|"):
            break
        keys, needed, _ = (cell.strip() for cell in line.strip("|").split("|"))
        found |= dict.fromkeys(re.findall("`([^`]+)`", keys), needed)
    return found


def loaded(folder: Path, keys: Keys) -> Profile:
    """The material of a file that has these keys."""
    lines = [
        f"{key.replace('X', 'laser')} = {VALUES.get(key, figure(0.5))}" for key in sorted(keys)
    ]
    path = folder / "own.toml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return load_material(str(path))


# A file that rests on nothing and refuses nothing.
WHOLE = tuple(key for key in rows() if key not in ("based_on", "tool.X.refused"))


def test_the_table_names_every_key_that_the_reader_asks_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: set[Keys] = set()
    plain = Table.raw

    def noting(self: Any, key: str, **rest: Any) -> object:
        asked.add((*self.path, key))
        return plain(self, key, **rest)

    monkeypatch.setattr(Table, "raw", noting)
    # Keys that are none would be refused here.
    loaded(tmp_path, (*WHOLE, "based_on"))
    inside = ("is", "basis", "confidence")
    told = {
        ".".join("X" if part in set(Tool) else part for part in path)
        for path in asked
        if path[-1] not in inside
    }
    tables = {"tool", "tool.X", "tool.X.score.dashes"} | {
        f"tool.X.{name}" for name in ("score", "bridge", "waste", "slit", "perforation")
    }
    assert told - tables == set(rows())


@pytest.mark.parametrize("key", WHOLE)
def test_what_the_table_calls_needed_is_needed(key: str, tmp_path: Path) -> None:
    rest = tuple(one for one in WHOLE if one != key)
    if rows()[key] in ("yes", "with a size"):
        with pytest.raises(ProfileError) as caught:
            loaded(tmp_path, rest)
        assert {one.rule for one in caught.value.problems} == {"missing-key"}
    else:
        loaded(tmp_path, rest)


def test_a_refused_tool_needs_nothing_more(tmp_path: Path) -> None:
    keys = tuple(key for key in WHOLE if not key.startswith("tool."))
    assert loaded(tmp_path, (*keys, "tool.X.refused")).tools[Tool.LASER].refused == "it melts"


def test_what_the_table_needs_for_a_laser_is_needed_for_it(tmp_path: Path) -> None:
    assert [key for key, needed in rows().items() if needed == "for a laser"] == ["made_of"]
    assert way_for(loaded(tmp_path, WHOLE), Tool.LASER).kerf is not None
    with pytest.raises(ProfileError, match="unknown-make-up"):
        way_for(loaded(tmp_path, tuple(key for key in WHOLE if key != "made_of")), Tool.LASER)


def test_the_table_names_all_that_may_be_burned() -> None:
    (line,) = (one for one in README.read_text("utf-8").splitlines() if "| `made_of` |" in one)
    assert tuple(re.findall('`"([^"]+)"`', line)) == BURNABLE
