"""This module lays the panels of a piece in the closed pose and measures what they cover.

The largest panel stays where it is; the others follow breadth first, nearest in
folds first.  A piece whose loops close comes out the same by every way; for one
that does not, this order is the agreed one.
"""

from __future__ import annotations

from collections import deque

from ..geometry import Path, Point, Segment, union_box
from ..measures.exact import SAME_AREA_MM2
from ..panels import Division, Panel
from .motion import STILL, Motion
from .turning import turned_over

# How many chords stand for an arc that is seen at a slant.
_CHORDS = 64


def largest_panel(division: Division) -> Panel:
    """The panel of largest area; of equal ones the one that lies lowest, then leftmost.

    Raises ValueError for a division without panels.
    """
    # Panels that are equal by design tie, whatever floats make of their areas.
    least = max(panel.area for panel in division.panels) - SAME_AREA_MM2
    return next(panel for panel in division.panels if panel.area >= least)


def place_closed(division: Division) -> dict[int, Motion]:
    """The motion of each panel in the closed pose, by its index."""
    first = largest_panel(division)
    placed: dict[int, Motion] = {first.index: STILL}
    waiting = deque([first.index])
    while waiting:
        here = waiting.popleft()
        for number, beyond in division.neighbours[here]:
            if beyond not in placed:
                placed[beyond] = placed[here] @ turned_over(division.hinges[number], beyond)
                waiting.append(beyond)
    return placed


def closed_size(division: Division) -> tuple[float, float]:
    """Width and height in mm of the closed piece, seen straight onto its largest panel.

    Width runs along the piece's x axis, height along its y axis.
    """
    placed = place_closed(division)
    left, bottom, right, top = union_box(
        _box(panel.ring, placed[panel.index]) for panel in division.panels if panel.index in placed
    )
    return right - left, top - bottom


def _box(ring: Path, motion: Motion) -> tuple[float, float, float, float]:
    flat = abs(motion.rows[2][2]) == 1.0
    turns = 1.0 if motion.rows[2][2] > 0.0 else -1.0
    boxes = []
    for segment in ring.segments:
        if segment.is_line or flat:
            # An arc of a panel that lies flat stays an arc; turned over, it
            # runs the other way round.
            moved = Segment(
                _seen(motion, segment.start), _seen(motion, segment.end), segment.bulge * turns
            )
            boxes.append(moved.box())
            continue
        places = [_seen(motion, segment.at(i / _CHORDS)) for i in range(_CHORDS + 1)]
        xs, ys = [float(at.x) for at in places], [float(at.y) for at in places]
        boxes.append((min(xs), min(ys), max(xs), max(ys)))
    return union_box(boxes)


def _seen(motion: Motion, at: Point) -> Point:
    x, y, _ = motion.apply(at)
    return Point(x, y)
