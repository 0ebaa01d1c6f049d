"""This module writes SVG at true size: three groups of paths, and nothing that needs a browser.

One user unit is 1 mm (or 1/96 inch on request), coordinates are absolute bare
numbers with at most 4 decimals, y points down.  Four decimals of a millimetre
are a tenth of a micrometre, ten times finer than what is compared.  Arcs are
written in pieces of at most 90 degrees: near a half turn a rounded end would
swing the middle of an arc far from its place.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from html import escape

from ..drawing import Drawing, Stroke
from ..geometry import Path, Point
from .digits import exact, short
from .protocol import OUR_MARK, UNPROVEN, ReadBack, WriteOptions, check, in_file_order
from .protocol import starts_with_mark as _starts

PLACES = 4

# 1 in = 25.4 mm = 96 px (CSS Values and Units, absolute lengths).
MM_PER_PX = Fraction(254, 960)

# An arc that rises less than half of the last decimal over its chord is, as far
# as the file can tell, a straight line.
_FLAT_MM = 0.5 * 10.0**-PLACES

_START = f'<?xml version="1.0" encoding="UTF-8"?>\n<!-- {OUR_MARK} -->\n'

# What XML 1.0 cannot hold, not even escaped (production 2, Char).
_NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

_LINE = " L %.12g %.12g"


@dataclass(frozen=True, slots=True)
class SvgWriter:
    """The writer of SVG files."""

    name: str = "svg"
    suffix: str = ".svg"
    about: str = "layered drawing at true size, for most cutters and editors"
    largest_sweep: float = 90.0

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        """The SVG file of a drawing, UTF-8.  Raises FileError for one that no file can hold."""
        check(drawing)
        width, user_width = page_length(drawing.width, options)
        height, user_height = page_length(drawing.height, options)
        scale = 1.0 if options.user_unit == "mm" else float(1 / MM_PER_PX)
        lines = [
            f'{_START}<svg xmlns="http://www.w3.org/2000/svg" version="1.1" '
            f'width="{width}mm" height="{height}mm" viewBox="0 0 {user_width} {user_height}">',
            f"<title>{_text(title(drawing))}</title>",
        ]
        if told := notes(drawing):
            lines.append(f"<desc>{_text(chr(10).join(told))}</desc>")
        pen_width = short(options.style.stroke_width * scale, PLACES)
        for layer, works in in_file_order(drawing):
            pen = (
                f'<path fill="none" stroke="{escape(options.style.colours[layer])}" '
                f'stroke-width="{pen_width}" d="'
            )
            lines.append(f'<g id="{layer}">')
            for work, strokes in works:
                if len(works) > 1:
                    lines.append(f'<g id="{layer}-{work}">')
                lines.extend(f'{pen}{_d(stroke, drawing.height, scale)}"/>' for stroke in strokes)
                if len(works) > 1:
                    lines.append("</g>")
            lines.append("</g>")
        lines.append("</svg>\n")
        return "\n".join(lines).encode()

    def read_back(self, data: bytes, options: WriteOptions) -> ReadBack:
        """What svgelements finds in the file; ReadBackError where it is not one of ours."""
        from .svg_reading import read

        return read(data, options)

    def carries_our_mark(self, head: bytes) -> bool:
        """Whether the file opens as ours do."""
        return _starts(head, _START)


writer = SvgWriter()


def title(drawing: Drawing) -> str:
    """The title of the file, which says so when the design is not proven."""
    return drawing.title if drawing.proven else f"{drawing.title} (unproven)"


def notes(drawing: Drawing) -> tuple[str, ...]:
    """The sentences for the person at the machine: unproven, then the cautions."""
    return (() if drawing.proven else (UNPROVEN,)) + drawing.cautions


def page_length(length: float, options: WriteOptions) -> tuple[str, str]:
    """A side of the page as text: in mm and in user units.

    The two stand in exactly the same ratio on either side: a program that finds
    two ratios would shift or squeeze the drawing.  In 1/96 inch no length but a
    multiple of 0.0003 has both texts finite, so the page is the next such
    multiple: at most 0.08 µm more than was asked for.
    """
    if options.user_unit == "mm":
        text = short(max(length, 10.0**-PLACES), PLACES)
        return text, text
    grid = Fraction(3, 10_000)
    # To the nanometre, so that the last bit of a float does not cost a step.
    user = grid * math.ceil(Fraction(max(1, round(length * 1e6)), 10**6) / MM_PER_PX / grid)
    return exact(user * MM_PER_PX), exact(user)


def _text(text: str) -> str:
    return escape(_NOT_XML.sub("", text), quote=False)


def _d(stroke: Stroke, top: float, scale: float) -> str:
    path = stroke.path
    numbers: list[float] = []
    for vertex in path.vertices:
        if vertex.bulge:
            return _d_with_arcs(path, top, scale)
        at = vertex.at
        # Adding zero turns a minus zero into a plain one.
        numbers.append(round(at.x * scale, PLACES) + 0.0)
        numbers.append(round((top - at.y) * scale, PLACES) + 0.0)
    # Rounded numbers need at most 12 digits within reach of 1 km, so this form
    # never gives an exponent; it drops the zeros at the end.
    form = "M %.12g %.12g" + _LINE * (len(path.vertices) - 1) + (" Z" if path.closed else "")
    return form % tuple(numbers)


def _d_with_arcs(path: Path, top: float, scale: float) -> str:
    def place(at: Point) -> str:
        x, y = round(at.x * scale, PLACES) + 0.0, round((top - at.y) * scale, PLACES) + 0.0
        return f"{x:.12g} {y:.12g}"

    here = place(path.start)
    parts = [f"M {here}"]
    segments = path.segments
    last = len(segments) - 1 if path.closed else None
    for number, segment in enumerate(segments):
        if segment.is_line:
            # Z draws the last straight line of a closed path.
            if number != last:
                here = place(segment.end)
                parts.append(f"L {here}")
            continue
        pieces = segment.split(math.pi / 2.0)
        for piece in pieces:
            there = place(piece.end)
            if abs(piece.bulge) * piece.chord / 2.0 < _FLAT_MM or there == here:
                if number != last or piece is not pieces[-1]:
                    parts.append(f"L {there}")
            else:
                # y is turned over, so an arc that runs anticlockwise on paper
                # runs against the angles of the file: sweep flag 0.
                radius = short(piece.radius * scale, PLACES)
                sweep = 0 if piece.bulge > 0.0 else 1
                parts.append(f"A {radius} {radius} 0 0 {sweep} {there}")
            here = there
    if path.closed:
        parts.append("Z")
    return " ".join(parts)
