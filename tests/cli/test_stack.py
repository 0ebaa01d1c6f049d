"""The closed card as a user meets it: the keys of the JSON, the table, editions, the same bytes."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from foldwright.problems.rules import stacking, standing
from tests.cli.shapes import NUMBER, Maybe, fits

Run = Callable[..., Any]

TESTS = Path(__file__).parents[1]
DESIGNS = TESTS / "designs"

# The keys of the interface: these stay, more may be added.
OUT = {"panel": str, "mm": NUMBER, "at": [NUMBER], "past": str}
STACK = {
    "order": {"found", "blocked", "undecided"},
    "blocked": [str],
    "most_plies": int,
    "thickest": Maybe(
        {"panel": str, "at": [NUMBER], "closed_at": [NUMBER], "plies": int, "known_mm": NUMBER}
    ),
    "cells": [{"at": [NUMBER], "area_mm2": NUMBER, "plies": int, "panels": [str]}],
    "spill": Maybe(
        {
            "mm": NUMBER,
            "covered_by": [str],
            "panels": [OUT],
            "beside": [{**OUT, "in_a_bay": bool}],
            "mends": [{"measure": str, "from_mm": NUMBER, "to_mm": NUMBER}],
        }
    ),
    "no_foam": {
        "height_mm": NUMBER,
        "zones": [
            {
                "panel": str,
                "face": {"front", "back"},
                "why": {"fold", "limit", "grows"},
                "area_mm2": NUMBER,
                "box": [NUMBER],
            }
        ],
    },
    "extras": [{"name": str, "holds_open": [str], "adds_mm": Maybe(NUMBER)}],
}

# An accordion that passes its cover below by 10 mm, a gem in it.
CARD = """format = 1
name = "accordion"
units = "mm"
[measures]
page = 110
[[piece]]
name = "card"
outline = { rectangle = [50, "140 + page"] }
[[piece.panel]]
name = "front"
at = [25, 10]
cover = true
[[piece.fold]]
name = "first"
sense = "valley"
points = [[0, 100], [50, 100]]
[[piece.fold]]
name = "second"
sense = "mountain"
points = [[0, "100 + page"], [50, "100 + page"]]
[[extra]]
name = "gem"
on = "card/front"
at = [25, 98]
size = 4
height = 3
mass = 0.5
"""


@pytest.mark.parametrize(
    "name", ["harbour-steps", "v-fold-popup", "parallel-box", "everything", "easel", "strut"]
)
def test_the_keys_of_the_closed_card(foldwright: Run, name: str) -> None:
    design = DESIGNS / f"{name}.toml"
    answer = foldwright("prove", design, "--material", "card-200", "--json").json
    assert fits(answer["stack"], STACK)
    assert answer["stack"]["order"] == "found"
    assert answer["stack"]["most_plies"] == max(one["plies"] for one in answer["stack"]["cells"])
    for cell in answer["stack"]["cells"]:
        assert len(cell["panels"]) == cell["plies"]
    assert answer["closed"]["mass_g"] > 0
    assert answer["closed"]["thickness_mm"] > 0


def test_the_harbour_steps_closed(foldwright: Run) -> None:
    """Six plies of 0.23 mm; 31072.27 mm2 of 200 g/m2; 5 mm are left below the steps."""
    answer = foldwright("prove", DESIGNS / "harbour-steps.toml", "--json").json
    closed = answer["closed"]
    assert (closed["width_mm"], closed["height_mm"]) == (148, 105)
    assert closed["thickness_mm"] == 1.38
    assert closed["mass_g"] == pytest.approx((148 * 210 - (4 - math.pi) * 9) * 200e-6, rel=1e-5)
    stack = answer["stack"]
    assert (stack["most_plies"], stack["thickest"]["plies"]) == (6, 6)
    assert stack["thickest"]["known_mm"] == 1.38
    (six,) = [cell for cell in stack["cells"] if cell["plies"] == 6]
    assert six["area_mm2"] == 98 * 25
    assert (six["panels"][0], six["panels"][-1]) == ("base/front floor", "base/panel 3")
    assert stack["spill"]["mm"] == 0
    (pose,) = [one for one in answer["poses"] if one["name"] == "standing"]
    assert pose["stands"] is True
    assert pose["margin_mm"] == pytest.approx(18.323, abs=1e-3)
    assert pose["tip_deg"] == pytest.approx(26.861, abs=1e-3)
    # Poses that no one asked for are not judged.
    assert [one["stands"] for one in answer["poses"][:3]] == [None] * 3


def test_a_spill_its_mend_and_an_extra(foldwright: Run, design: Callable[[str], Path]) -> None:
    file = design(CARD)
    ran = foldwright("prove", file, "--material", "card-200", "--json")
    assert ran.status == 0
    stack = ran.json["stack"]
    assert fits(stack, STACK)
    assert stack["spill"]["covered_by"] == ["card/front"]
    assert [(one["panel"], one["mm"]) for one in stack["spill"]["panels"]] == [
        ("card/panel 1", 10),
        ("card/panel 2", 10),
    ]
    assert stack["spill"]["mends"] == [{"measure": "page", "from_mm": 110, "to_mm": 100}]
    # The gem is 3 mm high and only 0 mm from its rim to the fold.
    (gem,) = stack["extras"]
    assert (gem["name"], gem["holds_open"]) == ("gem", ["first"])
    assert stack["no_foam"]["height_mm"] == 3
    mended = foldwright("prove", file, "--material", "card-200", "--set", "page=100 mm", "--json")
    assert mended.json["stack"]["spill"]["panels"] == []
    told = foldwright("prove", file, "--material", "card-200")
    assert re.search(
        r"^closed: 50 mm by 110 mm, [0-9]+(\.[0-9]{1,2})? mm thick, .* g$", told.out, re.MULTILINE
    )
    assert {"spills", "fold-held-open"} <= set(told.rules)


def test_what_is_blocked(foldwright: Run, design: Callable[[str], Path], tmp_path: Path) -> None:
    """Flaps of 30 mm folded in over a middle of 10 mm."""
    folds = '[[piece.fold]]\nsense = "valley"\npoints = [[30, 0], [30, 20]]\n'
    text = (
        'format = 1\nname = "strip"\nunits = "mm"\n[[piece]]\nname = "strip"\n'
        f"outline = {{ rectangle = [70, 20] }}\n{folds}{folds.replace('[30,', '[40,')}"
    )
    ran = foldwright("prove", design(text), "--material", "card-200", "--json")
    assert ran.status == 1
    stack = ran.json["stack"]
    assert fits(stack, STACK)
    assert stack["order"] == "blocked"
    assert stack["blocked"] == [f"strip/panel {number}" for number in (1, 2, 3)]
    assert (stack["spill"], stack["most_plies"]) == (None, 3)
    files = tmp_path / "files"
    options = ("--material", "card-200", "--tool", "knife", "--to", files)
    export = foldwright("export", design(text), *options)
    assert (export.status, files.exists()) == (1, False)
    assert "plies-blocked" in export.rules


@pytest.mark.parametrize("options", [("glued-box",), ("harbour-steps", "--set", "spine_y=107")])
def test_no_stack_is_null(foldwright: Run, options: tuple[str, ...]) -> None:
    name, *others = options
    ran = foldwright("prove", DESIGNS / f"{name}.toml", *others, "--material=card-200", "--json")
    assert (ran.json["stack"], ran.json["closed"]["thickness_mm"]) == (None, None)
    assert ran.json["closed"]["mass_g"] > 0


def test_without_a_material_nothing_is_guessed(
    foldwright: Run, design: Callable[[str], Path]
) -> None:
    ran = foldwright("prove", design(CARD), "--json")
    assert fits(ran.json["stack"], STACK)
    assert (ran.json["closed"]["thickness_mm"], ran.json["closed"]["mass_g"]) == (None, None)
    assert ran.json["stack"]["most_plies"] == 3
    told = foldwright("prove", design(CARD))
    assert "closed: 50 mm by 110 mm\n" in f"{told.out}\n"


def test_every_edition_has_its_own_closed_card(foldwright: Run) -> None:
    """In inches the same steps: 5 3/4 in wide, 2 in of it the plain strip."""
    file = DESIGNS / "harbour-steps.toml"
    every = foldwright("prove", file, "--all-variants", "--json").json
    (inch,) = every["variants"]
    assert every["closed"]["height_mm"] == 105
    assert inch["closed"]["width_mm"] == pytest.approx(5.75 * 25.4)
    assert inch["closed"]["height_mm"] == pytest.approx(8.25 * 25.4 / 2)
    area = 5.75 * 8.25 * 25.4**2 - (4 - math.pi) * 9
    assert inch["closed"]["mass_g"] == pytest.approx(area * 200e-6, rel=1e-5)
    (six,) = [cell for cell in inch["stack"]["cells"] if cell["plies"] == 6]
    # Two treads of 1 1/8 in less the difference to a riser of 1 3/8 in, over 3 3/4 in.
    assert six["area_mm2"] == pytest.approx(3.75 * (2 * 1.125 - 1.375) * 25.4**2)


@pytest.mark.parametrize("name", ["harbour-steps", "everything"])
def test_the_same_bytes_in_every_process(process: Run, name: str) -> None:
    first, second = (
        process("prove", DESIGNS / f"{name}.toml", "--json", environment={"PYTHONHASHSEED": seed})
        for seed in ("3", "91")
    )
    assert first.out == second.out
    assert first.err == second.err


@pytest.mark.parametrize("code", [rule.code for rule in (*stacking.RULES, *standing.RULES)])
def test_every_rule_has_a_test_that_raises_it(code: str) -> None:
    texts = [
        file.read_text(encoding="utf-8")
        for folder in ("proving", "cli", "stacking")
        for file in sorted((TESTS / folder).glob("test_*.py"))
    ]
    assert any(f'"{code}"' in text for text in texts)
