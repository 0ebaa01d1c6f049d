"""This module reads a TOML text: its tables with exact numbers, and the lines they came from."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from pathlib import Path
from types import MappingProxyType

from ..problems import DesignError, FileError, Place, Problem, problem
from .places import Comment, KeyPath, Places, scan
from .unquoted import quoting_hint

# A design of a thousand pieces is far smaller; anything beyond would take
# minutes to read and is a mistake.
LARGEST_BYTES = 32 * 1024 * 1024
LARGEST_BRACKETS = 400_000
LARGEST_VALUES = 2_000_000
DEEPEST_KEY = 64

# A key of more parts than DEEPEST_KEY.  It begins at the start of a word, so that
# each word is looked at a bounded number of times.
_DEEP_KEY = re.compile(
    r"(?<![A-Za-z0-9_\-])"
    rf"(?:(?:[A-Za-z0-9_\-]++|\"[^\"\n]*+\"|'[^'\n]*+')[ \t]*+\.[ \t]*+){{{DEEPEST_KEY}}}"
)
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_PYTHON_KEYS = re.compile(r"\((?:'[^']*'(?:, )?)+,?\)")


def key_text(path: KeyPath) -> str:
    """A path of keys as it is told in a message: `piece[2].fold[0].angle`."""
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            bare = part if _BARE_KEY.fullmatch(part) else f'"{part}"'
            text += f".{bare}" if text else bare
    return text


# Not slotted: the places are worked out at the first question and kept.
@dataclass(frozen=True, kw_only=True)
class Source:
    """A text as it was read: `table` holds ints and Fractions, where TOML has numbers.

    Numbers that are not finite, or of an absurd size, stay floats (an infinity
    or no number at all); the getters of `Table` refuse them.
    """

    file: str
    text: str
    table: Mapping[str, object] = field(compare=False)

    @cached_property
    def _places(self) -> Places:
        return scan(self.text)

    @property
    def comments(self) -> tuple[Comment, ...]:
        """The comments in the order of their lines."""
        return self._places.comments

    def place(self, *path: str | int) -> Place:
        """The place of a key; of the nearest table around it where the key is not written."""
        lines = self._places.lines
        line = next((lines[path[:n]] for n in range(len(path), 0, -1) if path[:n] in lines), 1)
        return Place(file=self.file, line=line, key=key_text(path) or None)


def read_source(path: Path, *, shown_as: str | None = None) -> Source:
    """The source in a file, called `shown_as` in messages.

    Raises FileError where the file cannot be read as UTF-8 text, DesignError
    where the text is not TOML.
    """
    file = str(path) if shown_as is None else shown_as
    place = Place(file=file)
    try:
        with path.open("rb") as stream:
            # One byte more than is allowed tells that there are too many, even
            # from a device that never ends.
            data = stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise FileError(problem("no-such-file", place=place, file=file)) from None
    except IsADirectoryError:
        raise FileError(problem("file-is-a-folder", place=place, file=file)) from None
    except (OSError, ValueError) as reason:
        # A ValueError is a path that no system takes, such as one with a null in it.
        # Some systems say no more of a folder than that opening it is not permitted.
        if isinstance(reason, PermissionError) and path.is_dir():
            raise FileError(problem("file-is-a-folder", place=place, file=file)) from None
        why = reason.strerror if isinstance(reason, OSError) else None
        told = str(why or reason).lower()
        raise FileError(problem("unreadable-file", place=place, file=file, reason=told)) from None
    if len(data) > LARGEST_BYTES:
        raise FileError(_too_large(place, "more bytes", f"{LARGEST_BYTES // 1024**2} MiB"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as reason:
        line = data.count(b"\n", 0, reason.start) + 1
        place = Place(file=file, line=line)
        found = problem("not-utf-8", place=place, file=file, byte=reason.start + 1)
        raise FileError(found) from None
    return parse_source(text, file)


def parse_source(text: str, file: str) -> Source:
    """The source in a text, called `file` in messages; a byte order mark is passed over.

    Raises DesignError where the text is not TOML, or is too large or too deep
    to be a file that a person wrote.
    """
    text = text.removeprefix("\ufeff")
    place = Place(file=file)
    if len(text) > LARGEST_BYTES:
        most = f"{LARGEST_BYTES // 1024**2} MiB"
        raise DesignError(_too_large(place, f"{len(text)} characters", most))
    brackets = text.count("[") + text.count("{")
    if brackets > LARGEST_BRACKETS:
        most = str(LARGEST_BRACKETS)
        raise DesignError(_too_large(place, f"{brackets} points, lists and tables", most))
    values = text.count(",") + text.count("=")
    if values > LARGEST_VALUES:
        raise DesignError(_too_large(place, f"{values} values", str(LARGEST_VALUES)))
    deep = _DEEP_KEY.search(text)
    if deep is not None:
        place = Place(file=file, line=text.count("\n", 0, deep.start()) + 1)
        raise DesignError(problem("key-too-deep", place=place, most=DEEPEST_KEY))
    try:
        table = tomllib.loads(text, parse_float=_number)
    except RecursionError:
        raise DesignError(
            problem(
                "not-toml",
                place=place,
                reason="lists or tables are nested too deep",
                column="",
                hint="take brackets away: nothing here is nested that deep",
            )
        ) from None
    except ValueError as reason:
        raise DesignError(_not_toml(str(reason), text, file)) from None
    return Source(file=file, text=text, table=MappingProxyType(table))


def _too_large(place: Place, size: str, most: str) -> Problem:
    return problem("file-too-large", place=place, size=size, most=most)


def _number(written: str) -> Fraction | float:
    """A TOML float as an exact fraction; an infinity or no number where that is not to be had."""
    written = written.replace("_", "").lower()
    if written.lstrip("+-") in ("inf", "nan"):
        return float(written)
    digits, _, exponent = written.partition("e")
    # An exponent of a billion would fill the memory with zeros.
    if len(digits) > 400 or len(exponent) > 4 or abs(int(exponent or 0)) > 400:
        return math.inf
    return Fraction(written)


def _not_toml(message: str, text: str, file: str) -> Problem:
    at = _AT.search(message)
    column, hint = "", "mend this line"
    if at is None:
        # Only a number whose digits the interpreter will not convert gets here.
        line, reason = None, "a whole number has too many digits"
        hint = "write a number of ordinary size"
    else:
        reason = message[: at.start()]
        if at[1] is None:
            line = text.rstrip("\n").count("\n") + 1
            reason += " at the end of the file"
            hint = "finish what was begun there"
        else:
            line, column = int(at[1]), f" (column {at[2]})"
    if reason.startswith("Cannot"):
        hint = "write each key and each table once"
    elif line is not None:
        rows = text.split("\n")
        hint = quoting_hint(rows[line - 1]) or hint if line <= len(rows) else hint
    reason = _PYTHON_KEYS.sub(lambda keys: _quoted(keys[0]), reason)
    reason = reason[:1].lower() + reason[1:]
    return problem(
        "not-toml",
        place=Place(file=file, line=line),
        reason=reason,
        column=column,
        hint=hint,
    )


def _quoted(keys: str) -> str:
    return '"' + ".".join(re.findall(r"'([^']*)'", keys)) + '"'
