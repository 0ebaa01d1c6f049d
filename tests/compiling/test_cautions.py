"""Tests of compiling.cautions: every drawing says what its job calls for, and no more."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from foldwright.compiling import CompileOptions
from foldwright.drawing import Work
from foldwright.profiles import LAST_CAUTION, Tool, cautions_for, load_material, needs_of
from foldwright.profiles.cautions import USUAL, Need
from foldwright.profiles.machine import Machine

MACHINE = Machine(name="bench", width=400.0, height=300.0)

# What each must speak of: pages on laser safety of universities and of the
# workplace authorities; school and craft safety sheets for blades; the rest is
# common practice, no source.
SPEAKS_OF = {
    Tool.LASER: (
        "never leave", "extraction", "extinguisher", "lid shut", "interlock", "scraps", "flames",
        "make-up you know", "pvc or vinyl", "one flat sheet at a time", "embers", "goggles",
        "wavelength", "if your machine is open", "let it dry before a laser",
    ),
    Tool.KNIFE: (
        "sharp", "fingers, hair and sleeves", "cap a blade", "an adult", "switch the machine off",
    ),
    Tool.HAND: (
        "sharp", "steel ruler", "fingers behind the blade", "dull", "an adult", "lock the arm",
        "retract", "good light", "does not rock", "first aid", "glue", "heat tools",
    ),
}  # fmt: skip


def told(build: Any, way: Any, **options: Any) -> tuple[str, ...]:
    piece = build.piece(folds=(build.fold("fold 1", (0, 30), (100, 30)),))
    found: tuple[str, ...] = build.compiled(piece, way, **options).drawing.cautions
    return found


@pytest.mark.parametrize("tool", Tool)
def test_they_speak_of_every_hazard_of_the_tool_and_end_with_the_last(
    build: Any, tool: Tool
) -> None:
    cautions = told(build, build.way(tool=tool))
    text = " ".join(cautions).lower()
    assert [words for words in SPEAKS_OF[tool] if words not in text] == []
    assert cautions[-1] == LAST_CAUTION
    assert "manual" in LAST_CAUTION and "workshop's rules" in LAST_CAUTION and "law" in LAST_CAUTION
    assert len(set(cautions)) == len(cautions)
    # Not so many that none is read.
    assert len(cautions) <= 14


def test_each_usual_one_is_a_short_sentence_that_stands_once() -> None:
    assert len({one.text for one in USUAL}) == len(USUAL)
    for one in USUAL:
        assert one.needs
        assert one.text[0].isupper() and one.text[-1] == "." and 6 <= len(one.text.split()) <= 34


def test_every_need_calls_for_something() -> None:
    assert {need for one in USUAL for need in one.needs} == set(Need)


def test_no_tool_is_told_of_another(build: Any) -> None:
    hand = " ".join(told(build, build.way(tool=Tool.HAND))).lower()
    laser = " ".join(told(build, build.way(tool=Tool.LASER))).lower()
    assert "goggles" not in hand and "extraction" not in hand
    assert "steel ruler" not in laser and "cap a blade" not in laser


@pytest.mark.parametrize(
    ("enclosed", "there", "not_there"),
    [
        (None, ("If your machine is open", "Keep the lid shut"), ("This machine stands open",)),
        (False, ("This machine stands open",), ("If your machine is open", "lid shut")),
        (True, ("Keep the lid shut",), ("stands open", "If your machine is open", "goggles")),
    ],
)
def test_an_open_laser_is_shut_in_and_goggles_are_worn(
    build: Any, enclosed: bool | None, there: tuple[str, ...], not_there: tuple[str, ...]
) -> None:
    way = replace(build.way(), cautions=())
    text = " ".join(told(build, way, machine=replace(MACHINE, enclosed=enclosed)))
    assert [words for words in there if words not in text] == []
    assert [words for words in not_there if words in text] == []


def test_the_machine_has_its_own(build: Any) -> None:
    machine = replace(MACHINE, cautions=("The bed is hot for an hour.", LAST_CAUTION))
    cautions = told(build, build.way(), machine=machine)
    assert "The bed is hot for an hour." in cautions
    assert cautions.count(LAST_CAUTION) == 1 and cautions[-1] == LAST_CAUTION


@pytest.mark.parametrize("tool", Tool)
def test_scoring_with_a_blade_is_told_where_half_cuts_are_drawn(build: Any, tool: Tool) -> None:
    half = told(build, build.way(tool=tool, work=Work.HALF_CUT))
    assert any("half cut is made with a blade" in one for one in half) is (tool is not Tool.LASER)
    creased = told(build, build.way(tool=tool))
    assert not any("half cut" in one for one in creased)
    # Of a material that scores so, a piece without a fold needs it not.
    flat = build.compiled(build.piece(), build.way(tool=tool, work=Work.HALF_CUT)).drawing
    assert not any("half cut" in one for one in flat.cautions)


def test_a_standing_card_is_kept_from_candles(build: Any) -> None:
    assert CompileOptions(stands=True).stands
    assert any("candles" in one for one in told(build, build.way(), stands=True))
    assert not any("candles" in one for one in told(build, build.way()))


def test_the_gravest_come_first() -> None:
    texts = [one.text for one in USUAL]

    def place(words: str) -> int:
        return next(number for number, text in enumerate(texts) if words in text)

    assert place("Never leave") < place("goggles") < place("extinguisher") < place("embers")
    assert place("Blades are sharp") < place("dull") < place("An adult") < place("candles")


def test_what_a_material_says_stands_before_the_usual() -> None:
    board = load_material("corrugated-e")
    cautions = cautions_for(board, Tool.LASER, needs_of(Tool.LASER))
    assert cautions[0].startswith("Corrugated board is the usual cause of fires")
    assert cautions[1].startswith("Never leave a running laser cutter alone")
