"""This module lists the segments of many paths as columns of numbers, with their boxes and lengths.

Many thousand segments are so looked at in a few whole columns; what is found
among them is then settled on the segments themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from .box_pairs import Floats, Indices
from .paths import Path, Segment

Truths = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class PathColumns:
    """Every segment of some paths, in order.

    Columns have an entry a segment: start and end in mm, bulge, `owner` (which of
    the paths it belongs to) and `number` (its place on that path).  `counts` is how
    many segments each path has, `closed` which of the paths are.
    """

    x0: Floats
    y0: Floats
    x1: Floats
    y1: Floats
    bulge: Floats
    owner: Indices
    number: Indices
    counts: Indices
    closed: Truths

    def __len__(self) -> int:
        return len(self.bulge)

    @property
    def chords(self) -> Floats:
        """The distances from start to end, in mm."""
        return np.hypot(self.x1 - self.x0, self.y1 - self.y0)

    @property
    def lengths(self) -> Floats:
        """The lengths of the segments, in mm."""
        half = 2.0 * np.arctan(self.bulge)
        # Of a straight line it is 0 over 0, in whose place 1 stands.
        straight = self.bulge == 0.0
        half[straight] = 1.0
        longer = half / np.sin(half)
        longer[straight] = 1.0
        found: Floats = self.chords * longer
        return found

    @property
    def firsts(self) -> Indices:
        """The number of the first segment of each path."""
        found: Indices = np.cumsum(self.counts) - self.counts
        return found

    @property
    def path_boxes(self) -> Floats:
        """A row a path: left, bottom, right, top, in mm; each path must have a segment."""
        boxes, firsts = self.boxes(), self.firsts
        low = np.minimum.reduceat(boxes[:, :2], firsts, axis=0)
        high = np.maximum.reduceat(boxes[:, 2:], firsts, axis=0)
        return np.hstack((low, high))

    @property
    def path_lengths(self) -> Floats:
        """The length of each path, in mm; each must have a segment."""
        found: Floats = np.add.reduceat(self.lengths, self.firsts)
        return found

    @property
    def path_areas(self) -> Floats:
        """The area that each closed path encloses, in mm², positive when it runs anticlockwise."""
        # From the first place of each path, so that far from the origin no digits are lost.
        firsts = np.repeat(self.firsts, self.counts)
        x0, y0 = self.x0 - self.x0[firsts], self.y0 - self.y0[firsts]
        x1, y1 = self.x1 - self.x0[firsts], self.y1 - self.y0[firsts]
        swept = (x0 * y1 - x1 * y0) / 2.0
        arcs = np.flatnonzero(self.bulge != 0.0)
        sweep = 4.0 * np.arctan(self.bulge[arcs])
        sine = np.sin(sweep / 2.0)
        # Half the square of the radius times what the sector is over its triangle.
        swept[arcs] += (self.chords[arcs] / sine) ** 2 / 8.0 * (sweep - np.sin(sweep))
        found: Floats = np.add.reduceat(swept, self.firsts)
        return found

    def areas_within(self, by: float) -> Floats:
        """The area in mm² of what lies inside each closed path and at least `by` mm from it.

        True as long as no side is lost by that: a band is taken along each line and
        arc, of which those at a corner that turns inwards overlap, and a sector about
        each corner that turns outwards.
        """
        areas = self.path_areas
        way = np.sign(areas)[self.owner]
        begin, end = self.directions()
        before = np.arange(len(self)) - 1
        before[self.firsts] = self.firsts + self.counts - 1
        turn = begin - end[before]
        turn = way * np.arctan2(np.sin(turn), np.cos(turn))
        # A corner as sharp as a needle would overlap without end.
        kept = np.where(turn > 0.0, np.tan(np.minimum(turn, 3.0) / 2.0), turn / 2.0)
        kept += way * 2.0 * np.arctan(self.bulge)
        squares: Floats = np.add.reduceat(kept, self.firsts)
        found: Floats = np.abs(areas) - self.path_lengths * by + squares * (by * by)
        return found

    def directions(self) -> tuple[Floats, Floats]:
        """The headings in radians, at the start and at the end of each segment."""
        along = np.arctan2(self.y1 - self.y0, self.x1 - self.x0)
        half = 2.0 * np.arctan(self.bulge)
        return along - half, along + half

    def boxes(self) -> Floats:
        """A row a segment: left, bottom, right, top, in mm."""
        found = np.empty((len(self), 4))
        np.minimum(self.x0, self.x1, out=found[:, 0])
        np.minimum(self.y0, self.y1, out=found[:, 1])
        np.maximum(self.x0, self.x1, out=found[:, 2])
        np.maximum(self.y0, self.y1, out=found[:, 3])
        arcs = np.flatnonzero((self.bulge != 0.0) & (self.chords > 0.0))
        if len(arcs):
            self._reach_round(found, arcs)
        return found

    def _reach_round(self, boxes: Floats, arcs: Indices) -> None:
        """Widens the boxes of arcs to where these run beyond their ends."""
        x0, y0, x1, y1, bulge = (
            column[arcs] for column in (self.x0, self.y0, self.x1, self.y1, self.bulge)
        )
        begin, end = (heading[arcs] for heading in self.directions())
        low, high = np.minimum(begin, end), np.maximum(begin, end)
        sweep = 4.0 * np.arctan(bulge)
        # An arc reaches an extreme of its circle wherever its heading passes a
        # multiple of a quarter turn, as in Segment.box.
        quarter = np.pi / 2.0
        first = np.ceil(low / quarter)
        for step in range(4):
            heading = (first + step) * quarter
            passes = np.flatnonzero(heading <= high)
            if not len(passes):
                break
            share = (heading[passes] - begin[passes]) / sweep[passes]
            part = np.sin(sweep[passes] * share / 2.0) / np.sin(sweep[passes] / 2.0)
            turn = sweep[passes] * (share - 1.0) / 2.0
            cos, sin = part * np.cos(turn), part * np.sin(turn)
            dx, dy = x1[passes] - x0[passes], y1[passes] - y0[passes]
            x, y = x0[passes] + dx * cos - dy * sin, y0[passes] + dx * sin + dy * cos
            rows = arcs[passes]
            boxes[rows, 0] = np.minimum(boxes[rows, 0], x)
            boxes[rows, 1] = np.minimum(boxes[rows, 1], y)
            boxes[rows, 2] = np.maximum(boxes[rows, 2], x)
            boxes[rows, 3] = np.maximum(boxes[rows, 3], y)


def columns_of(paths: Sequence[Path]) -> PathColumns:
    """Every segment of some paths."""
    vertices = [vertex for path in paths for vertex in path.vertices]
    at = [vertex.at for vertex in vertices]
    x = np.array([float(place.x) for place in at], dtype=np.float64)
    y = np.array([float(place.y) for place in at], dtype=np.float64)
    sizes = np.array([len(path.vertices) for path in paths], dtype=np.int64)
    closed = np.array([path.closed for path in paths], dtype=np.bool_)
    begins = np.cumsum(sizes) - sizes
    # The last vertex of an open path starts no segment; that of a closed one leads
    # back to the first.
    following = np.arange(1, len(at) + 1)
    last = begins + sizes - 1
    following[last[sizes > 0]] = begins[sizes > 0]
    starts = np.ones(len(at), dtype=np.bool_)
    starts[last[(sizes > 0) & ~closed]] = False
    first = np.flatnonzero(starts)
    second = following[first]
    owner = np.repeat(np.arange(len(paths)), sizes)[first]
    return PathColumns(
        x0=x[first],
        y0=y[first],
        x1=x[second],
        y1=y[second],
        bulge=np.array([vertex.bulge for vertex in vertices], dtype=np.float64)[first],
        owner=owner,
        number=first - begins[owner],
        counts=sizes - (~closed & (sizes > 0)),
        closed=closed,
    )


def segment_at(paths: Sequence[Path], columns: PathColumns, index: int) -> Segment:
    """The segment itself that an entry of the columns stands for."""
    path, number = paths[int(columns.owner[index])], int(columns.number[index])
    here, there = path.vertices[number], path.vertices[(number + 1) % len(path.vertices)]
    return Segment(here.at, there.at, here.bulge)
