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


# By hand: on the metric sheet of 148 mm by 210 mm a page is 105 mm high; two treads and a
# riser of 35 mm are to stay under 103 mm, two risers and a tread too.  The inch sheet is
# 5 3/4 in by 8 1/4 in, and what is told there are lines of its ruler.
BAD = {
    "outside its limits": (
        "tread=99",
        "above-most",
        ("--set tread", '"tread" is 99 mm', "make it 12 mm to 33 mm, or "),
        ("--set tread", '"tread" is 99 in', "make it 1/2 in to 1 1/4 in"),
    ),
    "a count outside its limits": (
        "steps=0",
        "below-least",
        ("--set steps", '"steps" is 0', "make it 1 to 2"),
        ("--set steps", '"steps" is 0', "make it 1 to 2"),
    ),
    "a count with parts": (
        "steps=2.5",
        "not-a-count",
        ("--set steps", '"steps" is 5/2', "make it 1 to 2"),
        ("--set steps", '"steps" is 5/2', "make it 1 to 2"),
    ),
    "of the wrong kind": (
        "strip=5 deg",
        "not-a-length",
        ("--set strip", '"strip" is an angle where a length is due', 'such as "50 mm"'),
        ("--set strip", '"strip" is an angle where a length is due', 'such as "2 in"'),
    ),
    "a length for a count": (
        "steps=3 mm",
        "not-a-number",
        ("--set steps", '"steps" is a length', 'write a whole number, such as "2"'),
        ("--set steps", '"steps" is a length', 'write a whole number, such as "2"'),
    ),
    "a count for a length": (
        "tread=steps",
        "not-a-length",
        ("--set tread", '"tread" is a count or ratio', 'such as "30 mm"'),
        ("--set tread", '"tread" is a count or ratio', 'such as "1 1/8 in"'),
    ),
    "missing": (
        "tread=",
        "no-value",
        ("--set tread", '"tread" is given no value', 'such as "tread=30"'),
        ("--set tread", '"tread" is given no value', 'such as "tread=1 1/8"'),
    ),
    "half written": (
        "tread=3 +",
        "measure-syntax",
        ("--set tread", 'of "3 +"', "write what is missing there"),
        ("--set tread", 'of "3 +"', "write what is missing there"),
    ),
    "of no measure": (
        "tred=3",
        "unknown-measure",
        ("--set tred", 'no measure called "tred"', 'did you mean "tread"?'),
        ("--set tred", 'no measure called "tred"', 'did you mean "tread"?'),
    ),
}


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("what", BAD)
@pytest.mark.parametrize("form", [(), ("--written-out",), ("--mats",)])
def test_a_bad_value_is_named_with_one_that_would_do_and_nothing_is_written(
    foldwright: Run, tmp_path: Path, what: str, units: str, form: tuple[str, ...]
) -> None:
    value, rule, *said = BAD[what]
    file = tmp_path / "card.toml"
    ran = foldwright("new", "side-steps", "--to", file, "--units", units, "--set", value, *form)
    assert (ran.status, ran.out, ran.rules) == (2, "", [rule])
    for words in said[("mm", "in").index(units)]:
        assert words in ran.err
    assert not file.exists()


def test_values_that_contradict_each_other_are_named_with_what_would_do(foldwright: Run) -> None:
    # A plain strip leaves the steps 10 mm.
    given = ("--set", "width=45", "--set", "strip=40")
    ran = foldwright("new", "side-steps", *given)
    assert (ran.status, ran.rules) == (2, ["above-most"])
    assert ran.err.startswith('--set strip: stop: the measure "strip" is 40 mm, its most is 35 mm')
    assert 'make it 10 mm to 35 mm, or "width" 50 mm to 600 mm' in ran.err
    for more in (("--set", "width=45", "--set", "strip=35"), ("--set", "width=50", *given[2:])):
        assert foldwright("new", "side-steps", *more).status == 0


def test_two_bad_values_are_told_at_once(foldwright: Run) -> None:
    ran = foldwright("new", "side-steps", "--set", "width=10", "--set", "length=5000")
    assert ran.rules == ["below-least", "above-most"]
    # With the plain strip of 40 mm and the gutter and treads as they are.
    assert "make it 60 mm to 600 mm" in ran.err
    assert "make it 204 mm to 900 mm" in ran.err


def test_an_angle_is_told_in_degrees(foldwright: Run) -> None:
    ran = foldwright("new", "square-twist", "--set", "angle=20")
    assert "make it 30 degrees to 60 degrees" in ran.err
    ran = foldwright("new", "square-twist", "--set", "angle=20 mm")
    assert (ran.rules, 'such as "45 deg"' in ran.err) == (["not-an-angle"], True)


@pytest.mark.parametrize("units", ["mm", "in"])
def test_written_out_it_proves_the_same_without_the_pattern(
    foldwright: Run, tmp_path: Path, units: str
) -> None:
    files = tmp_path / "short.toml", tmp_path / "long.toml"
    given = ("--units", units, "--mats", "--mirrored", "--set", "steps=1", "--scale", "0.9")
    proofs = []
    for file, form in zip(files, ((), ("--written-out",)), strict=True):
        assert foldwright("new", "side-steps", "--to", file, *given, *form).status == 0
        proof = foldwright("prove", file, "--json").json
        for finding in proof["findings"]:
            del finding["file"], finding["line"]
        proofs.append({**proof, "design": None})
    assert proofs[0] == proofs[1]
    assert proofs[1]["mats"]
    text = files[1].read_text(encoding="utf-8")
    for one in files:
        (row,) = [row for row in one.read_text("utf-8").splitlines() if row.startswith("mirrored ")]
        assert row.split()[2:4] == ["true", "#"]
        assert "all lines stand as for the right hand" in row
    assert "pattern  =" not in text
    assert 'Written out of the pattern "side-steps" with steps = 1.' in text


def test_the_answer_has_what_is_written_out(foldwright: Run, tmp_path: Path) -> None:
    ran = foldwright("new", "side-steps", "--written-out", "--json")
    assert (ran.status, ran.json["written_out"]) == (0, True)
    assert ran.json["text"] == foldwright("new", "side-steps", "--written-out").out
    assert "[[piece.band]]" in ran.json["text"]
    assert foldwright("new", "side-steps", "--json").json["written_out"] is False


def test_the_usual_mats_come_with_their_paper_and_are_cut(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "card.toml"
    assert "[[mat]]" not in foldwright("new", "side-steps").out
    ran = foldwright("new", "side-steps", "--mats", "--to", file)
    assert (ran.status, ran.err) == (0, "")
    text = file.read_text(encoding="utf-8")
    assert '[stock.print]\nmaterial = "text-120"\n' in text
    assert text.count("[[mat]]") == 1
    mats = foldwright("prove", file, "--json").json["mats"]
    assert {panel for mat in mats for panel in mat["panels"]} >= {"base/tread 1", "base/wall"}


def test_a_pattern_without_usual_mats_says_so(foldwright: Run) -> None:
    ran = foldwright("new", "square-twist", "--mats")
    assert (ran.status, ran.rules) == (0, ["no-usual-mats"])
    assert ran.out == foldwright("new", "square-twist").out


@pytest.mark.parametrize(
    ("name", "meant"), [("cake", "cake-terrace"), ("HALF-FOLD", "half-fold"), ("tuck", "tuck-box")]
)
def test_a_name_that_is_not_whole_is_told_with_the_one_meant(
    foldwright: Run, name: str, meant: str
) -> None:
    ran = foldwright("new", name)
    assert ran.rules == ["unknown-plug-in"]
    assert f'did you mean "{meant}"?' in ran.err


def test_a_folder_is_told_as_one(foldwright: Run, tmp_path: Path) -> None:
    ran = foldwright("new", "half-fold", "--to", tmp_path)
    assert ran.rules == ["file-is-a-folder"]


def test_a_value_without_its_sign_is_told_with_an_example(foldwright: Run) -> None:
    ran = foldwright("new", "half-fold", "--set", "width")
    assert ran.status == 2
    assert '"width" is not NAME=VALUE, such as width="41 mm"' in ran.err
