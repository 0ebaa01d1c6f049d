"""This module holds what a gauge is: strokes in mm with its lower left corner at 0, 0."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from foldwright.profiles.cautions import cautions_for, needs_of
from foldwright.profiles.machine import Machine
from foldwright.profiles.model import Profile, Tool, ToolWay
from foldwright.profiles.ways import way_for

from ..drawing import Stroke, Work


class Sheet(StrEnum):
    """The sheets that gauges are laid on, in the order in which they are made."""

    SIZE = "size and kerf"
    FOLDS = "folds"
    COMBS = "bridges and perforation"


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """The material and the tool that the gauges are for, and the machine where one is named."""

    profile: Profile
    tool: Tool
    way: ToolWay
    machine: Machine | None = None

    @property
    def kerf(self) -> float:
        """The full width that the tool removes by the profile, in mm: what is to be measured."""
        return 0.0 if self.way.kerf is None else self.way.kerf.value

    @property
    def hold(self) -> float:
        """How long a gap is drawn that leaves a bridge of the profile's length; 0 for none."""
        return 0.0 if self.way.bridge is None else self.way.bridge.length.value + self.kerf

    @property
    def cautions(self) -> tuple[str, ...]:
        """What the person who makes the gauges must take care of."""
        machine, score = self.machine, self.way.score
        needs = needs_of(
            self.tool,
            enclosed=None if machine is None else machine.enclosed,
            blade_scores=score is not None and score.work is Work.HALF_CUT,
        )
        return cautions_for(
            self.profile, self.tool, needs, machine=() if machine is None else machine.cautions
        )


def setting_of(profile: Profile, tool: Tool, machine: Machine | None = None) -> Setting:
    """The setting.  Raises ProfileError where the tool must not be used on the material."""
    return Setting(profile=profile, tool=tool, way=way_for(profile, tool), machine=machine)


@dataclass(frozen=True, kw_only=True, slots=True)
class Gauge:
    """One gauge: what is drawn, and the lengths that its readings are held against.

    `section` is the name of its part of the form, `drawn` the lengths in mm by
    the keys that they have there.
    """

    section: str
    name: str
    sheet: Sheet
    strokes: tuple[Stroke, ...]
    width: float
    height: float
    drawn: Mapping[str, tuple[float, ...]] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, kw_only=True, slots=True)
class LeftOut:
    """A gauge that a material and a tool have no use for, and why."""

    section: str
    name: str
    reason: str
