"""This module holds measures to their limits, those of the file and those of a pattern.

A limit that stands in the file can be changed there.  One of a pattern cannot:
there it is told what fits, and which other measures the limit follows from.  Where
one measure is at fault, others that have no room for it only follow, and are not told.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from functools import partial
from itertools import islice

from ..measures import Quantity, parse
from ..problems import Collector, DesignError, Problem, problem
from .editions import CaliperOf, Edition, worked_out
from .ranges import Range, ranges_of, told_in
from .what_fits import what_fits

# So many smaller counts are tried to find out how many parts fit.
_MOST_TRIED = 100

# So many ways out are told where a measure has no room.
_MOST_WAYS = 2


def bound_problems(
    edition: Edition, measures: Mapping[str, Quantity], caliper: CaliperOf, stocks: Collection[str]
) -> tuple[Problem, ...]:
    """The measures that are below their least or above their most, each told at its place.

    Limits that leave no value at all are told as that, and so is a step of
    nothing or less.  Of the limits of a pattern only the cause is told: the one
    measure, or the count, with which another value of it would make all of them
    hold, those of this run before those of the file.
    """
    found = Collector()
    ranges = {one.name: one for one in ranges_of(edition, measures, caliper, stocks, found)}
    broken = {name: one for name, one in ranges.items() if one.broken}
    of_pattern = {name: one for name, one in broken.items() if _of_pattern(edition, one)}
    for name, one in of_pattern.items():
        if name not in edition.numbers:
            continue
        # A count out of its own limits breaks those of other measures too, and
        # what is reckoned from it.
        span = what_fits(edition, name, caliper, stocks)
        return (_outside(edition, one, None if span is None else span.told(edition.printed)),)
    if of_pattern:
        found.extend(tuple(_of_the_pattern(edition, measures, caliper, stocks, of_pattern)))
    for name, one in broken.items():
        if name not in of_pattern:
            found.add(_outside(edition, one))
    return found.problems


def _of_the_pattern(
    edition: Edition,
    measures: Mapping[str, Quantity],
    caliper: CaliperOf,
    stocks: Collection[str],
    broken: Mapping[str, Range],
) -> Iterator[Problem]:
    """What is wrong with measures that do not keep the limits of a pattern: causes only."""

    def fitting(name: str) -> str | None:
        span = what_fits(edition, name, caliper, stocks)
        return None if span is None else span.told(edition.printed)

    def causes(names: Collection[str]) -> Iterator[Problem]:
        for name, one in broken.items():
            if name in names and not one.empty and (span := fitting(name)) is not None:
                bound = (edition.least if one.below else edition.most)[name]
                others = _ordered(edition, bound.expression.names & edition.given - {name})
                yield _outside(edition, one, span, _ways(others, fitting))

    cause = next(causes(edition.given), None)
    if cause is None and any(one.empty for one in broken.values()):
        cause = _too_many(edition, measures, caliper, stocks, broken)
    if cause is None:
        cause = next(causes(edition.stated), None)
    if cause is not None:
        yield cause
        return
    # Several are out of their limits because of one that is not: what this run gives, or a count.
    behind = _ordered(edition, edition.given) + _ordered(edition, edition.numbers - edition.given)
    ways = _ways((name for name in behind if name not in broken), fitting)
    outside = {name for name, one in broken.items() if not one.empty}
    if ways and outside:
        yield _outside(
            edition, next(one for name, one in broken.items() if name in outside), ways=ways
        )
        return
    told: set[str] = set()
    for name, one in sorted(broken.items(), key=lambda item: item[0] not in edition.given):
        if not one.empty:
            yield _outside(edition, one)
        elif not outside & set(_others(edition, (name,))):
            # What leaves no room is at fault, not what has none; and one way out is told once.
            no_room = _no_room(edition, one, fitting)
            if no_room.mend not in told:
                yield no_room
            told.add(no_room.mend)


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
    edition: Edition, one: Range, span: str | None = None, ways: Collection[str] = ()
) -> Problem:
    """What is wrong with a measure that does not keep its limits.

    `span` are the values of it that will do, `ways` other measures with theirs; without
    a span nothing but these will do.
    """
    place = edition.values[one.name].place
    pattern = _pattern(edition, one)
    told = partial(told_in, units=edition.printed)
    least, most = (
        None if limit is None else told(replace(one.value, value=limit))
        for limit in (one.least, one.most)
    )
    if one.empty:
        return problem("limits-contradict", place=place, name=one.name, least=least, most=most)
    if pattern is None:
        hint = "make it larger, or lower its least"
        if not one.below:
            hint = "make it smaller, or raise its most"
    elif ways and span is None:
        hint = f"make {' or '.join(ways)}"
    else:
        if span is not None:
            hint = f"make it {span}"
        elif least is None or most is None:
            hint = f"make it {most} or less" if least is None else f"make it {least} or more"
        else:
            hint = f"make it {least}" if least == most else f"make it {least} to {most}"
        bounds = edition.least if one.below else edition.most
        names = bounds[one.name].expression.names - {one.name}
        if ways:
            hint += f", or {' or '.join(ways)}"
        elif names:
            hint += f", or change {_listed(_ordered(edition, names))}"
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
        others = [other for other in _others(edition, broken) if other != name]
        return problem(
            "too-many-of-it",
            place=edition.values[name].place,
            name=name,
            value=count,
            fit=fit,
            hint=f"make it {fit}" + (" or less" if fit > 1 else ""),
            others=_listed(others),
        )
    return None


def _most_that_fits(
    edition: Edition, name: str, below: int, caliper: CaliperOf, stocks: Collection[str]
) -> int | None:
    """The largest value of a count, smaller than `below`, with which all limits hold."""
    for fit in range(below - 1, max(0, below - _MOST_TRIED), -1):
        if _fits(edition, name, fit, caliper, stocks):
            return fit
    return None


def _fits(
    edition: Edition, name: str, count: int, caliper: CaliperOf, stocks: Collection[str]
) -> bool:
    """Whether all limits hold with another value of a count."""
    values = {**edition.values, name: parse(str(count))}
    trial = replace(edition, values=values)
    wrong = Collector()
    try:
        measures = worked_out(trial, caliper, stocks)
    except DesignError:
        return False
    ranges = tuple(ranges_of(trial, measures, caliper, stocks, wrong))
    return not wrong.stopped and not any(one.broken for one in ranges)


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
