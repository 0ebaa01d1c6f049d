"""This module folds a design into its poses: flat, open, closed, and those that it names."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType

import numpy as np

from ..design.pieces import Pose, Resolved
from ..folding import Closing, PanelKey, Verdict
from ..folding.freedom import Freedom, freedom
from ..folding.holds import hinges_of, panel_of, pose_problems
from ..folding.linkage import Floats, Linkage, TouchEnds, linkage_of, with_touches
from ..folding.motion import STILL, Motion
from ..folding.nearest import Found
from ..folding.parts import looped_parts
from ..folding.poses import (
    FoldedPose,
    Outcome,
    PoseRequest,
    Start,
    Waypoint,
    fold_to,
    worst_gap,
)
from ..folding.skeleton import HingeKey, parts_of, placed_by, skeleton_of
from ..folding.table import BESIDE_MM, on_the_table
from ..folding.ways import way_closed
from ..measures.exact import TURNED_DEG
from ..panels import Assembly
from ..problems import Severity
from ..stacking import Clash, WayClash, clashes, clashes_on_way, contacts
from ..stacking.paper import Paper, paper_of, poses_turned
from .model import PoseProof

# The viewer's side where a pose does not give it: before the lower edge.
USUAL_VIEW_DEG = 270.0


def posed(
    resolved: Resolved, assembly: Assembly, closings: Sequence[Closing]
) -> tuple[PoseProof, ...]:
    """All poses of a design whose pieces are divided.  Raises TooLarge."""
    linkage = linkage_of(assembly, tuple(closing.loop for closing in closings))
    opened = _opened(resolved, linkage)
    closed = _closed(linkage, closings, opened)
    counted = _Freedoms(linkage, _half_way(closed, opened))
    # Folds and joints place all panels, in every pose.
    paper = paper_of(assembly, ())
    way = _way_open(closed, opened) if assembly.joints else _way_shut(closed)
    found = [
        _proof(linkage, paper, _flat(linkage), counted),
        _proof(linkage, paper, replace(opened, way=()), counted),
        _proof(linkage, paper, closed, counted),
    ]
    for pose in resolved.poses:
        if all(one.severity is not Severity.STOP for one in pose_problems(pose, assembly)):
            folded = fold_to(linkage, _request(pose, assembly), known=way)
            found.append(_proof(linkage, paper, folded, counted, pose))
    return tuple(found)


def _flat(linkage: Linkage) -> FoldedPose:
    """The pieces as they are cut, side by side."""
    placed: dict[PanelKey, Motion] = {}
    right = 0.0
    for name, division in linkage.assembly.divisions.items():
        left, _, far, _ = division.piece.outline.box()
        aside = Motion(STILL.rows, (right - left, 0.0, 0.0)) if placed else STILL
        for panel in division.panels:
            placed[name, panel.index] = aside
        right = (far if aside is STILL else right + far - left) + BESIDE_MM
    return FoldedPose(
        name="flat",
        share=0.0,
        turned=MappingProxyType(dict.fromkeys(linkage.hinges, 0.0)),
        placed=MappingProxyType(placed),
        held=frozenset(),
        outcome=Outcome.REACHED,
        gap_mm=0.0,
        worst=None,
    )


def _opened(resolved: Resolved, linkage: Linkage) -> FoldedPose:
    """The first piece's folds at 0, the others as they follow."""
    first = resolved.pieces[0].name if resolved.pieces else None
    holds = {key: 0.0 for key in linkage.hinges if key[0] == first}
    if linkage.assembly.joints:
        return fold_to(linkage, PoseRequest(name="open", holds=holds, start=Start.CLOSED))
    # Without joints nothing ties the other pieces to it.
    return replace(_flat(linkage), name="open", held=frozenset(holds))


def _closed(linkage: Linkage, closings: Sequence[Closing], opened: FoldedPose) -> FoldedPose:
    """Every fold at its closed angle, and the way there."""
    skeleton = skeleton_of(linkage.assembly)
    turned = MappingProxyType(
        dict(zip(linkage.hinges, np.degrees(linkage.closed).tolist(), strict=True))
    )
    closes = all(one.verdict is Verdict.CLOSES for one in closings)
    at = Found(turned=linkage.closed, left=0.0, settled=True, factorisations=0)
    worst = None if closes and all(one.exact for one in closings) else worst_gap(linkage, at)
    folded = FoldedPose(
        name="closed",
        share=1.0,
        turned=turned,
        placed=MappingProxyType(placed_by(skeleton, turned)),
        held=frozenset(),
        outcome=Outcome.REACHED if closes else Outcome.STRAINED,
        gap_mm=0.0 if worst is None else worst.mm,
        worst=worst,
    )
    if not closes:
        return folded
    if linkage.assembly.joints:
        # A glued card cannot lie flat: its way is the one on which it opens, gone back.
        back = tuple(replace(one, share=1.0 - one.share) for one in reversed(opened.way))
        shut = Waypoint(share=1.0, turned=turned, skeleton=skeleton)
        return replace(folded, way=(*back, shut))
    way = way_closed(linkage)
    return replace(
        folded,
        way=tuple(
            Waypoint(
                share=one.share,
                turned=MappingProxyType(
                    dict(zip(linkage.hinges, np.degrees(one.found.turned).tolist(), strict=True))
                ),
                skeleton=skeleton,
            )
            for one in way.passed
        ),
        bends=way.bends,
        bends_share=way.bends_share,
    )


def _way_shut(closed: FoldedPose) -> tuple[Waypoint, ...]:
    """The poses from flat to closed, none where paper bends there."""
    return closed.way if closed.reached and closed.bends is None else ()


def _way_open(closed: FoldedPose, opened: FoldedPose) -> tuple[Waypoint, ...]:
    """The poses from closed to open, none where paper bends there."""
    rigid = closed.reached and opened.reached and opened.bends is None
    return opened.way if rigid else ()


def _half_way(closed: FoldedPose, opened: FoldedPose) -> Floats | None:
    """The angles in radians half way between flat and closed, None where nothing closes there."""
    if closed.bends is not None or not closed.way:
        return None
    if not opened.reached and opened.way:
        return None
    middle = min(closed.way, key=lambda point: abs(point.share - 0.5))
    if middle.gap_mm > 0.0:
        return None
    return np.radians(list(middle.turned.values()))


def _request(pose: Pose, assembly: Assembly) -> PoseRequest:
    holds: dict[HingeKey, float] = {}
    for hold in pose.holds:
        for key in hinges_of(hold, assembly):
            holds[key] = float(hold.degrees)
    touches = []
    for touch in pose.touches:
        line = panel_of(touch.line.piece, touch.line.panel, assembly)
        to = panel_of(touch.to.piece, touch.to.panel, assembly)
        if line is not None and to is not None:
            touches.append(TouchEnds(touch=touch, line=line, to=to))
    return PoseRequest(
        name=pose.name,
        holds=holds,
        touches=tuple(touches),
        start=Start.CLOSED if assembly.joints else Start.FLAT,
    )


def _proof(
    linkage: Linkage,
    paper: Paper,
    folded: FoldedPose,
    counted: _Freedoms,
    pose: Pose | None = None,
) -> PoseProof:
    assembly = linkage.assembly
    on: tuple[PanelKey, ...] = ()
    view = USUAL_VIEW_DEG
    if pose is not None:
        keys = (panel_of(piece, panel, assembly) for piece, panel in pose.on)
        on = tuple(key for key in keys if key is not None)
        view = USUAL_VIEW_DEG if pose.view is None else float(pose.view)
    base = PoseProof(
        name=folded.name,
        asked=pose,
        folded=folded,
        freedom=counted.at(folded, pose),
        placed=MappingProxyType({}),
        on=on,
        view_deg=view,
    )
    if pose is not None:
        released = counted.at(replace(folded, held=frozenset()), pose)
        base = replace(base, released=released, place=pose.place)
    if folded.outcome is Outcome.NOT_CONVERGED:
        return base
    flat = folded.name == "flat" or (folded.name == "open" and not assembly.joints)
    if flat:
        return replace(base, placed=folded.placed, against=tuple(_against(folded)))
    parts = parts_of(skeleton_of(assembly))
    placed = on_the_table(assembly, folded.placed, on, parts)
    part_of = {key: number for number, part in enumerate(parts) for key in part}

    def tied(clash: Clash) -> bool:
        # What nothing ties together is nowhere against each other.
        return part_of[clash.first] == part_of[clash.second]

    on_way: tuple[WayClash, ...] = ()
    if folded.way:
        # All of a way is placed by one skeleton.
        passed = poses_turned(paper, folded.way[0].skeleton, [one.turned for one in folded.way])
        on_way = clashes_on_way(assembly, folded.way, passed)
    return replace(
        base,
        placed=MappingProxyType(placed),
        clashes=tuple(filter(tied, clashes(assembly, placed, folded.turned, paper))),
        clashes_on_way=tuple(one for one in on_way if tied(one.clash)),
        contacts=contacts(assembly, placed, paper),
        against=tuple(_against(folded)),
    )


def _against(folded: FoldedPose) -> Iterator[HingeKey]:
    for key, degrees in folded.turned.items():
        if degrees < -TURNED_DEG and key not in folded.held:
            yield key


class _Freedoms:
    """The freedoms at the poses of a mechanism, each counted once.

    `half` are the angles half way from flat to closed, in radians, None where nothing closes there.
    """

    def __init__(self, linkage: Linkage, half: Floats | None) -> None:
        self._linkage = linkage
        self._half = half
        self._parts = looped_parts(linkage)
        self._counted: dict[tuple[frozenset[HingeKey], bytes], Freedom] = {}

    def at(self, folded: FoldedPose, pose: Pose | None) -> Freedom | None:
        """The freedom at a pose, but half way for what lies flat or shut in it.

        Where paper lies flat or shut the loops say less than they hold, so that what is
        counted there would be too much.  Folds that share loops are looked at together;
        lines that touch hold the pose like a loop does.
        """
        linkage = self._linkage
        if len(folded.held) == len(linkage.hinges):
            return Freedom(count=0)
        if not folded.reached:
            return Freedom(count=None)
        degrees = np.array([folded.turned[key] for key in linkage.hinges])
        singular = np.abs(degrees / 180.0 - np.round(degrees / 180.0)) * 180.0 <= TURNED_DEG
        turned = np.radians(degrees)
        for part in self._parts:
            if singular[part].all():
                if self._half is None:
                    return Freedom(count=None)
                turned[part] = self._half[part]
        held = np.array([linkage.column[key] for key in folded.held], dtype=np.intp)
        if pose is not None and pose.touches:
            touching = with_touches(linkage, _request(pose, linkage.assembly).touches)
            return freedom(touching, turned, held)
        # Flat and shut paper are counted at the same angles; folds in no loop turn anyhow.
        seen = folded.held, b"".join(turned[part].tobytes() for part in self._parts)
        if seen not in self._counted:
            self._counted[seen] = freedom(linkage, turned, held)
        return self._counted[seen]
