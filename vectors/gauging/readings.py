"""This module holds what a filled form says: readings in mm, and where each was written."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from foldwright.profiles.model import Tool

from ..problems import Place


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """A length in mm that was measured, once or several times."""

    key: str
    values: tuple[float, ...]
    place: Place

    @property
    def mean(self) -> float:
        """The mean of the readings, in mm."""
        return math.fsum(self.values) / len(self.values)

    @property
    def spread(self) -> float:
        """From the smallest reading to the largest, in mm."""
        return max(self.values) - min(self.values)

    @property
    def squares(self) -> float:
        """The sum of the squared distances from the mean, in mm²."""
        mean = self.mean
        return math.fsum((value - mean) ** 2 for value in self.values)

    def told(self) -> str:
        """The reading in words: its mean, and how many it is the mean of."""
        if len(self.values) == 1:
            return f"{self.mean:.4g} mm"
        least, most = min(self.values), max(self.values)
        count = len(self.values)
        return f"{self.mean:.4g} mm (mean of {count}, from {least:.4g} to {most:.4g})"


@dataclass(frozen=True, kw_only=True, slots=True)
class Tooth:
    """The tooth of a gauge that was chosen, counted from 1; None where none would do."""

    key: str
    number: int | None
    place: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class Part:
    """A filled section: what was drawn, in mm, and what was measured of it."""

    drawn: Mapping[str, tuple[float, ...]]
    lengths: Mapping[str, Reading]
    teeth: Mapping[str, Tooth]
    place: Place


@dataclass(frozen=True, kw_only=True, slots=True)
class Form:
    """A form as it was filled in; `parts` are its sections by name."""

    material: str
    tool: Tool
    name: str
    made_of: str | None
    parts: Mapping[str, Part]
    place: Place
    material_place: Place
    made_of_place: Place

    def length(self, section: str, key: str) -> Reading | None:
        """A reading, None where it was left empty or is not in the form."""
        part = self.parts.get(section)
        return None if part is None else part.lengths.get(key)

    def tooth(self, section: str, key: str) -> Tooth | None:
        """The tooth that was chosen, None where that was left empty or is not in the form."""
        part = self.parts.get(section)
        return None if part is None else part.teeth.get(key)

    @property
    def empty(self) -> bool:
        """Whether nothing was filled in."""
        return not any(part.lengths or part.teeth for part in self.parts.values())
