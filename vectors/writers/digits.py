"""This module writes numbers: fixed decimals, no exponent, no minus before a zero, any locale."""

from __future__ import annotations

from fractions import Fraction


def short(number: float, places: int) -> str:
    """The number with at most `places` decimals, zeros at the end dropped: `12.5`, `3`."""
    # Adding zero turns a minus zero into a plain one.
    text = f"{round(number, places) + 0.0:.{places}f}"
    return text.rstrip("0").rstrip(".")


def exact(number: Fraction) -> str:
    """A fraction that is a finite decimal, in full.  Raises ValueError for any other."""
    places = 0
    while number.denominator != 1 and places < 40:
        if 10**places % number.denominator == 0:
            break
        places += 1
    scaled = number * 10**places
    if scaled.denominator != 1:
        raise ValueError(f"{number} is not a finite decimal")
    whole, rest = divmod(abs(scaled.numerator), 10**places)
    sign = "-" if number < 0 else ""
    return f"{sign}{whole}.{rest:0{places}d}" if places else f"{sign}{whole}"
