"""This module tells which panels pass through each other in a pose.

Panels that lie in one plane, on top of each other, are not judged: which ply lies over
which is another question.  Paper has no thickness here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from ..folding import PanelKey
from ..folding.motion import Motion, Place3
from ..folding.skeleton import HingeKey
from ..geometry import Point
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Hinge
from .crossings import crossings
from .paper import Paper, Poses, paper_of, poses_of


@dataclass(frozen=True, kw_only=True, slots=True)
class Clash:
    """Two panels that pass through each other along a stretch `length_mm` long.

    `at` is the middle of the longest such stretch, in space; `on_first` and `on_second`
    are the same place on the flat paper of the two panels.
    """

    first: PanelKey
    second: PanelKey
    at: Place3
    on_first: Point
    on_second: Point
    length_mm: float


def clashes(
    assembly: Assembly,
    placed: Mapping[PanelKey, Motion],
    turned: Mapping[HingeKey, float] | None = None,
    paper: Paper | None = None,
) -> tuple[Clash, ...]:
    """The pairs of panels that pass through each other, one `Clash` each, in the panels' order.

    Panels pass through each other along a stretch of the line in which their planes meet
    that lies inside both: each has paper on both sides of the other there.  Edges that
    touch a face or an edge, corners that touch, and the common line of a hinge are no clash, nor
    is anything in a hole.  Panels that a joint glues on each other are not judged.

    Paper counts as standing out of a plane, and a stretch as one, from MEETS_MM on; where
    the pose leaves hinges or joints apart (a strained one), from that distance more on.

    Where a pose puts its panels does not tell a fold turned by 181 degrees from one turned by
    179 the other way.  With `turned`, the degrees that each fold is turned, the panels beside
    a fold turned beyond 180 clash along their hinge.

    Panels without a place are left out.  `paper` are the panels that have one, where they are
    known already.  In mm.
    """
    paper = paper or paper_of(assembly, (placed,))
    if not paper.keys:
        return ()
    poses = poses_of(paper, (placed,))
    found = {pair: clash for _, pair, clash in crossed(assembly, poses)}
    if turned is not None:
        for pair, clash in folded_over(assembly, poses, 0, turned):
            found.setdefault(pair, clash)
    return tuple(clash for _, clash in sorted(found.items()))


def crossed(assembly: Assembly, poses: Poses) -> Iterator[tuple[int, tuple[int, int], Clash]]:
    """The pairs that pass through each other in each pose: the pose, the panels' numbers, how."""
    keys = poses.paper.keys
    # The planes of neighbours meet in the line of their hinge, which is at one place on
    # the flat paper of both: no place of it is inside two panels.
    apart = poses.paper.codes_of((*glued_pairs(assembly), *_hinged_pairs(assembly)))
    for portion in crossings(poses, apart):
        for pose, first, second, length, at, on_first, on_second in zip(
            portion.pairs.pose.tolist(),
            portion.pairs.first.tolist(),
            portion.pairs.second.tolist(),
            portion.length.tolist(),
            portion.at.tolist(),
            portion.on_first.tolist(),
            portion.on_second.tolist(),
            strict=True,
        ):
            clash = Clash(
                first=keys[first],
                second=keys[second],
                at=(at[0], at[1], at[2]),
                on_first=Point(on_first[0], on_first[1]),
                on_second=Point(on_second[0], on_second[1]),
                length_mm=length,
            )
            yield pose, (first, second), clash


def glued_pairs(assembly: Assembly) -> Iterator[tuple[PanelKey, PanelKey]]:
    """The panels that joints glue on each other."""
    for joint in assembly.joints:
        yield joint.glued, joint.to


def _hinged_pairs(assembly: Assembly) -> Iterator[tuple[PanelKey, PanelKey]]:
    """The panels that share a hinge."""
    for name, division in assembly.divisions.items():
        for hinge in division.hinges:
            yield (name, hinge.left), (name, hinge.right)


def folded_over(
    assembly: Assembly, poses: Poses, pose: int, turned: Mapping[HingeKey, float]
) -> Iterator[tuple[tuple[int, int], Clash]]:
    """The panels beside each hinge that is turned beyond 180 degrees: their numbers, and how."""
    number = poses.paper.number
    within = MEETS_MM + float(poses.loose[pose])
    for (piece, index), degrees in turned.items():
        beyond = abs(degrees) - 180.0
        if beyond <= 0.0:
            continue
        hinge = assembly.divisions[piece].hinges[index]
        sides = number.get((piece, hinge.left)), number.get((piece, hinge.right))
        if sides[0] is None or sides[1] is None or sides[0] == sides[1]:
            continue
        reach = min(_reach(poses.paper, side, hinge) for side in sides if side is not None)
        # The panels stand out of each other by that much on the wrong side; a turn that
        # is 180 degrees but for rounding is none.
        if reach * math.sin(math.radians(min(beyond, 90.0))) <= within:
            continue
        first, second = min(sides[0], sides[1]), max(sides[0], sides[1])
        middle = hinge.start.rounded().between(hinge.end.rounded(), 0.5)
        at = poses.shift[pose, first] + poses.rows[pose, first] @ np.array((*middle.floats(), 0.0))
        yield (
            (first, second),
            Clash(
                first=poses.paper.keys[first],
                second=poses.paper.keys[second],
                at=(float(at[0]), float(at[1]), float(at[2])),
                on_first=middle,
                on_second=middle,
                length_mm=hinge.start.distance(hinge.end),
            ),
        )


def _reach(paper: Paper, panel: int, hinge: Hinge) -> float:
    """How far a panel reaches from the line of a hinge, in mm."""
    way = (hinge.end - hinge.start).unit()
    x, y = hinge.start.floats()
    corners = paper.starts[paper.begin[panel] : paper.begin[panel + 1]]
    off = float(way.x) * (corners[:, 1] - y) - float(way.y) * (corners[:, 0] - x)
    return float(np.abs(off).max())
