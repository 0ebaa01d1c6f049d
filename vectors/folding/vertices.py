"""This module holds the rules for folds that meet at an inner vertex and are all turned shut.

Kawasaki's theorem: the sheet folds flat round a vertex just if every other
sector angle adds to 180 degrees.  Maekawa's: mountains and valleys then differ
by two.  Both are necessary at each vertex and do not yet prove the whole sheet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..design.pieces import Sense
from ..geometry import Point, Vector
from .loops import Loop, Round, Step


@dataclass(frozen=True, kw_only=True, slots=True)
class VertexFolds:
    """The folds turned shut at an inner vertex, clockwise.

    `sectors` are the angles in degrees from each fold to the next one;
    `alternate` the sums of every other one, which must both be 180.
    """

    at: Point
    steps: tuple[Step, ...]
    sectors: tuple[float, ...]
    mountains: int
    valleys: int

    @property
    def alternate(self) -> tuple[float, float]:
        """The sums of the first, third, ... and of the second, fourth, ... sector, in degrees."""
        return math.fsum(self.sectors[::2]), math.fsum(self.sectors[1::2])

    @property
    def kawasaki(self) -> float:
        """The alternating sum of the sectors in degrees, 0 where the vertex can fold flat."""
        first, second = self.alternate
        return first - second

    @property
    def maekawa(self) -> bool:
        """Whether mountains and valleys differ by two."""
        return abs(self.mountains - self.valleys) == 2


def vertex_folds(loop: Loop) -> VertexFolds | None:
    """The folds of a loop round an inner vertex; None for other loops.

    None also where a fold is turned by other than 0 or 180 degrees: such a
    vertex does not lie flat, and the theorems do not speak of it.  Folds that
    are not turned in the closed pose do not count.
    """
    if loop.round is not Round.VERTEX:
        return None
    hinges = [(step, step.hinge) for step in loop.steps if step.hinge is not None]
    if any(hinge.angle not in (0, 180) for _, hinge in hinges):
        return None
    shut = [(step, hinge) for step, hinge in hinges if hinge.angle == 180]
    if not shut:
        return None
    directions = []
    for step, hinge in shut:
        along = hinge.line.end - hinge.line.start
        directions.append(along if step.outward else -along)
    return VertexFolds(
        at=loop.at,
        steps=tuple(step for step, _ in shut),
        sectors=sectors_between(directions),
        mountains=sum(hinge.sense is Sense.MOUNTAIN for _, hinge in shut),
        valleys=sum(hinge.sense is Sense.VALLEY for _, hinge in shut),
    )


def sectors_between(directions: list[Vector]) -> tuple[float, ...]:
    """The angles in degrees, (0, 360], from each direction clockwise to the next one round."""
    found = []
    for here, there in zip(directions, [*directions[1:], directions[0]], strict=True):
        turn = math.degrees(math.atan2(-float(here.cross(there)), float(here.dot(there))))
        found.append(turn if turn > 0.0 else turn + 360.0)
    return tuple(found)
