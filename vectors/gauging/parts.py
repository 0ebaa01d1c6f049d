"""This module draws the outlines of the parts of gauges, bridged where the profile has bridges."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ..geometry import Path, Point, polygon
from ..measures.exact import MEETS_MM
from .model import Setting

# Between two parts, so that no cut is near another one, in mm.
APART_MM = 6.0


def rectangle(left: float, bottom: float, width: float, height: float) -> Path:
    """A rectangle; its edges are bottom, right, top and left, run anticlockwise."""
    right, top = left + width, bottom + height
    return polygon(Point(left, bottom), Point(right, bottom), Point(right, top), Point(left, top))


def comb(widths: Sequence[float], length: float, back: float) -> Path:
    """A comb whose back lies at the bottom, its teeth upwards, its lower left corner at 0, 0.

    Its first edge is the back, the second runs up its right side, the last down its left.
    """
    lefts = tooth_lefts(widths)
    places = [Point(0.0, 0.0), Point(lefts[-1] + widths[-1], 0.0)]
    for index, (left, width) in reversed(tuple(enumerate(zip(lefts, widths, strict=True)))):
        if index < len(widths) - 1:
            places.append(Point(left + width, back))
        places += [Point(left + width, back + length), Point(left, back + length)]
        if index > 0:
            places.append(Point(left, back))
    return polygon(*places)


def tooth_lefts(widths: Sequence[float]) -> list[float]:
    """Where each tooth of a comb begins, in mm from its left side."""
    return [sum(widths[:index]) + index * APART_MM for index in range(len(widths))]


def with_gaps(outline: Path, spots: Sequence[tuple[int, float]], gap: float) -> list[Path]:
    """The closed outline with gaps `gap` mm long, each about a share of one of its edges.

    Without a gap it stays whole; gaps that meet are one.
    """
    if gap <= 0.0 or not spots:
        return [outline]
    segments = outline.segments
    starts = [sum(one.length for one in segments[:index]) for index in range(len(segments))]
    middles = sorted(starts[edge] + share * segments[edge].length for edge, share in spots)
    total = outline.length
    following = (*middles[1:], middles[0] + total)
    return [
        outline.stretch(here + gap / 2.0, there - gap / 2.0)
        for here, there in zip(middles, following, strict=True)
        if there - here > gap + MEETS_MM
    ]


def held(outline: Path, spots: Sequence[tuple[int, float]], setting: Setting) -> list[Path]:
    """The outline of a part, bridged as the profile holds parts; whole where it needs none."""
    return with_gaps(outline, spots, setting.hold)


def along(edge: int, length: float, setting: Setting) -> list[tuple[int, float]]:
    """Spots for bridges along a long edge: two, or one for every pitch of the profile.

    Fewer where the edge would be more bridge than cut.
    """
    bridge, hold = setting.way.bridge, setting.hold
    if bridge is None:
        return []
    most = max(1, math.floor(length / (2.0 * hold)))
    count = min(most, max(2, round(length / bridge.pitch.value)))
    return [(edge, (index + 0.5) / count) for index in range(count)]


def rounded_up(value: float, step: float) -> float:
    """The next multiple of a step, a value that is one already as it is."""
    return round(-(-round(value / step, 6) // 1) * step, 6)


def told_apart(values: Sequence[float]) -> tuple[float, ...]:
    """Lengths of teeth: in steps of 0.05 mm, each once, rising."""
    return tuple(sorted({round(round(value / 0.05) * 0.05, 2) for value in values}))
