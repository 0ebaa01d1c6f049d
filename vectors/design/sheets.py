"""This module knows the sizes of sheets that a stock may be bought in, by their names.

Known are the names of the file of sizes, such as "A4" or "Letter", and any width and
height, such as "12 x 12 in" or "210 x 297 mm"; the unit may stand after both or
after the last, and is the file's where there is none.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache

from foldwright.profiles.paper import sheets

from ..measures import MM_PER_IN, Unit

_SIDE = r"(?=[0-9 ./]*[1-9])(?:[0-9]{1,5} [0-9]{1,3}/[0-9]{1,3}|[0-9]{1,5}(?:\.[0-9]{1,4})?)"
_UNIT = r'(?: ?(mm|cm|in|"))?'
_SIDES = re.compile(rf"({_SIDE}){_UNIT} ?[x\u00d7] ?({_SIDE}){_UNIT}")
_MM = {"mm": Fraction(1), "cm": Fraction(10), "in": MM_PER_IN, '"': MM_PER_IN}


def is_sheet(text: str) -> bool:
    """Whether a text names a size of sheet that is known here."""
    return sheet_size(text, Unit.MM) is not None


def sheet_size(text: str, units: Unit) -> tuple[Fraction, Fraction] | None:
    """The two sides of a sheet in mm as they are written, None where the text names none.

    `units` are those of numbers without a unit.
    """
    named = _by_folded_name().get(text.casefold())
    if named is not None:
        return named
    sides = _SIDES.fullmatch(text)
    if sides is None:
        return None
    first, first_unit, second, second_unit = sides.groups()
    last = second_unit or str(units)
    try:
        width, height = _number(first), _number(second)
    except ZeroDivisionError:
        return None
    return width * _MM[first_unit or last], height * _MM[last]


@cache
def _by_folded_name() -> dict[str, tuple[Fraction, Fraction]]:
    return {name.casefold(): (one.short_mm, one.long_mm) for name, one in sheets().items()}


def _number(text: str) -> Fraction:
    return sum((Fraction(part) for part in text.split()), Fraction(0))
