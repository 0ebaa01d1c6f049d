"""Bands: where their folds lie, which way each turns, what they are called."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import (
    BandDraft,
    Design,
    Fold,
    FoldDraft,
    PieceDraft,
    RectangleDraft,
    Written,
    resolve,
)
from foldwright.geometry import point

LENGTHS = st.fractions(min_value=Fraction(1, 64), max_value=200, max_denominator=64)
PLACES = st.fractions(min_value=-200, max_value=200, max_denominator=64)


def folds_of(*creases: BandDraft | FoldDraft) -> tuple[Fold, ...]:
    piece = PieceDraft(
        name="card",
        outline=RectangleDraft(width=100, height=150),
        bands=[crease for crease in creases if isinstance(crease, BandDraft)],
        folds=[crease for crease in creases if isinstance(crease, FoldDraft)],
    )
    return resolve(Design(name="Pebble", pieces=[piece])).pieces[0].folds


@given(x=PLACES, y=PLACES, width=LENGTHS, walk=st.lists(LENGTHS, min_size=1, max_size=6))
def test_folds_lie_at_the_sums_of_the_walk(
    x: Fraction, y: Fraction, width: Fraction, walk: list[Fraction]
) -> None:
    band = BandDraft(start=(x, y), end=(x + width, y), walk=walk, first="valley")
    folds = folds_of(band)
    assert len(folds) == len(walk) + 1
    for index, fold in enumerate(folds):
        # To the right of a line that runs to the right is below it.
        below = y - sum(walk[:index], Fraction(0))
        assert (fold.path.start, fold.path.end) == (point(x, below), point(x + width, below))


# Pythagorean triples (Euclid's formula): their directions are rational.
@given(
    m=st.integers(2, 9),
    n=st.integers(1, 8),
    size=LENGTHS,
    walk=st.lists(LENGTHS, min_size=1, max_size=4),
)
def test_a_slanted_band_of_rational_length_is_exact(
    m: int, n: int, size: Fraction, walk: list[Fraction]
) -> None:
    a, b, c = m * m - n * n, 2 * m * n, m * m + n * n
    if a == 0:
        a, b, c = 3, 4, 5
    dx, dy = size * a / c, size * b / c
    folds = folds_of(BandDraft(start=(0, 0), end=(dx, dy), walk=walk, sense="mountain"))
    gone = Fraction(0)
    for fold, step in zip(folds, [Fraction(0), *walk], strict=True):
        gone += step
        assert fold.path.start == point(gone * b / c, -gone * a / c)
        assert fold.path.end - fold.path.start == point(dx, dy) - point(0, 0)


def test_a_band_of_irrational_length_lies_at_its_distances() -> None:
    folds = folds_of(BandDraft(start=(0, 0), end=(10, 10), walk=[5, 7], first="valley"))
    x, y = folds[2].path.start.floats()
    assert (x, y) == pytest.approx((12 / math.sqrt(2), -12 / math.sqrt(2)), abs=1e-12)


@pytest.mark.parametrize(
    ("sense", "first", "expected"),
    [
        ("alternate", "valley", ["valley", "mountain", "valley"]),
        ("alternate", "mountain", ["mountain", "valley", "mountain"]),
        ("mountain", None, ["mountain"] * 3),
        (["valley", "valley", "mountain"], None, ["valley", "valley", "mountain"]),
    ],
)
def test_senses_of_a_band(
    sense: str | Sequence[str], first: str | None, expected: list[str]
) -> None:
    walk: list[Written] = [10, 20]
    band = BandDraft(start=(0, 90), end=(100, 90), walk=walk, sense=sense, first=first)
    assert [fold.senses for fold in folds_of(band)] == [(word,) for word in expected]


def test_folds_of_a_band_are_called_by_its_name() -> None:
    band = BandDraft(name="steps", start=(0, 90), end=(100, 90), walk=[10, 20], first="valley")
    assert [fold.name for fold in folds_of(band)] == ["steps 1", "steps 2", "steps 3"]


def test_a_fold_without_a_name_is_called_by_its_place_in_the_file() -> None:
    plain = FoldDraft(sense="valley", points=[(0, 30), (100, 30)])
    named = FoldDraft(name="gutter", sense="valley", points=[(0, 40), (100, 40)])
    band = BandDraft(start=(0, 90), end=(100, 90), walk=[10], first="valley")
    names = [fold.name for fold in folds_of(plain, named, plain, band)]
    assert names == ["fold 1", "gutter", "fold 3", "fold 4", "fold 5"]


def test_the_angle_of_a_band_is_that_of_each_fold() -> None:
    band = BandDraft(start=(0, 90), end=(100, 90), walk=[10], first="valley", angle=90)
    assert [fold.angle for fold in folds_of(band)] == [90, 90]
