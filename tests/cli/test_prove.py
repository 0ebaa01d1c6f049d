"""The command prove: statuses, what it prints, and the shape of its JSON."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.cli.shapes import FINDING, NUMBER, Maybe, fits

Run = Callable[..., Any]

# DESIGN of the interface: these keys stay, more may be added.
MOVE = {"from_mm": NUMBER, "to_mm": NUMBER, "on_ruler": Maybe(str)}
LINE_MEND = {"piece": str, "line": str, **MOVE, "gap_after_mm": NUMBER, "moves": [MOVE]}
CHANGE = {"measure": str, **MOVE, "steps": NUMBER}
MEASURE_MEND = {**CHANGE, "gap_after_mm": NUMBER, "how": {"exact", "searched"}, "with": [CHANGE]}
PROOF = {
    "design": str,
    "material": Maybe(str),
    "verdict": {"closes", "gapes", "buckles", "turned", "unproven"},
    "gap_mm": NUMBER,
    "closed": {
        "width_mm": Maybe(NUMBER),
        "height_mm": Maybe(NUMBER),
        "thickness_mm": Maybe(NUMBER),
        "mass_g": Maybe(NUMBER),
    },
    "pieces": [
        {
            "name": str,
            "panels": int,
            "hinges": int,
            "folds": int,
            "slits": int,
            "loops": [
                {
                    "around": str,
                    "at": [NUMBER],
                    "gap_mm": Maybe(NUMBER),
                    "turn_deg": NUMBER,
                    "verdict": {"closes", "gapes", "buckles", "turned"},
                    "folds": [str],
                }
            ],
        }
    ],
    "findings": [FINDING],
    "mends": [{"piece": Maybe(str), **MOVE, "gap_after_mm": NUMBER}],
    "poses": [dict],
}


def test_a_card_that_closes(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour)
    assert ran.status == 0
    assert ran.out.splitlines()[0] == (
        "Harbour steps: closes: its one loop (ring of panels) closes exactly"
    )
    assert "closed: 148 mm by 105 mm" in ran.out
    assert ": stop:" not in ran.err


def test_its_json(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--json", "--material", "card-300", "--tool", "hand")
    assert ran.status == 0
    answer = ran.json
    assert fits(answer, PROOF)
    assert (answer["design"], answer["material"]) == ("Harbour steps", "card-300")
    assert (answer["verdict"], answer["gap_mm"]) == ("closes", 0)
    assert answer["closed"] == {
        "width_mm": 148,
        "height_mm": 105,
        # Six plies of 0.35 mm; 300 g/m2 on 148 by 210 mm less what round corners lack.
        "thickness_mm": 2.1,
        "mass_g": pytest.approx((148 * 210 - (4 - math.pi) * 9) * 300e-6, rel=1e-5),
    }
    (piece,) = answer["pieces"]
    assert {key: piece[key] for key in ("name", "panels", "hinges", "folds", "slits")} == {
        "name": "base",
        "panels": 6,
        "hinges": 6,
        "folds": 6,
        "slits": 1,
    }
    (loop,) = piece["loops"]
    assert loop["around"] == "slit 1"
    assert sorted(loop["folds"]) == ["gutter", *(f"steps {number}" for number in range(1, 6))]
    assert answer["mends"] == []


@pytest.mark.parametrize("moved", [-3.5, -0.75, 0.5, 2])
def test_a_moved_fold_opens_a_gap_of_twice_its_way(
    foldwright: Run, harbour: Path, moved: float
) -> None:
    # Closed form: in a loop of parallel folds with one line moved by d the gap is 2|d|.
    ran = foldwright("prove", harbour, "--set", f"spine_y={105 + moved}", "--json")
    assert ran.status == 1
    answer = ran.json
    assert fits(answer, PROOF)
    assert answer["gap_mm"] == 2 * abs(moved)
    assert answer["verdict"] in ("gapes", "buckles")
    (stop,) = (found for found in answer["findings"] if found["severity"] == "stop")
    assert (stop["rule"], stop["piece"]) == (answer["verdict"], "base")
    assert stop["measure_mm"] == 2 * abs(moved)
    assert stop["mend"]
    measure, *lines = answer["mends"]
    assert fits(measure, MEASURE_MEND)
    assert (measure["measure"], measure["from_mm"], measure["to_mm"]) == (
        "spine_y",
        105 + moved,
        105,
    )
    assert (measure["how"], measure["gap_after_mm"], measure["with"]) == ("exact", 0, [])
    assert fits(lines, [LINE_MEND])
    gutter = next(mend for mend in lines if mend["line"] == "gutter")
    assert (gutter["from_mm"], gutter["to_mm"]) == (105 + moved, 105)
    assert (gutter["gap_after_mm"], gutter["on_ruler"]) == (0, "1 mm")


def test_the_mends_are_told_with_their_ruler(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--set", "spine_y=107")
    assert ran.status == 1
    assert ran.out.startswith("Harbour steps: buckles (too long) by 4 mm at slit 1 of base\n")
    assert "  change spine_y from 107 mm to 105 mm (on the 1 mm ruler); the gap is then" in ran.out
    assert 'move fold "gutter" from 107 mm to 105 mm (on the 1 mm ruler)' in ran.out
    assert "; change spine_y from 107 mm to 105 mm (buckles)" in ran.err
    assert f"{harbour}:" in ran.err
    assert ": stop: " in ran.err


def test_a_mend_applied_closes_the_card(foldwright: Run, harbour: Path) -> None:
    broken = foldwright("prove", harbour, "--set", "spine_y=107", "--json").json
    mend = next(mend for mend in broken["mends"] if mend.get("line") == "gutter")
    ran = foldwright("prove", harbour, "--set", f"spine_y={mend['to_mm']}", "--json")
    assert (ran.status, ran.json["gap_mm"]) == (0, 0)


def test_what_the_material_forgives_is_no_stop(foldwright: Run, harbour: Path) -> None:
    # card-200 gives 0.4 mm: up to that a note, up to twice that a warning.
    severities = {}
    for moved in ("0.1", "0.3", "0.5"):
        ran = foldwright("prove", harbour, "--set", f"spine_y=105+{moved}", "--json")
        (found,) = (one for one in ran.json["findings"] if one["rule"] in ("gapes", "buckles"))
        severities[moved] = (found["severity"], ran.status)
    assert severities == {"0.1": ("note", 0), "0.3": ("warn", 0), "0.5": ("stop", 1)}


def test_a_variant_is_told_in_its_own_units(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--variant", "inch")
    assert ran.status == 0
    assert "closed: 5 3/4 in by 4 1/8 in" in ran.out


def test_all_variants(foldwright: Run, harbour: Path) -> None:
    ran = foldwright("prove", harbour, "--all-variants")
    assert ran.status == 0
    assert "-- the design as it is\n" in ran.out
    assert "-- variant inch\n" in ran.out
    answer = foldwright("prove", harbour, "--all-variants", "--json").json
    assert fits(answer, PROOF)
    assert (answer["variant"], answer["closed"]["width_mm"]) == (None, 148)
    (inch,) = answer["variants"]
    assert fits(inch, PROOF)
    # 5 3/4 in at 25.4 mm to the inch.
    assert (inch["variant"], inch["closed"]["width_mm"]) == ("inch", 146.05)


def test_one_bad_variant_is_enough(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8")
    harbour.write_text(text + "\n[variant.tall]\nmeasures = { spine_y = 108 }\n", encoding="utf-8")
    assert foldwright("prove", harbour).status == 0
    assert foldwright("prove", harbour, "--all-variants").status == 1


def test_lines_that_cannot_be_judged(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8").replace('"strip", "spine_y"]]', '40, "spine_y"]]')
    harbour.write_text(text, encoding="utf-8")
    ran = foldwright("prove", harbour, "--json")
    assert ran.status == 1
    assert fits(ran.json, PROOF)
    assert ran.json["verdict"] == "unproven"
    assert ran.json["closed"]["width_mm"] is None
    told = foldwright("prove", harbour)
    assert told.status == 1
    assert told.out.startswith("Harbour steps: unproven")


def test_a_card_without_a_loop(foldwright: Run, design: Callable[[str], Path]) -> None:
    file = design(
        'format = 1\nname = "tent"\nunits = "in"\n[[piece]]\nname = "card"\n'
        'outline = { rectangle = ["5 1/2", "8 1/2"] }\n'
        '[[piece.fold]]\nsense = "valley"\npoints = [[0, "4 1/4"], ["5 1/2", "4 1/4"]]\n'
    )
    ran = foldwright("prove", file)
    assert ran.status == 0
    assert ran.out.splitlines()[0] == (
        "tent: closes: it has no loop (ring of panels) that could fail to"
    )
    assert "closed: 5 1/2 in by 4 1/4 in" in ran.out
    assert fits(foldwright("prove", file, "--json").json, PROOF)


def test_a_laser_is_refused_for_what_must_not_burn(
    foldwright: Run, harbour: Path, tmp_path: Path
) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text(
        'name = "mine"\nabout = "found in a drawer"\nbased_on = "card-200"\nmade_of = "PVC"\n',
        encoding="utf-8",
    )
    assert foldwright("prove", harbour, "--material", mine, "--tool", "knife").status == 0
    ran = foldwright("prove", harbour, "--material", mine, "--tool", "laser")
    assert (ran.status, ran.out) == (2, "")
    assert "harmful-fumes" in ran.rules


def test_what_is_read_but_not_judged_is_a_note(foldwright: Run, harbour: Path) -> None:
    text = harbour.read_text(encoding="utf-8").replace('material = "card-200"', "")
    more = '\n[limits]\nthickness = 5\n\n[[pose]]\nname = "unheld"\n'
    harbour.write_text(text + more, encoding="utf-8")
    plain = foldwright("prove", harbour, "--json")
    notes = [found for found in plain.json["findings"] if found["severity"] == "note"]
    lines = (text + more).splitlines()
    assert {"[limits]", "[[pose]]"} <= {lines[note["line"] - 1] for note in notes if note["line"]}
    assert plain.status == 0
