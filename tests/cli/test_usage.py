"""The command line itself: help, version, wrong usage, interrupted and broken output."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import foldwright as package
from foldwright.cli.arguments import COMMANDS

Run = Callable[..., Any]


def test_help_names_every_command_and_glosses_the_words(foldwright: Run) -> None:
    ran = foldwright("--help")
    assert ran.status == 0
    assert ran.out.partition("words:")[2] in foldwright("prove", "--help").out
    for command in COMMANDS:
        assert f"    {command} " in ran.out
    words = ("does it fold?", "paper thickness", "layer of paper", "ring of panels")
    for gloss in (*words, "too short", "too long"):
        assert gloss in ran.out
    assert ran.err == ""


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_has_help_and_takes_json(foldwright: Run, command: str) -> None:
    ran = foldwright(command, "--help")
    assert ran.status == 0
    assert f"usage: foldwright {command}" in ran.out
    assert "--json" in ran.out


def test_version_is_that_of_the_distribution(foldwright: Run) -> None:
    from importlib.metadata import version

    ran = foldwright("--version")
    assert (ran.status, ran.out) == (0, f"foldwright {version('foldwright')}\n")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "the following arguments are required: COMMAND"),
        (["bend"], '"bend"'),
        (["prove"], "the following arguments are required: DESIGN"),
        (["prove", "a.toml", "--materiel", "card-200"], "unrecognized arguments: --materiel"),
        (["prove", "a.toml", "--mat", "card-200"], "unrecognized arguments: --mat"),
        (["prove", "a.toml", "--tool", "scissors"], '"scissors"'),
        (["prove", "a.toml", "--set", "tread"], '"tread" is not NAME=VALUE'),
        (["prove", "a.toml", "--set", "=3"], '"=3" is not NAME=VALUE'),
        (["export", "a.toml", "--to", "x"], "required: --tool"),
        (["export", "a.toml", "--tool", "knife"], "required: --to"),
        (["list", "shops"], '"shops"'),
        (["new"], "the following arguments are required: PATTERN"),
        (["prove", ""], "DESIGN: the value is empty"),
        (["prove", "a.toml", "--material", ""], "--material: the value is empty"),
        (["prove", "a.toml", "--material", "card="], '"card=" is not NAME or STOCK=NAME'),
        (["export", "a.toml", "--tool", "knife", "--to", ""], "--to: the value is empty"),
        (["export", "a.toml", "--format", " "], "--format: the value is empty"),
        (["new", "half-fold", "--to", ""], "--to: the value is empty"),
        (["prove", "a.toml", "--tool", "hand", "--tool", "laser"], "--tool: it is given twice"),
        (["prove", "a.toml", "--set", "b=30", "--set", "b=31"], '"b" is given twice'),
        (
            ["prove", "a.toml", "--material", "card=card-200", "--material", "card=card-300"],
            '"card" is given twice; leave one of the two out',
        ),
        (
            ["prove", "a.toml", "--material", "card-200", "--material", "./a=b.toml"],
            "what serves every stock is given twice",
        ),
    ],
)
def test_wrong_usage_is_one_line_and_status_2(
    foldwright: Run, arguments: list[str], says: str
) -> None:
    ran = foldwright(*arguments)
    assert ran.status == 2
    assert ran.out == ""
    (last,) = ran.err.splitlines()
    assert last.startswith("stop: ")
    assert says in last
    assert last.endswith('--help" (bad-usage)')


def test_options_for_two_stocks_or_measures_may_be_repeated(foldwright: Run) -> None:
    ran = foldwright(
        "prove", "nowhere.toml", "--set", "a=1", "--set", "b=1",
        "--material", "card=card-200", "--material", "text-120",
    )  # fmt: skip
    assert "twice" not in ran.err
    assert "nowhere.toml" in ran.err


def test_wrong_usage_is_json_as_well(foldwright: Run) -> None:
    ran = foldwright("prove", "a.toml", "--tool", "scissors", "--json")
    assert ran.status == 2
    assert [finding["rule"] for finding in ran.json["findings"]] == ["bad-usage"]


@pytest.mark.parametrize("start", [[sys.executable, "-m", "foldwright"], ["foldwright"]])
def test_both_ways_to_start_are_the_same(start: list[str]) -> None:
    if start == ["foldwright"]:
        start = [str(Path(sys.executable).with_name("foldwright"))]
    done = subprocess.run([*start, "--help"], capture_output=True, text=True, check=True)
    assert done.stdout.startswith("usage: foldwright [-h]")


def test_a_full_disk_behind_the_output_is_told(process: Run) -> None:
    full = Path("/dev/full")
    if not full.exists():  # the device is Linux's own; elsewhere a closed file does as well
        ran = process("list", stdout=subprocess.DEVNULL)
        assert ran.status == 0
        return
    with full.open("w") as out:
        ran = process("list", stdout=out)
    assert ran.status == 2
    assert ran.rules == ["output-failed"]


def test_a_reader_that_leaves_early_is_no_error(tmp_path: Path) -> None:
    code = (
        "import os, subprocess, sys\n"
        "read, write = os.pipe()\n"
        "os.close(read)\n"
        "done = subprocess.run([sys.executable, '-m', 'foldwright', 'list', '--json'],"
        " stdout=write, stderr=subprocess.PIPE)\n"
        "print(done.returncode, done.stderr.decode())\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "141"


def test_an_interrupt_is_130_without_a_word(
    foldwright: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    def interrupted(options: object) -> int:
        raise KeyboardInterrupt

    monkeypatch.setattr("foldwright.cli.list.run", interrupted)
    ran = foldwright("list")
    assert (ran.status, ran.err) == (130, "")


def test_letters_that_the_terminal_lacks_are_escaped(process: Run, tmp_path: Path) -> None:
    missing = tmp_path / "Würfel ≥.toml"
    ran = process("prove", missing, environment={"PYTHONIOENCODING": "ascii"})
    assert ran.status == 2
    assert "W\\xfcrfel \\u2265.toml" in ran.err


def test_the_public_names_are_all_there() -> None:
    for name in package.__all__:
        assert getattr(package, name).__name__ == name
    assert dir(package) == sorted(package.__all__)
    with pytest.raises(AttributeError, match="fold_it"):
        package.fold_it  # noqa: B018
