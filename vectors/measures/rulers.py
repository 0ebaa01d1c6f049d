"""This module puts lengths on rulers and into words, with the rounding error known.

Makers measure with rulers divided into 1/8 in, 1/16 in or 1 mm (common
practice, no source), so a length is told as the nearest 1/16 in or 0.5 mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from .exact import ROUNDING_MM, Number
from .units import MM_PER_IN, Unit


class Ruler(Enum):
    """A ruler by its division; the value is what it is called."""

    EIGHTH_IN = "1/8 in"
    SIXTEENTH_IN = "1/16 in"
    THIRTY_SECOND_IN = "1/32 in"
    MM = "1 mm"
    HALF_MM = "0.5 mm"

    @property
    def step(self) -> Fraction:
        """The division in mm."""
        return _STEPS[self]

    @property
    def units(self) -> Unit:
        """The units it is marked in."""
        return Unit.MM if self in (Ruler.MM, Ruler.HALF_MM) else Unit.IN


_STEPS = {
    Ruler.EIGHTH_IN: MM_PER_IN / 8,
    Ruler.SIXTEENTH_IN: MM_PER_IN / 16,
    Ruler.THIRTY_SECOND_IN: MM_PER_IN / 32,
    Ruler.MM: Fraction(1),
    Ruler.HALF_MM: Fraction(1, 2),
}

# The rulers a mend looks for, the coarsest first: the coarser, the easier to
# set without a slip.
USUAL_RULERS = (Ruler.EIGHTH_IN, Ruler.SIXTEENTH_IN, Ruler.MM)


@dataclass(frozen=True, slots=True)
class Rounded:
    """A length moved to the nearest line of a ruler; `error` is value - length; both in mm."""

    value: Fraction
    error: Number


@dataclass(frozen=True, slots=True)
class Written:
    """A length in words, and how far the words are from it: text - length, in mm."""

    text: str
    error: Number

    @property
    def exact(self) -> bool:
        """Whether the words say the length itself."""
        return -ROUNDING_MM <= self.error <= ROUNDING_MM

    @property
    def shown(self) -> str:
        """The words, with "about" before them where they are rounded."""
        return self.text if self.exact else f"about {self.text}"


def round_to(length: Number, ruler: Ruler) -> Rounded:
    """The nearest line of the ruler; half way goes away from zero."""
    value = _whole(abs(Fraction(length)) / ruler.step) * ruler.step
    if length < 0:
        value = -value
    error: Number = value - length
    return Rounded(value, error)


def on_ruler(
    length: Number, prefer: Unit | None = None, among: tuple[Ruler, ...] = USUAL_RULERS
) -> Ruler | None:
    """The coarsest ruler on whose line the length lies, or None.

    A length that lies on an inch ruler and on a metric one is said to lie on
    the first of `among`, those marked in `prefer` before the others.
    """
    for ruler in sorted(among, key=lambda ruler: prefer is not None and ruler.units is not prefer):
        error = round_to(length, ruler).error
        if error == 0 or (isinstance(error, float) and -ROUNDING_MM <= error <= ROUNDING_MM):
            return ruler
    return None


def written(length: Number, units: Unit) -> Written:
    """The length to the nearest 1/16 in ("5 3/4 in") or 0.5 mm ("41.5 mm")."""
    rounded = round_to(length, Ruler.SIXTEENTH_IN if units is Unit.IN else Ruler.HALF_MM)
    if units is Unit.IN:
        text = f"{_mixed(rounded.value / MM_PER_IN)} in"
    else:
        text = f"{_decimal(rounded.value, 1)} mm"
    return Written(text, rounded.error)


# The finest division that a fraction of an inch is told in.
_FINEST_IN = 64


def exact_text(length: Number, units: Unit) -> str:
    """The length for a message: mm to 3 decimals, or a fraction of an inch where it is one.

    A length that is no fraction of an inch down to 1/64 is told in inches to 3
    decimals.
    """
    if units is Unit.MM:
        return f"{_decimal(Fraction(length), 3)} mm"
    inches = Fraction(length) / MM_PER_IN
    nearest = Fraction(round(inches * _FINEST_IN), _FINEST_IN)
    near = ROUNDING_MM if isinstance(length, float) else 0
    if abs(inches - nearest) * MM_PER_IN <= near:
        return f"{_mixed(nearest)} in"
    return f"{_decimal(inches, 3)} in"


def _whole(value: Fraction) -> int:
    """The nearest whole number of a value not below zero; half goes up."""
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def _mixed(value: Fraction) -> str:
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if rest == 0:
        return f"{sign}{whole}"
    return f"{sign}{rest}" if whole == 0 else f"{sign}{whole} {rest}"


def _decimal(value: Fraction, places: int) -> str:
    scaled = _whole(abs(value) * 10**places)
    whole, rest = divmod(scaled, 10**places)
    digits = f"{rest:0{places}d}".rstrip("0")
    text = f"{whole}.{digits}" if digits else f"{whole}"
    return f"-{text}" if value < 0 and scaled else text
