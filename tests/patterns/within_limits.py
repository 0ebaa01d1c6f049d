"""Values of a pattern's measures that keep all its limits: drawn at random, or at one limit.

A limit may follow from other measures, both ways round.  So values move one
measure at a time from the defaults, which are good, and each goes as far towards
where it is wanted as all limits allow.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from hypothesis import strategies as st

from foldwright.design import Design, Parameter, load_pattern
from foldwright.design.editions import edition_of, worked_out
from foldwright.design.ranges import Range, ranges_of
from foldwright.measures import Kind, Unit, no_caliper
from foldwright.problems import Collector

# Lengths are drawn on this grid, in mm; a limit itself may lie off it.
GRID_MM = Fraction(1, 8)

# How close to the nearest limit a length is moved when another measure's limit is in the way.
CLOSE_MM = Fraction(1, 1000)


@dataclass(frozen=True, kw_only=True, slots=True)
class AtLimit:
    """A measure at one of its limits, the others at their defaults, and a value just beyond."""

    parameter: str
    end: str
    values: Mapping[str, str]
    beyond: Mapping[str, str]


def ranges(name: str, units: Unit, values: Mapping[str, str]) -> dict[str, Range]:
    """What the limits of every measure come to with these values."""
    design = Design(name=name, units=units, pattern=name)
    edition = edition_of(design, load_pattern(name), None, values)
    measures = worked_out(edition, no_caliper, ())
    found = Collector()
    ranged = {one.name: one for one in ranges_of(edition, measures, no_caliper, (), found)}
    assert not found.problems
    return ranged


def fits(name: str, units: Unit, values: Mapping[str, str]) -> bool:
    """Whether all limits hold."""
    return not any(one.broken for one in ranges(name, units, values).values())


def written(parameter: Parameter, value: Fraction) -> str:
    """A value as `--set` takes it, in units of its own."""
    unit = {Kind.LENGTH: " mm", Kind.ANGLE: " deg"}.get(parameter.kind, "")
    return f"{value}{unit}"


def moved(
    name: str, units: Unit, values: Mapping[str, str], parameter: Parameter, wanted: Fraction
) -> dict[str, str]:
    """The values with one measure as near to what is wanted as all limits allow."""
    if fits(name, units, found := {**values, parameter.name: written(parameter, wanted)}):
        return found
    good = Fraction(ranges(name, units, values)[parameter.name].value.value)
    bad, step = wanted, Fraction(1) if parameter.kind is Kind.NUMBER else CLOSE_MM
    while abs(bad - good) > step:
        middle = good + (bad - good) / 2
        if parameter.kind is Kind.NUMBER:
            middle = Fraction(middle.__ceil__() if bad < good else middle.__floor__())
            if middle == good:
                break
        if fits(name, units, {**values, parameter.name: written(parameter, middle)}):
            good = middle
        else:
            bad = middle
    if parameter.kind is not Kind.NUMBER:
        # The grid keeps numerators short; one line back is inside again.
        good = good.limit_denominator(1000)
    found = {**values, parameter.name: written(parameter, good)}
    return found if fits(name, units, found) else dict(values)


@st.composite
def within_limits(
    draw: st.DrawFn, name: str, units: Unit = Unit.MM, *, near: bool = False
) -> dict[str, str]:
    """Values of all measures, anywhere within the limits; `near` keeps counts small."""
    values: dict[str, str] = {}
    for parameter in load_pattern(name).parameters:
        one = ranges(name, units, values)[parameter.name]
        assert one.least is not None
        assert one.most is not None
        low, high = Fraction(one.least), Fraction(one.most)
        if parameter.kind is Kind.NUMBER:
            most = min(int(high), int(low) + 2) if near else int(high)
            wanted = Fraction(draw(st.integers(int(low), most), label=parameter.name))
        else:
            share = draw(st.integers(0, 16), label=parameter.name)
            wanted = low + (high - low) * share / 16
            if 0 < share < 16:
                wanted = max(low, min(high, round(wanted / GRID_MM) * GRID_MM))
        values = moved(name, units, values, parameter, wanted)
    return values


def at_limits(name: str, units: Unit = Unit.MM) -> Iterator[AtLimit]:
    """Every measure at its least and at its most."""
    for parameter in load_pattern(name).parameters:
        one = ranges(name, units, {})[parameter.name]
        for end in ("least", "most"):
            limit = getattr(one, end)
            assert limit is not None, f"{parameter.name} has no {end}"
            values = moved(name, units, {}, parameter, Fraction(limit))
            reached = Fraction(ranges(name, units, values)[parameter.name].value.value)
            step = Fraction(1) if parameter.kind is Kind.NUMBER else Fraction(1, 50)
            beyond = reached - step if end == "least" else reached + step
            yield AtLimit(
                parameter=parameter.name,
                end=end,
                values=values,
                beyond={**values, parameter.name: written(parameter, beyond)},
            )
