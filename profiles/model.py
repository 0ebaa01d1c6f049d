"""This module holds the model of a material's profile: what one material needs, tool by tool.

Every number is a `Figure` that says what it rests on and whether it was
measured.  Lengths are mm, grammage g/m².
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from foldwright.drawing import Side, Work
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


class Grain(StrEnum):
    """Which way the fibres of a sheet of stock run: along its long side or its short one."""

    LONG = "long"
    SHORT = "short"


@dataclass(frozen=True, kw_only=True, slots=True)
class Figure:
    """A number with what it rests on, in words, and how well it is known."""

    value: float
    basis: str
    confidence: Confidence
    # Where a figure was written does not make it another figure.
    place: Place = field(default=Place(), compare=False)


class SlitEnd(StrEnum):
    """What becomes of the end of a slit: cut in full, stopped short, or widened to a small hole."""

    FULL = "full"
    SHORT = "short"
    HOLE = "hole"


@dataclass(frozen=True, kw_only=True, slots=True)
class DashWay:
    """The rhythm of a score that is burned in dashes: `burn` mm, then `skip` mm left alone."""

    burn: Figure
    skip: Figure


@dataclass(frozen=True, kw_only=True, slots=True)
class ScoreWay:
    """How a tool scores: the work, and the lengths in mm that it needs.

    `inset` is how far a score stops short of an edge or a slit, `allowance` the
    length that a fold takes up for each ply that it wraps, `shift` how far each
    of the two lines of a double score lies from the fold (0: one single line).
    `valleys_from` is the face from which valleys are scored where the stock
    needs it; mountains are scored from the front.  `registration` is how far, in mm, lines
    of the second face may lie off, there where `valleys_from` is the back.
    `dashes` are there where a half cut is made in dashes.
    """

    work: Work
    inset: Figure
    allowance: Figure
    shift: Figure
    valleys_from: Side = Side.FRONT
    registration: Figure | None = None
    dashes: DashWay | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class BridgeWay:
    """How a part is held: `length` mm uncut about every `pitch` mm, `clear` mm from corners.

    `holds` is the mass in g that one bridge carries, None where length alone counts.
    """

    length: Figure
    pitch: Figure
    clear: Figure
    holds: Figure | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PerforationWay:
    """The rhythm of a perforation: `cut` mm through, then a `tie` of uncut mm."""

    cut: Figure
    tie: Figure


@dataclass(frozen=True, kw_only=True, slots=True)
class SlitWay:
    """How slits are made.

    `work` is through, or half-cut for a cut to depth; a `bridged` slit keeps
    bridges like an outline.  `end` says what becomes of its ends: `size` is how
    far it stops short, or the diameter of the hole, in mm; None for full ends.
    `tear` is the work of a slit that the design wants torn: perforated or half-cut.
    """

    work: Work = Work.THROUGH
    bridged: bool = False
    end: SlitEnd = SlitEnd.FULL
    size: Figure | None = None
    tear: Work = Work.PERFORATED


@dataclass(frozen=True, kw_only=True, slots=True)
class ToolWay:
    """What one tool needs for one material; `refused` says why the tool must not be used at all.

    A tool that is not refused has a `kerf` and a `tolerance`; where `refused` is
    set all else may be None.  `kerf` is the full width that the tool removes;
    where it differs by direction it is the width along x, and `kerf_y` that along
    y.  No `score` means that the material does not fold, no `bridge` that the
    tool needs none (a hand holds the part, a carrier sheet holds it).  `bridge`
    holds the piece; `waste` holds what falls out of openings, like the piece where
    it is None, and not at all where `waste_loose`.  A perforated score has a
    `perforation`.  `knife_offset` is how far a swivelling blade's tip trails its
    axis: information for the person at the machine, never worked into the lines.
    """

    tool: Tool
    kerf: Figure | None = None
    kerf_y: Figure | None = None
    score: ScoreWay | None = None
    bridge: BridgeWay | None = None
    waste: BridgeWay | None = None
    waste_loose: bool = False
    perforation: PerforationWay | None = None
    slit: SlitWay = SlitWay()
    tolerance: Figure | None = None
    knife_offset: Figure | None = None
    cautions: tuple[str, ...] = ()
    refused: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Profile:
    """A material: its paper, what it forgives, and what each tool needs.

    `grammage` is g/m², `caliper` mm, `gives_mm` the gap in mm that the material
    forgives.  `made_of` names what it is made of, as a registered material
    or a user's own file says itself, never a base for it; nothing is burned whose
    make-up is unknown.  `harmful` is set where any file that the profile rests
    on names something with harmful fumes, and `doubtful` where one speaks of a
    layer or a foam that a workshop must be asked about: a file laid over it cannot
    unsay that.
    """

    name: str
    about: str
    grammage: Figure
    caliper: Figure
    gives_mm: Figure
    made_of: str | None = None
    harmful: str | None = None
    doubtful: str | None = None
    grain: Grain | None = None
    based_on: str | None = field(default=None, compare=False)
    cautions: tuple[str, ...] = ()
    tools: Mapping[Tool, ToolWay] = field(default_factory=lambda: MappingProxyType({}))
    place: Place = field(default=Place(), compare=False)


# It ends every list of cautions.
LAST_CAUTION = "Follow the machine's manual, the workshop's rules and local law."
