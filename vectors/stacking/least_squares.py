"""This module solves sparse linear equations by least squares."""

from __future__ import annotations

import numpy as np

from .paper import Floats, Ints

# What is left of a residual, as a share of what it was, once it is rounding.
_SOLVED = 1e-15


def least_squares(rows: Ints, columns: Ints, weights: Floats, right: Floats, count: int) -> Floats:
    """The x [count, k] of least |A x - right|, of several such x the one of least length.

    A has `weights` at `rows` and `columns`.  By conjugate gradients on the normal
    equations (M. R. Hestenes and E. Stiefel, 1952), which from nought stay in the row
    space of A, so the loose directions get nothing.
    """
    found = np.zeros((count, right.shape[1]))
    for k in range(right.shape[1]):
        found[:, k] = _conjugate(rows, columns, weights, right[:, k], count)
    return found


def _conjugate(rows: Ints, columns: Ints, weights: Floats, right: Floats, count: int) -> Floats:
    def times(x: Floats) -> Floats:
        return np.asarray(np.bincount(rows, weights * x[columns], len(right)), dtype=float)

    def transposed(y: Floats) -> Floats:
        return np.asarray(np.bincount(columns, weights * y[rows], count), dtype=float)

    x = np.zeros(count)
    rest = right.astype(float)
    slope = transposed(rest)
    along = slope
    square = first = float(slope @ slope)
    # In exact arithmetic as many steps as there are unknowns are enough.
    for _ in range(4 * count):
        if square <= first * _SOLVED * _SOLVED or square == 0.0:
            break
        image = times(along)
        step = square / float(image @ image)
        x = x + step * along
        rest = rest - step * image
        slope = transposed(rest)
        before, square = square, float(slope @ slope)
        along = slope + (square / before) * along
    return x
