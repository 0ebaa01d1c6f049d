"""This module tells the mats of a card: as keys of the JSON answer, and as a cutting list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ..dressing.mats import Mats
from ..dressing.model import MadePiece
from ..dressing.shapes import Shape
from ..measures import Unit, exact_text
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
            size += " outside"
        where = ", ".join(_counted(one.where))
        rows.append((one.letter, str(one.count), size, one.stock or "-", _print(one), where))
    heads = ("piece", "count", "width by height", "stock", "print", "for")
    return f"cutting list:\n{_indented(table(heads, rows))}"


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
