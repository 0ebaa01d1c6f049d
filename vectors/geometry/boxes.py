"""This module finds the pairs of boxes that overlap, without trying every pair."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from .paths import union_box

Box = tuple[float, float, float, float]

# Below this many boxes trying every pair is quicker than dividing on.
_FEW = 8


def overlapping(boxes: Sequence[Box], tolerance: float) -> Iterator[tuple[int, int]]:
    """Pairs (i, j), i < j, of boxes that come within `tolerance` of each other.

    A box is left, bottom, right, top.  The boxes are divided in halves again and
    again; two halves whose own boxes are apart are never compared.
    """
    if boxes:
        yield from _within(_tree(boxes, list(range(len(boxes)))), boxes, tolerance)


class _Node:
    __slots__ = ("box", "halves", "indices")

    def __init__(self, box: Box, indices: list[int], halves: tuple[_Node, _Node] | None) -> None:
        self.box = box
        self.indices = indices
        self.halves = halves


def _tree(boxes: Sequence[Box], indices: list[int]) -> _Node:
    box = union_box(boxes[i] for i in indices)
    if len(indices) <= _FEW:
        return _Node(box, indices, None)
    axis = 0 if box[2] - box[0] >= box[3] - box[1] else 1
    ordered = sorted(indices, key=lambda i: (boxes[i][axis] + boxes[i][axis + 2], i))
    middle = len(ordered) // 2
    return _Node(box, indices, (_tree(boxes, ordered[:middle]), _tree(boxes, ordered[middle:])))


def _apart(a: Box, b: Box, tolerance: float) -> bool:
    return (
        a[2] + tolerance < b[0]
        or b[2] + tolerance < a[0]
        or a[3] + tolerance < b[1]
        or b[3] + tolerance < a[1]
    )


def _within(node: _Node, boxes: Sequence[Box], tolerance: float) -> Iterator[tuple[int, int]]:
    stack: list[tuple[_Node, _Node | None]] = [(node, None)]
    while stack:
        first, second = stack.pop()
        if second is None:
            if first.halves is None:
                indices = first.indices
                for place, i in enumerate(indices):
                    for j in indices[place + 1 :]:
                        if not _apart(boxes[i], boxes[j], tolerance):
                            yield (i, j) if i < j else (j, i)
            else:
                low, high = first.halves
                stack += [(low, None), (high, None), (low, high)]
        elif _apart(first.box, second.box, tolerance):
            continue
        elif first.halves is not None and (
            second.halves is None or len(first.indices) >= len(second.indices)
        ):
            stack += [(half, second) for half in first.halves]
        elif second.halves is not None:
            stack += [(first, half) for half in second.halves]
        else:
            for i in first.indices:
                for j in second.indices:
                    if not _apart(boxes[i], boxes[j], tolerance):
                        yield (i, j) if i < j else (j, i)
