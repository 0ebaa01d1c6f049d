"""This module holds measures to their limits, those of the file and those of a pattern.

A limit that stands in the file can be changed there.  One of a pattern cannot:
there it is told what fits.  Where one measure is at fault, others that have no room
for it only follow, and are not told.  Every value that is told has been tried.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import cache, partial
from itertools import islice

from ..measures import Quantity, Unit, parse
from ..problems import Collector, Place, Problem, problem
from .editions import CaliperOf, Edition
from .ranges import Range, ranges_of, told_in
from .what_fits import all_hold, all_together, one_by_one, what_fits

# So many smaller counts are tried to find out how many parts fit.
_MOST_TRIED = 100

# So many ways out are told where a measure has no room.
_MOST_WAYS = 2

# So many measures that have to change at once are told beside another way out.
_MOST_AT_ONCE = 4

# Whole inches with a part as a ruler has it.
_INCHES = re.compile(r"\d+ \d+/(2|4|8|16|32|64)$")

_Fitting = Callable[[str], str | None]


def bound_problems(
    edition: Edition, measures: Mapping[str, Quantity], caliper: CaliperOf, stocks: Collection[str]
) -> tuple[Problem, ...]:
    """The measures that are below their least or above their most, each told at its place.

    Limits that leave no value at all are told as that, and so is a step of
    nothing or less.  Only the cause is told where there is one: the one
    measure, or the count, with which another value of it would make all limits
    hold, those of this run before those of the file.
    """
    found = Collector()
    ranges = {one.name: one for one in ranges_of(edition, measures, caliper, stocks, found)}
    broken = {name: ranges[name] for name in edition.values if ranges[name].broken}
    for name, one in broken.items():
        if name in edition.numbers and _of_pattern(edition, one) and not one.empty:
            # A count out of its own limits breaks those of other measures too, and
            # what is reckoned from it.
            span = what_fits(edition, name, caliper, stocks)
            if span is not None:
                return (_outside(edition, one, span.told(edition.printed)),)
            if found.stopped:
                return (_outside(edition, one),)
    if broken:
        for told in _told(edition, measures, caliper, stocks, broken):
            inches = _in_inches(edition, told, caliper, stocks)
            mend = told.mend if inches is None else f'write "{inches}" for inches, or {told.mend}'
            found.add(replace(told, mend=mend))
    return found.problems


def _in_inches(
    edition: Edition, one: Problem, caliper: CaliperOf, stocks: Collection[str]
) -> str | None:
    """What is too small in mm and written as inches are, with its unit, if that would do."""
    name = next((name for name in edition.values if f'the measure "{name}" is ' in one.message), "")
    text = edition.values[name].text.strip() if name else ""
    inches = f"{text} in"
    if one.rule != "below-least" or edition.units[name] is not Unit.MM or not _INCHES.match(text):
        return None
    return inches if _fits(edition, name, inches, caliper, stocks) else None


def _told(
    edition: Edition,
    measures: Mapping[str, Quantity],
    caliper: CaliperOf,
    stocks: Collection[str],
    broken: Mapping[str, Range],
) -> Iterator[Problem]:
    """What is wrong with measures that do not keep their limits: causes only."""

    @cache
    def fitting(name: str) -> str | None:
        span = what_fits(edition, name, caliper, stocks)
        return None if span is None else span.told(edition.printed)

    def together(keep: Collection[str]) -> str | None:
        spans = all_together(edition, caliper, stocks, keep=keep)
        if not 0 < len(spans) <= _MOST_AT_ONCE:
            return None
        return _at_once({name: span.told(edition.printed) for name, span in spans.items()})

    def place_of(name: str) -> Place | None:
        """Where what is at fault stands: what this run gives, if that would mend it."""
        if name in edition.given:
            return None
        given = (other for other in _ordered(edition, edition.given) if fitting(other))
        return next((edition.values[other].place for other in given), None)

    def causes(names: Collection[str]) -> Iterator[Problem]:
        for name, one in broken.items():
            if name in names and not one.empty and (span := fitting(name)) is not None:
                # Those of this run come first: they are what a person is at.
                others = sorted(
                    _others(edition, (name,)), key=lambda other: other not in edition.given
                )
                yield _outside(edition, one, span, _ways(others, fitting), place=place_of(name))

    cause = next(causes(edition.given), None)
    if cause is None and any(one.empty for one in broken.values()):
        cause = _too_many(edition, measures, caliper, stocks, broken, fitting, together, place_of)
    if cause is None:
        cause = next(causes(edition.stated), None)
    if cause is not None:
        yield cause
        return
    # Several are out of their limits because of one that is not: what this run gives, or a count.
    behind = _ordered(edition, edition.given) + _ordered(edition, edition.numbers - edition.given)
    helping = [name for name in behind if name not in broken and fitting(name)]
    outside = [one for one in broken.values() if not one.empty]
    if helping and outside:
        first = outside[0]
        span = fitting(first.name)
        ways = _ways(helping, fitting)
        if span is None and (at_once := together(edition.given)):
            ways.append(at_once)
        yield _outside(edition, first, span, ways, place=place_of(first.name))
        return
    yield from _each(edition, caliper, stocks, broken, fitting)


def _each(
    edition: Edition,
    caliper: CaliperOf,
    stocks: Collection[str],
    broken: Mapping[str, Range],
    fitting: _Fitting,
) -> Iterator[Problem]:
    """Each measure that is wrong, where no one value would mend all of them."""
    outside = [one for one in broken.values() if not one.empty]
    for group in (edition.given, edition.stated, broken.keys()):
        at_fault = [one for one in outside if one.name in group]
        spans = one_by_one(edition, [one.name for one in at_fault], caliper, stocks)
        if spans:
            for one in at_fault:
                yield _outside(edition, one, spans[one.name].told(edition.printed))
            return
    moved = all_together(edition, caliper, stocks)
    if moved and any(_of_pattern(edition, one) for one in outside):
        values = {name: span.told(edition.printed) for name, span in moved.items()}
        yield _outside(edition, outside[0], ways=[_at_once(values)])
        return
    for one in sorted(outside, key=lambda one: one.name not in edition.given):
        yield _outside(edition, one)
    names = {one.name for one in outside}
    told: set[str] = set()
    for name, one in broken.items():
        # What leaves no room is at fault, not what has none; and one way out is told once.
        if not one.empty or names & set(_others(edition, (name,))):
            continue
        if not _of_pattern(edition, one):
            yield _outside(edition, one)
            continue
        no_room = _no_room(edition, one, fitting)
        if no_room.mend not in told:
            yield no_room
        told.add(no_room.mend)


def _at_once(values: Mapping[str, str]) -> str:
    """Measures, each with its value, that have to change all at once."""
    *most, last = (f'"{name}" {value}' for name, value in values.items())
    return f"together {', '.join(most)} and {last}" if most else last


def _of_pattern(edition: Edition, one: Range) -> bool:
    """Whether the limit that is broken is one of a pattern."""
    return _pattern(edition, one) is not None


def _pattern(edition: Edition, one: Range) -> str | None:
    least, most = edition.least.get(one.name), edition.most.get(one.name)
    if one.empty:
        # Either may be changed where it is the file's own.
        return None if least is None or most is None or least.pattern is None else most.pattern
    bound = least if one.below else most
    return None if bound is None else bound.pattern


def _no_room(edition: Edition, one: Range, fitting: Callable[[str], str | None]) -> Problem:
    """A measure for which the others leave no value, and what to make of them so that they do."""
    others = _others(edition, (one.name,))
    ways = _ways(sorted(others, key=lambda name: name not in edition.given), fitting)
    hint = f"make {' or '.join(ways)}" if ways else f"change {_listed(others)}"
    return problem(
        "no-room",
        place=edition.values[one.name].place,
        name=one.name,
        pattern=_pattern(edition, one),
        hint=hint,
    )


def _ways(names: Iterable[str], fitting: Callable[[str], str | None]) -> list[str]:
    """Measures, each with the values that would make every limit hold."""
    spans = ((name, fitting(name)) for name in names)
    return list(islice((f'"{name}" {span}' for name, span in spans if span), _MOST_WAYS))


def _outside(
    edition: Edition,
    one: Range,
    span: str | None = None,
    ways: Collection[str] = (),
    place: Place | None = None,
) -> Problem:
    """What is wrong with a measure that does not keep its limits.

    `span` are the values of it that will do, `ways` other measures with theirs;
    `others` are those to change where neither is known.  `place` is that of what is
    at fault where it is another measure.
    """
    place = place or edition.values[one.name].place
    told = partial(told_in, units=edition.printed)
    least, most = (
        None if limit is None else told(replace(one.value, value=limit))
        for limit in (one.least, one.most)
    )
    if one.empty:
        return problem("limits-contradict", place=place, name=one.name, least=least, most=most)
    bounds = edition.least if one.below else edition.most
    follows = bounds[one.name].expression.names - {one.name}
    choices = ([] if span is None else [f"it {span}"]) + list(ways)
    hint = f"make {', or '.join(choices)}"
    if not _of_pattern(edition, one):
        way, limit = ("larger", "lower its least") if one.below else ("smaller", "raise its most")
        if not choices or not (follows or ways):
            hint = f"make it {way}"
        hint += f", or {limit}"
    elif not choices:
        hint = f"change {_listed([one.name, *_ordered(edition, follows)])}"
    return problem(
        "below-least" if one.below else "above-most",
        place=place,
        name=one.name,
        value=told(one.value),
        limit=least if one.below else most,
        hint=hint,
    )


def _too_many(
    edition: Edition,
    measures: Mapping[str, Quantity],
    caliper: CaliperOf,
    stocks: Collection[str],
    broken: Mapping[str, Range],
    fitting: _Fitting,
    together: Callable[[Collection[str]], str | None],
    place_of: Callable[[str], Place | None],
) -> Problem | None:
    """The count that is all that is wrong: with a smaller one every limit of the pattern holds."""
    for name in edition.values:
        least = edition.least.get(name)
        if name not in edition.numbers or least is None or least.pattern is None:
            continue
        count = int(measures[name].value)
        fit = _most_that_fits(edition, name, count, caliper, stocks)
        if fit is None:
            continue
        others = (other for other in _others(edition, broken) if other != name)
        ways = _ways(sorted(others, key=lambda other: other not in edition.given), fitting)
        if at_once := together({name, *edition.given}):
            ways.append(at_once)
        few = f"it {fit} or less" if fit > 1 else f"it {fit}"
        return problem(
            "too-many-of-it",
            place=place_of(name) or edition.values[name].place,
            name=name,
            value=count,
            fit=fit,
            hint=f"make {', or '.join([few, *ways])}",
        )
    return None


def _most_that_fits(
    edition: Edition, name: str, below: int, caliper: CaliperOf, stocks: Collection[str]
) -> int | None:
    """The largest value of a count, smaller than `below`, with which all limits hold."""
    for fit in range(below - 1, max(0, below - _MOST_TRIED), -1):
        if _fits(edition, name, str(fit), caliper, stocks):
            return fit
    return None


def _fits(
    edition: Edition, name: str, value: str, caliper: CaliperOf, stocks: Collection[str]
) -> bool:
    """Whether all limits hold with another value of a measure."""
    values = {**edition.values, name: parse(value)}
    return all_hold(replace(edition, values=values), caliper, stocks)


def _others(edition: Edition, names: Iterable[str]) -> list[str]:
    """The measures that the limits of these measures follow from."""
    found: set[str] = set()
    for name in names:
        for bounds in (edition.least, edition.most):
            if name in bounds:
                found |= bounds[name].expression.names - {name}
    return _ordered(edition, found)


def _ordered(edition: Edition, names: Collection[str]) -> list[str]:
    return [name for name in edition.values if name in names]


def _listed(names: Iterable[str]) -> str:
    """Names for a message: `"a", "b" or "c"`."""
    *most, last = (f'"{name}"' for name in names)
    return f"{', '.join(most)} or {last}" if most else last
