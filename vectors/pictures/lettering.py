"""This module reckons how much room words take, in any sans-serif face, and breaks them into lines.

The reader's machine chooses the face, so each letter is given the width that it
has in a wide one: words never take more room than is kept for them.  The widths
are shares of the size, rounded up (common practice, no source).
"""

from __future__ import annotations

import re
from unicodedata import combining, east_asian_width

_NARROW = frozenset("iljI.,:;|!'` ()[]/ftr-\N{NO-BREAK SPACE}")
_WIDE = frozenset("mwMWOQGDNH@%&+=<>~#…\N{MINUS SIGN}")

_WIDTH_NARROW, _WIDTH_USUAL, _WIDTH_CAPITAL, _WIDTH_WIDE, _WIDTH_FULL = 0.42, 0.65, 0.72, 1.0, 1.1
_BOLD = 1.12

# The space between a figure and its unit, or between a whole number and its fraction.
_TOGETHER = re.compile(r"(?<=\d) (?=(?:mm|in|degrees)\b)|(?<=\d) (?=\d+/\d)")

# Of a shortened name at most so many letters of its end are kept.
_TAIL = 5

LINE_HEIGHT = 1.4
"""From one base line to the next, as a share of the size."""


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """The room that a line of words takes at most, in mm."""
    return sum(_share(letter) for letter in text) * size * (_BOLD if bold else 1.0)


def _share(letter: str) -> float:
    if combining(letter):
        return 0.0
    if east_asian_width(letter) in "WF" or ord(letter) > 0xFFFF:
        return _WIDTH_FULL
    if letter in _NARROW:
        return _WIDTH_NARROW
    if letter in _WIDE:
        return _WIDTH_WIDE
    return _WIDTH_CAPITAL if letter.isupper() or ord(letter) > 0x24F else _WIDTH_USUAL


def shortened(text: str, most: float, size: float, *, bold: bool = False) -> str:
    """The words, their middle left out where they would take more than `most` mm.

    Their end stays, because it is where names of one kind differ: `stairs 1`,
    `stairs 2`.
    """
    kept = text
    count = len(text)
    while count > 1 and width_of(kept, size, bold=bold) > most:
        count -= 1
        tail = min(count // 3, _TAIL)
        kept = f"{text[: count - tail].rstrip()}…{text[len(text) - tail :].lstrip()}"
    return kept


def broken(text: str, most: float, size: float, *, bold: bool = False) -> list[str]:
    """The words in lines of at most `most` mm; a single word that is longer is broken too.

    A figure stays with its unit, and a fraction with its whole number.
    """
    lines: list[str] = []
    line = ""
    for word in _TOGETHER.sub("\N{NO-BREAK SPACE}", text).split(" "):
        longer = f"{line} {word}" if line else word
        if width_of(longer, size, bold=bold) <= most:
            line = longer
            continue
        if line:
            lines.append(line)
        while width_of(word, size, bold=bold) > most:
            cut = len(word)
            while cut > 1 and width_of(word[:cut], size, bold=bold) > most:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    if line:
        lines.append(line)
    return lines
