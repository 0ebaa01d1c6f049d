"""This module holds the form of the shipped patterns: their facts, and a function that draws."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ..design.pattern import Parameter, PatternParts


@dataclass(frozen=True, kw_only=True, slots=True)
class Parametric:
    """A pattern: its name, what it is, its parameters, and what draws its parts.

    `about` says in two sentences what it folds into, `closure` what must be so
    for it to close, `materials` the material that each of its stocks starts
    with.  `draw` takes the value of every parameter that is a count.
    """

    name: str
    about: str
    closure: str
    materials: Mapping[str, str]
    parameters: tuple[Parameter, ...]
    draw: Callable[[Mapping[str, int]], PatternParts]

    def parts(self, counts: Mapping[str, int]) -> PatternParts:
        """The pieces, joints, poses and usual mats for the given counts."""
        return self.draw(counts)
