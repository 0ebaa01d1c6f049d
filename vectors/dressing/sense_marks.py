"""This module letters the sense of folds beside them: M for a mountain, V for a valley.

A letter keeps a millimetre from every fold and cut, and half of one from other marks.  Each
stretch of a fold that has one sense gets one letter, on the face of the front, as near its
middle as there is room.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import groupby, product

import shapely

from ..design.pieces import Face, Fold, Mark, Piece, Sense
from ..geometry import Path, Point, Segment
from ..geometry.offset_check import flattened
from ..lettering import set_text
from ..problems import Problem, problem
from .back_marks import CLEAR_MM

LETTERS = {Sense.MOUNTAIN: "M", Sense.VALLEY: "V"}

HEIGHTS_MM = (3.0, 2.0)
"""How tall the letters are: the first of these that has room."""

MARKS_CLEAR_MM = 0.5
"""How far letters keep from other marks, which nothing is cut along, in mm."""

PAST_A_MAT_MM = 3.75
"""How far from its fold, in mm, a letter is where there is no room nearer: past the edge of a mat
with the usual margin of 3 mm or 1/8 in, which will cover the letter in the end."""

# Where along a straight stretch a letter is tried, from its middle outwards.
_SHARES = tuple(
    0.5 + sign * step / 32.0 for step in range(16) for sign in ((1, -1) if step else (1,))
)

# A letter is put so much farther off than it must, in mm, so that rounding does no harm.
_BEYOND_MM = 0.01

_Box = tuple[float, float, float, float]


def with_senses(piece: Piece) -> tuple[Piece, tuple[Problem, ...]]:
    """The piece with letters beside its folds, and a note on folds that have no room for one."""
    runs = [run for fold in piece.folds if not fold.still for run in _runs(fold)]
    if not runs:
        return piece, ()
    paper = shapely.Polygon(
        flattened(piece.outline.rounded()),
        [flattened(opening.path.rounded()) for opening in piece.openings],
    )
    lines = [shapely.LineString(chords) for chords in _lines(piece)]
    lines += [shapely.LineString(ring.coords) for ring in (paper.exterior, *paper.interiors)]
    worked = shapely.STRtree(lines)
    drawn = shapely.STRtree([*_marks(piece)])
    letters: list[Mark] = []
    taken: list[shapely.Geometry] = []
    crowded: list[str] = []
    for name, sense, segments in runs:
        for box, clear in _places(segments, LETTERS[sense]):
            room = shapely.box(*box)
            if (
                paper.contains(room)
                and not worked.query(room, predicate="dwithin", distance=clear).size
                and not drawn.query(room, predicate="dwithin", distance=MARKS_CLEAR_MM).size
                and all(room.distance(other) >= CLEAR_MM for other in taken)
            ):
                taken.append(room)
                letters.append(_mark(name, sense, box))
                break
        else:
            crowded.append(name)
    found: tuple[Problem, ...] = ()
    if crowded:
        folds = tuple(dict.fromkeys(crowded))
        found = (
            problem(
                "sense-no-room",
                place=piece.place,
                piece=piece.name,
                folds="fold" if len(folds) == 1 else "folds",
                names=", ".join(f'"{name}"' for name in folds),
            ),
        )
    return replace(piece, marks=(*piece.marks, *letters)), found


def _runs(fold: Fold) -> Iterator[tuple[str, Sense, list[Segment]]]:
    """The straight stretches of a fold that have one sense, together."""
    pairs = zip(fold.path.rounded().segments, fold.senses, strict=True)
    for sense, run in groupby(pairs, key=lambda pair: pair[1]):
        # Arcs are only scored.
        straight = [segment for segment, _ in run if segment.is_line]
        if straight:
            yield fold.name, sense, straight


def _lines(piece: Piece) -> Iterator[list[tuple[float, float]]]:
    for path in (
        *(fold.path for fold in piece.folds),
        *(slit.path for slit in piece.slits),
    ):
        yield _chords(path)


def _chords(path: Path) -> list[tuple[float, float]]:
    chords = flattened(path.rounded())
    return [*chords, chords[0]] if path.closed else chords


def _marks(piece: Piece) -> Iterator[shapely.Geometry]:
    """The marks that are on the front: lines, and a box about every stroke of a text."""
    for mark in piece.marks:
        if mark.face is Face.BACK:
            continue
        if mark.path is not None:
            yield shapely.LineString(_chords(mark.path))
        elif mark.text is not None:
            assert mark.at is not None
            assert mark.height is not None
            made = set_text(mark.text, at=mark.at, height=mark.height)
            yield from (shapely.box(*stroke.rounded().box()) for stroke in made.strokes)


def _ink(letter: str, height: float) -> _Box:
    """The box of the strokes of a letter whose lower left corner is at the origin."""
    boxes = [
        path.rounded().box() for path in set_text(letter, at=Point(0, 0), height=height).strokes
    ]
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return min(lefts), min(bottoms), max(rights), max(tops)


def _places(segments: list[Segment], letter: str) -> Iterator[tuple[_Box, float]]:
    """Boxes for a letter beside a fold, the best first, and how clear of all lines each must be.

    A letter is as far from its own fold as it must be from others, so that it is nearest to
    the one that it tells of.
    """
    longest = sorted(segments, key=lambda segment: -segment.length)
    for clear, height in product((CLEAR_MM, PAST_A_MAT_MM), HEIGHTS_MM):
        left, bottom, right, top = _ink(letter, height)
        half = (right - left) / 2.0, (top - bottom) / 2.0
        for segment in longest:
            (x0, y0), (x1, y1) = segment.start.floats(), segment.end.floats()
            along = (x1 - x0) / segment.length, (y1 - y0) / segment.length
            off = abs(along[1]) * half[0] + abs(along[0]) * half[1] + clear + _BEYOND_MM
            for share in _SHARES:
                for side in (1.0, -1.0):
                    x = x0 + (x1 - x0) * share - along[1] * off * side
                    y = y0 + (y1 - y0) * share + along[0] * off * side
                    yield (x - half[0], y - half[1], x + half[0], y + half[1]), clear


def _mark(name: str, sense: Sense, box: _Box) -> Mark:
    letter = LETTERS[sense]
    height = box[3] - box[1]
    left, bottom, _, top = _ink(letter, height)
    # Letters are as tall as capitals, so the height of the box is that of the letter.
    assert math.isclose(top - bottom, height, abs_tol=1e-9)
    at = Point(round(box[0] - left, 6), round(box[1] - bottom, 6))
    return Mark(name=f"sense of {name}", text=letter, at=at, height=round(height, 6), stays=True)
