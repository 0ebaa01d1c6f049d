"""The options --machine and --pretrimmed of export: page, fit, estimates, cautions, bad files."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import readfile

from foldwright.drawing import Layer, Role, Stroke, Work
from foldwright.drawing.working_time import working_time
from foldwright.geometry import Point, circle, line
from tests.cli.shapes import fits
from tests.cli.test_export import EXPORT, held

Run = Callable[..., Any]

BENCH = """\
name      = "bench plotter"
tool      = "knife"
work_area = [300, 300]
rim       = 5
cautions  = ["Mind the rollers of the bench plotter."]
"""
SPEEDS = "[speed]\nmark = 100\nscore = 50\ncut = 4\ntravel = 200\n"


@pytest.fixture
def bench(tmp_path: Path) -> Callable[[str], Path]:
    def write(text: str = BENCH) -> Path:
        path = tmp_path / "bench.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def to(tmp_path: Path) -> Path:
    return tmp_path / "cut-files"


def test_the_page_is_the_work_area(foldwright: Run, harbour: Path, to: Path, bench: Any) -> None:
    ran = foldwright(
        "export", harbour, "--tool", "knife", "--to", to, "--machine", bench(), "--json"
    )
    assert ran.status == 0
    answer = ran.json
    assert fits(answer, EXPORT)
    assert answer["machine"] == "bench plotter"
    assert {(f["width_mm"], f["height_mm"], f["side"]) for f in answer["files"]} == {
        (300, 300, "front")
    }
    assert "Mind the rollers of the bench plotter." in answer["cautions"]
    svg = (to / "01-base-front.svg").read_text(encoding="utf-8")
    assert 'width="300mm" height="300mm" viewBox="0 0 300 300"' in svg
    assert "Mind the rollers of the bench plotter." in svg
    places = [
        (x, y)
        for entity in readfile(to / "01-base-front.dxf").modelspace().query("LWPOLYLINE")
        for x, y, *_ in entity  # type: ignore[attr-defined]
    ]
    # The card of 148 by 210 mm stands 5 mm from the lower left corner.
    assert min(x for x, _ in places) == pytest.approx(5.0)
    assert min(y for _, y in places) == pytest.approx(5.0)
    assert max(x for x, _ in places) == pytest.approx(153.0)
    assert max(y for _, y in places) == pytest.approx(215.0)


def test_without_a_machine_it_is_null(foldwright: Run, harbour: Path, to: Path) -> None:
    answer = foldwright("export", harbour, "--tool", "knife", "--to", to, "--json").json
    assert answer["machine"] is None
    assert {file["estimate_s"] for file in answer["files"]} == {None}


def test_a_job_that_does_not_fit_is_not_written(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    machine = bench(BENCH.replace("[300, 300]", "[220, 200]"))
    export = ("export", harbour, "--tool", "knife", "--to", to, "--machine", machine)
    ran = foldwright(*export)
    assert ran.status == 1
    assert "does-not-fit" in ran.rules
    assert "that is 20 mm too high; turn the piece by a quarter turn" in ran.err
    assert f"{machine}:1" in ran.err
    assert not to.exists()
    assert foldwright(*export, "--anyway").status == 1
    assert set(held(to)) == {"01-base-front-unproven.svg", "01-base-front-unproven.dxf"}


def test_a_machine_of_another_tool_is_a_stop(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    ran = foldwright("export", harbour, "--tool", "laser", "--to", to, "--machine", bench())
    assert (ran.status, ran.rules) == (2, ["machine-of-another-tool"])
    assert "use --tool knife, or the file of another machine" in ran.err
    assert not to.exists()


@pytest.mark.parametrize(
    ("text", "rules"),
    [
        ("", ["missing-key", "missing-key"]),
        ("name = 'b'\nwork_area = [0, 300]\nbed = 1\n", ["figure-out-of-range", "unknown-key"]),
        ("name = 'b\n", ["not-toml"]),
    ],
)
def test_a_bad_machine_file_is_bad_input(
    foldwright: Run, harbour: Path, to: Path, bench: Any, text: str, rules: list[str]
) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--machine", bench(text))
    assert (ran.status, ran.rules) == (2, rules)
    assert not to.exists()


def test_a_machine_file_that_is_not_there(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--machine", "none.toml")
    assert (ran.status, ran.rules) == (2, ["no-such-file"])


def test_a_machines_file_is_never_written_over(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    """Not even where it has the name of a file to come, or is a second name of it."""
    to.mkdir()
    machine = to / "01-base-front.svg"
    machine.write_text(BENCH, encoding="utf-8")
    export = ("export", harbour, "--tool", "knife", "--to", to, "--replace")
    ran = foldwright(*export, "--machine", machine)
    assert ran.status == 2
    assert machine.read_text(encoding="utf-8") == BENCH
    assert set(held(to)) == {"01-base-front.svg"}
    link = to.parent / "link.toml"
    os.link(machine, link)
    assert foldwright(*export, "--machine", link).status == 2
    assert machine.read_text(encoding="utf-8") == BENCH


def stroke(layer: Layer, path: Any) -> Stroke:
    return Stroke(path=path, layer=layer, work=Work.DRAWN, piece="card", source="a", role=Role.MARK)


def test_the_time_is_that_of_strokes_and_of_the_ways_between() -> None:
    """A mark of 30 mm at 10 mm/s, 40 mm on at 20 mm/s, a disc 10 mm across at 5 mm/s."""
    strokes = [
        stroke(Layer.MARK, line(Point(0.0, 0.0), Point(30.0, 0.0))),
        stroke(Layer.CUT, circle(Point(65.0, 0.0), 5.0)),
    ]
    speeds = {Layer.MARK: 10.0, Layer.CUT: 5.0}
    around = 3.141592653589793 * 10.0
    # The disc starts at its right: (70, 0).
    assert working_time(strokes, speeds, 20.0) == pytest.approx(3.0 + 2.0 + around / 5.0)
    assert working_time(strokes[:1], speeds, None) == pytest.approx(3.0)
    assert working_time(strokes, speeds, None) is None
    assert working_time(strokes, {Layer.MARK: 10.0}, 20.0) is None
    assert working_time([], {}, None) == 0.0


def test_estimates_are_told_for_each_file(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    machine = bench(BENCH + SPEEDS)
    export = ("export", harbour, "--tool", "knife", "--machine", machine)
    files = foldwright(*export, "--to", to, "--json").json["files"]
    for file in files:
        layers = file["layers"]
        least = layers["score"]["length_mm"] / 50 + layers["cut"]["length_mm"] / 4
        # All ways between 18 strokes are shorter than the diagonal of the card.
        assert least < file["estimate_s"] < least + 18 * 257 / 200
    told = foldwright(*export, "--to", to).out
    minutes = re.findall(r"; about (\d+) min at the speeds of the machine's file", told)
    assert minutes == [str(-int(-files[0]["estimate_s"] // 60))] * 2
    split = foldwright(
        *export, "--to", to / "s", "--split", "layer", "--format", "svg", "--json"
    ).json["files"]
    assert [Path(file["path"]).name for file in split] == [
        "01-base-front-score.svg", "01-base-front-cut.svg",
    ]  # fmt: skip
    assert split[1]["estimate_s"] >= split[1]["layers"]["cut"]["length_mm"] / 4
    assert sum(file["estimate_s"] for file in split) <= files[0]["estimate_s"] + 0.1


def test_a_quick_job_is_told_as_less_than_a_minute(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    machine = bench(BENCH + SPEEDS.replace("= 4\n", "= 40\n"))
    told = foldwright("export", harbour, "--tool", "knife", "--to", to, "--machine", machine).out
    assert "less than 1 min at the speeds of the machine's file" in told


def test_speeds_of_some_layers_only_give_no_estimate(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    machine = bench(BENCH + "[speed]\ncut = 20\n")
    export = ("export", harbour, "--tool", "knife", "--to", to, "--machine", machine)
    files = foldwright(*export, "--json").json["files"]
    assert {file["estimate_s"] for file in files} == {None}
    assert "machine's file" not in foldwright(*export).out


def test_a_trimmed_blank_on_a_machine(foldwright: Run, harbour: Path, to: Path, bench: Any) -> None:
    """Its corner stands 5 mm in, and the legs of the register are 20 mm from where edges begin."""
    ran = foldwright(
        "export", harbour, "--tool", "knife", "--to", to, "--machine", bench(),
        "--pretrimmed", "--json",
    )  # fmt: skip
    assert ran.status == 0
    assert "corner-register" in [found["rule"] for found in ran.json["findings"]]
    svg = (to / "01-base-front.svg").read_text(encoding="utf-8")
    mark = svg.partition('<g id="mark">')[2].partition("</g>")[0]
    (path,) = re.findall(r' d="([^"]*)"', mark)
    # The corners of the card are rounded by 3 mm.
    assert path in ("M 28 295 L 5 295 L 5 272", "M 5 272 L 5 295 L 28 295")
    assert ran.json["files"][0]["layers"]["cut"] == {"strokes": 1, "length_mm": 130}


def test_an_open_laser_has_its_cautions(
    foldwright: Run, harbour: Path, to: Path, bench: Any
) -> None:
    laser = BENCH.replace('"knife"', '"laser"')
    told = {}
    for flag in ("true", "false"):
        answer = foldwright(
            "export", harbour, "--tool", "laser", "--to", to, "--json",
            "--machine", bench(laser + f"enclosed = {flag}\n"),
        ).json  # fmt: skip
        told[flag] = "\n".join(answer["cautions"])
    assert "goggles" in told["false"]
    assert "wavelength" in told["false"]
    assert "goggles" not in told["true"]


def test_a_card_that_stands_is_told_to_stand_clear_of_flames(
    foldwright: Run, harbour: Path, to: Path, design: Callable[[str], Path]
) -> None:
    """The card has a pose that stands; a flat sheet has none."""
    export = ("--tool", "knife", "--to", to, "--json")
    standing = foldwright("export", harbour, *export).json["cautions"]
    flat = design(
        'format = 1\nname = "Flat"\nunits = "mm"\n[[piece]]\nname = "sheet"\n'
        "outline = { rectangle = [80, 60] }\n"
    )
    lying = foldwright("export", flat, "--material", "card-200", *export).json["cautions"]
    assert any("standing card" in caution for caution in standing)
    assert not any("standing card" in caution for caution in lying)
