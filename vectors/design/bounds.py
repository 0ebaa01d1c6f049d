"""This module holds measures to their limits, those of the file and those of a pattern.

A limit that stands in the file can be changed there.  One of a pattern cannot:
there it is told what fits, and which other measures the limit follows from.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from ..measures import (
    Kind,
    Number,
    Quantity,
    Scope,
    Unit,
    as_angle,
    as_length,
    as_number,
    exact_text,
    parse,
)
from ..problems import Collector, DesignError, Problem, problem
from .editions import Bound, CaliperOf, Edition, worked_out

# So many smaller counts are tried to find out how many parts fit.
_MOST_TRIED = 100


@dataclass(frozen=True, kw_only=True, slots=True)
class Range:
    """What the limits of one measure come to; None where there is none."""

    name: str
    value: Quantity
    least: Number | None
    most: Number | None

    @property
    def empty(self) -> bool:
        """Whether the limits leave no value at all."""
        return self.least is not None and self.most is not None and self.least > self.most

    @property
    def below(self) -> bool:
        """Whether the value is below its least."""
        return self.least is not None and self.value.value < self.least

    @property
    def above(self) -> bool:
        """Whether the value is above its most."""
        return self.most is not None and self.value.value > self.most

    @property
    def broken(self) -> bool:
        """Whether a limit is not kept."""
        return self.empty or self.below or self.above


def bound_problems(
    edition: Edition, measures: Mapping[str, Quantity], caliper: CaliperOf, stocks: Collection[str]
) -> tuple[Problem, ...]:
    """The measures that are below their least or above their most, each told at its place.

    Limits that leave no value at all are told as that, and so is a step of
    nothing or less.  Where a pattern has no room for so many parts, the count
    is told and how many fit, and not all that follows from it.
    """
    found = Collector()
    ranges = {one.name: one for one in ranges_of(edition, measures, caliper, stocks, found)}
    broken = {name: one for name, one in ranges.items() if one.broken}
    of_pattern = {name: one for name, one in broken.items() if _of_pattern(edition, one)}
    for name, one in of_pattern.items():
        if name not in edition.numbers:
            continue
        # A count out of its own limits breaks those of other measures too, and
        # what is reckoned from it.
        if one.above and one.most is not None:
            below = int(one.most) + 1
            fit = _most_that_fits(edition, name, below, caliper, stocks)
            return (_outside(edition, one, fit),)
        return (_outside(edition, one),)
    if any(one.empty for one in of_pattern.values()):
        count = _too_many(edition, measures, caliper, stocks, of_pattern)
        if count is not None:
            found.add(count)
            broken = {name: one for name, one in broken.items() if name not in of_pattern}
    for one in broken.values():
        found.add(_outside(edition, one))
    return found.problems


def ranges_of(
    edition: Edition,
    measures: Mapping[str, Quantity],
    caliper: CaliperOf,
    stocks: Collection[str],
    found: Collector,
) -> Iterator[Range]:
    """What the limits of every measure come to.

    What cannot be worked out of them goes to `found`, and so do steps of nothing.
    """

    def limit(word: str, bounds: Mapping[str, Bound], name: str) -> Number | None:
        bound = bounds.get(name)
        if bound is None:
            return None
        scope = Scope.of(bound.units, measures, caliper, stocks)
        what = f'the {word} of the measure "{name}"'
        try:
            return _like(measures[name].kind, bound.expression.evaluate(scope), bound, what)
        except DesignError as error:
            found.extend(error)
            return None

    for name, value in measures.items():
        step = limit("step", edition.steps, name)
        if step is not None and step <= 0:
            found.add(
                problem(
                    "unfit-step",
                    place=edition.values[name].place,
                    name=name,
                    value=_told(replace(value, value=step), edition.printed),
                )
            )
        yield Range(
            name=name,
            value=value,
            least=limit("least", edition.least, name),
            most=limit("most", edition.most, name),
        )


def _like(kind: Kind, limit: Quantity, bound: Bound, what: str) -> Number:
    place = bound.expression.place
    if kind is Kind.ANGLE:
        return as_angle(limit, place, what)
    if kind is Kind.NUMBER:
        return as_number(limit, place, what)
    return as_length(limit, bound.units, place, what)


def _of_pattern(edition: Edition, one: Range) -> bool:
    """Whether the limit that is broken is one of a pattern."""
    return _pattern(edition, one) is not None


def _pattern(edition: Edition, one: Range) -> str | None:
    least, most = edition.least.get(one.name), edition.most.get(one.name)
    if one.empty:
        # Either may be changed where it is the file's own.
        return None if least is None or most is None or least.pattern is None else most.pattern
    bound = least if one.below else most
    return None if bound is None else bound.pattern


def _outside(edition: Edition, one: Range, fit: int | None = None) -> Problem:
    """What is wrong with a measure that does not keep its limits; `fit` is the most that fits."""
    place = edition.values[one.name].place
    pattern = _pattern(edition, one)
    told = partial(_told, units=edition.printed)
    least, most = (
        None if limit is None else told(replace(one.value, value=limit))
        for limit in (one.least, one.most)
    )
    if one.empty and pattern is None:
        return problem("limits-contradict", place=place, name=one.name, least=least, most=most)
    if one.empty:
        others = _listed(_others(edition, (one.name,)))
        return problem("no-room", place=place, name=one.name, pattern=pattern, others=others)
    if pattern is None:
        hint = "make it larger, or lower its least"
        if not one.below:
            hint = "make it smaller, or raise its most"
    else:
        if least is None or most is None:
            hint = f"make it {most} or less" if least is None else f"make it {least} or more"
        else:
            hint = f"make it {least} to {most if fit is None else fit}"
        bounds = edition.least if one.below else edition.most
        names = bounds[one.name].expression.names - {one.name}
        if names:
            hint += f", or change {_listed(_ordered(edition, names))}"
    return problem(
        "below-least" if one.below else "above-most",
        place=place,
        name=one.name,
        value=told(one.value),
        limit=least if one.below else most,
        hint=hint,
    )


def _too_many(
    edition: Edition,
    measures: Mapping[str, Quantity],
    caliper: CaliperOf,
    stocks: Collection[str],
    broken: Mapping[str, Range],
) -> Problem | None:
    """The count that is all that is wrong: with a smaller one every limit of the pattern holds."""
    for name in edition.values:
        least = edition.least.get(name)
        if name not in edition.numbers or least is None or least.pattern is None:
            continue
        count = int(measures[name].value)
        fit = _most_that_fits(edition, name, count, caliper, stocks)
        if fit is None:
            continue
        others = [other for other in _others(edition, broken) if other != name]
        return problem(
            "too-many-of-it",
            place=edition.values[name].place,
            name=name,
            value=count,
            fit=fit,
            hint=f"make it {fit}" + (" or less" if fit > 1 else ""),
            others=_listed(others),
        )
    return None


def _most_that_fits(
    edition: Edition, name: str, below: int, caliper: CaliperOf, stocks: Collection[str]
) -> int | None:
    """The largest value of a count, smaller than `below`, with which all limits hold."""
    for fit in range(below - 1, max(0, below - _MOST_TRIED), -1):
        if _fits(edition, name, fit, caliper, stocks):
            return fit
    return None


def _fits(
    edition: Edition, name: str, count: int, caliper: CaliperOf, stocks: Collection[str]
) -> bool:
    """Whether all limits hold with another value of a count."""
    values = {**edition.values, name: parse(str(count))}
    trial = replace(edition, values=values)
    wrong = Collector()
    try:
        measures = worked_out(trial, caliper, stocks)
    except DesignError:
        return False
    ranges = tuple(ranges_of(trial, measures, caliper, stocks, wrong))
    return not wrong.stopped and not any(one.broken for one in ranges)


def _others(edition: Edition, names: Iterable[str]) -> list[str]:
    """The measures that the limits of these measures follow from."""
    found: set[str] = set()
    for name in names:
        for bounds in (edition.least, edition.most):
            if name in bounds:
                found |= bounds[name].expression.names - {name}
    return _ordered(edition, found)


def _ordered(edition: Edition, names: Collection[str]) -> list[str]:
    return [name for name in edition.values if name in names]


def _listed(names: Iterable[str]) -> str:
    """Names for a message: `"a", "b" or "c"`."""
    *most, last = (f'"{name}"' for name in names)
    return f"{', '.join(most)} or {last}" if most else last


def _told(quantity: Quantity, units: Unit) -> str:
    """A quantity as a message tells it: a length in the units that the edition is printed in."""
    if quantity.kind is Kind.LENGTH:
        return exact_text(quantity.value, units)
    suffix = " degrees" if quantity.kind is Kind.ANGLE else ""
    return f"{float(quantity.value):.6g}{suffix}"
