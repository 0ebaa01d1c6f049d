"""This module writes DXF: one polyline a stroke, its arcs as bulges, on layers MARK, SCORE and CUT.

R2000 by default, the oldest version that states its unit and knows the
LWPOLYLINE; R12 on request, whose unit is told in a comment.  Everything but the
strokes is a frame made once by ezdxf (`dxf_template`).  Coordinates have 6
decimals: a nanometre, a thousandth of what is compared, and far inside what a
double holds at 1 km.  Bulges have 12, since one counts against half a chord of
metres.  Arcs of more than a half turn are cut evenly: some readers stumble over
a bulge beyond 1, and at a nearly full turn it is without bound.
"""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass

from ..drawing import Drawing, Layer, Stroke
from ..geometry import Path, Segment
from .dxf_template import frame
from .protocol import OUR_MARK, ReadBack, WriteOptions, check, in_file_order, starts_with_mark
from .svg import notes, title

PLACES = 6
BULGE_PLACES = 12

_START = f"999\n{OUR_MARK}\n"

# What R12, which has no place for it in its header, says about its unit.
MM_COMMENT = "All lengths are in millimetres: import at a scale of 1, unit mm."

# A line of R12 holds at most 255 characters.
_COMMENT_WIDTH = 240


@dataclass(frozen=True, slots=True)
class DxfWriter:
    """The writer of DXF files."""

    name: str = "dxf"
    suffix: str = ".dxf"
    about: str = "layered drawing in mm, R2000 or R12, for cutters and drafting programs"
    largest_sweep: float = 180.0

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        """The DXF file of a drawing, ASCII.  Raises FileError for one that no file can hold."""
        check(drawing)
        body, handle, owner = frame(options.dxf_version)
        entities: list[str] = []
        form = _polyline if options.dxf_version == "R2000" else _old_polyline
        for layer, works in in_file_order(drawing):
            for _, strokes in works:
                for stroke in strokes:
                    text, handle = form(stroke, layer.upper(), handle, owner)
                    entities.append(text)
        tokens = {
            "@WIDTH@": _number(drawing.width),
            "@HEIGHT@": _number(drawing.height),
            "@MIDDLE_X@": _number(drawing.width / 2.0),
            "@MIDDLE_Y@": _number(drawing.height / 2.0),
            # Programs open on this height: the page with a rim round it.
            "@VIEW@": _number(1.1 * max(drawing.height, drawing.width)),
            "@HANDSEED@": f"{handle:X}",
            **{f"@{layer.upper()}@": str(options.style.indices[layer]) for layer in Layer},
        }
        for token, value in tokens.items():
            body = body.replace(token, value)
        # Last, for it is long.
        body = body.replace("@ENTITIES@", "".join(entities))
        return (_START + _comments(drawing) + body).encode("ascii")

    def read_back(self, data: bytes, options: WriteOptions) -> ReadBack:
        """What ezdxf finds in the file; ReadBackError where it is not one of ours."""
        from .dxf_reading import read

        return read(data, options)

    def carries_our_mark(self, head: bytes) -> bool:
        """Whether the file opens as ours do."""
        return starts_with_mark(head, _START)


writer = DxfWriter()


def _number(value: float) -> str:
    # Always with a point: some readers take a number without one for a count.
    return f"{round(value, PLACES) + 0.0:.{PLACES}f}"


def _comments(drawing: Drawing) -> str:
    told = [title(drawing), *notes(drawing), MM_COMMENT]
    for layer, works in in_file_order(drawing):
        if len(works) > 1:
            kinds = ", then ".join(f"{len(strokes)} {work}" for work, strokes in works)
            told.append(f"Layer {layer.upper()} in this order: {kinds}.")
    return "".join(f"999\n{line}\n" for text in told for line in _wrapped(ascii_text(text)))


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, _COMMENT_WIDTH, break_on_hyphens=False)


def ascii_text(text: str) -> str:
    """The text on one line, what ASCII lacks as the escapes of DXF."""
    # A line break would end the comment and turn its rest into data.
    plain = "".join(char if char.isprintable() else " " for char in text)
    # `\U+XXXX`, as DXF texts write what their code page lacks, one for each
    # UTF-16 unit.
    units = plain.encode("utf-16-be", "surrogatepass")
    codes = (int.from_bytes(units[i : i + 2], "big") for i in range(0, len(units), 2))
    return "".join(chr(code) if code < 0x80 else f"\\U+{code:04X}" for code in codes)


def _vertices(path: Path) -> list[tuple[float, float, float]]:
    # x, y and bulge, arcs of more than a half turn cut evenly.
    found: list[tuple[float, float, float]] = []
    segments: tuple[Segment, ...] = ()
    last = None if path.closed else len(path.vertices) - 1
    for number, vertex in enumerate(path.vertices):
        bulge = 0.0 if number == last else vertex.bulge
        if -1.0 <= bulge <= 1.0:
            found.append((float(vertex.at.x), float(vertex.at.y), round(bulge, BULGE_PLACES)))
            continue
        segments = segments or path.segments
        for piece in segments[number].split(math.pi):
            found.append((*piece.start.floats(), round(piece.bulge, BULGE_PLACES)))
    return found


def _filled(form: str, vertices: list[tuple[float, float, float]]) -> str:
    numbers = (
        number for x, y, bulge in vertices for number in ((x, y, bulge) if bulge else (x, y))
    )
    return (form % tuple(numbers)).replace("\n-0.000000\n", "\n0.000000\n")


_PLACE = f" 10\n%.{PLACES}f\n 20\n%.{PLACES}f\n"
_BULGE = f" 42\n%.{BULGE_PLACES}f\n"
_BENT = _PLACE + _BULGE


def _polyline(stroke: Stroke, layer: str, handle: int, owner: str) -> tuple[str, int]:
    vertices = _vertices(stroke.path)
    points = _filled("".join(_BENT if bulge else _PLACE for _, _, bulge in vertices), vertices)
    return (
        f"  0\nLWPOLYLINE\n  5\n{handle:X}\n330\n{owner}\n100\nAcDbEntity\n  8\n{layer}\n"
        f"100\nAcDbPolyline\n 90\n{len(vertices)}\n 70\n{int(stroke.path.closed)}\n{points}"
    ), handle + 1


def _old_polyline(stroke: Stroke, layer: str, handle: int, owner: str) -> tuple[str, int]:
    vertices = _vertices(stroke.path)
    forms = [
        f"  0\nVERTEX\n  5\n{number:X}\n  8\n{layer}\n{_PLACE} 30\n0.0\n{_BULGE if bulge else ''}"
        for number, (_, _, bulge) in enumerate(vertices, handle + 1)
    ]
    last = handle + len(vertices) + 1
    return (
        f"  0\nPOLYLINE\n  5\n{handle:X}\n  8\n{layer}\n 66\n1\n"
        f" 10\n0.0\n 20\n0.0\n 30\n0.0\n 70\n{int(stroke.path.closed)}\n"
        f"{_filled(''.join(forms), vertices)}"
        f"  0\nSEQEND\n  5\n{last:X}\n  8\n{layer}\n"
    ), last + 1
