"""This module says in which order joints are glued, and in which state of the card each of them is.

A joint that connects a further piece is glued with the pieces lying flat.  One
that closes a loop can only be glued where the loop closes: with its folds at 0,
or at their closed angles; a loop that closes in neither is glued in a pose.  A
glue line that another panel will cover has to be glued before that panel is.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from ..design.pieces import Face, JointEnd
from ..geometry import Point, Segment
from ..geometry.boxes import overlapping
from ..geometry.meetings import Overlap, meetings, share_of
from ..measures.exact import MEETS_MM
from ..panels import Assembly, GluedPanels, Panel, lies_on, told
from ..problems import Problem, problem
from .closing import Verdict, closing
from .isometry import Isometry, laying
from .loops import Loop, PanelKey, Round, loops_of


class GluedWhile(StrEnum):
    """The state of the folds in which a joint is glued."""

    FLAT = "flat"
    CLOSED = "closed"
    NEITHER = "neither"


@dataclass(frozen=True, kw_only=True, slots=True)
class GluingStep:
    """One joint glued, in its turn.

    `loop` is the loop that the joint closes; None where it connects a piece, or
    pieces glued together before, to the rest.  `after` are the joints that have
    to be glued before it, since its panel covers their lines.
    """

    joint: GluedPanels
    state: GluedWhile
    loop: Loop | None
    after: tuple[GluedPanels, ...]

    @property
    def connects(self) -> bool:
        """Whether the joint connects what was apart."""
        return self.loop is None


def gluing_order(assembly: Assembly) -> tuple[GluingStep, ...]:
    """The joints in the order in which they are glued: what is covered first, else as in the file.

    Where joints wait for each other in a ring, which `gluing_problems` tells of,
    the first of them in the file is glued first.  The pieces have to be sound.
    """
    before = _covered(assembly)
    order = _order(assembly.joints, before)
    after = dict(zip(assembly.joints, before, strict=True))
    loops = {
        loop.steps[0].joint: loop
        for loop in loops_of(replace(assembly, joints=order))
        if loop.round is Round.JOINT
    }
    return tuple(
        GluingStep(
            joint=joint,
            state=_state(loops.get(joint)),
            loop=loops.get(joint),
            after=tuple(assembly.joints[other] for other in after[joint]),
        )
        for joint in order
    )


def gluing_problems(assembly: Assembly) -> Iterator[Problem]:
    """A problem for each set of joints that cover each other's lines in a ring."""
    for ring in _rings(_covered(assembly)):
        joints = [assembly.joints[number].joint for number in ring]
        end = joints[0].to
        yield problem(
            "glued-in-a-ring",
            place=joints[0].place,
            piece=end.piece,
            at=Segment(end.start, end.end).middle.floats(),
            joints=" and ".join(told("joint", joint.name) for joint in joints),
        )


def _state(loop: Loop | None) -> GluedWhile:
    if loop is None:
        return GluedWhile.FLAT
    flat = replace(
        loop,
        steps=tuple(
            step if step.hinge is None else replace(step, hinge=replace(step.hinge, angle=_FLAT))
            for step in loop.steps
        ),
    )
    for state, ring in ((GluedWhile.FLAT, flat), (GluedWhile.CLOSED, loop)):
        if closing(ring).verdict is Verdict.CLOSES:
            return state
    return GluedWhile.NEITHER


_FLAT = Fraction(0)


def _order(
    joints: Sequence[GluedPanels], before: Sequence[Sequence[int]]
) -> tuple[GluedPanels, ...]:
    missing = [set(others) for others in before]
    after: list[list[int]] = [[] for _ in joints]
    for number, others in enumerate(before):
        for other in others:
            after[other].append(number)
    free = [number for number, others in enumerate(missing) if not others]
    done = [False] * len(joints)
    order = []
    for first in range(len(joints)):
        while free or not done[first]:
            number = heapq.heappop(free) if free else _first_of_ring(first, missing)
            done[number] = True
            order.append(joints[number])
            for other in after[number]:
                missing[other].discard(number)
                if not missing[other] and not done[other]:
                    heapq.heappush(free, other)
    return tuple(order)


def _first_of_ring(number: int, missing: Sequence[set[int]]) -> int:
    """The first in the file of a ring of waiting joints that this one waits for, or is part of."""
    way: list[int] = []
    while number not in way:
        way.append(number)
        number = min(missing[number])
    return min(way[way.index(number) :])


def _rings(before: Sequence[Sequence[int]]) -> list[tuple[int, ...]]:
    """The largest sets of joints of which each has to come before each other one."""
    reached = [_all_before(number, before) for number in range(len(before))]
    found = []
    for number, others in enumerate(reached):
        ring = tuple(sorted(other for other in others if number in reached[other]))
        if ring and ring[0] == number:
            found.append(ring)
    return found


def _all_before(number: int, before: Sequence[Sequence[int]]) -> set[int]:
    found: set[int] = set()
    waiting = list(before[number])
    while waiting:
        other = waiting.pop()
        if other not in found:
            found.add(other)
            waiting.extend(before[other])
    return found


_Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class _Cover:
    """A panel that a joint lays on a face of another one, by `laid` seen from that other one."""

    joint: int
    panel: Panel
    laid: Isometry

    @property
    def box(self) -> _Box:
        """A box on the covered panel's flat paper that holds the covering one."""
        left, bottom, right, top = self.panel.box
        corners = (Point(x, y) for x in (left, right) for y in (bottom, top))
        back = self.laid.inverse
        places = [back.apply(corner).floats() for corner in corners]
        xs, ys = [x for x, _ in places], [y for _, y in places]
        return min(xs), min(ys), max(xs), max(ys)


def _covered(assembly: Assembly) -> list[tuple[int, ...]]:
    """For each joint those whose lines its panels cover, which have to be glued before it."""
    covers: dict[tuple[PanelKey, Face], list[_Cover]] = {}
    lines: dict[tuple[PanelKey, Face], list[tuple[int, Segment]]] = {}
    for number, glued in enumerate(assembly.joints):
        ends = ((glued.joint.glue, glued.glued), (glued.joint.to, glued.to))
        # Each of the two panels covers the face of the other that it is glued to.
        for (near, panel), (far, other) in (ends, ends[::-1]):
            laid = laying(_line(near), _line(far), flipped=near.face is far.face)
            cover = _Cover(number, assembly.divisions[other[0]].panels[other[1]], laid)
            covers.setdefault((panel, near.face), []).append(cover)
            lines.setdefault((panel, near.face), []).append((number, _line(near)))
    found: list[set[int]] = [set() for _ in assembly.joints]
    for key, over in covers.items():
        under = lines[key]
        boxes = [cover.box for cover in over] + [line.box() for _, line in under]
        for i, j in overlapping(boxes, MEETS_MM):
            if not i < len(over) <= j:
                continue
            cover, (number, line) = over[i], under[j - len(over)]
            if _pressed_together(assembly.joints[cover.joint], assembly.joints[number]):
                continue
            there = Segment(cover.laid.apply(line.start), cover.laid.apply(line.end))
            if _under(there, cover.panel):
                found[cover.joint].add(number)
    return [tuple(sorted(others)) for others in found]


def _pressed_together(one: GluedPanels, other: GluedPanels) -> bool:
    """Whether two joints, or one and itself, are lines of glue between the same two panels."""
    return {one.glued, one.to} == {other.glued, other.to}


def _line(end: JointEnd) -> Segment:
    return Segment(end.start, end.end)


def _under(line: Segment, panel: Panel) -> bool:
    """Whether a stretch of a straight line lies inside a panel, not only along its edge."""
    rim = [s for path in (panel.ring, *panel.holes) for s in path.segments]
    shares = {0.0, 1.0}
    for segment in rim:
        for meeting in meetings(line, segment, MEETS_MM):
            if isinstance(meeting, Overlap):
                shares.update((meeting.start, meeting.end))
            else:
                shares.add(meeting.first)
    for low, high in pairwise(sorted(shares)):
        if (high - low) * float(line.length) <= MEETS_MM:
            continue
        middle = line.at((low + high) / 2.0)
        along = any(share_of(segment, middle, MEETS_MM) is not None for segment in rim)
        if not along and lies_on(panel, middle):
            return True
    return False
