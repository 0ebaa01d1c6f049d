"""This module makes the placement map: the flat pieces with their mats, each with its letter.

A piece with mats on its back is drawn once more as it is seen from there.  The hatching of a mat
runs the way its print does, and an arrow points up in it; a mat without a print direction has
neither.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

import shapely

from ..design.pieces import Face, Piece
from ..dressing.mats import Mats, PlacedMat
from ..geometry import Path, Point, Vector, line, polygon
from ..geometry.mirroring import mirrored
from ..geometry.offset_check import flattened
from ..measures import Unit, exact_text
from ..measures.exact import MEETS_MM
from ..proving import Proof
from . import pens
from .boxes import box_of_parts
from .columns import TextColumn
from .flat import Placing, lines_of, placing_of
from .framing import framed
from .legend import SAMPLE, laid_out, legend_for
from .lettering import width_of
from .model import Anchor, Area, Line, Part, Picture, Words, moved
from .scales import scale_for, scale_text
from .shapes import hatched

_ROOM = 130.0
_BETWEEN = 9.0
_TITLE, _SIZE = 5.5, 3.0
# The letter of a mat as a share of the circle that fits round it, and its largest size.
_LETTER, _SHARE = 7.0, 0.8
# An arrow is no longer than this; it stands to the right of its letter.
_ARROW = 9.0
_SPACING = 1.6

_TURNED = {pens.VALLEY: pens.MOUNTAIN, pens.MOUNTAIN: pens.VALLEY}


def placement_picture(proof: Proof, mats: Mats) -> Picture:
    """The placement map of a card.  Raises ValueError for one without mats."""
    sheets = [
        (piece, face, own)
        for piece in proof.resolved.pieces
        for face in Face
        for own in [[one for one in mats.placed if one.panel[0] == piece.name and one.face is face]]
        if own
    ]
    if not sheets:
        raise ValueError("a card without mats has no placement map")
    largest = max(max(_sides(piece)) for piece, _, _ in sheets)
    scale = scale_for(largest, _ROOM)
    drawings = [(_heading(sheet), _sheet(*sheet, scale)) for sheet in sheets]
    inner = 150.0
    column = TextColumn(inner)
    title = f"{proof.resolved.name}: where the mats go"
    about = [*_about(mats, scale, proof)]
    column.add(title, size=_TITLE, bold=True)
    for sentence in about:
        column.add(sentence, size=_SIZE)
    parts: list[Part] = list(column.parts)
    y = -column.height - _BETWEEN
    drawn: list[Part] = []
    for heading, sheet in drawings:
        left, bottom, right, top = box_of_parts(sheet)
        parts.append(Words(text=heading, at=Point(0.0, y), size=_SIZE * 1.2, bold=True))
        y -= _SIZE * 1.5
        middle = (inner - (right - left)) / 2.0 - left
        parts += moved(sheet, Vector(middle, y - top))
        y -= top - bottom + _BETWEEN
        drawn += sheet
    for legend in (legend_for(drawn, inner), laid_out(_samples(mats), inner)):
        parts += moved(legend.parts, Vector(0.0, y))
        y -= legend.height
    return framed(title, " ".join(about), parts, width=inner, foot=y)


def _sides(piece: Piece) -> tuple[float, float]:
    left, bottom, right, top = piece.outline.box()
    return right - left, top - bottom


def _heading(sheet: tuple[Piece, Face, Sequence[PlacedMat]]) -> str:
    piece, face, _ = sheet
    return f"{piece.name}, {face}" + (" (as it is seen from there)" if face is Face.BACK else "")


def _about(mats: Mats, scale: float, proof: Proof) -> Iterator[str]:
    yield f"Flat, drawn {scale_text(scale)}. Glue each mat where its letter is, margins even."
    if mats.seen_in is not None:
        seen = "as it is cut" if mats.seen_in == "flat" else f'in the pose "{mats.seen_in}"'
        yield f"Arrows point to what is up in the print as the card is seen {seen}."
    units = Unit(proof.resolved.units)
    sizes = (
        f"{one.letter} {exact_text(one.width_mm, units)} by {exact_text(one.height_mm, units)}"
        + ("" if one.count == 1 else f" ({one.count})")
        for one in mats.pieces
    )
    yield f"Sizes, width by height with the print upright: {'; '.join(sizes)}."


def _sheet(piece: Piece, face: Face, own: Sequence[PlacedMat], scale: float) -> list[Part]:
    placing = placing_of(piece, scale)
    across = _sides(piece)[0] * scale if face is Face.BACK else None
    parts: list[Part] = []
    shown = replace(piece, marks=tuple(mark for mark in piece.marks if mark.face is face))
    for one_line in lines_of(shown, placing):
        if across is None:
            parts.append(one_line)
        else:
            # A valley of the front is a mountain from the back.
            pen = _TURNED.get(one_line.pen, one_line.pen)
            parts.append(Line(path=_turned_over(one_line.path, across), pen=pen))
    for one in own:
        parts += _mat(one, placing, across)
    return parts


def _turned_over(path: Path, across: float) -> Path:
    return mirrored(path, upright=True, twice=across)


def _mat(one: PlacedMat, placing: Placing, across: float | None) -> Iterator[Part]:
    """A mat with its letter, hatching and arrow."""
    rings = [placing.path(path) for path in (one.shape.outline, *one.shape.openings)]
    up = one.up
    if across is not None:
        rings = [_turned_over(ring, across) for ring in rings]
        up = None if up is None else 180.0 - up
    first, *others = [flattened(ring, MEETS_MM) for ring in rings]
    area = shapely.Polygon(first, others)
    x, y, room = _middle(area)
    size = min(_LETTER, room * _SHARE)
    width = width_of(one.letter, size, bold=True)
    length = 0.0 if up is None else min(_ARROW, room * 1.1)
    # Letter and arrow side by side, in a free spot of the hatching.
    gap = 0.0 if up is None else size * 0.25
    beside = 0.0 if up is None else length * _breadth(up)
    left = x - (width + gap + beside) / 2.0
    if up is not None:
        reach = max(size, length * _tallness(up)) / 2.0
        free = shapely.box(left, y - reach, left + width + gap + beside, y + reach).buffer(0.5)
        yield from hatched(area.difference(free), _SPACING, up, pens.PRINT)
    for ring in rings:
        yield Line(path=ring, pen=pens.GLUED_ON)
    middle = Point(left + width / 2.0, y - size * 0.36)
    yield Words(text=one.letter, at=middle, size=size, anchor=Anchor.MIDDLE, bold=True)
    if up is not None:
        yield from _arrow(Point(left + width + gap + beside / 2.0, y), up, length)


def _middle(area: Any) -> tuple[float, float, float]:
    """Where a letter has room, and how much all round: the middle of the area, if it has."""
    circle = shapely.maximum_inscribed_circle(area, tolerance=0.05)
    (x, y), room = circle.coords[0], float(circle.length)
    middle = area.centroid
    if area.contains(middle):
        own = float(middle.distance(area.boundary))
        if own > 0.7 * room:
            return middle.x, middle.y, own
    return x, y, room


def _breadth(up: float) -> float:
    # As wide as the head at least.
    return max(0.35, abs(math.cos(math.radians(up))))


def _tallness(up: float) -> float:
    return max(0.35, abs(math.sin(math.radians(up))))


def _arrow(middle: Point, up: float, length: float) -> Iterator[Part]:
    """An arrow with a solid head, its middle at a place."""
    (x, y), angle = middle.floats(), math.radians(up)
    along, side = (math.cos(angle), math.sin(angle)), (-math.sin(angle), math.cos(angle))

    def at(forward: float, aside: float) -> Point:
        return Point(
            x + (forward * along[0] + aside * side[0]) * length,
            y + (forward * along[1] + aside * side[1]) * length,
        )

    yield Line(path=line(at(-0.5, 0.0), at(0.2, 0.0)), pen=pens.UP)
    head = polygon(at(0.5, 0.0), at(0.1, 0.17), at(0.1, -0.17))
    yield Area(paths=(head,), fill=pens.INK)


def _samples(mats: Mats) -> Iterator[tuple[list[Part], str]]:
    box = polygon(Point(0.0, -1.6), Point(SAMPLE, -1.6), Point(SAMPLE, 1.6), Point(0.0, 1.6))
    yield [Line(path=box, pen=pens.GLUED_ON)], "mat, with its letter"
    if any(one.up is not None for one in mats.placed):
        shape = shapely.Polygon(flattened(box))
        yield (
            [*hatched(shape, _SPACING, 90.0, pens.PRINT), Line(path=box, pen=pens.GLUED_ON)],
            ("the way the print runs"),
        )
        yield list(_arrow(Point(SAMPLE / 2.0, 0.0), 90.0, 4.5)), "up in the print"
