"""This module puts labels into the margins of a drawing, each with a leader to what it names.

No label lies on the drawing or on another label.  To the left and the right
labels stand one below another; above and below they stand in steps, so that the
leader of one never runs through the words of another.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from ..geometry import Path, Point, Vertex, circle
from .lettering import LINE_HEIGHT, width_of
from .model import Anchor, Area, Line, Part, Words
from .pens import LEADER

Box = tuple[float, float, float, float]

SIZE = 3.0
"""The size of the words of labels, in mm."""

_ROW = SIZE * LINE_HEIGHT
# From the drawing to the labels beside it, and from a leader to its words.
_AWAY, _SPACE = 7.0, 1.0
# From a leader to the words of a step: the leader of the next step passes between
# them where both lead to one place.
_SPACE_OF_STEP = 1.8
# What is nearer than this to the rim of the drawing lies on it.
_ON_THE_RIM = 0.3
_DOT = 0.5
# Leaders of steps lean to the right by this share of their height, so that
# they never lie on a line that runs straight up.
_LEAN = 0.18
# Leaders of steps that come from within the drawing cross its rim so far apart: nearer ones
# would run into one line.
_CROSSING = 4.0


class Margin(Enum):
    """The four margins of a drawing."""

    RIGHT = "right"
    LEFT = "left"
    ABOVE = "above"
    BELOW = "below"


@dataclass(frozen=True, kw_only=True, slots=True)
class Label:
    """Words for one of several places: the one that is nearest to a margin is chosen."""

    text: str
    places: tuple[Point, ...]
    bold: bool = False


def labelled(labels: Sequence[Label], box: Box) -> tuple[Part, ...]:
    """The labels round a drawing that fills `box` (left, bottom, right, top)."""
    chosen: dict[Margin, list[tuple[Point, Label]]] = {margin: [] for margin in Margin}
    for label in labels:
        margin, at = _nearest(label, box)
        chosen[margin].append((at, label))
    parts: list[Part] = []
    for margin in (Margin.RIGHT, Margin.LEFT):
        parts += _column(chosen[margin], box, margin)
    # A crowded column reaches past the drawing; the steps start beyond it.
    heights = [float(part.at.y) for part in parts if isinstance(part, Words)]
    above = max((y + _ROW - box[3] for y in heights), default=0.0)
    below = max((box[1] - y + _ROW for y in heights), default=0.0)
    parts += _steps(chosen[Margin.ABOVE], box, Margin.ABOVE, max(0.0, above))
    parts += _steps(chosen[Margin.BELOW], box, Margin.BELOW, max(0.0, below))
    return tuple(parts)


def _nearest(label: Label, box: Box) -> tuple[Margin, Point]:
    left, bottom, right, top = box
    best: tuple[float, Margin, Point] | None = None
    for at in label.places:
        x, y = at.floats()
        for distance, margin in (
            (right - x, Margin.RIGHT),
            (x - left, Margin.LEFT),
            (top - y, Margin.ABOVE),
            (y - bottom, Margin.BELOW),
        ):
            # The first of equal ones stays; rounding must not decide.
            if best is None or distance < best[0] - 1e-6:
                best = (distance, margin, at)
    if best is None:
        raise ValueError("a label needs a place")
    return best[1], best[2]


def _column(found: list[tuple[Point, Label]], box: Box, margin: Margin) -> Iterator[Part]:
    left, _, right, top = box
    to_right = margin is Margin.RIGHT
    x = right + _AWAY if to_right else left - _AWAY
    wanted = []
    for at, label in found:
        inside = (right - float(at.x) if to_right else float(at.x) - left) > _ON_THE_RIM
        # A leader that starts inside the drawing slants, so that nobody takes
        # it for one of its lines.
        wanted.append((float(at.y) + (min(6.0, top - float(at.y)) if inside else 0.0), at, label))
    wanted.sort(key=lambda one: -one[0])
    heights = spread([y for y, _, _ in wanted], _ROW)
    for (_, at, label), y in zip(wanted, heights, strict=True):
        yield from _leader(at, Point(x, y))
        yield Words(
            text=label.text,
            at=Point(x + (_SPACE if to_right else -_SPACE), y - SIZE * 0.35),
            size=SIZE,
            anchor=Anchor.START if to_right else Anchor.END,
            bold=label.bold,
        )


def spread(wanted: Sequence[float], apart: float) -> list[float]:
    """Heights at least `apart` from each other, in the same falling order, near those wanted.

    Neighbours that are too close make a group that shares its shift, so the sum
    of squared shifts is the least one (isotonic regression by pooling).
    """
    groups: list[list[float]] = []
    for height in wanted:
        groups.append([height])
        while len(groups) > 1 and _head(groups[-1], apart) > _tail(groups[-2], apart) - apart:
            last = groups.pop()
            groups[-1] += last
    found = []
    for group in groups:
        head = _head(group, apart)
        found += [head - apart * i for i in range(len(group))]
    return found


def _head(group: Sequence[float], apart: float) -> float:
    return sum(height + apart * i for i, height in enumerate(group)) / len(group)


def _tail(group: Sequence[float], apart: float) -> float:
    return _head(group, apart) - apart * (len(group) - 1)


def _steps(
    found: list[tuple[Point, Label]], box: Box, margin: Margin, clear: float
) -> Iterator[Part]:
    _, bottom, _, top = box
    up = 1.0 if margin is Margin.ABOVE else -1.0
    rim = top if margin is Margin.ABOVE else bottom

    def foot(at: Point) -> float:
        # Where the leader of a place crosses the rim.
        return float(at.x) + _LEAN * abs(rim - float(at.y))

    def rise(row: int) -> float:
        return max(_AWAY * 0.8, clear) + row * _ROW

    # What is placed already: where its leader crosses the rim, and its row.
    placed: list[tuple[float, int]] = []

    def free(row: int, start: float, end: float) -> bool:
        # Places are taken from the right to the left, so words can only run
        # into what lies to their right: words of the same row, or leaders that
        # pass it on their way to a row farther out.
        x = start + rise(row) * _LEAN
        return all(other < row or x + end < foot_x + rise(row) * _LEAN for foot_x, other in placed)

    crossing: list[tuple[float, Point, Label]] = []
    last = -math.inf
    for at, label in sorted(found, key=lambda one: foot(one[0])):
        crosses = foot(at)
        if abs(rim - float(at.y)) > _ON_THE_RIM:
            last = crosses = max(crosses, last + _CROSSING)
        crossing.append((crosses, at, label))
    for crosses, at, label in sorted(crossing, key=lambda one: -one[0]):
        width = width_of(label.text, SIZE, bold=label.bold) + 2.0 * _SPACE_OF_STEP
        row = 0
        while not free(row, crosses, width):
            row += 1
        placed.append((crosses, row))
        x, y = crosses + rise(row) * _LEAN, rim + up * rise(row)
        yield from _leader(at, Point(x, y))
        yield Words(
            text=label.text,
            at=Point(x + _SPACE_OF_STEP, y - SIZE * 0.35),
            size=SIZE,
            bold=label.bold,
        )


def _leader(at: Point, to: Point) -> Iterator[Part]:
    yield Line(path=Path((Vertex(at), Vertex(to))), pen=LEADER)
    yield Area(paths=(circle(at, _DOT),), fill=LEADER.colour)
