"""Errors added up in the plane: held against brute force, numpy, chance and a handbook."""

from __future__ import annotations

import math
import tomllib
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.proving.stacking_up import (
    Pair,
    corners,
    half_axes,
    largest_at_worst,
    largest_by_squares,
    root_sum_square,
    worst_case,
)

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "stack_up.toml").read_text(encoding="utf-8")
)

# Whole tenths keep ties and parallel generators in play.
NUMBERS = st.integers(-40, 40).map(lambda tenths: tenths / 10)
PAIRS = st.tuples(NUMBERS, NUMBERS)
GENERATORS = st.lists(PAIRS, max_size=7)


def reached(generators: list[Pair], errors: tuple[float, ...], start: Pair) -> float:
    return math.hypot(
        start[0] + math.fsum(e * x for e, (x, _) in zip(errors, generators, strict=True)),
        start[1] + math.fsum(e * y for e, (_, y) in zip(errors, generators, strict=True)),
    )


@pytest.mark.parametrize("name", sorted(PUBLISHED))
def test_a_chain_of_lengths_as_the_handbook_adds_it_up(name: str) -> None:
    """In one dimension: the sum of the tolerances, and the root of the sum of their squares."""
    case = PUBLISHED[name]
    # A chain is all generators along one line; the sign of a part does not count.
    chain = [(0.0, t * (-1) ** i) for i, t in enumerate(case["tolerances"])]
    assert worst_case(chain, 1.0) == pytest.approx(case["worst_case"], abs=1e-12)
    assert root_sum_square(chain, 1.0) == pytest.approx(case["root_sum_square"], abs=5e-5)


@given(generators=GENERATORS, start=PAIRS, tolerance=st.sampled_from([0.1, 0.8, 2.0]))
def test_the_worst_case_is_that_of_all_corners(
    generators: list[Pair], start: Pair, tolerance: float
) -> None:
    every = max(
        reached(generators, tuple(tolerance * sign for sign in signs), start)
        for signs in product((-1.0, 1.0), repeat=len(generators))
    )
    assert worst_case(generators, tolerance, start) == pytest.approx(every, abs=1e-9)


def test_twelve_generators_have_all_their_corners() -> None:
    generators = [(math.cos(i * i), math.sin(3 * i) * (1 + i)) for i in range(12)]
    every = max(
        reached(generators, signs, (0.3, -0.7)) for signs in product((-1.0, 1.0), repeat=12)
    )
    assert worst_case(generators, 1.0, (0.3, -0.7)) == pytest.approx(every, rel=1e-12)
    assert len(corners(generators)) == 24


@given(generators=GENERATORS)
def test_the_half_axes_are_the_singular_values(generators: list[Pair]) -> None:
    """An outside reference: numpy's singular values of the 2 x n matrix G."""
    matrix = np.array(generators, dtype=float).reshape(-1, 2).T
    values = [0.0, 0.0] if not generators else [*np.linalg.svd(matrix, compute_uv=False), 0.0][:2]
    largest, smallest, direction = half_axes(generators)
    assert (largest, smallest) == pytest.approx(tuple(values), abs=1e-6)
    along = np.array(direction) @ matrix
    assert float(np.linalg.norm(along)) == pytest.approx(largest, abs=1e-9)


@given(generators=GENERATORS, start=PAIRS)
def test_the_root_sum_square_is_the_farthest_place_of_the_ellipse(
    generators: list[Pair], start: Pair
) -> None:
    a, b, (ux, uy) = half_axes(generators)
    angles = np.linspace(0.0, 2.0 * math.pi, 2001)
    x = start[0] + a * np.cos(angles) * ux - b * np.sin(angles) * uy
    y = start[1] + a * np.cos(angles) * uy + b * np.sin(angles) * ux
    sampled = float(np.max(np.hypot(x, y)))
    found = root_sum_square(generators, 1.0, start)
    assert sampled - 1e-9 <= found <= sampled + 1e-4 * (1.0 + a)


@given(generators=GENERATORS, start=PAIRS)
def test_more_tolerance_reaches_farther(generators: list[Pair], start: Pair) -> None:
    reaches = [(0.0, 0.0)]
    for tolerance in (0.0, 0.1, 0.5, 2.0):
        worst = worst_case(generators, tolerance, start)
        squares = root_sum_square(generators, tolerance, start)
        # The ellipse of the squares lies inside the zonotope's reach.
        assert worst >= squares - 1e-9
        assert (worst, squares) >= (reaches[-1][0] - 1e-12, reaches[-1][1] - 1e-9)
        assert squares >= reaches[-1][1] - 1e-9
        reaches.append((worst, squares))
    assert reaches[1] == pytest.approx((math.hypot(*start),) * 2)


@given(generators=GENERATORS, start=PAIRS, more=st.sampled_from([0.05, 1.0, 7.0]))
def test_the_largest_tolerance_just_stays_within(
    generators: list[Pair], start: Pair, more: float
) -> None:
    within = math.hypot(*start) + more
    at_worst = largest_at_worst(generators, within, start)
    by_squares = largest_by_squares(generators, within, start)
    assert at_worst <= by_squares + 1e-9
    if any(pull != (0.0, 0.0) for pull in generators):
        assert worst_case(generators, at_worst, start) == pytest.approx(within, abs=1e-8)
        assert root_sum_square(generators, by_squares, start) == pytest.approx(within, abs=1e-7)
    else:
        assert at_worst == by_squares == math.inf


def test_who_starts_beyond_has_no_tolerance() -> None:
    assert largest_at_worst([(1.0, 0.0)], 0.4, (0.0, 0.5)) == 0.0
    assert largest_by_squares([(1.0, 0.0)], 0.4, (0.0, 0.5)) == 0.0


def test_by_chance() -> None:
    """Independent normal errors of half the tolerance: 95.45 % lie within along any one line."""
    rng = np.random.default_rng(20)
    generators = [(0.0, 2.0), (0.0, -2.0), (0.0, 2.0), (0.0, 1.0), (0.0, 0.5)]
    tolerance = 0.8
    errors = rng.normal(0.0, tolerance / 2.0, size=(200_000, len(generators)))
    gaps = np.abs(errors @ np.array(generators)[:, 1])
    within = float(np.mean(gaps <= root_sum_square(generators, tolerance)))
    assert within == pytest.approx(0.9545, abs=0.002)
    even = rng.uniform(-tolerance, tolerance, size=(200_000, len(generators)))
    assert float(np.max(np.abs(even @ np.array(generators)[:, 1]))) <= worst_case(
        generators, tolerance
    )
