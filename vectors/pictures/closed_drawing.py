"""This module draws the closed card: its sides, its plies, its panels seen through each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

import shapely

from ..design.pieces import Face
from ..geometry import Point, circle, polygon
from ..measures import Unit
from ..measures.exact import MEETS_MM
from . import dimensions, pens
from .boxes import box_of_part, box_of_parts
from .closed import ClosedScene, FlatFace, PlyRegion, SeenLine, Side, Sticking, Stroke, Thickest
from .dimensions import size_text
from .labels import SIZE, Box, Label, labelled
from .lettering import shortened, width_of
from .model import Anchor, Area, Line, Part, Pen, Words
from .rooms import Rows, longest_of, middle_for, rows_in
from .scene import listed
from .shapes import Sheet, drawn, hatched, rims, rings_of

# From line to line of each hatching, in mm of the page.
BACK_MM, SPILL_MM, NO_FOAM_MM, GROWS_MM = 1.5, 1.0, 1.2, 2.0
# That of the most plies there are, and the widest; between them their number goes by the ink.
_MOST_PLIES_MM, _WIDEST_MM = 1.0, 6.0

# Folds and edges seldom run at the angles of the hatchings beside them.
SPILL_DEG, RISING_DEG, FALLING_DEG = 20.0, 45.0, -60.0

_NUMBER, _THICKNESS = 3.4, 2.4
_DOT = 0.8
# From the end of a row to a leader.
_INSET = 1.5
# An edge as near to what sticks out as this is one that it passes.
_NEAR = 0.05
# The longest name in a margin, in mm, and the most labels of one kind.
_LONGEST = 45.0
MOST_LABELS = 8

_STROKES: dict[Stroke, tuple[Pen, ...]] = {
    Stroke.EDGE: (pens.PAPER_EDGE,),
    Stroke.SHUT: (pens.CREASE, pens.MOUNTAIN_IN_SPACE),
    Stroke.VALLEY: (pens.VALLEY_IN_SPACE,),
    Stroke.MOUNTAIN: (pens.MOUNTAIN_IN_SPACE,),
    Stroke.SCORED: (pens.SCORED_IN_SPACE,),
}


def draw_side(scene: ClosedScene, side: Side, scale: float) -> list[Part]:
    """One side: faces, folds, what is glued on, what sticks out, no-foam zones, names, size."""
    sheet = Sheet(scale=scale, over=not side.above)
    parts: list[Part] = []
    # What is glued on hides the paper.
    hidden = shapely.union_all([one.shape for one in side.parts])
    for panel in side.panels:
        if panel.face is Face.BACK:
            bare = shapely.difference(panel.shape, hidden)
            parts += hatched(sheet.shape(bare), BACK_MM, RISING_DEG, pens.BACK)
    parts += _no_foam(side.no_foam, sheet)
    parts += _spills(scene, sheet)
    for part in side.parts:
        parts += rims(sheet.shape(part.shape), pens.GLUED_ON)
    parts += _lines(side.lines, sheet)
    marks, labels = _spill_marks(scene.sticking, sheet, scene.units)
    parts += marks
    taken = [box_of_part(part) for part in marks]
    names: list[Part] = []
    things = [(one.name, one.shape, True) for one in side.parts]
    things += [(one.name, one.shape, one.given) for one in side.panels]
    for name, shape, wanted in things:
        found = _named(name, sheet.shape(shape), taken, wanted=wanted)
        if isinstance(found, Label):
            labels.append(found)
        else:
            names += found
            taken += [box_of_part(part) for part in found[:1]]
    size = list(_size(scene, sheet))
    rim = box_of_parts([*parts, *size])
    return [*parts, *labelled(labels, rim), *names, *size]


def draw_plies(scene: ClosedScene, scale: float) -> tuple[list[Part], int]:
    """The map of plies with numbers and thickness, and how many regions have no number."""
    sheet = Sheet(scale=scale)
    most = max((region.plies for region in scene.regions), default=0)
    parts: list[Part] = []
    for region in scene.regions:
        if region.plies:
            spacing = min(_WIDEST_MM, _MOST_PLIES_MM * most / region.plies)
            parts += hatched(sheet.shape(region.shape), spacing, RISING_DEG, pens.PLIES)
    for region in scene.regions:
        parts += rims(sheet.shape(region.shape), pens.REGION)
    parts += rims(sheet.shape(scene.outline), pens.PAPER_EDGE)
    labels: list[Label] = []
    taken: list[Box] = []
    thickest = None if len(scene.regions) < 2 else scene.thickest
    if thickest is not None:
        at = sheet.spot(thickest.at)
        dot = Area(paths=(circle(at, _DOT),), fill=pens.INK)
        parts.append(dot)
        taken.append(box_of_part(dot))
        # Where most plies lie need not be where the card is thickest.
        text = _with_mm(_lie_there(thickest), thickest.mm, scene.units)
        labels.append(Label(text=f"thickest: {text}", places=(at,), bold=True))
    numbers: list[Part] = []
    small: list[tuple[float, Label]] = []
    for region in scene.regions:
        found = _numbered(region, sheet.shape(region.shape), taken, scene.units)
        if isinstance(found, Label):
            if thickest is None or not _holds(region, thickest):
                small.append((region.shape.area, found))
        else:
            numbers += found
    # The sort is stable: regions of one size stay in their order.
    small.sort(key=lambda one: -round(one[0], 6))
    labels += [label for _, label in small[:MOST_LABELS]]
    rim = box_of_parts(parts)
    return [*parts, *labelled(labels, rim), *numbers], max(0, len(small) - MOST_LABELS)


def _lie_there(there: Thickest) -> str:
    """All that lies at the thickest place."""
    parts = [_plies_text(there.plies)]
    for count, one in ((there.mats, "mat"), (there.extras, "extra")):
        if count:
            parts.append(f"{count} {one}" if count == 1 else f"{count} {one}s")
    return listed(parts)


def _holds(region: PlyRegion, thickest: Thickest) -> bool:
    """Whether the words about the thickest place tell of this region."""
    return region.plies == thickest.plies and bool(
        shapely.dwithin(region.shape, shapely.Point(*thickest.at.floats()), MEETS_MM)
    )


def draw_through(scene: ClosedScene, scale: float) -> list[Part]:
    """The edges of all panels, whatever lies above them, with those in each other's way."""
    sheet = Sheet(scale=scale)
    parts: list[Part] = list(_spills(scene, sheet))
    parts += drawn(sheet.shape(shapely.line_merge(scene.edges)), pens.THROUGH)
    parts += rims(sheet.shape(scene.outline), pens.PAPER_EDGE)
    marks, labels = _spill_marks(scene.sticking, sheet, scene.units)
    parts += marks
    if scene.in_the_way is not None:
        at = sheet.spot(scene.in_the_way.at)
        for name, shape in scene.in_the_way.panels[:MOST_LABELS]:
            on_page = sheet.shape(shape)
            parts += rims(on_page, pens.CLASH)
            text = shortened(name, _LONGEST, SIZE)
            labels.append(Label(text=text, places=_on_rim(on_page)))
        parts.append(Line(path=circle(at, 2.4), pen=pens.RING_OF_CLASH))
        labels.append(Label(text="in each other's way", places=(at,), bold=True))
    size = list(_size(scene, sheet))
    return [*parts, *labelled(labels, box_of_parts([*parts, *size])), *size]


def draw_face(face: FlatFace, scale: float) -> list[Part]:
    """A face of a flat piece with its folds and no-foam zones."""
    sheet = Sheet(scale=scale, over=face.face is Face.BACK)
    parts: list[Part] = list(_no_foam(face.no_foam, sheet))
    if face.grows is not None:
        parts += hatched(sheet.shape(face.grows), GROWS_MM, FALLING_DEG, pens.GROWS)
    parts += rims(sheet.shape(face.paper), pens.PAPER_EDGE)
    parts += _lines(face.folds, sheet)
    return parts


def _lines(lines: Iterable[SeenLine], sheet: Sheet) -> Iterator[Line]:
    """Lines that bound paper come last: they are the heaviest."""
    every = list(lines)
    every.sort(key=lambda one: one.stroke is Stroke.EDGE)
    for one in every:
        for pen in _STROKES[one.stroke]:
            yield from drawn(sheet.shape(one.line), pen)


def _no_foam(zone: Any, sheet: Sheet) -> Iterator[Line]:
    """Hatched with a rim, since along a fold it is narrow."""
    if zone is not None:
        yield from hatched(sheet.shape(zone), NO_FOAM_MM, FALLING_DEG, pens.NO_FOAM)
        yield from rims(sheet.shape(zone), pens.NO_FOAM)


def _spills(scene: ClosedScene, sheet: Sheet) -> Iterator[Part]:
    """What sticks out, hatched once however many panels do there, and the edge that it passes."""
    if not scene.sticking:
        return
    spills, beside = (
        shapely.union_all([one.shape for one in scene.sticking if one.spills == spills])
        for spills in (True, False)
    )
    beside = shapely.difference(beside, spills)
    for shape, pen in ((beside, pens.BESIDE), (spills, pens.SPILL)):
        yield from hatched(sheet.shape(shape), SPILL_MM, SPILL_DEG, pen)
    edge = sheet.shape(scene.covering.boundary)
    near = shapely.buffer(sheet.shape(shapely.union(spills, beside)), _NEAR)
    passed = _lines_of(shapely.intersection(edge, near))
    yield from drawn(shapely.line_merge(passed), pens.PASSED)


def _lines_of(shape: Any) -> Any:
    parts = shapely.get_parts(shape).tolist()
    return shapely.MultiLineString([one for one in parts if isinstance(one, shapely.LineString)])


def _spill_marks(
    sticking: Sequence[Sticking], sheet: Sheet, units: Unit
) -> tuple[list[Part], list[Label]]:
    """A dimension from the edge to the farthest place of each panel that sticks out."""
    parts: list[Part] = []
    labels: list[Label] = []
    for one in sticking[:MOST_LABELS]:
        edge, at = sheet.spot(one.edge), sheet.spot(one.at)
        parts += dimensions.measured(edge, at)
        names = shortened(", ".join(one.panels), 1.5 * _LONGEST, SIZE)
        past = shortened(one.past, _LONGEST, SIZE)
        how = "past" if one.spills else "beside"
        text = f"{names}: {size_text(one.mm, units)} {how} {past}"
        labels.append(Label(text=text, places=(edge.between(at, 0.5),), bold=True))
    return parts, labels


def _size(scene: ClosedScene, sheet: Sheet) -> Iterator[Part]:
    left, bottom, right, top = sheet.shape(scene.outline).bounds
    width, height = scene.size
    yield from dimensions.below(left, right, bottom, size_text(width, scene.units))
    yield from dimensions.beside(bottom, top, left, size_text(height, scene.units))


def _named(name: str, shape: Any, taken: Sequence[Box], *, wanted: bool) -> list[Part] | Label:
    """A name on its shape, or in the margin; one that is not `wanted` only where it has room."""
    rows = rows_in(rings_of(shape), taken)
    at = middle_for(rows, width_of(name, SIZE), SIZE)
    if at is not None:
        return list(_on_paper([(name, SIZE, False)], at))
    places = _places_on(rows)
    if not wanted or not places:
        return []
    return Label(text=shortened(name, _LONGEST, SIZE), places=places)


def _numbered(
    region: PlyRegion, shape: Any, taken: Sequence[Box], units: Unit
) -> list[Part] | Label:
    """The number of plies on its region, with the thickness where there is room for it."""
    rows = rows_in(rings_of(shape), taken)
    number = str(region.plies)
    wide = width_of(number, _NUMBER, bold=True)
    if region.mm is not None:
        mm = size_text(region.mm, units)
        both = max(wide, width_of(mm, _THICKNESS))
        at = middle_for(rows, both, _NUMBER + _THICKNESS + 1.0)
        if at is not None:
            return list(_on_paper([(number, _NUMBER, True), (mm, _THICKNESS, False)], at))
    else:
        at = middle_for(rows, wide, _NUMBER)
        if at is not None:
            return list(_on_paper([(number, _NUMBER, True)], at))
    inside = shapely.point_on_surface(shape)
    places = _places_on(rows) or (Point(inside.x, inside.y),)
    return Label(text=_with_mm(_plies_text(region.plies), region.mm, units), places=places)


def _places_on(rows: Rows) -> tuple[Point, ...]:
    """The middle of the longest row, and places near its ends."""
    stretch = longest_of(rows)
    if stretch is None:
        return ()
    left, right, y = stretch
    inset = min(_INSET, (right - left) / 3.0)
    return tuple(Point(x, y) for x in ((left + right) / 2.0, right - inset, left + inset))


def _plies_text(plies: int) -> str:
    if plies == 0:
        return "no paper"
    return "1 ply" if plies == 1 else f"{plies} plies"


def _with_mm(text: str, mm: float | None, units: Unit) -> str:
    return text if mm is None else f"{text}, {size_text(mm, units)}"


def _on_paper(
    rows: Sequence[tuple[str, float, bool]], middle: tuple[float, float]
) -> Iterator[Part]:
    """Rows of words (text, size, bold) on plain paper, whatever hatching runs there."""
    x, y = middle
    tall = sum(size for _, size, _ in rows) + 1.0 * (len(rows) - 1)
    wide = max(width_of(text, size, bold=bold) for text, size, bold in rows)
    half, high = wide / 2.0 + 0.4, tall / 2.0 + 0.5
    corners = ((-half, -high), (half, -high), (half, high), (-half, high))
    frame = polygon(*(Point(x + dx, y + dy) for dx, dy in corners))
    yield Area(paths=(frame,), fill=pens.PAPER)
    top = y + tall / 2.0
    for text, size, bold in rows:
        base = top - size * 0.85
        yield Words(text=text, at=Point(x, base), size=size, anchor=Anchor.MIDDLE, bold=bold)
        top -= size + 1.0


def _on_rim(shape: Any) -> tuple[Point, ...]:
    """The middle of each straight stretch of the rim of a shape."""
    return tuple(
        start.between(end, 0.5)
        for line in rims(shape, pens.CLASH)
        for start, end in ((segment.start, segment.end) for segment in line.path.segments)
    )
