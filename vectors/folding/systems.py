"""This module solves the linear systems that poses are found with, dense or sparse.

The matrix is always of one kind: the square of the loops' Jacobian, divided by a
small number, plus the identity and perhaps a correction for curvature.  It is
positive definite where the step that it gives leads downhill.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import numpy as np

from .linkage import Floats, Ints, Linkage

# Up to this many free folds a dense factorisation is done before scipy is imported.
DENSE_UP_TO = 150

# Where scipy is missing, so many free folds are still solved densely.
DENSE_AT_MOST = 2000

# More pairs of folds that share a loop than this would not fit into the memory of
# a common machine: a single loop of 7,000 folds, or millions of vertices.
PAIRS_AT_MOST = 50_000_000

Solve = Callable[[Floats], Floats]


class TooLarge(RuntimeError):
    """The mechanism has too many free folds for what is installed, or for the memory.

    `hint` says what to do about it.
    """

    def __init__(self, why: str, hint: str) -> None:
        super().__init__(why)
        self.hint = hint


class System(Protocol):
    """The systems of one mechanism with some of its folds held."""

    def factored(self, entries: Floats, diagonal: float, *, square: bool) -> Solve | None:
        """Factor the matrix with these entries, at `linkage.pairs`, and `diagonal` added.

        What is given back solves it by the free folds.  None where the matrix is
        not positive definite, which a `square` always is and is not asked for.
        """
        ...


def system_of(linkage: Linkage, free: Ints) -> System:
    """The systems of a mechanism whose folds `free`, by column, may turn.

    Raises TooLarge.
    """
    pairs = sum(len(one.folds) ** 2 * one.count for one in linkage.rounds)
    if pairs > PAIRS_AT_MOST:
        raise TooLarge(
            f"its loops have {pairs} pairs of folds, more than {PAIRS_AT_MOST}",
            "split the design in parts and look at their poses one by one",
        )
    if len(free) <= DENSE_UP_TO:
        return _Dense(linkage, free)
    try:
        import scipy.sparse.linalg  # noqa: F401
    except ImportError:
        if len(free) > DENSE_AT_MOST:
            raise TooLarge(
                f"{len(free)} folds turn freely, and without the library scipy at most "
                f"{DENSE_AT_MOST} are worked out",
                'install the extra "solve"',
            ) from None
        return _Dense(linkage, free)
    return _Sparse(linkage, free)


def _numbered(linkage: Linkage, free: Ints) -> tuple[Ints, Ints, Ints]:
    """Which of the pairs are of free folds, and the two numbers of those among the free ones."""
    number = np.full(len(linkage.hinges), -1, dtype=np.intp)
    number[free] = np.arange(len(free))
    first, second = (number[side] for side in linkage.pairs)
    kept = np.flatnonzero((first >= 0) & (second >= 0))
    return kept, first[kept], second[kept]


class _Dense:
    def __init__(self, linkage: Linkage, free: Ints) -> None:
        self._count = len(free)
        self._kept, first, second = _numbered(linkage, free)
        self._cells = first * self._count + second

    def factored(self, entries: Floats, diagonal: float, *, square: bool) -> Solve | None:
        count = self._count
        cells = np.bincount(self._cells, entries[self._kept], count * count)
        table = cells.reshape(count, count) + diagonal * np.eye(count)
        try:
            lower = np.linalg.cholesky(table)
        except np.linalg.LinAlgError:
            return None
        inverse = np.linalg.inv(lower)
        return lambda right: inverse.T @ (inverse @ right)


class _Sparse:
    def __init__(self, linkage: Linkage, free: Ints) -> None:
        self._count = len(free)
        self._kept, first, second = _numbered(linkage, free)
        diagonal = np.arange(self._count)
        self._places = np.concatenate([first, diagonal]), np.concatenate([second, diagonal])

    def factored(self, entries: Floats, diagonal: float, *, square: bool) -> Solve | None:
        from scipy.sparse import csc_matrix
        from scipy.sparse.linalg import splu

        values = np.concatenate([entries[self._kept], np.full(self._count, diagonal)])
        table = csc_matrix((values, self._places), shape=(self._count, self._count))
        # The matrix is symmetric, so that no exchange of rows is wanted.  Small
        # supernodes suit the thin fronts of a folded sheet.
        lower = splu(
            table,
            permc_spec="MMD_AT_PLUS_A",
            diag_pivot_thresh=0.0,
            relax=4,
            panel_size=4,
            options={"SymmetricMode": True},
        )
        # Without exchanged rows the signs of the pivots are those of the matrix.
        if not square and (
            (lower.perm_r != lower.perm_c).any() or (lower.U.diagonal() <= 0.0).any()
        ):
            return None
        return lower.solve  # type: ignore[no-any-return]
