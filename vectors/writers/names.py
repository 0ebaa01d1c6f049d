"""This module names the files: by order of making, piece and face, the same on every machine."""

from __future__ import annotations

import unicodedata

from ..drawing import Drawing, Layer, Side

# Letters that are Latin but do not come apart into a letter and an accent.
_LATIN = str.maketrans(
    {"ß": "ss", "æ": "ae", "Æ": "AE", "œ": "oe", "Œ": "OE", "ø": "o", "Ø": "O", "ł": "l", "Ł": "L"}
    | {"đ": "d", "Đ": "D", "ð": "d", "Ð": "D", "þ": "th", "Þ": "Th", "\u0131": "i"}
)

# File systems hold names of 255 bytes; the rest of the name takes its share.
_LONGEST_BYTES = 120

# What a piece is called when its name has neither letter nor digit.
_NAMELESS = "piece"


def in_file_name(name: str) -> str:
    """A piece's name as it stands in file names: letters and digits, the rest one `-` each run.

    Accents are dropped, since cutters' own displays often know ASCII only;
    letters that are not Latin are kept.
    """
    apart = unicodedata.normalize("NFKD", name.translate(_LATIN))
    whole = unicodedata.normalize(
        "NFC", "".join(char for char in apart if not _is_latin_accent(char))
    )
    kept = "".join(char if char.isalnum() or _is_mark(char) else " " for char in whole)
    short = "-".join(kept.split()).encode()[:_LONGEST_BYTES].decode(errors="ignore")
    return short.strip("-") or _NAMELESS


def _is_latin_accent(char: str) -> bool:
    return "\u0300" <= char <= "\u036f"


def _is_mark(char: str) -> bool:
    # Vowel signs and the like, without which a word of many scripts falls apart.
    return unicodedata.category(char) in ("Mn", "Mc")


def file_name(
    drawing: Drawing, number: int, count: int, side: Side, layer: Layer | None, suffix: str
) -> str:
    """The name of one file: `01-base-front.svg`, `02-mat-back-cut-unproven.dxf`.

    `number` is the place of the drawing among `count` by order of making, from 1.
    """
    parts = [stem(drawing.piece, number, count), side.value]
    if layer is not None:
        parts.append(layer.value)
    if not drawing.proven:
        parts.append("unproven")
    return "-".join(parts) + suffix


def stem(piece: str, number: int, count: int) -> str:
    """The start of the names of all files of a piece: `01-base`."""
    digits = max(2, len(str(count)))
    return f"{number:0{digits}d}-{in_file_name(piece)}"
