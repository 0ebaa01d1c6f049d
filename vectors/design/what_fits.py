"""This module finds what would do: the values of one measure with which every limit holds.

The other measures stay as they are.  A limit may follow from other measures in any
way, so values are tried, in place of solving for them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import takewhile

from ..measures import Kind, Quantity, Ruler, Unit, parse
from ..problems import Collector, DesignError
from .editions import CaliperOf, Edition, worked_out
from .ranges import Range, ranges_of, told_in

# So many values are tried between the two limits of a measure, and so often the
# stretch between one that fits and one that does not is halved.
_TRIED = 32
_HALVED = 24

# So many counts are tried at most.
_MOST_COUNTS = 100

# So many measures at most are changed to make all limits hold.
_MOST_MOVES = 8

# The finest steps in which a length and an angle are told where a ruler's are too coarse.
_FINEST = {Unit.MM: Fraction(1, 1000), Unit.IN: Fraction("25.4") / 1000}
_TENTH, _THOUSANDTH = Fraction(1, 10), Fraction(1, 1000)


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """The values of a measure that will do, both ends included, in mm, degrees or plain."""

    kind: Kind
    low: Fraction
    high: Fraction

    def told(self, units: Unit) -> str:
        """The span in words, its ends drawn in to lines of a ruler where one has lines in it."""
        low, high = self.drawn_in(units)

        def tell(value: Fraction) -> str:
            return told_in(Quantity(value, self.kind), units)

        return tell(low) if low == high else f"{tell(low)} to {tell(high)}"

    def drawn_in(self, units: Unit) -> tuple[Fraction, Fraction]:
        """Its ends on lines of a ruler, or in the finest steps where no line is in it."""
        if self.kind is Kind.LENGTH:
            steps = (_TENTH if units is Unit.MM else Ruler.SIXTEENTH_IN.step, _FINEST[units])
        else:
            steps = (_TENTH, _THOUSANDTH)
        for step in steps:
            low = (self.low / step).__ceil__() * step
            high = (self.high / step).__floor__() * step
            if low <= high:
                return low, high
        return self.low, self.high


def all_hold(edition: Edition, caliper: CaliperOf, stocks: Collection[str]) -> bool:
    """Whether the measures of an edition can be worked out and keep all their limits."""
    ranges = _ranges(edition, caliper, stocks)
    return bool(ranges) and not any(one.broken for one in ranges.values())


def what_fits(
    edition: Edition, name: str, caliper: CaliperOf, stocks: Collection[str]
) -> Span | None:
    """The values of a measure with which every limit holds, those nearest to what it is.

    None where there is none, and for a measure without limits on both sides.
    """
    one = _ranges(edition, caliper, stocks, whole=False).get(name)
    if one is None or one.least is None or one.most is None or one.empty:
        return None
    kind, low, high = one.value.kind, Fraction(one.least), Fraction(one.most)

    @cache
    def fits(value: Fraction) -> bool:
        return all_hold(_with_values(edition, {name: value}, {name: kind}), caliper, stocks)

    if kind is Kind.NUMBER:
        return _counts_that_fit(low, high, one, fits)
    tried = [low + (high - low) * share / _TRIED for share in range(_TRIED + 1)]
    now = Fraction(one.value.value)
    good = next(
        (value for value in sorted(tried, key=lambda at: abs(at - now)) if fits(value)), None
    )
    if good is None:
        return None
    below = low if fits(low) else _last_that_fits(good, low, fits)
    above = high if fits(high) else _last_that_fits(good, high, fits)
    return Span(kind=kind, low=below, high=above)


def all_together(
    edition: Edition, caliper: CaliperOf, stocks: Collection[str], *, keep: Collection[str] = ()
) -> Mapping[str, Span]:
    """What several measures have to be at once for every limit to hold, one value each.

    Each in turn is moved to the nearer of its limits, those that stand first before
    what follows from them.  Those in `keep` stay as they are.  Empty where that comes
    to nothing.
    """
    changes: dict[str, Span] = {}
    kinds: dict[str, Kind] = {}
    for _ in range(_MOST_MOVES):
        values = {name: span.low for name, span in changes.items()}
        ranges = _ranges(_with_values(edition, values, kinds), caliper, stocks, whole=False)
        broken = [one for name in edition.values if (one := ranges.get(name)) and one.broken]
        if not broken:
            return changes if ranges else {}
        one = next((one for one in broken if not one.empty), None)
        if one is None or one.name in keep or one.name in changes:
            break
        kinds[one.name] = one.value.kind
        reached = _nearest_end(one, edition.printed)
        changes[one.name] = Span(kind=one.value.kind, low=reached, high=reached)
    return {}


def one_by_one(
    edition: Edition, names: Collection[str], caliper: CaliperOf, stocks: Collection[str]
) -> Mapping[str, Span]:
    """The values of each of several measures that are all out of their limits.

    Where each of them has one of the ends of its span that is nearer to what it is
    now, every limit holds.  Empty where there are no such values.
    """
    values: dict[str, Fraction] = {}
    kinds: dict[str, Kind] = {}

    def trial() -> Edition:
        return _with_values(edition, values, kinds)

    for name in names:
        one = _ranges(trial(), caliper, stocks, whole=False).get(name)
        if one is None or one.empty:
            return {}
        if one.broken:
            kinds[name], values[name] = one.value.kind, _nearest_end(one, edition.printed)
    found: dict[str, Span] = {}
    now = _ranges(edition, caliper, stocks, whole=False)
    for name in names:
        span = what_fits(trial(), name, caliper, stocks)
        if span is None:
            return {}
        low, high = span.drawn_in(edition.printed)
        kinds[name], values[name] = span.kind, low if now[name].value.value < low else high
        found[name] = span
    return found


def _nearest_end(one: Range, units: Unit) -> Fraction:
    """The limit that a measure is beyond, drawn in to a line of a ruler where one is within."""
    limit = one.least if one.below else one.most
    assert limit is not None
    if one.least is None or one.most is None:
        return Fraction(limit)
    low, high = Fraction(one.least), Fraction(one.most)
    low, high = Span(kind=one.value.kind, low=low, high=high).drawn_in(units)
    return low if one.below else high


def _with_values(
    edition: Edition, values: Mapping[str, Fraction], kinds: Mapping[str, Kind]
) -> Edition:
    written = {
        name: parse(f"{value}{_SUFFIXES.get(kinds[name], '')}") for name, value in values.items()
    }
    units = dict.fromkeys(values, edition.file_units)
    return replace(edition, values={**edition.values, **written}, units={**edition.units, **units})


_SUFFIXES = {Kind.LENGTH: " mm", Kind.ANGLE: " deg"}


def _ranges(
    edition: Edition, caliper: CaliperOf, stocks: Collection[str], *, whole: bool = True
) -> dict[str, Range]:
    """What the limits of an edition come to; as a `whole`, none where one cannot be worked out."""
    wrong = Collector()
    try:
        measures = worked_out(edition, caliper, stocks)
    except DesignError:
        return {}
    found = {one.name: one for one in ranges_of(edition, measures, caliper, stocks, wrong)}
    return {} if whole and wrong.stopped else found


def _counts_that_fit(
    low: Fraction, high: Fraction, one: Range, fits: Callable[[Fraction], bool]
) -> Span | None:
    first, last = low.__ceil__(), min(high.__floor__(), low.__ceil__() + _MOST_COUNTS)
    now = Fraction(one.value.value)
    nearest = sorted(range(first, last + 1), key=lambda count: abs(count - now))
    good = next((count for count in nearest if fits(Fraction(count))), None)
    if good is None:
        return None
    below = list(takewhile(lambda n: fits(Fraction(n)), range(good - 1, first - 1, -1)))
    above = list(takewhile(lambda n: fits(Fraction(n)), range(good + 1, last + 1)))
    return Span(
        kind=Kind.NUMBER, low=Fraction(min([good, *below])), high=Fraction(max([good, *above]))
    )


def _last_that_fits(good: Fraction, bad: Fraction, fits: Callable[[Fraction], bool]) -> Fraction:
    for _ in range(_HALVED):
        middle = (good + bad) / 2
        good, bad = (middle, bad) if fits(middle) else (good, middle)
    # The limit itself is a rounder number than what halving comes to.
    round_one = round(good / _THOUSANDTH) * _THOUSANDTH
    return round_one if fits(round_one) else good
