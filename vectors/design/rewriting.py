"""This module changes measures in the text of a design: nothing but the changed values moves.

Comments, order, spaces and every other value stay as they were written.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, MutableMapping
from fractions import Fraction
from typing import Any

from ..measures import Unit
from ..measures.units import LENGTH_SUFFIXES
from .model import Design, MeasureDraft
from .writer import write_design
from .written import maybe_expression, number_text

_SUFFIXES = "|".join(re.escape(suffix) for suffix in LENGTH_SUFFIXES)
_IN_UNIT = re.compile(rf"[^A-Za-z]*?(?P<gap>\s*)(?P<unit>{_SUFFIXES})\s*")
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def with_measures(design: Design, texts: Mapping[str, str], variant: str | None = None) -> str:
    """The text of a design in which these measures have these values, written as in a file.

    A measure that the variant states is changed there, any other one in
    `[measures]`, where one that is not stated yet is added at the end.  A value
    is put in quotes where it was, or where TOML has no such number.  A design
    that was built in Python is written out first.
    """
    # Heavy, and needed by nobody who only proves.
    import tomlkit

    source = design.source
    document: Any = tomlkit.parse(write_design(design) if source is None else source.text)
    for name, text in texts.items():
        inside = variant is not None and _stated(design, name, variant)
        outer: Any = document
        for key in ("variant", str(variant), "measures") if inside else ("measures",):
            if key not in outer:
                outer[key] = tomlkit.table()
            outer = outer[key]
        _put(outer, name, text)
    return tomlkit.dumps(document)


def measure_text(design: Design, name: str, value: Fraction, variant: str | None = None) -> str:
    """A length in mm as the measure's own author would write it: in the same unit and style."""
    draft, units = _draft(design, name, variant)
    old = None if draft is None else maybe_expression(draft.value)
    written = "" if old is None else old.text
    suffix = _IN_UNIT.fullmatch(written)
    if suffix is None:
        return _number(value / units.mm, written, halves=units is Unit.IN)
    unit = suffix["unit"]
    factor = LENGTH_SUFFIXES[unit]
    halves = factor == Unit.IN.mm
    return f"{_number(value / factor, written, halves=halves)}{suffix['gap']}{unit}"


def units_at(design: Design, name: str, variant: str | None = None) -> Unit:
    """The units of a bare number where `with_measures` writes this measure."""
    return _draft(design, name, variant)[1]


def _stated(design: Design, name: str, variant: str) -> bool:
    draft = design.variants[variant].measures.get(name)
    return draft is not None and draft.value is not None


def _draft(design: Design, name: str, variant: str | None) -> tuple[MeasureDraft | None, Unit]:
    units = Unit(design.units)
    if variant is None or not _stated(design, name, variant):
        return design.measures.get(name), units
    used = design.variants[variant]
    return used.measures[name], units if used.units is None else Unit(used.units)


def _number(value: Fraction, like: str, *, halves: bool) -> str:
    """A number as text; of inches a mixed fraction as rulers have it, unless a decimal was used."""
    bottom = value.denominator
    if not halves or bottom & (bottom - 1) or bottom == 1 or "." in like:
        return number_text(value)
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if not whole:
        # A bare "3/4" is a division to the reader, and comes to the same.
        return f"{sign}{rest}"
    return f"{sign}{whole} {rest}"


def _put(table: MutableMapping[str, Any], name: str, text: str) -> None:
    import tomlkit

    old = table.get(name)
    if isinstance(old, Mapping):
        _put(old, "number" if "number" in old else "is", text)  # type: ignore[arg-type]
        return
    bare = _PLAIN.fullmatch(text) is not None and not isinstance(old, str)
    table[name] = tomlkit.value(text) if bare else text
