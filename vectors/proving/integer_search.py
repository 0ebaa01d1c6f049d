"""This module solves linear equations in whole steps of a ruler, with few unknowns changed.

The unknowns are lengths that may lie on the lines of a ruler only.  For every
choice of one unknown, then of two, then of three, the equations are brought to
reduced row echelon form by Gauss and Jordan (any textbook of linear algebra);
unknowns that stay free run through their values, and those that follow must hit
a line of their ruler.  Everything is reckoned in fractions and whole numbers.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import heappush, heapreplace
from itertools import combinations
from math import ceil, floor, gcd, lcm

MOST_CHANGED = 3
"""No more unknowns than this are changed together."""

MOST_STEPS = 64
"""No unknown goes further than this many steps of the ruler."""

# No more pairs of values than this are tried for the choices of three together:
# a card whose lengths are odd to each other would take minutes.
_MOST_TRIED = 200_000


@dataclass(frozen=True, kw_only=True, slots=True)
class Unknown:
    """A length in mm, the lattice its new value lies on, and how far it may go.

    New values are whole multiples of `lattice`.  `ruler` is the step that a
    change is counted in.
    """

    value: Fraction
    lattice: Fraction
    ruler: Fraction
    least: Fraction | None = None
    most: Fraction | None = None

    @property
    def changes(self) -> tuple[Fraction, ...]:
        """The changes that lead to a value within reach, the smallest first; none is 0."""
        reach = MOST_STEPS * self.ruler
        low, high = self.value - reach, self.value + reach
        low = low if self.least is None else max(low, self.least)
        high = high if self.most is None else min(high, self.most)
        lines = range(ceil(low / self.lattice), floor(high / self.lattice) + 1)
        found = (line * self.lattice - self.value for line in lines)
        return tuple(sorted((change for change in found if change), key=lambda c: (abs(c), c)))

    def takes(self, by: Fraction) -> bool:
        """Whether a change is one, leads onto the lattice and stays within reach."""
        to = self.value + by
        return (
            by != 0
            and (to / self.lattice).denominator == 1
            and abs(by) <= MOST_STEPS * self.ruler
            and (self.least is None or to >= self.least)
            and (self.most is None or to <= self.most)
        )


@dataclass(frozen=True, slots=True)
class Equation:
    """The sum of factor times change over all unknowns is `due`."""

    factors: tuple[Fraction, ...]
    due: Fraction


Solution = tuple[tuple[int, Fraction], ...]
"""The unknowns that change, by index, and by how much in mm."""


def fewest_changes(
    equations: Sequence[Equation], unknowns: Sequence[Unknown], most: int
) -> tuple[Solution, ...]:
    """Solutions that change as few unknowns as will do, at most three of them.

    Those of fewest steps come first, then those of earlier unknowns; there are
    `most` of them at most.
    """
    moving = [
        index
        for index in range(len(unknowns))
        if any(equation.factors[index] for equation in equations)
    ]
    changes = {index: unknowns[index].changes for index in moving}
    moving = [index for index in moving if changes[index]]
    for count in range(1, MOST_CHANGED + 1):
        best = _Best(most)
        budget = [_MOST_TRIED]
        for chosen in combinations(moving, count):
            rows = reduced(
                [[*(eq.factors[index] for index in chosen), eq.due] for eq in equations], count
            )
            if rows is None:
                continue
            for solution in _values(rows, chosen, unknowns, changes, best, budget):
                best.take(_steps(solution, unknowns), solution)
        if best.kept:
            return best.in_order()
    return ()


def _steps(solution: Solution, unknowns: Sequence[Unknown]) -> Fraction:
    return sum((abs(by) / unknowns[index].ruler for index, by in solution), Fraction(0))


class _Best:
    """The best few solutions so far."""

    def __init__(self, most: int) -> None:
        self.most = most
        # A heap whose first is the worst: what is negated there is sorted backwards.
        self.kept: list[tuple[Fraction, tuple[int, ...], tuple[Fraction, ...], Solution]] = []

    def take(self, steps: Fraction, solution: Solution) -> None:
        entry = (
            -steps,
            tuple(-index for index, _ in solution),
            tuple(-abs(by) for _, by in solution),
            solution,
        )
        if len(self.kept) < self.most:
            heappush(self.kept, entry)
        elif entry > self.kept[0]:
            heapreplace(self.kept, entry)

    @property
    def bound(self) -> Fraction | None:
        """As many steps as the worst of them, once there are enough: none with more is wanted."""
        return -self.kept[0][0] if len(self.kept) == self.most else None

    def in_order(self) -> tuple[Solution, ...]:
        return tuple(entry[-1] for entry in sorted(self.kept, reverse=True))


def reduced(rows: Sequence[Sequence[Fraction]], columns: int) -> list[list[Fraction]] | None:
    """The reduced row echelon form of equations, their right sides last, without empty rows.

    None where they contradict each other.
    """
    left = [list(row) for row in rows]
    done: list[list[Fraction]] = []
    for column in range(columns):
        pivot = next((row for row in left if row[column]), None)
        if pivot is None:
            continue
        left.remove(pivot)
        factor = pivot[column]
        pivot = [entry / factor for entry in pivot]
        for other in (*left, *done):
            share = other[column]
            if share:
                other[:] = [a - share * b for a, b in zip(other, pivot, strict=True)]
        done.append(pivot)
    return None if any(row[-1] for row in left) else done


def _values(
    rows: Sequence[Sequence[Fraction]],
    chosen: Sequence[int],
    unknowns: Sequence[Unknown],
    changes: dict[int, tuple[Fraction, ...]],
    best: _Best,
    budget: list[int],
) -> Iterator[Solution]:
    """The solutions in which every one of the chosen unknowns changes."""
    if not rows:
        return
    pivots = [next(c for c, entry in enumerate(row) if entry) for row in rows]
    free = [column for column in range(len(chosen)) if column not in pivots]
    following = [
        _Following.of(row, pivot, free, [unknowns[index] for index in chosen])
        for row, pivot in zip(rows, pivots, strict=True)
    ]
    if any(one is None for one in following):
        return
    ready = [one for one in following if one is not None]
    for given in _runs([(unknowns[chosen[f]], changes[chosen[f]]) for f in free], best, budget):
        found: list[Fraction] = [Fraction(0)] * len(chosen)
        for column, by in zip(free, given, strict=True):
            found[column] = by
        for one in ready:
            by_row = one.change(given)
            if by_row is None:
                break
            found[one.column] = by_row
        else:
            yield tuple(zip(chosen, found, strict=True))


def _runs(
    free: Sequence[tuple[Unknown, tuple[Fraction, ...]]], best: _Best, budget: list[int]
) -> Iterator[tuple[Fraction, ...]]:
    """Values of the free unknowns, the smallest changes first, none too large to be wanted."""
    if not free:
        yield ()
        return
    (unknown, values), *others = free
    for by in values:
        bound = best.bound
        steps = abs(by) / unknown.ruler
        if bound is not None and steps >= bound:
            return
        if not others:
            yield (by,)
            continue
        for more in _runs(others, best, budget):
            budget[0] -= 1
            if budget[0] < 0:
                return
            bound = best.bound
            (other, _), *_rest = others
            if bound is not None and steps + abs(more[0]) / other.ruler >= bound:
                break
            yield (by, *more)


@dataclass(frozen=True, slots=True)
class _Following:
    """An unknown that follows from the free ones: its change is (due - factors · changes)."""

    column: int
    unknown: Unknown
    due: Fraction
    factors: tuple[Fraction, ...]

    @classmethod
    def of(
        cls,
        row: Sequence[Fraction],
        column: int,
        free: Sequence[int],
        unknowns: Sequence[Unknown],
    ) -> _Following | None:
        """The unknown of a row; None where no whole numbers of steps can fulfil the row."""
        one = cls(column, unknowns[column], row[-1], tuple(row[f] for f in free))
        # With change = line · lattice - value for each, the row is an equation
        # in whole numbers: it has solutions just where the greatest common
        # divisor of its factors divides its right side (Bézout).
        parts = [one.unknown.lattice]
        due = one.due + one.unknown.value
        for factor, f in zip(one.factors, free, strict=True):
            parts.append(factor * unknowns[f].lattice)
            due += factor * unknowns[f].value
        return one if (due / divisor(parts)).denominator == 1 else None

    def change(self, given: Sequence[Fraction]) -> Fraction | None:
        """The change for given changes of the free unknowns; None where it may not be made."""
        by = self.due - sum(
            (factor * change for factor, change in zip(self.factors, given, strict=True)),
            Fraction(0),
        )
        return by if self.unknown.takes(by) else None


def divisor(parts: Sequence[Fraction]) -> Fraction:
    """The greatest common divisor of fractions that are not all 0."""
    bottom = lcm(*(part.denominator for part in parts))
    return Fraction(gcd(*(int(part * bottom) for part in parts)), bottom)


def common_multiple(a: Fraction, b: Fraction) -> Fraction:
    """The least common multiple of two fractions above 0."""
    bottom = lcm(a.denominator, b.denominator)
    return Fraction(lcm(int(a * bottom), int(b * bottom)), bottom)
