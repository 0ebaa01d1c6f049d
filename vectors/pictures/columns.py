"""This module stacks lines of words and small drawings from the top of a column down."""

from __future__ import annotations

from collections.abc import Sequence

from ..geometry import Point, Vector
from .lettering import LINE_HEIGHT, broken
from .model import Part, Words, moved

BODY = 3.2
"""The size of plain words, in mm."""


class TextColumn:
    """Lines of words from the top down, broken to a width, with drawings between them."""

    def __init__(self, width: float) -> None:
        self._width = width
        self._parts: list[Part] = []
        self.height = 0.0

    @property
    def parts(self) -> tuple[Part, ...]:
        """All lines so far, the upper left corner at the origin."""
        return tuple(self._parts)

    def add(
        self, text: str, *, size: float = BODY, bold: bool = False, indent: float = 0.0
    ) -> None:
        """Add words below the rest."""
        for line in broken(text, self._width - indent, size, bold=bold):
            self.height += size * LINE_HEIGHT
            base = -self.height + size * (LINE_HEIGHT - 1.0)
            self._parts.append(Words(text=line, at=Point(indent, base), size=size, bold=bold))

    def space(self) -> None:
        """Leave half a line free."""
        self.height += BODY * 0.7

    def draw(self, parts: Sequence[Part], height: float) -> None:
        """Add a drawing whose upper left corner is the origin."""
        self.height += 1.0
        self._parts += moved(parts, Vector(0.0, -self.height))
        self.height += height
