"""This module lays out an envelope folded from a square that stands on a corner.

The pocket lies in the middle of the square, turned by 45 degrees; the four corners of the
square are its flaps.  With the side (a + b) / sqrt 2 the corners of the pocket lie on the
edges of the square; what the side is longer closes the corners, and is cut out there in a
notch, so that no paper lies in two folds at once.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from ..design.pieces import Fold, PanelName, Piece, Sense
from ..geometry import Path, Point, Vector, Vertex
from ..measures.exact import MEETS_MM

CORNER_MM = 12.0
"""How much longer the side is than the least one where the design does not say; upper and lower
flaps then overlap by 17 mm even on a square card (common practice, no source)."""

NOTCH_RADIUS_MM = 1.75
"""Half of a round notch of 3.5 mm where two scores cross (common practice, no source)."""

OVERLAP_MM = 10.0
"""The least that the upper and the lower flap must overlap to be glued (common practice, no
source)."""

TIP_MM = 5.0
"""A flap ends so far before the opposite edge of the pocket (common practice, no source)."""

_ROOT = math.sqrt(2.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class SquareBlank:
    """A square blank for a pocket of `long_mm` by `short_mm`.

    `corner_mm` is how much its side is longer than the least one.
    """

    long_mm: float
    short_mm: float
    corner_mm: float = CORNER_MM

    @property
    def side_mm(self) -> float:
        """The side of the square."""
        return (self.long_mm + self.short_mm) / _ROOT + self.corner_mm

    @property
    def side_score_mm(self) -> float:
        """Where the score of a side flap meets the edges, from that flap's corner."""
        return self.side_mm - self.long_mm / _ROOT

    @property
    def upper_score_mm(self) -> float:
        """Where the score of the upper or lower flap meets the edges, from that flap's corner."""
        return self.side_mm - self.short_mm / _ROOT

    @property
    def side_flap_mm(self) -> float:
        """How deep a side flap is."""
        return min((self.side_mm * _ROOT - self.long_mm) / 2.0, self.long_mm - TIP_MM)

    @property
    def upper_flap_mm(self) -> float:
        """How deep the upper and the lower flap are; on a low pocket their tips are cut off."""
        return min((self.side_mm * _ROOT - self.short_mm) / 2.0, self.short_mm - TIP_MM)

    @property
    def overlap_mm(self) -> float:
        """By how much the upper flap lies on the lower one; negative where they do not meet."""
        return 2.0 * self.upper_flap_mm - self.short_mm

    @property
    def plies(self) -> int:
        """The most that lie on each other: the pocket and the flaps that meet on it."""
        return 5 if 2.0 * self.side_flap_mm > self.long_mm else 4

    @property
    def notch_mm(self) -> float:
        """The radius of the round notches; 0 where there is room for a V or for none."""
        # The edge must be farther away than the notch reaches.
        return NOTCH_RADIUS_MM if self.corner_mm / _ROOT > 1.5 * NOTCH_RADIUS_MM else 0.0

    def piece(self, name: str, stock: str | None = None) -> Piece:
        """The blank as a piece with its front, the inside of the envelope, up.

        It lies with its edges along the axes; the upper flap is its upper left corner.
        """
        middle = Point(self.side_mm / 2.0, self.side_mm / 2.0)
        reach = self.side_mm / _ROOT
        unit = 1.0 / _ROOT
        right, up = Vector(unit, unit), Vector(-unit, unit)
        ways = (right, up, -right, -up)
        halves = (self.long_mm / 2.0, self.short_mm / 2.0) * 2
        depths = (self.side_flap_mm, self.upper_flap_mm) * 2
        outline: list[Vertex] = []
        ends: dict[int, list[Point]] = {number: [] for number in range(4)}
        for number, way in enumerate(ways):
            after = (number + 1) % 4
            tip = halves[number] + depths[number]
            if reach - tip > MEETS_MM:
                across = ways[after] * (reach - tip)
                outline.append(Vertex(_cleared(middle + way * tip + -across)))
                outline.append(Vertex(_cleared(middle + way * tip + across)))
            else:
                outline.append(Vertex(_cleared(middle + way * reach)))
            outline += self._notch(middle, reach, way, ways[after], halves[number], halves[after])
            first, second = self._fold_ends(middle, way, ways[after], halves[number], halves[after])
            ends[number].append(first)
            ends[after].append(second)
        names = ("right flap", "upper flap", "left flap", "lower flap")
        return Piece(
            name=name,
            outline=Path(tuple(outline), closed=True),
            folds=tuple(
                Fold(
                    name=label.removesuffix(" flap"),
                    path=Path(tuple(Vertex(end) for end in ends[number])),
                    senses=(Sense.VALLEY,),
                    angle=Fraction(180),
                )
                for number, label in enumerate(names)
            ),
            panel_names=(
                PanelName(name="pocket", at=middle, cover=True),
                *(
                    PanelName(name=label, at=middle + way * (half + depth / 2.0))
                    for label, way, half, depth in zip(names, ways, halves, depths, strict=True)
                ),
            ),
            stock=stock,
        )

    def _notch(
        self, middle: Point, reach: float, way: Vector, after: Vector, half: float, next_half: float
    ) -> list[Vertex]:
        """The outline between two corners of the square, round one corner of the pocket."""
        corner = middle + way * half + after * next_half
        first, second = self._fold_ends(middle, way, after, half, next_half)
        if self.corner_mm == 0.0:
            return [Vertex(corner)]
        start = middle + way * (reach - next_half) + after * next_half
        end = middle + way * half + after * (reach - half)
        radius = self.notch_mm
        if radius == 0.0:
            return [Vertex(start), Vertex(corner), Vertex(end)]
        quarter = -math.tan(math.pi / 8.0)
        return [
            Vertex(start),
            Vertex(corner + way * radius, quarter),
            Vertex(first, quarter),
            Vertex(second, quarter),
            Vertex(corner + after * radius),
            Vertex(end),
        ]

    def _fold_ends(
        self, middle: Point, way: Vector, after: Vector, half: float, next_half: float
    ) -> tuple[Point, Point]:
        """Where the score of one flap ends at a corner of the pocket, and where the next begins."""
        corner = middle + way * half + after * next_half
        radius = self.notch_mm
        if radius == 0.0:
            return corner, corner
        return corner + after * -radius, corner + way * -radius


def _cleared(at: Point) -> Point:
    """A corner of the blank, without the rounding of double precision at its zeros."""
    x, y = at.floats()
    return Point(*(0.0 if abs(value) < 1e-9 else value for value in (x, y)))
