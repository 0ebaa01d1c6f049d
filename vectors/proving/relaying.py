"""This module puts a fold of a piece on another line, and what hangs on it along with it.

The fold's ends slide along what they ended on; slit ends and fold ends that lay
on it follow along their own lines.  Exact where the piece and the new line are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..design.pieces import Piece
from ..geometry import Path, Point, Segment, Vector, Vertex
from ..geometry.meetings import line_line, share_of
from ..measures.exact import MEETS_MM, Number


@dataclass(frozen=True, slots=True)
class Line:
    """An endless line through two different places."""

    start: Point
    end: Point

    def crosses(self, segment: Segment) -> Point | None:
        """Where it cuts the endless line through a straight segment; None when parallel."""
        return line_line(self.start, self.end, segment.start, segment.end)

    def holds(self, at: Point) -> bool:
        """Whether a place lies on it, within a micrometre."""
        along = self.end - self.start
        return abs(float(along.cross(at - self.start))) <= MEETS_MM * float(along.length)


def signed_distance(start: Point, end: Point, like: Vector | None = None) -> Number:
    """The distance of an endless line from the origin, along its normal that points up or right.

    Or along the normal that points more along `like` than against it.  In mm,
    exact where the places are and the length of the line is rational.
    """
    normal = upward_normal(start, end)
    if like is not None and normal.dot(like) < 0:
        normal = -normal
    return Vector(start.x, start.y).dot(normal) / normal.length


def upward_normal(start: Point, end: Point) -> Vector:
    """The normal of a line, as long as it, that points up, or right where the line is upright."""
    normal = (end - start).left
    if normal.y < 0 or (normal.y == 0 and normal.x < 0):
        normal = -normal
    return normal


def beside(line: Segment, distance: Number) -> Line:
    """The parallel of a straight segment at a signed distance from the origin, in mm."""
    normal = upward_normal(line.start, line.end)
    off = distance - signed_distance(line.start, line.end)
    by = normal * (off / normal.length)
    return Line(line.start + by, line.end + by)


def relaid(piece: Piece, fold: int, line: Line) -> Piece | None:
    """The piece with a straight fold put on another line.

    None where that cannot be done: the fold is not one straight segment, its
    end has nothing to slide along, or an arc ends on it.
    """
    moving = piece.folds[fold]
    segments = moving.path.segments
    if len(segments) != 1 or not segments[0].is_line:
        return None
    old = segments[0]
    start = _slid(piece, fold, old.start, line)
    end = _slid(piece, fold, old.end, line)
    if start is None or end is None or start == end:
        return None
    folds = list(piece.folds)
    slits = list(piece.slits)
    folds[fold] = replace(moving, path=Path((Vertex(start), Vertex(end))))
    for index, other in enumerate(piece.folds):
        if index == fold:
            continue
        path = _followed(other.path, old, line)
        if path is None:
            return None
        folds[index] = replace(other, path=path)
    for index, slit in enumerate(piece.slits):
        path = _followed(slit.path, old, line)
        if path is None:
            return None
        slits[index] = replace(slit, path=path)
    return _sound(replace(piece, folds=tuple(folds), slits=tuple(slits)))


def bent(piece: Piece, fold: int, at: Point, far: Point, line: Line) -> Piece | None:
    """The piece with one stretch of a straight fold, from `at` to its end `far`, on another line.

    The rest of the fold stays, so that it bends at `at`.  None where it cannot
    be done.
    """
    moving = piece.folds[fold]
    segments = moving.path.segments
    if len(segments) != 1 or not segments[0].is_line:
        return None
    old = segments[0]
    end = _slid(piece, fold, far, line)
    if end is None or any(_ends_between(path, Segment(at, far)) for path in _others(piece, fold)):
        return None
    turn_start = old.start.distance(far) < old.end.distance(far)
    vertices = (end, at, old.end) if turn_start else (old.start, at, end)
    folds = list(piece.folds)
    folds[fold] = replace(
        moving,
        path=Path(tuple(Vertex(place) for place in vertices)),
        senses=(moving.senses[0], moving.senses[0]),
    )
    return _sound(replace(piece, folds=tuple(folds)))


def _sound(piece: Piece) -> Piece | None:
    """The piece, unless one of its open lines has shrunk to nothing."""
    paths = (*(fold.path for fold in piece.folds), *(slit.path for slit in piece.slits))
    shrunk = any(
        not path.closed and any(segment.chord <= MEETS_MM for segment in path.segments)
        for path in paths
    )
    return None if shrunk else piece


def _others(piece: Piece, fold: int) -> list[Path]:
    return [
        *(slit.path for slit in piece.slits),
        *(other.path for index, other in enumerate(piece.folds) if index != fold),
    ]


def _ends_between(path: Path, stretch: Segment) -> bool:
    """Whether a path ends on a stretch, not counting the stretch's own ends."""
    shares = (share_of(stretch, at, MEETS_MM) for at in (path.start, path.end))
    return any(share is not None and 0.0 < share < 1.0 for share in shares)


def _slid(piece: Piece, fold: int, end: Point, line: Line) -> Point | None:
    """Where an end of the fold comes to lie: on the new line and on what it ended on."""
    if line.holds(end):
        return end
    rims = [*piece.outline.segments, *(s for o in piece.openings for s in o.path.segments)]
    for segment in rims:
        if not segment.is_line or share_of(segment, end, MEETS_MM) is None:
            continue
        at = line.crosses(segment)
        # At a corner two edges are to hand; the end slides along the one that
        # the new line still meets.
        if at is not None and share_of(segment, at, MEETS_MM) is not None:
            return at
    for path in _others(piece, fold):
        for segment in path.segments:
            if segment.is_line and share_of(segment, end, MEETS_MM) is not None:
                at = line.crosses(segment)
                if at is not None:
                    return at
    return None


def _followed(path: Path, old: Segment, line: Line) -> Path | None:
    """A path whose ends, where they lay on the old line, lie on the new one; None if none can."""
    vertices = list(path.vertices)
    if path.closed or not vertices:
        return path
    for index, segment in ((0, path.segments[0]), (-1, path.segments[-1])):
        at = vertices[index].at
        if share_of(old, at, MEETS_MM) is None or line.holds(at):
            continue
        if segment.is_line and Line(old.start, old.end).holds(_far_end(segment, at)):
            # It goes on where the old line ended, as a fold beyond a slit does,
            # and stays where it is.
            continue
        new = line.crosses(segment) if segment.is_line else None
        if new is None:
            return None
        vertices[index] = Vertex(new, vertices[index].bulge)
    return Path(tuple(vertices), path.closed)


def _far_end(segment: Segment, near: Point) -> Point:
    return segment.end if near == segment.start else segment.start
