"""This module holds what an expression is made of: the nodes of its tree.

Sums and products are flat, so that a tree is never deeper than its
parentheses.  `column` is the place in the text, from 1.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from .quantity import Quantity


@dataclass(frozen=True, slots=True)
class Literal:
    """A number as written, its unit worked in."""

    quantity: Quantity
    column: int


@dataclass(frozen=True, slots=True)
class Name:
    """A measure."""

    name: str
    column: int


@dataclass(frozen=True, slots=True)
class Caliper:
    """The paper thickness of a stock, or of the piece at hand where `stock` is None."""

    stock: str | None
    column: int


@dataclass(frozen=True, slots=True)
class InUnit:
    """A parenthesised bare number with a unit: `factor` is the mm or degrees of one."""

    inner: Node
    suffix: str
    factor: Fraction
    is_angle: bool
    column: int


@dataclass(frozen=True, slots=True)
class Negative:
    """The same with the other sign."""

    inner: Node
    column: int


@dataclass(frozen=True, slots=True)
class Chain:
    """A first operand, and operators with theirs: all of + and -, or all of * and /."""

    first: Node
    rest: tuple[tuple[str, Node, int], ...]


@dataclass(frozen=True, slots=True)
class Call:
    """A function and what it is given."""

    function: str
    arguments: tuple[Node, ...]
    column: int


Node = Literal | Name | Caliper | InUnit | Negative | Chain | Call
