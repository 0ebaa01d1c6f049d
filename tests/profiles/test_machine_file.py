"""This module holds the reading of machine files: what they mean, and every fault with its line."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.drawing import Layer
from foldwright.problems import FileError, ProfileError
from foldwright.profiles import Tool
from foldwright.profiles.machine import Corner, Lies, Machine, Rim, check_tool
from foldwright.profiles.machine_file import load_machine, read_machine
from foldwright.sources import Table, parse_source

README = Path(__file__).parents[2] / "README.md"

LEAST = """\
name      = "bench cutter"
work_area = [300, 200]
"""

WHOLE = """\
name      = "bench cutter"
about     = "an invented laser"
tool      = "laser"
work_area = ["12 in", 200]
rim       = { left = 5, top = "1/4 in" }
origin    = "upper right"
face      = "down"
enclosed  = false
cautions  = ["Let the lens cool down."]

[speed]
mark   = 80
score  = 40
cut    = 12.5
travel = 300
"""


def read(text: str) -> Machine:
    return read_machine(parse_source(text, "bench.toml"))


def faults(text: str) -> list[str]:
    with pytest.raises(ProfileError) as caught:
        read(text)
    return [one.line() for one in caught.value.problems]


def test_the_least_is_a_name_and_a_work_area() -> None:
    assert read(LEAST) == Machine(name="bench cutter", width=300.0, height=200.0)


def test_every_key_of_a_whole_file() -> None:
    """One inch is 25.4 mm: published/units.toml."""
    assert read(WHOLE) == Machine(
        name="bench cutter",
        about="an invented laser",
        tool=Tool.LASER,
        width=304.8,
        height=200.0,
        rim=Rim(left=5.0, top=6.35),
        origin=Corner.UPPER_RIGHT,
        face=Lies.DOWN,
        enclosed=False,
        speeds={Layer.MARK: 80.0, Layer.SCORE: 40.0, Layer.CUT: 12.5},
        travel=300.0,
        cautions=("Let the lens cool down.",),
    )
    assert read(WHOLE).place.line == 1


def test_a_single_rim_goes_all_round() -> None:
    assert read(LEAST + 'rim = "1 cm"').rim == Rim(left=10, right=10, bottom=10, top=10)


def test_a_file_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text(WHOLE, encoding="utf-8")
    assert load_machine(path) == load_machine(str(path)) == read(WHOLE)
    assert load_machine(path).place.file == str(path)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(FileError) as caught:
        load_machine(tmp_path / "none.toml")
    assert [one.rule for one in caught.value.problems] == ["no-such-file"]


def test_a_file_that_is_not_toml_is_a_fault_of_the_machines_file(tmp_path: Path) -> None:
    path = tmp_path / "bench.toml"
    path.write_text('name = "bench\n', encoding="utf-8")
    with pytest.raises(ProfileError) as caught:
        load_machine(path)
    assert [(one.rule, one.place.line) for one in caught.value.problems] == [("not-toml", 1)]


LENGTH = 'a length such as 305 or "12 in"'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        pytest.param(
            'name = "bench"\n',
            f'bench.toml:1: stop: "work_area" is missing; add work_area = ..., two lengths '
            f"[width, height], each {LENGTH} (missing-key)",
            id="no work area",
        ),
        pytest.param(
            "work_area = [300, 200]\n",
            'bench.toml:1: stop: "name" is missing; add name = ..., a text in quotes ',
            id="no name",
        ),
        pytest.param(
            'name = "b"\nwork_area = [300, 200]\nworkarea = 3\n',
            'bench.toml:3: stop: there is no key "workarea" at the top of the file; '
            'did you mean "work_area"? (unknown-key)',
            id="unknown key",
        ),
        pytest.param(
            LEAST + "[speed]\ncuts = 3\n",
            'bench.toml:4: stop: there is no key "cuts" in "speed"; did you mean "cut"? ',
            id="unknown key of the speeds",
        ),
        pytest.param(
            LEAST + "rim = { bottum = 3 }\n",
            'bench.toml:3: stop: there is no key "bottum" in "rim"; did you mean "bottom"? '
            "(unknown-key)",
            id="unknown side of the rim",
        ),
        pytest.param(
            'name = "b"\nwork_area = 300\n',
            f'bench.toml:2: stop: "work_area" should be two lengths [width, height], each {LENGTH},'
            " not 300; write two lengths",
            id="one number for the work area",
        ),
        pytest.param(
            'name = "b"\nwork_area = [-300, 200]\n',
            'bench.toml:2: stop: item 1 of "work_area" should be 50 to 10000 mm, not -300 mm; '
            "check the figure and its unit: lengths are mm (figure-out-of-range)",
            id="a negative side",
        ),
        pytest.param(
            'name = "b"\nwork_area = [300, 12]\n',
            'bench.toml:2: stop: item 2 of "work_area" should be 50 to 10000 mm, not 12 mm; '
            "check the figure and its unit: lengths are mm (figure-out-of-range)",
            id="inches written as a bare number",
        ),
        pytest.param(
            'name = "b"\nwork_area = [300, "12 m"]\n',
            'bench.toml:2: stop: there is no unit "m" ',
            id="an unknown unit",
        ),
        pytest.param(
            'name = "b"\nwork_area = ["bed * 2", 300]\n',
            f'bench.toml:2: stop: item 1 of "work_area" should be {LENGTH}, not "bed * 2"',
            id="a measure where there is none",
        ),
        pytest.param(
            'name = "b"\nwork_area = ["caliper", 300]\n',
            f'bench.toml:2: stop: item 1 of "work_area" should be {LENGTH}, not "caliper"',
            id="a paper thickness",
        ),
        pytest.param(
            'name = "b"\nwork_area = [true, 300]\n',
            f'bench.toml:2: stop: item 1 of "work_area" should be {LENGTH}, not true',
            id="true is no length",
        ),
        pytest.param(
            'name = "b"\nwork_area = ["30 deg", 300]\n',
            'bench.toml:2: stop: item 1 of "work_area" is an angle',
            id="an angle is no length",
        ),
        pytest.param(
            LEAST + "rim = -1\n",
            'bench.toml:3: stop: "rim" should be 0 to 1000 mm, not -1 mm; '
            "check the figure and its unit: lengths are mm (figure-out-of-range)",
            id="a negative rim",
        ),
        pytest.param(
            LEAST + "rim = { left = -1 }\n",
            'bench.toml:3: stop: "rim.left" should be 0 to 1000 mm, not -1 mm; '
            "check the figure and its unit: lengths are mm (figure-out-of-range)",
            id="a negative side of the rim",
        ),
        pytest.param(
            LEAST + "rim = [1, 2]\n",
            f'bench.toml:3: stop: "rim" should be {LENGTH}, or {{ left = ...,',
            id="a list for the rim",
        ),
        pytest.param(
            LEAST + "rim = 100\n",
            'bench.toml:3: stop: 100 mm at the bottom and 100 mm at the top leave nothing of a '
            "work area of 200 mm; check the figures and their units: a bare number is mm "
            "(rim-leaves-no-room)",
            id="a rim that leaves no room",
        ),
        pytest.param(
            LEAST + 'tool = "plotter"\n',
            'bench.toml:3: stop: "tool" should be "hand" or "knife" or "laser", not "plotter"',
            id="an unknown tool",
        ),
        pytest.param(
            LEAST + 'origin = "left lower"\n',
            'bench.toml:3: stop: "origin" should be "lower left" or ',
            id="an unknown corner",
        ),
        pytest.param(
            LEAST + 'face = "sideways"\n',
            'bench.toml:3: stop: "face" should be "up" or "down", not "sideways"',
            id="an unknown face",
        ),
        pytest.param(
            LEAST + 'enclosed = "yes"\n',
            'bench.toml:3: stop: "enclosed" should be true or false, not "yes"',
            id="a word for true",
        ),
        pytest.param(
            LEAST + "[speed]\ntravel = 0\n",
            'bench.toml:4: stop: "speed.travel" should be more than 0 and at most 20000 mm/s, '
            "not 0 mm/s; ",
            id="no speed at all",
        ),
        pytest.param(
            LEAST + "[speed]\ncut = 1e6\n",
            'bench.toml:4: stop: "speed.cut" should be more than 0 and at most 20000 mm/s, '
            "not 1e+06 mm/s; ",
            id="an absurd speed",
        ),
        pytest.param(
            LEAST + "[speed]\ncut = inf\n",
            'bench.toml:4: stop: "speed.cut" ',
            id="an endless speed",
        ),
        pytest.param(
            LEAST + "speed = 3\n",
            'bench.toml:3: stop: "speed" should be a table, not 3',
            id="one speed",
        ),
        pytest.param(
            LEAST + 'cautions = "Mind it."\n',
            'bench.toml:3: stop: "cautions" should be a list of texts in quotes, not "Mind it."',
            id="one caution without brackets",
        ),
    ],
)  # fmt: skip
def test_each_fault_has_its_line_and_a_mend(text: str, told: str) -> None:
    (found,) = faults(text)
    assert found.startswith(told) or told in found, found
    assert "; " in found


def test_all_faults_are_told_at_once() -> None:
    text = (
        'name = ""\nwork_area = [300, -1]\nrim = -2\norigin = "up"\nspeed = { cut = -3 }\nbed = 1\n'
    )
    lines = [int(found.split(":")[1]) for found in faults(text)]
    assert sorted(lines) == [1, 2, 3, 4, 5, 6]


def test_a_machine_of_another_tool_is_refused_with_the_place_in_its_file() -> None:
    machine = read(WHOLE)
    check_tool(machine, Tool.LASER)
    check_tool(read(LEAST), Tool.KNIFE)
    with pytest.raises(ProfileError) as caught:
        check_tool(machine, Tool.KNIFE)
    assert str(caught.value) == (
        'bench.toml:1: stop: the machine "bench cutter" works with the tool "laser", not "knife"; '
        "use --tool laser, or the file of another machine (machine-of-another-tool)"
    )


@given(st.integers(50, 10_000), st.integers(50, 10_000), st.integers(0, 1000), st.integers(0, 1000))
def test_a_rim_is_good_exactly_where_it_leaves_room(
    width: int, height: int, left: int, top: int
) -> None:
    text = f'name = "b"\nwork_area = [{width}, {height}]\nrim = {{ left = {left}, top = {top} }}\n'
    if left < width and top < height:
        assert read(text).rim == Rim(left=left, top=top)
    else:
        assert {line.rpartition("(")[2] for line in faults(text)} == {"rim-leaves-no-room)"}


def keys_of_the_readme() -> set[str]:
    """The keys in the README's table of machines."""
    lines = README.read_text("utf-8").splitlines()
    start = lines.index("| key of a machine | needed | means |") + 2
    rows = itertools.takewhile(lambda line: line.startswith("|"), lines[start:])
    return {key for row in rows for key in re.findall("`([^`]+)`", row.split("|")[1])}


def test_the_readme_names_every_key_that_the_reader_asks_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked: set[str] = set()
    raw = Table.raw

    def listen(self: Table, key: str, *, required: str | None = None) -> object:
        asked.add(".".join(str(part) for part in (*self.path, key)))
        return raw(self, key, required=required)

    monkeypatch.setattr(Table, "raw", listen)
    read(WHOLE)
    sides = {f"rim.{side}" for side in ("left", "right", "bottom", "top")}
    assert asked - {"speed"} == keys_of_the_readme() | sides
