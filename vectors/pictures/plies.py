"""This module orders panels that lie on one another, as far as their folds and joints tell.

Of two panels that a fold turned shut joins, a valley lays front on front, so the
one whose back is seen lies above; a mountain lays back on back, and the one
whose front is seen does.  A glued panel lies on the face that it is glued to.
Panels that lie flat beside each other, over a fold that is not turned, are one
ply.  What lies in a pose as it does in the closed card keeps the order that it has
there.  What follows from these goes by them; the rest by the order of the panels.
"""

from __future__ import annotations

import heapq
from collections.abc import Iterable, Sequence

from ..design.pieces import Face, Sense
from .facets import Facet
from .scene import Crease, Glued, Laid

# So near to 0 or to 180 degrees a fold lies flat or is shut, for the order of plies.
_NEAR_DEG = 0.01


def plies_of(
    facets: Sequence[Facet],
    creases: Iterable[Crease],
    glued: Iterable[Glued],
    laid: Iterable[Laid] = (),
) -> tuple[int, ...]:
    """A number for each facet: of two that lie in one plane, the higher one is nearer the eye."""
    number = {facet.key: i for i, facet in enumerate(facets)}
    group = list(range(len(facets)))

    def root(i: int) -> int:
        while group[i] != i:
            group[i] = group[group[i]]
            i = group[i]
        return i

    above: list[tuple[int, int]] = []
    for crease in creases:
        if crease.first not in number or crease.second not in number:
            continue
        one, other = number[crease.first], number[crease.second]
        if abs(crease.turned) <= _NEAR_DEG:
            low, high = sorted((root(one), root(other)))
            group[high] = low
        elif abs(abs(crease.turned) - 180.0) <= _NEAR_DEG:
            above.append(_shut(facets, one, other, crease))
    for joint in glued:
        if joint.glued in number and joint.to in number:
            one, to = number[joint.glued], number[joint.to]
            above.append((one, to) if facets[to].face is joint.face else (to, one))
    for pair in laid:
        if pair.upper in number and pair.lower in number:
            upper, lower = number[pair.upper], number[pair.lower]
            above.append((upper, lower) if facets[lower].face is pair.face else (lower, upper))
    return _sorted([root(i) for i in range(len(facets))], above)


def _shut(facets: Sequence[Facet], one: int, other: int, crease: Crease) -> tuple[int, int]:
    """The upper and the lower one of two panels that a shut fold joins."""
    fronts_meet = (crease.sense is Sense.VALLEY) == (crease.turned > 0.0)
    upper_shows = Face.BACK if fronts_meet else Face.FRONT
    return (one, other) if facets[one].face is upper_shows else (other, one)


def _sorted(roots: Sequence[int], above: Iterable[tuple[int, int]]) -> tuple[int, ...]:
    """The place of each facet from below to above, those of one group at one place.

    Where what is known goes round in a circle, the first panel of those left
    is laid down all the same.
    """
    higher: dict[int, set[int]] = {root: set() for root in roots}
    for upper, lower in above:
        if roots[upper] != roots[lower]:
            higher[roots[lower]].add(roots[upper])
    below: dict[int, int] = dict.fromkeys(higher, 0)
    for uppers in higher.values():
        for upper in uppers:
            below[upper] += 1
    ready = [root for root, count in below.items() if count == 0]
    heapq.heapify(ready)
    left = dict.fromkeys(sorted(higher))
    place: dict[int, int] = {}
    while left:
        here = heapq.heappop(ready) if ready else next(iter(left))
        if here not in left:
            continue
        del left[here]
        place[here] = len(place)
        for upper in sorted(higher[here]):
            below[upper] -= 1
            if below[upper] == 0:
                heapq.heappush(ready, upper)
    return tuple(place[root] for root in roots)
