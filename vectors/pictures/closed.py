"""This module holds what the picture of the closed card is drawn from: both sides, plies, spill.

All places are in mm in the plane of the closed card, as it is seen from above; shapes are
shapely (multi)polygons there.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from ..design.pieces import Face
from ..folding import PanelKey
from ..geometry import Point
from ..measures import Unit


class Stroke(StrEnum):
    """What a line on a side of the closed card is; folds by their sense as they are seen.

    `SHUT` is a fold that is shut: the paper goes round it and it is a mountain from outside.
    """

    EDGE = "edge"
    SHUT = "shut"
    VALLEY = "valley"
    MOUNTAIN = "mountain"
    SCORED = "scored"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeenLine:
    """A line that is seen: a shapely line and what it is."""

    stroke: Stroke
    line: Any


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeenPanel:
    """What is seen of one panel from one side, and which face of its paper that is."""

    key: PanelKey
    name: str
    given: bool
    face: Face
    shape: Any


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class SeenPart:
    """What is seen of a mat or an extra."""

    name: str
    shape: Any


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Side:
    """One side of the closed card: what is seen from above, or from below.

    `no_foam` is the shape of what is seen where foam keeps the card from closing as it should,
    None without any.
    """

    above: bool
    panels: tuple[SeenPanel, ...]
    lines: tuple[SeenLine, ...]
    parts: tuple[SeenPart, ...] = ()
    no_foam: Any = None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PlyRegion:
    """A region, in one part, with the same number of plies and the same thickness all over.

    `mm` is None where the thickness is not known; `plies` is 0 where only an extra lies.
    """

    shape: Any
    plies: int
    mm: float | None


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Thickest:
    """The thickest place: as many plies, and mats and extras, as lie there."""

    at: Point
    plies: int
    mm: float
    mats: int = 0
    extras: int = 0


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Sticking:
    """Panels that stick out past the edge of another one, by `mm` between two places.

    `spills` tells whether it is past the rectangle round the cover; else they show beside it.
    """

    panels: tuple[str, ...]
    past: str
    spills: bool
    mm: float
    at: Point
    edge: Point
    shape: Any


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class InTheWay:
    """Panels that would have to pass through each other: names and shapes, a place, and why."""

    panels: tuple[tuple[str, Any], ...]
    at: Point
    why: str


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class FlatFace:
    """A face of a piece as it lies flat, with its no-foam zones and its folds as seen there.

    Shapes are in mm of the flat piece as it is seen from its front.  In `no_foam` foam keeps the
    card from closing as it should; in `grows`, None without any, the card becomes thicker, and
    `grows_elsewhere` tells that it does so everywhere else.
    """

    piece: str
    face: Face
    paper: Any
    folds: tuple[SeenLine, ...]
    no_foam: Any
    grows: Any
    grows_elsewhere: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class ClosedScene:
    """The closed card: its two sides, its plies, what sticks out of it, what is in the way.

    `outline` is all that it covers and `edges` the lines of all panels that lie in it.  `sides`
    is empty where no order of its plies is known: then `in_the_way` may say why.  `covering` is
    what nothing should stick out of, None where that is not told.  `faces` are the flat faces
    with zones where foam of `foam_mm` has no place.  `words` are sentences about it, the first
    one the most telling.
    """

    design: str
    units: Unit
    outline: Any
    edges: Any
    sides: tuple[Side, ...]
    regions: tuple[PlyRegion, ...]
    thickest: Thickest | None = None
    covering: Any = None
    sticking: tuple[Sticking, ...] = ()
    in_the_way: InTheWay | None = None
    faces: tuple[FlatFace, ...] = ()
    foam_mm: float | None = None
    words: tuple[str, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height of the closed card, in mm."""
        left, bottom, right, top = self.outline.bounds
        return right - left, top - bottom
