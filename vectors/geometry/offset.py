"""This module moves a closed path outwards or inwards and keeps its lines and arcs exact.

Each line is shifted, each arc gets another radius about its own centre.  Where
two shifted neighbours leave a gap at a corner they are run on until they meet (a
mitre), or, beyond the mitre limit, joined by an arc about the corner; where they
overlap they are cut back to where they cross.  Nothing is flattened, and nothing
that would vanish or turn inside out is mended in silence: it is told as a loss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from ..measures.exact import ROUNDING_MM
from .meetings import circle_circle, line_circle
from .paths import Path, Segment, Vertex
from .points import Point

# A mitre may reach this many times the offset from its corner, as the same ratio
# is defined for stroke joins in SVG 2: 1 / sin(half the corner's angle).  At 5,
# corners sharper than 23 degrees get an arc.
MITRE_LIMIT = 5.0

# Shifted ends nearer than this, in mm, are one place: a tangent joint.  It is a
# hundredth of the last decimal that is written.
SAME_PLACE_MM = 1e-6

# Two sides that cross at a smaller angle than this, as a sine, run alongside
# each other, and where they meet is not to be made better.
_TANGENT = 1e-6


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


@dataclass(slots=True)
class _Side:
    """A shifted segment in plain floats: where it starts and ends, its directions, its circle."""

    x0: float
    y0: float
    x1: float
    y1: float
    # Unit directions of travel at the start and at the end.
    ux0: float
    uy0: float
    ux1: float
    uy1: float
    bulge: float
    sweep: float
    # Of an arc: its centre and its new radius.
    cx: float
    cy: float
    radius: float


Raw = tuple[float, float, float, float, float]


def offset(path: Path, by: float, *, mitre_limit: float = MITRE_LIMIT) -> Offset:
    """The closed `path` moved by `by` mm: outwards where positive, inwards where negative.

    Each segment of the source is looked at with its neighbours only; whether
    sides that are no neighbours run into each other is for `verify` to say,
    unless the result is `convex`, where that cannot happen.  The result runs
    the same way round as the source.  Raises ValueError for an open path.
    """
    if not path.closed:
        raise ValueError("only a closed path has an inside")
    raw = _raw(path)
    if len(raw) < 2:
        return Offset(path=None, losses=(Lost(Loss.TANGLED, path.start),))
    turns, convex, total = _turning(raw)
    winding = round(total / (2.0 * math.pi))
    if winding == -1:
        other = offset(path.reversed, by, mitre_limit=mitre_limit)
        back = None if other.path is None else other.path.reversed
        return Offset(
            path=back,
            losses=other.losses,
            rounded=tuple(reversed(other.rounded)),
            mitred=other.mitred,
            convex=other.convex,
            smooth=other.smooth,
        )
    # A closed path that does not cross itself turns through one full turn
    # (Hopf's theorem on turning tangents).
    if winding != 1:
        return Offset(path=None, losses=(Lost(Loss.TANGLED, path.start),))
    found = _offset(raw, turns, convex, by, mitre_limit)
    joined = _without_straight_corners(raw)
    if found.path is None and 2 <= len(joined) < len(raw):
        # A vertex on a straight side stays where it is, unless a corner close
        # by leaves it no room.
        return _offset(joined, _turning(joined)[0], convex, by, mitre_limit)
    return found


def _raw(path: Path) -> list[Raw]:
    """Start, end and bulge of each segment that has a length, arcs as flat as a line made lines."""
    places = [vertex.at.floats() for vertex in path.vertices]
    found: list[Raw] = []
    for index, vertex in enumerate(path.vertices):
        x0, y0 = places[index]
        x1, y1 = places[index + 1 - len(places)]
        if x0 != x1 or y0 != y1:
            bulge = vertex.bulge
            # The height of an arc over its chord is half the chord times the bulge.
            if bulge and abs(bulge) * math.hypot(x1 - x0, y1 - y0) < 2.0 * SAME_PLACE_MM:
                bulge = 0.0
            found.append((x0, y0, x1, y1, bulge))
    return found


def _without_straight_corners(raw: list[Raw]) -> list[Raw]:
    """Lines that run on in one direction made one."""
    joined: list[Raw] = []
    for segment in raw:
        if joined and _runs_on(joined[-1], segment):
            x0, y0 = joined[-1][:2]
            joined[-1] = (x0, y0, *segment[2:])
        else:
            joined.append(segment)
    if len(joined) > 2 and _runs_on(joined[-1], joined[0]):
        x0, y0 = joined[-1][:2]
        joined[0] = (x0, y0, *joined[0][2:])
        joined.pop()
    return joined


def _runs_on(before: Raw, after: Raw) -> bool:
    if before[4] or after[4]:
        return False
    ax, ay = before[2] - before[0], before[3] - before[1]
    bx, by = after[2] - after[0], after[3] - after[1]
    if ax * bx + ay * by <= 0.0:
        return False
    return abs(ax * by - ay * bx) <= ROUNDING_MM * math.hypot(ax + bx, ay + by)


def _turning(raw: list[Raw]) -> tuple[list[float], bool, float]:
    """The turn at the end of each segment, whether all turns go left, and the total, in radians."""
    ways = []
    total = 0.0
    convex = True
    for x0, y0, x1, y1, bulge in raw:
        way = math.atan2(y1 - y0, x1 - x0)
        half = 2.0 * math.atan(bulge) if bulge else 0.0
        ways.append((way - half, way + half))
        total += 2.0 * half
        convex = convex and bulge >= 0.0
    turns = []
    for index, (_, end) in enumerate(ways):
        turn = _wrapped(ways[index + 1 - len(ways)][0] - end)
        turns.append(turn)
        total += turn
        # A turn this small moves nothing by as much as rounding does.
        convex = convex and turn >= -1e-9
    return turns, convex, total


def _wrapped(angle: float) -> float:
    """The same angle in (-pi, pi]."""
    if -math.pi < angle <= math.pi:
        return angle
    return angle - 2.0 * math.pi * math.ceil((angle - math.pi) / (2.0 * math.pi))


def _shifted(raw: list[Raw], by: float, losses: list[Lost]) -> list[_Side]:
    """Each segment moved to its right by `by`, its neighbours not yet looked at."""
    sides = []
    for x0, y0, x1, y1, bulge in raw:
        dx, dy = x1 - x0, y1 - y0
        chord = math.hypot(dx, dy)
        if bulge == 0.0:
            ux, uy = dx / chord, dy / chord
            mx, my = by * uy, -by * ux
            sides.append(
                _Side(x0 + mx, y0 + my, x1 + mx, y1 + my, ux, uy, ux, uy, 0.0, 0.0, 0.0, 0.0, 0.0)
            )
            continue
        square = bulge * bulge
        along = (1.0 - square) / (4.0 * bulge)
        cx, cy = (x0 + x1) / 2.0 - dy * along, (y0 + y1) / 2.0 + dx * along
        radius = chord * (1.0 + square) / (4.0 * abs(bulge))
        way = 1.0 if bulge > 0.0 else -1.0
        larger = radius + way * by
        if larger <= SAME_PLACE_MM:
            losses.append(Lost(Loss.RADIUS, _middle((x0, y0, x1, y1, bulge))))
        ax, ay = (x0 - cx) / radius, (y0 - cy) / radius
        zx, zy = (x1 - cx) / radius, (y1 - cy) / radius
        sides.append(
            _Side(
                # From the ends, not from the centre, which may be very far away.
                x0 + ax * way * by,
                y0 + ay * way * by,
                x1 + zx * way * by,
                y1 + zy * way * by,
                -ay * way,
                ax * way,
                -zy * way,
                zx * way,
                bulge,
                4.0 * math.atan(bulge),
                cx,
                cy,
                larger,
            )
        )
    return sides


def _middle(raw: Raw) -> Point:
    x0, y0, x1, y1, bulge = raw
    return Segment(Point(x0, y0), Point(x1, y1), bulge).middle


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
    sides = _shifted(raw, by, losses)
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
            tip = _tip(side, after, (x, y), by, turn, mitre_limit)
            if tip is None:
                rounded.append(Point(x, y))
                joints.append(_Joint((side.x1, side.y1), (after.x0, after.y0), turn))
                continue
            mitred += _mitre_area(side, after, tip, by, turn)
        else:
            tip = _crossing(side, after, (x, y), by, turn)
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
            losses.append(Lost(Loss.TURNED, _middle(raw[index])))
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


def _corner(side: _Side, after: _Side, at: tuple[float, float], by: float) -> tuple[float, float]:
    """Where two shifted lines meet; ZeroDivisionError where the second runs straight back."""
    share = by / (1.0 + side.ux1 * after.ux0 + side.uy1 * after.uy0)
    return at[0] + share * (side.uy1 + after.uy0), at[1] - share * (side.ux1 + after.ux0)


def _meets(side: _Side, after: _Side) -> list[tuple[float, float]]:
    """Where the endless line or full circle of one side meets that of the next."""
    a, b = Point(side.x0, side.y0), Point(after.x0, after.y0)
    if side.bulge and after.bulge:
        found = circle_circle(
            Point(side.cx, side.cy), side.radius, Point(after.cx, after.cy), after.radius
        )
    elif side.bulge:
        onward = Point(after.x0 + after.ux0, after.y0 + after.uy0)
        found = line_circle(b, onward, Point(side.cx, side.cy), side.radius)
    else:
        onward = Point(side.x0 + side.ux0, side.y0 + side.uy0)
        found = line_circle(a, onward, Point(after.cx, after.cy), after.radius)
    return [_refined(place.floats(), side, after) for place in found]


def _refined(at: tuple[float, float], side: _Side, after: _Side) -> tuple[float, float]:
    """A meeting place made good to the last digits by Newton's method.

    Reckoned from centres that lie kilometres away, as those of nearly straight
    arcs do, it is off by a fraction of a micrometre.
    """
    for _ in range(2):
        first, nx, ny = _off(side, at)
        second, mx, my = _off(after, at)
        cross = nx * my - ny * mx
        if abs(cross) < _TANGENT:
            break
        at = (
            at[0] + (ny * second - my * first) / cross,
            at[1] + (mx * first - nx * second) / cross,
        )
    return at


def _off(side: _Side, at: tuple[float, float]) -> tuple[float, float, float]:
    """How far a place lies off a side's endless line or circle, and the unit way it lies off."""
    dx, dy = at[0] - side.x0, at[1] - side.y0
    if not side.bulge:
        return side.ux0 * dy - side.uy0 * dx, -side.uy0, side.ux0
    rx, ry = at[0] - side.cx, at[1] - side.cy
    reach = math.hypot(rx, ry)
    # |p - c|² - |s - c|² = (p - s) · (p + s - 2 c), with the start s on the
    # circle: no two large squares are taken from each other.
    sx, sy = side.x0 - side.cx, side.y0 - side.cy
    return (dx * (rx + sx) + dy * (ry + sy)) / (reach + side.radius), rx / reach, ry / reach


def _tip(
    side: _Side,
    after: _Side,
    at: tuple[float, float],
    by: float,
    turn: float,
    mitre_limit: float,
) -> tuple[float, float] | None:
    """Where two sides meet when both are run on past a corner, if that is within the limit."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        if mitre_limit * math.cos(turn / 2.0) < 1.0:
            return None
        return _corner(side, after, at, by)
    best: tuple[float, tuple[float, float]] | None = None
    for x, y in _meets(side, after):
        reach = math.hypot(x - at[0], y - at[1])
        onward = (x - side.x1) * side.ux1 + (y - side.y1) * side.uy1
        before = (after.x0 - x) * after.ux0 + (after.y0 - y) * after.uy0
        if (
            reach <= mitre_limit * abs(by)
            and onward >= -SAME_PLACE_MM
            and before >= -SAME_PLACE_MM
            and (best is None or reach < best[0])
        ):
            best = (reach, (x, y))
    return None if best is None else best[1]


def _crossing(
    side: _Side, after: _Side, at: tuple[float, float], by: float, turn: float
) -> tuple[float, float] | None:
    """Where two sides that overlap at a corner cross, nearest to it; None where they do not."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        # A side that runs straight back has no width: nothing is left of it.
        return None if math.pi - abs(turn) < 1e-9 else _corner(side, after, at, by)
    places = _meets(side, after)
    if not places:
        return None
    return min(places, key=lambda place: math.hypot(place[0] - at[0], place[1] - at[1]))


def _mitre_area(
    side: _Side, after: _Side, tip: tuple[float, float], by: float, turn: float
) -> float:
    """The signed area between a mitre and the arc about its corner, in mm²."""
    if side.bulge == 0.0 and after.bulge == 0.0:
        half = abs(turn) / 2.0
        return math.copysign(by * by * (math.tan(half) - half), by)
    on = _bulge_between(side, (side.x1, side.y1), tip)
    back = _bulge_between(after, tip, (after.x0, after.y0))
    return Path(
        (
            Vertex(Point(side.x1, side.y1), on),
            Vertex(Point(*tip), back),
            Vertex(Point(after.x0, after.y0), -math.tan(turn / 4.0)),
        ),
        closed=True,
    ).area


def _bulge_between(side: _Side, start: tuple[float, float], end: tuple[float, float]) -> float:
    """The bulge of the short stretch from `start` to `end` on a side's carrier."""
    if side.bulge == 0.0:
        return 0.0
    return math.tan(_angle_between(side, start, end) / 4.0)


def _angle_between(side: _Side, start: tuple[float, float], end: tuple[float, float]) -> float:
    """The angle from `start` to `end` as seen from an arc's centre, in (-pi, pi]."""
    ax, ay = start[0] - side.cx, start[1] - side.cy
    bx, by = end[0] - side.cx, end[1] - side.cy
    return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


def _trimmed_bulge(side: _Side, before: _Joint, after: _Joint) -> float | None:
    """The bulge of a side between its two joints; None where it vanishes or turns round."""
    if side.bulge == 0.0:
        dx, dy = after.end[0] - before.start[0], after.end[1] - before.start[1]
        return 0.0 if dx * side.ux0 + dy * side.uy0 > SAME_PLACE_MM else None
    sweep = side.sweep
    kept = True
    if not (before.tangent or before.sweep):
        sweep += _angle_between(side, before.start, (side.x0, side.y0))
        kept = False
    if not (after.tangent or after.sweep):
        sweep += _angle_between(side, (side.x1, side.y1), after.end)
        kept = False
    if kept:
        return side.bulge
    if sweep * side.sweep <= 0.0 or abs(sweep) * side.radius <= SAME_PLACE_MM:
        return None
    # An arc that would close on itself has no bulge.
    if abs(sweep) >= 2.0 * math.pi - 1e-9:
        return None
    return math.tan(sweep / 4.0)
