"""This module makes frozen values that lack some fields until they are asked for.

A piece of many folds has as many panels and hinges, and few of their boundaries are
ever looked at.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import fields
from itertools import repeat
from typing import TYPE_CHECKING, Any, TypeVar

T = TypeVar("T", bound="Deferred")

# What gives the fields that a value was made without.
Fill = Callable[[Any], Mapping[str, object]]


class Deferred:
    """A base of frozen dataclasses whose fields may be left for later.

    Comparing, hashing, replacing and pickling ask for all fields, so that nobody
    can tell when one was made.
    """

    __slots__ = ("_fill",)

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> object:
            # Python comes here for what is not there (yet).
            if name != "_fill" and any(field.name == name for field in fields(self)):
                made = self._fill(self)
                for field, value in made.items():
                    object.__setattr__(self, field, value)
                if name in made:
                    return made[name]
            raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}")

    def __getstate__(self) -> dict[str, object]:
        return {field.name: getattr(self, field.name) for field in fields(self)}  # type: ignore[arg-type]

    def __setstate__(self, state: dict[str, object]) -> None:
        for name, value in state.items():
            object.__setattr__(self, name, value)


def deferred(of: type[T], fill: Fill, **given: object) -> T:
    """A value with the fields that are given; `fill` gives the others, from the value."""
    made = object.__new__(of)
    for name, value in given.items():
        object.__setattr__(made, name, value)
    object.__setattr__(made, "_fill", fill)
    return made


def many_deferred(of: type[T], count: int, fill: Fill, **given: Iterable[object]) -> list[T]:
    """The same for `count` values of a slotted class, each field given as a column."""
    return many(of, count, **given, _fill=repeat(fill))


def many(of: type[Any], count: int, **given: Iterable[object]) -> list[Any]:
    """Values of a slotted dataclass, each of its fields given as a column.

    A constructor sets one field after the other by an interpreted call; here each
    field is set on all values by one call that is not.
    """
    made = list(map(object.__new__, repeat(of, count)))
    for name, values in given.items():
        deque(map(getattr(of, name).__set__, made, values), maxlen=0)
    return made
