"""Cards laid flat in their closed pose, and orders of them by trying every one there is.

The brute force shares nothing with the program: a strip is a row of intervals on a
line, a map a pile of equal cells, an order a permutation.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, permutations

import numpy as np
from numpy.typing import NDArray

from foldwright.design.pieces import Piece, Sense
from foldwright.folding import PanelKey
from foldwright.folding.motion import Motion
from foldwright.folding.skeleton import placed_by, skeleton_of
from foldwright.panels import Assembly
from foldwright.stacking.cover import Cover, cover_of
from foldwright.stacking.order import PlyOrder
from tests.folding.folded_samples import M, V, fold, rectangle

Length = int | Fraction
HIGH = 60


def closed(assembly: Assembly) -> dict[PanelKey, Motion]:
    """Where all panels are, each fold at its closed angle; the first panel stays."""
    turned = {
        (name, hinge.index): float(hinge.angle)
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
    }
    first = next(iter(assembly.divisions))
    return placed_by(skeleton_of(assembly, (first, 0)), turned)


def closed_cover(assembly: Assembly) -> Cover:
    """The cover of a card in its closed pose."""
    return cover_of(assembly, closed(assembly))


def senses_of(word: str) -> list[Sense]:
    """Senses from a word of M and V."""
    return [M if letter == "M" else V for letter in word]


def strip(widths: Sequence[Length], senses: Sequence[Sense]) -> Piece:
    """A strip of panels `HIGH` mm high, with upright folds between them, all shut."""
    xs = [Fraction(0)]
    for width in widths:
        xs.append(xs[-1] + width)
    folds = (
        fold(f"fold {i + 1}", (x, 0), (x, HIGH), sense=sense)
        for i, (x, sense) in enumerate(zip(xs[1:-1], senses, strict=True))
    )
    return Piece(name="strip", outline=rectangle(xs[-1], HIGH), folds=tuple(folds))


def map_sheet(columns: int, rows: int) -> Piece:
    """A map of equal cells, 20 by 30 mm, all folds valleys."""
    wide, high = 20, 30
    upright = (
        fold(f"upright {i}", *((i * wide, j * high) for j in range(rows + 1)))
        for i in range(1, columns)
    )
    level = (
        fold(f"level {j}", *((i * wide, j * high) for i in range(columns + 1)))
        for j in range(1, rows)
    )
    return Piece(
        name="map",
        outline=rectangle(columns * wide, rows * high),
        folds=(*upright, *level),
    )


def with_senses(assembly: Assembly, senses: Sequence[Sense]) -> Assembly:
    """An assembly of one piece with other senses, one for each hinge."""
    ((name, division),) = assembly.divisions.items()
    hinges = tuple(
        replace(hinge, sense=sense) for hinge, sense in zip(division.hinges, senses, strict=True)
    )
    return replace(assembly, divisions={name: replace(division, hinges=hinges)})


def halved(times: int) -> list[Sense]:
    """The senses of a strip that is folded in half so often, right over left."""
    piles = [[(panel, True)] for panel in range(2**times)]
    found: dict[int, Sense] = {}
    while len(piles) > 1:
        middle = len(piles) // 2
        for (left, up), (right, _) in zip(piles[middle - 1], piles[middle], strict=True):
            found[min(left, right)] = V if up else M
        laid = [[(p, not up) for p, up in reversed(pile)] for pile in reversed(piles[middle:])]
        piles = [low + high for low, high in zip(piles[:middle], laid, strict=True)]
    return [found[place] for place in range(2**times - 1)]


# Orders by trial: heights[i, p] is the height of panel p in the i-th permutation.

Heights = NDArray[np.int64]


def every_order(count: int) -> Heights:
    """All permutations."""
    return np.array(list(permutations(range(count))), dtype=np.int64).reshape(-1, count)


def strip_places(widths: Sequence[Length]) -> list[tuple[Length, Length]]:
    """Where the two ends of each panel of a strip come to lie, the first from 0 to its width."""
    at: Length = Fraction(0)
    found = []
    for place, width in enumerate(widths):
        beyond = at + (width if place % 2 == 0 else -width)
        found.append((at, beyond))
        at = beyond
    return found


def fit(widths: Sequence[Length], senses: Sequence[Sense], heights: Heights) -> Heights:
    """Those of some orders of a strip in which nothing passes through anything."""
    places = strip_places(widths)
    spans = [(min(ends), max(ends)) for ends in places]
    good = np.ones(len(heights), dtype=np.bool_)
    folds = []
    for one, sense in enumerate(senses):
        at = places[one][1]
        # Even panels look up: a valley lays the next one on top, a mountain beneath; odd
        # ones look down.
        over = (sense is V) == (one % 2 == 0)
        good &= (heights[:, one + 1] > heights[:, one]) == over
        low = np.minimum(heights[:, one], heights[:, one + 1])
        high = np.maximum(heights[:, one], heights[:, one + 1])
        opens_right = one % 2 == 1
        folds.append((at, opens_right, low, high))
        for panel, (start, end) in enumerate(spans):
            if start < at < end:
                good &= ~((low < heights[:, panel]) & (heights[:, panel] < high))
    for (at, side, low, high), (at2, side2, low2, high2) in combinations(folds, 2):
        if at == at2 and side == side2:
            good &= ~_interleave(low, high, low2, high2)
    return heights[good]


def _interleave(low: Heights, high: Heights, low2: Heights, high2: Heights) -> NDArray[np.bool_]:
    return ((low < low2) & (low2 < high) & (high < high2)) | (
        (low2 < low) & (low < high2) & (high2 < high)
    )


def map_orders(columns: int, rows: int) -> list[tuple[str, tuple[int, ...]]]:
    """All foldings of a map: the senses, upright folds first, each from below, and the heights.

    Cells are counted by rows from below, the first cell looks up.
    """
    heights = every_order(columns * rows)
    good = np.ones(len(heights), dtype=np.bool_)
    sides: dict[tuple[str, int], list[tuple[Heights, Heights]]] = {}
    words = []
    for one, other, kind, parity, up in _map_folds(columns, rows):
        first, second = heights[:, one], heights[:, other]
        low, high = np.minimum(first, second), np.maximum(first, second)
        # Cells are reflected to and fro, so that folds of one parity come to lie on each other.
        for low2, high2 in sides.setdefault((kind, parity), []):
            good &= ~_interleave(low, high, low2, high2)
        sides[kind, parity].append((low, high))
        words.append(np.where((second > first) == up, "V", "M"))
    table = np.array(words).T[good] if words else np.empty((int(good.sum()), 0), dtype=str)
    return [
        ("".join(word), tuple(order))
        for word, order in zip(table.tolist(), heights[good].tolist(), strict=True)
    ]


def _map_folds(columns: int, rows: int) -> Iterator[tuple[int, int, str, int, bool]]:
    for i in range(1, columns):
        for j in range(rows):
            yield j * columns + i - 1, j * columns + i, "upright", i % 2, (i - 1 + j) % 2 == 0
    for j in range(1, rows):
        for i in range(columns):
            yield (j - 1) * columns + i, j * columns + i, "level", j % 2, (i + j - 1) % 2 == 0


def agrees(order: PlyOrder, heights: Mapping[PanelKey, int]) -> bool:
    """Whether an order is that of some heights, wherever panels overlap."""
    return all(
        (heights[high] > heights[low]) == above for (low, high), above in order.above.items()
    )


def piled(order: PlyOrder, count: int) -> list[int]:
    """The heights of the panels of one piece that all lie on each other."""
    (name,) = {key[0] for pair in order.above for key in pair}
    return [
        sum(order.is_above((name, one), (name, other)) for other in range(count) if other != one)
        for one in range(count)
    ]
