"""This module names the measures by which a scaled card comes nearer to the size asked for.

One factor fits one side; the other one is met by a measure that lies along it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

from ..design.scaling import ScaledMeasure
from ..measures import Unit, exact_text

Sides = tuple[Fraction, Fraction]

SidesWith = Callable[[str, Fraction], Sides | None]
"""The sides of the closed card with another value of a measure; None where that does not do."""

# A measure is moved by so much to see which side follows it.
_TRIED_MM = Fraction(1)

# A side is told to a millionth of a millimetre.
_MET_MM = Fraction(2, 10**6)


def nearer(
    measures: Sequence[ScaledMeasure],
    sides_with: SidesWith,
    reached: Sides,
    asked: Sides,
    units: Unit,
) -> str:
    """What to change for a card that is too short on one side: part of a sentence.

    It names the plain measures along the first side that is too short, and for one of them
    the value with which that side is as long as asked for and the other one stays, if one does.
    """
    side = next(k for k in (0, 1) if asked[k] - reached[k] > _MET_MM)
    slopes = {one: _slope(one, sides_with, reached, side) for one in measures}
    along = [one for one, slope in slopes.items() if slope]
    if not along:
        return "change the numbers in its lines along that side"
    for one in along:
        value = one.after + (asked[side] - reached[side]) / slopes[one]
        found = sides_with(one.name, value)
        if found is not None and _is(found, asked, reached, side):
            others = [f'"{other.name}"' for other in along if other is not one]
            more = f", or change {' or '.join(others)}" if others else ""
            return f'make "{one.name}" {exact_text(value, units)}{more}'
    named = " or ".join(f'"{one.name}"' for one in along)
    return f"change {named}, along that side"


def _slope(one: ScaledMeasure, sides_with: SidesWith, reached: Sides, side: int) -> Fraction:
    """By how much a side grows with a measure, 0 where it does not or nobody can tell."""
    for by in (_TRIED_MM, -_TRIED_MM):
        moved = sides_with(one.name, one.after + by)
        if moved is not None:
            return (moved[side] - reached[side]) / by
    return Fraction(0)


def _is(found: Sides, asked: Sides, reached: Sides, side: int) -> bool:
    met = abs(found[side] - asked[side]) <= _MET_MM
    return met and abs(found[1 - side] - reached[1 - side]) <= _MET_MM
