"""This module holds the model of a machine: where it can work, which way up, and how fast.

Lengths are mm, speeds mm/s.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from foldwright.drawing import Layer
from foldwright.problems import Place, ProfileError, problem

from .model import Tool


class Corner(StrEnum):
    """A corner of the work area, seen from above."""

    LOWER_LEFT = "lower left"
    LOWER_RIGHT = "lower right"
    UPPER_LEFT = "upper left"
    UPPER_RIGHT = "upper right"


class Lies(StrEnum):
    """Which way the front of the job lies in the machine."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True, kw_only=True, slots=True)
class Rim:
    """How much of the work area cannot be reached along each of its edges, in mm."""

    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    top: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Machine:
    """A machine as its user describes it.

    `width` and `height` are its work area in mm, `rim` what of it cannot be
    reached.  `origin` is the corner of the work area where a sheet's corner is laid.
    `face` says which way the front of the job lies.  `speeds` are mm/s for each
    layer and `travel` that between strokes, for estimates of time only; empty and
    None where they are not given.  `enclosed` is whether a laser is shut in; None
    where that is not said.
    """

    name: str
    width: float
    height: float
    about: str | None = None
    tool: Tool | None = None
    rim: Rim = Rim()
    origin: Corner = Corner.LOWER_LEFT
    face: Lies = Lies.UP
    speeds: Mapping[Layer, float] = field(default_factory=lambda: MappingProxyType({}))
    travel: float | None = None
    enclosed: bool | None = None
    cautions: tuple[str, ...] = ()
    place: Place = field(default=Place(), compare=False)


def check_tool(machine: Machine, tool: Tool) -> None:
    """Raises ProfileError where the machine says that it works with another tool."""
    if machine.tool is not None and machine.tool is not tool:
        raise ProfileError(
            problem(
                "machine-of-another-tool",
                place=machine.place,
                machine=machine.name,
                its_tool=machine.tool.value,
                tool=tool.value,
            )
        )
