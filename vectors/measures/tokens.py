"""This module cuts the text of an expression into tokens, each with its column."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from ..problems import DesignError, Place, problem


class Sort(StrEnum):
    """What a token is."""

    NUMBER = "number"
    NAME = "name"
    SIGN = "sign"
    UNIT_SIGN = "unit sign"
    END = "end"


@dataclass(frozen=True, slots=True)
class Token:
    """A stretch of text from `start` to `stop`, counted from 0."""

    sort: Sort
    text: str
    start: int

    @property
    def stop(self) -> int:
        """The index after its last character."""
        return self.start + len(self.text)

    @property
    def column(self) -> int:
        """Its place in the text, from 1."""
        return self.start + 1

    @property
    def is_whole(self) -> bool:
        """Whether it is a number of digits only."""
        return self.sort is Sort.NUMBER and self.text.isdecimal()

    @property
    def shown(self) -> str:
        """What a message calls it."""
        return "the end" if self.sort is Sort.END else f'"{self.text}"'


# Digits are spelt out: \d would let digits of other scripts in.
_TOKEN = re.compile(
    r"""[ \t]*(?:
    (?P<number>(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)
  | (?P<name>[A-Za-z_][A-Za-z0-9_]*)
  | (?P<sign>[-+*/(),])
  | (?P<unit>["\u2033\u00b0])
  | (?P<end>\Z)
  | (?P<odd>.)
)""",
    re.VERBOSE | re.DOTALL,
)

_SORTS = {
    "number": Sort.NUMBER,
    "name": Sort.NAME,
    "sign": Sort.SIGN,
    "unit": Sort.UNIT_SIGN,
    "end": Sort.END,
}


def tokens(text: str, place: Place) -> tuple[Token, ...]:
    """The tokens of an expression, the last of them the end.

    Raises DesignError for a character that no expression holds.
    """
    found: list[Token] = []
    at = 0
    while True:
        match = _TOKEN.match(text, at)
        # The last alternative takes any character, so the pattern always matches.
        if match is None or match.lastgroup is None:  # pragma: no cover
            raise AssertionError("the pattern of tokens leaves nothing out")
        group = match.lastgroup
        start = match.start(group)
        if group == "odd":
            raise DesignError(
                problem(
                    "measure-character",
                    place=place,
                    character=match.group(group),
                    column=start + 1,
                    text=text,
                )
            )
        found.append(Token(_SORTS[group], match.group(group), start))
        if group == "end":
            return tuple(found)
        at = match.end()
