"""This module tells the mats of a card: as keys of the JSON answer, and as a cutting list."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from ..dressing.mats import Mats
from ..dressing.model import MadePiece
from ..dressing.shapes import Shape, is_square_cut
from ..measures import Unit, exact_text
from ..measures.exact import MEETS_MM
from ..proving import Proof
from .tell import number, table


def mats_json(mats: Mats | None) -> list[dict[str, object]]:
    """The key `mats` of `prove --json`: one entry for each size."""
    return [] if mats is None else [_mat_json(piece) for piece in mats.pieces]


def _mat_json(piece: MadePiece) -> dict[str, object]:
    shape = cut_shape(piece)
    return {
        "letter": piece.letter,
        "count": piece.count,
        "width_mm": number(piece.width_mm),
        "height_mm": number(piece.height_mm),
        "shape": "rectangle" if shape.is_rectangle else "polygon",
        "stock": piece.stock,
        "panels": list(piece.where),
        "up_deg": number(piece.up),
        "way": piece.way,
        "area_mm2": number(shape.area),
    }


def cut_shape(piece: MadePiece) -> Shape:
    """The shape of a part as it is cut."""
    return Shape(
        piece.piece.outline, tuple(opening.path.reversed for opening in piece.piece.openings)
    )


def cutting_list_text(proof: Proof, mats: Mats | None) -> str:
    """The sizes of the base and of the mats, one a line: how often each is cut, and for where."""
    units = Unit(proof.resolved.units)
    rows = []
    for piece in proof.resolved.pieces:
        left, bottom, right, top = piece.outline.box()
        size = _size(right - left, top - bottom, units)
        rows.append((piece.name, str(piece.copies), size, piece.stock or "-", "-", "-"))
    for one in () if mats is None else mats.pieces:
        size = _size(one.width_mm, one.height_mm, units)
        if not cut_shape(one).is_rectangle:
            size += f" outside{_less(one, units)}"
        where = ", ".join(_counted(one.where))
        rows.append((one.letter, str(one.count), size, one.stock or "-", _print(one), where))
    heads = ("piece", "count", "width by height", "stock", "print", "for")
    return f"cutting list:\n{_indented(table(heads, rows))}"


def _less(one: MadePiece, units: Unit) -> str:
    """What is cut off a rectangle for an L, or out of it for a frame, so that a trimmer will do.

    Empty for other shapes, and where the print lies askew.
    """
    shape = cut_shape(one)
    off = _notch(shape)
    if off is None or not is_square_cut(shape.outline):
        return ""
    (width, height), place = off
    size, asked = shape.size, (one.width_mm, one.height_mm)
    if math.dist(size, asked) <= MEETS_MM:
        return f", less {_size(width, height, units)} {place}"
    if math.dist(size, asked[::-1]) <= MEETS_MM:
        return f", less {_size(height, width, units)} {place}"
    return ""


def _notch(shape: Shape) -> tuple[tuple[float, float], str] | None:
    corners = [vertex.at.rounded() for vertex in shape.outline.vertices]
    if len(corners) == 6 and not shape.openings:
        for index, at in enumerate(corners):
            before, after = corners[index - 1], corners[(index + 1) % 6]
            if float((at - before).cross(after - at)) < 0.0:
                (x, y), (x0, y0), (x1, y1) = at.floats(), before.floats(), after.floats()
                if min(abs(x - x0), abs(y - y0)) > MEETS_MM:
                    # Its sides are not those of the rectangle.
                    return None
                return (abs(x1 - x0), abs(y1 - y0)), "in a corner"
    if len(corners) == 4 and len(shape.openings) == 1:
        (hole,) = shape.openings
        if len(hole.vertices) == 4 and is_square_cut(hole.reversed):
            left, bottom, right, top = hole.box()
            return (right - left, top - bottom), "inside"
    return None


def _counted(where: tuple[str, ...]) -> Iterator[str]:
    for panel, count in Counter(where).items():
        yield panel if count == 1 else f"{panel} ({count})"


def _print(piece: MadePiece) -> str:
    if piece.up is None:
        return "-"
    if abs(piece.up - 90.0) < 1e-3:
        return f"up, {piece.way}"
    return f"up at {number(round(piece.up, 1))} degrees, {piece.way}"


def _size(width: float, height: float, units: Unit) -> str:
    return " by ".join(exact_text(round(side, 6), units) for side in (width, height))


def _indented(text: str) -> str:
    return "\n".join(f"  {line}" for line in text.splitlines())
