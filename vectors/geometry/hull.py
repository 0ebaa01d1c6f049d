"""This module finds the convex hull of places in the plane, and how far a place is inside it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

Place2 = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Margin:
    """How far a place lies inside a convex hull, in mm, negative outside, and the nearest edge.

    The ends of the edge run anticlockwise; both are one place where the hull is one.
    """

    mm: float
    edge: tuple[Place2, Place2]


def convex_hull(places: Iterable[Place2], within: float = 0.0) -> tuple[Place2, ...]:
    """The corners of the convex hull, anticlockwise, from the leftmost lowest one on.

    Corners that stand out by no more than `within` mm from the line of their neighbours, or
    that are no farther from the one before, are left out.  Places on one line have two corners,
    places all in one spot one.  The monotone chain (Andrew 1979).
    """
    ordered = sorted(set(places))
    if len(ordered) < 3:
        return _simplified(ordered, within)
    return _simplified([*_chain(ordered)[:-1], *_chain(ordered[::-1])[:-1]], within)


def _chain(ordered: Sequence[Place2]) -> list[Place2]:
    chain: list[Place2] = []
    for at in ordered:
        while len(chain) > 1 and _left_of(chain[-2], chain[-1], at) <= 0.0:
            chain.pop()
        chain.append(at)
    return chain


def _simplified(ring: Sequence[Place2], within: float) -> tuple[Place2, ...]:
    """A convex ring without the corners that are none but for rounding.

    It is gone round after the hull was found: among places in order of x and y two that are
    one but for rounding may stand in either order.
    """
    kept: list[Place2] = []
    for at in ring:
        if not kept or math.dist(kept[-1], at) > within:
            kept.append(at)
    while len(kept) > 1 and math.dist(kept[-1], kept[0]) <= within:
        kept.pop()
    here = passed = 0
    while passed < len(kept) and len(kept) > 2:
        before, after = kept[here - 1], kept[(here + 1) % len(kept)]
        if _stands_out(before, kept[here], after) <= within:
            del kept[here]
            # The one before has another neighbour now.
            here, passed = (here - 1) % len(kept), max(0, passed - 1)
        else:
            here, passed = (here + 1) % len(kept), passed + 1
    return tuple(kept)


def _stands_out(a: Place2, b: Place2, c: Place2) -> float:
    """How far b lies to the right of the line from a to c, in mm."""
    return _left_of(a, b, c) / math.dist(a, c) if a != c else 0.0


def margin_in(hull: Sequence[Place2], at: Place2) -> Margin:
    """How far a place lies inside a hull with its corners anticlockwise.

    Inside, the distance from the nearest edge; outside, on an edge, and wherever the hull has
    no inside, the distance to the nearest place of it, not above 0.  Raises ValueError for a
    hull of no corner.
    """
    if not hull:
        raise ValueError("a hull of nothing has no margin")
    edges = list(zip(hull, (*hull[1:], hull[0]), strict=True))
    inside = len(hull) > 2 and all(_left_of(a, b, at) > 0.0 for a, b in edges)
    far, edge = min(((_off(a, b, at), (a, b)) for a, b in edges), key=lambda pair: pair[0])
    return Margin(far if inside else 0.0 - far, edge)


def _left_of(a: Place2, b: Place2, at: Place2) -> float:
    return (b[0] - a[0]) * (at[1] - a[1]) - (b[1] - a[1]) * (at[0] - a[0])


def _off(a: Place2, b: Place2, at: Place2) -> float:
    """The distance of a place from a stretch."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    if square == 0.0:
        return math.dist(a, at)
    share = ((at[0] - a[0]) * dx + (at[1] - a[1]) * dy) / square
    share = min(1.0, max(0.0, share))
    return math.dist(at, (a[0] + share * dx, a[1] + share * dy))
