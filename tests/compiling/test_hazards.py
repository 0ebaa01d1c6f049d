"""Tests of compiling.hazards: what may hurt somebody is told, with its place, and nothing else."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from foldwright.compiling import compile_piece
from foldwright.compiling.hazards import BROWNED_MM, CYLINDER_MM, LIFTED_G_M2, LIGHT_G
from foldwright.design.pieces import How
from foldwright.drawing import Work
from foldwright.geometry import circle, point
from foldwright.problems import Problem, ProfileError, Severity
from foldwright.profiles import Tool, load_material, way_for
from tests.profiles.test_shipped import ALL


def hazards(build: Any, piece: Any, way: Any) -> dict[str, Problem]:
    rules = ("ties-browned", "air-lifts", "small-part", "small-waste")
    found = [one for one in build.compiled(piece, way).findings if one.rule in rules]
    assert len({one.rule for one in found}) == len(found)
    return {one.rule: one for one in found}


HELD = {"bridge": (0.4, 60.0, 5.0)}


def test_a_plain_card_has_no_hazards(build: Any) -> None:
    assert hazards(build, build.piece(), build.way(**HELD)) == {}


# Perforations.


def test_narrow_ties_are_browned_through(build: Any) -> None:
    piece = build.piece(slits=(build.slit("coupon", (10, 20), (90, 20), how=How.TEAR),))
    found = hazards(build, piece, build.way(perforation=(1.0, 0.5), kerf=0.1, **HELD))
    told = found["ties-browned"]
    assert told.severity is Severity.WARN
    # 0.5 mm, pressed or stretched a little to fit the line.
    assert told.measure_mm == pytest.approx(0.5, rel=0.02)
    assert told.measure_mm is not None and told.measure_mm < 2 * BROWNED_MM
    assert (told.place.line, told.at) == (20, (10.0, 20.0))
    assert 'slit "coupon" of piece "card" are 0.' in told.message


@pytest.mark.parametrize("tool", [Tool.HAND, Tool.KNIFE])
def test_a_blade_browns_nothing(build: Any, tool: Tool) -> None:
    piece = build.piece(slits=(build.slit("coupon", (10, 20), (90, 20), how=How.TEAR),))
    assert hazards(build, piece, build.way(tool=tool, perforation=(1.0, 0.5))) == {}


def test_wide_ties_and_cuts_that_are_not_perforated_are_left_alone(build: Any) -> None:
    fold = build.fold("fold 1", (0, 30), (100, 30))
    piece = build.piece(folds=(fold,))
    way = build.way(work=Work.PERFORATED, perforation=(2.0, 1.0), kerf=0.1, **HELD)
    assert hazards(build, piece, way) == {}
    narrow = build.way(work=Work.PERFORATED, perforation=(2.0, 0.4), kerf=0.1, **HELD)
    assert hazards(build, piece, narrow)["ties-browned"].place.line == 10


# Loose parts.  The test card is of 200 g/m²: 1 g is 5000 mm².


def test_a_small_part_that_nothing_holds_is_lifted(build: Any) -> None:
    piece = build.piece(openings=(build.opening("window", build.rectangle(10, 10, 80, 50)),))
    told = hazards(build, piece, build.way())["air-lifts"]
    assert told.severity is Severity.WARN
    assert 'what falls out of opening "window" of piece "card",' in told.message
    assert (told.place.line, told.at) == (30, (10.0, 10.0))


def test_what_is_held_or_heavy_or_large_is_not(build: Any) -> None:
    window = build.opening("window", build.rectangle(10, 10, 80, 50))
    piece = build.piece(openings=(window,))
    assert "air-lifts" not in hazards(build, piece, build.way(**HELD))
    assert "air-lifts" not in hazards(build, piece, build.way(tool=Tool.KNIFE))
    # 100 x 60 mm of 200 g/m² are 1.2 g.
    assert LIGHT_G < 100 * 60 * 200 / 1e6
    assert "air-lifts" not in hazards(build, build.piece(), build.way())
    heavy = build.profile(build.way())
    heavy = replace(heavy, grammage=build.figure(LIFTED_G_M2))
    compiled = compile_piece(piece, heavy, Tool.LASER, title="test")
    assert "air-lifts" not in [one.rule for one in compiled.findings]


def test_a_small_loose_piece_is_told_as_itself(build: Any) -> None:
    tag = build.piece(outline=build.rectangle(0, 0, 40, 70))
    told = hazards(build, tag, build.way())["air-lifts"]
    assert told.message.startswith('nothing holds piece "card", ') and told.place.line == 3
    assert told.mend.startswith("give the material bridges")


def test_where_bridges_had_no_room_the_material_is_not_asked_for_them(build: Any) -> None:
    tag = build.piece(outline=build.rectangle(0, 0, 3, 3))
    told = hazards(build, tag, build.way(**HELD))["air-lifts"]
    assert told.mend.startswith("pin or weigh the part down")


def test_the_air_that_lifts_is_a_gentle_wind() -> None:
    # Pressure of moving air: half its density times the square of its speed.
    pressure = 1.2 * 4.0**2 / 2
    assert pressure / 9.81 * 1000 == pytest.approx(LIFTED_G_M2, rel=0.03)


# Small parts.


@pytest.mark.parametrize(
    ("width", "height", "small"),
    [
        (31, 57, True), (57, 31, True), (32, 57, False), (32, 32, False), (31, 58, False),
        (10, 57, True), (5, 60, True), (1, 64, True), (1, 65, False),
    ],
)  # fmt: skip
def test_a_piece_that_fits_the_cylinder_is_a_small_part(
    build: Any, width: int, height: int, small: bool
) -> None:
    # 31.7 mm wide and up to 57.1 mm deep (16 CFR 1501, EN 71-1; depth from memory); a
    # narrow strip lies askew in it, up to a length of 64 mm.
    assert CYLINDER_MM == (31.7, 57.1)
    piece = build.piece(outline=build.rectangle(0, 0, width, height))
    found = hazards(build, piece, build.way(**HELD))
    assert ("small-part" in found) is small
    if small:
        assert found["small-part"].severity is Severity.NOTE
        assert "children under 3" in found["small-part"].mend
        assert found["small-part"].place.line == 3


def test_a_small_part_is_small_however_it_lies(build: Any) -> None:
    from foldwright.geometry import polygon

    # 30 x 56 mm on its corner: its box is larger than the cylinder either way.
    corners = ((0, 0), (24, 18), (-9.6, 62.8), (-33.6, 44.8))
    piece = build.piece(outline=polygon(*(point(*at) for at in corners)))
    assert "small-part" in hazards(build, piece, build.way(**HELD))


def test_a_strip_that_folds_up_small_is_told_so(build: Any) -> None:
    folds = tuple(build.fold(f"fold {at}", (0, 40 * at), (30, 40 * at)) for at in (1, 2, 3))
    strip = build.piece(outline=build.rectangle(0, 0, 30, 160), folds=folds)
    told = hazards(build, strip, build.way(**HELD))["small-part"]
    assert "may be folded as small" in told.message
    # One panel of twice the length, and it does not fold up small.
    rest = replace(strip, folds=folds[:2])
    assert "small-part" not in hazards(build, rest, build.way(**HELD))


def test_slits_part_a_strip_into_small_panels_too(build: Any) -> None:
    # One fold along the middle, and slits to it from both edges: 30 panels of 20 by 20 mm.
    fold = build.fold("spine", (0, 20), (300, 20))
    slits = tuple(
        build.slit(f"slit {at} {end}", (20 * at, 20), (20 * at, end))
        for at in range(1, 15)
        for end in (0, 40)
    )
    sheet = build.rectangle(0, 0, 300, 40)
    comb = build.piece(outline=sheet, folds=(fold,), slits=slits)
    assert "may be folded as small" in hazards(build, comb, build.way(**HELD))["small-part"].message
    # Without the slits of one side a long panel is left.
    half = build.piece(outline=sheet, folds=(fold,), slits=slits[::2])
    assert "small-part" not in hazards(build, half, build.way(**HELD))


def test_small_waste_is_told_once_for_all_of_it(build: Any) -> None:
    openings = (
        build.opening("large", build.rectangle(40, 5, 95, 55)),
        build.opening("dot 1", circle(point(10, 10), Fraction(4))),
        build.opening("dot 2", circle(point(30, 10), Fraction(4))),
    )
    told = hazards(build, build.piece(openings=openings), build.way(tool=Tool.HAND))["small-waste"]
    assert told.severity is Severity.NOTE
    assert 'opening "dot 1" of piece "card" and 1 more' in told.message
    assert told.at == (14.0, 10.0)


def test_an_opening_that_is_not_cut_leaves_no_waste(build: Any) -> None:
    """A dot of 0.1 mm is narrower than the kerf: it is left out of the drawing."""
    dot = build.opening("dot", circle(point(10, 10), Fraction(1, 20)))
    way = build.way(tool=Tool.HAND, kerf=0.2)
    assert "small-waste" not in hazards(build, build.piece(openings=(dot,)), way)
    window = build.opening("window", circle(point(30, 10), Fraction(2)))
    told = hazards(build, build.piece(openings=(dot, window)), way)["small-waste"]
    assert 'opening "window" of piece "card" is' in told.message


def test_many_windows_are_looked_at_alike(build: Any) -> None:
    openings = tuple(
        build.opening(f"dot {row} {at}", build.rectangle(4 * at, 4 * row, 4 * at + 2, 4 * row + 2))
        for row in range(1, 14)
        for at in range(1, 24)
    )
    told = hazards(build, build.piece(openings=openings), build.way(**HELD))["small-waste"]
    assert f"and {len(openings) - 1} more" in told.message


# Every material that ships.


@pytest.mark.parametrize("tool", Tool)
@pytest.mark.parametrize("name", ALL)
def test_a_plain_card_compiles_of_each_material_with_each_of_its_tools(
    build: Any, name: str, tool: Tool
) -> None:
    material = load_material(name)
    way = material.tools[tool]
    folds = (build.fold("fold 1", (0, 75), (105, 75)),)
    piece = build.piece(
        outline=build.rectangle(0, 0, 105, 150),
        folds=folds if way.score is not None else (),
        openings=(build.opening("window", build.rectangle(20, 90, 80, 130)),),
    )
    if way.refused is not None:
        with pytest.raises(ProfileError) as caught:
            compile_piece(piece, material, tool, title="card")
        assert [one.rule for one in caught.value.problems] == ["refused-tool"]
        assert way.refused in str(caught.value)
        return
    compiled = compile_piece(piece, material, tool, title="card")
    assert [one for one in compiled.findings if one.severity is Severity.STOP] == []
    assert [one.rule for one in compiled.findings if one.rule == "ties-browned"] == []
    assert {stroke.source for stroke in compiled.drawing.strokes} >= {
        "outline", "window", *(fold.name for fold in piece.folds),
    }  # fmt: skip
    assert compiled.drawing.cautions
    assert way_for(material, tool) is way
