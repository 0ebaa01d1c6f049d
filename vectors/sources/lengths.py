"""This module reads lengths of files that have no measures to refer to: machines, forms, rules."""

from __future__ import annotations

from fractions import Fraction

from ..measures import Scope, Unit, as_length, expression_of
from ..problems import DesignError
from .table import Table, shown


def length_at(table: Table, value: object, due: str, *path: str | int) -> float | None:
    """The length in mm at a path of a table: a bare number of mm, or a text with its unit.

    None where it is none; the table then holds a problem, which says what is `due`.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | Fraction | float):
        table.report("wrong-type", *path, due=due, found=shown(value))
        return None
    if not isinstance(value, str) and table.expression_at(value, *path) is None:
        return None
    place = table.place(*path)
    try:
        written = expression_of(value, place)
        if written.names or written.calipers:
            table.report("wrong-type", *path, due=due, found=shown(value))
            return None
        quantity = written.evaluate(Scope.of(Unit.MM, {}))
        return float(as_length(quantity, Unit.MM, place, table.told(*path)))
    except DesignError as error:
        table.collector.extend(error)
        return None
