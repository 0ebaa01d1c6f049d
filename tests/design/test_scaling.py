"""Sizes that follow: what becomes of each measure, and what does not follow."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Design, Scale, parse_design, read_design, resolve
from foldwright.design.rewriting import with_measures
from foldwright.design.scaling import Scaling, factor_of, scaled
from foldwright.problems import DesignError, Severity

DESIGNS = Path(__file__).parents[1] / "designs"
HARBOUR = DESIGNS / "harbour-steps.toml"


def card(measures: str, *, units: str = "mm", more: str = "") -> Design:
    return parse_design(
        f"""\
format = 1
name = "Card"
units = "{units}"
[measures]
{measures}
[[piece]]
name = "base"
outline = {{ rectangle = ["a", "2 * a"] }}
{more}
"""
    )


def after(scaling: Scaling) -> dict[str, Fraction]:
    return {one.name: one.after for one in scaling.measures}


def test_each_measure_as_it_is_marked() -> None:
    design = card(
        """\
a = 100
b = { is = "a / 4", scale = "with" }
foot = { is = "10 mm", scale = "fixed" }
box = { is = 25, step = 4, scale = "ruler" }
pin = { is = 7, scale = "with" }
rays = { number = 3 }
lean = "60 deg"
"""
    )
    scaling = scaled(design, Fraction(3, 4))
    # 25 * 3/4 = 18.75: the nearest multiple of 4 is 20.
    assert after(scaling) == {"a": 75, "foot": 10, "box": 20, "pin": Fraction(21, 4)}
    assert scaling.texts == {"a": "75", "box": "20", "pin": "5.25"}
    made = resolve(design, overrides=scaling.texts)
    assert made.measures["b"] == Fraction(75, 4)
    assert (made.measures["rays"], made.measures["lean"]) == (3, 60)
    assert {one.name: one.scale for one in scaling.measures}["pin"] is Scale.WITH


@pytest.mark.parametrize(
    ("units", "before", "factor", "line"),
    [
        # Whole millimetres stay whole, half ones may be half: rulers as `measures.rulers` has them.
        ("mm", "25", Fraction(1, 2), Fraction(13)),
        ("mm", "25.5", Fraction(1, 2), Fraction(13)),
        ("mm", "24.5", Fraction(1, 2), Fraction(25, 2)),
        ("mm", '"1 in"', Fraction(1, 2), Fraction(25, 2)),
        # 1 in is 25.4 mm exactly; 5/8 in, halved, is 5/16 in, and 9/16 in goes up to 5/16 in.
        ("in", '"5/8"', Fraction(1, 2), Fraction(254, 10) * 5 / 16),
        ("in", '"9/16"', Fraction(1, 2), Fraction(254, 10) * 5 / 16),
        ("in", "1", Fraction(1, 100), Fraction(254, 10) / 16),
        ("mm", "-25", Fraction(1, 2), Fraction(-13)),
        ("mm", "0", Fraction(1, 2), Fraction(0)),
    ],
)
def test_lines_of_rulers(units: str, before: str, factor: Fraction, line: Fraction) -> None:
    design = card(f'a = 5\nbox = {{ is = {before}, scale = "ruler" }}', units=units)
    assert after(scaled(design, factor))["box"] == line


def test_a_factor_of_one_changes_nothing_at_all() -> None:
    design = card('a = 100.3\nbox = { is = 25.3, scale = "ruler" }')
    scaling = scaled(design, Fraction(1))
    assert (scaling.texts, scaling.findings) == ({}, ())


@settings(deadline=None)
@given(factor=st.fractions(Fraction(1, 9), 9, max_denominator=997))
def test_scaled_and_scaled_back_is_the_design_again(factor: Fraction) -> None:
    design = read_design(HARBOUR)
    once = scaled(design, factor, variant=None)
    limited = {one.name for one in once.measures if one.limit is not None}
    assert limited <= {"tread"}
    smaller = parse_design(with_measures(design, once.texts))
    if limited:
        return
    # The values are exact, however odd the factor.
    assert resolve(smaller).measures["width"] == 148 * factor
    again = scaled(smaller, 1 / factor)
    assert resolve(smaller, overrides=again.texts).measures == resolve(design).measures


def test_limits_do_not_scale_and_say_what_they_stop() -> None:
    design = read_design(HARBOUR)
    scaling = scaled(design, Fraction(1, 4))
    by_name = {one.name: one for one in scaling.measures}
    assert by_name["tread"].after == 12
    assert by_name["tread"].limit == "least"
    assert by_name["tread"].wanted == Fraction(15, 2)
    (found,) = (one for one in scaling.findings if one.rule == "scale-limited")
    assert found.severity is Severity.WARN
    assert found.message == (
        'the measure "tread" would be 7.5 mm at this scale, and its least is 12 mm: '
        "it is set to 12 mm"
    )
    assert found.measure_mm == 7.5
    assert found.place.line == 13


def test_a_limit_that_follows_from_another_measure_is_that_of_the_scaled_card() -> None:
    design = card('a = 100\nbox = { is = 40, most = "a - 50", scale = "with" }')
    scaling = scaled(design, Fraction(3, 5))
    # The most is 60 - 50 = 10 mm; 24 mm are wanted.
    assert after(scaling) == {"a": 60, "box": 10}
    resolve(design, overrides=scaling.texts)


def test_a_ruler_stops_at_the_last_line_inside_a_limit() -> None:
    design = card('a = 100\nbox = { is = 12, step = 5, least = 7, most = 23, scale = "ruler" }')
    assert after(scaled(design, Fraction(1, 9)))["box"] == 10
    assert after(scaled(design, Fraction(9)))["box"] == 20


def test_limits_of_a_pattern_hold_too() -> None:
    design = parse_design('format = 1\nname = "S"\nunits = "mm"\npattern = "side-steps"\n')
    scaling = scaled(design, Fraction(2, 7))
    values = after(scaling)
    assert values["width"] == 148 * Fraction(2, 7)
    assert values["length"] == 80
    stopped = {one.message.split('"')[1] for one in scaling.findings if one.rule == "scale-limited"}
    assert {"length", "tread"} <= stopped
    assert scaled(design, Fraction(1, 2)).texts == {
        "width": "74",
        "length": "105",
        "strip": "25",
        "tread": "15",
        "riser": "17.5",
    }


def test_what_is_written_out_in_numbers_is_told() -> None:
    design = card(
        'a = 100\nc = "a / 2 - 3 mm"\nd = "a * 2"',
        more="""\
  [[piece.fold]]
  sense  = "valley"
  points = [[0, "a"], ["a", "a"]]
  [[piece.opening]]
  circle = ["c", "d / 5 + 1", 4]
  [[piece.mark]]
  text   = "TOP"
  at     = ["c", "d / 4"]
  height = 4
""",
    )
    (note,) = scaled(design, Fraction(1, 2)).findings
    assert (note.rule, note.severity) == ("not-scaled", Severity.NOTE)
    # Neither the angle of the fold nor the letters nor what is 0 are lengths that stay behind.
    told = '"a / 2 - 3 mm" in line 6, "4" in line 15, "d / 5 + 1" in line 15'
    assert sorted(note.message.partition(": ")[2].split(", ")) == sorted(told.split(", "))
    assert scaled(design, Fraction(1)).findings == ()


def test_a_long_list_is_cut_short() -> None:
    (note,) = scaled(read_design(DESIGNS / "everything.toml"), Fraction(5, 6)).findings
    assert " more" in note.message
    assert note.message.count("in line") == 6


def test_measures_of_a_variant_are_scaled_in_its_own_units() -> None:
    design = read_design(HARBOUR)
    scaling = scaled(design, Fraction(1, 2), variant="inch")
    assert scaling.texts["width"] == "2 7/8"
    assert resolve(design, overrides=scaling.texts, variant="inch").measures["width"] == Fraction(
        23, 8
    ) * Fraction(254, 10)


def test_what_is_given_stays() -> None:
    design = read_design(HARBOUR)
    given = {"strip": "40"}
    scaling = scaled(design, Fraction(1, 2), overrides=given, stay=given)
    assert "strip" not in after(scaling)
    assert after(scaling)["width"] == 74
    assert after(scaled(design, Fraction(1, 2), overrides=given))["strip"] == 20


@pytest.mark.parametrize(
    ("text", "factor"),
    [("0.5", Fraction(1, 2)), ("3/4", Fraction(3, 4)), ("1 1/2", Fraction(3, 2)), (" 2 ", 2)],
)
def test_factors(text: str, factor: Fraction) -> None:
    assert factor_of(text) == factor


@pytest.mark.parametrize("text", ["0", "-1", "half", "", "5 mm", "60 deg", "1/0", "width", "nan"])
def test_what_is_no_factor(text: str) -> None:
    with pytest.raises(DesignError) as caught:
        factor_of(text)
    (found,) = caught.value.problems
    assert found.rule == "unfit-factor"
    assert f'"{text}"' in found.message
