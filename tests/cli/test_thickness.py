"""The length that folds take up, as a user meets it: the JSON, the files, findings."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf.entities.lwpolyline import LWPolyline

Run = Callable[..., Any]

DESIGNS = Path(__file__).parents[1] / "designs"

# The third panel is folded in first, the first one over it.
LETTER = """format = 1
name = "letter"
units = "mm"
[[piece]]
name = "card"
outline = { rectangle = [50, 190] }
[[piece.fold]]
name = "outer"
sense = "valley"
points = [[0, 70], [50, 70]]
[[piece.fold]]
name = "inner"
sense = "valley"
points = [[0, 130], [50, 130]]
"""

# A sheet folded in quarters: its outer fold wraps two plies, and goes round a vertex.
QUARTERS = """format = 1
name = "quarters"
units = "mm"
[[piece]]
name = "map"
outline = { rectangle = [100, 120] }
[[piece.fold]]
name = "level"
sense = "valley"
points = [[0, 60], [50, 60], [100, 60]]
[[piece.fold]]
name = "lower"
sense = "valley"
points = [[50, 0], [50, 60]]
[[piece.fold]]
name = "upper"
sense = "mountain"
points = [[50, 60], [50, 120]]
"""


@pytest.fixture
def design(tmp_path: Path) -> Callable[[str], Path]:
    def write(text: str) -> Path:
        path = tmp_path / "card.toml"
        path.write_text(text)
        return path

    return write


def heights(path: str, layer: str) -> list[list[float]]:
    """The y of all vertices of each stroke of a layer."""
    drawing = ezdxf.filemanagement.readfile(path).modelspace()
    return [
        [float(y) for _, y, *_ in stroke.get_points()]
        for stroke in drawing
        if isinstance(stroke, LWPolyline) and stroke.dxf.layer == layer
    ]


def test_loops_tell_their_thickness_gap(foldwright: Run, design: Callable[[str], Path]) -> None:
    """0.46 mm are wanted of one of four folds, 0.115 mm are left at each."""
    ran = foldwright(
        "prove", design(QUARTERS), "--material", "card-200", "--tool", "laser", "--json"
    )
    (loop,) = ran.json["pieces"][0]["loops"]
    assert (loop["gap_mm"], loop["thickness_gap_mm"]) == (0, 0.115)
    assert "allowance-made" in [one["rule"] for one in ran.json["findings"]]


@pytest.mark.parametrize("more", [[], ["--material", "card-200"]])
def test_without_a_tool_it_is_null(
    foldwright: Run, design: Callable[[str], Path], more: list[str]
) -> None:
    ran = foldwright("prove", design(QUARTERS), *more, "--json")
    (loop,) = ran.json["pieces"][0]["loops"]
    assert loop["thickness_gap_mm"] is None


def test_a_step_card_has_none(foldwright: Run) -> None:
    ran = foldwright("prove", DESIGNS / "harbour-steps.toml", "--tool", "knife", "--json")
    (loop,) = ran.json["pieces"][0]["loops"]
    assert loop["thickness_gap_mm"] == 0


def test_files_have_the_moved_lines(
    foldwright: Run, design: Callable[[str], Path], tmp_path: Path
) -> None:
    """Card of 0.23 mm: the outer fold moves by half of that, what lies beyond it by all."""
    ran = foldwright(
        "export", design(LETTER), "--material", "card-200", "--tool", "knife",
        "--to", tmp_path / "out", "--format", "dxf", "--json",
    )  # fmt: skip
    assert ran.status == 0
    (file,) = ran.json["files"]
    assert file["read_back"] == "same"
    cuts = [y for stroke in heights(file["path"], "CUT") for y in stroke]
    low, high = min(cuts), max(cuts)
    assert high - low == pytest.approx(190.23)
    scores = sorted(min(stroke) - low for stroke in heights(file["path"], "SCORE"))
    assert scores == pytest.approx([70.115, 130.23])
    assert "allowance-made" in [one["rule"] for one in ran.json["findings"]]


def test_a_thickness_gap_that_stops_is_not_exported(
    foldwright: Run, design: Callable[[str], Path], tmp_path: Path
) -> None:
    material = tmp_path / "stiff.toml"
    material.write_text(
        'name = "stiff"\nbased_on = "card-200"\nmade_of = "paper"\n'
        'gives_mm = { is = 0.05, basis = "made up", confidence = "estimate" }\n'
    )
    ran = foldwright(
        "export", design(QUARTERS), "--material", material, "--tool", "knife",
        "--to", tmp_path / "out", "--json",
    )  # fmt: skip
    assert ran.status == 1
    assert ran.json["files"] == []
    (stop,) = [one for one in ran.json["findings"] if one["severity"] == "stop"]
    assert stop["rule"] == "thickness-gap"
    assert stop["measure_mm"] == pytest.approx(0.115)
    assert not (tmp_path / "out").exists() or not list((tmp_path / "out").iterdir())
