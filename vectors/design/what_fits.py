"""This module finds what would do: the values of one measure with which every limit holds.

The other measures stay as they are.  A limit may follow from other measures in any
way, so values are tried, in place of solving for them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from itertools import takewhile

from ..measures import Kind, Number, Ruler, Unit, exact_text, parse
from ..problems import Collector, DesignError
from .editions import CaliperOf, Edition, worked_out
from .ranges import Range, ranges_of

# So many values are tried between the two limits of a measure, and so often the
# stretch between one that fits and one that does not is halved.
_TRIED = 32
_HALVED = 24

# So many counts are tried at most.
_MOST_COUNTS = 100

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
        low, high = self._drawn_in(units)
        tell = partial(_in_words, self.kind, units)
        return tell(low) if low == high else f"{tell(low)} to {tell(high)}"

    def _drawn_in(self, units: Unit) -> tuple[Fraction, Fraction]:
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

    def fits(value: Fraction) -> bool:
        trial = {**edition.values, name: parse(f"{value}{_SUFFIXES.get(kind, '')}")}
        units = {**edition.units, name: edition.file_units}
        ranges = _ranges(replace(edition, values=trial, units=units), caliper, stocks)
        return bool(ranges) and not any(range.broken for range in ranges.values())

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


def _in_words(kind: Kind, units: Unit, value: Number) -> str:
    if kind is Kind.LENGTH:
        return exact_text(value, units)
    return f"{float(value):.6g}" + (" degrees" if kind is Kind.ANGLE else "")
