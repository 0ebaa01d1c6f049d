"""This module holds the units that a design may use: what a bare number means, what a suffix means.

The international inch is exactly 25.4 mm (NIST, notice 59-5442 of 30 June 1959).
"""

from __future__ import annotations

from enum import StrEnum
from fractions import Fraction
from types import MappingProxyType

MM_PER_IN = Fraction(254, 10)


class Unit(StrEnum):
    """The units a design file may be written in: a bare length is in these."""

    MM = "mm"
    IN = "in"

    @property
    def mm(self) -> Fraction:
        """How many mm one of it is, exactly."""
        return MM_PER_IN if self is Unit.IN else Fraction(1)


# Suffixes of lengths, and the mm that one of each is.  The double prime and
# the straight quotation mark are the inch signs of a ruler.
LENGTH_SUFFIXES = MappingProxyType(
    {
        "mm": Fraction(1),
        "cm": Fraction(10),
        "in": MM_PER_IN,
        '"': MM_PER_IN,
        "\u2033": MM_PER_IN,
    }
)

# Suffixes of angles, and the degrees that one of each is.
ANGLE_SUFFIXES = MappingProxyType({"deg": Fraction(1), "\u00b0": Fraction(1)})
