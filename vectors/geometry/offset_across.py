"""This module moves a closed path by an ellipse: by one width along x and another along y.

A tool that removes another width along y than along x cuts like an ellipse that
is run along the path.  A side with the unit normal n is shifted by the ellipse's
support point in that direction, (a² nx, b² ny) / h with h = sqrt(a² nx² + b² ny²), which
lies h from its line (convex geometry, textbook).  A line so stays a line.  A place of
an arc moves as its own normal says, and the directions stay: the moved arc has the
radius of curvature r + a² b² / h³, is no circle any more, and is fitted with tangent
arcs within `ACROSS_MM`.

Corners are joined as `offset` joins them, all lengths measured by the ellipse in place of
the circle: mitres, an arc of the ellipse itself beyond the limit, crossings where sides
overlap.  What would vanish or turn inside out is told as a loss.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..measures.exact import ACROSS_MM, SAME_PLACE_MM
from .ellipses import quarters
from .fitting import Pair, fit
from .meetings import circle_circle, line_circle
from .offset import MITRE_LIMIT, Loss, Lost, Offset, moved_once, offset
from .offset_sides import Raw
from .paths import Path, Segment, path_of
from .points import Point

# Newton's method doubles its digits; from a start that is any good it needs few steps.
_STEPS = 30

# Places found by it agree to this, in mm.
_FOUND_MM = 1e-10

# A side is not run on past its end by more than this turn, in radians.
_LARGEST_RUN_ON = math.pi / 2.0


def offset_across(
    path: Path, by_x: float, by_y: float, *, mitre_limit: float = MITRE_LIMIT
) -> Offset:
    """The closed `path` moved by an ellipse of half-axes `by_x` and `by_y`, in mm.

    Outwards where both are positive, inwards where both are negative.  Where they are
    equal this is `offset`.  Of two that differ, one nearer to 0 than `ACROSS_MM` counts
    as that.  The mitre limit is the largest reach of a tip from its corner in half-axes.
    `verify_across` says whether sides that are no neighbours run into each other.
    Raises ValueError for an open path and for half-axes of unlike signs.
    """
    if not path.closed:
        raise ValueError("only a closed path has an inside")
    if by_x * by_y < 0.0:
        raise ValueError("an offset goes outwards or inwards, not both")
    if by_x == by_y:
        return offset(path, by_x, mitre_limit=mitre_limit)
    tool = _Tool(
        max(abs(by_x), ACROSS_MM), max(abs(by_y), ACROSS_MM), math.copysign(1.0, by_x + by_y)
    )
    return moved_once(
        path, lambda raw, turns, convex: _moved(raw, turns, convex, tool, mitre_limit)
    )


@dataclass(frozen=True, slots=True)
class _Tool:
    """The ellipse: its half-axes along x and y, in mm, and 1 to move outwards, -1 inwards."""

    a: float
    b: float
    way: float

    def shift(self, nx: float, ny: float) -> Pair:
        """How a place moves whose outer unit normal is (nx, ny)."""
        share = self.way / math.hypot(self.a * nx, self.b * ny)
        return self.a * self.a * nx * share, self.b * self.b * ny * share

    def bend(self, nx: float, ny: float) -> float:
        """The ellipse's radius of curvature where its normal is (nx, ny)."""
        return (self.a * self.b) ** 2 / math.hypot(self.a * nx, self.b * ny) ** 3

    def reach(self, dx: float, dy: float) -> float:
        """A distance in half-axes."""
        return math.hypot(dx / self.a, dy / self.b)

    def turn(self, one: Pair, other: Pair) -> float:
        """The turn between two directions where the plane is so drawn that the ellipse is round."""
        ax, ay, bx, by = one[0] / self.a, one[1] / self.b, other[0] / self.a, other[1] / self.b
        return math.atan2(ax * by - ay * bx, ax * bx + ay * by)


@dataclass(frozen=True, slots=True)
class _Side:
    """A moved segment, by shares of its source's length; beyond 0 and 1 it runs on."""

    source: Segment
    tool: _Tool

    def at(self, share: float) -> Pair:
        x, y = self.source.at(share).floats()
        ux, uy = self.heading(share)
        dx, dy = self.tool.shift(uy, -ux)
        return x + dx, y + dy

    def heading(self, share: float) -> Pair:
        way = self.source.direction(share)
        return float(way.x), float(way.y)

    def speed(self, share: float) -> float:
        """The length of the moved side to a share, negative where it runs backwards."""
        if self.source.is_line:
            return self.source.length
        ux, uy = self.heading(share)
        bend = self.tool.bend(uy, -ux)
        return self.source.length + self.tool.way * self.source.sweep * bend

    def knots(self, start: float, end: float) -> tuple[float, ...]:
        """The shares from `start` to `end` at which the ellipse is at one of its vertices."""
        if self.source.is_line:
            return start, end
        ux, uy = self.heading(start)
        shares = quarters(math.atan2(uy, ux), self.source.sweep * (end - start))
        return tuple(start + (end - start) * share for share in shares)

    def radius(self, share: float) -> float:
        """The signed radius of curvature, positive to the left; not for lines."""
        return self.speed(share) / self.source.sweep


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A moved arc from one share to another, as a curve to be fitted."""

    side: _Side
    start: float
    end: float
    closed: bool = False

    @property
    def knots(self) -> tuple[float, ...]:
        return self.side.knots(self.start, self.end)

    def at(self, parameter: float) -> Pair:
        return self.side.at(parameter)

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        return self.side.heading(parameter)


@dataclass(frozen=True, slots=True)
class _Round:
    """The ellipse's own arc about a corner, by shares of the turn, as a curve to be fitted."""

    corner: Pair
    heading: Pair
    turn: float
    tool: _Tool
    closed: bool = False

    @property
    def knots(self) -> tuple[float, ...]:
        return quarters(math.atan2(self.heading[1], self.heading[0]), self.turn)

    def at(self, parameter: float) -> Pair:
        ux, uy = self.direction(parameter, onward=True)
        dx, dy = self.tool.shift(uy, -ux)
        return self.corner[0] + dx, self.corner[1] + dy

    def direction(self, parameter: float, *, onward: bool) -> Pair:
        cos, sin = math.cos(self.turn * parameter), math.sin(self.turn * parameter)
        ux, uy = self.heading
        return ux * cos - uy * sin, ux * sin + uy * cos


@dataclass(slots=True)
class _Joint:
    """Where one side ends and the next begins, in their shares; and the arc between, if any."""

    end: float = 1.0
    start: float = 0.0
    between: _Round | None = None


def _moved(
    raw: list[Raw], turns: list[float], convex: bool, tool: _Tool, mitre_limit: float
) -> Offset:
    losses: list[Lost] = []
    rounded: list[Point] = []
    mitred = 0.0
    smooth = True
    sides = [
        _Side(Segment(Point(x0, y0), Point(x1, y1), bulge), tool) for x0, y0, x1, y1, bulge in raw
    ]
    for side in sides:
        if not side.source.is_line:
            # Between two vertices of the ellipse its curvature only rises or falls.
            least = min(side.speed(share) for share in side.knots(0.0, 1.0))
            if least <= SAME_PLACE_MM * abs(side.source.sweep):
                losses.append(Lost(Loss.RADIUS, side.source.middle))
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    joints: list[_Joint] = []
    for index, side in enumerate(sides):
        after = sides[index + 1 - len(sides)]
        if math.dist(side.at(1.0), after.at(0.0)) <= SAME_PLACE_MM:
            joints.append(_Joint())
            continue
        smooth = smooth and side.source.is_line and after.source.is_line
        corner = side.source.end.floats()
        if turns[index] * tool.way > 0.0:
            tip = _tip(side, after, corner, turns[index], mitre_limit)
            bow = _Round(corner, side.heading(1.0), turns[index], tool)
            if tip is None:
                rounded.append(Point(*corner))
                joints.append(_Joint(between=bow))
            else:
                mitred += _mitre_area(side, after, tip, bow)
                joints.append(_Joint(*tip))
            continue
        crossing = _crossing(side, after, turns[index])
        if crossing is None:
            losses.append(Lost(Loss.APART, Point(*corner)))
            joints.append(_Joint())
        else:
            joints.append(_Joint(*crossing))
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    segments: list[Segment] = []
    for index, side in enumerate(sides):
        start, end = joints[index - 1].start, joints[index].end
        if not _keeps_on(side, start, end):
            losses.append(Lost(Loss.TURNED, side.source.middle))
            continue
        segments += _stretch(side, start, end)
        between = joints[index].between
        if between is not None:
            segments += fit(between, ACROSS_MM).segments
    if losses:
        return Offset(path=None, losses=tuple(losses), convex=convex)
    return Offset(
        path=path_of(segments, closed=True),
        rounded=tuple(rounded),
        mitred=mitred,
        convex=convex,
        smooth=smooth,
    )


def _stretch(side: _Side, start: float, end: float) -> tuple[Segment, ...]:
    """A moved side from one share to another, as lines and arcs."""
    if side.source.is_line:
        return (Segment(Point(*side.at(start)), Point(*side.at(end))),)
    return fit(_Stretch(side, start, end), ACROSS_MM).segments


def _keeps_on(side: _Side, start: float, end: float) -> bool:
    """Whether a side still runs the way it did between two shares, and does so all along."""
    if end <= start or abs(side.source.sweep) * (end - start) >= 2.0 * math.pi - 1e-9:
        return False
    speeds = [side.speed(share) for share in side.knots(start, end)]
    return min(speeds) > 0.0 and min(speeds) * (end - start) > SAME_PLACE_MM


def _tip(
    side: _Side, after: _Side, corner: Pair, turn: float, mitre_limit: float
) -> tuple[float, float] | None:
    """The shares at which two sides meet when both are run on, if that is within the limit."""
    best: tuple[float, tuple[float, float]] | None = None
    for end, start in _meets(side, after, turn):
        x, y = side.at(end)
        reach = side.tool.reach(x - corner[0], y - corner[1])
        if (
            reach <= mitre_limit * (1.0 + 1e-12)
            and end >= 1.0
            and start <= 0.0
            and abs(side.source.sweep) * (end - 1.0) <= _LARGEST_RUN_ON
            and abs(after.source.sweep) * -start <= _LARGEST_RUN_ON
            and min(map(side.speed, side.knots(1.0, end))) > 0.0
            and min(map(after.speed, after.knots(start, 0.0))) > 0.0
            and (best is None or _away(side, after, (x, y)) < best[0])
        ):
            best = (_away(side, after, (x, y)), (end, start))
    return None if best is None else best[1]


def _crossing(side: _Side, after: _Side, turn: float) -> tuple[float, float] | None:
    """The shares at which two sides that overlap cross, nearest to their moved ends."""
    found = _meets(side, after, turn)
    if not found:
        return None
    return min(found, key=lambda shares: _away(side, after, side.at(shares[0])))


def _away(side: _Side, after: _Side, place: Pair) -> float:
    """How far a place lies from the ends of two sides that are to be joined.

    From these and not from their corner, which the ellipse does not move squarely.
    """
    return math.dist(place, side.at(1.0)) + math.dist(place, after.at(0.0))


def _meets(side: _Side, after: _Side, turn: float) -> list[tuple[float, float]]:
    """The shares of two moved sides at which they meet near their common corner."""
    # Lines that turn straight back have no place where they meet.
    if side.source.is_line and after.source.is_line and math.pi - abs(turn) < 1e-9:
        return []
    found = []
    for guess in ((1.0, 0.0), *_guesses(side, after)):
        shares = _made_good(side, after, *guess)
        if shares is not None:
            found.append(shares)
    return found


def _made_good(side: _Side, after: _Side, end: float, start: float) -> tuple[float, float] | None:
    """The meeting that Newton's method finds from a guess, or None."""
    for _ in range(_STEPS):
        (ax, ay), (bx, by) = side.at(end), after.at(start)
        dx, dy = bx - ax, by - ay
        if math.hypot(dx, dy) <= _FOUND_MM:
            return end, start
        (ux, uy), (vx, vy) = side.heading(end), after.heading(start)
        cross = ux * vy - uy * vx
        onward, backward = side.speed(end), after.speed(start)
        if abs(cross) < 1e-12 or onward <= 0.0 or backward <= 0.0:
            return None
        end += (dx * vy - dy * vx) / cross / onward
        start += (dx * uy - dy * ux) / cross / backward
        if not (-2.0 < end < 1e4 and -1e4 < start < 3.0):
            return None
    return None


def _guesses(side: _Side, after: _Side) -> list[tuple[float, float]]:
    """Where the circles that osculate the sides at their common corner meet, in shares."""
    if side.source.is_line and after.source.is_line:
        return []
    (ax, ay), (bx, by) = side.at(1.0), after.at(0.0)
    (ux, uy), (vx, vy) = side.heading(1.0), after.heading(0.0)
    a, b = Point(ax, ay), Point(bx, by)
    if side.source.is_line:
        radius = after.radius(0.0)
        centre = Point(bx - vy * radius, by + vx * radius)
        found = line_circle(a, Point(ax + ux, ay + uy), centre, abs(radius))
    elif after.source.is_line:
        radius = side.radius(1.0)
        centre = Point(ax - uy * radius, ay + ux * radius)
        found = line_circle(b, Point(bx + vx, by + vy), centre, abs(radius))
    else:
        r, s = side.radius(1.0), after.radius(0.0)
        found = circle_circle(
            Point(ax - uy * r, ay + ux * r), abs(r), Point(bx - vy * s, by + vx * s), abs(s)
        )
    return [
        (1.0 + _run_to(side, 1.0, place.floats()), _run_to(after, 0.0, place.floats()))
        for place in found
    ]


def _run_to(side: _Side, share: float, place: Pair) -> float:
    """How many shares on from `share` a place lies, along the circle or line there."""
    x, y = side.at(share)
    ux, uy = side.heading(share)
    along = (place[0] - x) * ux + (place[1] - y) * uy
    if side.source.is_line:
        return along / side.source.length
    left = (place[1] - y) * ux - (place[0] - x) * uy
    radius = side.radius(share)
    return math.atan2(along / radius, 1.0 - left / radius) / side.source.sweep


def _mitre_area(side: _Side, after: _Side, tip: tuple[float, float], bow: _Round) -> float:
    """The signed area between a mitre and the ellipse's arc about its corner, in mm²."""
    tool = side.tool
    if side.source.is_line and after.source.is_line:
        half = abs(tool.turn(side.heading(1.0), after.heading(0.0))) / 2.0
        return tool.way * tool.a * tool.b * (math.tan(half) - half)
    back = [segment.reversed for segment in reversed(fit(bow, ACROSS_MM).segments)]
    around = [*_run_on(side, 1.0, tip[0]), *_run_on(after, tip[1], 0.0), *back]
    return path_of(around, closed=True).area


def _run_on(side: _Side, start: float, end: float) -> tuple[Segment, ...]:
    """The stretch that a mitre adds to a side; none where it adds nothing."""
    return _stretch(side, start, end) if end - start > 1e-12 else ()
