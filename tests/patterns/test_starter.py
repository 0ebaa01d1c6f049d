"""The design that `new` starts: it says all of its pattern, and reads back as what it is."""

from __future__ import annotations

import tomllib

from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import load_pattern, parse_design, resolve, write_design
from foldwright.measures import Kind, Unit
from foldwright.patterns import starter

from .shipped import edition


@edition
class TestEditions:
    def test_the_starter_has_every_parameter_with_its_meaning(self, name: str, units: Unit) -> None:
        pattern = load_pattern(name)
        text = starter(pattern, "card", units)
        table = tomllib.loads(text)
        assert list(table["measures"]) == [p.name for p in pattern.parameters]
        assert (table["format"], table["units"], table["pattern"]) == (1, str(units), name)
        for parameter in pattern.parameters:
            (row,) = [row for row in text.splitlines() if row.startswith(f"{parameter.name} ")]
            assert row.endswith(f"# {parameter.meaning}")

    def test_the_starter_says_what_the_pattern_says(self, name: str, units: Unit) -> None:
        # Without its measures the design comes to the same: the file holds the defaults.
        text = starter(load_pattern(name), "card", units)
        bare = text[: text.index("[measures]")] + text[text.index("[stock.") :]
        with_measures = resolve(parse_design(text, "card.toml"))
        without = resolve(parse_design(bare, "card.toml"))
        assert dict(without.measures) == dict(with_measures.measures)
        assert [p.outline for p in without.pieces] == [p.outline for p in with_measures.pieces]

    def test_the_starter_survives_reading_and_writing(self, name: str, units: Unit) -> None:
        design = parse_design(starter(load_pattern(name), "card", units), "card.toml")
        assert parse_design(write_design(design), "card.toml") == design

    def test_an_angle_says_that_it_is_one(self, name: str, units: Unit) -> None:
        # A bare number is a length, as the comment above the measures says.
        pattern = load_pattern(name)
        angles = [one for one in pattern.parameters if one.kind is Kind.ANGLE]
        given = {one.name: one.default(units).removesuffix(" deg") for one in angles}
        for values in ({}, given):
            table = tomllib.loads(starter(pattern, "card", units, values))["measures"]
            for one in angles:
                assert table[one.name] == f"{given[one.name]} deg"

    def test_the_lines_fit_an_editor(self, name: str, units: Unit) -> None:
        text = starter(load_pattern(name), "card", units)
        assert max(len(row) for row in text.splitlines()) <= 100
        assert text.endswith("\n")


@given(st.text(max_size=30).filter(lambda text: text.isascii() or text.isprintable()))
def test_any_name_is_a_toml_string(name: str) -> None:
    assert tomllib.loads(starter(load_pattern("half-fold"), name, Unit.MM))["name"] == name
