"""Export where both faces are worked: files, sides, the edge to turn about, a job face down."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile

Run = Callable[..., Any]

TWO_FACES = """\
name     = "stiff card"
about    = "invented: valleys are scored from the back"
based_on = "card-300"
made_of  = "board"

[tool.knife.score]
valleys_from = "back"
registration = { is = 0.5, basis = "by eye", confidence = "estimate" }
"""


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "stiff.toml"
    path.write_text(TWO_FACES, encoding="utf-8")
    return path


@pytest.fixture
def to(tmp_path: Path) -> Path:
    return tmp_path / "cut-files"


def lines(file: Path, layer: str) -> set[frozenset[tuple[float, float]]]:
    """The ends of each line of a layer, to the micrometre."""
    return {
        frozenset((round(x, 3), round(y, 3)) for x, y in entity.get_points("xy"))
        for entity in readfile(file).modelspace()
        if isinstance(entity, LWPolyline) and entity.dxf.layer == layer
    }


def test_two_files_of_one_page(foldwright: Run, harbour: Path, card: Path, to: Path) -> None:
    """Of six folds four are valleys; with crosses the page is 164 mm wide, the card 8 mm in."""
    ran = foldwright("export", harbour, "--material", card, "--tool", "knife", "--to", to, "--json")
    assert ran.status == 0
    files = {(f["side"], f["format"]): f for f in ran.json["files"]}
    assert {Path(f["path"]).name for f in files.values()} == {
        "01-base-front.svg", "01-base-front.dxf", "01-base-back.svg", "01-base-back.dxf",
    }  # fmt: skip
    assert {(f["width_mm"], f["height_mm"]) for f in files.values()} == {(164, 210)}
    assert files["front", "dxf"]["layers"]["score"]["strokes"] == 2
    assert files["back", "dxf"]["layers"]["score"]["strokes"] == 4
    # Three crosses of two lines: drawn on the front, pierced on the back.
    assert files["front", "dxf"]["layers"]["mark"] == {"strokes": 6, "length_mm": 24}
    assert files["back", "dxf"]["layers"]["cut"] == {"strokes": 6, "length_mm": 24}
    # What is drawn and what is pierced lie on each other, turned about an upright edge.
    drawn = lines(to / "01-base-front.dxf", "MARK")
    pierced = lines(to / "01-base-back.dxf", "CUT")
    assert {frozenset((round(164 - x, 3), y) for x, y in one) for one in pierced} == drawn
    assert drawn != pierced
    (found,) = (f for f in ran.json["findings"] if f["rule"] == "second-face")
    assert (found["severity"], found["measure_mm"]) == ("note", 0.5)
    assert "4 folds" in found["message"]
    assert "turn the sheet about its left edge" in found["message"]
    assert f"up to 0.5 mm off ({card}:8, estimate, by eye)" in found["message"]


@pytest.mark.parametrize(
    ("edge", "gutter"),
    [
        ("left", {(163.3 - 8.0, 105.0), (106.7, 105.0)}),
        ("right", {(155.3, 105.0), (106.7, 105.0)}),
        ("bottom", {(8.7, 105.0), (57.3, 105.0)}),
        ("top", {(8.7, 105.0), (57.3, 105.0)}),
    ],
)
def test_the_edge_that_is_named(
    foldwright: Run,
    harbour: Path,
    card: Path,
    to: Path,
    edge: str,
    gutter: set[tuple[float, float]],
) -> None:
    """The gutter runs from the left edge of the card 50 mm to the slit, inset by 0.7 mm."""
    ran = foldwright(
        "export", harbour, "--material", card, "--tool", "knife", "--to", to,
        "--turn-about", edge,
    )  # fmt: skip
    assert ran.status == 0
    assert f"about its {edge} edge" in ran.err
    assert frozenset(gutter) in lines(to / "01-base-back.dxf", "SCORE")


def test_an_edge_without_a_second_face_is_told(foldwright: Run, harbour: Path, to: Path) -> None:
    export = ("export", harbour, "--tool", "knife", "--to", to)
    ran = foldwright(*export, "--turn-about", "top")
    assert ran.status == 0
    assert "nothing-to-turn" in ran.rules
    assert "nothing-to-turn" not in foldwright(*export).rules


def test_an_edge_that_is_none_is_bad_usage(foldwright: Run, harbour: Path, to: Path) -> None:
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--turn-about", "side")
    assert (ran.status, ran.rules) == (2, ["bad-usage"])


def test_face_down_the_whole_job_is_of_the_back(
    foldwright: Run, harbour: Path, to: Path, tmp_path: Path
) -> None:
    machine = tmp_path / "bench.toml"
    machine.write_text('name = "bench"\nwork_area = [300, 300]\nface = "down"\n', encoding="utf-8")
    up = tmp_path / "up"
    assert foldwright("export", harbour, "--tool", "knife", "--to", up).status == 0
    ran = foldwright("export", harbour, "--tool", "knife", "--to", to, "--machine", machine)
    assert ran.status == 0
    assert "lies-face-down" in ran.rules
    assert "second-face" not in ran.rules
    assert {path.name for path in to.iterdir()} == {"01-base-back.svg", "01-base-back.dxf"}
    for layer in ("SCORE", "CUT"):
        front = lines(up / "01-base-front.dxf", layer)
        turned = {frozenset((round(148 - x, 3), y) for x, y in one) for one in front}
        assert turned == lines(to / "01-base-back.dxf", layer)
        assert front != turned


def test_face_down_scores_stay_on_the_outside_of_their_folds(
    foldwright: Run, harbour: Path, card: Path, to: Path, tmp_path: Path
) -> None:
    machine = tmp_path / "bench.toml"
    machine.write_text('name = "bench"\nwork_area = [300, 300]\nface = "down"\n', encoding="utf-8")
    ran = foldwright(
        "export", harbour, "--material", card, "--tool", "knife", "--to", to,
        "--machine", machine, "--json",
    )  # fmt: skip
    files = {f["side"]: f["layers"] for f in ran.json["files"] if f["format"] == "dxf"}
    # Two mountains from the front, four valleys and the outline from the back.
    assert files["front"]["score"]["strokes"] == 2
    assert files["back"]["score"]["strokes"] == 4
    assert files["back"]["cut"]["length_mm"] > 600
    assert files["front"]["cut"]["length_mm"] == 24
    assert "work the file of the front first" in ran.out


def test_trimmed_blanks_have_a_register_on_each_face(
    foldwright: Run, harbour: Path, card: Path, to: Path
) -> None:
    ran = foldwright(
        "export", harbour, "--material", card, "--tool", "knife", "--to", to, "--pretrimmed"
    )
    assert ran.status == 0
    corner = {(23.0, 0.0), (0.0, 0.0), (0.0, 23.0)}
    assert lines(to / "01-base-front.dxf", "MARK") == {frozenset(corner)}
    assert lines(to / "01-base-back.dxf", "MARK") == {frozenset((148 - x, y) for x, y in corner)}
    assert lines(to / "01-base-back.dxf", "CUT") == set()
