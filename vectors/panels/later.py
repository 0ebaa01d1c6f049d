"""This module holds values that are made when they are first asked for, and not before."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, Generic, TypeVar, overload

T = TypeVar("T")
Of = TypeVar("Of")


class Later(Generic[T]):
    """A value that `make(of)` gives, made once.

    It compares, hashes and is pickled as the value that it stands for.
    """

    __slots__ = ("_make", "_of")

    def __init__(self, make: Callable[[Any], T] | None, of: Any) -> None:
        # Without a function `of` is the value itself.
        self._make = make
        self._of = of

    @property
    def value(self) -> T:
        """The value."""
        if self._make is not None:
            self._of, self._make = self._make(self._of), None
        made: T = self._of
        return made

    def __eq__(self, other: object) -> bool:
        return self.value == other.value if isinstance(other, Later) else NotImplemented

    def __hash__(self) -> int:
        return hash(self.value)

    def __repr__(self) -> str:
        return repr(self.value)

    def __reduce__(self) -> tuple[type[Later[T]], tuple[None, T]]:
        return type(self), (None, self.value)


class OnDemand(Sequence[T]):
    """A sequence whose members are made each time they are asked for."""

    __slots__ = ("_count", "_make")

    def __init__(self, count: int, make: Callable[[int], T]) -> None:
        self._count = count
        self._make = make

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, at: int) -> T: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[T]: ...

    def __getitem__(self, at: int | slice) -> T | Sequence[T]:
        if isinstance(at, slice):
            return [self._make(number) for number in range(self._count)[at]]
        return self._make(range(self._count)[at])

    def __iter__(self) -> Iterator[T]:
        return map(self._make, range(self._count))
