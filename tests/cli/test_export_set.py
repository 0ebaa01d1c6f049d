"""The whole set in a folder: what is written, for which stock, and the manifest that tells it."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.profiles.load import load_material
from foldwright.profiles.model import Tool
from foldwright.writers.manifest import carries_our_mark
from tests.cli.conftest import DESIGNS
from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]

GOLDEN = Path(__file__).parents[1] / "golden" / "window-box"

PART = {
    "letter": Maybe(str),
    "kind": {"base", "mat", "greeting", "envelope", "liner"},
    "name": str,
    "stock": Maybe(str),
    "material": Maybe(str),
    "count": int,
    "width_mm": NUMBER,
    "height_mm": NUMBER,
    "up_deg": Maybe(NUMBER),
    "way": Maybe({"lengthwise", "crosswise"}),
    "where": [str],
    "files": [str],
}

WHOLE = [
    "01-base-front.svg",
    "02-mat-B-front.svg",
    "03-mat-C-front.svg",
    "04-mat-A-front.svg",
    "05-envelope-front.svg",
    "manifest.json",
]


@pytest.fixture
def window(tmp_path: Path) -> Path:
    folder = tmp_path / "designs"
    folder.mkdir()
    return Path(shutil.copy(DESIGNS / "window-box.toml", folder))


@pytest.fixture
def to(tmp_path: Path) -> Path:
    return tmp_path / "cut-files"


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def held(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


def exported(foldwright: Run, design: Path, to: Path, *more: object) -> Any:
    return foldwright("export", design, "--tool", "knife", "--to", to, "--format", "svg", *more)


def told(foldwright: Run, design: Path, to: Path, *more: object) -> Any:
    ran = exported(foldwright, design, to, *more, "--json")
    return ran.json


def without(design: Path, *texts: str) -> Path:
    """The design without some of its text."""
    whole = design.read_text(encoding="utf-8")
    for text in texts:
        assert text in whole
        whole = whole.replace(text, "")
    design.write_text(whole, encoding="utf-8")
    return design


# The folder.


def test_the_folder_reads_like_a_cutting_list(foldwright: Run, window: Path, to: Path) -> None:
    ran = exported(foldwright, window, to)
    assert (ran.status, ran.err) == (0, "")
    assert names(to) == WHOLE
    lines = ran.out.splitlines()
    assert lines[1:10] == [
        "the card, card (card-216):",
        f"  wrote {to / WHOLE[0]}: 210 by 148 mm; strokes: score 1, cut 15; read back: same",
        "mats, floral (text-160):",
        f"  wrote {to / WHOLE[1]}: 97 by 140 mm; strokes: cut 12; read back: same; make 2 of it; "
        "goes on base/window page (2)",
        f"  wrote {to / WHOLE[2]}: 97 by 140 mm; strokes: cut 8; read back: same; "
        "goes on base/back page",
        "mats, plain (text-120):",
        f"  wrote {to / WHOLE[3]}: 97 by 140 mm; strokes: cut 8; read back: same; "
        "goes on base/back page",
        "envelope, plain (text-120):",
        f"  wrote {to / WHOLE[4]}: 195.5 by 242.5 mm; strokes: score 4, cut 15; read back: same",
    ]


def test_the_manifest_is_the_golden_one(
    foldwright: Run, window: Path, to: Path, request: pytest.FixtureRequest
) -> None:
    exported(foldwright, window, to)
    text = (to / "manifest.json").read_text(encoding="utf-8")
    golden = GOLDEN / "manifest.json"
    found = json.loads(text)
    # What must hold of it whatever the golden says.
    assert found["findings"] == {"stop": 0, "warn": 0, "note": 0}
    assert [name for part in found["parts"] for name in part["files"]] == WHOLE[:-1]
    assert {(part["name"], part["material"]) for part in found["parts"]} == {
        ("base", "card-216"), ("mat A", "text-120"), ("mat B", "text-160"),
        ("mat C", "text-160"), ("envelope", "text-120"),
    }  # fmt: skip
    if request.config.getoption("--update-goldens"):
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(text, encoding="utf-8")
    assert text == golden.read_text(encoding="utf-8"), "update with --update-goldens"


def test_the_answer_has_the_parts_of_the_manifest(foldwright: Run, window: Path, to: Path) -> None:
    answer = told(foldwright, window, to)
    found = json.loads((to / "manifest.json").read_text(encoding="utf-8"))
    assert fits(answer["parts"], [PART])
    for key in ("parts", "envelope", "post", "verdict", "design", "tool"):
        assert answer[key] == found[key]
    assert answer["manifest"] == str(to / "manifest.json")
    files = [(file["letter"], file["kind"], file["copies"]) for file in answer["files"]]
    assert files == [
        (None, "base", 1), ("B", "mat", 2), ("C", "mat", 1), ("A", "mat", 1), (None, "envelope", 1)
    ]  # fmt: skip
    # What the cutter's file measures is what the list says, as a knife has no kerf.
    for file, part in zip(answer["files"], answer["parts"], strict=True):
        assert (file["width_mm"], file["height_mm"]) == (part["width_mm"], part["height_mm"])


def test_the_same_bytes_in_every_process(process: Run, window: Path, tmp_path: Path) -> None:
    made = []
    for seed, locale in (("0", "C"), ("4711", "C.UTF-8")):
        folder = tmp_path / seed
        ran = process(
            "export", window, "--tool", "knife", "--to", folder,
            "--letters", "--placement", "--senses",
            environment={"PYTHONHASHSEED": seed, "LC_ALL": locale},
        )  # fmt: skip
        assert ran.status == 0
        made.append(held(folder))
    assert made[0] == made[1]


def test_kerf_is_that_of_the_stock_of_each_part(foldwright: Run, window: Path, to: Path) -> None:
    ran = foldwright("export", window, "--tool", "laser", "--to", to, "--format", "svg", "--json")
    assert ran.status == 0
    widths = {file["piece"]: file["width_mm"] for file in ran.json["files"]}
    kerfs = {}
    for name, material in (("base", "card-216"), ("mat B", "text-160"), ("mat A", "text-120")):
        figure = load_material(material).tools[Tool.LASER].kerf
        assert figure is not None
        kerfs[name] = figure.value
    plain = {"base": 210, "mat B": 97, "mat A": 97}
    for name, kerf in kerfs.items():
        assert widths[name] == pytest.approx(plain[name] + kerf)
    assert len(set(kerfs.values())) > 1


# A card without anything round it, or with paper that nobody described.


@pytest.mark.parametrize("name", ["harbour-steps", "glued-box", "v-fold-popup"])
def test_a_design_without_dressing_gives_the_files_it_always_gave(
    foldwright: Run, to: Path, name: str
) -> None:
    answer = told(foldwright, DESIGNS / f"{name}.toml", to, "--material", "card-200")
    assert "manifest.json" not in names(to)
    assert answer["manifest"] is None
    assert answer["envelope"] is None
    assert {part["kind"] for part in answer["parts"]} == {"base"}
    # A piece each, in the order of the file, and nothing else.
    assert [file["piece"] for file in answer["files"]] == [part["name"] for part in answer["parts"]]


def test_the_manifest_may_be_asked_for(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = exported(foldwright, harbour, to, "--manifest")
    assert ran.status == 0
    assert names(to) == ["01-base-front.svg", "manifest.json"]
    assert f"wrote {to / 'manifest.json'}" in ran.out


def test_parts_of_a_stock_without_material_are_left_out_and_told(
    foldwright: Run, window: Path, to: Path
) -> None:
    design = without(window, '\nmaterial = "text-160"')
    ran = exported(foldwright, design, to)
    assert ran.status == 0
    # The numbers stay, so that the files of a later run lie among these.
    assert names(to) == [WHOLE[0], WHOLE[3], WHOLE[4], WHOLE[5]]
    assert [rule for rule in ran.rules if rule.startswith("part")] == ["part-without-material"]
    assert 'no file is written for mats B and C: no material is named for their stock "floral"' in (
        ran.err
    )
    assert "--material floral=card-200" in ran.err
    found = json.loads((to / "manifest.json").read_text(encoding="utf-8"))
    (frame,) = [part for part in found["parts"] if part["letter"] == "B"]
    assert (frame["material"], frame["files"], frame["count"]) == (None, [], 2)
    ran = exported(foldwright, design, to, "--material", "floral=text-120")
    assert (ran.status, ran.err) == (0, "")
    assert names(to) == WHOLE


def test_parts_without_a_stock_go_by_the_material_of_every_stock(
    foldwright: Run, window: Path, to: Path
) -> None:
    design = without(window, '\nstock  = "floral"', '\nstock = "plain"')
    ran = exported(foldwright, design, to)
    assert ran.status == 0
    assert "mats B and C and the envelope: they name no stock" in ran.err
    assert names(to) == [WHOLE[0], "02-mat-A-front.svg", "manifest.json"]
    ran = exported(foldwright, design, to, "--material", "text-120")
    assert ran.status == 0
    assert len(names(to)) == len(WHOLE)


def test_a_card_without_material_is_refused_as_ever(
    foldwright: Run, window: Path, to: Path
) -> None:
    ran = exported(foldwright, without(window, '\nmaterial = "card-216"'), to)
    assert ran.status == 2
    assert ran.rules == ["material-needed"]
    assert not to.exists()


def test_a_mat_that_the_tool_must_not_cut_is_refused(
    foldwright: Run, window: Path, to: Path
) -> None:
    """Nothing overrides what a material refuses, but the rest may be written alone."""
    laser = ("export", window, "--tool", "laser", "--to", to, "--material", "floral=mirror-card")
    ran = foldwright(*laser)
    assert ran.status == 2
    assert ran.rules == ["refused-tool"]
    assert not to.exists()
    assert foldwright(*laser, "--only", "base,envelope").status == 0
    assert foldwright(*laser[:3], "hand", *laser[4:], "--only", "mats").status == 0
    assert {name.partition(".")[0] for name in names(to)} == {
        "01-base-front", "02-mat-B-front", "03-mat-C-front", "04-mat-A-front",
        "05-envelope-front", "manifest",
    }  # fmt: skip


def test_a_mat_of_which_nothing_is_left_is_told_and_not_listed(
    foldwright: Run, window: Path, to: Path
) -> None:
    whole = window.read_text(encoding="utf-8").replace("margin = 4", "margin = 60", 1)
    window.write_text(whole, encoding="utf-8")
    answer = told(foldwright, window, to, "--anyway")
    assert any("margin" in found["rule"] or "mat" in found["rule"] for found in answer["findings"])
    assert "plain" not in [part["stock"] for part in answer["parts"] if part["kind"] == "mat"]


def test_a_mat_too_large_for_the_machine_stops_the_set_but_not_the_base(
    foldwright: Run, window: Path, to: Path, tmp_path: Path
) -> None:
    machine = tmp_path / "small.toml"
    machine.write_text('name = "small"\nwork_area = [220, 160]\n', encoding="utf-8")
    ran = exported(foldwright, window, to, "--machine", machine)
    assert ran.status == 1
    assert "does-not-fit" in ran.rules
    assert not to.exists()
    ran = exported(foldwright, window, to, "--machine", machine, "--only", "base,mats")
    assert ran.status == 0
    assert names(to) == [*WHOLE[:4], "manifest.json"]


# Parts of the set.


def test_a_part_has_the_same_name_alone_as_in_the_whole(
    foldwright: Run, window: Path, to: Path, tmp_path: Path
) -> None:
    exported(foldwright, window, to)
    whole = held(to)
    for only, mine in (("base", WHOLE[:1]), ("mats", WHOLE[1:4]), ("envelope", WHOLE[4:5])):
        folder = tmp_path / only
        ran = exported(foldwright, window, folder, "--only", only)
        assert ran.status == 0
        alone = held(folder)
        found = json.loads(alone.pop("manifest.json"))
        assert alone == {name: whole[name] for name in mine}
        assert [name for part in found["parts"] for name in part["files"]] == mine
        assert len(found["parts"]) == 5


def test_files_of_the_other_parts_are_no_earlier_ones(
    foldwright: Run, window: Path, to: Path
) -> None:
    exported(foldwright, window, to)
    ran = exported(foldwright, window, to, "--only", "mats")
    assert (ran.status, ran.err) == (0, "")
    ran = exported(foldwright, without(window, 'face   = "back"\n'), to)
    assert ran.status == 0


def test_what_an_earlier_set_left_is_told(foldwright: Run, window: Path, to: Path) -> None:
    exported(foldwright, window, to)
    text = window.read_text(encoding="utf-8")
    bare = text[: text.index("[[mat]]")]
    window.write_text(bare, encoding="utf-8")
    ran = exported(foldwright, window, to)
    assert ran.rules == ["earlier-files"]
    for name in WHOLE[1:]:
        assert name in ran.err


@pytest.mark.parametrize("text", ["mat", "base,lid", ",", ""])
def test_an_unknown_part_is_bad_usage(foldwright: Run, window: Path, to: Path, text: str) -> None:
    ran = exported(foldwright, window, to, "--only", text)
    assert ran.status == 2
    assert ran.rules == ["bad-usage"]
    assert not to.exists()


def test_a_part_that_the_design_does_not_have(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = exported(foldwright, harbour, to, "--only", "mats")
    assert ran.status == 2
    assert ran.rules == ["no-such-part"]
    assert "--only mats: stop: there is nothing of it to cut: the design has no mats" in ran.err
    assert not to.exists()
    ran = exported(foldwright, harbour, to, "--only", "base,envelope")
    assert ran.status == 0
    assert "--only envelope: warn: there is nothing of it to cut" in ran.err


def test_a_bought_envelope_is_not_cut(foldwright: Run, window: Path, to: Path) -> None:
    text = window.read_text(encoding="utf-8").replace('"four-flap"', '"standard"')
    window.write_text(text, encoding="utf-8")
    answer = told(foldwright, window, to)
    assert answer["envelope"]["name"] is not None
    assert names(to) == [*WHOLE[:4], "manifest.json"]
    ran = exported(foldwright, window, to, "--only", "envelope")
    assert ran.status == 2
    assert f"a standard one, {answer['envelope']['name']}, and is bought" in ran.err


def test_only_parts_without_material_are_refused(foldwright: Run, window: Path, to: Path) -> None:
    design = without(window, '\nmaterial = "text-160"', '\nmaterial = "text-120"')
    ran = exported(foldwright, design, to, "--only", "mats")
    assert ran.status == 2
    assert ran.rules == ["material-needed"] * 3
    assert "--material floral=card-200" in ran.err


# Marks.


def test_nothing_is_marked_unless_it_is_asked_for(foldwright: Run, window: Path, to: Path) -> None:
    answer = told(foldwright, window, to)
    assert all(file["layers"]["mark"]["strokes"] == 0 for file in answer["files"])
    assert {file["side"] for file in answer["files"]} == {"front"}


def test_letters_are_on_the_backs_of_mats(foldwright: Run, window: Path, to: Path) -> None:
    answer = told(foldwright, window, to, "--letters")
    backs = [file for file in answer["files"] if file["side"] == "back"]
    assert [file["piece"] for file in backs] == ["mat B", "mat C", "mat A"]
    assert all(file["layers"]["mark"]["strokes"] > 0 for file in backs)
    assert "02-mat-B-back.svg" in names(to)
    # How to turn a sheet over is said once for all of them.
    (turn,) = [one for one in answer["findings"] if one["rule"] == "second-face"]
    assert turn["message"].startswith(
        'marks of pieces "mat B", "mat C" and "mat A" to be worked from the back: work the file'
    )
    # The card itself, which has marks on its back as well, has a note of its own.
    both = told(foldwright, window, to, "--letters", "--placement")
    turns = [one for one in both["findings"] if one["rule"] == "second-face"]
    assert [one["piece"] for one in turns] == ["base", "mat B"]


def test_placement_and_senses_are_on_the_card(foldwright: Run, window: Path, to: Path) -> None:
    answer = told(foldwright, window, to, "--placement", "--senses")
    marked = {
        (file["piece"], file["side"])
        for file in answer["files"]
        if file["layers"]["mark"]["strokes"]
    }
    assert marked == {("base", "front"), ("base", "back"), ("envelope", "front")}


@pytest.mark.parametrize("option", ["--letters", "--placement"])
def test_marks_for_mats_that_are_not_there_are_told(
    foldwright: Run, harbour: Path, to: Path, option: str
) -> None:
    ran = exported(foldwright, harbour, to, option)
    assert ran.status == 0
    assert ran.rules.count("nothing-to-place") == 1
    assert f"note: {option} changes nothing" in ran.err


def test_a_mat_too_small_for_a_letter_is_told(
    foldwright: Run, design: Callable[[str], Path], to: Path
) -> None:
    card = design(
        'format = 1\nname = "slim"\nunits = "mm"\n'
        '[[piece]]\nname = "card"\noutline = { rectangle = [60, 80] }\n'
        '[[piece.fold]]\nname = "edge"\nsense = "valley"\npoints = [[8, 0], [8, 80]]\n'
        '[[mat]]\non = "card"\nmargin = 2\n'
    )
    ran = exported(foldwright, card, to, "--material", "card-200", "--letters")
    assert ran.status == 0
    assert "letter-no-room" in ran.rules
    assert "note: mat A has no room for a letter" in ran.err
    assert "01-card-front.svg" in names(to)


# The manifest is a file as any other.


def test_a_manifest_of_somebody_else_is_never_replaced(
    foldwright: Run, window: Path, to: Path
) -> None:
    to.mkdir()
    theirs = to / "manifest.json"
    theirs.write_text('{"name": "something else"}', encoding="utf-8")
    ran = exported(foldwright, window, to)
    assert ran.status == 2
    assert ran.rules == ["target-not-ours"]
    # All or nothing: no drawing was written either.
    assert names(to) == ["manifest.json"]
    assert exported(foldwright, window, to, "--replace").status == 0
    assert carries_our_mark(theirs.read_bytes())
    assert exported(foldwright, window, to).status == 0


def test_a_mark_further_down_is_not_ours() -> None:
    mark = "Written by Foldwright; exporting again replaces this file."
    assert not carries_our_mark(json.dumps({"by": "me", "written_by": mark}, indent=2).encode())
    assert not carries_our_mark(b"")


def test_an_unproven_set_has_a_manifest_that_says_so(
    foldwright: Run, window: Path, to: Path
) -> None:
    text = window.read_text(encoding="utf-8") + "\n[limits]\nclosed = [90, 90]\n"
    window.write_text(text, encoding="utf-8")
    assert exported(foldwright, window, to).status == 1
    assert not to.exists()
    assert exported(foldwright, window, to, "--anyway").status == 1
    assert "manifest-unproven.json" in names(to)
    assert "manifest.json" not in names(to)
    assert all("unproven" in name for name in names(to))
    found = json.loads((to / "manifest-unproven.json").read_text(encoding="utf-8"))
    assert found["proven"] is False
    assert found["findings"]["stop"] > 0


def test_what_the_disk_spoils_is_found_before_anything_gets_its_name(
    foldwright: Run, window: Path, to: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    exported(foldwright, window, to)
    before = held(to)
    plain = Path.read_bytes

    def spoiled(path: Path) -> bytes:
        data = plain(path)
        return data.replace(b'"count": 1', b'"count": 3') if data.startswith(b"{") else data

    monkeypatch.setattr(Path, "read_bytes", spoiled)
    ran = exported(foldwright, window, to, "--set", "width=104")
    monkeypatch.undo()
    assert ran.status == 1
    assert "read-back-form" in ran.rules
    assert "parts" in ran.err
    assert held(to) == before
    assert not list(to.glob("*.part"))
