"""This module lists the loops of a design: rings of panels that must meet again when folded.

Each knot of a piece makes one loop, and so does each joint beyond those that
connect the pieces.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from ..geometry import Point, Segment
from ..panels import Assembly, Division, GluedPanels, Hinge, Knot, KnotKind, told

# A panel of the whole design: its piece and its index there.
PanelKey = tuple[str, int]


class Round(StrEnum):
    """What a loop goes round."""

    VERTEX = "vertex"
    CLUSTER = "cluster"
    JOINT = "joint"


@dataclass(frozen=True, kw_only=True, slots=True)
class Step:
    """One step round a loop: over a hinge, or over a joint, from panel `before` to `after`.

    Just one of `hinge` and `joint` is set.  `outward` tells of a hinge whether
    it leads away from the knot as it runs from start to end, and `forward` of
    a joint whether the step goes from the glued panel to the one it is glued to.
    """

    before: PanelKey
    after: PanelKey
    hinge: Hinge | None = None
    outward: bool = True
    joint: GluedPanels | None = None
    forward: bool = True

    @property
    def label(self) -> str:
        """The name of the hinge or the joint."""
        if self.hinge is not None:
            return self.hinge.label
        return "" if self.joint is None else told("joint", self.joint.joint.name)

    @property
    def ends(self) -> tuple[Point, Point]:
        """The two places that must meet, in the coordinates of the panel `after`'s piece."""
        if self.hinge is not None:
            return self.hinge.start, self.hinge.end
        line = self.joint_lines()[1]
        return line.start, line.end

    def joint_lines(self) -> tuple[Segment, Segment]:
        """The lines of a joint on the panels `before` and `after`.  ValueError for a hinge."""
        if self.joint is None:
            raise ValueError("a hinge has no joint lines")
        glue, to = self.joint.joint.glue, self.joint.joint.to
        lines = Segment(glue.start, glue.end), Segment(to.start, to.end)
        return lines if self.forward else (lines[1], lines[0])


@dataclass(frozen=True, kw_only=True, slots=True)
class Loop:
    """A ring of panels: its name, the piece it belongs to, a place to point at, its steps.

    The panel after the last step is the one before the first.
    """

    name: str
    piece: str
    round: Round
    at: Point
    steps: tuple[Step, ...]


def loops_of(assembly: Assembly) -> tuple[Loop, ...]:
    """All loops: those of each piece in order, then those that joints add."""
    found = [
        _round_knot(division, knot)
        for division in assembly.divisions.values()
        for knot in division.knots
    ]
    return (*found, *_joint_loops(assembly))


def _round_knot(division: Division, knot: Knot) -> Loop:
    piece = division.piece.name
    return Loop(
        name=knot.name,
        piece=piece,
        round=Round.VERTEX if knot.kind is KnotKind.VERTEX else Round.CLUSTER,
        at=knot.at,
        steps=tuple(
            Step(
                before=(piece, crossing.before),
                after=(piece, crossing.after),
                hinge=division.hinges[crossing.hinge],
                outward=crossing.outward,
            )
            for crossing in knot.crossings
        ),
    )


def _joint_loops(assembly: Assembly) -> list[Loop]:
    """A loop for each joint that joins what was joined already, the shortest way round."""
    group: dict[str, str] = {name: name for name in assembly.divisions}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    tree: list[GluedPanels] = []
    loops = []
    for joint in assembly.joints:
        first, second = root(joint.glued[0]), root(joint.to[0])
        if first != second:
            group[second] = first
            tree.append(joint)
            continue
        back = _way(assembly.divisions, tree, joint.to, joint.glued)
        if back is None:
            # A panel that was cut loose: that is a stop of the division.
            continue
        loops.append(
            Loop(
                name=told("joint", joint.joint.name),
                piece=joint.joint.glue.piece,
                round=Round.JOINT,
                at=joint.joint.glue.start,
                steps=(Step(before=joint.glued, after=joint.to, joint=joint), *back),
            )
        )
    return loops


# Joints by the panels that they hold, with whether the panel is the glued one.
JointsOver = Mapping[PanelKey, Sequence[tuple[GluedPanels, bool]]]


def joints_over(joints: Sequence[GluedPanels]) -> JointsOver:
    """The joints of each panel."""
    over: dict[PanelKey, list[tuple[GluedPanels, bool]]] = {}
    for joint in joints:
        over.setdefault(joint.glued, []).append((joint, True))
        over.setdefault(joint.to, []).append((joint, False))
    return over


def steps_from(
    here: PanelKey, divisions: Mapping[str, Division], over: JointsOver
) -> Iterator[Step]:
    """The steps that lead on from a panel: over its hinges by place, then over its joints."""
    piece, index = here
    division = divisions[piece]
    for number, beyond in division.neighbours[index]:
        yield Step(before=here, after=(piece, beyond), hinge=division.hinges[number])
    for joint, forward in over.get(here, ()):
        there = joint.to if forward else joint.glued
        yield Step(before=here, after=there, joint=joint, forward=forward)


def way_between(assembly: Assembly, start: PanelKey, goal: PanelKey) -> tuple[Step, ...] | None:
    """The fewest steps from one panel to another, over any joint; None where there is no way."""
    return _way(assembly.divisions, assembly.joints, start, goal)


def _way(
    divisions: Mapping[str, Division],
    joints: Sequence[GluedPanels],
    start: PanelKey,
    goal: PanelKey,
) -> tuple[Step, ...] | None:
    """The fewest steps from one panel to another, breadth first."""
    over = joints_over(joints)
    came: dict[PanelKey, Step | None] = {start: None}
    waiting = deque([start])
    while waiting and goal not in came:
        here = waiting.popleft()
        for onward in steps_from(here, divisions, over):
            if onward.after not in came:
                came[onward.after] = onward
                waiting.append(onward.after)
    if goal not in came:
        return None
    steps = []
    step = came[goal]
    while step is not None:
        steps.append(step)
        step = came[step.before]
    return tuple(reversed(steps))
