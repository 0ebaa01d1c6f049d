"""This module tells which panels pass through each other on the way to a pose."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from ..folding import PanelKey
from ..folding.motion import Motion
from ..folding.skeleton import HingeKey
from ..geometry import Point
from ..panels import Assembly
from .clash import Clash, crossed, folded_over, glued_pairs
from .paper import Poses, paper_of, poses_of
from .passes import Passage, passages


class WayPoint(Protocol):
    """What is asked of a pose on the way: when, how far folds are turned, where panels are."""

    @property
    def share(self) -> float:
        """How far on the way, 0 to 1."""

    @property
    def turned(self) -> Mapping[HingeKey, float]:
        """The degrees that each fold is turned."""

    @property
    def placed(self) -> Mapping[PanelKey, Motion]:
        """Where each panel is."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WayClash:
    """The first clash of two panels on the way, and how far on it that is."""

    share: float
    clash: Clash


def clashes_on_way(
    assembly: Assembly, way: Sequence[WayPoint], poses: Poses | None = None
) -> tuple[WayClash, ...]:
    """The first clash of every two panels along successive poses, in order of the share.

    Told are the panels that pass through each other in one of the poses, as `clashes` tells
    them, folds turned beyond 180 degrees among them; and those that pass through each
    other between two successive poses although at neither they do: part of one
    was above the other, by more than MEETS_MM, and is below it in the next pose, and went
    through the inside of it to get there.

    No panels are told that do not pass through each other, as long as folds turn less than
    a half turn from pose to pose.  What may be missed lies within a margin of a
    panel's boundary, for a place that moves by s while a panel turns by a radians against
    another s * a / 8 (0.1 mm for 10 mm and 5 degrees), or begins and ends
    between two poses on the same side.  Panels that lie in one plane at either end are not
    judged there.  Panels that have no place in one of the poses are left out; `poses` is where
    the others are in them, where that is known already.
    """
    if poses is None:
        placed = [point.placed for point in way]
        poses = poses_of(paper_of(assembly, placed), placed)
    paper = poses.paper
    if not paper.keys or not way:
        return ()
    shares = [point.share for point in way]
    first: dict[tuple[int, int], tuple[float, Clash]] = {}
    seen: dict[tuple[int, int], int] = {}

    def tell(pair: tuple[int, int], share: float, clash: Clash) -> None:
        if pair not in first or share < first[pair][0]:
            first[pair] = share, clash

    for pose, pair, clash in crossed(assembly, poses):
        seen[pair] = min(pose, seen.get(pair, pose))
        tell(pair, shares[pose], clash)
    for pose, point in enumerate(way):
        for pair, clash in folded_over(assembly, poses, pose, point.turned):
            seen[pair] = min(pose, seen.get(pair, pose))
            tell(pair, shares[pose], clash)
    for passage in passages(poses, paper.codes_of(glued_pairs(assembly)), seen):
        pose = passage.pose
        share = shares[pose] + (shares[pose + 1] - shares[pose]) * passage.share
        tell((passage.first, passage.second), share, _told(poses, passage))
    return tuple(
        WayClash(share=share, clash=clash)
        # Which of two comes first at the same time must not depend on rounding.
        for _, (share, clash) in sorted(
            first.items(), key=lambda one: (round(one[1][0], 9), one[0])
        )
    )


def _told(poses: Poses, passage: Passage) -> Clash:
    """A passage as a clash: at the place on the second panel, half way as that one moves."""
    x, y = passage.on_second
    ends = [
        poses.rows[pose, passage.second, :, 0] * x
        + poses.rows[pose, passage.second, :, 1] * y
        + poses.shift[pose, passage.second]
        for pose in (passage.pose, passage.pose + 1)
    ]
    at = ends[0] * (1.0 - passage.share) + ends[1] * passage.share
    return Clash(
        first=poses.paper.keys[passage.first],
        second=poses.paper.keys[passage.second],
        at=(float(at[0]), float(at[1]), float(at[2])),
        on_first=Point(*passage.on_first),
        on_second=Point(*passage.on_second),
        length_mm=passage.length,
    )
