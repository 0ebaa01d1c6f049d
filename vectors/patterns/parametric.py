"""This module holds the form of the shipped patterns: their facts, and a function that draws."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ..design.model import PieceDraft
from ..design.pattern import Parameter


@dataclass(frozen=True, kw_only=True, slots=True)
class Parametric:
    """A pattern: its name, what it folds into, its parameters, and what draws its pieces.

    `draw` takes the value of every parameter that is a count.
    """

    name: str
    about: str
    parameters: tuple[Parameter, ...]
    draw: Callable[[Mapping[str, int]], tuple[PieceDraft, ...]]

    def pieces(self, counts: Mapping[str, int]) -> tuple[PieceDraft, ...]:
        """The pieces for the given counts."""
        return self.draw(counts)
