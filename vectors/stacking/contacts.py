"""This module finds edges that rest on the face of another panel in a pose.

Such touch contacts are held by nothing: they are there in one pose and gone in the next.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from ..folding import PanelKey
from ..folding.motion import Motion, Place3
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Hinge
from .boxes import near_pairs
from .clash import glued_pairs
from .crossings import Pairs, bounds, extremes, height_over, leave_out, reached
from .paper import Flags, Floats, Paper, Poses, paper_of, poses_of
from .stretches import Ends, joined, level_ends, steps_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Contact:
    """A stretch of an edge of panel `edge` that rests on panel `face`: its ends there, in space."""

    edge: PanelKey
    face: PanelKey
    start: Place3
    end: Place3


def contacts(
    assembly: Assembly, placed: Mapping[PanelKey, Motion], paper: Paper | None = None
) -> tuple[Contact, ...]:
    """The edges that rest on faces along a stretch, although no hinge or joint holds them there.

    A straight edge rests on a face where it lies within MEETS_MM of it, inside its
    boundary.  Panels that lie flat on each other are not meant, nor is an edge that lies on
    another's edge, nor one whose panel is glued to the face or folded up from
    one that is.  One `Contact` a stretch, in the order of panels.  Panels without a place
    are left out; `paper` are those that have one, where they are known already.
    """
    paper = paper or paper_of(assembly, (placed,))
    if not paper.keys:
        return ()
    poses = poses_of(paper, (placed,))
    low, high = poses.boxes
    apart = paper.codes_of(glued_pairs(assembly))
    found: list[tuple[int, int, int, Floats, Floats]] = []
    for first, second in near_pairs(low[0], high[0], MEETS_MM):
        pairs = Pairs(
            pose=np.zeros(first.size, dtype=np.intp),
            first=first,
            second=second,
            within=np.full(first.size, MEETS_MM),
        )
        pairs = leave_out(pairs, apart, len(paper.keys))
        for seen in (pairs, pairs.swapped):
            found += _resting(poses, seen)
    return tuple(
        Contact(edge=paper.keys[panel], face=paper.keys[face], start=_told(start), end=_told(end))
        for panel, face, edge, start, end in sorted(found, key=lambda one: one[:3])
        if not _is_held(assembly, paper, panel, face, edge)
    )


def _told(at: Floats) -> Place3:
    return float(at[0]), float(at[1]), float(at[2])


def _resting(poses: Poses, pairs: Pairs) -> list[tuple[int, int, int, Floats, Floats]]:
    """Stretches of edges of the first panels on the second ones: panels, edge, both ends."""
    paper = poses.paper
    height = height_over(poses, pairs)
    # The plane is touched by some of the panel and left by the rest of it.
    for measure in (bounds, extremes):
        lowest, highest = measure(paper, pairs.first, height)
        left = np.maximum(highest, -lowest) > MEETS_MM
        some = (lowest <= MEETS_MM) & (highest >= -MEETS_MM) & left
        pairs, height = pairs[some], height[some]
    item, edge = paper.edges_of(pairs.first)
    near: Flags = (
        paper.straight[edge]
        & (np.abs(reached(height[item], paper.starts[edge])) <= MEETS_MM)
        & (np.abs(reached(height[item], paper.ends[edge])) <= MEETS_MM)
    )
    item, edge = item[near], edge[near]
    if not item.size:
        return []
    pairs = pairs[item]
    rows, shift = poses.seen_from(pairs.pose, pairs.first, pairs.second)
    start = _flat(rows, shift, paper.starts[edge])
    end = _flat(rows, shift, paper.ends[edge])
    length = np.linalg.norm(end - start, axis=1)
    long_enough = length > MEETS_MM
    pairs, edge, start, end, length = (
        pairs[long_enough],
        edge[long_enough],
        start[long_enough],
        end[long_enough],
        length[long_enough],
    )
    way = (end - start) / length[:, None]
    item, sides = paper.edges_of(pairs.second)
    off, along = [], []
    for corners in (paper.starts[sides], paper.ends[sides]):
        reach = corners - start[item]
        off.append(way[item, 0] * reach[:, 1] - way[item, 1] * reach[:, 0])
        along.append(way[item, 0] * reach[:, 0] + way[item, 1] * reach[:, 1])
    every = np.arange(length.size)
    ends = joined(
        # The edge itself, and the face along it and a little to both sides of it.
        Ends(
            item=np.concatenate((every, every)),
            group=np.zeros(2 * length.size, dtype=np.intp),
            at=np.concatenate((np.zeros(length.size), length)),
        ),
        *(
            level_ends(
                item,
                (off[0], off[1]),
                (along[0], along[1]),
                np.full(item.size, level * MEETS_MM),
                group,
            )
            for group, level in ((1, 0.0), (2, 1.0), (3, -1.0))
        ),
    )
    steps = steps_of(ends, 0)
    width = np.diff(steps.at, append=steps.at[-1:])
    rests = np.flatnonzero((steps.covered == 4) & (width > MEETS_MM))
    found = []
    for step in rests.tolist():
        one = int(steps.item[step])
        panel, face = int(pairs.first[one]), int(pairs.second[one])
        begins, stops = (
            _in_space(poses, face, start[one] + way[one] * at)
            for at in (steps.at[step], steps.at[step + 1])
        )
        found.append((panel, face, int(edge[one]), begins, stops))
    return found


def _flat(rows: Floats, shift: Floats, at: Floats) -> Floats:
    """Where places of flat panels are on the flat paper of others, less their height over it."""
    return np.asarray(
        rows[:, :2, 0] * at[:, 0, None] + rows[:, :2, 1] * at[:, 1, None] + shift[:, :2]
    )


def _in_space(poses: Poses, panel: int, at: Floats) -> Floats:
    rows = poses.rows[0, panel]
    return np.asarray(rows[:, 0] * at[0] + rows[:, 1] * at[1] + poses.shift[0, panel])


def _is_held(assembly: Assembly, paper: Paper, panel: int, face: int, edge: int) -> bool:
    """Whether a fold, or a fold and a joint beyond it, holds an edge where it rests."""
    piece, index = paper.keys[panel]
    there = paper.keys[face]
    division = assembly.divisions[piece]
    for number, beyond in division.neighbours[index]:
        key = (piece, beyond)
        if (key == there or frozenset((key, there)) in _glued(assembly)) and _lies_on(
            paper, edge, division.hinges[number]
        ):
            return True
    return False


def _glued(assembly: Assembly) -> set[frozenset[PanelKey]]:
    return {frozenset((joint.glued, joint.to)) for joint in assembly.joints}


def _lies_on(paper: Paper, edge: int, hinge: Hinge) -> bool:
    """Whether an edge lies on the line of a hinge, between its ends."""
    start = np.array(hinge.start.floats())
    way = np.array(hinge.end.floats()) - start
    length = float(np.linalg.norm(way))
    way /= length
    reach = np.stack((paper.starts[edge], paper.ends[edge])) - start
    along, off = reach @ way, reach @ np.array((-way[1], way[0]))
    return bool(
        (np.abs(off) <= MEETS_MM).all()
        and (along >= -MEETS_MM).all()
        and (along <= length + MEETS_MM).all()
    )
