"""This module tells a length that somebody chose, a plain number, from one that is reckoned."""

from __future__ import annotations

from .expression import Expression
from .quantity import Kind
from .tree import Chain, Literal, Negative, Node


def is_plain_length(written: Expression) -> bool:
    """Whether an expression is a number, with the unit of a length or with none.

    Whether a number without a unit is a length is for its place to say.
    """
    node: Node = written.tree
    while isinstance(node, Negative):
        node = node.inner
    match node:
        case Literal():
            return node.quantity.kind in (Kind.BARE, Kind.LENGTH)
        case Chain(first=Literal() as top, rest=(("/", Literal() as bottom, _),)):
            # A ruler's fraction without a unit: "3/4".
            return top.quantity.kind is bottom.quantity.kind is Kind.BARE
        case _:
            return False
