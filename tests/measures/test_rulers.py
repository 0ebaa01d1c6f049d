"""Rulers: on which a length lies, and how it is told."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.measures import (
    Number,
    Ruler,
    Scope,
    Unit,
    as_length,
    exact_text,
    on_ruler,
    parse,
    round_to,
    written,
)

LENGTHS = st.one_of(
    st.fractions(-9_999, 9_999, max_denominator=1000),
    st.floats(-9_999, 9_999, allow_nan=False),
)


def read(text: str) -> Number:
    return as_length(parse(text).evaluate(Scope.of(Unit.MM, {})), Unit.MM)


@pytest.mark.parametrize(
    ("length", "prefer", "due"),
    [
        ("3.175", None, Ruler.EIGHTH_IN),
        ("1.5875", None, Ruler.SIXTEENTH_IN),
        ("41", None, Ruler.MM),
        ("41.5", None, None),
        ("0.79375", None, None),
        ("254", None, Ruler.EIGHTH_IN),
        ("254", Unit.IN, Ruler.EIGHTH_IN),
        ("254", Unit.MM, Ruler.MM),
        ("-127", Unit.MM, Ruler.MM),
        ("0", None, Ruler.EIGHTH_IN),
    ],
)
def test_on_which_ruler(length: str, prefer: Unit | None, due: Ruler | None) -> None:
    assert on_ruler(Fraction(length), prefer) is due
    assert on_ruler(float(length), prefer) is due


def test_other_rulers_on_request() -> None:
    assert on_ruler(Fraction("41.5"), among=(Ruler.HALF_MM,)) is Ruler.HALF_MM
    assert on_ruler(Fraction("0.79375"), among=(Ruler.THIRTY_SECOND_IN,)) is Ruler.THIRTY_SECOND_IN


def test_a_fraction_must_lie_exactly_and_a_float_within_rounding() -> None:
    assert on_ruler(Fraction(41) + Fraction(1, 10**12)) is None
    assert on_ruler(41 + 1e-12) is Ruler.MM
    assert on_ruler(41 + 1e-6) is None


@given(LENGTHS, st.sampled_from(Ruler))
def test_the_nearest_line(length: Number, ruler: Ruler) -> None:
    found = round_to(length, ruler)
    assert found.value % ruler.step == 0
    assert abs(Fraction(length) - found.value) <= ruler.step / 2
    assert float(found.error) == pytest.approx(float(found.value - Fraction(length)), abs=1e-9)


def test_half_way_goes_away_from_zero() -> None:
    assert round_to(Fraction(5, 2), Ruler.MM).value == 3
    assert round_to(Fraction(-5, 2), Ruler.MM).value == -3


@pytest.mark.parametrize(
    ("length", "units", "text", "error"),
    [
        ("146.05", Unit.IN, "5 3/4 in", "0"),
        ("41.275", Unit.IN, "1 5/8 in", "0"),
        ("41", Unit.IN, "1 5/8 in", "0.275"),
        ("15.875", Unit.IN, "5/8 in", "0"),
        ("50.8", Unit.IN, "2 in", "0"),
        ("-41.275", Unit.IN, "-1 5/8 in", "0"),
        ("0.2", Unit.IN, "0 in", "-0.2"),
        ("-0.2", Unit.IN, "0 in", "0.2"),
        ("41.5", Unit.MM, "41.5 mm", "0"),
        ("41.275", Unit.MM, "41.5 mm", "0.225"),
        ("41.2", Unit.MM, "41 mm", "-0.2"),
        ("-0.1", Unit.MM, "0 mm", "0.1"),
        ("100", Unit.MM, "100 mm", "0"),
    ],
)
def test_written_for_a_ruler(length: str, units: Unit, text: str, error: str) -> None:
    found = written(Fraction(length), units)
    assert (found.text, found.error) == (text, Fraction(error))
    assert found.exact == (error == "0")
    assert found.shown == (text if error == "0" else f"about {text}")


@given(LENGTHS, st.sampled_from(Unit))
def test_written_reads_back_with_the_error_it_says(length: Number, units: Unit) -> None:
    found = written(length, units)
    assert float(read(found.text)) == pytest.approx(float(length) + float(found.error), abs=1e-9)
    assert abs(float(found.error)) <= (0.79375 if units is Unit.IN else 0.25) + 1e-9


@pytest.mark.parametrize(
    ("length", "units", "text"),
    [
        (Fraction("41.275"), Unit.MM, "41.275 mm"),
        (Fraction(100, 3), Unit.MM, "33.333 mm"),
        (Fraction(-1, 3000), Unit.MM, "0 mm"),
        (Fraction(41), Unit.MM, "41 mm"),
        (41.50000000000001, Unit.MM, "41.5 mm"),
        (Fraction("146.05"), Unit.IN, "5 3/4 in"),
        (146.05, Unit.IN, "5 3/4 in"),
        (Fraction("25.4") / 64, Unit.IN, "1/64 in"),
        (Fraction("25.4") / 128, Unit.IN, "0.008 in"),
        (Fraction(41), Unit.IN, "1.614 in"),
        (Fraction(-254, 10), Unit.IN, "-1 in"),
    ],
)
def test_exact_text(length: Number, units: Unit, text: str) -> None:
    assert exact_text(length, units) == text


@given(LENGTHS, st.sampled_from(Unit))
def test_exact_text_reads_back(length: Number, units: Unit) -> None:
    assert (
        abs(float(read(exact_text(length, units))) - float(length))
        <= 0.0005 * float(units.mm) + 1e-9
    )


@given(st.integers(-6400, 6400))
def test_sixty_fourths_of_an_inch_read_back_exactly(count: int) -> None:
    length = count * Fraction("25.4") / 64
    assert read(exact_text(length, Unit.IN)) == length


def test_steps_and_units_of_the_rulers() -> None:
    assert {ruler.value: (ruler.step, ruler.units.value) for ruler in Ruler} == {
        "1/8 in": (Fraction("3.175"), "in"),
        "1/16 in": (Fraction("1.5875"), "in"),
        "1/32 in": (Fraction("0.79375"), "in"),
        "1 mm": (Fraction(1), "mm"),
        "0.5 mm": (Fraction(1, 2), "mm"),
    }
