"""The documentation is run: every command, every output shown, the map, the tables, the picture."""

from __future__ import annotations

import ast
import json
import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from foldwright.cli.arguments import COMMANDS
from foldwright.design import load_pattern, parse_design
from foldwright.geometry import Point, polygon
from foldwright.occasions import shipped as occasions
from foldwright.plugins import Group, names
from foldwright.problems.rules import STAGES

ROOT = Path(__file__).parents[1]
README = ROOT / "README.md"
DEVELOPERS = ROOT / "DEVELOPERS.md"
PICTURE = ROOT / "tests" / "golden" / "harbour-steps" / "01-base-front.svg"

BEGIN, END = "<!-- rules: begin -->\n", "<!-- rules: end -->"


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update-goldens"))


@dataclass(frozen=True, slots=True)
class Shown:
    """A command as a page shows it, and what the page says that it prints."""

    command: str
    output: str


def blocks(text: str, kind: str) -> Iterator[str]:
    """The fenced blocks of one kind."""
    for found in re.finditer(rf"^```{kind}\n(.*?)^```$", text, re.DOTALL | re.MULTILINE):
        yield found[1]


def shown_in(block: str) -> list[Shown]:
    """The commands of a console block, each with the lines that follow it."""
    found: list[Shown] = []
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, _, output = part.partition("\n")
        found.append(Shown(command, output))
    return found


def run(command: str, folder: Path) -> tuple[int, str]:
    """Run a shown command in `folder`; its status and what a terminal would show."""
    words = shlex.split(command)
    assert words[0] == "foldwright", command
    done = subprocess.run(
        [sys.executable, "-m", "foldwright", *words[1:]],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        check=False,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1", "COLUMNS": "100"},
    )
    return done.returncode, done.stdout


@pytest.fixture
def tree(tmp_path: Path) -> Path:
    """The part of the tree that the commands of the README use, in a folder of its own."""
    shutil.copytree(ROOT / "tests" / "designs", tmp_path / "tests" / "designs")
    return tmp_path


def test_the_readme_shows_what_the_program_prints(tree: Path, update: bool) -> None:
    text = README.read_text(encoding="utf-8")
    consoles = list(blocks(text, "console"))
    assert consoles
    fresh = text
    for block in consoles:
        parts = []
        for shown in shown_in(block):
            status, output = run(shown.command, tree)
            assert "Traceback" not in output
            # A stop is a design that does not prove (1) or bad input (2).
            assert status in ((1, 2) if ": stop: " in output else (0,)), (shown.command, output)
            parts.append(f"$ {shown.command}\n{output}")
        fresh = fresh.replace(block, "".join(parts))
    if update:
        README.write_text(fresh, encoding="utf-8")
    else:
        assert text == fresh, "bring it up to date with pytest tests/test_docs.py --update-goldens"


def test_the_readme_shows_every_command() -> None:
    text = README.read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"`{command}" in text, command
        assert f"$ foldwright {command} " in text, command


def test_the_readme_names_everything_that_ships() -> None:
    text = README.read_text(encoding="utf-8")
    for group in (Group.PATTERNS, Group.MATERIALS, Group.WRITERS):
        for name in names(group):
            assert f"`{name}`" in text, name


def patterns_table() -> str:
    lines = ["| pattern | what it is |", "|---|---|"]
    for name in names(Group.PATTERNS):
        first, _, _ = load_pattern(name).about.partition(". ")
        lines.append(f"| `{name}` | {first.rstrip('.')} |")
    return "\n".join(lines) + "\n"


def occasions_table() -> str:
    lines = ["| occasion | for | what it is | starts from |", "|---|---|---|---|"]
    for one in occasions():
        pattern = parse_design(one.text).pattern
        made_of = "all of it in the file" if pattern is None else f"`{pattern}`"
        lines.append(f"| `{one.name}` | {one.occasion} | {one.about.rstrip('.')} | {made_of} |")
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("what", "made"), [("patterns", patterns_table), ("occasions", occasions_table)]
)
def test_the_tables_of_what_ships_are_fresh(
    what: str, made: Callable[[], str], update: bool
) -> None:
    text = README.read_text(encoding="utf-8")
    head, rest = text.split(f"<!-- {what}: begin -->\n")
    old, tail = rest.split(f"<!-- {what}: end -->\n")
    if update:
        old = made()
        begin, end = (f"<!-- {what}: {word} -->\n" for word in ("begin", "end"))
        README.write_text(head + begin + old + end + tail, encoding="utf-8")
    assert old == made(), "bring it up to date with --update-goldens"


def test_every_option_is_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")
    for command in COMMANDS:
        helped = subprocess.run(
            [sys.executable, "-m", "foldwright", command, "--help"],
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        options = set(re.findall(r"(?<!\w)--[a-z][a-z-]*", helped)) - {"--help"}
        assert options
        for option in options:
            assert f"`{option}" in text, (command, option)


def test_the_python_of_the_readme_runs(tree: Path) -> None:
    (code,) = blocks(README.read_text(encoding="utf-8"), "python")
    subprocess.run([sys.executable, "-c", code], cwd=tree, check=True)
    made = sorted(path.name for path in (tree / "cut-files").iterdir())
    assert made == ["01-base-front.dxf", "01-base-front.svg"]


def test_the_material_of_the_readme_is_one(tree: Path) -> None:
    (text,) = blocks(README.read_text(encoding="utf-8"), "toml")
    (tree / "kraft.toml").write_text(text, encoding="utf-8")
    design = "tests/designs/harbour-steps.toml"
    status, output = run(f"foldwright prove {design} --material kraft.toml --json", tree)
    assert status == 0, output
    assert '"material": "my kraft card"' in output


def keys_of_the_reader() -> set[str]:
    """Every key that the reader of designs asks a table for."""
    getters = {
        "array", "choice", "flag", "name", "named_tables", "number", "numbers", "pair", "raw",
        "read_all", "shape", "table", "tables", "text", "texts", "vertices", "whole", "_joint_end",
        "_row", "part_name", "_list",
    }  # fmt: skip
    keys: set[str] = set()
    for name in ("reader", "read_pieces", "read_values"):
        source = (ROOT / "vectors" / "design" / f"{name}.py").read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(source)):
            if not isinstance(node, ast.Call):
                continue
            function = node.func
            called = function.attr if isinstance(function, ast.Attribute) else (
                function.id if isinstance(function, ast.Name) else ""
            )  # fmt: skip
            if called in getters:
                for given in node.args[:2]:
                    if isinstance(given, ast.Constant) and isinstance(given.value, str):
                        keys.add(given.value)
    return keys


def test_every_key_of_a_design_file_is_in_the_readme() -> None:
    text = README.read_text(encoding="utf-8")
    rows = text[text.index("| key | means |") : text.index("A fold is called")]
    shown = {
        word for code in re.findall("`([^`]*)`", rows) for word in re.findall(r"[a-z_]+", code)
    }
    keys = keys_of_the_reader()
    assert {"format", "measures", "walk", "hide_bridges", "clearance_each_side"} <= keys
    assert sorted(keys - shown) == []


def test_the_json_of_the_readme_is_what_is_printed(tree: Path) -> None:
    text = README.read_text(encoding="utf-8")
    rows = text[text.index("| answer of | keys |") : text.index("More keys may come")]
    design = "tests/designs/harbour-steps.toml"
    for command, line in (
        ("prove", f"prove {design} --set spine_y=107 --json"),
        ("export", f"export {design} --tool knife --to cut-files --json"),
    ):
        row = next(row for row in rows.splitlines() if row.startswith(f"| `{command}`"))
        shown = set(re.findall(r"`(\w+)`", row.partition("|")[2].partition("|")[2]))
        _, output = run(f"foldwright {line}", tree)
        answer = json.loads(output[output.index("{\n") : output.rindex("\n}") + 2])
        keys = {key for found in every_object(answer) for key in found}
        assert sorted(shown - keys) == [], command


def test_the_keys_of_a_pose_in_the_readme_are_those_that_are_printed(tree: Path) -> None:
    text = README.read_text(encoding="utf-8")
    rows = [row for row in text.splitlines() if row.startswith("| one of `")]
    designs = ("v-fold-popup", "square-twist")
    answers = []
    for design in designs:
        _, output = run(f"foldwright prove tests/designs/{design}.toml --json", tree)
        answers.append(json.loads(output[output.index("{\n") : output.rindex("\n}") + 2]))
    for name in ("poses", "gluing"):
        (row,) = [row for row in rows if row.startswith(f"| one of `{name}` |")]
        shown = set(re.findall(r"`(\w+)`", row.partition("|")[2].partition("|")[2]))
        printed = {key for answer in answers for one in answer[name] for key in one}
        # Every key is explained; what else is in the row are keys within and words.
        assert printed
        assert sorted(printed - shown) == [], name


def every_object(value: object) -> Iterator[dict[str, object]]:
    if isinstance(value, dict):
        yield value
        value = list(value.values())
    if isinstance(value, list):
        for item in value:
            yield from every_object(item)


def test_the_two_set_up_commands_are_real(tree: Path) -> None:
    text = README.read_text(encoding="utf-8")
    first, second = next(blocks(text, "sh")).splitlines()
    steps = first.split(" && ")
    assert steps[:2] == ["python3 -m venv .venv", ".venv/bin/pip install ."]
    status, output = run(steps[2].removeprefix(".venv/bin/"), tree)
    assert status == 0, output
    made = sorted(path.name for path in (tree / "cut-files").iterdir())
    assert made == ["01-base-front.dxf", "01-base-front.svg"]
    assert second == ".venv/bin/pip install '.[test]' && .venv/bin/python -m pytest"
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert '"$bin/python" -m pytest' in script


def test_the_picture_is_fresh(tmp_path: Path, update: bool) -> None:
    relative = PICTURE.relative_to(ROOT).as_posix()
    assert f"]({relative})" in README.read_text(encoding="utf-8")
    shutil.copytree(ROOT / "tests" / "designs", tmp_path / "tests" / "designs")
    first = next(blocks(README.read_text(encoding="utf-8"), "sh")).splitlines()[0]
    run(first.split(" && ")[2].removeprefix(".venv/bin/"), tmp_path)
    made = (tmp_path / "cut-files" / PICTURE.name).read_bytes()
    if update:
        PICTURE.parent.mkdir(parents=True, exist_ok=True)
        PICTURE.write_bytes(made)
    assert PICTURE.read_bytes() == made, "bring it up to date with --update-goldens"


def test_the_map_names_every_folder() -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    mapped = set(re.findall(r"^\| `((?:vectors|profiles)/[^`]*)` \|", text, re.MULTILINE))
    folders = {
        f"{folder.relative_to(ROOT).as_posix()}/"
        for top in ("vectors", "profiles")
        for folder in (ROOT / top, *(ROOT / top).rglob("*"))
        if folder.is_dir() and any(folder.glob("*.py"))
    }
    assert mapped == folders - {"vectors/"}


def test_every_path_that_the_pages_name_is_there() -> None:
    for page in (README, DEVELOPERS):
        text = page.read_text(encoding="utf-8")
        for name in re.findall(r"`((?:vectors|profiles|tests|\.ci)/[\w./-]+)`", text):
            assert (ROOT / name).exists(), f"{page.name} names {name}"


def rules_table() -> str:
    lines = []
    for stage, rules in STAGES:
        if not rules:
            continue
        lines += [f"### Rules of the stage: {stage}", ""]
        lines += ["| rule | severity | says | mend | why |", "|---|---|---|---|---|"]
        for rule in rules:
            cells = (f"`{rule.code}`", str(rule.severity), rule.text, rule.mend, rule.about)
            lines.append("| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |")
        lines.append("")
    return "\n".join(lines)


def test_the_table_of_rules_is_fresh(update: bool) -> None:
    text = DEVELOPERS.read_text(encoding="utf-8")
    head, rest = text.split(BEGIN)
    old, tail = rest.split(END)
    if update:
        old = rules_table()
        DEVELOPERS.write_text(head + BEGIN + old + END + tail, encoding="utf-8")
    assert old == rules_table(), "bring it up to date with --update-goldens"


def test_the_four_line_writer_writes() -> None:
    from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
    from foldwright.writers import WriteOptions, Writer, differences

    (code,) = blocks(DEVELOPERS.read_text(encoding="utf-8"), "python")
    space: dict[str, Any] = {}
    exec(code, space)
    writer = space["writer"]
    assert isinstance(writer, Writer)
    stroke = Stroke(
        path=polygon(Point(0.0, 0.0), Point(30.0, 0.0), Point(0.0, 20.0)),
        layer=Layer.CUT,
        work=Work.THROUGH,
        piece="base",
        source="outline",
        role=Role.OUTLINE,
    )
    drawing = Drawing(piece="base", title="a triangle", width=30.0, height=20.0, strokes=(stroke,))
    data = writer.write(drawing, WriteOptions())
    assert data.count(b'stroke-width="0.5"') == 1
    read = writer.read_back(data, WriteOptions())
    assert differences(drawing, read, largest_sweep=writer.largest_sweep) == ()
