"""What a card asks of the hand, as prove tells it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., Any]


def test_the_figures_are_always_in_the_answer(foldwright: Run, harbour: Path) -> None:
    load = foldwright("prove", harbour, "--json").json["hand_load"]
    assert (load["slits"], load["creases"], load["turns"], load["settings"]) == (1, 6, 1, 7)
    assert load["fence"] == [
        {"piece": "base", "from": "top", "at_mm": [35, 65, 100, 105, 130, 165]},
        {"piece": "base", "from": "left", "at_mm": [50]},
    ]
    assert (load["small_parts"], load["foam"], load["freehand"]) == (0, 0, 0)
    assert load["fewer"] is None


def test_it_is_told_where_it_is_asked_for(foldwright: Run, harbour: Path) -> None:
    assert "hand load" not in foldwright("prove", harbour).out
    out = foldwright("prove", harbour, "--hand-load").out
    assert (
        "hand load: 1 slit, 840.8 mm to cut, 6 creases, 1 turn of the paper, 7 fence settings, "
        "no parts under 20 mm, no extras to stick on\n"
        "  fence from the top edge: 35 mm, 65 mm, 100 mm, 105 mm, 130 mm, 165 mm\n"
        "  fence from the left edge: 50 mm\n"
    ) in out
    assert "fewer cuts" not in out
    both = foldwright("prove", harbour, "--hand-load", "--all-variants").out
    assert "variant inch: hand load: 1 slit" in both
    assert "1 3/8 in, 2 1/2 in, 3 7/8 in, 4 1/8 in, 5 in, 6 3/8 in" in both


def test_one_step_fewer(foldwright: Run, tmp_path: Path) -> None:
    file = tmp_path / "steps.toml"
    foldwright("new", "side-steps", "--to", file)
    out = foldwright("prove", file, "--hand-load").out
    assert "fewer cuts with steps = 1, and it closes: 1 slit, 781 mm to cut, 4 creases" in out
    (one,) = foldwright("prove", file, "--hand-load", "--json").json["hand_load"]["fewer"]
    assert (one["measure"], one["from"], one["to"], one["settings"]) == ("steps", 2, 1, 5)
