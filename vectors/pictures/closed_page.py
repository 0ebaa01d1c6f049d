"""This module makes the picture of the closed card: both sides, the map of plies, room for foam."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import shapely

from ..design.pieces import Face
from ..geometry import Path, Point, Vector, Vertex
from . import pens
from .boxes import box_of_parts
from .closed import ClosedScene
from .closed_drawing import (
    BACK_MM,
    FALLING_DEG,
    GROWS_MM,
    MOST_LABELS,
    NO_FOAM_MM,
    RISING_DEG,
    SPILL_DEG,
    SPILL_MM,
    draw_face,
    draw_plies,
    draw_side,
    draw_through,
)
from .columns import TextColumn
from .dimensions import size_text
from .framing import framed
from .legend import SAMPLE, laid_out
from .lettering import width_of
from .model import Line, Part, Pen, Picture, moved
from .scales import scale_for, scale_text
from .shapes import hatched, rims

# The room for a drawing, the least width of the page's inside, its rim; in mm.
_ROOM = 100.0
_INNER = 210.0
# The least width of a drawing with its heading.
_LEAST = 48.0
_BETWEEN = 8.0
_TITLE, _HEAD = 5.5, 3.8


@dataclass(frozen=True, kw_only=True, slots=True)
class _Block:
    """A drawing under its heading, the upper left corner at the origin."""

    parts: tuple[Part, ...]
    width: float
    height: float


def closed_picture(scene: ClosedScene) -> Picture:
    """The picture of the closed card."""
    scale = scale_for(max(scene.size), _ROOM)
    groups = list(_groups(scene, scale))
    # The sides, which come first, lie beside each other whatever their width.
    widest = max(block.width for group in groups for block in group)
    inner = max(_INNER, _wide(groups[0]), widest)
    head = _head(scene, scale, inner)
    parts: list[Part] = list(head.parts)
    y = -head.height - _BETWEEN / 2.0
    drawn: list[Part] = []
    for row in _rows(groups, inner):
        x = 0.0
        parts.append(_rule(inner, y))
        y -= _BETWEEN / 2.0
        for block in row:
            drawn += block.parts
            parts += moved(block.parts, Vector(x, y))
            x += block.width + _BETWEEN
        y -= max(block.height for block in row) + _BETWEEN / 2.0
    parts.append(_rule(inner, y))
    legend = laid_out(_entries(scene, drawn), inner)
    parts += moved(legend.parts, Vector(0.0, y - 1.0))
    y -= legend.height + 1.0
    first, *rest = scene.words
    return framed(
        f"{scene.design}, closed: seen from above and from below, and its plies",
        " ".join((f"Closed, {first}.", *rest, "A picture to look at, not a file for a cutter.")),
        parts,
        width=inner,
        foot=y,
    )


def _head(scene: ClosedScene, scale: float, width: float) -> TextColumn:
    lines = TextColumn(width)
    lines.add(scene.design, size=_TITLE, bold=True)
    first, *rest = scene.words
    lines.add(f"Closed, {first}", size=_HEAD)
    for text in rest:
        lines.add(text)
    lines.add(f"Seen straight on, {scale_text(scale)}; lengths in {_units(scene)}.")
    hidden = len(scene.sticking) - MOST_LABELS
    if hidden > 0:
        lines.add(f"{hidden} more places stick out and have no figure here.")
    return lines


def _units(scene: ClosedScene) -> str:
    return "mm" if scene.units == "mm" else "inches"


def _groups(scene: ClosedScene, scale: float) -> Iterator[list[_Block]]:
    """What is drawn; blocks of one group lie beside each other."""
    if scene.sides:
        drawings = [draw_side(scene, side, scale) for side in scene.sides]
        # On one level, whatever labels stand above each.
        top = max(box_of_parts(drawing)[3] for drawing in drawings)
        yield [
            _block(
                "From above" if side.above else "From below, turned over sideways",
                drawing,
                top=top,
            )
            for side, drawing in zip(scene.sides, drawings, strict=True)
        ]
    else:
        yield [_block("From above, through all panels", draw_through(scene, scale))]
    drawing, without = draw_plies(scene, scale)
    note = () if not without else (f"{_regions(without)} too small for a number.",)
    yield [_block("Plies, from above", drawing, note)]
    yield from _faces(scene)


def _regions(count: int) -> str:
    return "1 more region is" if count == 1 else f"{count} more regions are"


def _faces(scene: ClosedScene) -> Iterator[list[_Block]]:
    """The flat faces, those of one piece in a group."""
    sizes = [face.paper.bounds for face in scene.faces]
    largest = max((max(right - left, top - low) for left, low, right, top in sizes), default=0.0)
    scale = scale_for(largest, _ROOM)
    foam = "foam" if scene.foam_mm is None else f"foam {size_text(scene.foam_mm, scene.units)} high"
    for piece in dict.fromkeys(face.piece for face in scene.faces):
        yield [
            _block(
                f"{piece} flat, {face.face}",
                draw_face(face, scale),
                (
                    f"{'Turned over sideways. ' if face.face is Face.BACK else ''}"
                    f"Where {foam} has room, {_together(scale_text(scale))}."
                    f"{' Elsewhere it makes the card thicker.' if face.grows_elsewhere else ''}",
                ),
            )
            for face in scene.faces
            if face.piece == piece
        ]


def _together(text: str) -> str:
    return text.replace(" : ", "\N{NO-BREAK SPACE}:\N{NO-BREAK SPACE}")


def _block(
    title: str,
    drawing: Sequence[Part],
    notes: Iterable[str] = (),
    *,
    top: float | None = None,
) -> _Block:
    """A drawing under its heading; `top` is the highest place that it keeps room for."""
    left, bottom, right, high = box_of_parts(drawing)
    top = high if top is None else top
    width = max(right - left, width_of(title, _HEAD, bold=True), _LEAST)
    lines = TextColumn(width)
    lines.add(title, size=_HEAD, bold=True)
    for note in notes:
        lines.add(note)
    below = moved(drawing, Vector(-left, -lines.height - 2.0 - top))
    return _Block(
        parts=(*lines.parts, *below), width=width, height=lines.height + 2.0 + top - bottom
    )


def _rows(groups: Iterable[list[_Block]], inner: float) -> Iterator[list[_Block]]:
    """Groups beside each other, as many as have room; one that is too wide is broken."""
    row: list[_Block] = []
    for group in groups:
        if row and _wide([*row, *group]) > inner:
            yield row
            row = []
        for block in group:
            if row and _wide([*row, block]) > inner:
                yield row
                row = []
            row.append(block)
    if row:
        yield row


def _wide(row: Sequence[_Block]) -> float:
    return sum(block.width + _BETWEEN for block in row) - _BETWEEN


def _rule(width: float, y: float) -> Line:
    return _straight(pens.LEADER, 0.0, y, width, y)


def _straight(pen: Pen, x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(path=Path((Vertex(Point(x0, y0)), Vertex(Point(x1, y1)))), pen=pen)


def _entries(scene: ClosedScene, drawn: Sequence[Part]) -> list[tuple[list[Part], str]]:
    """What lines and hatchings stand for; what is not used is left out."""
    used = {part.pen for part in drawn if isinstance(part, Line)}
    found: list[tuple[list[Part], str]] = []
    if scene.sides:
        found.append((_swatch(None, 1.0, 0.0), "front of the paper"))
    for pen, spacing, slant, name in (
        (pens.BACK, BACK_MM, RISING_DEG, "back of the paper"),
        (pens.SPILL, SPILL_MM, SPILL_DEG, pens.SPILL.name),
        (pens.BESIDE, SPILL_MM, SPILL_DEG, pens.BESIDE.name),
        (pens.NO_FOAM, NO_FOAM_MM, FALLING_DEG, pens.NO_FOAM.name),
        (pens.GROWS, GROWS_MM, FALLING_DEG, pens.GROWS.name),
        (pens.PLIES, 1.2, RISING_DEG, "plies: the more of them, the closer the lines"),
    ):
        if pen in used:
            found.append((_swatch(pen, spacing, slant), name))
    if pens.CREASE in used:
        sample: list[Part] = [
            _straight(pen, 0.0, 0.0, SAMPLE, 0.0) for pen in (pens.CREASE, pens.MOUNTAIN_IN_SPACE)
        ]
        found.append((sample, "shut fold, a mountain as seen"))
    for pen, name in (
        (pens.VALLEY_IN_SPACE, "valley fold as seen"),
        (pens.MOUNTAIN_IN_SPACE, "mountain fold as seen"),
        (pens.SCORED_IN_SPACE, pens.SCORED.name),
        (pens.GLUED_ON, pens.GLUED_ON.name),
        (pens.PASSED, pens.PASSED.name),
        (pens.THROUGH, pens.THROUGH.name),
        (pens.CLASH, "panels in each other's way"),
    ):
        if pen in used:
            found.append(([_straight(pen, 0.0, 0.0, SAMPLE, 0.0)], name))
    return found


def _swatch(pen: Pen | None, spacing: float, slant: float) -> list[Part]:
    box = shapely.box(0.0, -2.0, SAMPLE, 2.0)
    hatch = [] if pen is None else list(hatched(box, spacing, slant, pen))
    return [*hatch, *rims(box, pens.FRAME)]
