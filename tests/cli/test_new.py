"""The command new: a design file that proves as it is, and never in the place of another."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.plugins import Group, names

Run = Callable[..., Any]


@pytest.mark.parametrize("pattern", names(Group.PATTERNS))
@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_file_proves_as_it_is(
    foldwright: Run, tmp_path: Path, pattern: str, units: str
) -> None:
    file = tmp_path / "my card.toml"
    ran = foldwright("new", pattern, "--to", file, "--units", units)
    assert (ran.status, ran.err) == (0, "")
    assert ran.out.startswith(f"wrote {file}; prove it with: foldwright prove '")
    printed = foldwright("new", pattern, "--units", units)
    assert (printed.status, printed.err) == (0, "")
    named = printed.out.replace(f'name    = "{pattern}"', 'name    = "my card"')
    assert file.read_text(encoding="utf-8") == named
    proof = foldwright("prove", file, "--json")
    assert proof.status == 0
    assert (proof.json["design"], proof.json["verdict"]) == ("my card", "closes")


def test_a_file_is_never_replaced(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "card.toml"
    file.write_text("mine")
    ran = foldwright("new", "half-fold", "--to", file)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["file-exists"])
    assert file.read_text() == "mine"


@pytest.mark.parametrize("name", ["missing/card.toml", "plain/card.toml", "a\0b.toml"])
def test_a_place_that_takes_no_file(foldwright: Run, tmp_path: Path, name: str) -> None:
    (tmp_path / "plain").write_text("a file")
    ran = foldwright("new", "half-fold", "--to", tmp_path / name)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["cannot-write-here"])


def test_a_full_disk_leaves_nothing(
    foldwright: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "card.toml"
    real = Path.open

    def full(self: Path, *given: Any, **named: Any) -> Any:
        stream = real(self, *given, **named)
        if self == file:

            def write(text: str) -> int:
                raise OSError(errno.ENOSPC, "No space left on device")

            monkeypatch.setattr(stream, "write", write, raising=False)
        return stream

    monkeypatch.setattr(Path, "open", full)
    ran = foldwright("new", "half-fold", "--to", file)
    assert (ran.status, ran.rules) == (2, ["cannot-write-here"])
    assert "no space left on device" in ran.err
    assert not file.exists()


def test_its_json(foldwright: Run, tmp_path: Path) -> None:
    ran = foldwright("new", "side-steps", "--json")
    assert ran.status == 0
    assert (ran.json["pattern"], ran.json["units"], ran.json["path"]) == ("side-steps", "mm", None)
    assert ran.json["text"] == foldwright("new", "side-steps").out
    file = tmp_path / "card.toml"
    ran = foldwright("new", "side-steps", "--to", file, "--units", "in", "--json")
    assert (ran.json["units"], ran.json["path"]) == ("in", str(file))
    assert file.exists()


@pytest.mark.parametrize("stem", ["aa..b", "CON", " lead", "a:b"])
def test_a_file_whose_name_cannot_be_a_design_s(foldwright: Run, tmp_path: Path, stem: str) -> None:
    file = tmp_path / f"{stem}.toml"
    ran = foldwright("new", "half-fold", "--to", file, "--json")
    assert (ran.status, ran.rules) == (0, ["named-by-its-pattern"])
    assert [found["rule"] for found in ran.json["findings"]] == ["named-by-its-pattern"]
    proof = foldwright("prove", file, "--json")
    assert (proof.status, proof.json["design"]) == (0, "half-fold")


@pytest.mark.parametrize("units", ["mm", "in"])
def test_it_starts_with_the_values_that_are_set(
    foldwright: Run, tmp_path: Path, units: str
) -> None:
    file = tmp_path / "card.toml"
    given = ["--set", "tread=28 mm", "--set", "steps=1", "--set", "width=5 1/2 in"]
    assert foldwright("new", "side-steps", "--to", file, "--units", units, *given).status == 0
    text = file.read_text(encoding="utf-8")
    assert '= "28 mm"' in text
    assert "= { number = 1 }" in text
    proof = foldwright("prove", file, "--json").json
    assert (proof["verdict"], proof["closed"]["width_mm"]) == ("closes", 139.7)
    assert proof["pieces"][0]["folds"] == 4


@pytest.mark.parametrize(
    ("value", "rule"),
    [("tred=3", "unknown-measure"), ("tread=300", "above-most"), ("tread=3 +", "measure-syntax")],
)
def test_values_that_the_pattern_does_not_take_write_nothing(
    foldwright: Run, tmp_path: Path, value: str, rule: str
) -> None:
    file = tmp_path / "card.toml"
    ran = foldwright("new", "side-steps", "--to", file, "--set", value)
    assert (ran.status, ran.out) == (2, "")
    assert rule in ran.rules
    assert not file.exists()
