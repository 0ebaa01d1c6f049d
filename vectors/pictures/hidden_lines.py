"""This module finds what is seen of lines in space that have panels before them.

A panel hides a line where the line lies behind the panel's plane, seen from the
eye, and within the panel's polygon on the page.  Over the page, a place's
distance from a plane times its nearness (1 / depth) is an affine function along
a straight line (plane perspective keeps straight lines straight), so a line goes
behind a plane at one place at most, and panels may pass through each other.

A line that runs along the rim of a panel on the page is hidden on one side of it
at most.  So both sides are asked, a hair to the left and a hair to the right:
what is hidden on both is hidden.  A line that lies in the plane of a panel is
hidden by it only where the panels that the line is on are below that one: a
lower ply in its plane (see `plies`), or all on the far side of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray

from ..measures.exact import MEETS_MM
from .camera import Camera, Floats
from .covering import covered_ones
from .facets import Facet

Ints = NDArray[np.intp]

# A stretch of the share of a line, 0 to 1, as it is measured on the page.
Stretch = tuple[float, float]

# How far beside a line its two sides are looked at, in mm of the page.
_HAIR = 1e-5
# A hidden stretch shorter than this is where two panels meet, and a seen one
# shorter than that is a speck; in mm of the page.
_JOIN, _SPECK = 1e-3, 0.05
# So many pairs of line and panel are reckoned at a time; and so many lines at
# least, of panels that may all lie on one another.
_BATCH, _MOST_PAIRS, _FEWEST = 100_000, 2_000_000, 50

TABLE = -1
"""The owner of lines on the table: below every ply that lies on it."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Lines:
    """Straight lines in space: their two ends [n, 3] each, and the facets they lie on.

    `owners` has one tuple of facet numbers a line, which never hide it; `TABLE`
    for a line on the table, empty for a line that is nowhere.
    """

    starts: Floats
    ends: Floats
    owners: Sequence[tuple[int, ...]]


@dataclass(frozen=True)
class View:
    """The facets as the camera sees them, with the ply of each: a higher one lies nearer."""

    camera: Camera
    facets: tuple[Facet, ...]
    plies: tuple[int, ...]

    @cached_property
    def covered(self) -> NDArray[np.bool_]:
        """Which facets lie wholly behind another one: nothing is seen of them."""
        return covered_ones(self.facets, self.plies, *self._planes)

    @cached_property
    def _planes(self) -> tuple[Floats, Floats]:
        """The planes, their normals turned towards the eye: [f, 3] and [f]."""
        normals = np.array([facet.normal for facet in self.facets]).reshape(-1, 3)
        offsets = np.array([facet.offset for facet in self.facets])
        eye = np.array(self.camera.eye)
        signs = np.where((normals * eye).sum(axis=1) >= offsets, 1.0, -1.0)
        return normals * signs[:, None], offsets * signs

    @cached_property
    def _edges(self) -> tuple[Floats, Floats, Ints, Ints]:
        """All edges on the page: starts, ends [m, 2]; of each facet the first and the count."""
        starts, ends, counts = [], [], []
        for facet in self.facets:
            starts += list(facet.page)
            ends += [np.roll(ring, -1, axis=0) for ring in facet.page]
            counts.append(sum(len(ring) for ring in facet.page))
        firsts = np.concatenate(([0], np.cumsum(counts)[:-1])).astype(np.intp)
        return (
            np.concatenate(starts),
            np.concatenate(ends),
            firsts,
            np.array(counts, dtype=np.intp),
        )

    @cached_property
    def _hiding(self) -> tuple[shapely.STRtree, Ints]:
        """The boxes on the page of the facets that can hide anything, and their numbers."""
        numbers = [
            i
            for i, facet in enumerate(self.facets)
            if facet.face is not None and not self.covered[i]
        ]
        boxes = np.array([self.facets[i].box for i in numbers]).reshape(-1, 4)
        tree = shapely.STRtree(shapely.box(*boxes.T))
        return tree, np.array(numbers, dtype=np.intp)

    def seen(self, lines: Lines) -> list[list[Stretch]]:
        """The stretches of each line that are seen, in order, in shares of its way on the page."""
        count = len(lines.starts)
        batch = max(_FEWEST, _MOST_PAIRS // max(len(self.facets), 1))
        found: list[list[Stretch]] = []
        for first in range(0, count, batch):
            part = slice(first, first + batch)
            found += self._seen(
                Lines(starts=lines.starts[part], ends=lines.ends[part], owners=lines.owners[part])
            )
        return found

    def _seen(self, lines: Lines) -> list[list[Stretch]]:
        starts, near0 = self.camera.page(lines.starts)
        ends, near1 = self.camera.page(lines.ends)
        lengths = np.hypot(*(ends - starts).T)
        line, facet = self._pairs(starts, ends, lines.owners)
        behind0, behind1 = self._behind(lines, near0, near1, line, facet)
        sides: tuple[dict[int, list[Stretch]], ...] = ({}, {})
        kept = np.flatnonzero((np.minimum(behind0, behind1) < 0.0) & (lengths[line] > 0.0))
        for first in range(0, len(kept), _BATCH):
            part = kept[first : first + _BATCH]
            way = (ends - starts)[line[part]]
            aside = np.stack((-way[:, 1], way[:, 0]), axis=1) / lengths[line[part]][:, None]
            for side, hair in zip(sides, (_HAIR, -_HAIR), strict=True):
                found = self._hidden(
                    starts[line[part]] + aside * hair,
                    way,
                    behind0[part],
                    behind1[part],
                    facet[part],
                )
                for pair, low, high in zip(*found, strict=True):
                    side.setdefault(int(line[part[pair]]), []).append((float(low), float(high)))
        return [
            _left_over(sides[0].get(i, []), sides[1].get(i, []), float(lengths[i]))
            for i in range(len(lengths))
        ]

    def _pairs(
        self, starts: Floats, ends: Floats, owners: Sequence[tuple[int, ...]]
    ) -> tuple[Ints, Ints]:
        """The pairs of a line and a facet not its own whose boxes on the page meet, in order."""
        tree, numbers = self._hiding
        low, high = np.minimum(starts, ends) - _HAIR, np.maximum(starts, ends) + _HAIR
        line, box = tree.query(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1]))
        facet = numbers[box]
        for own in _columns(owners):
            other = own[line] != facet
            line, facet = line[other], facet[other]
        order = np.lexsort((facet, line))
        return line[order], facet[order]

    def _behind(
        self, lines: Lines, near0: Floats, near1: Floats, line: Ints, facet: Ints
    ) -> tuple[Floats, Floats]:
        """How far each line's ends lie before a facet's plane, times nearness; less than 0: behind.

        A line in the plane is behind it where all panels that the line lies on are, else before.
        """
        normals, offsets = self._planes
        n, off = normals[facet], offsets[facet]
        before0 = (n * lines.starts[line]).sum(axis=1) - off
        before1 = (n * lines.ends[line]).sum(axis=1) - off
        behind0 = (before0 + MEETS_MM) * near0[line]
        behind1 = (before1 + MEETS_MM) * near1[line]
        in_plane = np.flatnonzero((np.abs(before0) <= MEETS_MM) & (np.abs(before1) <= MEETS_MM))
        below = np.zeros(len(in_plane), dtype=bool)
        before = np.zeros(len(in_plane), dtype=bool)
        for own in _columns(lines.owners):
            one = own[line[in_plane]]
            found = one == TABLE
            panel = np.flatnonzero(one >= 0)
            found[panel] = self._lies_below(one[panel], facet[in_plane[panel]])
            below |= found
            before |= (one >= 0) & ~found
        behind0[in_plane] = behind1[in_plane] = np.where(below & ~before, -1.0, 1.0)
        return behind0, behind1

    def _lies_below(self, one: Ints, other: Ints) -> NDArray[np.bool_]:
        """Whether the first facet, of which a line lies in the second one's plane, is below it.

        In that plane it is by its ply; else where all of it is on the far side of the plane.
        """
        plies = np.array(self.plies, dtype=np.intp)
        below: NDArray[np.bool_] = plies[one] < plies[other]
        slanting = np.flatnonzero(~self._parallel(one, other))
        if len(slanting):
            normals, offsets = self._planes
            corners, firsts, counts = self._corners
            to = other[slanting]
            which, corner = _spread(firsts[one[slanting]], counts[one[slanting]])
            before = (corners[corner] * normals[to][which]).sum(axis=1) - offsets[to][which]
            starts = np.cumsum(counts[one[slanting]]) - counts[one[slanting]]
            below[slanting] = np.maximum.reduceat(before, starts) <= MEETS_MM
        return below

    def _parallel(self, one: Ints, other: Ints) -> NDArray[np.bool_]:
        """Whether the first facet lies as the second one does, over its whole width."""
        normals, _ = self._planes
        sine = np.sqrt((np.cross(normals[one], normals[other]) ** 2).sum(axis=1))
        found: NDArray[np.bool_] = sine * self._widths[one] <= MEETS_MM
        return found

    @cached_property
    def _corners(self) -> tuple[Floats, Ints, Ints]:
        """The corners of outer rings in space, [m, 3]; of each facet the first and the count."""
        rings = [facet.space[0] for facet in self.facets]
        counts = np.array([len(ring) for ring in rings], dtype=np.intp)
        return np.concatenate(rings), np.cumsum(counts) - counts, counts

    @cached_property
    def _widths(self) -> Floats:
        return np.array([np.sqrt((np.ptp(one.space[0], axis=0) ** 2).sum()) for one in self.facets])

    def _hidden(
        self, p: Floats, d: Floats, behind0: Floats, behind1: Floats, facet: Ints
    ) -> tuple[Ints, Floats, Floats]:
        """For each pair the stretches behind the facet and within its polygon: pair, low, high."""
        count = len(p)
        from_, to, firsts, counts = self._edges
        pair, edge = _spread(firsts[facet], counts[facet])
        along = to[edge] - from_[edge]
        gap = from_[edge] - p[pair]
        across = _cross(d[pair], along)
        level = across == 0.0
        across = np.where(level, 1.0, across)
        at = _cross(gap, along) / across
        on = _cross(gap, d[pair]) / across
        meets = ~level & (at > 0.0) & (at < 1.0) & (on > -1e-9) & (on < 1.0 + 1e-9)
        through = np.flatnonzero((behind0 < 0.0) != (behind1 < 0.0))
        goes = behind0[through] / (behind0[through] - behind1[through])
        pairs = np.arange(count)
        owner = np.concatenate((pairs, pairs, pair[meets], through))
        share = np.concatenate((np.zeros(count), np.ones(count), at[meets], goes))
        order = np.lexsort((share, owner))
        owner, share = owner[order], share[order]
        low, high, of = share[:-1], share[1:], owner[:-1]
        kept = (owner[1:] == of) & (high - low > 1e-12)
        low, high, of = low[kept], high[kept], of[kept]
        middle = (low + high) / 2.0
        behind = behind0[of] * (1.0 - middle) + behind1[of] * middle < 0.0
        low, high, of, middle = low[behind], high[behind], of[behind], middle[behind]
        spot = p[of] + d[of] * middle[:, None]
        inside = self._within(spot, facet[of])
        return of[inside], low[inside], high[inside]

    def _within(self, spots: Floats, facet: Ints) -> NDArray[np.bool_]:
        """Whether each place lies within a facet's polygon on the page, by the even-odd rule."""
        from_, to, firsts, counts = self._edges
        which, edge = _spread(firsts[facet], counts[facet])
        (ax, ay), (bx, by) = from_[edge].T, to[edge].T
        x, y = spots[which].T
        spans = (ay > y) != (by > y)
        rise = np.where(spans, by - ay, 1.0)
        right = spans & (x < ax + (y - ay) * (bx - ax) / rise)
        odd: NDArray[np.bool_] = np.bincount(which[right], minlength=len(spots)) % 2 == 1
        return odd


def _spread(firsts: Ints, counts: Ints) -> tuple[Ints, Ints]:
    """For each run its number, over again for each member, and the members' numbers."""
    which = np.repeat(np.arange(len(counts)), counts)
    before = np.repeat(np.cumsum(counts) - counts, counts)
    return which, np.arange(len(which)) - before + firsts[which]


def _cross(a: Floats, b: Floats) -> Floats:
    found: Floats = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    return found


def _columns(owners: Sequence[tuple[int, ...]]) -> Iterator[Ints]:
    """The first owner of each line, the second, and so on; less than any owner where none is."""
    for place in range(max(map(len, owners), default=0)):
        yield np.array([one[place] if len(one) > place else TABLE - 1 for one in owners])


def _left_over(left: list[Stretch], right: list[Stretch], length: float) -> list[Stretch]:
    """What is not hidden on both sides of a line, without specks."""
    if length <= 0.0:
        return []
    hidden = list(_both(_union(left, _JOIN / length), _union(right, _JOIN / length)))
    seen, at = [], 0.0
    for low, high in hidden:
        if high - low <= _JOIN / length:
            continue
        if low - at > min(_SPECK / length, 0.5):
            seen.append((at, low))
        at = high
    if 1.0 - at > min(_SPECK / length, 0.5):
        seen.append((at, 1.0))
    return seen


def _union(stretches: list[Stretch], join: float) -> list[Stretch]:
    found: list[Stretch] = []
    for low, high in sorted(stretches):
        low, high = (0.0 if low < join else low), (1.0 if high > 1.0 - join else high)
        if found and low <= found[-1][1] + join:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _both(left: list[Stretch], right: list[Stretch]) -> Iterator[Stretch]:
    i = j = 0
    while i < len(left) and j < len(right):
        low, high = max(left[i][0], right[j][0]), min(left[i][1], right[j][1])
        if low < high:
            yield low, high
        if left[i][1] < right[j][1]:
            i += 1
        else:
            j += 1
