"""This module tells how a value should be written that TOML cannot read.

The commonest slip in a file is a length or an expression without its quotes:
TOML knows plain numbers, and all else between quotes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator

# A key with all that stands behind it in its line, and one inside a table in braces.
_IN_A_LINE = re.compile(r"\s*(?P<key>[\w.-]+)\s*=(?P<value>[^#]*)")
_IN_BRACES = re.compile(r"[{,]\s*(?P<key>[\w.-]+)\s*=(?P<value>[^,{}\[\]#]*)(?=[,}])")

_COMMA = re.compile(r"(\d+),(\d+)(?P<unit>\s*[a-z]*)")
_INCHES = re.compile(r"(\d[\d ./]*)\"")
# Numbers, names and what reckons with them; a sign of its own at the end is no expression.
_EXPRESSION = re.compile(r"[\w\s.+*/(),-]*[\w.)]")


def quoting_hint(row: str) -> str | None:
    """How the value in a row of a file should be written; None where that is not the fault."""
    for key, value in _values(row):
        if _is_read(value):
            continue
        if not value:
            return f'write a value behind the sign of "{key}": a number, or a text in quotes'
        if comma := _COMMA.fullmatch(value):
            number, unit = f"{comma[1]}.{comma[2]}", comma["unit"].strip()
            told = f'"{number} {unit}"' if unit else number
            return f"write a point in place of the comma: {key} = {told}"
        if inches := _INCHES.fullmatch(value):
            return f'put it in quotes, with "in" for inches: {key} = "{inches[1].strip()} in"'
        if _EXPRESSION.fullmatch(value):
            return f'put all but a plain number in quotes: {key} = "{value}"'
        return None
    return None


def _values(row: str) -> Iterator[tuple[str, str]]:
    """Each key in a row with its value as it stands there."""
    line = _IN_A_LINE.match(row)
    if line is None:
        return
    value = line["value"].strip()
    if not value.startswith("{"):
        yield line["key"], value
        return
    for one in _IN_BRACES.finditer(value):
        yield one["key"], one["value"].strip()


def _is_read(value: str) -> bool:
    try:
        tomllib.loads(f"value = {value}")
    except ValueError:
        return False
    return True
