"""This module works out a table of measures, written in any order, all problems at once."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from graphlib import CycleError, TopologicalSorter
from types import MappingProxyType

from ..problems import Collector, DesignError, problem
from .expression import Expression, Scope, name_problem, no_caliper, unknown_measure
from .quantity import NOWHERE, Kind, Quantity, as_angle, as_length, as_number
from .units import Unit

_NO_UNITS: Mapping[str, Unit] = MappingProxyType({})
_NO_KINDS: Mapping[str, Kind] = MappingProxyType({})


def work_out(
    expressions: Mapping[str, Expression | Quantity],
    *,
    units: Unit,
    caliper: Callable[[str | None], Quantity] = no_caliper,
    stocks: Collection[str] = (),
    units_of: Mapping[str, Unit] = _NO_UNITS,
    numbers: Collection[str] = (),
    kinds: Mapping[str, Kind] = _NO_KINDS,
) -> Mapping[str, Quantity]:
    """Every measure as a length, angle, count or ratio, in the order given.

    A bare result is a length in the file's `units`, or in `units_of[name]`
    where a measure was written in others (a variant's), or a plain number where
    the name is among `numbers`.  A quantity is taken as it is.  A measure among
    `kinds` must come to a length or an angle, as is said there.

    Raises DesignError with every bad name, unknown name, cycle and failed
    expression, each at its own place; what only follows from another problem is
    left out.
    """
    # Told in the order of the table, whatever the order of work.
    found = {name: Collector() for name in expressions}
    # Measures that cannot be worked out, for a reason that is told or follows
    # from one that is.
    lost: set[str] = set()
    needs: dict[str, tuple[str, ...]] = {}
    for name, entry in expressions.items():
        trouble = name_problem(name, entry.place if isinstance(entry, Expression) else NOWHERE)
        if trouble is not None:
            found[name].add(trouble)
        needs[name] = ()
        if isinstance(entry, Expression):
            unknown = sorted(entry.names - expressions.keys())
            for other in unknown:
                found[name].add(unknown_measure(other, tuple(expressions), entry.place))
            if unknown:
                lost.add(name)
            needs[name] = tuple(sorted(entry.names & expressions.keys()))

    values: dict[str, Quantity] = {}
    for name in _in_order(needs, expressions, lost, found):
        entry = expressions[name]
        if isinstance(entry, Quantity):
            values[name] = entry
            continue
        if name in lost or any(other in lost for other in needs[name]):
            lost.add(name)
            continue
        own = units_of.get(name, units)
        scope = Scope.of(own, values, caliper, stocks)
        try:
            due = Kind.NUMBER if name in numbers else kinds.get(name)
            values[name] = _settle(name, entry, scope, due)
        except DesignError as error:
            found[name].extend(error)
            lost.add(name)
    problems = tuple(told for collector in found.values() for told in collector.problems)
    if problems:
        raise DesignError(problems)
    return MappingProxyType({name: values[name] for name in expressions})


def _settle(name: str, entry: Expression, scope: Scope, due: Kind | None) -> Quantity:
    quantity = entry.evaluate(scope)
    what = f'the measure "{name}"'
    if due is Kind.NUMBER:
        return Quantity(as_number(quantity, entry.place, what), Kind.NUMBER)
    if due is Kind.ANGLE:
        return Quantity(as_angle(quantity, entry.place, what), Kind.ANGLE)
    if quantity.kind in (Kind.NUMBER, Kind.ANGLE) and due is not Kind.LENGTH:
        return quantity
    return Quantity(as_length(quantity, scope.units, entry.place, what), Kind.LENGTH)


def _in_order(
    needs: Mapping[str, tuple[str, ...]],
    expressions: Mapping[str, Expression | Quantity],
    lost: set[str],
    found: Mapping[str, Collector],
) -> tuple[str, ...]:
    """The names, each after those it needs; cycles are told and their members lost."""
    graph = dict(needs)
    while True:
        try:
            return tuple(TopologicalSorter(graph).static_order())
        except CycleError as error:
            # The ring is given from one member back to the same one, each
            # needed by the next.
            ring = list(reversed(error.args[1][1:]))
        first = min(ring, key=list(expressions).index)
        turn = ring.index(first)
        ring = ring[turn:] + ring[:turn]
        entry = expressions[first]
        found[first].add(
            problem(
                "measure-cycle",
                place=entry.place if isinstance(entry, Expression) else None,
                ring=" -> ".join((*ring, first)),
            )
        )
        lost.update(ring)
        for name in ring:
            graph[name] = ()
