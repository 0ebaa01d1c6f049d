"""This module finds which measures to change so that a design closes, on a ruler.

What the loops miss by is a row of numbers.  Where it follows the measures in
proportion (an affine function: a loop of parallel folds is one), its factors are
found by changing one measure at a time, and which values close every loop is a
question in whole numbers of ruler steps.  A measure that it follows in another way
is searched by the secant rule (any textbook of numerical analysis), and the ruler's
nearest lines are tried.  However it was found, each mend is proved on the whole
design before it is told.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from math import ceil, floor

from ..design.pieces import Resolved
from ..design.written import number_text
from ..folding import Verdict
from ..measures import Ruler, Unit, on_ruler
from ..measures.exact import MEETS_MM, ROUNDING_MM, Number, is_exact
from ..problems import DesignError, Severity
from .integer_search import (
    MOST_CHANGED,
    MOST_STEPS,
    Equation,
    Unknown,
    common_multiple,
    fewest_changes,
)
from .literals import Length
from .model import How, MeasureChange, MeasureMend, Proof
from .residuals import Residual, order_of, residual_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Trial:
    """How an edition is worked out with some measures at other values, and how it is proved.

    `resolved` takes the values as texts and raises DesignError; `proved` looks
    for no mends.
    """

    resolved: Callable[[Mapping[str, str]], Resolved]
    proved: Callable[[Resolved], Proof]


MOST_TOLD = 10
"""No more mends than this are told."""

# As many solutions are proved at most: some are beyond a limit that follows from
# other measures, or move a line off the paper.
_MOST_PROVED = 30

# How far a measure is moved to see what follows, in mm.
_PROBE = Fraction(1, 64)

# Ratios of floats that are this close to a fraction of small numbers are that
# fraction: differences are good to about 1e-13 mm over a probe of 1/64 mm.
_SAME_RATIO = 1e-9
_LARGEST_BOTTOM = 200

# A secant has settled after as many steps, or never will.
_MOST_SECANTS = 12

COARSEST_FIRST = {
    Unit.MM: (Ruler.MM, Ruler.HALF_MM),
    Unit.IN: (Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN),
}
"""The rulers that are searched where none is chosen, by the units of the design."""


@dataclass(frozen=True, slots=True)
class _Factors:
    """How the numbers of a residual follow the measures: the first ones in proportion.

    `columns` has for each length the change of every number for one mm, None
    where that length cannot be moved by itself.  `affine` are the indices of the
    lengths that the numbers follow in proportion, all of them together.
    """

    columns: tuple[tuple[Number, ...] | None, ...]
    affine: tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Case:
    """A design that does not close, and how to prove it with other lengths."""

    proof: Proof
    order: tuple[object, ...]
    base: Residual
    lengths: tuple[Length, ...]
    trial: Trial

    def resolved(self, by: Mapping[int, Fraction]) -> Resolved | None:
        """The edition with some lengths changed; None where the design forbids it."""
        try:
            return self.trial.resolved(moved(self.lengths, by))
        except DesignError:
            return None

    def tried(self, by: Mapping[int, Fraction]) -> Residual | None:
        """The residual with some lengths changed; None where the design forbids it."""
        resolved = self.resolved(by)
        return None if resolved is None else residual_of(self.proof, resolved)


def measure_mends(
    proof: Proof, lengths: Sequence[Length], trial: Trial, rulers: Sequence[Ruler]
) -> tuple[MeasureMend, ...]:
    """The mends of a design whose loops do not all close, best first, at most ten.

    Those that change the fewest measures come first, then those of fewest ruler
    steps, then those of measures that stand earlier in the file.  `rulers` are
    searched in order until one has a mend; a measure's own step holds as well.
    No measure goes further than 64 steps, and no more than three change together.
    """
    base = residual_of(proof, proof.resolved)
    if base is None or not lengths:
        return ()
    case = _Case(proof=proof, order=order_of(proof), base=base, lengths=tuple(lengths), trial=trial)
    factors = _factors(case)
    roots = dict(_roots(case, factors))
    for ruler in rulers:
        found = [*_in_proportion(case, factors, ruler), *_near_roots(case, roots, ruler)]
        if found:
            fewest = min(len(mend.changes) for mend in found)
            best = [mend for mend in found if len(mend.changes) == fewest]
            return tuple(sorted(best, key=lambda mend: _rank(case, mend))[:MOST_TOLD])
    return ()


def _rank(case: _Case, mend: MeasureMend) -> tuple[Fraction, list[int]]:
    names = [one.name for one in case.lengths]
    return (
        sum((change.steps for change in mend.changes), Fraction(0)),
        [names.index(change.measure) for change in mend.changes],
    )


def reach_text(rulers: Sequence[Ruler]) -> str:
    """How far the search goes, in words."""
    names = " or ".join(ruler.value for ruler in rulers)
    return f"{MOST_CHANGED} measures at most, each by {MOST_STEPS} steps of {names} at most"


def moved(lengths: Sequence[Length], by: Mapping[int, Fraction]) -> dict[str, str]:
    """The texts of lengths changed by so many mm, by index, as `--set` takes them."""
    return {
        lengths[index].name: f"{number_text(lengths[index].value + change)} mm"
        for index, change in by.items()
    }


def _unknown(one: Length, ruler: Ruler) -> Unknown:
    lattice = ruler.step if one.step is None else common_multiple(ruler.step, one.step)
    return Unknown(
        value=one.value, lattice=lattice, ruler=ruler.step, least=one.least, most=one.most
    )


def _factors(case: _Case) -> _Factors:
    base = case.base
    columns: list[tuple[Number, ...] | None] = []
    ways: list[Fraction] = []
    for index in range(len(case.lengths)):
        column = None
        # A length at its limit can go the other way only.
        for way in (_PROBE, -_PROBE):
            there = case.tried({index: way})
            if there is not None:
                column = tuple(
                    (after - before) / (way if is_exact(after, before) else float(way))
                    for after, before in zip(there.numbers, base.numbers, strict=True)
                )
                break
        columns.append(column)
        ways.append(way)
    moving = [i for i, column in enumerate(columns) if column is not None and any(column)]

    def fits(chosen: Sequence[int]) -> bool:
        # Twice as far, three times, twice again: a product of two measures shows.
        by = {index: ways[index] * (2 + number % 2) for number, index in enumerate(chosen)}
        there = case.tried(by)
        # What a limit forbids cannot be looked at; the proof of each mend settles it.
        return there is None or _agrees(base, columns, by, there)

    if not moving or fits(moving):
        return _Factors(tuple(columns), tuple(moving))
    straight = [index for index in moving if fits([index])]
    return _Factors(tuple(columns), tuple(straight if straight and fits(straight) else ()))


def _agrees(
    base: Residual,
    columns: Sequence[tuple[Number, ...] | None],
    by: Mapping[int, Fraction],
    there: Residual,
) -> bool:
    for row, (before, after) in enumerate(zip(base.numbers, there.numbers, strict=True)):
        told = before
        for index, change in by.items():
            column = columns[index]
            factor = Fraction(0) if column is None else column[row]
            told = told + factor * (change if isinstance(factor, Fraction) else float(change))
        miss = after - told
        if miss != 0 if is_exact(miss) else abs(float(miss)) > ROUNDING_MM:
            return False
    return True


def _in_proportion(case: _Case, factors: _Factors, ruler: Ruler) -> Iterator[MeasureMend]:
    """The mends of lengths that the residual follows in proportion."""
    indices = factors.affine
    if not indices:
        return
    equations = []
    for row, number in enumerate(case.base.numbers):
        equation = _equation([_entry(factors, index, row) for index in indices], -number)
        if equation is None:
            return
        if any(equation.factors) or equation.due:
            equations.append(equation)
    solutions = fewest_changes(
        tuple(dict.fromkeys(equations)),
        [_unknown(case.lengths[index], ruler) for index in indices],
        _MOST_PROVED,
    )
    proved = (
        _proved(case, {indices[at]: by for at, by in solution}, ruler, exact=case.base.exact)
        for solution in solutions
    )
    yield from islice((mend for mend in proved if mend is not None), MOST_TOLD)


def _entry(factors: _Factors, index: int, row: int) -> Number:
    column = factors.columns[index]
    return Fraction(0) if column is None else column[row]


def _equation(entries: Sequence[Number], due: Number) -> Equation | None:
    """The equation in fractions; None where its floats are in no simple ratio to each other."""
    if is_exact(*entries, due):
        return Equation(
            tuple(Fraction(entry) for entry in entries),
            Fraction(due),
        )
    largest = max((abs(float(entry)) for entry in entries), default=0.0)
    if largest <= _SAME_RATIO:
        miss = Fraction(0) if abs(float(due)) <= MEETS_MM else Fraction(1)
        return Equation(tuple(Fraction(0) for _ in entries), miss)
    ratios = [_simple(float(entry) / largest) for entry in entries]
    right = _simple(float(due) / largest)
    if right is None or any(ratio is None for ratio in ratios):
        return None
    return Equation(tuple(ratio for ratio in ratios if ratio is not None), right)


def _simple(ratio: float) -> Fraction | None:
    near = Fraction(ratio).limit_denominator(_LARGEST_BOTTOM)
    return near if abs(float(near) - ratio) <= _SAME_RATIO else None


def _roots(case: _Case, factors: _Factors) -> Iterator[tuple[int, Fraction]]:
    """For lengths that the residual follows otherwise, the changes with which the loops close."""
    for index, column in enumerate(factors.columns):
        if index not in factors.affine and column is not None and any(column):
            root = _root(case, column, index)
            if root is not None:
                yield index, root


def _near_roots(case: _Case, roots: Mapping[int, Fraction], ruler: Ruler) -> Iterator[MeasureMend]:
    """The mends of one length each that lie on the lines of a ruler next to a root."""
    for index, root in roots.items():
        unknown = _unknown(case.lengths[index], ruler)
        lines = (unknown.value + root) / unknown.lattice
        for line in dict.fromkeys((floor(lines), ceil(lines))):
            by = line * unknown.lattice - unknown.value
            mend = _proved(case, {index: by}, ruler, exact=False) if unknown.takes(by) else None
            if mend is not None:
                yield mend


def _root(case: _Case, column: Sequence[Number], index: int) -> Fraction | None:
    """By how many mm a length would have to change for the loops to close, by secants."""
    along = [float(entry) for entry in column]
    square = sum(entry * entry for entry in along)
    if square <= ROUNDING_MM:
        return None

    def miss(residual: Residual) -> float:
        # How far there is to go, by the factors at the start.
        return (
            sum(float(n) * entry for n, entry in zip(residual.numbers, along, strict=True)) / square
        )

    last, last_miss = 0.0, miss(case.base)
    here = -last_miss
    for _ in range(_MOST_SECANTS):
        there = case.tried({index: Fraction(here)})
        if there is None or there.size > 2.0 * case.base.size:
            return None
        this_miss = miss(there)
        if abs(this_miss) <= ROUNDING_MM or this_miss == last_miss:
            return Fraction(here) if there.size <= MEETS_MM else None
        step = this_miss * (here - last) / (this_miss - last_miss)
        last, last_miss, here = here, this_miss, here - step
    return None


def _proved(
    case: _Case, by: Mapping[int, Fraction], ruler: Ruler, *, exact: bool
) -> MeasureMend | None:
    """The mend that makes these changes, if the whole design then closes and nothing new stops."""
    resolved = case.resolved(by)
    if resolved is None:
        return None
    after = case.trial.proved(resolved)
    if order_of(after) != case.order:
        return None
    if after.verdict is not Verdict.CLOSES or after.gap_mm > (0.0 if exact else MEETS_MM):
        return None
    if not _stops(after) <= _stops(case.proof):
        return None
    changes = []
    for index, change in sorted(by.items()):
        one = case.lengths[index]
        to = one.value + change
        named = on_ruler(to, ruler.units) or ruler
        changes.append(
            MeasureChange(
                measure=one.name,
                from_mm=one.value,
                to_mm=to,
                on_ruler=named.value,
                steps=abs(change) / ruler.step,
            )
        )
    return MeasureMend(
        changes=tuple(changes),
        gap_after_mm=0.0 if after.gap_mm <= ROUNDING_MM else after.gap_mm,
        how=How.EXACT if exact else How.SEARCHED,
    )


def _stops(proof: Proof) -> set[tuple[str, str | None]]:
    return {
        (found.rule, found.piece) for found in proof.findings if found.severity is Severity.STOP
    }
