"""This module holds what a picture of a pose is drawn from: panels in space and what to mark."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ..design.pieces import Face, Sense
from ..folding import PanelKey
from ..folding.motion import Motion, Place3
from ..folding.skeleton import HingeKey
from ..geometry import Path, Point
from ..measures import Unit
from ..panels import Panel
from ..proving.posing import USUAL_VIEW_DEG

# So many names are told in a sentence; the rest are counted.
_MOST_NAMES = 6


@dataclass(frozen=True, kw_only=True, slots=True)
class Crease:
    """A hinge in a pose: the panels it joins, its ends on their flat paper, how it is turned.

    `turned` is in degrees in the fold's own sense, 0 flat, negative against it.
    """

    key: HingeKey
    label: str
    first: PanelKey
    second: PanelKey
    start: Point
    end: Point
    sense: Sense
    turned: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Glued:
    """A joint: the panel that is glued, the one it is glued to, and on which face of that."""

    label: str
    glued: PanelKey
    to: PanelKey
    face: Face


@dataclass(frozen=True, kw_only=True, slots=True)
class Laid:
    """Two panels of which one lies on the other, and on which face of that."""

    upper: PanelKey
    lower: PanelKey
    face: Face


@dataclass(frozen=True, kw_only=True, slots=True)
class Passing:
    """Two panels that pass through each other, and a place in space where they do."""

    first: PanelKey
    second: PanelKey
    at: Place3


@dataclass(frozen=True, kw_only=True, slots=True)
class Apart:
    """Two places in space that should meet, what should hold them together, how far they are off.

    `label` names the fold or the joint.
    """

    label: str
    one: Place3
    other: Place3
    mm: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Scene:
    """A design in one of its poses.

    `placed` is where `panels` are in space, in mm, z up, the table at z = 0; panels
    that are not placed are not drawn.  `scores`
    are lines that are scored and not folded, on the flat paper of a piece.  `given`
    are panels whose names the design gives.  `words` are sentences about the pose,
    the first one the most telling.  `view_deg` is the viewer's side.
    """

    design: str
    pose: str
    units: Unit
    panels: Mapping[PanelKey, Panel]
    placed: Mapping[PanelKey, Motion]
    creases: tuple[Crease, ...] = ()
    glued: tuple[Glued, ...] = ()
    laid: tuple[Laid, ...] = ()
    scores: tuple[tuple[str, Path], ...] = ()
    given: frozenset[PanelKey] = frozenset()
    passing: tuple[Passing, ...] = ()
    apart: tuple[Apart, ...] = ()
    words: tuple[str, ...] = ()
    view_deg: float = USUAL_VIEW_DEG

    def names(self) -> dict[PanelKey, str]:
        """The names of the panels, each with its piece's where it alone does not tell which."""
        return names_of(self.panels, self.given)


def names_of(panels: Mapping[PanelKey, Panel], given: frozenset[PanelKey]) -> dict[PanelKey, str]:
    """The names of panels, each with its piece's where it alone does not tell which."""
    pieces: dict[str, set[str]] = {}
    for (piece, _), panel in panels.items():
        pieces.setdefault(panel.name, set()).add(piece)
    several = len({piece for piece, _ in panels}) > 1
    return {
        key: panel.name
        if len(pieces[panel.name]) == 1 and (key in given or not several)
        else f"{key[0]}/{panel.name}"
        for key, panel in panels.items()
    }


def listed(names: Iterable[str]) -> str:
    """Names with commas between; of many the first few, and the rest counted."""
    every = list(names)
    shown, more = ", ".join(every[:_MOST_NAMES]), len(every) - _MOST_NAMES
    return f"{shown} and {more} more" if more > 0 else shown
