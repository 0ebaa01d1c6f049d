"""The command export: files, statuses, refusals, and the shape of its JSON."""

from __future__ import annotations

import errno
import os
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import readfile

from foldwright.writers.svg import SvgWriter
from tests.cli.shapes import FINDING, NUMBER, Maybe, fits

Run = Callable[..., Any]

LAYER = {"strokes": int, "length_mm": NUMBER}
EXPORT = {
    "design": str,
    "material": Maybe(str),
    "tool": {"hand", "knife", "laser"},
    "machine": Maybe(str),
    "verdict": {"closes", "gapes", "buckles", "turned", "unproven"},
    "cautions": [str],
    "files": [
        {
            "path": str,
            "piece": str,
            "format": str,
            "width_mm": NUMBER,
            "height_mm": NUMBER,
            "layers": {"mark": LAYER, "score": LAYER, "cut": LAYER},
            "read_back": {"same"},
            "copies": int,
            "side": {"front", "back"},
            "estimate_s": Maybe(NUMBER),
        }
    ],
    "findings": [FINDING],
}
BOTH = {"01-base-front.svg", "01-base-front.dxf"}


def held(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.fixture
def to(tmp_path: Path) -> Path:
    return tmp_path / "cut-files"


def test_both_files_at_true_size(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--json")
    assert ran.status == 0
    answer = ran.json
    assert fits(answer, EXPORT)
    assert {Path(file["path"]).name for file in answer["files"]} == BOTH == set(held(to))
    assert (answer["material"], answer["tool"], answer["verdict"]) == (
        "card-200",
        "knife",
        "closes",
    )
    for file in answer["files"]:
        assert (file["piece"], file["width_mm"], file["height_mm"]) == ("base", 148, 210)
        # Five folds of 98 mm and one of 50 mm, each 0.5 mm short of what it ends at.
        assert file["layers"]["score"] == {"strokes": 6, "length_mm": 534}
    svg = (to / "01-base-front.svg").read_text(encoding="utf-8")
    assert 'width="148mm" height="210mm" viewBox="0 0 148 210"' in svg
    document = readfile(to / "01-base-front.dxf")
    assert not document.audit().errors
    assert {layer.dxf.name for layer in document.layers} >= {"MARK", "SCORE", "CUT"}


def test_what_a_person_is_told(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to)
    assert ran.status == 0
    assert f"wrote {to / '01-base-front.svg'}: 148 by 210 mm" in ran.out
    assert "read back: same" in ran.out
    assert "take care:" in ran.out
    last = "Follow the machine's manual, the workshop's rules and local law."
    assert ran.out.splitlines()[-1].strip() == last


def test_cautions_reach_every_output(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright(
        "export", harbour, "--tool", "laser", "--to", to, "--format", "svg,dxf,plain", "--json"
    )
    assert len(ran.json["cautions"]) > 3
    told = foldwright("export", harbour, "--tool", "laser", "--to", to)
    for caution in ran.json["cautions"]:
        assert caution in told.out
        first = " ".join(caution.split()[:4])
        for name, data in held(to).items():
            assert first.encode() in data, name


def test_the_same_bytes_in_every_process(process: Run, harbour: Path, tmp_path: Path) -> None:
    made = []
    for seed, locale in (("0", "C"), ("1", "C.UTF-8"), ("4711", "POSIX")):
        folder = tmp_path / seed
        ran = process(
            "export", harbour, "--tool", "laser", "--to", folder, "--format", "svg,dxf,plain",
            environment={"PYTHONHASHSEED": seed, "LC_ALL": locale},
        )  # fmt: skip
        assert ran.status == 0
        made.append(held(folder))
    assert made[0] == made[1] == made[2]


def test_a_card_that_does_not_close_is_not_written(
    foldwright: Run, harbour: Path, to: Path
) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--set", "spine_y=107")
    assert ran.status == 1
    assert "no file was written" in ran.out
    assert not to.exists()
    ran = foldwright(
        "export", harbour, "--tool", "knife", "--to", to, "--set", "spine_y=107", "--json"
    )
    assert ran.status == 1
    assert fits(ran.json, EXPORT)
    assert (ran.json["files"], ran.json["verdict"]) == ([], "buckles")


def test_unless_it_is_wanted_anyway(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright(
        "export", harbour, "--tool", "knife", "--to", to, "--set", "spine_y=107", "--anyway"
    )
    assert ran.status == 1
    assert set(held(to)) == {"01-base-front-unproven.svg", "01-base-front-unproven.dxf"}
    svg = held(to)["01-base-front-unproven.svg"].decode()
    (title,) = re.findall("<title>(.*)</title>", svg)
    assert "unproven" in title.lower()
    assert b"nproven" in held(to)["01-base-front-unproven.dxf"]


def test_a_good_file_of_ours_is_replaced_and_another_is_not(
    foldwright: Run, harbour: Path, to: Path
) -> None:
    export = ("export", harbour, "--tool", "knife", "--to", to)
    assert foldwright(*export).status == 0
    first = held(to)
    assert foldwright(*export, "--set", "tread=28").status == 0
    assert held(to)["01-base-front.svg"] != first["01-base-front.svg"]
    (to / "01-base-front.dxf").write_text("a drawing of mine")
    before = held(to)
    ran = foldwright(*export)
    assert (ran.status, ran.rules) == (2, ["target-not-ours"])
    assert held(to) == before
    assert foldwright(*export, "--replace").status == 0
    assert held(to) == first


def test_without_a_material_nothing_is_written(foldwright: Run, harbour: Path, to: Path) -> None:
    text = harbour.read_text(encoding="utf-8").replace('material = "card-200"\n', "")
    harbour.write_text(text, encoding="utf-8")
    export = ("export", harbour, "--tool", "knife", "--to", to)
    ran = foldwright(*export)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["material-needed"])
    assert "--material" in ran.err
    assert not to.exists()
    assert foldwright(*export, "--material", "card=card-300").status == 0


@pytest.mark.parametrize(("made_of", "rule"), [("PVC", "harmful-fumes"), ("", "unknown-make-up")])
def test_no_option_gets_past_a_refusal(
    foldwright: Run, harbour: Path, to: Path, tmp_path: Path, made_of: str, rule: str
) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(
        'name = "mine"\nabout = "found in a drawer"\nbased_on = "card-200"\n'
        f'made_of = "{made_of}"\n',
        encoding="utf-8",
    )
    ran = foldwright(
        "export", harbour, "--material", mine, "--tool", "laser", "--to", to, "--anyway",
        "--replace",
    )  # fmt: skip
    assert (ran.status, ran.out) == (2, "")
    assert rule in ran.rules
    assert not to.exists()
    assert (
        foldwright("export", harbour, "--material", mine, "--tool", "knife", "--to", to).status == 0
    )


def test_first_import_options(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    export = ("export", harbour, "--tool", "knife", "--json")
    split = foldwright(*export, "--to", tmp_path / "a", "--split", "layer", "--format", "svg").json
    assert sorted(Path(file["path"]).name for file in split["files"]) == [
        "01-base-front-cut.svg",
        "01-base-front-score.svg",
    ]
    assert foldwright(*export, "--to", tmp_path / "b", "--user-unit", "px96").status == 0
    svg = (tmp_path / "b" / "01-base-front.svg").read_text(encoding="utf-8")
    # 148 mm at 96 px to 25.4 mm.
    (width,) = re.findall(r'viewBox="0 0 (\S+) ', svg)
    assert abs(float(width) - 148 * 96 / 25.4) < 1e-4
    plain = foldwright(*export, "--to", tmp_path / "c").json["files"][0]
    bars = foldwright(*export, "--to", tmp_path / "d", "--size-bar").json["files"][0]
    more = bars["layers"]["mark"]["length_mm"] - plain["layers"]["mark"]["length_mm"]
    assert more >= 50 + 50.8
    bare = foldwright(*export, "--to", tmp_path / "e", "--pretrimmed").json["files"][0]
    assert bare["layers"]["cut"] == {"strokes": 1, "length_mm": 130}


def test_a_variant_is_exported(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright("export", harbour, "--tool", "hand", "--to", to, "--variant", "inch", "--json")
    assert ran.status == 0
    assert ran.json["variant"] == "inch"
    # 5 3/4 in by 8 1/4 in; a blade that is led by hand takes nothing away.
    assert (ran.json["files"][0]["width_mm"], ran.json["files"][0]["height_mm"]) == (146.05, 209.55)


def test_a_file_that_reads_back_wrong_is_thrown_away(
    foldwright: Run, harbour: Path, to: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert foldwright("export", harbour, "--tool", "knife", "--to", to).status == 0
    good = held(to)
    real = SvgWriter.write

    def shifted(self: SvgWriter, *given: Any) -> bytes:
        return real(self, *given).replace(b"M 50 ", b"M 50.01 ", 1)

    monkeypatch.setattr(SvgWriter, "write", shifted)
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--json")
    assert ran.status == 1
    assert fits(ran.json, EXPORT)
    assert ran.json["files"] == []
    assert ran.json["findings"][-1]["rule"] == "read-back-stroke"
    assert held(to) == good


def test_a_full_disk(
    foldwright: Run, harbour: Path, to: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to.mkdir()

    def full(number: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["disk-full"])
    assert held(to) == {}


def test_two_pieces_are_two_numbers(foldwright: Run, harbour: Path, to: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    more = '\n[[piece]]\nname = "Tag Ä"\nstock = "card"\noutline = { rectangle = [40, 60] }\n'
    harbour.write_text(text.replace("[variant.inch]", f"{more}\n[variant.inch]"), encoding="utf-8")
    ran = foldwright("export", harbour, "--tool", "hand", "--to", to, "--format", "svg", "--json")
    assert ran.status == 0
    assert {Path(file["path"]).name: file["piece"] for file in ran.json["files"]} == {
        "01-base-front.svg": "base",
        "02-Tag-A-front.svg": "Tag Ä",
    }


def test_how_many_are_to_be_made_is_said(foldwright: Run, tmp_path: Path) -> None:
    design = tmp_path / "card.toml"
    design.write_text(
        'format = 1\nname = "Pebble"\nunits = "mm"\n[[piece]]\nname = "tag"\ncopies = 3\n'
        'outline = { rectangle = [50, 60] }\n[[piece]]\nname = "lid"\n'
        "outline = { rectangle = [50, 60] }\n",
        encoding="utf-8",
    )
    given = ("export", design, "--material", "card-200", "--tool", "knife", "--to", tmp_path)
    ran = foldwright(*given, "--json")
    assert ran.status == 0
    assert {file["piece"]: file["copies"] for file in ran.json["files"]} == {"tag": 3, "lid": 1}
    (note,) = [found for found in ran.json["findings"] if found["rule"] == "several-to-make"]
    assert (note["severity"], note["line"]) == ("note", 4)
    assert note["message"] == '3 of piece "tag" are to be made'
    lines = [line for line in foldwright(*given).out.splitlines() if line.startswith("wrote ")]
    assert [line.endswith("; make 3 of it") for line in lines] == [True, True, False, False]


def test_files_of_an_earlier_export_are_told_and_stay(
    foldwright: Run, harbour: Path, to: Path
) -> None:
    def export(*more: str) -> Any:
        return foldwright("export", harbour, "--tool", "knife", "--to", to, *more)

    assert "earlier-files" not in export("--split", "layer").rules
    # Files of other designs and of other people are nobody's business here.
    (to / "01-other-front.svg").write_text("<svg/>", encoding="utf-8")
    ran = export("--format", "svg")
    (line,) = (one for one in ran.err.splitlines() if one.endswith("(earlier-files)"))
    assert ran.status == 0
    assert ": note: " in line
    old = ("cut.dxf", "cut.svg", "score.dxf", "score.svg")
    assert ", ".join(f"01-base-front-{name}" for name in old) in line
    assert "other" not in line
    assert "01-base-front.svg" not in line
    assert all((to / f"01-base-front-{name}").exists() for name in old)
