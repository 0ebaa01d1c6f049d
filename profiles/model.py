"""This module holds the model of a material's profile: what one material needs, tool by tool.

Every number is a `Figure` that says what it rests on and whether it was
measured.  Lengths are mm, grammage g/m².
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

from foldwright.drawing import Work
from foldwright.problems import Place


class Tool(StrEnum):
    """The ways in which a piece is cut and scored."""

    HAND = "hand"
    KNIFE = "knife"
    LASER = "laser"


class Confidence(StrEnum):
    """How well a figure is known."""

    MEASURED = "measured"
    ESTIMATE = "estimate"


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A number with what it rests on, in words, and how well it is known."""

    value: float
    basis: str
    confidence: Confidence
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class ScoreWay:
    """How a tool scores: the work, and the lengths in mm that it needs.

    `inset` is how far a score stops short of an edge or a slit, `allowance` the
    length that wrapped plies take, `shift` a sideways move for double scores.
    """

    work: Work
    inset: Figure
    allowance: Figure
    shift: Figure


@dataclass(frozen=True, kw_only=True, slots=True)
class BridgeWay:
    """How a part is held, in mm: uncut `length` about every `pitch`, `clear` of corners."""

    length: Figure
    pitch: Figure
    clear: Figure


@dataclass(frozen=True, kw_only=True, slots=True)
class PerforationWay:
    """The rhythm of a perforation: `cut` mm through, then a `tie` of uncut mm."""

    cut: Figure
    tie: Figure


@dataclass(frozen=True, kw_only=True, slots=True)
class ToolWay:
    """What one tool needs for one material; `refused` says why the tool must not be used at all.

    Where `refused` is set all else may be None.  No `bridge` means that the
    tool needs none (a hand holds the part, a carrier sheet holds it).
    """

    tool: Tool
    kerf: Figure | None = None
    score: ScoreWay | None = None
    bridge: BridgeWay | None = None
    perforation: PerforationWay | None = None
    tolerance: Figure | None = None
    cautions: tuple[str, ...] = ()
    refused: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Profile:
    """A material: its paper, what it forgives, and what each tool needs.

    `grammage` is g/m², `caliper` mm, `gives_mm` the gap in mm that the material
    forgives.  `made_of` names what it is made of; nothing is burned whose
    make-up is unknown.
    """

    name: str
    about: str
    grammage: Figure
    caliper: Figure
    gives_mm: Figure
    made_of: str | None = None
    grain: str | None = None
    based_on: str | None = None
    cautions: tuple[str, ...] = ()
    tools: Mapping[Tool, ToolWay] = MappingProxyType({})
    place: Place = Place()

    def cautions_for(self, tool: Tool) -> tuple[str, ...]:
        """The cautions of the material and the tool, ending with the one that is always last."""
        way = self.tools.get(tool)
        found = (*self.cautions, *(way.cautions if way is not None else ()), LAST_CAUTION)
        return tuple(dict.fromkeys(found))


LAST_CAUTION = "Follow the machine's manual, the workshop's rules and local law."
