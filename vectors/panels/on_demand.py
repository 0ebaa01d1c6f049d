"""This module holds sequences whose members are made each time they are asked for."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar, overload

T_co = TypeVar("T_co", covariant=True)


class OnDemand(Sequence[T_co]):
    """A sequence of `count` members, member n being `make(n)`."""

    __slots__ = ("_count", "_make")

    def __init__(self, count: int, make: Callable[[int], T_co]) -> None:
        self._count = count
        self._make = make

    def __len__(self) -> int:
        return self._count

    @overload
    def __getitem__(self, at: int) -> T_co: ...

    @overload
    def __getitem__(self, at: slice) -> Sequence[T_co]: ...

    def __getitem__(self, at: int | slice) -> T_co | Sequence[T_co]:
        if isinstance(at, slice):
            return [self._make(number) for number in range(self._count)[at]]
        return self._make(range(self._count)[at])

    def __iter__(self) -> Iterator[T_co]:
        return map(self._make, range(self._count))
