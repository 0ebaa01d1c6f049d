"""Bad input of every kind: one clear line with file and line, status 2, nothing half-written."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., Any]
Write = Callable[[str], Path]

CARD = """\
format = 1
name = "plain card"
units = "mm"

[stock.card]
material = "card-200"

[[piece]]
name = "base"
stock = "card"
outline = { rectangle = [100, 140] }

  [[piece.fold]]
  name = "spine"
  sense = "valley"
  points = [[0, 70], [100, 70]]
"""
EXPORT = ("--material", "card-200", "--tool", "knife")


def without(text: str, part: str, instead: str = "") -> str:
    assert part in text
    return text.replace(part, instead)


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


BAD_TEXTS = {
    "not TOML": (without(CARD, "[[piece]]", "[[piece]"), "[[piece]", "not-toml"),
    "a text for a length": (
        without(CARD, "[100, 140] }", '[100, "wide open"] }'),
        "outline =",
        None,
    ),
    "a flag for a text": (without(CARD, '"spine"', "true"), "name = true", "wrong-type"),
    "an angle for a length": (without(CARD, "[100, 140]", '[100, "140 deg"]'), "outline =", None),
    "an unknown key": (without(CARD, "sense = ", "sence = "), "sence =", "unknown-key"),
    "an unknown unit": (without(CARD, '"mm"', '"ell"'), "units =", None),
    "an unknown name": (without(CARD, "[100, 140]", '["wide", 140]'), "outline =", None),
    "division by zero": (without(CARD, "[100, 140]", '["100 / 0", 140]'), "outline =", None),
    "over 10 m": (without(CARD, "[100, 140]", "[100, 10001]"), "outline =", None),
    "not finite": (without(CARD, "[100, 140]", "[100, inf]"), "outline =", None),
    "an empty piece": (without(CARD, "[100, 140]", "[100, 0]"), "outline =", None),
    "no outline": (without(CARD, "outline = { rectangle = [100, 140] }"), "[[piece]]", None),
    "a cycle": (CARD + '\n[measures]\na = "b"\nb = "a"\n', 'a = "b"', None),
}


@pytest.mark.parametrize("name", BAD_TEXTS)
@pytest.mark.parametrize("command", ["prove", "export"])
def test_a_bad_text_is_told_with_its_line(
    foldwright: Run, design: Write, tmp_path: Path, name: str, command: str
) -> None:
    text, wrong, rule = BAD_TEXTS[name]
    file = design(text)
    to = tmp_path / "out"
    more = () if command == "prove" else (*EXPORT, "--to", to)
    ran = foldwright(command, file, *more)
    assert ran.status == 2
    assert ran.out == ""
    lines = ran.err.splitlines()
    assert any(line.startswith(f"{file}:{line_of(text, wrong)}: stop: ") for line in lines), ran.err
    if rule is not None:
        assert rule in ran.rules
    assert not to.exists()
    told = foldwright(command, file, *more, "--json")
    assert told.status == 2
    assert [finding["line"] for finding in told.json["findings"]] == [
        int(line.removeprefix(f"{file}:").partition(":")[0]) for line in lines
    ]


def test_the_nearest_known_key_is_named(foldwright: Run, design: Write) -> None:
    ran = foldwright("prove", design(without(CARD, "sense = ", "sence = ")))
    assert '"sense"' in ran.err


def test_all_problems_come_at_once(foldwright: Run, design: Write) -> None:
    text = CARD.replace('"mm"', '"ell"').replace("sense = ", "sence = ").replace("140]", "inf]")
    ran = foldwright("prove", design(text))
    assert ran.status == 2
    assert len(ran.err.splitlines()) >= 3


@pytest.mark.parametrize("command", ["prove", "export"])
def test_a_missing_file(foldwright: Run, tmp_path: Path, command: str) -> None:
    missing = tmp_path / "missing.toml"
    more = () if command == "prove" else (*EXPORT, "--to", tmp_path / "out")
    ran = foldwright(command, missing, *more)
    assert (ran.status, ran.out, len(ran.err.splitlines())) == (2, "", 1)
    assert ran.err.startswith(f"{missing}: stop: ")
    assert foldwright(command, missing, *more, "--json").json["findings"][0]["file"] == str(missing)


def test_a_folder_for_a_design(foldwright: Run, tmp_path: Path) -> None:
    ran = foldwright("prove", tmp_path)
    assert (ran.status, len(ran.err.splitlines())) == (2, 1)


def test_bytes_that_are_no_text(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "card.toml"
    file.write_bytes(b'name = "\xff\xfe"\n')
    ran = foldwright("prove", file)
    assert (ran.status, len(ran.err.splitlines())) == (2, 1)


def test_a_path_that_no_system_takes(foldwright: Run) -> None:
    ran = foldwright("prove", "a\0b.toml")
    assert (ran.status, len(ran.err.splitlines())) == (2, 1)


def test_a_million_points(foldwright: Run, design: Write) -> None:
    points = ",".join(f"[{i},{i * i}]" for i in range(1_000_000))
    file = design(without(CARD, "rectangle = [100, 140]", f"polygon = [{points}]"))
    ran = foldwright("prove", file)
    assert ran.status == 2
    assert len(ran.err.splitlines()) == 1


def test_nesting_without_end(foldwright: Run, design: Write) -> None:
    ran = foldwright("prove", design(f"{CARD}\n[measures]\na = {'[' * 5000}{']' * 5000}\n"))
    assert ran.status == 2
    deep = "(" * 5000 + "1" + ")" * 5000
    ran = foldwright("prove", design(f'{CARD}\n[measures]\na = "{deep}"\n'))
    assert ran.status == 2


@pytest.mark.parametrize(
    "name", ["../outside", "/tmp/absolute", "a/b", "c:\\d", "..", "CON", "a\\nb"]
)
def test_a_name_with_a_path_in_it_stays_in_the_folder(
    foldwright: Run, design: Write, tmp_path: Path, name: str
) -> None:
    written = name.replace("\\", "\\\\") if "\\n" not in name else name
    file = design(without(CARD, 'name = "base"', f'name = "{written}"'))
    before = sorted(path for path in tmp_path.parent.rglob("*"))
    to = tmp_path / "inner" / "out"
    ran = foldwright("export", file, *EXPORT, "--to", to)
    assert ran.status in (0, 2)
    new = [path for path in tmp_path.parent.rglob("*") if path not in before]
    if ran.status == 2:
        assert new == []
        assert "stop: " in ran.err
    else:
        assert {path for path in new if path.is_file()} == set(to.iterdir())
        assert len(list(to.iterdir())) == 2


def test_an_unknown_material_names_the_nearest(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--material", "card-2000")
    assert ran.status == 2
    assert '"card-200"' in ran.err


def test_an_unknown_stock(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--material", "lining=card-200")
    assert ran.status == 2
    assert '"lining"' in ran.err


def test_an_unknown_variant(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--variant", "imperial")
    assert ran.status == 2
    assert '"imperial"' in ran.err


def test_an_unknown_measure(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--set", "treat=30")
    assert ran.status == 2
    assert '"tread"' in ran.err


def test_an_unknown_format(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    to = tmp_path / "out"
    ran = foldwright("export", harbour, *EXPORT, "--to", to, "--format", "svg,dxff")
    assert ran.status == 2
    assert '"dxf"' in ran.err
    assert not to.exists()


def test_an_unknown_pattern(foldwright: Run) -> None:
    ran = foldwright("new", "side-step")
    assert (ran.status, ran.out) == (2, "")
    assert '"side-steps"' in ran.err


# Files and folders.  A superuser may write anywhere, so that a folder that takes
# nothing is had by other means than its rights.


def kept(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_file_in_place_of_the_folder(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    to = tmp_path / "out"
    to.write_text("mine")
    ran = foldwright("export", harbour, *EXPORT, "--to", to)
    assert ran.status == 2
    assert ran.rules[-1] == "folder-is-a-file"
    assert to.read_text() == "mine"


@pytest.mark.parametrize("number", [errno.EROFS, errno.EACCES])
def test_a_read_only_folder(
    foldwright: Run, harbour: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    to = tmp_path / "out"
    to.mkdir()
    real = os.open

    def refused(path: Any, flags: int, *more: Any, **named: Any) -> int:
        if str(path).startswith(str(to)) and flags & os.O_CREAT:
            raise OSError(number, os.strerror(number), str(path))
        return real(path, flags, *more, **named)

    monkeypatch.setattr(os, "open", refused)
    ran = foldwright("export", harbour, *EXPORT, "--to", to)
    assert ran.status == 2
    assert ran.rules[-1] == "read-only"
    assert kept(to) == {}
