"""Numbers as text: the fewest digits, never an exponent, never a minus before a zero."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.writers.digits import exact, short


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.0, "0"),
        (-0.0, "0"),
        (-0.00004, "0"),
        (100.0, "100"),
        (12.50, "12.5"),
        (1e-4, "0.0001"),
        (0.00005, "0.0001"),
        (-1 / 3, "-0.3333"),
        (1e15, "1000000000000000"),
    ],
)
def test_short_numbers(number: float, text: str) -> None:
    assert short(number, 4) == text


@given(st.floats(-1e6, 1e6))
def test_short_numbers_are_right_to_their_last_place(number: float) -> None:
    text = short(number, 4)
    assert abs(float(text) - number) <= 0.5001e-4
    assert "e" not in text
    assert text != "-0"
    assert not (text.endswith("0") and "." in text)


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (Fraction(148), "148"),
        (Fraction(127, 480) * 3, "0.79375"),
        (Fraction(-5, 4), "-1.25"),
        (Fraction(1, 10**9), "0.000000001"),
    ],
)
def test_exact_numbers(number: Fraction, text: str) -> None:
    assert exact(number) == text


def test_a_number_without_end_is_refused() -> None:
    with pytest.raises(ValueError, match="1/3 is not a finite decimal"):
        exact(Fraction(1, 3))
