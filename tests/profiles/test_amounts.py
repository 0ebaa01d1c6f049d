"""This module holds amounts as packets have them against published values."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.problems import Place, Problem, ProfileError
from foldwright.profiles import Profile, load_material
from foldwright.profiles.amounts import (
    BASIC_SIZES,
    grammage_of,
    grams_per_square_metre,
    length_of,
)

PUBLISHED: dict[str, Any] = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "paper_caliper.toml").read_text(encoding="utf-8")
)
FACTS = {fact["id"]: fact["value"] for fact in PUBLISHED["fact"]}


def grammage(text: str) -> Fraction | Problem:
    return grammage_of(text, told='"grammage.is"', place=Place(file="own.toml", line=4))


def length(text: str, key: str = "kerf") -> Fraction | Problem:
    return length_of(text, key=key, told=f'"{key}.is"', place=Place(file="own.toml", line=4))


@pytest.mark.parametrize("grade", FACTS["P13"])
def test_a_pound_of_each_grade_is_the_published_factor(grade: str) -> None:
    factor = float(grams_per_square_metre(Fraction(1), grade))
    assert factor == pytest.approx(FACTS["P13"][grade], abs=6e-6)


def test_the_constant_of_basis_weights_is_exact_and_not_the_printed_one() -> None:
    for grade, (width, height) in BASIC_SIZES.items():
        constant = float(grams_per_square_metre(Fraction(1), grade) * width * height)
        assert constant == pytest.approx(FACTS["P12"]["exact_constant"], abs=1e-6)
        assert FACTS["P12"]["printed_constant"] / constant == pytest.approx(1.00026, abs=1e-5)


@pytest.mark.parametrize("example", FACTS["P14"])
def test_worked_examples_in_pounds(example: str) -> None:
    grade = example.rstrip("0123456789")
    found = grammage(f"{example.removeprefix(grade)} lb {grade}")
    assert isinstance(found, Fraction)
    assert float(found) == pytest.approx(FACTS["P14"][example], abs=0.005)


def test_printed_weights_are_met_as_they_were_rounded() -> None:
    # A printing encyclopedia has 75.2 g/m² for 20 lb bond, the paper guide of a
    # digital press 270.42 for 100 lb cover.
    cover, bond = grammage("100 lb cover"), grammage("20 lb bond")
    assert isinstance(cover, Fraction) and isinstance(bond, Fraction)
    assert float(cover) == pytest.approx(270.42, abs=0.015)
    assert round(float(bond), 1) == 75.2


@given(st.sampled_from(list(BASIC_SIZES)), st.integers(1, 400))
def test_pounds_are_exact_by_the_sheets_themselves(grade: str, pounds: int) -> None:
    """So many g/m² of 500 sheets of the basic size weigh so many pounds."""
    width, height = BASIC_SIZES[grade]
    square_metres = 500 * width * height * Fraction(254, 10000) ** 2
    found = grammage(f"{pounds} lb {grade}")
    assert isinstance(found, Fraction)
    assert found * square_metres == pounds * Fraction("453.59237")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("300 g/m²", 300), ("300 gsm", 300), ("300g/m2", 300), (" 300 GSM ", 300),
        ("80 g/m^2", 80), ("118.5 gsm", Fraction("118.5")),
    ],
)  # fmt: skip
def test_metric_weights(text: str, value: Fraction) -> None:
    assert grammage(text) == value


@pytest.mark.parametrize("text", ["80lb cover", "80 lb. Cover", "80# cover", "80 pounds  cover"])
def test_ways_of_writing_pounds(text: str) -> None:
    assert grammage(text) == grams_per_square_metre(Fraction(80), "cover")


def test_bare_pounds_are_refused_with_what_they_may_mean() -> None:
    found = grammage("110 lb")
    assert isinstance(found, Problem) and found.rule == "pounds-without-grade"
    for meant in ("110 lb cover = 297 g/m²", "110 lb text = 163 g/m²", "110 lb index = 199 g/m²"):
        assert meant in found.message
    assert found.line().startswith('own.toml:4: stop: "grammage.is" is "110 lb"')


def test_a_word_that_is_no_grade_is_refused_likewise() -> None:
    found = grammage("110 lb card stock")
    assert isinstance(found, Problem) and found.rule == "unknown-grade"
    assert '"card stock" is no grade' in found.message and "110 lb cover = 297" in found.message


@pytest.mark.parametrize("points", [1, 10, 12, 14])
def test_points_of_caliper(points: int) -> None:
    found = length(f"{points} pt", "caliper")
    assert isinstance(found, Fraction)
    assert float(found) == FACTS["P15"][f"pt{points}_mm"]


@pytest.mark.parametrize(("name", "cover"), [("card-176", 65), ("card-216", 80), ("card-270", 100)])
def test_card_by_the_pound_is_as_thick_as_the_chart_has_it(name: str, cover: int) -> None:
    card = load_material(name)
    assert card.caliper.value == pytest.approx(FACTS["P17"][f"cover{cover}_pt"] * 0.0254)
    assert card.grammage.value == pytest.approx(FACTS["P14"][f"cover{cover}"], abs=0.005)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("0.3 mm", "0.3"), ("0.012 in", "0.3048"), ("1/64 in", "0.396875"), ('1/8"', "3.175"),
        ("300 \N{MICRO SIGN}m", "0.3"), ("12 mil", "0.3048"), ("0.1cm", "1"),
    ],
)  # fmt: skip
def test_lengths_with_their_units(text: str, value: str) -> None:
    assert length(text) == Fraction(value)


def test_points_are_for_paper_thickness_alone() -> None:
    found = length("12 pt")
    assert isinstance(found, Problem) and found.rule == "points-of-what"
    assert "0.001 in as a thickness of paper and 1/72 in among printers of type" in found.message


@pytest.mark.parametrize(
    "text", ["0.3", "", "mm", "1/0 mm", "0.1/2 mm", "three mm", "1 ft", "1e3 mm"]
)
def test_what_is_no_length(text: str) -> None:
    found = length(text)
    assert isinstance(found, Problem) and found.rule == "no-amount"


@pytest.mark.parametrize("text", ["300", "", "12 pt", "lb cover", "300 g", "80 lbcover"])
def test_what_is_no_grammage(text: str) -> None:
    found = grammage(text)
    assert isinstance(found, Problem) and found.rule == "no-amount"


@given(st.text(max_size=30))
def test_any_text_is_an_amount_or_a_problem(text: str) -> None:
    for found in (grammage(text), length(text), length(text, "caliper")):
        assert isinstance(found, Fraction | Problem)


# In a file.


def own(folder: Path, **figures: str) -> Profile:
    path = folder / "own.toml"
    lines = [
        f'{key} = {{ is = {value}, basis = "the packet", confidence = "estimate" }}'
        for key, value in figures.items()
    ]
    path.write_text("\n".join(['name = "own"', 'based_on = "card-200"', *lines]), encoding="utf-8")
    return load_material(str(path))


def test_a_file_may_have_them_as_the_packet_does(tmp_path: Path) -> None:
    profile = own(tmp_path, grammage='"110 lb cover"', caliper='"14 pt"', gives_mm='"1/64 in"')
    assert profile.grammage.value == pytest.approx(297.4525, abs=1e-4)
    assert profile.caliper.value == 0.3556
    assert profile.gives_mm.value == 0.396875


@pytest.mark.parametrize(
    ("figures", "start"),
    [
        ({"grammage": '"110 lb"'}, '3: stop: "grammage.is" is "110 lb", and pounds mean nothing'),
        ({"caliper": '"-3 mm"'}, '3: stop: "caliper.is" should be more than 0 and at most 5 mm'),
        ({"caliper": '"12"'}, '3: stop: "caliper.is" should be a number of mm, or a text with'),
        ({"caliper": '"12 pts of type"'}, '3: stop: "caliper.is" should be a number of mm'),
        ({"gives_mm": '"1 pt"'}, '3: stop: "gives_mm.is" is "1 pt": a point is 0.001 in'),
        ({"gives_mm": "[]"}, '3: stop: "gives_mm.is" should be a number, not an empty list'),
    ],
)  # fmt: skip
def test_a_wrong_one_is_told_with_its_line(
    figures: dict[str, str], start: str, tmp_path: Path
) -> None:
    with pytest.raises(ProfileError, match=re.escape(f"own.toml:{start}")):
        own(tmp_path, **figures)
