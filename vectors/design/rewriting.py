"""This module changes measures in the text of a design: nothing but the changed values moves.

Comments, order, spaces and every other value stay as they were written.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping, MutableMapping
from fractions import Fraction
from functools import partial
from typing import Any

from ..measures import Unit
from ..measures.units import LENGTH_SUFFIXES
from .laid_out import MIRRORED_COMMENT
from .model import Design
from .writer import write_design
from .written import maybe_expression, number_text

_SUFFIXES = "|".join(re.escape(suffix) for suffix in LENGTH_SUFFIXES)
_IN_UNIT = re.compile(rf"[^A-Za-z]*?(?P<gap>\s*)(?P<unit>{_SUFFIXES})\s*")
# The finest division of an inch that a ruler has, and the decimals that tell it.
_FINEST_IN = 64
_MOST_PLACES_IN = 6
# The head of a table or of one of a row of tables, alone in its line.
_HEAD = re.compile(r"^[ \t]*\[\[?(?P<keys>[^\[\]\n,]+)\]\]?[ \t]*(?:#[^\n]*)?\r?$", re.MULTILINE)
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def with_measures(design: Design, texts: Mapping[str, str], variant: str | None = None) -> str:
    """The text of a design in which these measures have these values, written as in a file.

    With a variant a measure is changed or added in the variant's own measures, so
    that other editions stay as they are, without one in `[measures]`.  One that is
    not stated there yet is added at the end.  A value is put in quotes where it
    was, or where TOML has no such number.  A design that was built in Python is
    written out first.
    """

    def change(document: Any) -> None:
        # Heavy, and needed by nobody who only proves.
        import tomlkit

        path = ("measures",) if variant is None else ("variant", variant, "measures")
        for name, text in texts.items():
            outer: Any = document
            for key in path:
                if key not in outer:
                    outer[key] = tomlkit.table()
                outer = outer[key]
            _put(outer, name, text)

    where = ("measures",) if variant is None else ("variant", variant)
    source = design.source
    return _changed(write_design(design) if source is None else source.text, change, where)


def with_mirrors(text: str, design: Design) -> str:
    """The text of a design in which it, and each edition that says so, is mirrored as `design`."""
    if design.mirrored or "mirrored" in tomllib.loads(text):
        text = _changed(text, lambda document: _set(document, (), design.mirrored), ())
    for name, variant in design.variants.items():
        if variant.mirrored is not None:
            where, mirrored = ("variant", name), variant.mirrored
            text = _changed(text, partial(_set, where=where, mirrored=mirrored), where)
    return text


def _set(document: Any, where: tuple[str, ...], mirrored: bool) -> None:
    for key in where:
        document = document[key]
    import tomlkit

    if not where and "mirrored" not in document:
        written = tomlkit.item(mirrored)
        written.comment(MIRRORED_COMMENT)
        document.add("mirrored", written)
    else:
        document["mirrored"] = mirrored


def _changed(text: str, change: Callable[[Any], None], where: tuple[str, ...]) -> str:
    """A TOML text with a change in the table called `where`, the other ones left as they are.

    The empty name is that of the keys before all tables.
    """
    import tomlkit

    document: Any = tomlkit.parse(text)
    change(document)
    new = str(tomlkit.dumps(document))
    kept = _spliced(text, change, where)
    # A library that writes a whole text moves tables of one kind together.
    if kept is not None and tomllib.loads(kept) == tomllib.loads(new):
        new = kept
    if "\n" not in text.replace("\r\n", ""):
        # What was added ends its lines as all the others do.
        new = new.replace("\r\n", "\n").replace("\n", "\r\n")
    return new


def _spliced(text: str, change: Callable[[Any], None], where: tuple[str, ...]) -> str | None:
    """The text with the change made in one table of it alone, or in a new one at its end.

    None where that makes no TOML.
    """
    import tomlkit
    from tomlkit.exceptions import TOMLKitError

    heads = list(_HEAD.finditer(text))
    # What stands before the first head has no name, and each table ends at the next head.
    begins = [0, *(head.start() for head in heads)]
    names = [(), *(_keys(head["keys"]) for head in heads)]
    tables = zip(names, begins, [*begins[1:], len(text)], strict=True)
    start, end = next(
        ((begin, end) for name, begin, end in tables if name == where), (len(text), len(text))
    )
    try:
        part: Any = tomlkit.parse(text[start:end])
        change(part)
        gap = "\n" if start == len(text) else ""
        new = text[:start] + gap + str(tomlkit.dumps(part)) + text[end:]
        tomllib.loads(new)
    except (TOMLKitError, KeyError, tomllib.TOMLDecodeError):
        return None
    return new


def _keys(written: str) -> tuple[str, ...]:
    """The keys of a table's head, which has no quoted dots in a name that is looked for."""
    return tuple(key.strip().strip("\"'") for key in written.split("."))


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
