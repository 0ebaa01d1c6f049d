"""This module holds one problem: what is wrong, where, how bad, and how to mend it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


class Severity(StrEnum):
    """How bad a problem is; `stop` keeps a design from being exported."""

    STOP = "stop"
    WARN = "warn"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for a stop, 1 for a warning, 2 for a note: smaller is worse."""
        return _RANKS[self]


_RANKS = {Severity.STOP: 0, Severity.WARN: 1, Severity.NOTE: 2}


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where in a text file something was written.

    `key` is the path of keys to it, such as `piece[0].fold[1].angle`; a value
    that was built in Python has neither file nor line.
    """

    file: str | None = None
    line: int | None = None
    key: str | None = None

    def prefix(self) -> str:
        """The start of a message: `card.toml:14`, `card.toml` or nothing."""
        if self.file is None:
            return ""
        return self.file if self.line is None else f"{self.file}:{self.line}"


def spot(x: float, y: float) -> str:
    """A place on the paper as a message names it, `(32, 50.5) mm`, to a thousandth of a mm."""
    return f"({_rounded(x)}, {_rounded(y)}) mm"


def _rounded(number: float) -> str:
    # Adding zero turns a rounded -0.0 into 0.
    return f"{round(number, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """One thing a user should know, in words that need no manual.

    `message` is lower case without a full stop and already names the place on
    the paper; `mend` is an instruction.  `at` is that place in mm in the
    piece's own coordinates; `measure_mm` is the figure that was judged.
    """

    rule: str
    severity: Severity
    message: str
    mend: str
    place: Place = Place()
    piece: str | None = None
    at: tuple[float, float] | None = None
    measure_mm: float | None = None

    def line(self) -> str:
        """The problem as one line: `FILE:LINE: SEVERITY: MESSAGE; MEND (RULE)`."""
        prefix = self.place.prefix()
        start = f"{prefix}: " if prefix else ""
        mend = f"; {self.mend}" if self.mend else ""
        # A file name or a key may hold a line break; a problem stays one line.
        text = f"{start}{self.severity}: {self.message}{mend} ({self.rule})"
        return "".join(c if c.isprintable() else "?" for c in text)

    def in_file(self, file: str) -> Problem:
        """The same problem, its place told to be in `file`."""
        return replace(self, place=replace(self.place, file=file))
