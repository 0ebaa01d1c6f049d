"""This module writes a picture as SVG: for eyes, never for a cutter.

One user unit is 1 mm; y points down.  Numbers have fixed decimals, so the same
picture gives the same bytes everywhere.  Words are in whatever sans-serif face
the reader has.
"""

from __future__ import annotations

import math
import re
from html import escape

from ..geometry import Path, Point
from .model import Anchor, Area, Hatch, Line, Part, Picture, Words
from .pens import INK, PAPER

MARK = "Drawn by Foldwright, not for a cutter; drawing it again replaces this file."
"""The first line of every picture, as a comment: a file that starts with it may be replaced."""

_START = f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {MARK} -->\n'

_PLACES = 3

# An arc that rises less than the last decimal over its chord is a straight line.
_FLAT_MM = 10.0**-_PLACES

# What XML 1.0 cannot hold, not even escaped (production 2, Char).
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

# Each hatching as a tile of 2 mm, drawn beyond its rim so that tiles join.
_TILE = 2.0
_TILES = {
    Hatch.RISING: '<path d="M -1 1 L 1 -1 M -1 3 L 3 -1 M 1 3 L 3 1" fill="none" '
    'stroke="#767676" stroke-width="0.12"/>',
    Hatch.FALLING: '<path d="M -1 -1 L 3 3 M 1 -1 L 3 1 M -1 1 L 1 3" fill="none" '
    'stroke="#767676" stroke-width="0.12"/>',
    Hatch.DOTS: '<circle cx="1" cy="1" r="0.18" fill="#767676"/>',
}


def svg_of(picture: Picture) -> bytes:
    """The SVG file of a picture, UTF-8."""
    width, height = _number(picture.width), _number(picture.height)
    lines = [
        f'{_START}<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}" role="img" '
        'aria-labelledby="picture-title picture-about" font-family="sans-serif">',
        f'<title id="picture-title">{_text(picture.title)}</title>',
        f'<desc id="picture-about">{_text(picture.about)}</desc>',
    ]
    used = [
        hatch
        for hatch in Hatch
        if any(isinstance(part, Area) and part.fill is hatch for part in picture.parts)
    ]
    if used:
        lines.append("<defs>")
        lines += [
            f'<pattern id="hatch-{hatch}" patternUnits="userSpaceOnUse" '
            f'width="{_number(_TILE)}" height="{_number(_TILE)}">{_TILES[hatch]}</pattern>'
            for hatch in used
        ]
        lines.append("</defs>")
    lines.append(f'<rect x="0" y="0" width="{width}" height="{height}" fill="{PAPER}"/>')
    lines += [_element(part, picture.height) for part in picture.parts]
    lines.append("</svg>\n")
    return "\n".join(lines).encode()


def carries_our_mark(head: bytes) -> bool:
    """Whether a file opens as a picture of ours does, with either kind of line ends."""
    return head.replace(b"\r\n", b"\n").startswith(_START.encode())


def _element(part: Part, top: float) -> str:
    if isinstance(part, Line):
        dashes = ""
        if part.pen.dashes:
            lengths = " ".join(_number(length) for length in part.pen.dashes)
            dashes = f' stroke-dasharray="{lengths}"'
        if part.pen.rounded:
            dashes += ' stroke-linecap="round" stroke-linejoin="round"'
        return (
            f'<path class="{escape(part.pen.name.replace(" ", "-").replace(",", ""))}" '
            f'fill="none" stroke="{part.pen.colour}" stroke-width="{_number(part.pen.width)}"'
            f'{dashes} d="{_d(part.path, top)}"/>'
        )
    if isinstance(part, Area):
        fill = f"url(#hatch-{part.fill})" if isinstance(part.fill, Hatch) else part.fill
        d = " ".join(_d(path, top) for path in part.paths)
        return f'<path fill="{fill}" fill-rule="evenodd" d="{d}"/>'
    return _words(part, top)


def _words(words: Words, top: float) -> str:
    x, y = words.at.floats()
    anchor = "" if words.anchor is Anchor.START else f' text-anchor="{words.anchor}"'
    weight = ' font-weight="bold"' if words.bold else ""
    return (
        f'<text x="{_number(x)}" y="{_number(top - y)}" font-size="{_number(words.size)}"'
        f'{anchor}{weight} fill="{INK}">{_text(words.text)}</text>'
    )


def _d(path: Path, top: float) -> str:
    def place(at: Point) -> str:
        x, y = at.floats()
        return f"{_number(x)} {_number(top - y)}"

    parts = [f"M {place(path.start)}"]
    for segment in path.segments:
        # An arc of at most a quarter turn is drawn the same by every program.
        for piece in segment.split(math.pi / 2.0):
            if abs(piece.bulge) * piece.chord / 2.0 < _FLAT_MM:
                parts.append(f"L {place(piece.end)}")
                continue
            radius = _number(piece.radius)
            sweep = 0 if piece.bulge > 0.0 else 1
            parts.append(f"A {radius} {radius} 0 0 {sweep} {place(piece.end)}")
    if path.closed:
        parts.append("Z")
    return " ".join(parts)


def _number(number: float) -> str:
    # Adding zero turns a minus zero into a plain one.
    text = f"{round(float(number), _PLACES) + 0.0:.{_PLACES}f}"
    return text.rstrip("0").rstrip(".")


def _text(text: str) -> str:
    return escape(_NOT_XML.sub("", text), quote=False)
