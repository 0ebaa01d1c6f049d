"""This module holds the functions an expression may call, exact wherever the result is rational.

The sine of a rational number of degrees is rational for multiples of 30 only,
and the tangent for multiples of 45 only (Niven's theorem), so short tables
hold every exact case.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from .exact import Number, exact_sqrt
from .quantity import Kind, Misfit, Quantity, alike, settled
from .units import Unit

_HALF = Fraction(1, 2)

_SINES = {
    Fraction(0): Fraction(0),
    Fraction(30): _HALF,
    Fraction(90): Fraction(1),
    Fraction(150): _HALF,
    Fraction(180): Fraction(0),
    Fraction(210): -_HALF,
    Fraction(270): Fraction(-1),
    Fraction(330): -_HALF,
}
_TANGENTS = {Fraction(0): Fraction(0), Fraction(45): Fraction(1), Fraction(135): Fraction(-1)}
_ARCSINES = {
    Fraction(-1): Fraction(-90),
    -_HALF: Fraction(-30),
    Fraction(0): Fraction(0),
    _HALF: Fraction(30),
    Fraction(1): Fraction(90),
}
_ARCTANGENTS = {
    Fraction(-1): Fraction(-45),
    Fraction(0): Fraction(0),
    Fraction(1): Fraction(45),
}


def _sine(degrees: Number) -> Number:
    turned = degrees % 360
    exact = _SINES.get(turned) if isinstance(turned, Fraction) else None
    return math.sin(math.radians(turned)) if exact is None else exact


def _degrees(name: str, quantity: Quantity) -> Number:
    if quantity.kind not in (Kind.ANGLE, Kind.BARE):
        raise Misfit(
            "wrong-argument", function=name, due="an angle", kind=quantity.kind.phrase,
            hint='write an angle such as "60 deg"',
        )  # fmt: skip
    return quantity.value


def _plain(name: str, quantity: Quantity) -> Number:
    if quantity.kind not in (Kind.NUMBER, Kind.BARE):
        raise Misfit(
            "wrong-argument", function=name, due="a ratio", kind=quantity.kind.phrase,
            hint="divide it by a quantity of the same kind",
        )  # fmt: skip
    return quantity.value


def sin(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The sine of an angle, a ratio.  Raises Misfit."""
    return settled(_sine(_degrees("sin", given[0])), Kind.NUMBER)


def cos(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The cosine of an angle, a ratio.  Raises Misfit."""
    degrees = _degrees("cos", given[0])
    if isinstance(degrees, float):
        return settled(math.cos(math.radians(degrees % 360)), Kind.NUMBER)
    exact = _SINES.get((degrees + 90) % 360)
    if exact is None:
        return settled(math.cos(math.radians(degrees % 360)), Kind.NUMBER)
    return settled(exact, Kind.NUMBER)


def tan(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The tangent of an angle, a ratio.  Raises Misfit at a right angle."""
    turned = _degrees("tan", given[0]) % 180
    if turned == 90:
        raise Misfit(
            "outside-domain", function="tan", why="the tangent of a right angle is infinite",
            hint="keep the angle away from 90 deg",
        )  # fmt: skip
    exact = _TANGENTS.get(turned) if isinstance(turned, Fraction) else None
    return settled(math.tan(math.radians(turned)) if exact is None else exact, Kind.NUMBER)


def _arc_sine(name: str, quantity: Quantity) -> tuple[Number, Number | None]:
    ratio = _plain(name, quantity)
    if not -1 <= ratio <= 1:
        raise Misfit(
            "outside-domain", function=name, why="its value lies outside -1 to 1",
            hint="check which side of the triangle is divided by which",
        )  # fmt: skip
    return ratio, _ARCSINES.get(ratio) if isinstance(ratio, Fraction) else None


def asin(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The angle, -90 to 90 degrees, that has this sine.  Raises Misfit."""
    ratio, exact = _arc_sine("asin", given[0])
    return settled(math.degrees(math.asin(ratio)) if exact is None else exact, Kind.ANGLE)


def acos(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The angle, 0 to 180 degrees, that has this cosine.  Raises Misfit."""
    ratio, exact = _arc_sine("acos", given[0])
    return settled(math.degrees(math.acos(ratio)) if exact is None else 90 - exact, Kind.ANGLE)


def atan(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The angle, -90 to 90 degrees, that has this tangent.  Raises Misfit."""
    ratio = _plain("atan", given[0])
    exact = _ARCTANGENTS.get(ratio) if isinstance(ratio, Fraction) else None
    return settled(math.degrees(math.atan(ratio)) if exact is None else exact, Kind.ANGLE)


def sqrt(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The square root: of an area a length, of a plain number its like.  Raises Misfit."""
    quantity = given[0]
    if quantity.kind in (Kind.LENGTH, Kind.ANGLE):
        raise Misfit(
            "wrong-argument", function="sqrt", due="an area or a plain number",
            kind=quantity.kind.phrase, hint="multiply two lengths inside sqrt",
        )  # fmt: skip
    if quantity.value < 0:
        raise Misfit(
            "outside-domain", function="sqrt", why="its value is negative",
            hint="check the order of the difference inside sqrt",
        )  # fmt: skip
    kind = Kind.LENGTH if quantity.kind is Kind.AREA else quantity.kind
    return settled(exact_sqrt(quantity.value), kind)


def absolute(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The quantity without its sign."""
    value = given[0].value
    return Quantity(-value if value < 0 else value, given[0].kind)


def least(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The smallest of quantities of one kind.  Raises Misfit."""
    values, kind = alike(given, units, "compared")
    return Quantity(min(values), kind)


def most(given: tuple[Quantity, ...], units: Unit) -> Quantity:
    """The largest of quantities of one kind.  Raises Misfit."""
    values, kind = alike(given, units, "compared")
    return Quantity(max(values), kind)


@dataclass(frozen=True, slots=True)
class Function:
    """A function of expressions; `takes` is how many values, None for one or more."""

    work: Callable[[tuple[Quantity, ...], Unit], Quantity]
    takes: int | None = 1


FUNCTIONS: dict[str, Function] = {
    "min": Function(least, None),
    "max": Function(most, None),
    "abs": Function(absolute),
    "sqrt": Function(sqrt),
    "sin": Function(sin),
    "cos": Function(cos),
    "tan": Function(tan),
    "asin": Function(asin),
    "acos": Function(acos),
    "atan": Function(atan),
}
