"""This module offsets a closed path with true arcs also where sides vanish, merge or turn round.

All pieces that the edge may be made of are split where they meet.  Stretches
nearer to the source than the offset, or inside the tip of a corner, are dropped,
and what is left is joined to closed rings: one, several where the path falls
apart or closes off a room, or none where nothing is left.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..measures.exact import KEEPS_OFF_MM, ROUNDING_MM, SAME_PLACE_MM
from .box_pairs import Floats, pairs_between, pairs_within
from .inside import inside
from .meetings import Overlap, meetings, share_of
from .nearest import nearest_on
from .offset import MITRE_LIMIT
from .offset_pieces import Piece, Pieces, pieces_of
from .offset_sides import Raw, raw_sides
from .paths import Path, Segment, path_of
from .points import Point

# Places of meetings that lie nearer than this, in mm, are one.
_NODE_MM = 4.0 * SAME_PLACE_MM


@dataclass(frozen=True, slots=True)
class Ring:
    """One closed ring of an offset, and in order the source's segments that it belongs to.

    Beside the number of each stands whether it is the arc about the corner at the
    segment's end.
    """

    path: Path
    sides: tuple[tuple[int, bool], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Trimmed:
    """What is left of an offset: its rings, run the same way round as the source.

    `rings` is None where they could not be made out, and empty where the path
    vanishes.  A room that is closed off behind a neck is a ring of the other way
    round.  `raw` are the source's segments, run so that the area lies to their
    left, and `pieces` what the edge was made of; sides are numbered along it.
    """

    raw: tuple[Raw, ...]
    pieces: Pieces
    rings: tuple[Ring, ...] | None
    rounded: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A part of a piece between two places where others meet it."""

    piece: int
    start: int
    end: int
    segment: Segment
    low: float
    high: float


def trimmed(
    path: Path, by: float, *, mitre_limit: float = MITRE_LIMIT, wary: bool = False
) -> Trimmed:
    """The closed `path`, which must not cross itself, moved by `by` mm: outwards where positive.

    With `wary` mitres that other sides or mitres would touch give way to arcs.
    Raises ValueError for an open path, and for one without an area.
    """
    if not path.closed:
        raise ValueError("only a closed path has an inside")
    raw = raw_sides(path)
    area = path.area
    if len(raw) < 2 or area == 0.0:
        raise ValueError("a path without an area has no inside")
    turned = (area > 0.0) != (by > 0.0)
    if turned:
        raw = [(x1, y1, x0, y0, 0.0 - bulge) for x0, y0, x1, y1, bulge in reversed(raw)]
    pieces = pieces_of(raw, abs(by), mitre_limit, wary=wary)
    stretches = _kept(_split(pieces.pieces), pieces, raw, abs(by))
    loops = _loops(_chained(stretches))
    if loops is None:
        return Trimmed(raw=tuple(raw), pieces=pieces, rings=None)
    rings = []
    left: set[int] = set()
    for loop in loops:
        ring = _ring(loop, pieces.pieces, turned)
        if ring is None:
            continue
        rings.append(ring)
        left.update(
            pieces.pieces[stretch.piece].side
            for stretch in loop
            if pieces.pieces[stretch.piece].round
            and (wary or pieces.pieces[stretch.piece].side not in pieces.crowded)
        )
    return Trimmed(
        raw=tuple(raw),
        pieces=pieces,
        rings=tuple(rings),
        rounded=tuple(
            Point(raw[corner][2], raw[corner][3]) for corner in sorted(left, reverse=turned)
        ),
    )


def _boxes(lines: Sequence[Segment] | Sequence[Path]) -> Floats:
    return np.array([line.box() for line in lines]).reshape(-1, 4)


class _Nodes:
    """Places, each with a number; the same for those that lie within `_NODE_MM`."""

    def __init__(self) -> None:
        self.places: list[Point] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def number(self, at: Point) -> int:
        x, y = at.floats()
        column, row = math.floor(x / _NODE_MM), math.floor(y / _NODE_MM)
        for i in (column, column - 1, column + 1):
            for j in (row, row - 1, row + 1):
                for node in self._cells.get((i, j), ()):
                    if self.places[node].distance(at) <= _NODE_MM:
                        return node
        self.places.append(at)
        self._cells.setdefault((column, row), []).append(len(self.places) - 1)
        return len(self.places) - 1


def _split(pieces: Sequence[Piece]) -> list[_Stretch]:
    """All pieces, cut wherever they meet each other."""
    segments = [piece.segment for piece in pieces]
    cuts: list[dict[float, Point]] = [
        {0.0: segment.start, 1.0: segment.end} for segment in segments
    ]
    for ones, others in pairs_within(_boxes(segments), SAME_PLACE_MM):
        for i, j in zip(ones.tolist(), others.tolist(), strict=True):
            for meeting in meetings(segments[i], segments[j], SAME_PLACE_MM):
                if not isinstance(meeting, Overlap):
                    cuts[i].setdefault(meeting.first, meeting.at)
                    cuts[j].setdefault(meeting.second, meeting.at)
                    continue
                for share in (meeting.start, meeting.end):
                    at = segments[i].at(share)
                    cuts[i].setdefault(share, at)
                    other = share_of(segments[j], at, SAME_PLACE_MM)
                    if other is not None:
                        cuts[j].setdefault(other, at)
    nodes = _Nodes()
    found = []
    for index, (segment, places) in enumerate(zip(segments, cuts, strict=True)):
        shares = sorted(places)
        numbers = [nodes.number(places[share]) for share in shares]
        low, start = shares[0], numbers[0]
        for high, end in zip(shares[1:], numbers[1:], strict=True):
            if end == start and (high - low) * segment.length <= 4.0 * _NODE_MM:
                continue
            part = Segment(
                nodes.places[start],
                nodes.places[end],
                0.0 if segment.is_line else math.tan(segment.sweep * (high - low) / 4.0),
            )
            found.append(_Stretch(index, start, end, part, low, high))
            low, start = high, end
    return found


def _kept(
    stretches: list[_Stretch], pieces: Pieces, raw: Sequence[Raw], by: float
) -> list[_Stretch]:
    """The stretches that keep off the source, and out of the tips of other corners."""
    middles = np.array([stretch.segment.middle.floats() for stretch in stretches])
    points = np.hstack((middles, middles))
    source = [Segment(Point(x0, y0), Point(x1, y1), bulge) for x0, y0, x1, y1, bulge in raw]
    dropped = np.zeros(len(stretches), dtype=np.bool_)
    near = by - KEEPS_OFF_MM
    for ones, others in pairs_between(points, _boxes(source), by):
        for i, j in zip(ones.tolist(), others.tolist(), strict=True):
            if not dropped[i] and nearest_on(source[j], Point(*middles[i]))[0] < near:
                dropped[i] = True
    tips = pieces.tips
    count = len(raw)
    for ones, others in pairs_between(points, _boxes([tip.area for tip in tips]), 0.0):
        for i, j in zip(ones.tolist(), others.tolist(), strict=True):
            piece, tip = pieces.pieces[stretches[i].piece], tips[j]
            # The edges of a tip lie on the carriers of its own two sides.
            if dropped[i] or piece.side in (tip.corner, (tip.corner + 1) % count):
                continue
            x, y = middles[i].tolist()
            dropped[i] = inside(tip.area, x, y) and all(
                nearest_on(edge, Point(x, y))[0] > KEEPS_OFF_MM for edge in tip.edges
            )
    return [stretch for stretch, out in zip(stretches, dropped.tolist(), strict=True) if not out]


def _chained(stretches: list[_Stretch]) -> list[_Stretch]:
    """The stretches that lie on rings: each once, without those that cancel and dead ends."""
    found: list[_Stretch] = []
    between: defaultdict[tuple[int, int], list[_Stretch]] = defaultdict(list)
    cancelled: set[int] = set()
    for stretch in stretches:
        middle = stretch.segment.middle
        near = 4.0 * _NODE_MM
        if any(
            other.segment.middle.distance(middle) <= near
            for other in between[stretch.start, stretch.end]
        ):
            continue
        # Two sides that meet back to back leave nothing between them.
        back = next(
            (
                other
                for other in between[stretch.end, stretch.start]
                if other.segment.middle.distance(middle) <= near
            ),
            None,
        )
        if back is not None:
            cancelled.add(id(back))
            continue
        between[stretch.start, stretch.end].append(stretch)
        found.append(stretch)
    found = [stretch for stretch in found if id(stretch) not in cancelled]
    while True:
        starts = {stretch.start for stretch in found}
        ends = {stretch.end for stretch in found}
        on = [s for s in found if s.end in starts and s.start in ends]
        if len(on) == len(found):
            return found
        found = on


def _loops(stretches: list[_Stretch]) -> list[list[_Stretch]] | None:
    """The stretches in closed runs; None where one does not close."""
    leaving: defaultdict[int, list[_Stretch]] = defaultdict(list)
    for stretch in stretches:
        leaving[stretch.start].append(stretch)
    used: set[int] = set()
    loops = []
    for first in stretches:
        if id(first) in used:
            continue
        loop = [first]
        used.add(id(first))
        while loop[-1].end != first.start:
            onward = [s for s in leaving[loop[-1].end] if id(s) not in used]
            if not onward:
                return None
            # Where rings touch, each keeps to its right, so that none crosses another.
            following = min(onward, key=lambda s: _turn(loop[-1], s))
            used.add(id(following))
            loop.append(following)
        loops.append(loop)
    return loops


def _turn(before: _Stretch, after: _Stretch) -> float:
    a, b = before.segment.direction(1.0), after.segment.direction(0.0)
    return math.atan2(float(a.cross(b)), float(a.dot(b)))


def _ring(loop: list[_Stretch], pieces: Sequence[Piece], backwards: bool) -> Ring | None:
    """A run of stretches as a ring, those of one piece made one; None for a sliver.

    `backwards` tells that the source was run the other way.
    """
    runs: list[list[_Stretch]] = []
    for stretch in loop:
        if runs and _one(runs[-1][-1], stretch):
            runs[-1].append(stretch)
        else:
            runs.append([stretch])
    if len(runs) > 1 and _one(runs[-1][-1], runs[0][0]):
        runs[0] = runs.pop() + runs[0]
    # The ring starts where the source does, or as soon after as it can.
    order = [pieces[run[0].piece] for run in runs]
    first = min(range(len(runs)), key=lambda index: _along(order[index], backwards))
    runs, order = runs[first:] + runs[:first], order[first:] + order[:first]
    segments: list[Segment] = []
    last = -1
    for run, piece in zip(runs, order, strict=True):
        whole = piece.segment
        share = run[-1].high - run[0].low
        bulge = 0.0 if whole.is_line else math.tan(whole.sweep * share / 4.0)
        segment = Segment(run[0].segment.start, run[-1].segment.end, bulge)
        if segments and abs(piece.side - last) > 1 and _straight_on(segments[-1], segment):
            segments[-1] = Segment(segments[-1].start, segment.end)
        else:
            segments.append(segment)
        last = piece.side
    if backwards:
        segments = [segments[0].reversed, *(segment.reversed for segment in segments[:0:-1])]
    path = path_of(segments, closed=True)
    if len(segments) < 2 or abs(path.area) <= SAME_PLACE_MM * path.length:
        return None
    return Ring(path, tuple((piece.side, piece.round) for piece in order))


def _along(piece: Piece, backwards: bool) -> tuple[bool, int]:
    return piece.round, -piece.side if backwards else piece.side


def _one(before: _Stretch, after: _Stretch) -> bool:
    return before.piece == after.piece and before.high == after.low


def _straight_on(before: Segment, after: Segment) -> bool:
    """Whether two lines run on as one, as those do on both sides of a gap that was closed."""
    if not (before.is_line and after.is_line):
        return False
    a, b = before.direction(0.0), after.direction(0.0)
    return float(a.dot(b)) > 0.0 and abs(float(a.cross(b))) <= ROUNDING_MM
