"""This module puts a design's loops into numbers: folds as unknowns, loops as conditions to meet.

Going round a loop is a product of turns about lines of the flat paper.  Where a
joint leads from one piece to another, the lines beyond it are laid into the
coordinates of the loop's first panel; what the joints leave over at the end is a
fixed motion, `rest`.  Loops of equally many turns are kept together, so that all
of them are reckoned at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from ..design.pieces import Sense, Touch
from ..geometry import Point, Segment
from ..measures.exact import MEETS_MM
from ..panels import Assembly
from .closing import flat_step, slack_of
from .isometry import IDENTITY, Isometry
from .loops import Loop, PanelKey, Round, Step, loops_of, way_between
from .skeleton import HingeKey

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, kw_only=True, eq=False)
class Rounds:
    """Conditions of equally many turns: m of them, k turns each.

    `numbers` [m] are their places among all conditions.  Turn i of condition j
    is about the line through `spots` [k, 2, m] along the unit vector `ways`
    [k, 2, m] of the flat paper, right-handed by `signs` [k, m] times the fold's
    own turn; `folds` [k, m] are the columns of the unknowns.  The product of all
    turns and of the motion `rest_rows` [3, 3, m], `rest_shift` [3, m] has to
    turn nothing (asked where `turns`) and to bring the place `spot_from` [3, m]
    to `spot_to` [3, m] (asked where `meets`).  `reach` [m] is how far the loop's
    folds reach from that place, in mm; `weight` [m] how much what is left over
    counts; `row` is the first row of the residual.
    """

    numbers: Ints
    folds: Ints
    signs: Floats
    ways: Floats
    spots: Floats
    rest_rows: Floats
    rest_shift: Floats
    spot_from: Floats
    spot_to: Floats
    reach: Floats
    weight: Floats
    turns: bool
    meets: bool
    row: int

    @property
    def count(self) -> int:
        """How many conditions there are."""
        return int(self.folds.shape[1])

    @property
    def height(self) -> int:
        """How many rows each condition has."""
        return 3 * (self.turns + self.meets)

    @cached_property
    def matrices(self) -> tuple[Floats, Floats, Floats, Floats]:
        """The turns as matrices: what stays, what goes with the cosine and with the sine.

        Each is [2, k, m, 4, 4].  The first of the two moves places (x, y, z, 1), by the angle;
        the other is what a quaternion, a row of four, is multiplied by, by half of
        it.  The last, [k, m, 4, 2], has the way of each line and the spot on it.
        """
        length, count = self.folds.shape
        (ux, uy), (px, py) = self.ways.transpose(1, 0, 2), self.spots.transpose(1, 0, 2)
        still, along, across = np.zeros((3, 2, length, count, 4, 4))
        # The formula of Rodrigues, 1 + sin K + (1 - cos) K K, with K K = u u - 1.
        still[0, :, :, 0, 0], still[0, :, :, 1, 1] = ux * ux, uy * uy
        still[0, :, :, 0, 1] = still[0, :, :, 1, 0] = ux * uy
        still[0, :, :, 3, 3] = 1.0
        along[0, :, :, 0, 0], along[0, :, :, 1, 1] = uy * uy, ux * ux
        along[0, :, :, 0, 1] = along[0, :, :, 1, 0] = -ux * uy
        along[0, :, :, 2, 2] = 1.0
        across[0, :, :, 0, 2], across[0, :, :, 1, 2] = uy, -ux
        across[0, :, :, 2, 0], across[0, :, :, 2, 1] = -uy, ux
        # The spot stays where it is.
        off = px * uy - py * ux
        still[0, :, :, 0, 3], still[0, :, :, 1, 3] = off * uy, -off * ux
        along[0, :, :, 0, 3], along[0, :, :, 1, 3] = -off * uy, off * ux
        across[0, :, :, 2, 3] = off
        along[1] = np.eye(4)
        across[1, :, :, 0, 1] = across[1, :, :, 3, 2] = ux
        across[1, :, :, 1, 0] = across[1, :, :, 2, 3] = -ux
        across[1, :, :, 0, 2] = across[1, :, :, 1, 3] = uy
        across[1, :, :, 2, 0] = across[1, :, :, 3, 1] = -uy
        lines = np.zeros((length, count, 4, 2))
        lines[..., 0, 0], lines[..., 1, 0] = ux, uy
        lines[..., 0, 1], lines[..., 1, 1], lines[..., 3, 1] = px, py, 1.0
        return still, along, across, lines

    @cached_property
    def landed(self) -> Floats:
        """The same place as `landing`, [m, 4, 1] with a 1 at its end."""
        return np.concatenate([self.landing, np.ones((1, self.count))]).T[..., None]

    @cached_property
    def landing(self) -> Floats:
        """Where the rest alone brings `spot_from`, [3, m]."""
        landing: Floats = np.einsum("ijm,jm->im", self.rest_rows, self.spot_from)
        return landing + self.rest_shift

    @cached_property
    def rest_turn(self) -> Floats:
        """The rest's rotation as quaternions, [4, m]."""
        rows = self.rest_rows
        half = 0.5 * np.arctan2(rows[1, 0], rows[0, 0])
        cosine, sine, none = np.cos(half), np.sin(half), np.zeros(self.count)
        # What turns the paper over is half a turn about a line of the flat paper.
        over = rows[2, 2] < 0.0
        found: Floats = np.where(
            over, np.stack([none, cosine, sine, none]), np.stack([cosine, none, none, sine])
        )
        return found

    @cached_property
    def rest_by(self) -> Floats:
        """What a quaternion, a row of four, is multiplied by for the same, [m, 4, 4]."""
        w, x, y, z = self.rest_turn
        return np.stack(
            [
                np.stack([w, x, y, z], axis=1),
                np.stack([-x, w, -z, y], axis=1),
                np.stack([-y, z, w, -x], axis=1),
                np.stack([-z, -y, x, w], axis=1),
            ],
            axis=1,
        )

    @cached_property
    def joints_turn(self) -> bool:
        """Whether any rest has a rotation."""
        return bool((self.rest_turn[0] != 1.0).any())

    @cached_property
    def rows(self) -> Ints:
        """The rows of each condition, [height, m]."""
        first = self.row + self.count * np.arange(self.height)
        rows: Ints = first[:, None] + np.arange(self.count)
        return rows


@dataclass(frozen=True, kw_only=True, eq=False)
class Linkage:
    """Everything that turns in a design, in numbers.

    `hinges` names the unknowns in order; `closed` has the angle of each in the
    closed pose, in radians.  `size` is the length that residuals are divided by,
    the largest reach of a loop in mm; `height` the number of rows of the residual.  `touches` are
    those of `rounds` that come last: two places each.
    """

    assembly: Assembly
    loops: tuple[Loop, ...]
    hinges: tuple[HingeKey, ...]
    closed: Floats
    rounds: tuple[Rounds, ...]
    size: float
    height: int

    @cached_property
    def column(self) -> Mapping[HingeKey, int]:
        """The column of each hinge."""
        return {key: number for number, key in enumerate(self.hinges)}

    @cached_property
    def pairs(self) -> tuple[Ints, Ints]:
        """The two columns of a square's or a curvature's entries, as `closure` orders them."""
        first, second = [], []
        for one in self.rounds:
            shape = (len(one.folds), *one.folds.shape)
            first.append(np.broadcast_to(one.folds[:, None], shape).ravel())
            second.append(np.broadcast_to(one.folds[None], shape).ravel())
        return _joined(first), _joined(second)


def _joined(parts: Sequence[Ints]) -> Ints:
    return np.concatenate(parts) if parts else np.zeros(0, dtype=np.intp)


def linkage_of(assembly: Assembly, loops: Sequence[Loop] | None = None) -> Linkage:
    """The numbers of an assembly's loops, or of some of them."""
    kept = tuple(loops_of(assembly) if loops is None else loops)
    hinges = tuple(
        (name, hinge.index)
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
    )
    column = {key: number for number, key in enumerate(hinges)}
    every = [hinge for division in assembly.divisions.values() for hinge in division.hinges]
    rings = [_ring(loop, column) for loop in kept]
    rounds, height = _rounds(rings)
    return Linkage(
        assembly=assembly,
        loops=kept,
        hinges=hinges,
        closed=np.radians(np.array([float(hinge.angle) for hinge in every], dtype=float)),
        rounds=rounds,
        size=max((ring.reach for ring in rings), default=1.0),
        height=height,
    )


def giving(linkage: Linkage, weight: float) -> Linkage:
    """The same mechanism, in which all count so much more but loops whose joints have slack."""
    slack = [slack_of(loop) > 0.0 for loop in linkage.loops]
    if all(slack) or not any(slack):
        return linkage
    loose = np.array(slack)

    def weighted(one: Rounds) -> Rounds:
        # Touches come after all loops and give nothing.
        some = np.append(loose, False)[np.minimum(one.numbers, len(loose))]
        return replace(one, weight=np.where(some, one.weight, weight))

    return replace(linkage, rounds=tuple(weighted(one) for one in linkage.rounds))


def with_touches(linkage: Linkage, touches: Sequence[TouchEnds]) -> Linkage:
    """The same mechanism with pairs of lines that have to coincide besides."""
    rings = [_ring(loop, linkage.column) for loop in linkage.loops]
    for touch in touches:
        rings += _touching(linkage, touch)
    rounds, height = _rounds(rings)
    return Linkage(
        assembly=linkage.assembly,
        loops=linkage.loops,
        hinges=linkage.hinges,
        closed=linkage.closed,
        rounds=rounds,
        size=max((ring.reach for ring in rings), default=1.0),
        height=height,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class TouchEnds:
    """A touch with the panels that its two lines lie on."""

    touch: Touch
    line: PanelKey
    to: PanelKey


@dataclass(frozen=True, kw_only=True, slots=True)
class _Ring:
    """One condition as plain numbers, before it is put beside its like."""

    turns: tuple[tuple[int, float, float, float, float, float], ...]
    rest: Isometry
    spot_from: tuple[float, float]
    spot_to: tuple[float, float]
    reach: float
    turning: bool
    meeting: bool


_Turns = tuple[tuple[int, float, float, float, float, float], ...]


def _turns(steps: Sequence[Step], column: Mapping[HingeKey, int]) -> tuple[_Turns, Isometry]:
    """The turns on a way, in the coordinates of its first panel's piece, and the rest."""
    turns = []
    laid = IDENTITY
    for step in steps:
        if step.hinge is None:
            laid = laid @ flat_step(step)
            continue
        line = step.hinge.line
        (x0, y0), (x1, y1) = line.start.floats(), line.end.floats()
        if laid is not IDENTITY:
            (x0, y0), (x1, y1) = laid.apply(line.start).floats(), laid.apply(line.end).floats()
        length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
        # A valley raises the panel beyond it: seen along the line the one on the
        # left rises with a right-handed turn.
        raised = (step.after[1] == step.hinge.left) == (step.hinge.sense is Sense.VALLEY)
        key = (step.after[0], step.hinge.index)
        sign = 1.0 if raised else -1.0
        turns.append((column[key], sign, (x1 - x0) / length, (y1 - y0) / length, x0, y0))
    return tuple(turns), laid


def _ring(loop: Loop, column: Mapping[HingeKey, int]) -> _Ring:
    turns, rest = _turns(loop.steps, column)
    ends = _ends(loop.steps)
    if loop.round is Round.JOINT:
        x = sum(end[0] for end in ends) / len(ends)
        y = sum(end[1] for end in ends) / len(ends)
    else:
        x, y = loop.at.floats()
    reach = max(((a - x) ** 2 + (b - y) ** 2) ** 0.5 for a, b in ends)
    return _Ring(
        turns=turns,
        rest=rest,
        spot_from=(x, y),
        spot_to=(x, y),
        reach=max(reach, MEETS_MM),
        turning=True,
        # All lines of a vertex run through it, so that it never leaves its place.
        meeting=loop.round is not Round.VERTEX,
    )


def _ends(steps: Sequence[Step]) -> list[tuple[float, float]]:
    """The ends of the hinges and the joints on a way, in the coordinates of its first panel."""
    ends = []
    laid = IDENTITY
    for step in steps:
        if step.hinge is None:
            laid = laid @ flat_step(step)
        for end in step.ends:
            ends.append((end if laid is IDENTITY else laid.apply(end)).floats())
    return ends


def _touching(linkage: Linkage, touch: TouchEnds) -> list[_Ring]:
    """Two conditions: each end of the one line has to come to that of the other."""
    steps = way_between(linkage.assembly, touch.to, touch.line)
    if steps is None:
        return []
    turns, rest = _turns(steps, linkage.column)
    line = Segment(touch.touch.line.start, touch.touch.line.end)
    to = Segment(touch.touch.to.start, touch.touch.to.end)
    reach = max([1.0, float(line.length), *(_far(end, to.start) for end in _ends(steps))])
    return [
        _Ring(
            turns=turns,
            rest=rest,
            spot_from=here.floats(),
            spot_to=there.floats(),
            reach=reach,
            turning=False,
            meeting=True,
        )
        for here, there in ((line.start, to.start), (line.end, to.end))
    ]


def _far(end: tuple[float, float], at: Point) -> float:
    x, y = at.floats()
    return float(np.hypot(end[0] - x, end[1] - y))


def _rounds(rings: Sequence[_Ring]) -> tuple[tuple[Rounds, ...], int]:
    kinds: dict[tuple[int, bool, bool], list[int]] = {}
    for number, ring in enumerate(rings):
        kinds.setdefault((len(ring.turns), ring.turning, ring.meeting), []).append(number)
    found = []
    row = 0
    for (length, turning, meeting), numbers in kinds.items():
        some = [rings[number] for number in numbers]
        table = np.array([ring.turns for ring in some], dtype=float)
        table = np.ascontiguousarray(table.reshape(len(some), length, 6).transpose(1, 2, 0))
        rest = np.array([_row(ring.rest) for ring in some], dtype=float).T
        zeros = np.zeros(len(some))
        one = Rounds(
            numbers=np.array(numbers, dtype=np.intp),
            folds=table[:, 0].astype(np.intp),
            signs=table[:, 1],
            ways=table[:, 2:4],
            spots=table[:, 4:6],
            rest_rows=_space_rows(rest),
            rest_shift=np.stack([rest[4], rest[5], zeros]),
            spot_from=np.array([(*ring.spot_from, 0.0) for ring in some], dtype=float).T,
            spot_to=np.array([(*ring.spot_to, 0.0) for ring in some], dtype=float).T,
            reach=np.array([ring.reach for ring in some], dtype=float),
            weight=np.ones(len(some)),
            turns=turning,
            meets=meeting,
            row=row,
        )
        row += one.height * one.count
        found.append(one)
    return tuple(found), row


def _row(rest: Isometry) -> tuple[float, ...]:
    return (
        float(rest.a),
        float(rest.b),
        float(rest.c),
        float(rest.d),
        float(rest.tx),
        float(rest.ty),
    )


def _space_rows(rest: Floats) -> Floats:
    """The rotations in space that move the flat paper as isometries of the plane do."""
    rows = np.zeros((3, 3, rest.shape[1]))
    rows[0, 0], rows[0, 1], rows[1, 0], rows[1, 1] = rest[:4]
    # One that flips the paper turns it over.
    rows[2, 2] = np.sign(rest[0] * rest[3] - rest[1] * rest[2])
    return rows
