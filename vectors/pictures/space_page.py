"""This module makes the picture of a pose: the card in space on a page, with names and a legend."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ..geometry import Path, Point, Vector, Vertex, circle, polygon
from ..measures import Unit, exact_text
from . import pens
from .boxes import box_of_part, box_of_parts
from .camera import RAISED_DEG, Camera
from .columns import TextColumn
from .framing import framed
from .labels import SIZE, Label, labelled
from .legend import SAMPLE, laid_out
from .lettering import shortened
from .model import Area, Line, Part, Pen, Picture, moved
from .scene import Scene
from .space import draw, names_on

# The most room for the drawing, the least width of the page's inside, its rim; in mm.
_ROOM = (150.0, 120.0)
_INNER = 170.0
_BETWEEN = 6.0
_TITLE, _HEAD = 5.5, 3.8

# What is apart by less than this on the page is ringed, what is more is joined.
_SHORT = 4.0
_RING = 2.4
# More marks than this are too many for one picture; the rest are counted.
_MOST_MARKS = 6
# Sides of the table from 0 degrees on, 45 degrees each.
_SIDES = (
    "the right",
    "the back right",
    "behind",
    "the back left",
    "the left",
    "the front left",
    "the front",
    "the front right",
)
# How wide the longest label may get, in mm.
_LONGEST = 60.0


def space_picture(scene: Scene) -> Picture:
    """The picture of a scene, seen from its viewer's side; words alone where nothing is placed."""
    first, *rest = _sentences(scene)
    drawn = _drawing(scene) if any(key in scene.placed for key in scene.panels) else []
    left, bottom, right, top = box_of_parts(drawn) if drawn else (0.0, 0.0, 0.0, 0.0)
    inner = max(_INNER, right - left)
    head = _head(scene, inner)
    parts: list[Part] = list(head.parts)
    y = -head.height - _BETWEEN
    if drawn:
        parts += moved(drawn, Vector((inner - (right - left)) / 2.0 - left, y - top))
        y -= top - bottom + _BETWEEN
        parts.append(_straight(pens.LEADER, 0.0, y, inner, y))
        legend = laid_out(_entries(drawn), inner)
        parts += moved(legend.parts, Vector(0.0, y - 1.0))
        y -= legend.height + 1.0
    return framed(
        f"{scene.design}, pose {scene.pose}: seen {view_text(scene.view_deg)}",
        " ".join((f"{first}.", *rest, "A picture to look at, not a file for a cutter.")),
        parts,
        width=inner,
        foot=y,
    )


def _drawing(scene: Scene) -> list[Part]:
    """The card with its marks, labels and names; the first ones lie at the back."""
    drawing = draw(scene, _ROOM)
    marks, labels = _marks(scene, drawing.view.camera)
    names = names_on(scene, drawing.view, [box_of_part(part) for part in marks])
    for name, at in names.elsewhere:
        labels.append(Label(text=shortened(name, _LONGEST, SIZE), places=(at,)))
    rim = box_of_parts([*drawing.parts, *marks])
    return [*drawing.parts, *marks, *labelled(labels, rim), *names.parts]


def view_text(view_deg: float) -> str:
    """The viewer's side in words, with its degrees where these are between two sides."""
    turned = view_deg % 360.0
    side = _SIDES[round(turned / 45.0) % len(_SIDES)]
    return f"from {side}" if turned % 90.0 == 0.0 else f"from {side} ({turned:g} degrees)"


def _head(scene: Scene, width: float) -> TextColumn:
    lines = TextColumn(width)
    lines.add(scene.design, size=_TITLE, bold=True)
    first, *rest = _sentences(scene)
    lines.add(first, size=_HEAD)
    for text in rest:
        lines.add(text)
    lines.add(f"Seen {view_text(scene.view_deg)}, {RAISED_DEG:g} degrees above the table.")
    hidden = len(scene.passing) + len(scene.apart) - _MOST_MARKS
    if hidden > 0:
        lines.add(f"{hidden} more places are wrong and not marked here.")
    return lines


def _sentences(scene: Scene) -> tuple[str, ...]:
    """What is said of a pose, the first sentence with its name and without a full stop."""
    pose = f"Pose {scene.pose}"
    return (", ".join((pose, *scene.words[:1])), *scene.words[1:])


def _marks(scene: Scene, camera: Camera) -> tuple[list[Part], list[Label]]:
    """Rings round clashes and gaps, lines over wide gaps, and a label for each."""
    parts: list[Part] = []
    labels: list[Label] = []
    for gap in sorted(scene.apart, key=lambda one: -one.mm)[:_MOST_MARKS]:
        spots, _ = camera.page(np.array([gap.one, gap.other]))
        one, other = (Point(float(x), float(y)) for x, y in spots)
        parts += _gap_mark(one, other)
        name = shortened(gap.label, _LONGEST / 2.0, SIZE)
        text = f"gap: {length_text(gap.mm, scene.units)} at {name}"
        labels.append(Label(text=text, places=(one.between(other, 0.5),), bold=True))
    names = scene.names()
    for clash in scene.passing[: _MOST_MARKS - len(labels)]:
        ((x, y),), _ = camera.page(np.array([clash.at]))
        at = Point(float(x), float(y))
        parts.append(Line(path=circle(at, _RING), pen=pens.RING_OF_CLASH))
        told = (shortened(names[key], _LONGEST / 2.0, SIZE) for key in (clash.first, clash.second))
        labels.append(Label(text=f"clash: {' and '.join(told)}", places=(at,), bold=True))
    return parts, labels


def length_text(mm: float, units: Unit) -> str:
    """A length that was measured in space: to a hundredth of a mm, a short one to a thousandth."""
    return exact_text(round(mm, 2 if mm >= 1.0 else 3), units)


def _gap_mark(one: Point, other: Point) -> Iterator[Part]:
    """A ring with a cross where two places are close, else a line from one to the other."""
    if one.distance(other) >= _SHORT:
        yield Line(path=Path((Vertex(one), Vertex(other))), pen=pens.APART)
        for end in (one, other):
            yield Area(paths=(circle(end, 0.9),), fill=pens.APART.colour)
        return
    middle = one.between(other, 0.5)
    x, y = middle.floats()
    far = 1.5 * _RING
    yield Line(path=circle(middle, _RING), pen=pens.RINGED_GAP)
    yield _straight(pens.RINGED_GAP, x - far, y, x + far, y)
    yield _straight(pens.RINGED_GAP, x, y - far, x, y + far)


def _straight(pen: Pen, x0: float, y0: float, x1: float, y1: float) -> Line:
    return Line(path=Path((Vertex(Point(x0, y0)), Vertex(Point(x1, y1)))), pen=pen)


def _entries(drawn: Sequence[Part]) -> list[tuple[list[Part], str]]:
    """What the lines of a drawing stand for; what it does not use is left out."""
    used = {part.pen for part in drawn if isinstance(part, Line)}
    found: list[tuple[list[Part], str]] = [(_swatch(hatched=False), "front of the paper")]
    if pens.BACK in used:
        found.append((_swatch(hatched=True), "back of the paper"))
    for pen in (pens.VALLEY_IN_SPACE, pens.MOUNTAIN_IN_SPACE):
        if pen in used:
            sample: list[Part] = [_straight(pen, 0.0, 0.0, SAMPLE, 0.0)]
            if pens.CREASE in used:
                sample.insert(0, _straight(pens.CREASE, 0.0, 0.0, SAMPLE, 0.0))
            found.append((sample, f"{pen.name} as seen"))
    if pens.SCORED_IN_SPACE in used:
        found.append(([_straight(pens.SCORED_IN_SPACE, 0.0, 0.0, SAMPLE, 0.0)], pens.SCORED.name))
    if pens.CLASH in used:
        ring = Line(path=circle(Point(SAMPLE / 2.0, 0.0), 2.0), pen=pens.RING_OF_CLASH)
        found.append(([_straight(pens.CLASH, 2.0, 0.0, SAMPLE - 2.0, 0.0), ring], "clash"))
    if pens.APART in used:
        ends = Point(1.0, 0.0), Point(SAMPLE - 1.0, 0.0)
        found.append((list(_gap_mark(*ends)), "gap"))
    if pens.RINGED_GAP in used:
        middle = Point(SAMPLE / 2.0, 0.0)
        found.append((list(_gap_mark(middle, middle)), "small gap"))
    return found


def _swatch(*, hatched: bool) -> list[Part]:
    corners = ((0.0, -2.0), (SAMPLE, -2.0), (SAMPLE, 2.0), (0.0, 2.0))
    parts: list[Part] = []
    if hatched:
        # 45 degrees over a height of 4 mm.
        for step in range(8):
            low = -2.0 + step * 2.0
            start, end = max(low, 0.0), min(low + 4.0, SAMPLE)
            parts.append(_straight(pens.BACK, start, -2.0 + start - low, end, -2.0 + end - low))
    frame = polygon(*(Point(x, y) for x, y in corners))
    return [*parts, Line(path=frame, pen=pens.PAPER_EDGE)]
