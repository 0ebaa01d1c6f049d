"""This module lays out the pieces that the edge of an offset area is made of.

The area is the source's own, the bands that its sides sweep when they are
shifted, and a tip or a sector of a disc at each corner between them.  Its edge
is somewhere on the far sides of bands, tips and sectors: the pieces here, each
whole, however much of it others cover.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..measures.exact import KEEPS_OFF_MM, SAME_PLACE_MM
from .box_pairs import pairs_between, pairs_within
from .meetings import meetings
from .nearest import nearest_on
from .offset_corners import angle_between, bulge_between, mitre_tip
from .offset_sides import Raw, Side, shifted, turning
from .paths import Path, Segment, Vertex
from .points import Point

# A side that its tips make as long as this, in radians, closes on itself.
_WHOLE_TURN = 2.0 * math.pi - 1e-6


@dataclass(frozen=True, slots=True)
class Piece:
    """A far side; `side` is the number of the segment it belongs to.

    The arc about the corner at the end of a segment has that segment's number and
    is `round`.
    """

    segment: Segment
    side: int
    round: bool = False


@dataclass(frozen=True, slots=True)
class Tip:
    """The area between a corner, its two shifted sides, and where these meet beyond them."""

    corner: int
    area: Path
    edges: tuple[Segment, Segment]


@dataclass(frozen=True, slots=True)
class Pieces:
    """Everything that the edge of an offset area may be made of, in order along the source.

    `crowded` are the corners whose tips gave way to what lies close by.
    """

    pieces: tuple[Piece, ...]
    tips: tuple[Tip, ...]
    sides: tuple[Side, ...]
    turns: tuple[float, ...]
    crowded: frozenset[int]


def pieces_of(raw: Sequence[Raw], by: float, mitre_limit: float, *, wary: bool = False) -> Pieces:
    """The pieces of the area to the left of `raw`, grown to the right by `by` mm (more than 0).

    A tip that would touch the source elsewhere gives way to an arc about its corner;
    where that is `wary`, so does one that another side's band or tip would touch.
    """
    segments = [Segment(Point(x0, y0), Point(x1, y1), bulge) for x0, y0, x1, y1, bulge in raw]
    sides = shifted(list(raw), by)
    turns, _, _ = turning(list(raw))
    tips: dict[int, Tip] = {}
    gaps: list[int] = []
    for index, side in enumerate(sides):
        after = sides[index + 1 - len(sides)]
        turn = turns[index]
        apart = math.hypot(after.x0 - side.x1, after.y0 - side.y1)
        if apart <= SAME_PLACE_MM or turn <= 0.0:
            continue
        tip = None
        if not (gone(side) or gone(after)):
            tip = _tip(index, side, after, raw[index], by, turn, mitre_limit)
        gaps.append(index)
        if tip is not None:
            tips[index] = tip
    crowded = _touching(list(tips.values()), segments)
    if wary:
        crowded |= _crowded(list(tips.values()), segments, by)
    for corner in crowded:
        del tips[corner]
    rounds = {
        index: Segment(
            Point(sides[index].x1, sides[index].y1),
            Point(sides[index + 1 - len(sides)].x0, sides[index + 1 - len(sides)].y0),
            math.tan(turns[index] / 4.0),
        )
        for index in gaps
        if index not in tips
    }
    found: list[Piece] = []
    for index, side in enumerate(sides):
        if not gone(side):
            found.append(
                Piece(_run_on(side, tips.get((index - 1) % len(sides)), tips.get(index)), index)
            )
        if index in rounds:
            found.append(Piece(rounds[index], index, round=True))
    return Pieces(
        tuple(found), tuple(tips.values()), tuple(sides), tuple(turns), frozenset(crowded)
    )


def gone(side: Side) -> bool:
    """Whether nothing is left of a side, an arc whose radius is not larger than the offset."""
    return side.bulge != 0.0 and side.radius <= SAME_PLACE_MM


def _tip(
    index: int, side: Side, after: Side, raw: Raw, by: float, turn: float, mitre_limit: float
) -> Tip | None:
    corner = (raw[2], raw[3])
    at = mitre_tip(side, after, corner, by, turn, mitre_limit)
    if at is None:
        return None
    end, start, tip = Point(side.x1, side.y1), Point(after.x0, after.y0), Point(*at)
    on = Segment(end, tip, bulge_between(side, end.floats(), at))
    back = Segment(tip, start, bulge_between(after, at, start.floats()))
    area = Path(
        (Vertex(Point(*corner)), Vertex(end, on.bulge), Vertex(tip, back.bulge), Vertex(start)),
        closed=True,
    )
    return Tip(index, area, (on, back))


def _touching(tips: Sequence[Tip], segments: Sequence[Segment]) -> set[int]:
    """The corners whose tips meet the source."""
    edges = [(tip.corner, edge) for tip in tips for edge in tip.edges]
    found: set[int] = set()
    for ones, others in pairs_between(
        np.array([edge.box() for _, edge in edges]).reshape(-1, 4),
        np.array([segment.box() for segment in segments]),
        SAME_PLACE_MM,
    ):
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            corner, edge = edges[one]
            if corner not in found and meetings(edge, segments[other], SAME_PLACE_MM):
                found.add(corner)
    return found


def _crowded(tips: Sequence[Tip], segments: Sequence[Segment], by: float) -> set[int]:
    """The corners whose tips come nearer to the source than `by`, or meet another tip."""
    edges = [(tip.corner, edge) for tip in tips for edge in tip.edges]
    boxes = np.array([edge.box() for _, edge in edges]).reshape(-1, 4)
    found: set[int] = set()
    for ones, others in pairs_between(boxes, np.array([s.box() for s in segments]), by):
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            corner, edge = edges[one]
            if other in (corner, (corner + 1) % len(segments)):
                continue
            # The tip is what reaches farthest; the rest lies on the two bands.
            tip = edge.end if one % 2 == 0 else edge.start
            if nearest_on(segments[other], tip)[0] < by - KEEPS_OFF_MM or _within(
                edge, segments[other], by
            ):
                found.add(corner)
    for ones, others in pairs_within(boxes, SAME_PLACE_MM):
        for one, other in zip(ones.tolist(), others.tolist(), strict=True):
            pair = edges[one][0], edges[other][0]
            if pair[0] != pair[1] and meetings(edges[one][1], edges[other][1], SAME_PLACE_MM):
                found.update(pair)
    return found


def _within(edge: Segment, segment: Segment, by: float) -> bool:
    """Whether a place of the edge, a few along it, is nearer to the segment than `by`."""
    return any(
        nearest_on(segment, edge.at(share))[0] < by - KEEPS_OFF_MM for share in (0.25, 0.5, 0.75)
    )


def _run_on(side: Side, before: Tip | None, after: Tip | None) -> Segment:
    """A shifted side, run on to the tips at its ends."""
    start = Point(side.x0, side.y0) if before is None else before.edges[0].end
    end = Point(side.x1, side.y1) if after is None else after.edges[0].end
    if side.bulge == 0.0 or (before is None and after is None):
        return Segment(start, end, side.bulge)
    sweep = side.sweep
    if before is not None:
        sweep += angle_between(side, start.floats(), (side.x0, side.y0))
    if after is not None:
        sweep += angle_between(side, (side.x1, side.y1), end.floats())
    sweep = math.copysign(min(abs(sweep), _WHOLE_TURN), sweep)
    return Segment(start, end, math.tan(sweep / 4.0))
