"""This module holds the shape of a flat part: turned, put upright, and compared with another.

Two shapes are the same where one can be slid onto the other, or turned and slid; none is
ever turned over, for the paper of a mat has its print on one side.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from ..geometry import Path, Point, Segment, Vector, Vertex, path_of
from ..geometry.mirroring import mirrored
from ..geometry.moments import moments
from ..measures.exact import ROUNDING_MM, SAME_DIRECTION_RAD, SAME_SIZE_MM

# Decimals that are kept of coordinates in mm: what is below is rounding of double precision.
_KEPT = 9

# A frame that saves less than this share of the paper is not worth a turn.
_WORTH = 5e-3


_Change = Callable[[Path], Path]


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline, anticlockwise, and the holes in it, clockwise."""

    outline: Path
    openings: tuple[Path, ...] = ()

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top, in mm."""
        return self.outline.box()

    @property
    def size(self) -> tuple[float, float]:
        """Width and height in mm."""
        left, bottom, right, top = self.box
        return right - left, top - bottom

    @property
    def area(self) -> float:
        """The area in mm², less the holes."""
        return moments(self.outline, *self.openings).area

    @property
    def is_rectangle(self) -> bool:
        """Whether it is a rectangle without a hole, however it lies."""
        return not self.openings and len(self.outline.vertices) == 4 and is_square_cut(self.outline)

    def turned(self, degrees: float) -> Shape:
        """The shape turned anticlockwise about the origin; quarter turns are exact."""
        cos, sin = _cos_sin(degrees)
        return self._each(lambda path: _turned(path, cos, sin))

    def moved(self, by: Vector) -> Shape:
        """The shape displaced."""
        return self._each(lambda path: path.moved(by))

    def at_home(self) -> Shape:
        """The shape with the lower left corner of its box at the origin."""
        left, bottom, _, _ = self.box
        return self.moved(Vector(-left, -bottom))._each(_settled)

    def turned_over(self) -> Shape:
        """The shape as it is seen from the other side: x and -x change places."""
        return self._each(lambda path: mirrored(path, upright=True, twice=0.0).reversed)

    def _each(self, change: _Change) -> Shape:
        return Shape(change(self.outline), tuple(change(path) for path in self.openings))


def shape_of(outline: Path, openings: Sequence[Path]) -> Shape:
    """The shape with no more corners than it needs."""
    return Shape(without_spare_corners(outline), tuple(map(without_spare_corners, openings)))


def without_spare_corners(path: Path) -> Path:
    """A closed path without the corners at which it runs straight on."""
    segments = list(path.segments)
    kept: list[Segment] = []
    for segment in segments:
        if kept and _runs_on(kept[-1], segment):
            kept[-1] = Segment(kept[-1].start, segment.end)
        else:
            kept.append(segment)
    if len(kept) > 1 and _runs_on(kept[-1], kept[0]):
        kept[0] = Segment(kept.pop().start, kept[0].end)
    return path_of(kept, closed=True)


def is_square_cut(path: Path) -> bool:
    """Whether a path has straight sides only, all of them at right angles."""
    segments = path.segments
    if not all(segment.is_line for segment in segments):
        return False
    return all(
        abs(float(_along(here).dot(_along(there)))) <= 1e-9
        for here, there in zip(segments, (*segments[1:], segments[0]), strict=True)
    )


def tilt(shape: Shape) -> float:
    """How far a shape is turned from lying square, in degrees, more than -45 and up to 45.

    Square it fits into the smallest rectangle, one of whose sides lies on a straight side of the
    shape; it counts as lying square where that saves next to nothing.
    """
    best, least = 0.0, math.prod(shape.size)
    threshold = least * (1.0 - _WORTH)
    for segment in shape.outline.segments:
        if not segment.is_line:
            continue
        angle = _along(segment).angle % 90.0
        angle = angle - 90.0 if angle > 45.0 else angle
        if abs(angle) < 1e-9:
            continue
        area = math.prod(shape.turned(-angle).size)
        # Of equal ones the one that is turned least.
        if area < min(threshold, least * (1.0 - 1e-9)) or (
            best and math.isclose(area, least, rel_tol=1e-9) and abs(angle) < abs(best)
        ):
            best, least = angle, area
    return best


def same_shape(first: Shape, second: Shape, *, turning: bool) -> bool:
    """Whether the one can be laid on the other, turned where `turning` allows it.

    No place then lies more than SAME_SIZE_MM from its match.
    """
    if len(first.openings) != len(second.openings):
        return False
    if len(first.outline.vertices) != len(second.outline.vertices):
        return False
    return any(
        _matches(first, second, motion)
        for motion in _motions(first.outline, second.outline, turning=turning)
    )


# From a place to a place: cos, sin, and a displacement.
_Motion = tuple[float, float, float, float]


def _motions(first: Path, second: Path, *, turning: bool) -> Iterator[_Motion]:
    """The motions that lay the first side of one path on a side of the other."""
    (x0, y0), lead = first.vertices[0].at.floats(), first.segments[0]
    for side in second.segments:
        if abs(side.chord - lead.chord) > SAME_SIZE_MM:
            continue
        turn = side.direction(0.0).angle - lead.direction(0.0).angle
        turn = math.remainder(turn, 360.0)
        # Over a long side even a small turn tells.
        if abs(turn) * math.pi / 180.0 * _reach(first) <= SAME_SIZE_MM:
            turn = 0.0
        elif not turning:
            continue
        cos, sin = _cos_sin(turn)
        x, y = side.start.floats()
        yield cos, sin, x - (cos * x0 - sin * y0), y - (sin * x0 + cos * y0)


def _reach(path: Path) -> float:
    left, bottom, right, top = path.box()
    return math.hypot(right - left, top - bottom)


def _matches(first: Shape, second: Shape, motion: _Motion) -> bool:
    if not _lies_on(first.outline, second.outline, motion):
        return False
    left = list(second.openings)
    for hole in first.openings:
        match = next((one for one in left if _lies_on(hole, one, motion)), None)
        if match is None:
            return False
        left.remove(match)
    return True


def _lies_on(path: Path, other: Path, motion: _Motion) -> bool:
    """Whether a path, moved, runs along the other one, from whichever corner on."""
    if len(path.vertices) != len(other.vertices):
        return False
    cos, sin, dx, dy = motion
    mine = []
    for segment in path.segments:
        for at in (segment.start, segment.middle):
            x, y = at.floats()
            mine.append((cos * x - sin * y + dx, sin * x + cos * y + dy))
    theirs = [at.floats() for segment in other.segments for at in (segment.start, segment.middle)]
    return any(
        all(
            math.dist(a, b) <= SAME_SIZE_MM
            for a, b in zip(mine, theirs[shift:] + theirs[:shift], strict=True)
        )
        for shift in range(0, len(theirs), 2)
    )


def _along(segment: Segment) -> Vector:
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    length = math.hypot(x1 - x0, y1 - y0)
    return Vector((x1 - x0) / length, (y1 - y0) / length)


def _runs_on(here: Segment, there: Segment) -> bool:
    if not (here.is_line and there.is_line):
        return False
    one, two = _along(here), _along(there)
    bend = abs(math.atan2(float(one.cross(two)), float(one.dot(two))))
    # A corner that is a hair off the line is none either.
    return bend <= SAME_DIRECTION_RAD or bend * min(here.chord, there.chord) <= ROUNDING_MM


def _cos_sin(degrees: float) -> tuple[float, float]:
    quarters, rest = divmod(degrees, 90.0)
    if rest == 0.0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def _turned(path: Path, cos: float, sin: float) -> Path:
    vertices = []
    for vertex in path.vertices:
        x, y = vertex.at.floats()
        vertices.append(Vertex(Point(cos * x - sin * y, sin * x + cos * y), vertex.bulge))
    return Path(tuple(vertices), path.closed)


def _settled(path: Path) -> Path:
    """The path without the dust of double precision."""
    vertices = []
    for vertex in path.vertices:
        x, y = vertex.at.floats()
        # Adding zero turns a rounded -0.0 into 0.
        vertices.append(Vertex(Point(round(x, _KEPT) + 0.0, round(y, _KEPT) + 0.0), vertex.bulge))
    return Path(tuple(vertices), path.closed)
