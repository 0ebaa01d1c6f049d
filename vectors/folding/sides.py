"""This module compares the two sides of a loop of parallel folds.

Round a slit some folds lead away to one side and some to the other.  Each side
is a strip between the same two panels; laid shut, each gives the distance from
its first fold to its last.  The side with fewer folds is the reference: if the
other side reaches farther than it must, it buckles, if less far, it gapes.
"""

from __future__ import annotations

from dataclasses import dataclass

from ..geometry import Segment, Vector
from ..measures.exact import MEETS_MM, ROUNDING_MM
from .isometry import IDENTITY, Isometry, reflection
from .loops import Loop, Step


@dataclass(frozen=True, kw_only=True, slots=True)
class Sides:
    """The two sides of a loop, as steps in the order of the walk.

    `required_mm` is the distance, in the closed pose, from the other side's
    first fold to its last that the reference demands, `reached_mm` the one that
    the other side gives; both are signed alike.  `strip_mm` is the length of
    the other side between those two folds as it lies flat.
    """

    reference: tuple[Step, ...]
    other: tuple[Step, ...]
    required_mm: float
    reached_mm: float
    strip_mm: float


def excess(sides: Sides) -> float:
    """How much farther the other side reaches than it must, in mm; negative when it falls short.

    Measured in the direction in which it must reach; where the two folds must
    lie on each other, any distance is too long.
    """
    difference = sides.reached_mm - sides.required_mm
    if abs(sides.required_mm) <= MEETS_MM:
        return abs(difference)
    return difference if sides.required_mm > 0.0 else -difference


def sides_of(loop: Loop) -> Sides | None:
    """The two sides of a loop, or None where its folds are not parallel or do not part in two."""
    steps = [step for step in loop.steps if step.hinge is not None and step.hinge.angle == 180]
    if len(steps) < 2 or any(step.joint is not None for step in loop.steps):
        return None
    along = _direction(steps[0])
    if not all(_parallel(along, _direction(step)) for step in steps):
        return None
    runs = _two_runs(steps, [along.dot(_direction(step)) > 0 for step in steps])
    if runs is None:
        return None
    reference, other = sorted(runs, key=lambda run: (len(run), min(_file_order(s) for s in run)))
    there, back = _product(other), _product(reference).inverse
    normal = along.left
    unit = float(normal.length)
    first, last = _line(other[0]).start, _line(other[-1]).start

    def span(motion: Isometry) -> float:
        length = float((motion.apply(last) - first).dot(normal)) / unit
        # What rounding leaves of nothing is nothing.
        return 0.0 if abs(length) <= ROUNDING_MM else length

    return Sides(
        reference=tuple(reference),
        other=tuple(other),
        required_mm=span(back),
        reached_mm=span(there),
        strip_mm=abs(float((last - first).dot(normal))) / unit,
    )


def _line(step: Step) -> Segment:
    if step.hinge is None:
        raise ValueError("a joint has no fold line")
    return step.hinge.line


def _direction(step: Step) -> Vector:
    """The direction of a step's fold as it leads away from the knot."""
    line = _line(step)
    along = line.end - line.start
    return along if step.outward else -along


def _file_order(step: Step) -> int:
    return 0 if step.hinge is None else step.hinge.fold


def _parallel(a: Vector, b: Vector) -> bool:
    # Over the length of the shorter line they run together within what counts
    # as meeting: coordinates that were rounded for a file are as parallel as that.
    return abs(float(a.cross(b))) <= MEETS_MM * max(float(a.length), float(b.length))


def _two_runs(steps: list[Step], ahead: list[bool]) -> tuple[list[Step], list[Step]] | None:
    """The steps that lead one way and those that lead the other, if each lie together."""
    changes = [i for i in range(len(steps)) if ahead[i] != ahead[i - 1]]
    if len(changes) != 2:
        return None
    low, high = changes
    return steps[low:high], [*steps[high:], *steps[:low]]


def _product(steps: list[Step]) -> Isometry:
    here = IDENTITY
    for step in steps:
        here = here @ reflection(_line(step))
    return here
