"""This module counts what a card asks of the hands that cut and score it.

Slits and length of cuts, creases, turns of the paper, settings of the fence, small parts,
things to stick on.  What tires is small and repeated: pinching, pressing, setting
anew.  A fence is the stop of a trimmer or a scoring board: an edge of the paper lies
against it, so all straight lines at one distance from that edge are made without moving
it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from foldwright.profiles.model import Tool

from ..design.pieces import Piece, Sense
from ..drawing import Side
from ..geometry import Path
from ..geometry.paths import Segment
from ..measures.exact import MEETS_MM
from ..proving import Proof
from ..proving.materials import profile_of
from .model import MadePiece

SMALL_MM = 20.0
"""A part is small whose narrower side is below this (common practice, no source)."""

# Directions that differ by less than this, in radians, need no turn of the paper.
_SAME_WAY_RAD = 1e-6

# Places are put into cells of this share of the tolerance, moved by an odd part of one, so
# that no length that somebody would choose lies where two cells meet.
_CELLS_PER_MM = 1.0 / MEETS_MM
_ODD_PART = 0.137


class Edge(StrEnum):
    """The edge of the paper that lies against the fence."""

    LEFT = "left"
    RIGHT = "right"
    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True, kw_only=True, slots=True)
class FenceSettings:
    """The distances in mm, each once and in order, of straight lines of a piece from an edge."""

    piece: str
    edge: Edge
    at_mm: tuple[float, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class HandLoad:
    """What one card asks of the hand, all its copies and mats together.

    `cut_mm` is the length of all cuts, outlines included, and `mats_cut_mm` the part of it
    that the mats take.  `creases` are lines as a person scores them: what lies in one line
    and is scored from one face is one.  `turns` are how often the paper is laid otherwise,
    for another direction or the other face.  `fence` has the settings of the pieces, and
    `freehand` counts the lines that no fence sets: arcs, slants, and those of paper
    without a straight edge along them.  `small` are parts
    narrower than 20 mm, `foam` things that are stuck on.
    """

    slits: int
    cut_mm: float
    mats_cut_mm: float
    creases: int
    turns: int
    fence: tuple[FenceSettings, ...]
    freehand: int
    small: int
    foam: int

    @property
    def settings(self) -> int:
        """How often a fence is set for a batch of the card, each setting used for all of it."""
        return sum(len(one.at_mm) for one in self.fence)


@dataclass(frozen=True, slots=True)
class _Line:
    """A straight line as it is worked: its direction in radians, its offset, and its face."""

    way: int
    offset: int
    face: Side


def hand_load(proof: Proof, mats: Sequence[MadePiece] = ()) -> HandLoad:
    """What the pieces of a card and its `mats` ask of the hand.

    Lines are those of the design: what plies take up is less than a fence is set by.  The
    faces are those of the proof's tool, or of the hand where there is none.
    """
    slits = creases = turns = freehand = small = 0
    cut = 0.0
    fence: list[FenceSettings] = []
    for piece in proof.resolved.pieces:
        back = _valleys_from_back(proof, piece)
        scored = list(_scored(piece, valleys_from_back=back))
        slit = [(segment, Side.FRONT) for one in piece.slits for segment in one.path.segments]
        lines = {_line(segment, face) for segment, face in scored if segment.is_line}
        setups = {(line.way, line.face) for line in lines}
        setups |= {(_line(one, face).way, face) for one, face in slit if one.is_line}
        slits += len(piece.slits) * piece.copies
        creases += (len(lines) + _arcs(piece)) * piece.copies
        turns += max(0, len(setups) - 1) * piece.copies
        cut += math.fsum(_cut(piece)) * piece.copies
        straight = [segment for segment, _ in (*scored, *slit)]
        own = tuple(_fence(piece, straight))
        fence += own
        freehand += _freehand(piece, straight) * piece.copies
        small += piece.copies if _is_small(piece) else 0
    of_mats = math.fsum(length * made.count for made in mats for length in _cut(made.piece))
    small += sum(made.count for made in mats if _is_small(made.piece))
    foam = sum(1 for extra in proof.resolved.extras if extra.height)
    return HandLoad(
        slits=slits,
        cut_mm=cut + of_mats,
        mats_cut_mm=of_mats,
        creases=creases,
        turns=turns,
        fence=tuple(fence),
        freehand=freehand,
        small=small,
        foam=foam,
    )


def _valleys_from_back(proof: Proof, piece: Piece) -> bool:
    """Whether the paper of a piece has its valleys scored from the back."""
    profile = profile_of(proof.profiles, piece.stock)
    if profile is None:
        return False
    way = profile.tools.get(proof.tool or Tool.HAND)
    return way is not None and way.score is not None and way.score.valleys_from is Side.BACK


def _scored(piece: Piece, *, valleys_from_back: bool) -> Iterator[tuple[Segment, Side]]:
    """Every straight or curved stretch of the folds, and the face that it is scored from."""
    for fold in piece.folds:
        for segment, sense in zip(fold.path.segments, fold.senses, strict=True):
            back = valleys_from_back and sense is Sense.VALLEY
            yield segment, Side.BACK if back else Side.FRONT


def _arcs(piece: Piece) -> int:
    """Runs of arcs of one fold, each scored in one go."""
    count = 0
    for fold in piece.folds:
        kinds = [segment.is_line for segment in fold.path.segments]
        count += sum(
            1 for n, straight in enumerate(kinds) if not straight and (n == 0 or kinds[n - 1])
        )
    return count


def _cut(piece: Piece) -> Iterator[float]:
    yield piece.outline.length
    for part in (piece.openings, piece.slits):
        yield from (one.path.length for one in part)


def _is_small(piece: Piece) -> bool:
    left, bottom, right, top = piece.outline.box()
    return min(right - left, top - bottom) < SMALL_MM - MEETS_MM


def _line(segment: Segment, face: Side) -> _Line:
    """The line that a straight segment lies in, the same for all that lie in it."""
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    angle = math.atan2(y1 - y0, x1 - x0) % math.pi
    # A hair below a half turn is as level as a hair above none.
    if math.pi - angle < _SAME_WAY_RAD:
        angle = 0.0
    # Reckoned from the middle, where a slip of the direction moves a line least.
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    offset = y * math.cos(angle) - x * math.sin(angle)
    return _Line(_cell(angle / _SAME_WAY_RAD), _cell(offset * _CELLS_PER_MM), face)


def _cell(value: float) -> int:
    return round(value + _ODD_PART)


def _fence(piece: Piece, segments: Iterable[Segment]) -> Iterator[FenceSettings]:
    """The settings of a piece: level lines from its top, upright ones from its left.

    From the other edge where the paper has no straight edge there, and for a mirrored
    piece, whose left is held as the right was.
    """
    level, upright = [], []
    for segment in segments:
        way = _along(segment)
        if way is Edge.TOP:
            level.append(segment.start.floats()[1])
        elif way is Edge.LEFT:
            upright.append(segment.start.floats()[0])
    for way, places in ((Edge.TOP, level), (Edge.LEFT, upright)):
        held = _held(piece, way)
        if held is not None and places:
            edge, end = held
            found = tuple(_once(abs(end - place) for place in places))
            yield FenceSettings(piece=piece.name, edge=edge, at_mm=found)


def _held(piece: Piece, way: Edge) -> tuple[Edge, float] | None:
    """The edge of a piece that level (TOP) or upright (LEFT) lines are set from, and its place."""
    left, bottom, right, top = piece.outline.box()
    if way is Edge.TOP:
        edges = ((Edge.TOP, top), (Edge.BOTTOM, bottom))
    elif piece.mirrored:
        edges = ((Edge.RIGHT, right), (Edge.LEFT, left))
    else:
        edges = ((Edge.LEFT, left), (Edge.RIGHT, right))
    return next(((edge, end) for edge, end in edges if _has_edge(piece.outline, way, end)), None)


def _along(segment: Segment) -> Edge | None:
    """TOP for a level line, LEFT for an upright one, None for any other."""
    (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
    if not segment.is_line:
        return None
    if abs(y1 - y0) <= MEETS_MM:
        return Edge.TOP
    return Edge.LEFT if abs(x1 - x0) <= MEETS_MM else None


def _has_edge(outline: Path, way: Edge, end: float) -> bool:
    """Whether the outline has a level or an upright stretch at a place."""
    axis = 1 if way is Edge.TOP else 0
    return any(
        _along(segment) is way and abs(segment.start.floats()[axis] - end) <= MEETS_MM
        for segment in outline.segments
    )


def _once(places: Iterable[float]) -> Iterator[float]:
    """Distances in order, those that are the same once."""
    last = -math.inf
    for place in sorted(places):
        if place - last > MEETS_MM:
            last = place
            yield place


def _freehand(piece: Piece, segments: Iterable[Segment]) -> int:
    """The straight lines that no edge is held for, each once, and runs of arcs."""
    free = {
        _line(one, Side.FRONT)
        for one in segments
        if one.is_line and ((way := _along(one)) is None or _held(piece, way) is None)
    }
    bowed = sum(
        1 for slit in piece.slits if any(not segment.is_line for segment in slit.path.segments)
    )
    return len(free) + _arcs(piece) + bowed
