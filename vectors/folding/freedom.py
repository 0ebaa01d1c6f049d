"""This module counts in how many ways a design can still move in a pose, and names what moves.

The rank of the loops' Jacobian by the folds that are not held, from its singular
values.  It is meaningful only away from flat and from shut paper, where the rank
drops though nothing is looser.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

import numpy as np

from ..measures.exact import DROPPED_SHARE, KEPT_OVER_DROPPED, MOVES_SHARE
from .closure import Linearised, linearised
from .linkage import Floats, Ints, Linkage
from .parts import looped_parts
from .skeleton import HingeKey

# Parts of a mechanism with more folds than this are counted by their smallest
# singular values alone, which a sparse factorisation gives.
_DENSE_UP_TO = 200

# A part with far more folds than conditions, such as a long stair, has as many
# motions: it is counted by all its singular values up to so many folds.
_LOOSE_UP_TO = 2000

# So many motions of such a part are looked for; one with more stays undecided.
_MOTIONS_AT_MOST = 256

# Rounds of inverse iteration, and how stiff its springs are, as a share of the
# largest squared singular value.
_ROUNDS = 4
_SOFTNESS = 1e-14


@dataclass(frozen=True, kw_only=True, slots=True)
class Freedom:
    """In how many ways a design can move: `count`, None where that cannot be told.

    `moving` are the folds that move in any of them, `holding` a smallest set of
    them that would leave nothing loose if they were held.
    """

    count: int | None
    moving: tuple[HingeKey, ...] = ()
    holding: tuple[HingeKey, ...] = ()


def freedom(linkage: Linkage, turned: Floats, held: Ints) -> Freedom:
    """The freedom of a mechanism with every fold turned so far, in radians, some of them held."""
    free = np.setdiff1d(np.arange(len(linkage.hinges), dtype=np.intp), held)
    at = linearised(linkage, turned)
    count, moving, holding = 0, [], []
    for columns, loops in _parts(linkage, free):
        if not loops:
            # Nothing closes over these folds: each turns by itself.
            count += len(columns)
            moving += columns
            holding += columns
            continue
        height = sum(at.linkage.rounds[which].height for which, _ in loops)
        loose = len(columns) - height > _MOTIONS_AT_MOST // 4
        if len(columns) <= (_LOOSE_UP_TO if loose else _DENSE_UP_TO):
            ways = _ways(_table(at, columns, loops))
        else:
            ways = _few_ways(at, columns, loops)
        if ways is None:
            return Freedom(count=None)
        count += ways.shape[0]
        size = np.sqrt((ways**2).sum(axis=0))
        moving += [columns[i] for i in np.flatnonzero(size > MOVES_SHARE)]
        holding += [columns[i] for i in _pivots(ways)]

    def keys(found: list[int]) -> tuple[HingeKey, ...]:
        return tuple(linkage.hinges[column] for column in sorted(found))

    return Freedom(count=count, moving=keys(moving), holding=keys(holding))


def _parts(linkage: Linkage, free: Ints) -> list[tuple[list[int], list[tuple[int, int]]]]:
    """The free folds in groups that share loops, each with its loops (rounds, number there).

    First the folds that are in no loop.
    """
    parts = looped_parts(linkage, free)
    # A loop without a free fold belongs to no part.
    part_of = np.full(len(linkage.hinges), -1)
    for number, part in enumerate(parts):
        part_of[part] = number
    loops: list[list[tuple[int, int]]] = [[] for _ in parts]
    for which, one in enumerate(linkage.rounds):
        for j, owner in enumerate(part_of[one.folds].max(axis=0, initial=-1).tolist()):
            if owner >= 0:
                loops[owner].append((which, j))
    single = free[part_of[free] < 0].tolist()
    return [(single, []), *zip((part.tolist() for part in parts), loops, strict=True)]


def _entries(
    at: Linearised, columns: list[int], loops: list[tuple[int, int]]
) -> tuple[Floats, tuple[Ints, Ints], tuple[int, int]]:
    """The Jacobian of some loops by some folds: its entries, their places, its shape."""
    number = np.full(len(at.linkage.hinges), -1)
    number[columns] = np.arange(len(columns))
    rows, places, entries = [], [], []
    height = 0
    for which, group in groupby(loops, key=itemgetter(0)):
        one, some = at.linkage.rounds[which], [j for _, j in group]
        # Every loop by its own reach: a small one binds its folds as much as a large.
        slopes = at.slopes[which][:, :, some] * (at.linkage.size / one.reach[some])
        row = height + np.arange(slopes[0].size).reshape(slopes.shape[1:])
        place = number[one.folds[:, some]][:, None]
        kept = np.broadcast_to(place >= 0, slopes.shape)
        rows.append(np.broadcast_to(row, slopes.shape)[kept])
        places.append(np.broadcast_to(place, slopes.shape)[kept])
        entries.append(slopes[kept])
        height += row.size
    where = np.concatenate(rows), np.concatenate(places)
    return np.concatenate(entries), where, (height, len(columns))


def _table(at: Linearised, columns: list[int], loops: list[tuple[int, int]]) -> Floats:
    """The same Jacobian as a full table."""
    entries, where, shape = _entries(at, columns, loops)
    table = np.zeros(shape)
    # A loop may pass a fold twice, there and back.
    np.add.at(table, where, entries)
    return table


def _few_ways(at: Linearised, columns: list[int], loops: list[tuple[int, int]]) -> Floats | None:
    """The same basis for a large part, by inverse iteration on a block of vectors.

    None also where scipy is missing, or where there are very many motions.
    """
    try:
        from scipy.sparse import csr_matrix, identity
        from scipy.sparse.linalg import splu
    except ImportError:
        return None
    entries, where, shape = _entries(at, columns, loops)
    table = csr_matrix((entries, where), shape=shape)
    square = (table.T @ table).tocsc()
    # No singular value is larger: the norm of the square by its rows.
    largest = float(np.abs(square).sum(axis=1).max())
    lower = splu(
        (square + _SOFTNESS * largest * identity(len(columns), format="csc")).tocsc(),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    )
    drawn = np.random.default_rng(0)
    width = 8
    while width <= min(_MOTIONS_AT_MOST, len(columns)):
        block = drawn.standard_normal((len(columns), width))
        for _ in range(_ROUNDS):
            block, _ = np.linalg.qr(lower.solve(block))
        _, values, turns = np.linalg.svd(table @ block, full_matrices=False)
        dropped = values <= DROPPED_SHARE * largest**0.5
        count = int(dropped.sum())
        if count < width:
            if count and values[width - count - 1] < KEPT_OVER_DROPPED * values[width - count]:
                return None
            found: Floats = turns[width - count :] @ block.T
            return found
        width *= 2
    return None


def _ways(table: Floats) -> Floats | None:
    """An orthonormal basis of the motions that a Jacobian lets be, [count, folds].

    None where the singular values do not part clearly in kept and dropped.
    """
    if table.shape[0] > table.shape[1]:
        # What the rows say is in the triangle, which is smaller.
        table = np.asarray(np.linalg.qr(table, mode="r"))
    _, values, basis = np.linalg.svd(table, full_matrices=True)
    largest = float(values.max(initial=0.0))
    if largest == 0.0:
        return np.eye(table.shape[1])
    kept = values > DROPPED_SHARE * largest
    rank = int(kept.sum())
    dropped = float(values[rank:].max(initial=0.0))
    if dropped > 0.0 and rank and values[rank - 1] < KEPT_OVER_DROPPED * dropped:
        return None
    return basis[rank:]


def _pivots(ways: Floats) -> list[int]:
    """Folds, one a way, without which no way is left: the one that moves most, then on."""
    rest = ways.copy()
    found = []
    for _ in range(len(ways)):
        size = (rest**2).sum(axis=0)
        # Folds that move alike tie: the first of them, whatever rounding says.
        column = int(np.argmax(size >= size.max() * (1.0 - 1e-6)))
        found.append(column)
        way = rest[:, column] / np.linalg.norm(rest[:, column])
        rest = rest - np.outer(way, way @ rest)
    return found
