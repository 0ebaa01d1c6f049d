"""This module holds what a compile pass is given beside the drawing, and what it hands back."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from foldwright.profiles.machine import Machine
from foldwright.profiles.model import Profile, Tool, ToolWay

from ..design.pieces import Piece
from ..drawing import Drawing
from ..problems import Problem, problem


class TurnAbout(StrEnum):
    """The edge of the sheet about which it is turned over to be worked from its back."""

    LEFT = "left"
    RIGHT = "right"
    BOTTOM = "bottom"
    TOP = "top"

    @property
    def is_upright(self) -> bool:
        """Whether the edge runs up and down, so that left and right change places."""
        return self in (TurnAbout.LEFT, TurnAbout.RIGHT)


@dataclass(frozen=True, kw_only=True, slots=True)
class CompileOptions:
    """What a person asked for.

    `pretrimmed` leaves the outline out, `size_bar` adds bars; `turn_about` is
    the edge about which the sheet is turned where its back is worked; `machine`
    is the machine that works it, None where it is not known; `stands` says that
    the design is a card that stands.
    """

    pretrimmed: bool = False
    size_bar: bool = False
    turn_about: TurnAbout = TurnAbout.LEFT
    machine: Machine | None = None
    stands: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """Everything a pass may look at: the piece as designed, and how material and tool take it."""

    piece: Piece
    profile: Profile
    tool: Tool
    way: ToolWay
    options: CompileOptions = CompileOptions()

    @property
    def kerf(self) -> float:
        """The full width that the tool removes, in mm, the larger of two; 0 where none is given."""
        return max(self.kerfs)

    @property
    def kerfs(self) -> tuple[float, float]:
        """The full width that the tool removes along x and along y, in mm; 0 where not given."""
        along_x = 0.0 if self.way.kerf is None else self.way.kerf.value
        return along_x, along_x if self.way.kerf_y is None else self.way.kerf_y.value

    def problem(
        self, code: str, *, at: tuple[float, float] | None = None, **fields: object
    ) -> Problem:
        """A problem of this piece; `place` and `measure_mm` may be among the fields."""
        return problem(code, piece=self.piece.name, at=at, **fields)  # type: ignore[arg-type]


@dataclass(frozen=True, slots=True)
class Passed:
    """What one pass hands on: a new drawing, and what it found."""

    drawing: Drawing
    findings: tuple[Problem, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Compiled:
    """The drawing of one piece, and all findings of its passes."""

    drawing: Drawing
    findings: tuple[Problem, ...] = ()
