"""Tests of the command gauge: sheets and their form, the profile of the readings, exit statuses."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.profiles import Confidence, Tool, load_material
from tests.gauging.makers import MATERIAL, filled

Run = Callable[..., Any]

SHEETS = ("01-size-and-kerf", "02-folds", "03-bridges-and-perforation")
GOLDEN = Path(__file__).parents[1] / "golden" / "gauges"

READ = {
    "made_of": '"paper"',
    "size_bar.metric": 50,
    "size_bar.inch": '"2 in"',
    "kerf.hole_x": "[20.12, 20.13, 20.11]",
    "kerf.piece_x": "[19.9, 19.88, 19.9]",
    "kerf.hole_y": "[20.15, 20.16, 20.15]",
    "kerf.piece_y": "[19.86, 19.88, 19.86]",
    "slots.takes": 4,
    "caliper.stack": 2.2,
    "hinge.short_2": 0.7,
    "hinge.short_4": 1.4,
    "hinge.short_6": 2.1,
    "score.folds": 2,
    "bridges.holds": 3,
    "perforation.tears": 4,
}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder to work in, with the material of the tests in it."""
    shutil.copy(MATERIAL, tmp_path / "trial.toml")
    monkeypatch.chdir(tmp_path)
    return tmp_path


def drawn(foldwright: Run, *more: str, tool: str = "laser", to: str = "gauges") -> Any:
    return foldwright("gauge", "--material", "trial.toml", "--tool", tool, "--to", to, *more)


def fill(folder: Path, values: dict[str, Any]) -> Path:
    form = folder / "gauges" / "readings.toml"
    form.write_text(filled(form.read_text("utf-8"), values), encoding="utf-8")
    return form


def test_gauge_writes_sheets_and_a_form(folder: Path, foldwright: Run) -> None:
    ran = drawn(foldwright)
    assert ran.status == 0
    assert ran.err == ""
    names = {f"{sheet}-front{suffix}" for sheet in SHEETS for suffix in (".svg", ".dxf")}
    assert {file.name for file in (folder / "gauges").iterdir()} == {*names, "readings.toml"}
    assert ran.out.count("read back: same") == 6
    assert "wrote gauges/readings.toml: fill it in, then: foldwright gauge --measured" in ran.out
    assert "take care:" in ran.out
    assert "Never leave a running laser cutter alone" in ran.out
    form = tomllib.loads((folder / "gauges" / "readings.toml").read_text("utf-8"))
    # The material is named as it lies from the form.
    assert (form["material"], form["tool"]) == ("../trial.toml", "laser")


def test_gauge_as_json(folder: Path, foldwright: Run) -> None:
    ran = drawn(foldwright, "--json", "--format", "svg", tool="hand")
    assert ran.status == 0
    answer = ran.json
    assert (answer["material"], answer["tool"]) == ("trial card", "hand")
    assert answer["cautions"][-1].startswith("Follow the machine's manual")
    assert [file["piece"] for file in answer["files"]] == ["size and kerf", "folds"]
    assert {file["read_back"] for file in answer["files"]} == {"same"}
    assert answer["readings"] == "gauges/readings.toml"
    told = [(one["rule"], one["severity"]) for one in answer["findings"]]
    assert told == [("gauge-left-out", "note")] * 3
    assert "a hand or a carrier sheet holds the part" in answer["findings"][1]["message"]
    assert ran.err.count("(gauge-left-out)") == 3


def test_two_runs_give_the_same_bytes(folder: Path, process: Run) -> None:
    for to, seed in (("one", "1"), ("two", "2")):
        ran = process(
            "gauge", "--material", "trial.toml", "--tool", "laser", "--to", to,
            cwd=folder, environment={"PYTHONHASHSEED": seed},
        )  # fmt: skip
        assert ran.status == 0, ran.err
    for file in sorted((folder / "one").iterdir()):
        assert file.read_bytes() == (folder / "two" / file.name).read_bytes(), file.name


def test_a_tool_that_is_refused_makes_no_sheet(folder: Path, foldwright: Run) -> None:
    (folder / "own.toml").write_text('name = "own"\nbased_on = "card-200"\n', encoding="utf-8")
    ran = foldwright("gauge", "--material", "own.toml", "--tool", "laser", "--to", "gauges")
    assert (ran.status, ran.rules) == (2, ["unknown-make-up"])
    assert not (folder / "gauges").exists()


def test_a_machine_keeps_the_sheets_within_its_reach(folder: Path, foldwright: Run) -> None:
    (folder / "bench.toml").write_text(
        'name = "bench"\nwork_area = [160, 130]\nrim = 10\ncautions = ["Mind the bench."]\n',
        encoding="utf-8",
    )
    ran = drawn(foldwright, "--machine", "bench.toml", "--json")
    assert ran.status == 0, ran.err
    assert "Mind the bench." in ran.json["cautions"]
    for file in ran.json["files"]:
        assert (file["width_mm"], file["height_mm"]) == (160, 130)
    # A row of strips and plies is wider than what the machine reaches.
    assert "the hinge test is left out: it is 183 by 60 mm" in ran.err
    assert drawn(foldwright, "--machine", "nowhere.toml").status == 2
    (folder / "bench.toml").write_text(
        'name = "bench"\nwork_area = [160, 130]\ntool = "knife"\n', encoding="utf-8"
    )
    ran = drawn(foldwright, "--machine", "bench.toml")
    assert (ran.status, ran.rules) == (2, ["machine-of-another-tool"])


def test_readings_become_a_profile(folder: Path, foldwright: Run) -> None:
    assert drawn(foldwright).status == 0
    form = fill(folder, READ)
    ran = foldwright("gauge", "--measured", form, "--to", "mine.toml")
    assert (ran.status, ran.err) == (0, "")
    assert "wrote mine.toml; use it with: --material mine.toml" in ran.out
    assert "tool.laser.kerf = 0.113 mm: measured on a gauge along x: hole 20.12 mm" in ran.out
    profile = load_material("mine.toml")
    assert (profile.name, profile.based_on) == ("trial card measured", "./trial.toml".lstrip("./"))
    assert profile.caliper.value == 0.367
    way = profile.tools[Tool.LASER]
    assert way.kerf is not None
    assert way.kerf_y is not None
    assert way.score is not None
    assert way.bridge is not None
    assert way.perforation is not None
    # (20.12 - 19.8933) / 2 and (20.1533 - 19.8667) / 2, then 2.2 / 6, and
    # (2 x 0.7 + 4 x 1.4 + 6 x 2.1 + 12 x 0.143 / 2) / 56.
    assert (way.kerf.value, way.kerf_y.value) == (0.113, 0.143)
    assert way.score.allowance.value == 0.365
    assert way.score.inset.value == round(0.35 - 0.113 / 2, 3)
    assert way.bridge.length.value == round(0.55 - 0.113, 3)
    assert way.perforation.tie.value == 0.887
    for figure in (way.kerf, way.score.inset, way.bridge.length, profile.caliper):
        assert figure.confidence is Confidence.MEASURED
        assert figure.basis.startswith("measured on a gauge")
    # What was not measured is the base's.
    assert way.bridge.pitch.basis == "invented"


def test_the_profile_is_one_that_a_person_can_read(
    folder: Path, foldwright: Run, request: pytest.FixtureRequest
) -> None:
    """Update the goldens with `pytest tests/cli/test_gauge.py --update-goldens`."""
    drawn(foldwright)
    form = folder / "gauges" / "readings.toml"
    texts = {"readings.toml": form.read_text("utf-8")}
    fill(folder, READ)
    texts["measured.toml"] = foldwright("gauge", "--measured", form).out
    for name, text in texts.items():
        if request.config.getoption("--update-goldens"):
            (GOLDEN / name).write_text(text, encoding="utf-8")
        tomllib.loads(text)
        assert (GOLDEN / name).read_text("utf-8") == text


def test_the_profile_goes_through_export(folder: Path, foldwright: Run, harbour: Path) -> None:
    drawn(foldwright)
    foldwright("gauge", "--measured", fill(folder, READ), "--to", "mine.toml")
    ran = foldwright(
        "export", harbour, "--material", "mine.toml", "--tool", "laser", "--to", "cut", "--json"
    )
    assert ran.status == 0, ran.err
    assert ran.json["material"] == "trial card measured"


def test_a_laser_profile_without_its_make_up_is_told_of(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"caliper.stack": 2.1})
    ran = foldwright("gauge", "--measured", form, "--to", "mine.toml")
    assert (ran.status, ran.rules) == (0, ["gauge-make-up"])
    assert load_material("mine.toml").made_of is None


def test_the_profile_names_its_base_from_where_it_lies(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"caliper.stack": 2.1, "made_of": '"paper"'})
    (folder / "own" / "materials").mkdir(parents=True)
    target = folder / "own" / "materials" / "mine.toml"
    assert foldwright("gauge", "--measured", form, "--to", target).status == 0
    assert load_material(str(target)).based_on == "../../trial.toml"
    # From the same form, on standard output: from where one is.
    assert 'based_on = "trial.toml"' in foldwright("gauge", "--measured", form).out


def test_measured_as_json(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"caliper.stack": 2.1, "slots.takes": 4, "made_of": '"paper"'})
    ran = foldwright("gauge", "--measured", form, "--json")
    assert ran.status == 0
    answer = ran.json
    assert answer["figures"] == [
        {"key": "caliper", "is": 0.35, "basis": "measured on a gauge: 6 plies 2.1 mm thick"}
    ]
    assert answer["path"] is None
    assert tomllib.loads(answer["text"])["caliper"]["is"] == 0.35
    assert (answer["material"], answer["tool"]) == ("trial card", "laser")
    assert answer["name"] == "trial card measured"
    assert answer["remarks"][0].startswith("A finished slot of")
    assert answer["findings"] == []


def test_a_form_that_names_no_material_says_where(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"caliper.stack": 2.1})
    text = form.read_text("utf-8")
    form.write_text(text.replace('"../trial.toml"', '"card-301"'), encoding="utf-8")
    line = next(i for i, row in enumerate(text.splitlines(), 1) if row.startswith("material"))
    ran = foldwright("gauge", "--measured", form, "--to", "mine.toml")
    assert (ran.status, ran.rules) == (2, ["unknown-plug-in"])
    assert ran.err.startswith(f'{form}:{line}: stop: there is no material called "card-301"')


def test_readings_that_cannot_be_write_nothing(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"kerf.hole_x": 19.5, "kerf.piece_x": 20, "made_of": '"paper"'})
    ran = foldwright("gauge", "--measured", form, "--to", "mine.toml")
    assert (ran.status, ran.rules) == (1, ["gauge-kerf-negative"])
    assert "no profile was written" in ran.out
    line = next(
        number
        for number, text in enumerate(form.read_text("utf-8").splitlines(), 1)
        if text.startswith("hole_x")
    )
    assert ran.err.startswith(f"{form}:{line}: stop: along x the hole measures 19.5 mm")
    assert not (folder / "mine.toml").exists()
    ran = foldwright("gauge", "--measured", form, "--json")
    assert (ran.status, ran.json["path"]) == (1, None)
    assert "text" not in ran.json


@pytest.mark.parametrize(
    ("text", "rules"),
    [
        ("", ["missing-key"] * 4),
        ("format = 3\n", ["gauge-form-version"]),
        ("format = \n", ["not-toml"]),
        (
            'format = 1\nmaterial = "nowhere"\ntool = "laser"\nname = "a"\n[caliper]\n'
            "plies = 2\nstack = 1\n",
            ["unknown-plug-in"],
        ),
    ],
)
def test_a_bad_form_is_status_2(folder: Path, foldwright: Run, text: str, rules: list[str]) -> None:
    (folder / "form.toml").write_text(text, encoding="utf-8")
    ran = foldwright("gauge", "--measured", "form.toml", "--to", "mine.toml")
    assert ran.status == 2
    assert ran.rules == rules
    assert not (folder / "mine.toml").exists()


def test_an_empty_form_is_status_2(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    ran = foldwright("gauge", "--measured", "gauges/readings.toml", "--to", "mine.toml")
    assert ran.status == 2
    assert "gauge-form-empty" in ran.rules
    assert foldwright("gauge", "--measured", "nowhere.toml").rules == ["no-such-file"]


def test_what_somebody_wrote_is_not_replaced(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    # An empty form of ours gives way, one with readings does not.
    assert drawn(foldwright).status == 0
    form = fill(folder, {"caliper.stack": 2.1, "made_of": '"paper"'})
    kept = form.read_bytes()
    svg = folder / "gauges" / "01-size-and-kerf-front.svg"
    svg.unlink()
    ran = drawn(foldwright)
    assert (ran.status, ran.rules) == (2, ["gauge-form-filled"])
    assert form.read_bytes() == kept
    assert not svg.exists()
    # Neither does one in which something went wrong while it was filled in.
    form.write_text(kept.decode() + "\n[kerf", encoding="utf-8")
    assert drawn(foldwright).rules == ["gauge-form-filled"]
    form.write_text("what I found = 3\n", encoding="utf-8")
    assert drawn(foldwright).rules == ["target-not-ours"]
    assert drawn(foldwright, "--replace").status == 0

    fill(folder, {"caliper.stack": 2.1, "made_of": '"paper"'})
    mine = folder / "mine.toml"
    mine.write_text("# by hand\n", encoding="utf-8")
    ran = foldwright("gauge", "--measured", form, "--to", mine)
    assert (ran.status, ran.rules) == (2, ["target-not-ours"])
    assert mine.read_text("utf-8") == "# by hand\n"
    assert foldwright("gauge", "--measured", form, "--to", mine, "--replace").status == 0
    # It carries our mark now.
    assert foldwright("gauge", "--measured", form, "--to", mine).status == 0
    # What was read is never replaced, whatever is asked for.
    for read in (form, folder / "trial.toml"):
        before = read.read_bytes()
        ran = foldwright("gauge", "--measured", form, "--to", read, "--replace")
        assert (ran.status, ran.rules) == (2, ["target-was-read"])
        assert read.read_bytes() == before
    assert list(folder.glob("**/*.part")) == []


def test_a_profile_that_does_not_load_never_gets_its_name(folder: Path, foldwright: Run) -> None:
    drawn(foldwright)
    form = fill(folder, {"caliper.stack": 2.1, "name": '"con"'})
    ran = foldwright("gauge", "--measured", form, "--to", "mine.toml")
    assert (ran.status, ran.rules) == (2, ["unsafe-name"])
    assert not (folder / "mine.toml").exists()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "--material and --tool and --to are missing"),
        (["--material", "card-200", "--tool", "hand"], "--to is missing"),
        (["--measured", "a.toml", "--tool", "hand"], "--tool cannot go with --measured"),
        (["--measured", "a.toml", "--format", "svg", "--machine", "b.toml"], "--format and --mach"),
    ],
)
def test_the_two_uses_are_kept_apart(foldwright: Run, arguments: list[str], says: str) -> None:
    ran = foldwright("gauge", *arguments)
    assert (ran.status, ran.rules) == (2, ["gauge-usage"])
    assert says in ran.err


def test_a_measure_for_this_run_is_told_to_have_no_use(folder: Path, foldwright: Run) -> None:
    ran = drawn(foldwright, "--set", "tread=3")
    assert (ran.status, ran.rules) == (0, ["no-measures-here"])
