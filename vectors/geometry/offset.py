"""This module moves a closed path outwards or inwards and keeps its lines and arcs exact.

Each line is shifted, each arc gets another radius about its own centre.  Where
two shifted neighbours leave a gap at a corner they are run on until they meet (a
mitre), or, beyond the mitre limit, joined by an arc about the corner; where they
overlap they are cut back to where they cross.  Nothing is flattened, and nothing
that would vanish or turn inside out is mended in silence: it is told as a loss.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from ..measures.exact import SAME_PLACE_MM
from .offset_corners import angle_between, crossing, mitre_area, mitre_tip
from .offset_sides import (
    Raw,
    Side,
    middle_of,
    raw_sides,
    shifted,
    turning,
    without_straight_corners,
)
from .paths import Path, Vertex
from .points import Point

# A mitre may reach this many times the offset from its corner, as the same ratio
# is defined for stroke joins in SVG 2: 1 / sin(half the corner's angle).  At 5,
# corners sharper than 23 degrees get an arc.
MITRE_LIMIT = 5.0


class Loss(StrEnum):
    """Why a path cannot be offset as it is."""

    RADIUS = "an arc's radius is not larger than the offset"
    TURNED = "a side vanishes or turns round"
    APART = "two sides no longer meet"
    TANGLED = "the path crosses itself"
    MERGED = "sides that are no neighbours run into each other"


@dataclass(frozen=True, slots=True)
class Lost:
    """A loss and its place on the path, in mm."""

    loss: Loss
    at: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Offset:
    """What an offset gave: the path, or why there is none.

    `path` is None exactly where `losses` has an entry.  `rounded` are the
    corners that got an arc in place of a mitre.  `mitred` is the signed area,
    in mm², by which the mitres differ from arcs about their corners.
    `convex` tells that the path turns one way only, `smooth` that its arcs run
    on smoothly into their neighbours, so that corners lie between straight sides.
    """

    path: Path | None
    losses: tuple[Lost, ...] = ()
    rounded: tuple[Point, ...] = ()
    mitred: float = 0.0
    convex: bool = False
    smooth: bool = False


def offset(path: Path, by: float, *, mitre_limit: float = MITRE_LIMIT) -> Offset:
    """The closed `path` moved by `by` mm: outwards where positive, inwards where negative.

    Each segment of the source is looked at with its neighbours only; whether
    sides that are no neighbours run into each other is for `verify` to say,
    unless the result is `convex`, where that cannot happen.  The result runs
    the same way round as the source.  Raises ValueError for an open path.
    """
    if not path.closed:
        raise ValueError("only a closed path has an inside")
    return moved_once(path, lambda raw, turns, convex: _offset(raw, turns, convex, by, mitre_limit))


def moved_once(path: Path, move: Callable[[list[Raw], list[float], bool], Offset]) -> Offset:
    """What `move` makes of the sides of a closed path that runs once round, whichever way.

    `move` gets the sides as they run anticlockwise, the turn at the end of each, and
    whether all turns go left.  A path that crosses itself is told as tangled.
    """
    raw = raw_sides(path)
    if len(raw) < 2:
        return Offset(path=None, losses=(Lost(Loss.TANGLED, path.start),))
    turns, convex, total = turning(raw)
    winding = round(total / (2.0 * math.pi))
    if winding == -1:
        other = moved_once(path.reversed, move)
        return replace(
            other,
            path=None if other.path is None else other.path.reversed,
            rounded=tuple(reversed(other.rounded)),
        )
    # A closed path that does not cross itself turns through one full turn
    # (Hopf's theorem on turning tangents).
    if winding != 1:
        return Offset(path=None, losses=(Lost(Loss.TANGLED, path.start),))
    found = move(raw, turns, convex)
    joined = without_straight_corners(raw)
    if found.path is None and 2 <= len(joined) < len(raw):
        # A vertex on a straight side stays where it is, unless a corner close
        # by leaves it no room.
        return move(joined, turning(joined)[0], convex)
    return found


@dataclass(slots=True)
class _Joint:
    """Where one side ends and the next begins; two places and a turn where an arc joins them."""

    end: tuple[float, float]
    start: tuple[float, float]
    # The sweep of the joining arc, in radians; 0 where the two places are one.
    sweep: float = 0.0
    # Whether the place is that of the shifted ends, so that neither side changes.
    tangent: bool = False


def _offset(
    raw: list[Raw], turns: list[float], convex: bool, by: float, mitre_limit: float
) -> Offset:
    losses: list[Lost] = []
    rounded: list[Point] = []
    mitred = 0.0
    smooth = True
    sides = shifted(raw, by)
    for segment, side in zip(raw, sides, strict=True):
        if side.bulge and side.radius <= SAME_PLACE_MM:
            losses.append(Lost(Loss.RADIUS, middle_of(segment)))
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    joints: list[_Joint] = []
    for index, side in enumerate(sides):
        after = sides[index + 1 - len(sides)]
        turn = turns[index]
        if math.hypot(after.x0 - side.x1, after.y0 - side.y1) <= SAME_PLACE_MM:
            here = (side.x1, side.y1)
            joints.append(_Joint(here, here, tangent=True))
            continue
        smooth = smooth and side.bulge == after.bulge == 0.0
        x, y = raw[index][2], raw[index][3]
        if turn * by > 0.0:
            tip = mitre_tip(side, after, (x, y), by, turn, mitre_limit)
            if tip is None:
                rounded.append(Point(x, y))
                joints.append(_Joint((side.x1, side.y1), (after.x0, after.y0), turn))
                continue
            mitred += mitre_area(side, after, tip, by, turn)
        else:
            tip = crossing(side, after, (x, y), by, turn)
            if tip is None:
                losses.append(Lost(Loss.APART, Point(x, y)))
                tip = (x, y)
        joints.append(_Joint(tip, tip))
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    vertices: list[Vertex] = []
    for index, side in enumerate(sides):
        before, after_ = joints[index - 1], joints[index]
        bulge = _trimmed_bulge(side, before, after_)
        if bulge is None:
            losses.append(Lost(Loss.TURNED, middle_of(raw[index])))
            continue
        vertices.append(Vertex(Point(*before.start), bulge))
        if after_.sweep:
            vertices.append(Vertex(Point(*after_.end), math.tan(after_.sweep / 4.0)))
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    return Offset(
        path=Path(tuple(vertices), closed=True),
        rounded=tuple(rounded),
        mitred=mitred,
        convex=convex,
        smooth=smooth,
    )


def _trimmed_bulge(side: Side, before: _Joint, after: _Joint) -> float | None:
    """The bulge of a side between its two joints; None where it vanishes or turns round."""
    if side.bulge == 0.0:
        dx, dy = after.end[0] - before.start[0], after.end[1] - before.start[1]
        return 0.0 if dx * side.ux0 + dy * side.uy0 > SAME_PLACE_MM else None
    sweep = side.sweep
    kept = True
    if not (before.tangent or before.sweep):
        sweep += angle_between(side, before.start, (side.x0, side.y0))
        kept = False
    if not (after.tangent or after.sweep):
        sweep += angle_between(side, (side.x1, side.y1), after.end)
        kept = False
    if kept:
        return side.bulge
    if sweep * side.sweep <= 0.0 or abs(sweep) * side.radius <= SAME_PLACE_MM:
        return None
    # An arc that would close on itself has no bulge.
    if abs(sweep) >= 2.0 * math.pi - 1e-9:
        return None
    return math.tan(sweep / 4.0)
