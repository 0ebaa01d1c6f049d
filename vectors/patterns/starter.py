"""This module writes the design file that starts from a pattern, in a metric or an inch edition."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from ..design.editions import edition_of
from ..design.laid_out import MIRRORED_COMMENT, laid_out_blocks
from ..design.model import FORMAT, Design, MatDraft
from ..design.pattern import Parameter, Pattern, PatternParts, parts_of
from ..design.resolve import counts_of
from ..design.writer import blocks
from ..measures import Kind, Unit

_NO_VALUES: Mapping[str, str] = MappingProxyType({})
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def starter(
    pattern: Pattern,
    name: str,
    units: Unit,
    values: Mapping[str, str] = _NO_VALUES,
    *,
    mirrored: bool = False,
    mats: bool = False,
) -> str:
    """The text of a design file, called `name`, that takes its pieces from `pattern`.

    Every parameter stands in it with its meaning and the default of the edition,
    or the one that `values` has for it, so that one number can be changed at a
    time.  The file resolves and closes as it is; whether the pattern takes
    `values` is for the caller to see.  A design that is `mirrored` is made as the
    mirror image.  With `mats` the usual ones stand in it, and their paper.
    """
    parts = _parts(pattern, units, values)
    usual = parts.mats if mats else ()
    rows = [
        (f"{parameter.name} =", _value(parameter, units, values), parameter.meaning)
        for parameter in pattern.parameters
    ]
    head = max((len(key) for key, _, _ in rows), default=0)
    body = max((len(value) for _, value, _ in rows), default=0)
    measures = "\n".join(
        f"{key[:-1]:{head - 1}}= {value:{body}}  # {meaning}" for key, value, meaning in rows
    )
    about = "\n".join(
        textwrap.fill(text, width=88, initial_indent="# ", subsequent_indent="# ")
        for text in (pattern.about, pattern.closure)
    )
    hand = f"\nmirrored = true  # {MIRRORED_COMMENT}" if mirrored else ""
    stocks = "\n\n".join(
        f'[stock.{stock}]\nmaterial = "{pattern.materials[stock]}"'
        for stock in _stocks(pattern, parts, usual)
    )
    written = blocks(Design(name=name, units=units, mats=usual))
    decorated = "".join(
        f"\n{text}" for text in laid_out_blocks(one for one in written if one.header == "[[mat]]")
    )
    bare = "inches" if units is Unit.IN else "millimetres"
    return f"""\
{about}

format  = {FORMAT}
name    = {_text(name)}
units   = "{units}"{hand}
pattern = {_text(pattern.name)}

# A bare number is in {bare}; "41 mm", "1 5/8 in" and arithmetic
# such as "width / 2" stand in quotes.
[measures]
{measures}

{stocks}
{decorated}"""


def _parts(pattern: Pattern, units: Unit, values: Mapping[str, str]) -> PatternParts:
    design = Design(name=pattern.name, units=units, pattern=pattern.name)
    return parts_of(pattern, counts_of(pattern, edition_of(design, pattern, None, values)))


def _stocks(pattern: Pattern, parts: PatternParts, mats: Iterable[MatDraft]) -> tuple[str, ...]:
    """The stocks that pieces and mats are cut from, in the order of the pattern's materials."""
    used = {piece.stock for piece in parts.pieces} | {mat.stock for mat in mats}
    return tuple(stock for stock in pattern.materials if stock in used)


def _value(parameter: Parameter, units: Unit, values: Mapping[str, str]) -> str:
    default = values.get(parameter.name, parameter.default(units))
    value = parameter.with_unit(default)
    written = value if _PLAIN.fullmatch(value) else _text(value)
    return f"{{ number = {written} }}" if parameter.kind is Kind.NUMBER else written


def _text(text: str) -> str:
    """The text as a TOML string."""
    # JSON's escapes are TOML's, but for the one control character that JSON
    # leaves bare.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
