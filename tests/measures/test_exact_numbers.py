"""Exact numbers: square roots stay fractions where they are rational."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.measures import Kind, Scope, Unit, parse
from foldwright.measures.exact import exact_sqrt, is_exact


@given(st.fractions(0, 10_000))
def test_the_root_of_a_square_is_exact(root: Fraction) -> None:
    assert exact_sqrt(root * root) == root
    assert is_exact(exact_sqrt(root * root))


@given(st.one_of(st.floats(0, 1e12), st.fractions(0, 10**12)))
def test_any_other_root_is_a_float_close_to_it(number: Fraction | float) -> None:
    assert float(exact_sqrt(number)) == pytest.approx(math.sqrt(number), rel=1e-15)


def test_no_root_of_a_negative_number() -> None:
    with pytest.raises(ValueError, match="negative"):
        exact_sqrt(Fraction(-1))


def test_one_float_makes_all_inexact() -> None:
    assert is_exact(Fraction(1), Fraction(1, 3))
    assert not is_exact(Fraction(1), 0.5)


@pytest.mark.parametrize("function", ["sin", "cos", "tan"])
def test_functions_of_an_angle_that_is_a_float(function: str) -> None:
    found = parse(f"{function}(acos(1/3))").evaluate(Scope.of(Unit.MM, {}))
    due = getattr(math, function)(math.acos(1 / 3))
    assert found.kind is Kind.NUMBER
    assert float(found.value) == pytest.approx(due, rel=1e-14)
