"""Pairs of many boxes are those that trying every pair finds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from foldwright.geometry.box_pairs import pairs_between, pairs_within
from foldwright.geometry.boxes import Box, overlapping

NUMBERS = st.integers(0, 40).map(float)


@st.composite
def boxes(draw: st.DrawFn) -> list[Box]:
    """Up to a hundred boxes, many of them thin or on one place; some much larger than others."""
    found = []
    for _ in range(draw(st.integers(0, 100))):
        left, bottom = draw(NUMBERS), draw(NUMBERS)
        scale = draw(st.sampled_from((0.0, 1.0, 1.0, 40.0)))
        found.append((left, bottom, left + scale * draw(NUMBERS) / 10, bottom + scale))
    return found


def rows(found: list[Box]) -> np.ndarray:
    return np.array(found, dtype=np.float64).reshape(-1, 4)


@given(found=boxes(), tolerance=st.sampled_from((0.0, 1e-3, 0.5)))
def test_pairs_within_are_those_of_the_tree_of_few(found: list[Box], tolerance: float) -> None:
    pairs = [
        pair
        for i, j in pairs_within(rows(found), tolerance)
        for pair in zip(i.tolist(), j.tolist(), strict=True)
    ]
    assert sorted(pairs) == sorted(overlapping(found, tolerance))


@given(ones=boxes(), others=boxes(), tolerance=st.sampled_from((0.0, 1e-3, 0.5)))
@example(ones=[(0.0, 0.0, 1.0, 1.0)], others=[(0.0, 5.0, 1.0, 6.0)], tolerance=0.5)
def test_pairs_between_are_those_that_trying_all_finds(
    ones: list[Box], others: list[Box], tolerance: float
) -> None:
    pairs = [
        pair
        for i, j in pairs_between(rows(ones), rows(others), tolerance)
        for pair in zip(i.tolist(), j.tolist(), strict=True)
    ]
    assert sorted(pairs) == [
        (i, j)
        for i, a in enumerate(ones)
        for j, b in enumerate(others)
        if a[0] - tolerance <= b[2]
        and b[0] - tolerance <= a[2]
        and a[1] - tolerance <= b[3]
        and b[1] - tolerance <= a[3]
    ]


@pytest.mark.parametrize("count", [3000])
def test_boxes_that_all_lie_on_one_place_are_all_pairs_in_several_arrays(count: int) -> None:
    many = np.tile(np.array([[1.0, 1.0, 2.0, 2.0]]), (count, 1))
    arrays = list(pairs_within(many, 0.0))
    assert len(arrays) > 1
    assert sum(len(i) for i, _ in arrays) == count * (count - 1) // 2
    assert all((i < j).all() for i, j in arrays)
