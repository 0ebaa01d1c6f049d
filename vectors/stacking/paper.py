"""This module holds the panels of a design as arrays, and where successive poses put them.

Arcs are replaced by chords that stay within MEETS_MM of them.  Edges of all panels
stand in one long array, those of a panel together, its holes after its ring.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from ..folding import PanelKey
from ..folding.motion import Axis, Motion
from ..folding.skeleton import HingeKey, Skeleton
from ..geometry import Path, Point, Segment
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Panel

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True, eq=False)
class Ties:
    """The t places where hinges and joints hold two panels together.

    `panels` [2, t] are the two panels of each, `places` [2, t, 2] where it is on either's flat
    paper.
    """

    panels: Ints
    places: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Paper:
    """The flat panels of a design: n panels, e edges.

    Panel i has the edges `begin[i]` to `begin[i + 1]`, from `starts` [e, 2] to
    `ends` [e, 2] on the flat paper; since its boundaries are closed, `starts` are all
    its corners too.  `straight` [e] is false for the chords of arcs.
    """

    keys: tuple[PanelKey, ...]
    rings: tuple[tuple[int, ...], ...]
    begin: Ints
    starts: Floats
    ends: Floats
    straight: Flags
    ties: Ties

    @cached_property
    def number(self) -> dict[PanelKey, int]:
        """The number of each panel."""
        return {key: i for i, key in enumerate(self.keys)}

    @cached_property
    def owners(self) -> Ints:
        """The panel of each edge, [e]."""
        return np.repeat(np.arange(len(self.keys)), np.diff(self.begin))

    @cached_property
    def spread(self) -> Floats:
        """How far each panel reaches from its first corner, in mm, [n]."""
        first = self.starts[self.begin[:-1]][self.owners]
        reach = np.hypot(*(self.starts - first).T)
        return np.asarray(np.maximum.reduceat(reach, self.begin[:-1]))

    def codes_of(self, pairs: Iterable[tuple[PanelKey, PanelKey]]) -> Ints:
        """A number for each pair that is here: n times the lower panel plus the other; sorted."""
        count, number = len(self.keys), self.number
        found = set()
        for first, second in pairs:
            if first in number and second in number:
                i, j = sorted((number[first], number[second]))
                found.add(i * count + j)
        return np.array(sorted(found), dtype=np.intp)

    def edges_of(self, panels: Ints) -> tuple[Ints, Ints]:
        """All edges of a row of panels: each with the place of its panel in the row."""
        return lines_of(self.begin, panels)

    def corners(self, panel: int) -> tuple[Floats, ...]:
        """The boundaries of a panel, the outer one first, as rows of corners."""
        first = int(self.begin[panel])
        found = []
        for count in self.rings[panel]:
            found.append(self.starts[first : first + count])
            first += count
        return tuple(found)


def lines_of(begin: Ints, panels: Ints) -> tuple[Ints, Ints]:
    """The lines of a row of panels, panel i having those from `begin[i]` to `begin[i + 1]`."""
    counts = begin[panels + 1] - begin[panels]
    item = np.repeat(np.arange(panels.size), counts)
    passed = np.cumsum(counts) - counts
    return item, np.arange(item.size) + (begin[panels] - passed)[item]


@dataclass(frozen=True, kw_only=True, eq=False)
class Poses:
    """The panels of a `Paper` in m successive poses: `rows` [m, n, 3, 3], `shift` [m, n, 3].

    `loose` [m] is how far hinges and joints are apart in a pose, in mm: as far may any panel
    be from where it belongs.
    """

    paper: Paper
    rows: Floats
    shift: Floats
    loose: Floats

    @cached_property
    def corners(self) -> Floats:
        """Where all corners are in every pose, [m, e, 3]."""
        return self.places(self.paper.owners, self.paper.starts)

    @cached_property
    def boxes(self) -> tuple[Floats, Floats]:
        """The lowest and the highest coordinates of every panel in every pose, each [m, n, 3]."""
        begin = self.paper.begin[:-1]
        return (
            np.minimum.reduceat(self.corners, begin, axis=1),
            np.maximum.reduceat(self.corners, begin, axis=1),
        )

    def places(self, panels: Ints, flat: Floats) -> Floats:
        """Where places [k, 2] on flat panels are in every pose, [m, k, 3]."""
        rows, shift = self.rows[:, panels], self.shift[:, panels]
        return np.asarray(rows[..., 0] * flat[:, 0, None] + rows[..., 1] * flat[:, 1, None] + shift)

    def seen_from(self, pose: Ints, panels: Ints, others: Ints) -> tuple[Floats, Floats]:
        """The motions [k, 3, 3] and [k, 3] of panels on the flat paper of other panels."""
        back = np.swapaxes(self.rows[pose, others], 1, 2)
        shift = self.shift[pose, panels] - self.shift[pose, others]
        return back @ self.rows[pose, panels], np.einsum("kij,kj->ki", back, shift)


def paper_of(assembly: Assembly, known: Iterable[Mapping[PanelKey, Motion]]) -> Paper:
    """The panels that have a place in every pose, in the order of pieces and panels."""
    poses = tuple(known)
    panels = [
        ((name, panel.index), panel)
        for name, division in assembly.divisions.items()
        for panel in division.panels
        if all((name, panel.index) in placed for placed in poses)
    ]
    begin, rings = [0], []
    corners: list[tuple[float, float]] = []
    following: list[int] = []
    straight: list[bool] = []
    for _, panel in panels:
        counts = []
        for path in _boundaries(panel):
            first = len(corners)
            for at, is_straight in _chords(path):
                corners.append(at)
                straight.append(is_straight)
            following += [*range(first + 1, len(corners)), first]
            counts.append(len(corners) - first)
        rings.append(tuple(counts))
        begin.append(len(corners))
    starts = np.array(corners, dtype=float).reshape(-1, 2)
    keys = tuple(key for key, _ in panels)
    return Paper(
        keys=keys,
        rings=tuple(rings),
        begin=np.array(begin, dtype=np.intp),
        starts=starts,
        ends=starts[following],
        straight=np.array(straight, dtype=bool),
        ties=_ties(assembly, keys),
    )


def _boundaries(panel: Panel) -> tuple[Path, ...]:
    return (panel.ring, *panel.holes)


def _chords(path: Path) -> Iterable[tuple[tuple[float, float], bool]]:
    """The corners of a boundary, each with whether the edge that leaves it is straight."""
    vertices = path.vertices
    for here, there in zip(vertices, (*vertices[1:], vertices[0]), strict=True):
        if here.bulge == 0.0:
            yield here.at.floats(), True
            continue
        for at in _along_arc(Segment(here.at, there.at, here.bulge)):
            yield at, False


# The same panels are looked at in many poses.
@lru_cache(maxsize=4096)
def _along_arc(arc: Segment) -> tuple[tuple[float, float], ...]:
    """Where the chords of an arc start."""
    # The rise of a chord of sweep a over a circle is r (1 - cos(a / 2)).
    sweep = 2.0 * math.acos(max(0.0, 1.0 - MEETS_MM / arc.radius))
    return tuple(part.start.floats() for part in arc.split(max(sweep, 1e-3)))


def _ties(assembly: Assembly, keys: Sequence[PanelKey]) -> Ties:
    """Where hinges and joints hold some panels together."""
    pairs: list[tuple[tuple[PanelKey, Point], tuple[PanelKey, Point]]] = []
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            left, right = (name, hinge.left), (name, hinge.right)
            pairs += [((left, at), (right, at)) for at in (hinge.start, hinge.end)]
    for joint in assembly.joints:
        glue, to = joint.joint.glue, joint.joint.to
        pairs += [
            ((joint.glued, glue.start), (joint.to, to.start)),
            ((joint.glued, glue.end), (joint.to, to.end)),
        ]
    number = {key: i for i, key in enumerate(keys)}
    held = [pair for pair in pairs if pair[0][0] in number and pair[1][0] in number]
    panels = [[number[key], number[other]] for (key, _), (other, _) in held]
    places = [[at.floats(), there.floats()] for (_, at), (_, there) in held]
    return Ties(
        panels=np.array(panels, dtype=np.intp).reshape(-1, 2).T,
        places=np.array(places, dtype=float).reshape(-1, 2, 2).transpose(1, 0, 2),
    )


def poses_of(paper: Paper, placed: Sequence[Mapping[PanelKey, Motion]]) -> Poses:
    """Where the panels are in each of the poses."""
    motions = [[pose[key] for key in paper.keys] for pose in placed]
    count = len(paper.keys)
    rows = np.array([[motion.rows for motion in pose] for pose in motions], dtype=float)
    shift = np.array([[motion.shift for motion in pose] for pose in motions], dtype=float)
    return poses_at(
        paper,
        rows.reshape(len(placed), count, 3, 3),
        shift.reshape(len(placed), count, 3),
    )


def poses_turned(
    paper: Paper, skeleton: Skeleton, turned: Sequence[Mapping[HingeKey, float]]
) -> Poses:
    """Where all panels are with each fold turned by so many degrees, as `placed_by` puts them."""
    rows = np.empty((len(turned), len(paper.keys), 3, 3))
    shift = np.zeros((len(turned), len(paper.keys), 3))
    for root in skeleton.roots:
        rows[:, paper.number[root]] = np.eye(3)
    folds = [turn for turn in skeleton.turns if not isinstance(turn, Motion)]
    degrees = np.array([[pose[key] for key, _ in folds] for pose in turned])
    turns = _turned_about([axis for _, axis in folds], degrees.reshape(len(turned), len(folds)))
    each = zip(*(np.moveaxis(part, 1, 0) for part in turns), strict=True)
    for step, turn in zip(skeleton.steps, skeleton.turns, strict=True):
        here, there = paper.number[step.before], paper.number[step.after]
        if isinstance(turn, Motion):
            by, off = np.array(turn.rows), np.array(turn.shift)
        else:
            by, off = next(each)
        rows[:, there] = rows[:, here] @ by
        shift[:, there] = (rows[:, here] @ off[..., None])[..., 0] + shift[:, here]
    return poses_at(paper, rows, shift)


def _turned_about(axes: Sequence[Axis], degrees: Floats) -> tuple[Floats, Floats]:
    """The turns about k axes, [m, k, 3, 3] and [m, k, 3], as `turned_about` makes each of them."""
    flat = np.array([(axis.ux, axis.uy, axis.x, axis.y) for axis in axes]).reshape(-1, 4)
    ux, uy, x, y = flat.T
    angle = np.radians(degrees)
    # Half and quarter turns have their exact sines and cosines.
    square = degrees % 90.0 == 0.0
    cos, sin = (np.where(square, np.round(part), part) for part in (np.cos(angle), np.sin(angle)))
    rest = 1.0 - cos
    rows = np.empty((*degrees.shape, 3, 3))
    rows[..., 0, 0], rows[..., 1, 1] = cos + ux * ux * rest, cos + uy * uy * rest
    rows[..., 2, 2] = cos
    rows[..., 0, 1] = rows[..., 1, 0] = ux * uy * rest
    rows[..., 0, 2], rows[..., 1, 2] = uy * sin, -ux * sin
    rows[..., 2, 0], rows[..., 2, 1] = -uy * sin, ux * sin
    place = np.stack([x, y, np.zeros(len(flat))], axis=1)
    return rows, place - (rows @ place[..., None])[..., 0]


def poses_at(paper: Paper, rows: Floats, shift: Floats) -> Poses:
    """The poses in which the panels have these motions, [m, n, 3, 3] and [m, n, 3]."""
    poses = Poses(paper=paper, rows=rows, shift=shift, loose=np.zeros(len(rows)))
    return replace(poses, loose=_loose(poses))


def _loose(poses: Poses) -> Floats:
    """The largest distance in each pose between places that a hinge or a joint holds together."""
    ties = poses.paper.ties
    if not ties.panels.size:
        return np.zeros(len(poses.rows))
    first, second = (poses.places(ties.panels[side], ties.places[side]) for side in (0, 1))
    return np.asarray(np.linalg.norm(first - second, axis=-1).max(axis=1))
