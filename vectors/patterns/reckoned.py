"""This module reckons what the measures and the closed size of a pattern come to as it ships."""

from __future__ import annotations

from dataclasses import dataclass

from ..design.editions import edition_of, worked_out
from ..design.model import Design
from ..design.pattern import Pattern, parts_of
from ..design.ranges import Range, ranges_of
from ..design.resolve import counts_of
from ..design.written import expression
from ..measures import Number, Scope, Unit, as_length, no_caliper
from ..problems import Collector, DesignError


@dataclass(frozen=True, kw_only=True, slots=True)
class Reckoned:
    """The numbers of one edition of a pattern, all measures at their defaults.

    `ranges` has the value and the limits of each measure in the pattern's order, lengths
    in mm, angles in degrees.  `closed` is the stated size of the closed card, in mm along
    x and along y, and `closed_written` the same as the pattern writes it.
    """

    units: Unit
    ranges: tuple[Range, ...]
    closed: tuple[Number, Number]
    closed_written: tuple[str, str]


def reckoned(pattern: Pattern, units: Unit) -> Reckoned:
    """What a pattern comes to in the edition of these units.

    Raises DesignError for what cannot be worked out.
    """
    design = Design(name=pattern.name, units=units, pattern=pattern.name)
    edition = edition_of(design, pattern, None, {})
    measures = worked_out(edition, no_caliper, ())
    found = Collector()
    ranges = {one.name: one for one in ranges_of(edition, measures, no_caliper, (), found)}
    found.raise_if_stopped(DesignError)
    scope = Scope.of(units, measures)
    parts = parts_of(pattern, counts_of(pattern, edition))
    width, height = (expression(side, "closed") for side in parts.closed)
    return Reckoned(
        units=units,
        ranges=tuple(ranges[one.name] for one in pattern.parameters),
        closed=(
            as_length(width.evaluate(scope), units, width.place, "the closed width"),
            as_length(height.evaluate(scope), units, height.place, "the closed height"),
        ),
        closed_written=(width.text, height.text),
    )
