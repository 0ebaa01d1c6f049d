"""This module turns what a person wrote, in a file or in Python, into the one form a draft keeps.

A number may be given as an `Expression`, as a string (`"width / 2"`, `"5 3/4"`,
`"41 mm"`), or as a Python number; lists may stand for tuples.  Every draft keeps
expressions and tuples, so that a design built in Python equals the same design
read from a file.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from math import isfinite
from types import MappingProxyType
from typing import TypeVar

from ..measures import Expression, parse
from ..problems import DesignError, Place, problem
from ..sources import shown

Written = Expression | str | int | float | Fraction
"""A number as it may be written: see `expression`."""

Spot = Sequence[Written]
"""A place as it may be written: two numbers, x and y."""

_Word = TypeVar("_Word", bound=StrEnum)

# The key under which a field's metadata holds the function that normalises it.
_AS = "as"

# A number of more characters than this is a slip of the pen.
_LONGEST_NUMBER = 100

# A decimal of more places than this is told as a fraction.
_MOST_PLACES = 20


Convert = Callable[[object, str], object]
"""Makes the kept form of a value; the text is the field's name, for messages."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Draft:
    """The base of all drafts: puts every field that has a converter into its kept form."""

    def __post_init__(self) -> None:
        for item in fields(self):
            convert: Convert | None = item.metadata.get(_AS)
            if convert is not None:
                # The one moment at which a frozen draft is still being made.
                object.__setattr__(self, item.name, convert(getattr(self, item.name), item.name))


def kept_as(convert: Convert) -> dict[str, Convert]:
    """The metadata of a field that is kept as what `convert` makes of it."""
    return {_AS: convert}


def maybe(convert: Convert) -> Convert:
    """The same converter for a field that may be None."""

    def _convert(written: object, key: str) -> object:
        return None if written is None else convert(written, key)

    return _convert


def row_of(convert: Convert) -> Convert:
    """The converter for a row of what `convert` makes."""

    def _convert(written: object, key: str) -> object:
        return tuple(convert(item, key) for item in row(written, key))

    return _convert


def word_of(kind: type[StrEnum]) -> Convert:
    """The converter for one of a set of words."""

    def _convert(written: object, key: str) -> object:
        return word(kind, written, key)

    return _convert


def _told(key: str) -> str:
    """The name of a field in quotation marks; the reader gives whole phrases, which have theirs."""
    return key if '"' in key else f'"{key}"'


def wrong(key: str, due: str, written: object, place: Place | None = None) -> DesignError:
    """The error for a value that is not what is `due` at the field that `key` names."""
    return DesignError(
        problem("wrong-type", place=place, key=_told(key), due=due, found=shown(written))
    )


def expression(written: object, key: str = "number", place: Place | None = None) -> Expression:
    """The expression that was written; `key` is what a message calls it.

    Raises DesignError where it cannot be read.
    """
    if isinstance(written, Expression):
        return written
    where = Place() if place is None else place
    if isinstance(written, str):
        return parse(written, where)
    if isinstance(written, bool) or not isinstance(written, int | float | Fraction | Decimal):
        raise wrong(key, "a number or an expression in quotes", written, place)
    if isinstance(written, float | Decimal) and not isfinite(written):
        raise DesignError(
            problem("unusable-number", place=place, key=_told(key), found=shown(float(written)))
        )
    text = number_text(written)
    if len(text) > _LONGEST_NUMBER:
        raise DesignError(
            problem("unusable-number", place=place, key=_told(key), found="a number of many digits")
        )
    return parse(text, where)


def maybe_expression(written: object) -> Expression | None:
    """The expression that was written, if any was."""
    return None if written is None else expression(written)


def number_text(number: int | float | Fraction | Decimal) -> str:
    """A finite number as a person would type it: a decimal where it has an end, else a fraction."""
    if isinstance(number, float):
        # The shortest decimal that is the same float is what was typed.
        number = Decimal(repr(number))
    exact = Fraction(number)
    top, bottom = exact.numerator, exact.denominator
    if bottom == 1:
        return str(top)
    # A fraction ends as a decimal where 2 and 5 are all that divides it below.
    places, rest = 0, bottom
    for prime in (2, 5):
        count = 0
        while rest % prime == 0:
            rest //= prime
            count += 1
        places = max(places, count)
    if rest != 1 or places > _MOST_PLACES:
        return str(exact)
    digits = f"{abs(top) * 10**places // bottom:0{places + 1}d}"
    sign = "-" if top < 0 else ""
    return f"{sign}{digits[:-places]}.{digits[-places:]}"


def spot(written: object, key: str = "place") -> tuple[Expression, Expression]:
    """The place that was written: its x and its y."""
    found = row(written, key)
    if len(found) != 2:
        raise wrong(key, "a place [x, y]", written)
    return (expression(found[0], key), expression(found[1], key))


def row(written: object, key: str) -> tuple[object, ...]:
    """Any values in a row."""
    if isinstance(written, str) or not isinstance(written, Sequence):
        raise wrong(key, "a list", written)
    return tuple(written)


def name(written: object, key: str) -> str:
    """A name, of whatever kind."""
    if not isinstance(written, str):
        raise wrong(key, "a text", written)
    return written


def frozen(written: object, key: str) -> Mapping[str, object]:
    """A mapping that cannot be changed, in the order given."""
    if not isinstance(written, Mapping):
        raise wrong(key, "a mapping", written)
    return MappingProxyType(dict(written))


def word(kind: type[_Word], written: object, key: str, place: Place | None = None) -> _Word:
    """One of a set of words.  Raises DesignError that names them."""
    known = [str(member) for member in kind]
    if isinstance(written, str) and written in known:
        return kind(written)
    due = " or ".join(f'"{member}"' for member in known)
    if not isinstance(written, str):
        raise wrong(key, due, written, place)
    near = difflib.get_close_matches(written, known, n=1, cutoff=0.5)
    hint = f'did you mean "{near[0]}"?' if near else f"write {due}"
    raise DesignError(
        problem("unknown-word", place=place, key=_told(key), due=due, found=written, hint=hint)
    )
