"""This module works out what the limits of measures come to in one edition."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

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
)
from ..problems import Collector, DesignError, problem
from .editions import Bound, CaliperOf, Edition


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
                    value=told_in(replace(value, value=step), edition.printed),
                )
            )
        least = limit("least", edition.least, name)
        most = limit("most", edition.most, name)
        if name in edition.numbers:
            # A pattern's numbers are counts: the last one within a limit is whole as well.
            if least is not None and edition.least[name].pattern is not None:
                least = Fraction(math.ceil(least))
            if most is not None and edition.most[name].pattern is not None:
                most = Fraction(math.floor(most))
        yield Range(name=name, value=value, least=least, most=most)


def _like(kind: Kind, limit: Quantity, bound: Bound, what: str) -> Number:
    place = bound.expression.place
    if kind is Kind.ANGLE:
        return as_angle(limit, place, what)
    if kind is Kind.NUMBER:
        return as_number(limit, place, what)
    return as_length(limit, bound.units, place, what)


def told_in(quantity: Quantity, units: Unit) -> str:
    """A quantity as a message tells it: a length in the units that the edition is printed in."""
    if quantity.kind is Kind.LENGTH:
        return exact_text(quantity.value, units)
    suffix = " degrees" if quantity.kind is Kind.ANGLE else ""
    return f"{float(quantity.value):.6g}{suffix}"
