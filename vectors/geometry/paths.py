"""This module holds the one curve type: a path of vertices, each with the bulge of its segment.

The bulge of the segment from one vertex to the next is tan(sweep / 4), as in
DXF (group code 42): 0 is a straight line, 1 a half circle, positive when the
arc runs anticlockwise, y up.  Lines and circular arcs so stay exact from the
design to the file.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from ..measures.exact import ROUNDING_MM, Number
from .points import Point, Vector

# An arc of a smaller bulge is almost straight: its circle is more than a thousand
# times as wide as its chord is long.
_FLAT_BULGE = 5e-4


@dataclass(frozen=True, slots=True)
class Vertex:
    """A place on a path and the bulge of the segment that leaves it."""

    at: Point
    bulge: float = 0.0


@dataclass(frozen=True, slots=True)
class Segment:
    """A straight line or a circular arc from `start` to `end`."""

    start: Point
    end: Point
    bulge: float = 0.0

    @property
    def is_line(self) -> bool:
        """Whether the segment is straight."""
        return self.bulge == 0.0

    @property
    def sweep(self) -> float:
        """The angle that an arc covers, in radians, negative when clockwise; 0 for a line."""
        return 4.0 * math.atan(self.bulge)

    @property
    def chord(self) -> float:
        """The distance from start to end, in mm."""
        return self.start.distance(self.end)

    @property
    def radius(self) -> float:
        """The radius of an arc, in mm; infinite for a line."""
        if self.is_line:
            return math.inf
        # D10 of the DXF facts: r = chord (1 + b²) / (4 |b|).
        return self.chord * (1.0 + self.bulge * self.bulge) / (4.0 * abs(self.bulge))

    @property
    def centre(self) -> Point:
        """The centre of an arc.  Raises ValueError for a line."""
        if self.is_line:
            raise ValueError("a straight segment has no centre")
        (x0, y0), (x1, y1) = self.start.floats(), self.end.floats()
        # From the middle of the chord, along its left normal.
        along = (1.0 - self.bulge * self.bulge) / (4.0 * self.bulge)
        return Point(
            (x0 + x1) / 2.0 - (y1 - y0) * along,
            (y0 + y1) / 2.0 + (x1 - x0) * along,
        )

    @property
    def length(self) -> float:
        """The length along the segment, in mm."""
        if self.is_line:
            return self.chord
        # Half the sweep over its sine says how much longer the arc is than its
        # chord, however flat it is.
        half = self.sweep / 2.0
        return self.chord * (half / math.sin(half))

    @property
    def reversed(self) -> Segment:
        """The same segment run the other way."""
        # 0 - 0 is 0, where -0 would be written with a sign.
        return Segment(self.end, self.start, 0.0 - self.bulge)

    @property
    def middle(self) -> Point:
        """The place half way along the segment."""
        # Bulge times half the chord is the height of the arc over its chord, to
        # the right.  The centre of an almost straight arc is too far away to
        # reckon from, so this does without it.
        (x0, y0), (x1, y1) = self.start.floats(), self.end.floats()
        rise = self.bulge / 2.0
        return Point((x0 + x1) / 2.0 + (y1 - y0) * rise, (y0 + y1) / 2.0 - (x1 - x0) * rise)

    def at(self, share: float) -> Point:
        """The place at `share` (0 to 1) of the length."""
        if share == 0.0:
            return self.start
        if share == 1.0:
            return self.end
        (x0, y0), (x1, y1) = self.start.floats(), self.end.floats()
        dx, dy = (x1 - x0), (y1 - y0)
        if self.is_line:
            return Point(x0 + dx * share, y0 + dy * share)
        # The chord to a place on an arc is to the whole chord as the sines of
        # half the sweeps, and heads as far to the right of it as half of what is
        # left of the sweep.  The centre of an almost straight arc is too far
        # away to reckon from, so this does without it.
        sweep = self.sweep
        part = math.sin(sweep * share / 2.0) / math.sin(sweep / 2.0)
        turn = sweep * (share - 1.0) / 2.0
        cos, sin = part * math.cos(turn), part * math.sin(turn)
        return Point(x0 + dx * cos - dy * sin, y0 + dx * sin + dy * cos)

    def direction(self, share: float) -> Vector:
        """The unit direction of travel at `share` (0 to 1) of the length, in floats."""
        (x0, y0), (x1, y1) = self.start.floats(), self.end.floats()
        chord = self.chord
        if chord == 0.0:
            raise ValueError("a segment of no length has no direction")
        dx, dy = (x1 - x0) / chord, (y1 - y0) / chord
        # At its start an arc heads half its sweep to the right of its chord
        # (anticlockwise arcs bulge to the right), at its end as far to the left.
        turn = self.sweep * (share - 0.5)
        cos, sin = math.cos(turn), math.sin(turn)
        return Vector(dx * cos - dy * sin, dx * sin + dy * cos)

    def part(self, start: float, end: float) -> Segment:
        """The stretch between two shares (0 to 1) of the length."""
        bulge = 0.0 if self.is_line else math.tan(self.sweep * (end - start) / 4.0)
        return Segment(self.at(start), self.at(end), bulge)

    def split(self, largest_sweep: float) -> tuple[Segment, ...]:
        """The segment in equal parts of at most `largest_sweep` radians each."""
        # A hair of slack keeps a quarter circle whole when it was asked for.
        count = max(1, math.ceil(abs(self.sweep) / largest_sweep - 1e-9))
        if count == 1:
            return (self,)
        shares = [i / count for i in range(count + 1)]
        places = [self.at(share) for share in shares]
        sweep = 0.0 if self.is_line else self.sweep
        return tuple(
            Segment(start, end, math.tan(sweep * (until - since) / 4.0))
            for (start, end), (since, until) in zip(pairwise(places), pairwise(shares), strict=True)
        )

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of the segment, in mm."""
        (x0, y0), (x1, y1) = self.start.floats(), self.end.floats()
        left, right, bottom, top = min(x0, x1), max(x0, x1), min(y0, y1), max(y0, y1)
        sweep = self.sweep
        if sweep != 0.0 and self.chord != 0.0:
            heading = self.direction(0.0)
            begin = math.atan2(heading.y, heading.x)
            low, high = sorted((begin, begin + sweep))
            quarter_turn = math.pi / 2.0
            # The arc reaches an extreme of its circle wherever its heading
            # passes a multiple of a quarter turn.
            for quarter in range(
                math.ceil(low / quarter_turn), 1 + math.floor(high / quarter_turn)
            ):
                share = (quarter * quarter_turn - begin) / sweep
                x, y = self.at(min(max(share, 0.0), 1.0)).floats()
                left, right = min(left, x), max(right, x)
                bottom, top = min(bottom, y), max(top, y)
        return left, bottom, right, top


@dataclass(frozen=True, slots=True)
class Path:
    """Vertices joined by lines and arcs; a closed path runs back to its first vertex.

    The bulge of the last vertex counts on a closed path only.
    """

    vertices: tuple[Vertex, ...]
    closed: bool = False

    @property
    def segments(self) -> tuple[Segment, ...]:
        """The lines and arcs in order."""
        found = [
            Segment(here.at, there.at, here.bulge)
            for here, there in zip(self.vertices, self.vertices[1:], strict=False)
        ]
        if self.closed and self.vertices:
            last = self.vertices[-1]
            found.append(Segment(last.at, self.vertices[0].at, last.bulge))
        return tuple(found)

    @property
    def start(self) -> Point:
        """The first place."""
        return self.vertices[0].at

    @property
    def end(self) -> Point:
        """The last place of the run: the first again where the path is closed."""
        return self.vertices[0].at if self.closed else self.vertices[-1].at

    @property
    def length(self) -> float:
        """The length of all segments, in mm."""
        # As each segment reckons it, without making segments of all of them.
        found = []
        vertices = self.vertices
        for index in range(0 if self.closed else 1, len(vertices)):
            before = vertices[index - 1]
            length = before.at.distance(vertices[index].at)
            if before.bulge:
                half = 2.0 * math.atan(before.bulge)
                length *= half / math.sin(half)
            found.append(length)
        return math.fsum(found)

    @property
    def area(self) -> float:
        """The enclosed area of a closed path in mm², positive when it runs anticlockwise."""
        return math.fsum(_swept_area(segment) for segment in self.segments)

    @property
    def reversed(self) -> Path:
        """The same path run the other way; a closed one keeps its first vertex."""
        return path_of((segment.reversed for segment in reversed(self.segments)), self.closed)

    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of the path, in mm.  Raises ValueError without segments."""
        if len(self.vertices) < (1 if self.closed else 2):
            return union_box(())
        places = [vertex.at.floats() for vertex in self.vertices]
        xs, ys = [x for x, _ in places], [y for _, y in places]
        # Only arcs reach beyond their ends.
        for index in range(0 if self.closed else 1, len(places)):
            bulge = self.vertices[index - 1].bulge
            if bulge:
                _reach_round(places[index - 1], places[index], bulge, xs, ys)
        return min(xs), min(ys), max(xs), max(ys)

    def moved(self, by: Vector) -> Path:
        """The path displaced by `by`."""
        return Path(
            tuple(Vertex(vertex.at + by, vertex.bulge) for vertex in self.vertices), self.closed
        )

    def rounded(self) -> Path:
        """The same path with float coordinates."""
        return Path(
            tuple(Vertex(vertex.at.rounded(), vertex.bulge) for vertex in self.vertices),
            self.closed,
        )

    def stretch(self, start: float, end: float) -> Path:
        """The open stretch between two distances along the path, in mm.

        On a closed path `end` may pass the length, and the stretch runs on over
        the first vertex; `start` lies between 0 and the length.
        """
        segments = self.segments
        total = self.length
        if self.closed and end > total:
            first, second = self.stretch(start, total), self.stretch(0.0, end - total)
            return path_of((*first.segments, *second.segments), closed=False)
        found: list[Segment] = []
        passed = 0.0
        for segment in segments:
            length = segment.length
            low, high = max(start - passed, 0.0), min(end - passed, length)
            # What is shorter than rounding is no stretch, only a sum that missed.
            if high - low > ROUNDING_MM:
                found.append(segment.part(low / length, high / length))
            passed += length
        return path_of(found, closed=False)


def _reach_round(
    start: tuple[float, float],
    end: tuple[float, float],
    bulge: float,
    xs: list[float],
    ys: list[float],
) -> None:
    """Adds how far an arc reaches along both axes where it is at the extremes of its circle."""
    (x0, y0), (x1, y1) = start, end
    dx, dy = x1 - x0, y1 - y0
    if abs(bulge) < _FLAT_BULGE:
        # The centre of an almost straight arc is too far away to reckon from.
        left, bottom, right, top = Segment(Point(x0, y0), Point(x1, y1), bulge).box()
        xs += (left, right)
        ys += (bottom, top)
        return
    along = (1.0 - bulge * bulge) / (4.0 * bulge)
    # From the start of the chord to the centre, and the radius.
    cx, cy = dx / 2.0 - dy * along, dy / 2.0 + dx * along
    radius = math.hypot(cx, cy)
    # An anticlockwise arc lies to the right of its chord: so do the extremes on it.
    side = dx * cy - dy * cx
    if bulge < 0.0:
        dx, dy, side = -dx, -dy, -side
    if side - dy * radius < 0.0:
        xs.append(x0 + cx + radius)
    if side + dy * radius < 0.0:
        xs.append(x0 + cx - radius)
    if side + dx * radius < 0.0:
        ys.append(y0 + cy + radius)
    if side - dx * radius < 0.0:
        ys.append(y0 + cy - radius)


def _swept_area(segment: Segment) -> float:
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    area = (x0 * y1 - x1 * y0) / 2.0
    if not segment.is_line:
        # The circular segment between chord and arc; an anticlockwise arc lies
        # to the right of its chord, outside an anticlockwise outline.
        area += bow_area(segment)
    return area


def bow_area(arc: Segment) -> float:
    """The area between an arc and its chord, in mm², reckoned without its radius."""
    sweep = arc.sweep
    narrowing = math.sin(sweep / 2.0) / (sweep / 2.0)
    return arc.chord**2 / 2.0 * _less_its_sine(sweep) / narrowing**2


def _less_its_sine(angle: float) -> float:
    """An angle less its sine, over its square."""
    if abs(angle) > 0.1:
        return (angle - math.sin(angle)) / angle**2
    # By its series, where the difference would lose all its digits.
    square = angle * angle
    return angle / 6.0 * (1.0 - square / 20.0 * (1.0 - square / 42.0 * (1.0 - square / 72.0)))


def union_box(
    boxes: Iterable[tuple[float, float, float, float]],
) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of all boxes together.  Raises ValueError for none."""
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def path_of(segments: Iterable[Segment], closed: bool) -> Path:
    """The path that runs along `segments`, each starting where the one before it ends."""
    found = list(segments)
    vertices = [Vertex(segment.start, segment.bulge) for segment in found]
    if found and not closed:
        vertices.append(Vertex(found[-1].end))
    return Path(tuple(vertices), closed)


def line(*points: Point) -> Path:
    """The open path of straight lines through `points`."""
    return Path(tuple(Vertex(at) for at in points))


def polygon(*points: Point) -> Path:
    """The closed path of straight lines through `points`."""
    return Path(tuple(Vertex(at) for at in points), closed=True)


def circle(centre: Point, radius: Number) -> Path:
    """A full circle, anticlockwise, as two half circles that start at its right."""
    return Path(
        (
            Vertex(Point(centre.x + radius, centre.y), 1.0),
            Vertex(Point(centre.x - radius, centre.y), 1.0),
        ),
        closed=True,
    )


def bulge_through(start: Point, through: Point, end: Point) -> float:
    """The bulge of the arc from `start` over `through` to `end`; 0 where they lie on one line.

    The angle that start and end subtend at `through` is half the sweep short of
    180 degrees (inscribed angle theorem), which gives the bulge's tangent form.
    """
    back, onward = start - through, end - through
    cross, dot = float(onward.cross(back)), float(onward.dot(back))
    chord = start.distance(end)
    # Twice the triangle over the chord is how far `through` lies off it: what
    # is less than rounding is no arc, and its radius would be astronomical.
    if chord == 0.0 or abs(cross) / chord <= ROUNDING_MM:
        return 0.0
    # Inscribed angle theta; sweep = 2 (180 - theta) on the side of `through`,
    # so the bulge is tan((180 - theta) / 2).
    theta = math.atan2(abs(cross), dot)
    return math.copysign(math.tan((math.pi - theta) / 2.0), cross)
