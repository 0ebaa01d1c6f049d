"""This module judges a design in space: its poses, how they stand, and the closed card."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from foldwright.profiles.model import Profile

from ..design.pieces import Resolved
from ..folding import Closing
from ..folding.motion import STILL, Motion
from ..folding.systems import TooLarge
from ..measures import Unit
from ..panels import Assembly
from ..problems import Problem, problem
from ..stacking.cover import NotFlat
from ..stacking.mass import Balance, Masses, masses_of, moved_by_extras
from ..stacking.mats import mat_shapes
from ..stacking.standing import Standing, standing_of
from .closed_stack import closed_stack, not_flat, spilled_mm, stack_findings
from .limits import is_too_large
from .materials import calipers_of, grammages_of
from .model import Closed, ClosedStack, PoseProof
from .pose_judging import pose_findings
from .posing import posed
from .spill_mends import SpillMend
from .stand_judging import (
    copies_problems,
    crease_problems,
    dressing_problems,
    mass_problems,
    must_stand,
    standing_problems,
    stands_limit_problems,
)
from .turning_orders import with_orders

# What ends a spill of so many mm.
SpillMending = Callable[[float], tuple[SpillMend, ...]]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class InSpace:
    """A design in space: its poses, the closed card with its size, and what there is to say."""

    poses: tuple[PoseProof, ...]
    stack: ClosedStack | None
    closed: Closed
    findings: tuple[Problem, ...]


def in_space(
    resolved: Resolved,
    assembly: Assembly,
    closings: Sequence[Closing],
    profiles: Mapping[str, Profile | None],
    closed: Closed,
    spill_mending: SpillMending | None = None,
) -> InSpace:
    """Judge a design whose pieces are all divided; `closed` is the size of its first piece."""
    units = Unit(resolved.units)
    found: list[Problem] = []
    shapes = mat_shapes(assembly, resolved.mats, units, calipers_of(profiles))
    masses = masses_of(assembly, resolved, grammages_of(profiles), mats=shapes)
    found += dressing_problems(assembly, resolved, masses, units)
    found += mass_problems(resolved, _not_told(masses, assembly, resolved))
    poses: tuple[PoseProof, ...] = ()
    try:
        poses = posed(resolved, assembly, closings)
    except TooLarge as large:
        found.append(problem("pose-too-large", why=str(large), hint=large.hint))
    poses = tuple(_standing(pose, assembly, masses) for pose in poses)
    stack = None
    on_stack: list[Problem] = []
    if poses:
        stack = _stack(poses, resolved, assembly, profiles, masses, on_stack)
        loops = [closing.loop for closing in closings]
        poses = with_orders(poses, assembly, loops, stack)
    found += pose_findings(poses, assembly, profiles, units)
    found += _standing_findings(poses, resolved, assembly, units)
    found += on_stack
    weighed = None if masses.mass_g is None else round(masses.mass_g, 6)
    closed = replace(closed, mass_g=weighed)
    if stack is not None:
        closed = replace(_size(closed, stack, assembly), thickness_mm=_rounded(stack.thickness.mm))
        spill = spilled_mm(stack)
        if spill and spill_mending is not None:
            stack = replace(stack, mends=spill_mending(spill))
        found += stack_findings(
            stack,
            assembly,
            resolved,
            stack.mends,
            units,
            too_large=is_too_large(resolved.limits, closed),
        )
    return InSpace(poses=poses, stack=stack, closed=closed, findings=tuple(found))


def _rounded(value: float | None) -> float | None:
    # Rounding of double precision must not show in a size.
    return None if value is None else round(value, 6)


def _not_told(masses: Masses, assembly: Assembly, resolved: Resolved) -> Masses:
    """The masses without the stocks that are told to have no material already."""
    if resolved.limits is not None and resolved.limits.stands:
        return masses
    told = {division.piece.stock for division in assembly.divisions.values()}
    return replace(masses, stocks=tuple(one for one in masses.stocks if one not in told))


def _standing(pose: PoseProof, assembly: Assembly, masses: Masses) -> PoseProof:
    if pose.asked is None or not pose.folded.reached or not pose.placed:
        return pose
    standing = standing_of(assembly, pose.placed, masses, pose.on)
    if standing is None:
        return pose
    if standing.asked.onto is not STILL:
        # It stands on edges, as a tent does: it is put on the table that way.
        pose = _moved(pose, standing.asked.onto)
    tied = {key: motion for key, motion in pose.placed.items() if key in standing.panels}
    whole = Balance(standing.mass_g, standing.asked.centre)
    moved = moved_by_extras(masses, tied, assembly, whole)
    return replace(pose, standing=standing, moved=moved)


def _moved(pose: PoseProof, onto: Motion) -> PoseProof:
    return replace(
        pose,
        placed=MappingProxyType({key: onto @ motion for key, motion in pose.placed.items()}),
        clashes=tuple(replace(one, at=onto.apply3(one.at)) for one in pose.clashes),
        contacts=tuple(
            replace(one, start=onto.apply3(one.start), end=onto.apply3(one.end))
            for one in pose.contacts
        ),
    )


def _standing_findings(
    poses: Sequence[PoseProof], resolved: Resolved, assembly: Assembly, units: Unit
) -> Iterator[Problem]:
    must = {one.name for one in must_stand(resolved.limits, resolved.poses)}
    for pose in poses:
        if pose.asked is None:
            continue
        yield from standing_problems(
            pose.asked,
            pose.standing,
            assembly,
            units,
            must=pose.name in must,
            view_deg=pose.view_deg,
        )
        yield from crease_problems(pose.asked, pose.standing, pose.released, assembly)
    standings: dict[str, Standing | None] = {
        pose.name: pose.standing for pose in poses if pose.asked is not None
    }
    yield from copies_problems(resolved, tuple(standings.values()))
    yield from stands_limit_problems(resolved.limits, resolved.poses, standings)


def _stack(
    poses: Sequence[PoseProof],
    resolved: Resolved,
    assembly: Assembly,
    profiles: Mapping[str, Profile | None],
    masses: Masses,
    found: list[Problem],
) -> ClosedStack | None:
    closed = next(pose for pose in poses if pose.name == "closed")
    if not closed.folded.reached:
        found.append(problem("stack-not-judged", place=resolved.pieces[0].place))
        return None
    try:
        return closed_stack(assembly, resolved, closed.folded.placed, profiles, masses)
    except NotFlat as stands_out:
        found.append(not_flat(stands_out, assembly))
        return None


def _size(closed: Closed, stack: ClosedStack, assembly: Assembly) -> Closed:
    """The size of the whole closed card, where it is more than its first piece."""
    if len(assembly.divisions) == 1:
        return closed
    left, bottom, right, top = stack.cover.outline.bounds
    return replace(closed, width_mm=round(right - left, 6), height_mm=round(top - bottom, 6))
