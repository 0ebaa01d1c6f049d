"""This module places the panels of a design in space, breadth first from one that stays.

Where all loops close it does not matter by which way a panel is reached; where
one does not, this order is the agreed one: fewest folds first, ties by place.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from ..panels import Assembly
from .closing import flat_step
from .loops import PanelKey, Step, joints_over, steps_from
from .motion import STILL, Axis, Motion, in_space, turned_about
from .placing import largest_panel
from .turning import axis_beyond, turned_by

# A hinge of the whole design: its piece and its index there.
HingeKey = tuple[str, int]


@dataclass(frozen=True, kw_only=True)
class Skeleton:
    """How every panel is reached: `roots` stay where they lie flat, `steps` lead on from there.

    Each step comes after the one that reaches its panel `before`.
    """

    roots: tuple[PanelKey, ...]
    steps: tuple[Step, ...]

    @cached_property
    def turns(self) -> tuple[tuple[HingeKey, Axis] | Motion, ...]:
        """What each step turns about, or its motion where it leads over a joint.

        That one is the same in every pose.  Raises ZeroDivisionError for a joint
        whose line has no length.
        """
        return tuple(
            in_space(flat_step(step))
            if step.hinge is None
            else ((step.after[0], step.hinge.index), axis_beyond(step.hinge, step.after[1]))
            for step in self.steps
        )


def first_panel(assembly: Assembly) -> PanelKey | None:
    """The largest panel of the first piece, None for a design without panels."""
    for name, division in assembly.divisions.items():
        if division.panels:
            return name, largest_panel(division).index
    return None


def skeleton_of(assembly: Assembly, root: PanelKey | None = None) -> Skeleton:
    """The skeleton from a panel, or from the largest of the first piece.

    Panels that no fold and no joint ties to it have roots of their own.
    """
    over = joints_over(assembly.joints)
    first = first_panel(assembly) if root is None else root
    every = [
        (name, panel.index)
        for name, division in assembly.divisions.items()
        for panel in division.panels
    ]
    seen: set[PanelKey] = set()
    roots, steps = [], []
    for start in every if first is None else [first, *every]:
        if start in seen:
            continue
        roots.append(start)
        seen.add(start)
        waiting = deque([start])
        while waiting:
            here = waiting.popleft()
            for step in steps_from(here, assembly.divisions, over):
                if step.after not in seen:
                    seen.add(step.after)
                    steps.append(step)
                    waiting.append(step.after)
    return Skeleton(roots=tuple(roots), steps=tuple(steps))


def parts_of(skeleton: Skeleton) -> tuple[tuple[PanelKey, ...], ...]:
    """The panels that folds and joints tie together, part by part, each from its root on."""
    parts = {root: [root] for root in skeleton.roots}
    root_of = {root: root for root in skeleton.roots}
    for step in skeleton.steps:
        root = root_of[step.after] = root_of[step.before]
        parts[root].append(step.after)
    return tuple(tuple(part) for part in parts.values())


def motion_over(step: Step, turned: Mapping[HingeKey, float]) -> Motion:
    """The motion of a step with each fold turned by so many degrees in its own sense."""
    if step.hinge is None:
        return in_space(flat_step(step))
    piece, beyond = step.after
    return turned_by(step.hinge, beyond, turned[piece, step.hinge.index])


def placed_by(skeleton: Skeleton, turned: Mapping[HingeKey, float]) -> dict[PanelKey, Motion]:
    """Where every panel is, each fold turned by so many degrees in its own sense."""
    placed = dict.fromkeys(skeleton.roots, STILL)
    for step, turn in zip(skeleton.steps, skeleton.turns, strict=True):
        motion = turn if isinstance(turn, Motion) else turned_about(turn[1], turned[turn[0]])
        placed[step.after] = placed[step.before] @ motion
    return placed
