"""This module changes what stands in drafts, however deep: their expressions and their places."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TypeVar

from ..measures import Expression
from ..problems import Place

Leaf = Expression | Place
"""What is changed as a whole: the place of an expression is not one of its own."""

_Any = TypeVar("_Any")


def with_leaves(drafts: _Any, change: Callable[[Leaf], Leaf]) -> _Any:
    """The same drafts, rows or tables of them, with `change` of every expression and place."""
    return _changed(drafts, change)  # type: ignore[return-value]


def _changed(value: object, change: Callable[[Leaf], Leaf]) -> object:
    if isinstance(value, Expression | Place):
        return change(value)
    if isinstance(value, tuple):
        return tuple(_changed(item, change) for item in value)
    if isinstance(value, Mapping):
        return {key: _changed(item, change) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        changed = {item.name: _changed(getattr(value, item.name), change) for item in fields(value)}
        return replace(value, **changed)
    return value
