"""This module lists the lengths of a design that a mend may change: those written as a number.

A measure that is reckoned from others follows them, and one that is to be kept
stays; what is left are the lengths that a person chose.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from ..design import Design
from ..design.editions import Bound, Edition
from ..measures import Number, Scope, as_length
from ..measures.plain import is_plain_length


@dataclass(frozen=True, kw_only=True, slots=True)
class Length:
    """A measure that may be changed: its value and limits in mm, and the step it is set in.

    Limits that follow from other measures are left out; the proof of a change
    holds them.
    """

    name: str
    value: Fraction
    least: Fraction | None = None
    most: Fraction | None = None
    step: Fraction | None = None


def lengths_of(
    design: Design, edition: Edition, values: Mapping[str, Number]
) -> tuple[Length, ...]:
    """The lengths of an edition that are written as a number and need not be kept.

    `values` has every measure worked out, lengths in mm.  They come in the order
    of the file, then those that only this run states.
    """
    found = []
    for name in dict.fromkeys((*design.measures, *edition.values)):
        value = values[name]
        if (
            name not in edition.stated
            or name in edition.kept
            or name in edition.numbers
            or name in edition.angles
            or not is_plain_length(edition.values[name])
            or not isinstance(value, Fraction)
        ):
            continue
        found.append(
            Length(
                name=name,
                value=value,
                least=_limit(edition.least.get(name)),
                most=_limit(edition.most.get(name)),
                step=_limit(edition.steps.get(name)),
            )
        )
    return tuple(found)


def _limit(bound: Bound | None) -> Fraction | None:
    """A limit that is the same whatever the other measures are, in mm."""
    if bound is None or bound.expression.names or bound.expression.calipers:
        return None
    limit = as_length(bound.expression.evaluate(Scope.of(bound.units, {})), bound.units)
    return limit if isinstance(limit, Fraction) else None
