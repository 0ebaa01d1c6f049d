"""This module holds quantities, numbers that know what they measure, and the arithmetic of them.

Lengths are in mm, angles in degrees, areas in mm².  Arithmetic keeps fractions
exact.  A combination that has no meaning raises `Misfit`, which the evaluation
of an expression turns into a problem that says where.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from ..problems import DesignError, Place, problem
from .exact import LARGEST_MM, Number
from .units import Unit

# Fractions longer than this many bits go on as floats: a chain of products
# would otherwise double its digits at every step.
LONGEST_FRACTION_BITS = 4096

# The place of a quantity that was written in no file.
NOWHERE = Place()


class Kind(StrEnum):
    """What a quantity measures.

    BARE is a plain literal: in the file's units where a length is due, degrees
    where an angle is due, a plain number where it multiplies or divides.
    NUMBER is a count or a ratio and never turns into a length.  AREA exists
    inside an expression only.
    """

    BARE = "bare"
    LENGTH = "length"
    NUMBER = "number"
    ANGLE = "angle"
    AREA = "area"

    @property
    def phrase(self) -> str:
        """What a message calls it."""
        return _PHRASES[self]


_PHRASES = {
    Kind.BARE: "a bare number",
    Kind.LENGTH: "a length",
    Kind.NUMBER: "a count or ratio",
    Kind.ANGLE: "an angle",
    Kind.AREA: "an area",
}


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number and what it measures: mm, degrees, mm² or a plain number."""

    value: Number
    kind: Kind

    @property
    def exact(self) -> bool:
        """Whether the value is a fraction."""
        return isinstance(self.value, Fraction)


class Misfit(Exception):
    """Quantities that do not go together: the code of the rule, and the fields of its text."""

    def __init__(self, code: str, **fields: object) -> None:
        super().__init__(code)
        self.code = code
        self.fields = fields


def bare(value: Number | int) -> Quantity:
    """A plain number as a design writes it."""
    return Quantity(_fraction(value), Kind.BARE)


def length(value: Number | int) -> Quantity:
    """A length in mm."""
    return Quantity(_fraction(value), Kind.LENGTH)


def angle(value: Number | int) -> Quantity:
    """An angle in degrees."""
    return Quantity(_fraction(value), Kind.ANGLE)


def number(value: Number | int) -> Quantity:
    """A count or a ratio."""
    return Quantity(_fraction(value), Kind.NUMBER)


def _fraction(value: Number | int) -> Number:
    return Fraction(value) if isinstance(value, int) else value


def settled(value: Number, kind: Kind) -> Quantity:
    """The quantity, its number finite and not absurdly long.  Raises Misfit."""
    if isinstance(value, Fraction):
        bits = max(value.numerator.bit_length(), value.denominator.bit_length())
        if bits <= LONGEST_FRACTION_BITS:
            return Quantity(value, kind)
        try:
            value = float(value)
        except OverflowError:
            raise Misfit("not-finite") from None
    if not math.isfinite(value):
        raise Misfit("not-finite")
    return Quantity(value, kind)


def alike(
    quantities: Iterable[Quantity], units: Unit, verb: str
) -> tuple[tuple[Number, ...], Kind]:
    """The values of quantities of one kind, and that kind; bare numbers take the others' kind.

    `verb` says in a message what was to be done with them, such as "added".
    Raises Misfit where they are of different kinds.
    """
    found = tuple(quantities)
    kinds = tuple(dict.fromkeys(q.kind for q in found if q.kind is not Kind.BARE))
    if not kinds:
        return tuple(q.value for q in found), Kind.BARE
    has_bare = any(q.kind is Kind.BARE for q in found)
    if len(kinds) > 1:
        raise Misfit(
            "mixed-kinds", one=kinds[0].phrase, other=kinds[1].phrase, verb=verb, hint=_hint(*kinds)
        )
    kind = kinds[0]
    if kind is Kind.AREA and has_bare:
        raise Misfit(
            "mixed-kinds",
            one=Kind.AREA.phrase,
            other=Kind.BARE.phrase,
            verb=verb,
            hint='write an area as the product of two lengths, such as "3 mm * 4 mm"',
        )
    scale = units.mm if kind is Kind.LENGTH else Fraction(1)
    return tuple(q.value * scale if q.kind is Kind.BARE else q.value for q in found), kind


def _hint(one: Kind, other: Kind) -> str:
    pair = {one, other}
    if pair == {Kind.LENGTH, Kind.NUMBER}:
        return 'give the number a unit by a factor, such as "steps * 1 mm"'
    if pair == {Kind.LENGTH, Kind.ANGLE}:
        return "turn the angle into a length with sin, cos or tan times a length"
    if Kind.AREA in pair:
        return "divide the area by a length or take its sqrt"
    return "bring both to the same kind"


def added(one: Quantity, other: Quantity, units: Unit) -> Quantity:
    """The sum.  Raises Misfit."""
    (a, b), kind = alike((one, other), units, "added")
    return settled(a + b, kind)


def taken(one: Quantity, other: Quantity, units: Unit) -> Quantity:
    """The difference.  Raises Misfit."""
    (a, b), kind = alike((one, other), units, "subtracted")
    return settled(a - b, kind)


def times(one: Quantity, other: Quantity) -> Quantity:
    """The product; a length times a length is an area.  Raises Misfit."""
    kind = _product_kind(one.kind, other.kind)
    if kind is None:
        raise Misfit(
            "mixed-kinds",
            one=one.kind.phrase,
            other=other.kind.phrase,
            verb="multiplied",
            hint="multiply by a plain number; write a factor as { number = ... }",
        )
    return settled(one.value * other.value, kind)


def over(one: Quantity, other: Quantity) -> Quantity:
    """The quotient; a length over a length is a ratio.  Raises Misfit, also for a zero divisor."""
    kind = _quotient_kind(one.kind, other.kind)
    if kind is None:
        raise Misfit(
            "mixed-kinds",
            one=one.kind.phrase,
            other=other.kind.phrase,
            verb="divided",
            hint="divide by a plain number or by a quantity of the same kind",
        )
    if other.value == 0:
        raise Misfit("divided-by-zero")
    return settled(one.value / other.value, kind)


_PLAIN = (Kind.BARE, Kind.NUMBER)


def _product_kind(one: Kind, other: Kind) -> Kind | None:
    if one is Kind.BARE:
        return other
    if other is Kind.BARE or other is Kind.NUMBER:
        return one
    if one is Kind.NUMBER:
        return other
    if one is Kind.LENGTH and other is Kind.LENGTH:
        return Kind.AREA
    return None


def _quotient_kind(one: Kind, other: Kind) -> Kind | None:
    if other is Kind.BARE:
        return one
    if other is Kind.NUMBER:
        return Kind.NUMBER if one in _PLAIN else one
    if one is other:
        return Kind.NUMBER
    if one is Kind.AREA and other is Kind.LENGTH:
        return Kind.LENGTH
    return None


def as_length(quantity: Quantity, units: Unit, place: Place = NOWHERE, what: str = "it") -> Number:
    """The quantity as a length in mm; a bare number is in `units`.

    `what` names it in messages.  Raises DesignError where it is none, is not
    finite, or is over 10 m.
    """
    if quantity.kind is Kind.LENGTH:
        value = quantity.value
    elif quantity.kind is Kind.BARE:
        value = quantity.value * units.mm
    else:
        hints = {
            Kind.NUMBER: "give a number in it its unit, such as "
            '"100 mm * tan(30 deg)" or "steps * 1 mm"',
            Kind.ANGLE: "write a length, or use sin, cos or tan of the angle times a length",
            Kind.AREA: "divide it by a length or take its sqrt",
        }
        raise DesignError(
            problem(
                "not-a-length",
                place=place,
                what=what,
                kind=quantity.kind.phrase,
                hint=hints[quantity.kind],
            )
        )
    _check_finite(value, place, what)
    if not -LARGEST_MM <= value <= LARGEST_MM:
        raise DesignError(problem("length-too-large", place=place, what=what))
    return value


def as_angle(quantity: Quantity, place: Place = NOWHERE, what: str = "it") -> Number:
    """The quantity as an angle in degrees; a bare number is degrees.

    Raises DesignError where it is none or not finite.
    """
    if quantity.kind not in (Kind.ANGLE, Kind.BARE):
        raise DesignError(
            problem("not-an-angle", place=place, what=what, kind=quantity.kind.phrase)
        )
    _check_finite(quantity.value, place, what)
    return quantity.value


def as_number(quantity: Quantity, place: Place = NOWHERE, what: str = "it") -> Number:
    """The quantity as a plain number.  Raises DesignError where it has a unit or is not finite."""
    if quantity.kind not in _PLAIN:
        raise DesignError(
            problem("not-a-number", place=place, what=what, kind=quantity.kind.phrase)
        )
    _check_finite(quantity.value, place, what)
    return quantity.value


def as_count(quantity: Quantity, place: Place = NOWHERE, what: str = "it") -> int:
    """The quantity as a whole number, 0 or more.  Raises DesignError where it is none."""
    value = as_number(quantity, place, what)
    if value < 0 or value != int(value):
        raise DesignError(problem("not-a-count", place=place, what=what, value=_short(value)))
    return int(value)


def _short(value: Number) -> str:
    if isinstance(value, Fraction):
        text = str(value)
        if len(text) <= 12:
            return text
        try:
            value = float(value)
        except OverflowError:
            return "a huge number"
    return f"{value:g}"


def _check_finite(value: Number, place: Place, what: str) -> None:
    if not isinstance(value, Fraction) and not math.isfinite(value):
        raise DesignError(problem("not-finite", place=place, where=what))
