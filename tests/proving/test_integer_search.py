"""Whole steps of a ruler: held against trying every change there is."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.proving.integer_search import (
    MOST_STEPS,
    Equation,
    Unknown,
    common_multiple,
    divisor,
    fewest_changes,
    reduced,
)

F = Fraction


def unknown(
    value: int | Fraction, lattice: int = 1, least: int | None = None, most: int | None = None
) -> Unknown:
    return Unknown(
        value=F(value),
        lattice=F(lattice),
        ruler=F(1),
        least=None if least is None else F(least),
        most=None if most is None else F(most),
    )


def equation(*factors: int, due: int | Fraction) -> Equation:
    return Equation(tuple(F(factor) for factor in factors), F(due))


@pytest.mark.parametrize(
    ("a", "b", "multiple", "greatest"),
    # Least common multiples and greatest common divisors of fractions, by hand.
    [
        (F(1), F(1), F(1), F(1)),
        (F(1, 2), F(3), F(3), F(1, 2)),
        (F(2, 3), F(3, 4), F(6), F(1, 12)),
        (F(127, 40), F(1), F(127), F(1, 40)),
        (F(127, 40), F(127, 80), F(127, 40), F(127, 80)),
    ],
)
def test_multiples_and_divisors_of_fractions(
    a: Fraction, b: Fraction, multiple: Fraction, greatest: Fraction
) -> None:
    assert common_multiple(a, b) == multiple
    assert divisor([a, -b]) == greatest


@settings(max_examples=40)
@given(
    st.lists(st.lists(st.integers(-4, 4), min_size=3, max_size=3), min_size=1, max_size=4),
    st.lists(st.integers(-3, 3), min_size=2, max_size=2),
)
def test_the_reduced_form_has_the_same_solutions(rows: list[list[int]], at: list[int]) -> None:
    # numpy is the outside reference: the rank, and whether the right side is within reach.
    left = np.array([row[:2] for row in rows], dtype=float)
    right = np.array([row[2] for row in rows], dtype=float)
    found = reduced([[F(entry) for entry in row] for row in rows], 2)
    rank = np.linalg.matrix_rank(left)
    consistent = np.linalg.matrix_rank(np.column_stack([left, right])) == rank
    assert (found is not None) == consistent
    if found is not None:
        assert len(found) == rank
        solves = all(sum(f * x for f, x in zip(row[:2], at, strict=True)) == row[2] for row in rows)
        kept = all(sum(f * x for f, x in zip(row[:2], at, strict=True)) == row[2] for row in found)
        assert solves == kept


def tried_all(equations: list[Equation], unknowns: list[Unknown]) -> tuple[int, Fraction] | None:
    """How many change and by how many steps, found by trying every choice of changes."""
    for count in (1, 2, 3):
        steps = []
        for chosen in combinations(range(len(unknowns)), count):
            for changes in product(*(unknowns[index].changes for index in chosen)):
                if all(
                    sum(eq.factors[i] * by for i, by in zip(chosen, changes, strict=True)) == eq.due
                    for eq in equations
                ):
                    steps.append(sum((abs(by) for by in changes), F(0)))
        if steps:
            return count, min(steps)
    return None


# Limits keep the windows small enough to try everything.
UNKNOWNS = st.lists(
    st.builds(
        lambda half, lattice: unknown(F(half, 2), lattice, least=-9, most=9),
        st.integers(-6, 6),
        st.sampled_from([1, 2, 3, 5]),
    ),
    min_size=3,
    max_size=3,
)


@settings(max_examples=60)
@given(
    UNKNOWNS,
    st.lists(
        st.builds(
            lambda a, b, c, due: equation(a, b, c, due=F(due, 2)),
            *(st.integers(-3, 3) for _ in range(3)),
            st.integers(-8, 8),
        ),
        min_size=1,
        max_size=2,
    ),
)
def test_the_fewest_changes_are_those_of_trying_everything(
    unknowns: list[Unknown], equations: list[Equation]
) -> None:
    found = fewest_changes(equations, unknowns, 5)
    best = tried_all(equations, unknowns)
    # Where nothing is due, trying everything finds changes that undo each other.
    idle = all(eq.due == 0 for eq in equations)
    if not found:
        assert best is None or idle
        return
    for solution in found:
        for eq in equations:
            assert sum(eq.factors[index] * by for index, by in solution) == eq.due
        assert all(unknowns[index].takes(by) for index, by in solution)
    steps = [sum(abs(by) for _, by in solution) for solution in found]
    assert steps == sorted(steps)
    if not idle:
        assert best == (len(found[0]), steps[0])


def test_of_equal_steps_the_earlier_unknowns_come_first() -> None:
    unknowns = [unknown(10), unknown(20), unknown(30), unknown(40)]
    found = fewest_changes([equation(1, -1, 1, 2, due=3)], unknowns, 10)
    assert found == (((0, F(3)),), ((1, F(-3)),), ((2, F(3)),))


def test_two_are_changed_only_where_one_does_not_do() -> None:
    # From 4 and 5, in steps of 4 and 5: neither changes by 3, but 2 * 4 - 5 is 3.
    found = fewest_changes([equation(1, 1, due=3)], [unknown(4, 4), unknown(5, 5)], 1)
    assert found == (((0, F(8)), (1, F(-5))),)


def test_three_are_changed_only_where_two_do_not_do() -> None:
    # In steps of 6, 10 and 15 any two share a divisor: 1 = 6 + 10 - 15.
    unknowns = [unknown(6, 6), unknown(10, 10), unknown(15, 15)]
    found = fewest_changes([equation(1, 1, 1, due=1)], unknowns, 1)
    assert found == (((0, F(6)), (1, F(10)), (2, F(-15))),)


def test_two_equations_take_two_changes() -> None:
    # x + y = 5 and x - y = 1.
    found = fewest_changes(
        [equation(1, 1, due=5), equation(1, -1, due=1)], [unknown(0), unknown(0)], 4
    )
    assert found == (((0, F(3)), (1, F(2))),)


def test_nothing_goes_further_than_the_bound() -> None:
    far = [equation(1, due=MOST_STEPS + 1)]
    assert fewest_changes(far, [unknown(0)], 1) == ()
    near = [equation(1, due=MOST_STEPS)]
    assert fewest_changes(near, [unknown(0)], 1) == (((0, F(MOST_STEPS)),),)


def test_limits_hold() -> None:
    assert fewest_changes([equation(1, due=3)], [unknown(10, most=12)], 1) == ()
    assert fewest_changes([equation(1, due=-3)], [unknown(10, least=8)], 1) == ()
    assert fewest_changes([equation(1, due=2)], [unknown(10, most=12)], 1) == (((0, F(2)),),)


def test_equations_that_contradict_have_no_solution() -> None:
    both = [equation(1, 0, due=1), equation(1, 0, due=2)]
    assert fewest_changes(both, [unknown(0), unknown(0)], 3) == ()
    assert fewest_changes([equation(0, due=2)], [unknown(0)], 3) == ()
