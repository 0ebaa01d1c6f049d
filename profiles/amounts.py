"""This module reads amounts as people write them on packets: weights of paper, and short lengths.

A pound of paper is the mass of 500 sheets of the basic size of its grade, so
pounds without a grade word are no weight at all.
"""

from __future__ import annotations

import re
from fractions import Fraction
from types import MappingProxyType

from foldwright.problems import Place, Problem, problem

MM_PER_IN = Fraction(254, 10)

# The basic sizes of the grades, in inches: a paper maker's page on basis weights.
BASIC_SIZES = MappingProxyType(
    {
        "cover": (Fraction(20), Fraction(26)),
        "text": (Fraction(25), Fraction(38)),
        "index": (Fraction(51, 2), Fraction(61, 2)),
        "bond": (Fraction(17), Fraction(22)),
        "bristol": (Fraction(45, 2), Fraction(57, 2)),
        "tag": (Fraction(24), Fraction(36)),
    }
)
# Other words for a grade.
_SAME = {"book": "text"}

# The international pound of 1959, exactly.
GRAMS_PER_POUND = Fraction("453.59237")
SHEETS = 500

# Units of short lengths, in mm.
_LENGTHS = MappingProxyType(
    {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "in": MM_PER_IN,
        '"': MM_PER_IN,
        "\N{DOUBLE PRIME}": MM_PER_IN,
        "\N{MICRO SIGN}m": Fraction(1, 1000),
        "\N{GREEK SMALL LETTER MU}m": Fraction(1, 1000),
        "um": Fraction(1, 1000),
        "mil": MM_PER_IN / 1000,
    }
)
# A point of paper thickness: 0.001 in.  A typographic point is 1/72 in.
_POINT = ("pt", "point", "points")
POINT_MM = MM_PER_IN / 1000

_METRIC = ("g/m²", "g/m2", "gsm", "g/m^2")
_POUNDS = ("lb", "lbs", "pound", "pounds", "#")
_AMOUNT = re.compile(r"(-?\d{1,12}(?:\.\d{1,12})?)(?:\s*/\s*(\d{1,6}))?\s*(.*)", re.DOTALL)

_GRAMMAGE_DUE = 'a number of g/m², or a text such as "300 g/m²", "300 gsm" or "110 lb cover"'
_LENGTH_DUE = 'a number of mm, or a text with its unit such as "0.3 mm" or "0.012 in"'
_CALIPER_DUE = f'{_LENGTH_DUE}, or "12 pt" for 0.012 in'


def grams_per_square_metre(pounds: Fraction, grade: str) -> Fraction:
    """The grammage of paper of so many pounds of a grade, exactly.  Raises KeyError."""
    width, height = BASIC_SIZES[_SAME.get(grade, grade)]
    square_metres = SHEETS * width * height * (MM_PER_IN / 1000) ** 2
    return pounds * GRAMS_PER_POUND / square_metres


def grammage_of(text: str, *, told: str, place: Place) -> Fraction | Problem:
    """The g/m² that a text spells, or what is wrong with it; `told` names its key."""
    amount, unit = _parted(text)
    if amount is not None and unit in _METRIC:
        return amount
    first, _, grade = unit.partition(" ")
    first = first.removesuffix(".")
    if amount is None or first not in _POUNDS:
        return _no_amount(text, _GRAMMAGE_DUE, told, place)
    grade = " ".join(grade.split())
    if _SAME.get(grade, grade) in BASIC_SIZES:
        return grams_per_square_metre(amount, grade)
    written = f"{float(amount):g}"
    weights = [
        f"{written} lb {one} = {float(grams_per_square_metre(amount, one)):.0f} g/m²"
        for one in BASIC_SIZES
    ]
    code = "unknown-grade" if grade else "pounds-without-grade"
    return problem(
        code, place=place, key=told, found=text.strip(), grade=grade, weights=", ".join(weights)
    )


def length_of(text: str, *, key: str, told: str, place: Place) -> Fraction | Problem:
    """The mm that a text spells, or what is wrong with it.

    `key` is the figure it is for: a caliper alone may be in points.
    """
    amount, unit = _parted(text)
    due = _CALIPER_DUE if key == "caliper" else _LENGTH_DUE
    if amount is not None and unit in _LENGTHS:
        return amount * _LENGTHS[unit]
    if amount is not None and unit in _POINT:
        if key == "caliper":
            return amount * POINT_MM
        return problem("points-of-what", place=place, key=told, found=text.strip())
    return _no_amount(text, due, told, place)


def _parted(text: str) -> tuple[Fraction | None, str]:
    """The number that a text starts with, and the rest in lower case; None where it has none."""
    found = _AMOUNT.fullmatch(text.strip())
    if found is None:
        return None, ""
    number, divisor, unit = found.groups()
    if divisor is not None and (int(divisor) == 0 or "." in number):
        return None, ""
    amount = Fraction(number) / int(divisor or 1)
    return amount, unit.casefold().strip()


def _no_amount(text: str, due: str, told: str, place: Place) -> Problem:
    short = text if len(text) <= 40 else f"{text[:37]}..."
    return problem("no-amount", place=place, key=told, due=due, found=short)
