"""This module holds what the lines of a piece make, as whichever way they are divided gives it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from ..problems import Problem
from .checks import Judged
from .model import Hinge, Knot, Panel
from .noding import Noded


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """The panels and hinges that lines make.

    `panel_of` tells the panel of a face of the plan, None where there is no paper;
    `loose` are the panels that folds do not join to the largest part of the piece,
    in order; `problems` what is wrong with the names of panels; `knots` finds the
    knots, those among them too that a fold runs straight on over.
    """

    judged: Judged
    panels: tuple[Panel, ...]
    hinges: tuple[Hinge, ...]
    panel_of: Callable[[int], int | None]
    loose: tuple[int, ...]
    problems: tuple[Problem, ...]
    knots: Callable[[], tuple[Knot, ...]]


class Lines(Protocol):
    """The lines of a piece, split where they meet, and the plan of all of them."""

    @property
    def noded(self) -> Noded:
        """The nodes and edges."""
        ...

    @property
    def everything(self) -> Judged:
        """The plan of all lines, those too that divide nothing."""
        ...

    def scored(self) -> list[int]:
        """The folds that are scored only, in part or all of them, in order."""
        ...

    def parts(self, tears: frozenset[int]) -> Parts:
        """What all lines make but the scores, and the slits with these numbers."""
        ...
