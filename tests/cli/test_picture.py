"""prove --picture: the file, what is replaced and what never is, and every edition at once."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from foldwright.design import read_design
from foldwright.pictures import flat_picture, svg_of
from foldwright.proving import prove_design

Run = Callable[..., Any]


def test_the_picture_is_that_of_the_proof(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    file = tmp_path / "card.svg"
    ran = foldwright("prove", harbour, "--set", "spine_y=107", "--picture", file)
    assert ran.status == 1
    assert f"wrote {file}: the picture" in ran.out
    proof = prove_design(read_design(harbour), overrides={"spine_y": "107"})
    assert file.read_bytes() == svg_of(flat_picture(proof))
    assert sorted(one.name for one in tmp_path.iterdir()) == ["card.svg", "designs"]


def test_json_names_it(foldwright: Run, harbour: Path, tmp_path: Path) -> None:
    file = tmp_path / "card.svg"
    assert foldwright("prove", harbour, "--json").json["picture"] is None
    ran = foldwright("prove", harbour, "--json", "--picture", file)
    assert (ran.status, ran.json["picture"]) == (0, str(file))


def test_a_picture_of_ours_is_replaced_and_nothing_else(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    file = tmp_path / "card.svg"
    assert foldwright("prove", harbour, "--picture", file).status == 0
    first = file.read_bytes()
    assert foldwright("prove", harbour, "--set", "tread=28", "--picture", file).status == 0
    assert file.read_bytes() != first
    file.write_text("<svg/>", encoding="utf-8")
    ran = foldwright("prove", harbour, "--picture", file)
    assert (ran.status, ran.out, ran.rules) == (2, "", ["target-not-ours"])
    assert file.read_text(encoding="utf-8") == "<svg/>"
    assert foldwright("prove", harbour, "--picture", file, "--replace").status == 0
    assert file.read_bytes() == first


def test_a_cutting_file_is_not_taken_for_a_picture(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    done = foldwright("export", harbour, "--tool", "knife", "--to", tmp_path, "--format", "svg")
    assert done.status == 0
    (cutting,) = tmp_path.glob("*.svg")
    before = cutting.read_bytes()
    assert foldwright("prove", harbour, "--picture", cutting).rules == ["target-not-ours"]
    assert cutting.read_bytes() == before


@pytest.mark.parametrize("place", ["folder.svg", "nowhere/card.svg", "file/card.svg", "link.svg"])
def test_places_where_no_picture_can_go(
    foldwright: Run, harbour: Path, tmp_path: Path, place: str
) -> None:
    (tmp_path / "folder.svg").mkdir()
    (tmp_path / "file").write_text("mine", encoding="utf-8")
    (tmp_path / "link.svg").symlink_to(tmp_path / "file")
    before = sorted(tmp_path.rglob("*"))
    ran = foldwright("prove", harbour, "--picture", tmp_path / place)
    assert (ran.status, ran.out) == (2, "")
    assert str(tmp_path / place) in ran.err
    assert sorted(tmp_path.rglob("*")) == before
    assert (tmp_path / "file").read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("name", ["card.png", "card", "card.svg.txt", "svg"])
def test_a_picture_is_called_svg(foldwright: Run, harbour: Path, tmp_path: Path, name: str) -> None:
    before = sorted(tmp_path.rglob("*"))
    ran = foldwright(
        "prove", harbour, "--set", "spine_y=107", "--mend", "--picture", tmp_path / name
    )
    assert (ran.status, ran.out, ran.rules) == (2, "", ["picture-not-svg"])
    # The mended design is not written either.
    assert sorted(tmp_path.rglob("*")) == before
    assert foldwright("prove", harbour, "--picture", tmp_path / "card.SVG").status == 0


def test_with_all_variants_the_first_that_fails_is_drawn(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    file = tmp_path / "card.svg"
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text + "\n[variant.tall]\nmeasures = { spine_y = 108 }\n", encoding="utf-8")
    ran = foldwright("prove", harbour, "--all-variants", "--picture", file)
    assert ran.status == 1
    assert f"wrote {file}: the picture of variant tall\n" in ran.out
    title = ElementTree.fromstring(file.read_bytes())[0].text
    assert title is not None
    assert "buckles (too long) by 6 mm" in title
    answer = foldwright("prove", harbour, "--all-variants", "--picture", file, "--json").json
    assert answer["picture"] == str(file)
    # Of the variants only the one that was drawn has it.
    assert [one["picture"] for one in answer["variants"]] == [None, str(file)]


def test_the_answer_of_all_editions_sums_them_up(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text + "\n[variant.tall]\nmeasures = { spine_y = 108 }\n", encoding="utf-8")
    answer = foldwright("prove", harbour, "--all-variants", "--json").json
    assert (answer["verdict"], answer["proven"]) == ("closes", False)
    assert answer["editions"] == [
        {"variant": None, "verdict": "closes", "proven": True},
        {"variant": "inch", "verdict": "closes", "proven": True},
        {"variant": "tall", "verdict": "buckles", "proven": False},
    ]
    alone = foldwright("prove", harbour, "--json").json
    assert (alone["proven"], alone["materials"]) == (True, {"card": "card-200"})
    # Each edition has the keys of an answer of its own, null where nothing fills them.
    assert answer.keys() - {"editions", "variants"} == alone.keys()
    for edition in answer["variants"]:
        assert edition.keys() == alone.keys()
        assert [edition[key] for key in ("rounded", "mended", "diagnosis", "picture")] == [None] * 4


def test_every_edition_has_a_line(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text + "\n[variant.tall]\nmeasures = { spine_y = 108 }\n", encoding="utf-8")
    ran = foldwright("prove", harbour, "--all-variants")
    assert ran.status == 1
    assert ran.out.splitlines()[-3:] == [
        "the design as it is: closes: its one loop (ring of panels) closes exactly",
        "variant inch: closes: its one loop (ring of panels) closes exactly",
        "variant tall: buckles (too long) by 6 mm at slit 1 of base (stop)",
    ]
    lines = ran.err.splitlines()
    (stop,) = [line for line in lines if ": stop: " in line]
    assert ': stop: variant tall: the loop round slit 1 of "base" buckles by 6 mm' in stop
    # What is true of every edition is told once, without a name, after all the others.
    (floppy,) = [line for line in lines if line.endswith("(floppy)")]
    assert lines[-1] == floppy
    assert "variant" not in floppy
    # The edition that does not close is the only one without plies.
    (stack,) = [line for line in lines if line.endswith("(stack-not-judged)")]
    assert ": note: variant tall: " in stack


def test_an_edition_that_cannot_be_worked_out_does_not_hide_the_others(
    foldwright: Run, harbour: Path
) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text + "\n[variant.tall]\nmeasures = { tread = 90 }\n", encoding="utf-8")
    ran = foldwright("prove", harbour, "--all-variants")
    assert ran.status == 2
    assert ran.out.splitlines()[-1] == ("variant tall: cannot be worked out; see the findings")
    assert 'stop: variant tall: the measure "tread" is 90 mm, its most is 60 mm' in ran.err
    answer = foldwright("prove", harbour, "--all-variants", "--json").json
    assert answer["verdict"] == "closes"
    inch, tall = answer["variants"]
    assert (inch["verdict"], tall["verdict"], tall["variant"]) == ("closes", "unproven", "tall")
    assert "above-most" in [found["rule"] for found in tall["findings"]]
    assert set(inch) == set(tall)


def test_a_variant_of_what_is_not_there_does_not_hide_the_others(
    foldwright: Run, harbour: Path
) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(
        text + "\n[variant.odd]\nmeasures = { nothing = 3 }\n"
        "[variant.tall]\nmeasures = { spine_y = 108 }\n",
        encoding="utf-8",
    )
    ran = foldwright("prove", harbour, "--all-variants")
    assert ran.status == 2
    assert ran.out.splitlines()[-4:] == [
        "the design as it is: closes: its one loop (ring of panels) closes exactly",
        "variant inch: closes: its one loop (ring of panels) closes exactly",
        "variant odd: cannot be worked out; see the findings",
        "variant tall: buckles (too long) by 6 mm at slit 1 of base (stop)",
    ]
    assert 'stop: variant odd: the variant "odd" replaces a measure "nothing" that' in ran.err
    # One edition alone is still told of a slip anywhere in the file.
    assert foldwright("prove", harbour).rules == ["variant-of-nothing"]


def test_a_material_that_one_variant_lacks_is_told_with_it(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(
        text + '\n[variant.gilt]\n[variant.gilt.stock.card]\nmaterial = "gold-leaf"\n',
        encoding="utf-8",
    )
    ran = foldwright("prove", harbour, "--all-variants")
    assert ran.status == 2
    assert "variant inch: closes" in ran.out
    assert "stop: variant gilt: there is no material called" in ran.err


def test_what_is_wrong_with_every_edition_is_told_once(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--all-variants", "--set", "nothing=3")
    assert (ran.status, ran.out, ran.rules) == (2, "", ["unknown-measure"])
