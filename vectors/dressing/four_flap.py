"""This module lays out a straight envelope of four flaps: two at its sides, a lower, an upper one.

The lower flap is glued to the side flaps, the upper one closes it.  Flaps are narrower
towards their ends and start a little away from the corners of the pocket, so that they
neither jam nor tear.  A thick card gets walls: each flap then turns on two folds, as far
apart as the envelope is deep.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from ..design.pieces import Fold, PanelName, Piece, Sense
from ..geometry import Path, Point, Vector, Vertex
from ..measures.exact import MEETS_MM

# All of these are common practice without a source.
SIDE_FLAP_MM = 20.0
LOWER_SHARE = 0.7
UPPER_SHARE = 0.45
OVERLAP_MM = 12.0
RELIEF_MM = 1.5
SIDE_TAPER_DEG = 10.0
TAPER_DEG = 5.0
# No flap of the sides is wider than this share of the pocket: the two must not meet.
_SIDE_SHARE = 0.3


@dataclass(frozen=True, kw_only=True, slots=True)
class FourFlap:
    """A four-flap envelope for a pocket of `long_mm` by `short_mm`, `depth_mm` deep.

    The depths of its flaps are taken up to whole steps of `step_mm`, where that is not 0.
    """

    long_mm: float
    short_mm: float
    depth_mm: float = 0.0
    step_mm: float = 0.0

    @property
    def side_flap_mm(self) -> float:
        """How deep a side flap is."""
        return self._stepped(min(SIDE_FLAP_MM, _SIDE_SHARE * self.long_mm))

    @property
    def lower_flap_mm(self) -> float:
        """How deep the lower flap is."""
        return self._stepped(LOWER_SHARE * self.short_mm)

    @property
    def upper_flap_mm(self) -> float:
        """How deep the upper flap is: enough to lie on the lower one, no more than the pocket."""
        enough = self.short_mm - self.lower_flap_mm + OVERLAP_MM
        return self._stepped(min(max(UPPER_SHARE * self.short_mm, enough), 0.9 * self.short_mm))

    def _stepped(self, deep_mm: float) -> float:
        if self.step_mm == 0.0:
            return deep_mm
        return math.ceil(deep_mm / self.step_mm - MEETS_MM) * self.step_mm

    @property
    def overlap_mm(self) -> float:
        """By how much the upper flap lies on the lower one; negative where they do not meet."""
        return self.lower_flap_mm + self.upper_flap_mm - self.short_mm

    @property
    def plies(self) -> int:
        """The most that lie on each other: the pocket, a side flap, the lower and the upper one."""
        return 4

    @property
    def blank_mm(self) -> tuple[float, float]:
        """The width and the height of the blank."""
        walls = 2.0 * self.depth_mm
        return (
            self.long_mm + 2.0 * self.side_flap_mm + walls,
            self.short_mm + self.lower_flap_mm + self.upper_flap_mm + walls,
        )

    def piece(self, name: str, stock: str | None = None) -> Piece:
        """The blank as a piece with its front, the inside of the envelope, up."""
        start = Point(self.side_flap_mm + self.depth_mm, self.lower_flap_mm + self.depth_mm)
        wide, high = Vector(self.long_mm, 0.0), Vector(0.0, self.short_mm)
        right, up = Vector(1.0, 0.0), Vector(0.0, 1.0)
        flaps = (
            _Flap("lower", start, right, -up, self.long_mm, self.lower_flap_mm, TAPER_DEG),
            _Flap("right", start + wide, up, right, self.short_mm, self.side_flap_mm,
                  SIDE_TAPER_DEG),
            _Flap("upper", start + wide + high, -right, up, self.long_mm, self.upper_flap_mm,
                  TAPER_DEG),
            _Flap("left", start + high, -up, -right, self.short_mm, self.side_flap_mm,
                  SIDE_TAPER_DEG),
        )  # fmt: skip
        outline = [Vertex(at) for flap in flaps for at in flap.outline(self.depth_mm)]
        names = [PanelName(name="pocket", at=start + wide * 0.5 + high * 0.5, cover=True)]
        for flap in flaps:
            names += flap.panels(self.depth_mm)
        return Piece(
            name=name,
            outline=Path(tuple(outline), closed=True),
            folds=tuple(fold for flap in flaps for fold in flap.folds(self.depth_mm)),
            panel_names=tuple(names),
            stock=stock,
        )


@dataclass(frozen=True, slots=True)
class _Flap:
    """A flap: its edge of the pocket from `start` `along`, `out` away from the pocket."""

    name: str
    start: Point
    along: Vector
    out: Vector
    edge_mm: float
    deep_mm: float
    taper_deg: float

    def at(self, along_mm: float, out_mm: float) -> Point:
        return self.start + self.along * along_mm + self.out * out_mm

    def outline(self, wall_mm: float) -> Iterator[Point]:
        """From its corner of the pocket round the flap to the next corner, which is left out."""
        far = self.edge_mm - RELIEF_MM
        narrow = min(self.deep_mm * math.tan(math.radians(self.taper_deg)), far / 2.5)
        yield self.at(0.0, 0.0)
        yield self.at(RELIEF_MM, 0.0)
        if wall_mm:
            yield self.at(RELIEF_MM, wall_mm)
        yield self.at(RELIEF_MM + narrow, wall_mm + self.deep_mm)
        yield self.at(far - narrow, wall_mm + self.deep_mm)
        if wall_mm:
            yield self.at(far, wall_mm)
        yield self.at(far, 0.0)

    def folds(self, wall_mm: float) -> Iterator[Fold]:
        names = (f"{self.name} inner", f"{self.name} outer") if wall_mm else (self.name,)
        for name, out in zip(names, (0.0, wall_mm), strict=False):
            ends = self.at(RELIEF_MM, out), self.at(self.edge_mm - RELIEF_MM, out)
            yield Fold(
                name=name,
                path=Path(tuple(Vertex(end) for end in ends)),
                senses=(Sense.VALLEY,),
                angle=Fraction(90 if wall_mm else 180),
            )

    def panels(self, wall_mm: float) -> Iterator[PanelName]:
        middle = self.edge_mm / 2.0
        if wall_mm:
            yield PanelName(name=f"{self.name} wall", at=self.at(middle, wall_mm / 2.0))
        yield PanelName(name=f"{self.name} flap", at=self.at(middle, wall_mm + self.deep_mm / 2.0))
