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
from .model import Design
from .writer import write_design
from .written import maybe_expression, number_text

_SUFFIXES = "|".join(re.escape(suffix) for suffix in LENGTH_SUFFIXES)
_IN_UNIT = re.compile(rf"[^A-Za-z]*?(?P<gap>\s*)(?P<unit>{_SUFFIXES})\s*")
# The finest division of an inch that a ruler has, and the decimals that tell it.
_FINEST_IN = 64
_MOST_PLACES_IN = 6
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def with_measures(design: Design, texts: Mapping[str, str], variant: str | None = None) -> str:
    """The text of a design in which these measures have these values, written as in a file.

    With a variant a measure is changed or added in the variant's own measures, so
    that other editions stay as they are, without one in `[measures]`.  One that is
    not stated there yet is added at the end.  A value is put in quotes where it
    was, or where TOML has no such number.  A design that was built in Python is
    written out first.
    """
    # Heavy, and needed by nobody who only proves.
    import tomlkit

    source = design.source
    document: Any = tomlkit.parse(write_design(design) if source is None else source.text)
    path = ("measures",) if variant is None else ("variant", variant, "measures")
    for name, text in texts.items():
        outer: Any = document
        for key in path:
            if key not in outer:
                outer[key] = tomlkit.table()
            outer = outer[key]
        _put(outer, name, text)
    new = tomlkit.dumps(document)
    if source is not None and "\n" not in source.text.replace("\r\n", ""):
        # What was added ends its lines as all the others do.
        new = new.replace("\r\n", "\n").replace("\n", "\r\n")
    return new


def with_mirrors(text: str, design: Design) -> str:
    """The text of a design in which it, and each edition that says so, is mirrored as `design`."""
    import tomlkit

    document: Any = tomlkit.parse(text)
    if design.mirrored or "mirrored" in document:
        document["mirrored"] = design.mirrored
    for name, variant in design.variants.items():
        if variant.mirrored is not None:
            document["variant"][name]["mirrored"] = variant.mirrored
    new = tomlkit.dumps(document)
    if "\n" not in text.replace("\r\n", ""):
        new = new.replace("\r\n", "\n").replace("\n", "\r\n")
    return new


def measure_text(design: Design, name: str, value: Fraction, variant: str | None = None) -> str:
    """A length in mm as the measure's own author would write it: in the same unit and style.

    What is no fraction of an inch on a ruler, nor a short decimal, is in mm.
    """
    units = units_at(design, variant)
    draft = design.measures.get(name)
    if variant is not None:
        own = design.variants[variant].measures.get(name)
        draft = own if own is not None and own.value is not None else draft
    old = None if draft is None else maybe_expression(draft.value)
    written = "" if old is None else old.text
    suffix = _IN_UNIT.fullmatch(written)
    gap, unit = ("", "") if suffix is None else (suffix["gap"], suffix["unit"])
    factor = LENGTH_SUFFIXES[unit] if unit else units.mm
    if factor != Unit.IN.mm:
        return f"{number_text(value / factor)}{gap}{unit}"
    number = _inches(value / factor, decimal="." in written)
    return f"{number_text(value)} mm" if number is None else f"{number}{gap}{unit}"


def units_at(design: Design, variant: str | None = None) -> Unit:
    """The units of a bare number where `with_measures` writes a measure."""
    used = None if variant is None else design.variants[variant].units
    return Unit(design.units if used is None else used)


def _inches(value: Fraction, *, decimal: bool) -> str | None:
    """A mixed fraction as rulers have it, or a decimal if one was used; None where it is neither.

    A short decimal that no ruler has is one all the same.
    """
    text = number_text(value)
    if _FINEST_IN % value.denominator or value.denominator == 1 or decimal:
        return text if "/" not in text and len(text.partition(".")[2]) <= _MOST_PLACES_IN else None
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    # A bare "3/4" is a division to the reader, and comes to the same.
    return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"


def _put(table: MutableMapping[str, Any], name: str, text: str) -> None:
    import tomlkit

    old = table.get(name)
    if isinstance(old, Mapping):
        _put(old, "number" if "number" in old else "is", text)  # type: ignore[arg-type]
        return
    bare = _PLAIN.fullmatch(text) is not None and not isinstance(old, str)
    table[name] = tomlkit.value(text) if bare else text
