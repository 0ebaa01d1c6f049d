"""This module finds the line on which each key of a TOML text was written.

The standard library's reader keeps no places, so a small scanner of our own
walks through the text a second time, and only when somebody asks.  It trusts
that the text is valid TOML: what is not has been refused before.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass

# The keys and indices that lead to a value: ("piece", 2, "fold", 0, "angle").
KeyPath = tuple[str | int, ...]

_BASIC = r'"(?:\\.|[^"\\\n]++)*+"'
_LITERAL = r"'[^'\n]*+'"

# A run of one or two quotes belongs to a multi-line string; one of three to
# five ends it, the first two of five being part of the string.
_TOKEN = re.compile(
    r'(?P<long>"""(?:\\.|[^"\\]++|"{1,2}(?!"))*+"{3,5}'
    r"|'''(?:[^']++|'{1,2}(?!'))*+'{3,5})"
    rf"|(?P<string>{_BASIC}|{_LITERAL})"
    r"|(?P<comment>\#[^\n]*+)"
    r"|(?P<newline>\n)"
    r"|(?P<sign>[\[\]{},=])"
    r"|(?P<bare>[^\s\[\]{},=\"'#]++)",
    re.DOTALL,
)
_KEY_PART = re.compile(rf"{_BASIC}|{_LITERAL}|[A-Za-z0-9_-]++")


@dataclass(frozen=True, kw_only=True, slots=True)
class Comment:
    """A comment: its line, its text after the `#`, and whether it has the line to itself."""

    line: int
    text: str
    alone: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Places:
    """The line of every key and array element of a text, and its comments in order."""

    lines: dict[KeyPath, int]
    comments: tuple[Comment, ...]


@dataclass(slots=True)
class _Open:
    """A container that the scanner is inside: an array, an inline table, or the file itself.

    `index` counts the elements of an array and is None elsewhere; `key_from` is
    the offset at which a key begins, `target` the path that awaits its value.
    """

    path: KeyPath
    index: int | None = None
    key_from: int | None = None
    target: KeyPath | None = None


def key_parts(written: str) -> tuple[str, ...]:
    """The parts of a dotted key as it is written in TOML: `a."b c"` gives `a` and `b c`."""
    parts = []
    for match in _KEY_PART.finditer(written):
        part = match.group()
        if part[0] == "'":
            part = part[1:-1]
        elif part[0] == '"':
            part = part[1:-1] if "\\" not in part else tomllib.loads(f"key = {part}")["key"]
        parts.append(part)
    return tuple(parts)


def scan(text: str) -> Places:
    """The places in a valid TOML text; lines count from 1.

    A table that several lines speak of has the line of its header, or of the
    first mention where it has none.
    """
    return _Scanner(text.replace("\r\n", "\n")).scan()


class _Scanner:
    """One walk over the tokens of a text."""

    def __init__(self, text: str) -> None:
        self._text = text
        self._lines: dict[KeyPath, int] = {}
        self._comments: list[Comment] = []
        self._counts: dict[KeyPath, int] = {}
        self._stack = [_Open(path=())]
        # A header is being read: how many brackets opened it, and its key's offset.
        self._brackets = 0
        self._header_from: int | None = None

    def scan(self) -> Places:
        line, line_from = 1, 0
        for token in _TOKEN.finditer(self._text):
            kind = token.lastgroup
            if kind == "newline":
                line, line_from = line + 1, token.end()
                if len(self._stack) == 1:
                    self._stack[0].target = self._stack[0].key_from = None
                    self._brackets = 0
            elif kind == "comment":
                before = self._text[line_from : token.start()]
                self._comments.append(
                    Comment(line=line, text=token.group()[1:].strip(), alone=not before.strip())
                )
            else:
                self._take(token, line)
                if kind == "long":
                    line += token.group().count("\n")
        return Places(lines=self._lines, comments=tuple(self._comments))

    def _take(self, token: re.Match[str], line: int) -> None:
        """Take a token that is neither a comment nor the end of a line."""
        sign = token.group() if token.lastgroup == "sign" else ""
        inside = self._stack[-1]
        if inside.index is not None:
            if sign == ",":
                inside.index += 1
            elif sign == "]":
                self._stack.pop()
            else:
                self._value((*inside.path, inside.index), sign, line)
        elif inside.target is not None:
            if sign == ",":
                inside.target = None
            elif sign == "}":
                self._stack.pop()
            else:
                self._value(inside.target, sign, line)
        elif sign == "=" and inside.key_from is not None:
            key = key_parts(self._text[inside.key_from : token.start()])
            inside.key_from, inside.target = None, (*inside.path, *key)
            self._note(inside.path, key, line)
        elif sign == "}":
            self._stack.pop()
        elif sign in ("[", "]"):
            self._header(token, sign, line)
        elif self._brackets:
            if self._header_from is None:
                self._header_from = token.start()
        elif sign != "," and inside.key_from is None:
            inside.key_from = token.start()

    def _value(self, path: KeyPath, sign: str, line: int) -> None:
        self._lines.setdefault(path, line)
        if sign == "[":
            self._stack.append(_Open(path=path, index=0))
        elif sign == "{":
            self._stack.append(_Open(path=path))

    def _note(self, base: KeyPath, key: tuple[str, ...], line: int) -> None:
        for end in range(1, len(key) + 1):
            self._lines.setdefault((*base, *key[:end]), line)

    def _header(self, token: re.Match[str], sign: str, line: int) -> None:
        if sign == "[":
            self._brackets += 1
            return
        if self._header_from is None:
            return
        key = key_parts(self._text[self._header_from : token.start()])
        self._header_from = None
        path: KeyPath = ()
        for part in key[:-1]:
            path = (*path, part)
            self._lines.setdefault(path, line)
            if path in self._counts:
                path = (*path, self._counts[path] - 1)
        path = (*path, key[-1])
        if self._brackets == 2:
            self._lines.setdefault(path, line)
            self._counts[path] = self._counts.get(path, 0) + 1
            path = (*path, self._counts[path] - 1)
        self._lines[path] = line
        self._stack[0].path = path
