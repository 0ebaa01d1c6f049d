"""This module finds how far a line of letters must move to be clear of what runs through it.

Letters are taken for the upright box about them: a line that passes between two
letters is as hard to read past as one that crosses them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ..geometry import Path
from ..measures.exact import MEETS_MM

Box = tuple[float, float, float, float]
_Chord = tuple[float, float, float, float]

# Arcs are taken for chords of so many radians: off by a thousandth of their radius.
_CHORD = math.pi / 36.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Way:
    """The shortest straight way out along an axis, in mm, and a place where the two meet."""

    by: float
    towards: str
    at: tuple[float, float]


def clear_of(box: Box, path: Path) -> list[Way]:
    """The way for `box` off each segment of a path that runs through it; segments one by one."""
    found = []
    left, bottom, right, top = box
    for segment in path.rounded().segments:
        chords: list[_Chord] = [
            (*part.start.floats(), *part.end.floats()) for part in segment.split(_CHORD)
        ]
        inner = left + MEETS_MM, bottom + MEETS_MM, right - MEETS_MM, top - MEETS_MM
        through = next(_clipped(chords, inner), None)
        if through is None:
            continue
        level = list(_clipped(chords, (-math.inf, bottom, math.inf, top)))
        upright = list(_clipped(chords, (left, -math.inf, right, math.inf)))
        xs = [x for x0, _, x1, _ in level for x in (x0, x1)]
        ys = [y for _, y0, _, y1 in upright for y in (y0, y1)]
        x0, y0, x1, y1 = through
        found.append(
            _shortest(box, (min(xs), min(ys), max(xs), max(ys)), ((x0 + x1) / 2, (y0 + y1) / 2))
        )
    return found


def clear_of_box(box: Box, other: Box) -> list[Way]:
    """The way for `box` off another one; none where they only touch or are apart."""
    left, bottom = max(box[0], other[0]), max(box[1], other[1])
    right, top = min(box[2], other[2]), min(box[3], other[3])
    if right - left <= MEETS_MM or top - bottom <= MEETS_MM:
        return []
    return [_shortest(box, other, ((left + right) / 2.0, (bottom + top) / 2.0))]


def _shortest(box: Box, other: Box, at: tuple[float, float]) -> Way:
    by, towards = min(
        (other[3] - box[1], "up"),
        (box[3] - other[1], "down"),
        (box[2] - other[0], "to the left"),
        (other[2] - box[0], "to the right"),
        key=lambda way: way[0],
    )
    return Way(by=by, towards=towards, at=at)


def _clipped(chords: list[_Chord], box: Box) -> Iterator[_Chord]:
    """What of each chord lies in a box, its edges included."""
    for x0, y0, x1, y1 in chords:
        low, high = 0.0, 1.0
        for start, along, least, most in (
            (x0, x1 - x0, box[0], box[2]),
            (y0, y1 - y0, box[1], box[3]),
        ):
            if along == 0.0:
                if not least <= start <= most:
                    low, high = 1.0, 0.0
                continue
            shares = sorted(((least - start) / along, (most - start) / along))
            low, high = max(low, shares[0]), min(high, shares[1])
        if low <= high:
            yield (
                x0 + (x1 - x0) * low,
                y0 + (y1 - y0) * low,
                x0 + (x1 - x0) * high,
                y0 + (y1 - y0) * high,
            )
