"""This module holds what a piece is divided into: panels, hinges, knots, and the hinge graph."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from operator import itemgetter

from ..design.pieces import Fold, Joint, Piece, Sense
from ..geometry import Path, Point, Segment
from ..measures.exact import Number
from ..problems import Place, Problem
from .deferred import Deferred


@dataclass(frozen=True, kw_only=True, slots=True)
class Panel(Deferred):
    """A region of a piece bounded by outline, openings, slits and folds.

    `ring` is its outer boundary, anticlockwise, `holes` its inner ones,
    clockwise, all closed and in float coordinates.  `area` is in mm², less the
    holes.
    """

    index: int
    name: str
    ring: Path
    holes: tuple[Path, ...]
    area: float

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top, in mm."""
        return self.ring.box()


@dataclass(frozen=True, kw_only=True, slots=True)
class Hinge(Deferred):
    """A stretch of fold that joins two panels.

    `fold` is the fold's index in the piece and `segment` that of the straight
    part it lies on; `line` gives that part as it was designed, exact where the
    design is: it is the line that the panels turn on.  `start` and `end` are
    the ends of the stretch itself, `left` and `right` the panels beside it as
    one looks from start to end.  `label` is the fold's name, with `#2` and so
    on where a fold is several hinges.
    """

    index: int
    label: str
    fold: int
    segment: int
    line: Segment
    start: Point
    end: Point
    left: int
    right: int
    sense: Sense
    angle: Number
    place: Place = Place()


class KnotKind(StrEnum):
    """What the hinges of a knot come together at."""

    VERTEX = "vertex"
    CLUSTER = "cluster"


@dataclass(frozen=True, kw_only=True, slots=True)
class Crossing:
    """A step of a walk round a knot: over a hinge from the panel `before` to the panel `after`.

    `outward` tells whether the hinge leads away from the knot as it runs from
    its start to its end.
    """

    hinge: int
    before: int
    after: int
    outward: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Knot:
    """What a loop of panels goes round: an inner vertex, or touching slits and openings.

    `name` is the loop's name, `at` a place to point at, `crossings` the hinges
    met on one clockwise walk round it.
    """

    name: str
    kind: KnotKind
    at: Point
    crossings: tuple[Crossing, ...]


@dataclass(frozen=True)
class Division(Deferred):
    """A piece divided: its panels, its hinges, and the knots that loops of panels go round.

    Where `problems` holds a stop, the division is not to be folded.
    """

    piece: Piece
    panels: tuple[Panel, ...]
    hinges: tuple[Hinge, ...]
    knots: tuple[Knot, ...]
    problems: tuple[Problem, ...] = ()

    def fold_of(self, hinge: Hinge) -> Fold:
        """The fold that a hinge is a stretch of."""
        return self.piece.folds[hinge.fold]

    @cached_property
    def neighbours(self) -> Mapping[int, tuple[tuple[int, int], ...]]:
        """For each panel the pairs (hinge, panel beyond it), by the place of that panel."""
        found: dict[int, list[tuple[int, int]]] = {panel.index: [] for panel in self.panels}
        for hinge in self.hinges:
            found[hinge.left].append((hinge.index, hinge.right))
            found[hinge.right].append((hinge.index, hinge.left))

        def place(pair: tuple[int, int]) -> tuple[int, tuple[float, ...]]:
            hinge = self.hinges[pair[0]]
            return pair[1], min(
                (*hinge.start.floats(), *hinge.end.floats()),
                (*hinge.end.floats(), *hinge.start.floats()),
            )

        def ordered(pairs: list[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
            # Where two panels share one hinge only, it need not be looked at.
            once = len({beyond for _, beyond in pairs}) == len(pairs)
            return tuple(sorted(pairs, key=itemgetter(1) if once else place))

        return {panel: ordered(pairs) for panel, pairs in found.items()}


@dataclass(frozen=True, kw_only=True, slots=True)
class GluedPanels:
    """A joint in the hinge graph: the panels, by piece and index, that it holds together."""

    joint: Joint
    glued: tuple[str, int]
    to: tuple[str, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class Assembly:
    """The hinge graph of a whole design: every piece divided, and the joints between panels."""

    divisions: Mapping[str, Division]
    joints: tuple[GluedPanels, ...]
    problems: tuple[Problem, ...] = ()

    def panel_called(self, key: tuple[str, int]) -> str:
        """A panel, by piece and index, as it is called: `base/front floor`."""
        piece, index = key
        return f"{piece}/{self.divisions[piece].panels[index].name}"
