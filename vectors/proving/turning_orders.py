"""This module looks for the order in which to fold where all folds turned together clash."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from ..folding import Loop, Step
from ..folding.holds import panel_of
from ..folding.loops import way_between
from ..folding.poses import Outcome
from ..folding.skeleton import HingeKey, skeleton_of
from ..panels import Assembly
from ..stacking.order import Blocked, PlyOrder
from ..stacking.turning_order import Plies, TurningOrder, turning_order
from .model import ClosedStack, PoseProof


def with_orders(
    poses: Sequence[PoseProof],
    assembly: Assembly,
    loops: Sequence[Loop],
    stack: ClosedStack | None,
) -> tuple[PoseProof, ...]:
    """The poses, those that clash only on the way with the order that gets round it, if any."""
    if not any(map(_asks, poses)):
        return tuple(poses)
    closed = next(pose for pose in poses if pose.name == "closed")
    plies = None
    if stack is not None and isinstance(stack.order, PlyOrder):
        plies = Plies(placed=closed.folded.placed, order=stack.order)
    # Plies that no order fits are in each other's way, whichever is folded first.
    blocked = stack is not None and isinstance(stack.order, Blocked)
    return tuple(
        replace(pose, order=_order(pose, assembly, loops, closed, plies))
        if _asks(pose) and not (blocked and pose is closed)
        else pose
        for pose in poses
    )


def _asks(pose: PoseProof) -> bool:
    """Whether panels clash on the way to a pose that is reached, but not in it."""
    reached = pose.folded.outcome is Outcome.REACHED
    return reached and bool(pose.clashes_on_way) and not pose.clashes


def _order(
    pose: PoseProof,
    assembly: Assembly,
    loops: Sequence[Loop],
    closed: PoseProof,
    plies: Plies | None,
) -> TurningOrder | None:
    return turning_order(
        assembly,
        skeleton_of(assembly),
        _begun(pose, assembly, closed),
        [point.turned for point in pose.folded.way],
        ties=[*(_hinges(loop.steps) for loop in loops), *_tied_by_touches(pose, assembly)],
        plies=plies,
    )


def _begun(pose: PoseProof, assembly: Assembly, closed: PoseProof) -> Mapping[HingeKey, float]:
    """The degrees of all folds where the way to a pose begins."""
    if not assembly.joints:
        return dict.fromkeys(pose.folded.turned, 0.0)
    # What is glued is folded from the closed card on, and closed from the open one on.
    return closed.folded.turned if pose.asked is not None else pose.folded.way[0].turned


def _hinges(steps: Sequence[Step]) -> list[HingeKey]:
    return [(step.after[0], step.hinge.index) for step in steps if step.hinge is not None]


def _tied_by_touches(pose: PoseProof, assembly: Assembly) -> Iterator[list[HingeKey]]:
    """The folds between panels whose lines touch in a pose: they go round like a loop's."""
    for touch in () if pose.asked is None else pose.asked.touches:
        line = panel_of(touch.line.piece, touch.line.panel, assembly)
        to = panel_of(touch.to.piece, touch.to.panel, assembly)
        way = None if line is None or to is None else way_between(assembly, line, to)
        yield _hinges(way or ())
