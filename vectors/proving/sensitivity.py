"""This module says how the gap of a loop that lies flat answers to errors of its lines.

Write the residual of a loop as the product R = S1 S2 ... Sn of its steps.  A
place p of the closed card, the end of a hinge, is missed by R p - p.  Let the
line of step k move by a small rigid motion of its own, with the displacement
field w.  A reflection in it then moves what it maps by twice the part of w that
counts, and all of it is carried to the closed card by the steps before,
P = S1 ... S(k-1).  What is left is the field of the line as it lies in the
closed card, P of it: the miss changes by

    2 det(P) (e0 (1 - s) + e1 s) across the line,

where e0 and e1 are the errors of the line's two ends, each square to it and
positive to the left, and s runs from 0 to 1 between them; off the line the
same field goes on as a rotation.  So two errors a line tell all of it, a
parallel shift and skew.  Where the loop closes, this is the exact derivative;
where it misses by a plain displacement, too.

The matrix G of the text books has one column, mm of gap for 1 mm of error, for
each end of each line.  Derived here from the product of reflections (belcastro
and Hull, 2002, as in the closing of a loop); checked by finite differences.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ..folding import Loop, Step
from ..folding.closing import flat_step
from ..folding.isometry import IDENTITY, Isometry
from ..geometry import Point, Segment

# A place or a displacement in the plane, in mm.
Pair = tuple[float, float]

# The line of a step: its piece, its fold (or its joint's step, below nought),
# the straight part of the fold.
LineKey = tuple[str, int, int]


@dataclass(frozen=True, kw_only=True, slots=True)
class LaidLine:
    """The line of a step where it lies in the closed card, from `start` to `end`.

    `factor` is how strongly what comes after it answers: 2 for a fold, 1 for a
    joint, negative where the steps before have turned the paper over.
    """

    key: LineKey
    start: Pair
    end: Pair
    factor: float

    @property
    def is_joint(self) -> bool:
        """Whether it is where a panel is glued on, not a fold."""
        return self.key[1] < 0

    def pulls(self, at: Pair) -> tuple[Pair, ...]:
        """The change of the miss at a place, for 1 mm of error at the start and at the end.

        A joint has a third column: 1 mm along its line.
        """
        ax, ay = self.start
        ux, uy = self.end[0] - ax, self.end[1] - ay
        length = math.hypot(ux, uy)
        ux, uy = ux / length, uy / length
        # Error at the end alone turns the line about its start by 1 / length.
        turned = (-(at[1] - ay) / length, (at[0] - ax) / length)
        shifted = (-uy, ux)
        first = (
            self.factor * (shifted[0] - turned[0]),
            self.factor * (shifted[1] - turned[1]),
        )
        second = (self.factor * turned[0], self.factor * turned[1])
        if not self.is_joint:
            return first, second
        # What slides along a line moves the same way on either side of the paper.
        return first, second, (ux, uy)


@dataclass(frozen=True, kw_only=True, slots=True)
class MeetingPlace:
    """A place where two panels should meet: where the loop puts it, and what it misses by."""

    at: Pair
    miss: Pair


@dataclass(frozen=True, kw_only=True, slots=True)
class Column:
    """One column of G: the error of one end of a line, and the gap that 1 mm of it makes.

    `end` is 0 at the line's start, 1 at its end, 2 for a slide along a joint.
    """

    key: LineKey
    end: int
    pull: Pair


def lies_flat(loop: Loop) -> bool:
    """Whether all folds of the loop are turned by 0 or 180 degrees, so that it lies in a plane."""
    return all(step.hinge is None or step.hinge.angle in (0, 180) for step in loop.steps)


def line_key(index: int, step: Step) -> LineKey:
    """The line that a step turns on: hinges on one straight part of a fold share it."""
    if step.hinge is not None:
        return step.before[0], step.hinge.fold, step.hinge.segment
    return step.before[0], -1 - index, 0


def laid_lines(loop: Loop, made: Mapping[LineKey, Segment] | None = None) -> tuple[LaidLine, ...]:
    """The lines of a loop that lies flat, one a step, where they lie in the closed card.

    `made` gives the line as it is made where that is longer than the fold, such
    as one setting of a fence for several folds; it lies on the same endless
    line.  Steps that are not turned are left out.  Raises ValueError for a loop
    that does not lie flat.
    """
    if not lies_flat(loop):
        raise ValueError("a loop that stands up in space has no flat lines")
    found = []
    for index, (step, before) in enumerate(zip(loop.steps, _frames(loop.steps), strict=False)):
        sign = -1.0 if before.flips else 1.0
        key = line_key(index, step)
        if step.hinge is None:
            line, factor = step.joint_lines()[0], sign
        elif step.hinge.angle == 180:
            line, factor = step.hinge.line, 2.0 * sign
        else:
            continue
        if made is not None:
            line = made.get(key, line)
        found.append(
            LaidLine(
                key=key,
                start=before.apply(line.start).floats(),
                end=before.apply(line.end).floats(),
                factor=factor,
            )
        )
    return tuple(found)


def meeting_places(loop: Loop) -> tuple[MeetingPlace, ...]:
    """The corners of the hull of all hinge ends of a loop, as they lie in the closed card.

    The miss is an affine map of the place, so its length is largest at a corner,
    whatever the errors of the lines are: the other ends need not be looked at.
    """
    frames = list(_frames(loop.steps))
    residual = frames[-1]
    laid = (
        after.apply(end)
        for step, after in zip(loop.steps, frames[1:], strict=True)
        for end in step.ends
    )
    ends = {_rounded(place): place for place in laid}
    found = []
    for corner in _hull(sorted(ends)):
        place = ends[corner]
        reached = residual.apply(place)
        found.append(MeetingPlace(at=reached.floats(), miss=_pair(reached, place)))
    return tuple(found)


def sensitivity(loop: Loop, at: Pair) -> tuple[Column, ...]:
    """The matrix G of a loop that lies flat at a place of the closed card: two columns a line.

    A line that the loop passes more than once has one pair of columns, the sum.
    Raises ValueError for a loop that does not lie flat.
    """
    return columns_of(laid_lines(loop), at)


def columns_of(lines: Sequence[LaidLine], at: Pair) -> tuple[Column, ...]:
    """The columns of laid lines at a place, those of one line added up."""
    sums: dict[tuple[LineKey, int], Pair] = {}
    for line in lines:
        for end, (x, y) in enumerate(line.pulls(at)):
            old = sums.get((line.key, end), (0.0, 0.0))
            sums[line.key, end] = (old[0] + x, old[1] + y)
    return tuple(Column(key=key, end=end, pull=pull) for (key, end), pull in sums.items())


def _frames(steps: Sequence[Step]) -> Iterator[Isometry]:
    """The map from the panel before each step to the first panel, and last the residual."""
    here = IDENTITY
    yield here
    for step in steps:
        here = here @ flat_step(step)
        yield here


def _pair(to: Point, start: Point) -> Pair:
    # Subtracted before rounding, so that a miss of a hair is not lost.
    by = to - start
    return float(by.x), float(by.y)


def _rounded(at: Point) -> Pair:
    x, y = at.floats()
    # Ends that coincide in the closed card are one place; adding 0 clears -0.0.
    return round(x, 9) + 0.0, round(y, 9) + 0.0


def _hull(places: Sequence[Pair]) -> list[Pair]:
    """The corners of the convex hull of places that are sorted (monotone chain, Andrew 1979)."""
    if len(places) <= 2:
        return list(places)
    chains: list[list[Pair]] = []
    for run in (places, places[::-1]):
        chain: list[Pair] = []
        for place in run:
            while len(chain) > 1 and _left_turn(chain[-2], chain[-1], place) <= 0.0:
                chain.pop()
            chain.append(place)
        chains.append(chain[:-1])
    return [*chains[0], *chains[1]]


def _left_turn(a: Pair, b: Pair, c: Pair) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
