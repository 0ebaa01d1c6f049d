"""This module finds the knots of a piece: what the loops of its panels go round.

A loop of panels is a bounded face of the hinge graph.  It goes round one inner
vertex, where folds alone meet, or round one cluster of slits and openings that
touch.  A walk round a knot steps from fold end to fold end: from a fold that
leaves the knot it follows the boundary of the panel beside it, along slits and
edges, to the next fold.  Walks that touch the outline go round nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from ..geometry import Point, union_box
from .curves import Kind, Owner, told
from .faces import Plan
from .model import Crossing, Knot, KnotKind
from .noding import Noded


def knots_of(
    noded: Noded,
    plan: Plan,
    number_of: Mapping[int, int],
    hinge_of: Mapping[int, int],
) -> tuple[Knot, ...]:
    """The knots of a piece, by place from below, then from the left.

    `number_of` gives the panel of a face, `hinge_of` the hinge of an edge.
    """
    halves = (half for half in range(2 * len(plan.edges)) if half >> 1 in hinge_of)
    return by_place(knots_from(noded, plan, number_of, hinge_of, halves))


def by_place(knots: Iterable[tuple[int, Knot]]) -> tuple[Knot, ...]:
    """Knots from below, then from the left; of those at one place the first found first."""

    def place(found: tuple[int, Knot]) -> tuple[float, float, int]:
        first, knot = found
        return round(float(knot.at.y), 6), round(float(knot.at.x), 6), first

    return tuple(knot for _, knot in sorted(knots, key=place))


def knots_from(
    noded: Noded,
    plan: Plan,
    number_of: Mapping[int, int],
    hinge_of: Mapping[int, int],
    halves: Iterable[int],
) -> Iterator[tuple[int, Knot]]:
    """The knots that these half-edges of hinges leave, each with the first one that does."""
    done: set[int] = set()
    for half in halves:
        if half not in done:
            knot = _walk(noded, plan, number_of, hinge_of, half, done)
            if knot is not None:
                yield half, knot


def _walk(
    noded: Noded,
    plan: Plan,
    number_of: Mapping[int, int],
    hinge_of: Mapping[int, int],
    first: int,
    done: set[int],
) -> Knot | None:
    """The knot that the half-edge `first` leaves, or None where it is the outline's or no knot."""
    crossings: list[Crossing] = []
    owners: dict[Owner, None] = {}
    boxes: list[tuple[float, float, float, float]] = []
    half = first
    inner = True
    while True:
        # `half` leaves the knot along a fold.  Its way back runs to the knot with
        # the panel on the right of the fold; that panel's boundary leads on.
        done.add(half)
        hinge = hinge_of[half >> 1]
        crossings.append(
            Crossing(
                hinge=hinge,
                before=number_of[plan.face[half]],
                after=number_of[plan.face[half ^ 1]],
                outward=not half & 1,
            )
        )
        at = plan.tail(half)
        half = plan.following[half ^ 1]
        while half >> 1 not in hinge_of:
            owner = noded.curves[plan.edges[half >> 1].curve].owner
            if owner.kind is Kind.OUTLINE:
                inner = False
            owners.setdefault(owner)
            boxes.append(plan.edges[half >> 1].segment.box())
            half = plan.following[half]
        if half == first:
            break
    if not inner or cancel(crossings):
        return None
    if not owners:
        return vertex(noded.nodes[at], tuple(crossings))
    left, bottom, right, top = union_box(boxes)
    members = sorted(owners, key=lambda owner: (owner.kind is Kind.SLIT, owner.index))
    return Knot(
        name=", ".join(told(owner.kind.value, owner.name) for owner in members),
        kind=KnotKind.CLUSTER,
        at=Point((left + right) / 2.0, (bottom + top) / 2.0),
        crossings=tuple(crossings),
    )


def vertex(at: Point, crossings: tuple[Crossing, ...]) -> Knot:
    """The knot of an inner vertex, where folds alone meet."""
    return Knot(name=f"the vertex at {at.told()}", kind=KnotKind.VERTEX, at=at, crossings=crossings)


def cancel(crossings: Sequence[Crossing]) -> bool:
    """Whether a walk goes over hinges and straight back only, round a flap: no ring of panels."""
    left: list[int] = []
    for crossing in crossings:
        if left and left[-1] == crossing.hinge:
            left.pop()
        else:
            left.append(crossing.hinge)
    # The walk is a ring: what it ends with may cancel what it began with.
    while len(left) > 1 and left[0] == left[-1]:
        left = left[1:-1]
    return not left
