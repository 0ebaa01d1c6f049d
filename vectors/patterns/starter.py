"""This module writes the design file that starts from a pattern, in a metric or an inch edition."""

from __future__ import annotations

import json
import re
import textwrap
from collections.abc import Mapping
from types import MappingProxyType

from ..design.model import FORMAT
from ..design.pattern import Parameter, Pattern
from ..measures import Kind, Unit

# The material that a first card is made of; any other may be named instead.
FIRST_MATERIAL = "card-200"

_NO_VALUES: Mapping[str, str] = MappingProxyType({})
_PLAIN = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def starter(
    pattern: Pattern,
    name: str,
    units: Unit,
    values: Mapping[str, str] = _NO_VALUES,
    *,
    mirrored: bool = False,
) -> str:
    """The text of a design file, called `name`, that takes its pieces from `pattern`.

    Every parameter stands in it with its meaning and the default of the edition,
    or the one that `values` has for it, so that one number can be changed at a
    time.  The file resolves and closes as it is; whether the pattern takes
    `values` is for the caller to see.  A design that is `mirrored` is made as the
    mirror image.
    """
    rows = [
        (f"{parameter.name} =", _value(parameter, units, values), parameter.meaning)
        for parameter in pattern.parameters
    ]
    head = max((len(key) for key, _, _ in rows), default=0)
    body = max((len(value) for _, value, _ in rows), default=0)
    measures = "\n".join(
        f"{key[:-1]:{head - 1}}= {value:{body}}  # {meaning}" for key, value, meaning in rows
    )
    about = textwrap.fill(
        f"{pattern.about[:1].upper()}{pattern.about[1:]}.",
        width=88, initial_indent="# ", subsequent_indent="# ",
    )  # fmt: skip
    hand = "\nmirrored = true" if mirrored else ""
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

[stock.card]
material = "{FIRST_MATERIAL}"
"""


def _value(parameter: Parameter, units: Unit, values: Mapping[str, str]) -> str:
    default = parameter.default_in if units is Unit.IN else parameter.default_mm
    default = values.get(parameter.name, default)
    written = default if _PLAIN.fullmatch(default) else _text(default)
    return f"{{ number = {written} }}" if parameter.kind is Kind.NUMBER else written


def _text(text: str) -> str:
    """The text as a TOML string."""
    # JSON's escapes are TOML's, but for the one control character that JSON
    # leaves bare.
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
