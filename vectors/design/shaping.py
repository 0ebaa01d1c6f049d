"""This module turns written corners into paths: rounds corners, finds arcs, checks what cannot be.

Everything stays in fractions as far as the directions of the lines allow;
bulges are floats.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from ..geometry import Path, Point, Vertex, bulge_through
from ..geometry.beziers import Bezier
from ..geometry.fitting import fit
from ..measures.exact import MEETS_MM, ROUNDING_MM, Number

NOTHING = Fraction(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Corner:
    """A place on a path that is being shaped.

    `radius` is the radius, in mm, that rounds it (0 leaves it sharp); `through`
    a place on the arc that leads here from the corner before; `control` the one or
    two control places of a Bézier curve that does.
    """

    at: Point
    radius: Number = NOTHING
    through: Point | None = None
    control: tuple[Point, ...] = ()


class Misfit(ValueError):
    """A corner that cannot be: which one (counted from 0), the rule, and the rule's fields."""

    def __init__(self, index: int, code: str, at: Point, **fields: object) -> None:
        super().__init__(code)
        self.index = index
        self.code = code
        self.at = at
        self.fields = fields


@dataclass(frozen=True, kw_only=True, slots=True)
class Shaped:
    """A path, and for each of its segments which written stretch it came from (counted from 0).

    The arc of a rounded corner belongs to the stretch that leads to it.  `fitted`
    tells for each curve that is not straight which corner it leads to (counted from 0)
    and how many arcs and lines stand for it.
    """

    path: Path
    written: tuple[int, ...]
    fitted: tuple[tuple[int, int], ...] = ()


@dataclass(slots=True)
class _Stop:
    """A vertex of the path to be, with the written stretch that leaves it."""

    at: Point
    bulge: float
    written: int


def shape(corners: Sequence[Corner], *, closed: bool) -> Shaped:
    """The path through `corners`, rounded, with its arcs and with arcs for its curves.

    A closed path may end in an arc or a curve back to its first place.  Curves are
    fitted within `FITTED_MM`.  Raises Misfit for a repeated place, a radius that does
    not fit, an arc that is none, or too few corners.
    """
    corners = list(corners)
    back: Corner | None = None
    written = len(corners)
    if closed and len(corners) > 1:
        end = corners[-1]
        if (end.through is not None or end.control) and _meet(end.at, corners[0].at):
            back = corners.pop()
        elif _meet(end.at, corners[0].at):
            raise Misfit(len(corners) - 1, "closing-point", end.at)
    count = len(corners)
    if count < 2:
        raise Misfit(0, "too-few-points", corners[0].at if corners else Point(NOTHING, NOTHING))
    stretches = count if closed else count - 1
    ways: list[_Way] = []
    fitted: list[tuple[int, int]] = []
    for index in range(stretches):
        here, there = corners[index], corners[(index + 1) % count]
        lead = there
        if index == count - 1:
            lead = Corner(at=there.at) if back is None else back
        if _meet(here.at, there.at):
            raise Misfit((index + 1) % count, "repeated-point", there.at)
        way = _way(here.at, lead, there.at, index, (index + 1) % count)
        ways.append(way)
        if lead.control and way.bent:
            fitted.append((written - 1 if lead is back else index + 1, 1 + len(way.more)))
    if closed and count < 3 and not any(way.bent for way in ways):
        raise Misfit(count - 1, "too-few-points", corners[-1].at)
    return replace(_rounded(corners, ways, closed), fitted=tuple(fitted))


@dataclass(frozen=True, slots=True)
class _Way:
    """What leads from a corner to the next: the bulge it begins with, the stops after that."""

    bulge: float
    more: tuple[_Stop, ...] = ()
    curve: bool = False

    @property
    def bent(self) -> bool:
        """Whether it is anything but one line."""
        return self.bulge != 0.0 or bool(self.more)


def _way(start: Point, lead: Corner, end: Point, index: int, to: int) -> _Way:
    if not lead.control:
        return _Way(_bulge(start, lead.through, end, to))
    # A design's curves are short enough for a fit to follow them wherever they bend.
    segments = fit(Bezier((start, *lead.control, end))).segments
    more = tuple(_Stop(segment.start, segment.bulge, index) for segment in segments[1:])
    return _Way(segments[0].bulge, more, curve=True)


def _meet(one: Point, other: Point) -> bool:
    return one.distance(other) <= MEETS_MM


def _bulge(start: Point, through: Point | None, end: Point, index: int) -> float:
    if through is None:
        return 0.0
    if _meet(start, through) or _meet(through, end):
        raise Misfit(index, "arc-through-its-end", through)
    bulge = bulge_through(start, through, end)
    if bulge == 0.0 and (start - through).dot(end - through) > 0:
        # On the line of both ends but outside them there is no arc to be had.
        raise Misfit(index, "arc-beyond-its-ends", through)
    return bulge


def _rounded(corners: Sequence[Corner], ways: Sequence[_Way], closed: bool) -> Shaped:
    count = len(corners)
    stops: list[_Stop] = []
    trims: list[Number] = [NOTHING] * count
    for index, corner in enumerate(corners):
        leaving = ways[index] if index < len(ways) else _Way(0.0)
        if corner.radius == 0:
            stops += (_Stop(corner.at, leaving.bulge, index), *leaving.more)
            continue
        if not closed and index in (0, count - 1):
            raise Misfit(index, "round-at-an-end", corner.at)
        before, after = corners[index - 1], corners[(index + 1) % count]
        beside = [way for way in (ways[index - 1], leaving) if way.bent]
        if beside:
            bend = "a curve" if beside[0].curve else "an arc"
            raise Misfit(index, "round-beside-an-arc", corner.at, bend=bend)
        come, go = (corner.at - before.at).unit(), (after.at - corner.at).unit()
        cross, dot = come.cross(go), come.dot(go)
        if 1 + dot <= ROUNDING_MM:
            raise Misfit(index, "round-turns-back", corner.at)
        # The tangent points lie r tan(turn / 2) from the corner.
        trim = corner.radius * (cross if cross >= 0 else -cross) / (1 + dot)
        if trim <= ROUNDING_MM:
            stops.append(_Stop(corner.at, leaving.bulge, index))
            continue
        trims[index] = trim
        bulge = math.tan(math.atan2(float(cross), float(dot)) / 4.0)
        stops.append(_Stop(corner.at + come * -trim, bulge, (index - 1) % count))
        stops.append(_Stop(corner.at + go * trim, leaving.bulge, index))
    for index in range(len(ways)):
        here, there = corners[index], corners[(index + 1) % count]
        length = (there.at - here.at).length
        if trims[index] + trims[(index + 1) % count] - length > ROUNDING_MM:
            worse = index if trims[index] > trims[(index + 1) % count] else (index + 1) % count
            raise Misfit(
                worse, "round-does-not-fit", corners[worse].at, radius=corners[worse].radius
            )
    return _joined(stops, closed)


def _joined(stops: list[_Stop], closed: bool) -> Shaped:
    # Where two rounded corners use up the whole line between them, the line is
    # gone and the arcs meet.
    kept: list[_Stop] = []
    for stop in stops:
        if kept and kept[-1].bulge == 0.0 and _same(kept[-1].at, stop.at):
            kept.pop()
        kept.append(stop)
    if closed and kept[-1].bulge == 0.0 and _same(kept[-1].at, kept[0].at):
        kept.pop()
    path = Path(tuple(Vertex(stop.at, stop.bulge) for stop in kept), closed)
    written = kept if closed else kept[:-1]
    return Shaped(path=path, written=tuple(stop.written for stop in written))


def _same(one: Point, other: Point) -> bool:
    return one.distance(other) <= ROUNDING_MM
