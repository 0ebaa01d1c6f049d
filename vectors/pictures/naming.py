"""This module finds room for the names of panels: on what is seen of each, level with the page."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from .camera import Floats
from .clipping import within_rings
from .facets import Facet
from .hidden_lines import Lines, View
from .labels import Box
from .lettering import width_of
from .rooms import LEAST_SPACE, ROW, Rows, Spot, beside, middle_for, spot_on

SIZE = 3.0
"""The size of the letters of a panel's name, in mm."""


# A panel that is seen no wider than this, in mm, is not pointed at: it lies under the lines of
# its edges, or is a corner that only rounding leaves uncovered.
_LEAST_SEEN = 0.5


@dataclass(frozen=True, kw_only=True, slots=True)
class Room:
    """Where a panel's name goes: the middle of its box, or None; and a seen place, if any.

    `spot` is in the middle of the longest row of what is seen.
    """

    middle: Spot | None
    spot: Spot | None


@dataclass(frozen=True, slots=True)
class _Row:
    """A level line on the page over a panel: its height in rows, where it starts and ends."""

    facet: int
    level: int
    left: float
    right: float

    @property
    def y(self) -> float:
        """The height on the page."""
        return self.level * ROW


def fits(name: str, wide: float, tall: float) -> bool:
    """Whether a name has room in a box of a size, in mm, at the best."""
    space = 2.0 * LEAST_SPACE
    return wide >= width_of(name, SIZE) + space and tall >= SIZE + space


def rooms_for(names: Mapping[int, str], view: View, taken: Sequence[Box]) -> dict[int, Room]:
    """The room for the name of each facet, beside the boxes that are taken."""
    rows: list[_Row] = []
    for number in names:
        facet = view.facets[number]
        if facet.face is not None:
            rows += _rows(number, facet)
    found: dict[int, Rows] = {number: {} for number in names}
    for row, stretches in zip(rows, view.seen(_lines(rows, view)), strict=True):
        width = row.right - row.left
        for low, high in stretches:
            seen = row.left + width * low, row.left + width * high
            found[row.facet].setdefault(row.level, []).extend(beside(seen, row.level, taken))
    return {number: _room(found[number], name) for number, name in names.items()}


def _rows(number: int, facet: Facet) -> list[_Row]:
    left, bottom, right, top = facet.box
    rows = []
    for level in range(math.ceil(bottom / ROW), math.floor(top / ROW) + 1):
        y = level * ROW
        start, end = np.array([left - 1.0, y]), np.array([right + 1.0, y])
        for low, high in within_rings(facet.page, start, end):
            width = right - left + 2.0
            rows.append(_Row(number, level, left - 1.0 + width * low, left - 1.0 + width * high))
    return rows


def _lines(rows: Sequence[_Row], view: View) -> Lines:
    """The rows in space: each lies in the plane of its facet."""
    facets = [view.facets[row.facet] for row in rows]
    normals = np.array([facet.normal for facet in facets]).reshape(-1, 3)
    offsets = np.array([facet.offset for facet in facets])
    eye = np.array(view.camera.eye)
    ends: list[Floats] = []
    for xs in ([row.left for row in rows], [row.right for row in rows]):
        spots = np.array([(x, row.y) for x, row in zip(xs, rows, strict=True)]).reshape(-1, 2)
        rays = view.camera.rays(spots)
        depth = (offsets - (normals * eye).sum(axis=1)) / (normals * rays).sum(axis=1)
        ends.append(eye + rays * depth[:, None])
    return Lines(starts=ends[0], ends=ends[1], owners=[(row.facet,) for row in rows])


def _room(seen: Rows, name: str) -> Room:
    wide = {
        level: [one for one in stretches if one[1] - one[0] >= _LEAST_SEEN]
        for level, stretches in seen.items()
    }
    return Room(middle=middle_for(seen, width_of(name, SIZE), SIZE), spot=spot_on(wide))
