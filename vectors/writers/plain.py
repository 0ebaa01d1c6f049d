"""This module writes a drawing as plain text, one line a stroke, for people and for goldens.

A line tells layer, work, side, role and source, then the path: places `x,y` in
mm, y up, an arc announced by `arc` and its bulge before the place that it ends
at.  A closed path ends in `close`.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass

from ..drawing import Drawing, Layer, Stroke, Work
from ..geometry import Path, Point, Vertex
from ..problems import ReadBackError, problem
from .digits import short
from .protocol import (
    OUR_MARK,
    ReadBack,
    ReadStroke,
    WriteOptions,
    check,
    in_file_order,
    starts_with_mark,
)

_START = f"# {OUR_MARK}\n"

# A bulge counts against half a chord of at most 10 m: 12 decimals keep the
# middle of any arc within a millionth of a millimetre.
_PLACES = 4
_BULGE_PLACES = 12


@dataclass(frozen=True, slots=True)
class PlainWriter:
    """The writer of plain text."""

    name: str = "plain"
    suffix: str = ".txt"
    about: str = "one line of text a stroke, to read and to compare"
    largest_sweep: float = 180.0

    def write(self, drawing: Drawing, options: WriteOptions) -> bytes:
        """The text of a drawing, UTF-8.  Raises FileError for one that no file can hold."""
        check(drawing)
        lines = [
            f"{_START}title {_quoted(drawing.title)}",
            f"page {short(drawing.width, _PLACES)} {short(drawing.height, _PLACES)}",
        ]
        if not drawing.proven:
            lines.append("unproven")
        lines.extend(f"caution {_quoted(caution)}" for caution in drawing.cautions)
        for _, works in in_file_order(drawing):
            for _, strokes in works:
                lines.extend(_line(stroke) for stroke in strokes)
        # Half a character pair is no UTF-8; it is written as JSON escapes it.
        return ("\n".join(lines) + "\n").encode(errors="backslashreplace")

    def read_back(self, data: bytes, options: WriteOptions) -> ReadBack:
        """What the lines hold.  Raises ReadBackError where they are none of ours."""
        try:
            return _read(data.decode())
        except (ValueError, IndexError, KeyError) as reason:
            raise ReadBackError(
                problem("read-back-form", reason=f"a line is not of this form ({reason})")
            ) from None

    def carries_our_mark(self, head: bytes) -> bool:
        """Whether the file opens as ours do."""
        return starts_with_mark(head, _START)


writer = PlainWriter()


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _line(stroke: Stroke) -> str:
    role = stroke.role.replace(" ", "-")
    words = [stroke.layer, stroke.work, stroke.side, role, _quoted(stroke.source)]
    path = stroke.path
    words.append(_place(path.start))
    pieces = [
        piece
        for segment in path.segments
        for piece in ((segment,) if segment.is_line else segment.split(math.pi))
    ]
    for number, piece in enumerate(pieces, 1):
        bulge = short(piece.bulge, _BULGE_PLACES)
        if bulge != "0":
            words.extend(("arc", bulge))
        # The closing itself runs to the first place.
        words.append("close" if path.closed and number == len(pieces) else _place(piece.end))
    return " ".join(words)


_HALF_TURN = 3.141592653589793


def _place(at: Point) -> str:
    return f"{short(float(at.x), _PLACES)},{short(float(at.y), _PLACES)}"


def _read(text: str) -> ReadBack:
    page: list[float] = []
    strokes: list[ReadStroke] = []
    for line in text.removesuffix("\n").split("\n"):
        key, _, rest = line.partition(" ")
        if key == "page":
            page = [float(number) for number in rest.split(" ")]
        elif key in {layer.value for layer in Layer}:
            work, _, rest = rest.partition(" ")
            _, start = json.JSONDecoder().raw_decode(rest[rest.index('"') :])
            path = _read_path(rest[rest.index('"') + start + 1 :].split(" "))
            strokes.append(ReadStroke(layer=Layer(key), work=Work(work), path=path))
        elif key not in ("#", "title", "caution", "unproven"):
            raise ValueError(f"it starts with {key!r}")
    width, height = page
    return ReadBack(strokes=tuple(strokes), width=width, height=height)


def _read_path(words: list[str]) -> Path:
    places: list[Point] = []
    bulges: list[float] = []
    closed = words[-1] == "close"
    bulge = 0.0
    left = iter(words)
    for word in left:
        if word == "arc":
            bulge = float(next(left))
            continue
        if places:
            bulges.append(bulge)
            bulge = 0.0
        if word != "close":
            x, y = word.split(",")
            places.append(Point(float(x), float(y)))
    if not closed:
        bulges.append(0.0)
    vertices = tuple(Vertex(at, b) for at, b in zip(places, bulges, strict=True))
    return Path(vertices, closed)
