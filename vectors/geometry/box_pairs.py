"""This module finds the pairs of boxes that overlap, for many boxes at once.

The boxes stand in the order of a curve that fills the plane (Morton's, 1966), and
every four in turn make the box of a node above them.  Two such trees are gone down
level by level, whole arrays of pairs of nodes at a time.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Indices = npt.NDArray[np.int64]

# Nodes under one node.
_UNDER = 4

# So many pairs of nodes are looked at together at most: memory stays small however
# many boxes lie on one place.
_TOGETHER = 1 << 19

# Bits of the place of a box along each axis.
_BITS = 20


def pairs_within(boxes: Floats, tolerance: float) -> Iterator[tuple[Indices, Indices]]:
    """Pairs i < j of boxes that come within `tolerance` of each other, some arrays of them.

    `boxes` has a row each: left, bottom, right, top, in mm.
    """
    if len(boxes) < 2:
        return
    tree = _Tree(boxes, tolerance)
    for i, j in _down(tree, tree):
        yield np.minimum(i, j), np.maximum(i, j)


def pairs_between(
    ones: Floats, others: Floats, tolerance: float
) -> Iterator[tuple[Indices, Indices]]:
    """Pairs of a box among `ones` and one among `others` that come within `tolerance`."""
    if len(ones) and len(others):
        yield from _down(_Tree(ones, tolerance), _Tree(others, tolerance))


class _Tree:
    """Boxes in order, and those of the nodes above them, level by level from the top."""

    def __init__(self, boxes: Floats, tolerance: float) -> None:
        self.order = _order(boxes, tolerance)
        left, bottom, right, top = boxes[self.order].T
        # One side is moved out by the whole tolerance: of any two boxes that comes to
        # the same, and costs less than to compare with it.
        level = [np.ascontiguousarray(left - tolerance), bottom - tolerance, right, top]
        self.levels = [level]
        while len(level[0]) > 1:
            starts = np.arange(0, len(level[0]), _UNDER)
            level = [
                np.minimum.reduceat(level[0], starts),
                np.minimum.reduceat(level[1], starts),
                np.maximum.reduceat(level[2], starts),
                np.maximum.reduceat(level[3], starts),
            ]
            self.levels.append(level)
        self.levels.reverse()


def _order(boxes: Floats, tolerance: float) -> Indices:
    """The boxes along a curve that fills the plane, small ones first."""
    width, height = boxes[:, 2] - boxes[:, 0], boxes[:, 3] - boxes[:, 1]
    places = []
    for axis in (0, 1):
        middle = boxes[:, axis] + boxes[:, axis + 2]
        low, high = float(middle.min()), float(middle.max())
        scale = ((1 << _BITS) - 1) / ((high - low) or 1.0)
        places.append(_spread(((middle - low) * scale).astype(np.uint64)))
    # A long line among short ones would make every node above it as large as itself.
    extent = np.maximum(width, height) + tolerance
    unit = float(np.median(extent)) or 1.0
    size = np.ceil(np.log2(np.maximum(extent, unit) / unit) / 2.0).astype(np.uint64)
    key = size << np.uint64(2 * _BITS) | places[1] << np.uint64(1) | places[0]
    return np.argsort(key)


def _spread(number: npt.NDArray[np.uint64]) -> npt.NDArray[np.uint64]:
    """The bits of each number, with a 0 between every two."""
    for shift, mask in (
        (16, 0x0000FFFF0000FFFF),
        (8, 0x00FF00FF00FF00FF),
        (4, 0x0F0F0F0F0F0F0F0F),
        (2, 0x3333333333333333),
        (1, 0x5555555555555555),
    ):
        number = (number | number << np.uint64(shift)) & np.uint64(mask)
    return number


def _down(first: _Tree, second: _Tree) -> Iterator[tuple[Indices, Indices]]:
    """Pairs of boxes of two trees; of a tree and itself every pair of two boxes once."""
    depth = max(len(first.levels), len(second.levels))
    # The lower tree waits at its top.
    levels = [
        [tree.levels[max(0, at - depth + len(tree.levels))] for at in range(depth)]
        for tree in (first, second)
    ]
    itself = first is second
    top = np.zeros(1, dtype=np.int64)
    waiting = [(0, *_near(top, top, [level[0] for level in levels]))]
    while waiting:
        at, a, b = waiting.pop()
        if at == depth - 1:
            if itself:
                apart = a != b
                a, b = a[apart], b[apart]
            yield first.order[a], second.order[b]
        elif len(a) * _UNDER * _UNDER > _TOGETHER and len(a) > 1:
            half = len(a) // 2
            waiting += [(at, a[:half], b[:half]), (at, a[half:], b[half:])]
        else:
            below = [level[at + 1] for level in levels]
            counts = [len(level[at][0]) for level in levels]
            waiting.append((at + 1, *_under(a, b, counts, below, itself=itself)))


def _under(
    a: Indices, b: Indices, counts: list[int], below: list[list[Floats]], *, itself: bool
) -> tuple[Indices, Indices]:
    """The pairs of nodes under pairs of nodes that overlap."""
    step = np.arange(_UNDER)
    ones, others = (
        # A tree that waits at its top has one node there and below.
        nodes[:, None] * _UNDER + step if len(level[0]) > count else nodes[:, None]
        for nodes, count, level in zip((a, b), counts, below, strict=True)
    )
    a = np.repeat(ones, others.shape[1], axis=1).ravel()
    b = np.tile(others, (1, ones.shape[1])).ravel()
    there = b < len(below[1][0])
    there &= a <= b if itself else a < len(below[0][0])
    return _near(a[there], b[there], below)


def _near(a: Indices, b: Indices, levels: list[list[Floats]]) -> tuple[Indices, Indices]:
    """Those pairs of nodes of two levels that overlap."""
    (left, bottom, right, top), (other_left, other_bottom, other_right, other_top) = levels
    # One after the other, so that the later ones look at what is left only.
    for low, high in ((left, other_right), (bottom, other_top)):
        near = low[a] <= high[b]
        a, b = a[near], b[near]
    for low, high in ((other_left, right), (other_bottom, top)):
        near = low[b] <= high[a]
        a, b = a[near], b[near]
    return a, b
