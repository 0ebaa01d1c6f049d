"""This module finds the room for words on a card: on the panels that are seen, and on its back.

Room is the largest rectangle on what is seen of a panel, the way up that its viewer sees
it.  It keeps the usual margin of a mat from outline, slits, folds and openings, and lies clear
of what is drawn or glued on as an extra; mats may carry it.  The back is that of the
flat first piece: it keeps off folds too, so that it is the same on the closed card.  A panel
whose back is glued to something has no room there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import shapely

from ..design.pieces import Face, Mark
from ..folding import PanelKey
from ..geometry import Path, Point, union_box
from ..geometry.areas import areas_of
from ..geometry.offset_check import flattened
from ..lettering import set_text
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import Panel
from ..proving import Proof
from ..stacking.glued import glued_on
from ..stacking.margins import usual_margin
from ..stacking.mats import inset, panel_keys, panels_of
from .directions import pose_seen
from .rectangles import Rectangle, largest_rectangle
from .shapes import shape_of, tilt
from .visible import VisiblePanel, visible_panels

# Room is looked for on no more panels than this, the ones of which most is seen.
MOST_PANELS = 60

# Room that is narrower than this, in mm, is none for words: common practice, no source.
LEAST_ROOM_MM = 10.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """Room for words on a face of a panel.

    `rectangle` lies on the flat paper as it is seen from the front; `width_mm` and `height_mm`
    are its sides with the words upright.  `margin_mm` is what it keeps from the edge of the panel;
    `on_mat` tells whether a mat lies there.
    """

    panel: PanelKey
    face: Face
    rectangle: Rectangle
    width_mm: float
    height_mm: float
    margin_mm: float
    on_mat: bool

    @property
    def area_mm2(self) -> float:
        """The area in mm²."""
        return self.width_mm * self.height_mm


@dataclass(frozen=True, kw_only=True, slots=True)
class Greeting:
    """The room for words on a card.

    `visible` are the panels that are seen in the pose `seen_in`, `panels` the room on them, in
    the same order, `back` the largest on the back of the first piece.  `writing` is the best of
    them all: the largest on bare paper, or else the largest on a mat.
    """

    visible: tuple[VisiblePanel, ...]
    panels: tuple[Room, ...]
    back: Room | None
    writing: Room | None
    seen_in: str


def greeting_of(proof: Proof) -> Greeting | None:
    """The room for words on a card; None where its panels are not known."""
    seen = pose_seen(proof) if proof.closed is not None else None
    if seen is None:
        return None
    places = _Places(proof)
    visible = visible_panels(proof.assembly, seen)
    largest = sorted(visible, key=lambda one: -one.area_mm2)[:MOST_PANELS]
    looked = {one.panel for one in largest}
    panels = tuple(
        room
        for one in visible
        if one.panel in looked
        for room in [places.room(one.panel, one.face, one.up_on_front, one.shape)]
        if room is not None
    )
    back = max(places.backs(), key=_worth, default=None)
    every = panels if back is None else (*panels, back)
    return Greeting(
        visible=visible,
        panels=panels,
        back=back,
        writing=max(every, key=_worth, default=None),
        seen_in=seen.pose.name,
    )


def _worth(room: Room) -> tuple[bool, float]:
    # Areas that differ by rounding are equal, and the first of them counts.
    return not room.on_mat, round(room.area_mm2, 3)


class _Places:
    """The panels of a card with what lies on each of their faces."""

    def __init__(self, proof: Proof) -> None:
        resolved, self.assembly = proof.resolved, proof.assembly
        self.units = Unit(resolved.units)
        keys = panel_keys(self.assembly)
        self.matted = {(key, mat.face) for mat in resolved.mats for key in panels_of(mat, keys)}
        self.joined = {
            end
            for joint in self.assembly.joints
            for end in (
                (joint.glued, joint.joint.glue.face),
                (joint.to, joint.joint.to.face),
            )
        }
        self.extras: dict[tuple[PanelKey, Face], list[Any]] = {}
        placed = [extra for extra in resolved.extras if (extra.piece, extra.panel) in keys]
        for one in glued_on(self.assembly, (), placed, {}):
            self.extras.setdefault((one.panel, one.face), []).append(one.shape)

    def backs(self) -> Iterator[Room]:
        """The room on the back of each panel of the first piece, the largest panels only."""
        division = next(iter(self.assembly.divisions.values()))
        for panel in sorted(division.panels, key=lambda one: -one.area)[:MOST_PANELS]:
            key = division.piece.name, panel.index
            if (key, Face.BACK) not in self.joined:
                up = 90.0 + tilt(shape_of(panel.ring, ()))
                room = self.room(key, Face.BACK, up, None)
                if room is not None:
                    yield room

    def room(self, key: PanelKey, face: Face, up: float, seen: Any | None) -> Room | None:
        """The room on a face of a panel, within what is `seen` of it, `up` upright."""
        division = self.assembly.divisions[key[0]]
        panel = division.panels[key[1]]
        margin = usual_margin(panel, self.units)
        shape = _polygon(panel, margin)
        if seen is not None:
            shape = shape.intersection(seen)
        marks = [mark for mark in division.piece.marks if mark.face is face]
        for area in (*_areas(marks), *self.extras.get((key, face), ())):
            shape = shape.difference(area)
        # Many short chords say no more than a few; what is left along an edge is no polygon.
        shape = areas_of(shape.simplify(MEETS_MM))
        found = largest_rectangle(shape, up - 90.0, [*_lines(marks)])
        if found is None or min(found.width, found.height) < LEAST_ROOM_MM:
            return None
        return Room(
            panel=key,
            face=face,
            rectangle=found,
            width_mm=round(found.width, 6),
            height_mm=round(found.height, 6),
            margin_mm=margin,
            on_mat=(key, face) in self.matted,
        )


def _polygon(panel: Panel, margin: float) -> Any:
    outlines, holes = inset(panel, margin)
    whole = shapely.union_all([shapely.Polygon(flattened(path, MEETS_MM)) for path in outlines])
    return whole.difference(
        shapely.union_all([shapely.Polygon(flattened(one, MEETS_MM)) for one in holes])
    )


def _areas(marks: Sequence[Mark]) -> Iterator[Any]:
    """What closed lines and texts cover."""
    for mark in marks:
        if mark.path is not None and mark.path.closed:
            yield shapely.Polygon(flattened(mark.path, MEETS_MM)).buffer(0)
        elif mark.text is not None and mark.at is not None and mark.height is not None:
            at, height = Point(*mark.at.floats()), float(mark.height)
            strokes: tuple[Path, ...] = set_text(mark.text, at=at, height=height).strokes
            if strokes:
                yield shapely.box(*union_box(path.box() for path in strokes))


def _lines(marks: Sequence[Mark]) -> Iterator[list[tuple[float, float]]]:
    for mark in marks:
        if mark.path is not None and not mark.path.closed:
            yield flattened(mark.path, MEETS_MM)
