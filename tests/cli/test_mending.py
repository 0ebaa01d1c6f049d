"""The options --mend, --ruler and --round-to of prove: what is written, and what is left alone."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.shapes import NUMBER, fits

Run = Callable[..., Any]

MARK = "# Mended by Foldwright; mending again replaces this file.\n"


@pytest.fixture
def broken(harbour: Path) -> Path:
    """The design that ships with its plain fold 2 mm too far up, as a measure of its own."""
    text = harbour.read_text(encoding="utf-8")
    assert '{ is = "gutter_y", about' in text
    harbour.write_text(text.replace('{ is = "gutter_y", about', "{ is = 107, about"), "utf-8")
    return harbour


def test_the_mended_design_is_written_beside_the_old_one(foldwright: Run, broken: Path) -> None:
    before = broken.read_bytes()
    ran = foldwright("prove", broken, "--mend")
    mended = broken.with_name("harbour-steps.mended.toml")
    # The design that was asked for still has its stop.
    assert ran.status == 1
    assert f"wrote {mended}: with spine_y = 105; it closes" in ran.out
    # Byte for byte the same, but for the one value and the last line.
    assert mended.read_bytes() == before.replace(b"is = 107", b"is = 105") + MARK.encode()
    assert broken.read_bytes() == before
    assert {path.name for path in broken.parent.iterdir()} == {broken.name, mended.name}


def test_a_mended_design_closes_and_is_not_mended_again(foldwright: Run, broken: Path) -> None:
    foldwright("prove", broken, "--mend")
    mended = broken.with_name("harbour-steps.mended.toml")
    before = mended.read_bytes()
    ran = foldwright("prove", mended, "--mend")
    assert ran.status == 0
    assert "every loop closes already, so nothing is written" in ran.err
    assert "wrote" not in ran.out
    assert mended.read_bytes() == before
    assert len(list(broken.parent.iterdir())) == 2
    answer = foldwright("prove", mended, "--mend", "--json").json
    assert answer["mended"] is None
    assert "nothing-to-mend" in {finding["rule"] for finding in answer["findings"]}


def test_its_json(foldwright: Run, broken: Path) -> None:
    answer = foldwright("prove", broken, "--mend", "--json").json
    mended = broken.with_name("harbour-steps.mended.toml")
    assert answer["mended"] == {"path": str(mended), "measures": {"spine_y": "105"}}
    assert answer["rounded"] is None
    plain = foldwright("prove", broken, "--json").json
    assert (plain["mended"], plain["rounded"]) == (None, None)
    assert plain["mends"][0]["measure"] == "spine_y"


def test_only_a_file_of_ours_is_replaced(foldwright: Run, broken: Path) -> None:
    mended = broken.with_name("harbour-steps.mended.toml")
    mended.write_text("# somebody's work\n", encoding="utf-8")
    ran = foldwright("prove", broken, "--mend")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["target-not-ours"])
    assert mended.read_text(encoding="utf-8") == "# somebody's work\n"
    assert foldwright("prove", broken, "--mend", "--replace").status == 1
    first = mended.read_bytes()
    # Ours by now: it is replaced without being asked.
    broken.write_text(broken.read_text("utf-8").replace("is = 107", "is = 108"), "utf-8")
    assert foldwright("prove", broken, "--mend").status == 1
    assert mended.read_bytes() == first
    mended.unlink()
    mended.mkdir()
    assert foldwright("prove", broken, "--mend", "--replace").rules == ["target-is-a-folder"]


def test_a_full_disk_leaves_nothing_behind(
    foldwright: Run, broken: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    ran = foldwright("prove", broken, "--mend")
    assert (ran.status, ran.rules) == (2, ["disk-full"])
    assert [path.name for path in broken.parent.iterdir()] == [broken.name]


def test_what_is_set_for_the_run_goes_into_the_file(foldwright: Run, harbour: Path) -> None:
    before = harbour.read_text(encoding="utf-8")
    foldwright("prove", harbour, "--mend", "--set", "spine_y=107", "--set", "tread=28")
    mended = harbour.with_name("harbour-steps.mended.toml")
    text = mended.read_text(encoding="utf-8")
    assert text == (
        before.replace('is = "gutter_y"', 'is = "105"').replace("{ is = 30,", "{ is = 28,") + MARK
    )
    assert foldwright("prove", mended).status == 0


def test_a_variant_is_mended_in_its_own_table(foldwright: Run, broken: Path) -> None:
    text = broken.read_text("utf-8").replace(
        "strip = 2, tread", 'spine_y = "4 1/4", strip = 2, tread'
    )
    broken.write_text(text.replace("is = 107", "is = 105"), "utf-8")
    ran = foldwright("prove", broken, "--mend", "--variant", "inch")
    assert "change spine_y from 4 1/4 in to 4 1/8 in (on the 1/8 in ruler)" in ran.out
    mended = broken.with_name("harbour-steps.mended.toml")
    assert mended.read_text("utf-8") == (
        broken.read_text("utf-8").replace('spine_y = "4 1/4"', 'spine_y = "4 1/8"') + MARK
    )
    assert foldwright("prove", mended, "--all-variants").status == 0


def test_the_ruler_of_the_mends_is_chosen(foldwright: Run, broken: Path) -> None:
    broken.write_text(broken.read_text("utf-8").replace("is = 107", "is = 107.5"), "utf-8")
    for ruler, place, steps in (("1 mm", 105, 2.5), ("0.5mm", 105, 5)):
        answer = foldwright("prove", broken, "--ruler", ruler, "--json").json
        mend = answer["mends"][0]
        assert (mend["measure"], mend["to_mm"], mend["steps"]) == ("spine_y", place, steps)
    answer = foldwright("prove", broken, "--ruler", "1/8 in", "--json").json
    assert "measure" not in answer["mends"][0]
    ran = foldwright("prove", broken, "--ruler", "2 mm")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["unknown-ruler"])
    assert '"1/16 in"' in ran.err


def test_where_only_a_line_mends_it_the_place_in_the_file_is_told(
    foldwright: Run, harbour: Path
) -> None:
    text = harbour.read_text("utf-8").replace('"spine_y"]', "107]")
    harbour.write_text(text, "utf-8")
    ran = foldwright("prove", harbour, "--mend")
    assert ran.status == 1
    assert "wrote" not in ran.out
    line = 1 + next(n for n, row in enumerate(text.splitlines()) if 'name  = "steps"' in row)
    # The table of the band begins a line above its name.
    (told,) = (row for row in ran.err.splitlines() if row.endswith("(not-mended)"))
    assert told.startswith(f"{harbour}:{line - 1}: warn: no change of measures closes the card")
    assert f'move fold "steps 2" from 145 mm to 143 mm in line {line - 1} of the file' in told
    assert not harbour.with_name("harbour-steps.mended.toml").exists()


def test_what_cannot_be_judged_is_not_mended(foldwright: Run, broken: Path) -> None:
    text = broken.read_text("utf-8")
    broken.write_text(text.replace('"strip", "spine_y"]]', '40, "spine_y"]]'), "utf-8")
    ran = foldwright("prove", broken, "--mend")
    assert ran.status == 1
    assert "the lines of the design cannot be judged, so no mended design is written" in ran.err
    # Without the gutter, and the pose that holds it, five half turns go round the slit.
    start, pose = text.index("  [[piece.fold]]"), text.index("[[pose]]")
    panel = text[text.index("  [[piece.panel]]") : pose]
    broken.write_text(text[:start] + panel + text[text.index("[variant.inch]") :], "utf-8")
    ran = foldwright("prove", broken, "--mend")
    assert ran.status == 1
    assert "a fold is missing, or there is one too many, so no mended design is written" in ran.err


def test_a_design_is_rounded_to_a_ruler(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text("utf-8").replace("riser    = 35\n", "riser    = 35.4  # high\n")
    harbour.write_text(text, "utf-8")
    ran = foldwright("prove", harbour, "--round-to", "1 mm")
    assert ran.status == 0
    assert ran.out.startswith("rounded to the 1 mm ruler: riser from 35.4 mm to 35 mm\n\n")
    assert len(list(harbour.parent.iterdir())) == 1
    ran = foldwright("prove", harbour, "--round-to", "1 mm", "--mend", "--json")
    assert ran.status == 0
    change = {"measure": str, "from_mm": NUMBER, "to_mm": NUMBER, "on_ruler": str, "steps": NUMBER}
    assert fits(ran.json["rounded"], [change])
    assert [(c["measure"], c["to_mm"]) for c in ran.json["rounded"]] == [("riser", 35)]
    mended = harbour.with_name("harbour-steps.mended.toml")
    assert mended.read_text("utf-8") == text.replace("35.4", "35") + MARK
    ran = foldwright("prove", mended, "--round-to", "1 mm", "--mend")
    assert ran.out.startswith("every length that may change lies on the 1 mm ruler already\n\n")
    assert "nothing-to-mend" in ran.rules


def test_rounding_that_opens_the_card_is_mended_on_the_ruler(foldwright: Run, broken: Path) -> None:
    # 71.4 + 34.4 is 105.8 by chance only: they go to 71 and 34, and it goes to 106.
    text = broken.read_text("utf-8").replace("{ is = 107, about", "{ is = 105.8, about")
    text = text.replace(
        'gutter_y = "length / 2"', 'low = 71.4\nhigh = 34.4\ngutter_y = "low + high"'
    )
    broken.write_text(text, "utf-8")
    assert foldwright("prove", broken).status == 0
    ran = foldwright("prove", broken, "--round-to", "1 mm", "--mend")
    assert ran.status == 1
    assert "buckles (too long) by 2 mm" in ran.out
    assert "change low from 71 mm to 72 mm (on the 1 mm ruler)" in ran.out
    mended = broken.with_name("harbour-steps.mended.toml")
    expected = text.replace("71.4", "72").replace("34.4", "34").replace("105.8", "106")
    assert mended.read_text("utf-8") == expected + MARK
    assert foldwright("prove", mended).status == 0
    assert foldwright("prove", mended, "--round-to", "1 mm", "--json").json["rounded"] == []


def test_lengths_whose_limits_leave_no_line_are_told(foldwright: Run, harbour: Path) -> None:
    # The tread is set in whole mm, so that no line of an inch ruler is within its limits.
    ran = foldwright("prove", harbour, "--round-to", "1/8 in")
    (told,) = (row for row in ran.err.splitlines() if row.endswith("(not-rounded)"))
    assert 'not rounded: "tread", whose step and limits leave no line of the 1/8 in ruler' in told
    assert told.startswith(f"{harbour}:13: note: ")
    # The answer does not say the opposite of the note.
    text = harbour.read_text("utf-8")
    assert "is = 30" in text
    harbour.write_text(text.replace("is = 30", 'is = "1 in"'), "utf-8")
    ran = foldwright("prove", harbour, "--round-to", "1/8 in")
    assert "not-rounded" not in ran.rules
    card = """
format = 1
name = "card"
units = "mm"
[measures]
d = { is = 25, step = 5 }
[[piece]]
name = "card"
outline = { rectangle = ["8 in", "4 in"] }
[[piece.fold]]
name = "spine"
sense = "valley"
points = [["d", 0], ["d", "4 in"]]
"""
    harbour.write_text(card, "utf-8")
    ran = foldwright("prove", harbour, "--round-to", "1/8 in", "--json")
    assert (ran.json["rounded"], "not-rounded" in ran.rules) == ([], True)
    ran = foldwright("prove", harbour, "--round-to", "1/8 in")
    assert ran.out.startswith("no length was rounded to the 1/8 in ruler: see the findings")


def test_a_card_that_closes_is_not_opened_by_rounding(foldwright: Run, broken: Path) -> None:
    text = broken.read_text("utf-8").replace("{ is = 107, about", "{ is = 105.8, about")
    kept = 'low = { is = 71.4, keep = true }\nhigh = 34.4\ngutter_y = "low + high"'
    broken.write_text(text.replace('gutter_y = "length / 2"', kept), "utf-8")
    ran = foldwright("prove", broken, "--round-to", "1 mm")
    assert ran.status == 0
    (told,) = (row for row in ran.err.splitlines() if row.endswith("(not-rounded)"))
    assert 'not rounded: "high", "spine_y", because the card closes only with these off' in told


@pytest.mark.parametrize("options", [["--mend"], ["--round-to", "1 mm"]])
def test_one_edition_at_a_time(foldwright: Run, harbour: Path, options: list[str]) -> None:
    ran = foldwright("prove", harbour, "--all-variants", *options)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["mend-one-edition"])


def test_a_pattern_is_mended_by_stating_its_measure(foldwright: Run, tmp_path: Path) -> None:
    # Every side-steps card closes, whatever its measures.
    file = tmp_path / "card.toml"
    foldwright("new", "side-steps", "--to", file)
    ran = foldwright("prove", file, "--set", "riser=33.3", "--round-to", "1 mm", "--mend")
    assert ran.status == 0
    mended = tmp_path / "card.mended.toml"
    old = file.read_text("utf-8")
    row = next(row for row in old.splitlines() if row.startswith("riser "))
    assert mended.read_text("utf-8") == old.replace(row, row.replace("35", "33")) + MARK


@pytest.mark.parametrize("options", [[], ["--replace"], ["--mend", "--replace"]])
def test_a_picture_never_replaces_what_it_is_drawn_from(
    foldwright: Run, broken: Path, tmp_path: Path, options: list[str]
) -> None:
    material = tmp_path / "own.toml"
    material.write_text('format = 1\nname = "own"\nbased_on = "base.toml"\n', "utf-8")
    base = tmp_path / "base.toml"
    base.write_text('format = 1\nname = "base"\nbased_on = "card-200"\n', "utf-8")
    linked = tmp_path / "linked.svg"
    linked.symlink_to(broken)
    twin = tmp_path / "twin.svg"
    os.link(broken, twin)
    round_about = broken.parent / ".." / broken.parent.name / broken.name
    before = {file: file.read_bytes() for file in (broken, material, base, twin)}
    names = sorted(path.name for path in broken.parent.iterdir())
    for target in (broken, round_about, linked, twin, material, base):
        ran = foldwright("prove", broken, "--material", material, "--picture", target, *options)
        assert (ran.status, ran.out, ran.rules) == (2, "", ["target-was-read"])
        assert len(ran.err.splitlines()) == 1
    assert {file: file.read_bytes() for file in before} == before
    assert sorted(path.name for path in broken.parent.iterdir()) == names


def test_a_mended_design_never_replaces_what_it_comes_from(foldwright: Run, broken: Path) -> None:
    mended = broken.with_name("harbour-steps.mended.toml")
    os.link(broken, mended)
    before = broken.read_bytes()
    ran = foldwright("prove", broken, "--mend", "--replace")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["target-was-read"])
    assert broken.read_bytes() == before
    mended.unlink()
    # Nor does the picture take the name of the mended design.
    ran = foldwright("prove", broken, "--mend", "--picture", mended, "--replace")
    assert (ran.status, ran.rules) == (2, ["target-was-read"])
    assert not mended.exists()


def test_an_export_never_replaces_what_it_comes_from(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    words = ("export", harbour, "--tool", "knife", "--to", tmp_path / "files", "--format", "svg")
    first = foldwright(*words, "--json")
    assert first.status == 0
    target = Path(first.json["files"][0]["path"])
    target.unlink()
    os.link(harbour, target)
    before = harbour.read_bytes()
    ran = foldwright(*words, "--replace")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["target-was-read"])
    assert target.read_bytes() == harbour.read_bytes() == before


def test_a_mend_of_a_variant_leaves_the_other_editions_alone(
    foldwright: Run, harbour: Path
) -> None:
    before = harbour.read_text("utf-8")
    ran = foldwright("prove", harbour, "--variant", "inch", "--set", "spine_y=4.25", "--mend")
    assert "it closes" in ran.out
    assert "edition-open" not in ran.rules
    mended = harbour.with_name("harbour-steps.mended.toml")
    assert (
        mended.read_text("utf-8").partition("[variant.inch]")[0]
        == (before.partition("[variant.inch]")[0])
    )
    assert foldwright("prove", mended, "--all-variants").status == 0
    variant = mended.read_text("utf-8").partition("[variant.inch]")[2]
    assert 'spine_y = "4 1/8"' in variant


def test_an_edition_that_the_mend_leaves_open_is_told(foldwright: Run, broken: Path) -> None:
    ran = foldwright("prove", broken, "--variant", "inch", "--mend")
    (told,) = (row for row in ran.err.splitlines() if row.endswith("(edition-open)"))
    assert "another edition of the mended design does not close: the design as it is" in told
    mended = broken.with_name("harbour-steps.mended.toml")
    assert foldwright("prove", mended, "--variant", "inch").status == 0
    assert foldwright("prove", mended).status == 1


def test_lines_end_and_the_file_begins_as_in_the_design(foldwright: Run, broken: Path) -> None:
    before = b"\xef\xbb\xbf" + broken.read_bytes().replace(b"\n", b"\r\n")
    broken.write_bytes(before)
    mended = broken.with_name("harbour-steps.mended.toml")
    expected = before.replace(b"is = 107", b"is = 105") + MARK.encode().replace(b"\n", b"\r\n")
    # Ours, the second time.
    for _ in range(2):
        assert "it closes" in foldwright("prove", broken, "--mend").out
        assert mended.read_bytes() == expected
    again = foldwright("prove", mended, "--set", "spine_y=107", "--mend")
    assert "it closes" in again.out
    assert mended.with_name("harbour-steps.mended.mended.toml").read_bytes() == expected


@pytest.mark.parametrize("ruler", ["1/8 in", "1 mm"])
def test_the_ruler_without_a_mend_is_named(foldwright: Run, broken: Path, ruler: str) -> None:
    text = broken.read_text("utf-8").replace(
        "{ is = 107, about", "{ is = 107.3, keep = true, about"
    )
    broken.write_text(text, "utf-8")
    ran = foldwright("prove", broken, "--ruler", ruler)
    (told,) = (row for row in ran.err.splitlines() if row.endswith("(no-measure-mends)"))
    assert f"each by 64 steps of {ruler} at most" in told
