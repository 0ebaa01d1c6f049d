"""This module finds stretches of lines: where a line runs over paper, where several do at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..measures.exact import ROUNDING_MM
from .paper import Floats, Ints


@dataclass(frozen=True, kw_only=True, eq=False)
class Ends:
    """The ends of intervals: each on the line of an item, in a group of that item, at a place.

    The intervals of a group of an item do not overlap, so they are the ends two by two as
    they follow along the line.
    """

    item: Ints
    group: Ints
    at: Floats


@dataclass(frozen=True, kw_only=True, eq=False)
class Steps:
    """The places along all lines where an interval begins or ends, in order, items one by one.

    `covered` counts the groups that have an interval from there to the next place, and
    `chosen` those of them that were chosen.
    """

    item: Ints
    at: Floats
    covered: Ints
    chosen: Ints


def joined(*ends: Ends) -> Ends:
    """All ends together."""
    return Ends(
        item=np.concatenate([some.item for some in ends]),
        group=np.concatenate([some.group for some in ends]),
        at=np.concatenate([some.at for some in ends]),
    )


def level_ends(
    item: Ints,
    heights: tuple[Floats, Floats],
    along: tuple[Floats, Floats],
    level: Floats,
    group: int,
) -> Ends:
    """Where the boundaries of panels cross the level of a height, edge by edge.

    `heights` and `along` hold the two coordinates at the start and at the end of each edge.
    An end that lies on the level counts as below it: so a corner is met once or not at all.
    """
    first, last = heights
    crosses = (first > level) != (last > level)
    h0, h1 = first[crosses], last[crosses]
    a0, a1 = along[0][crosses], along[1][crosses]
    at = a0 + (level[crosses] - h0) / (h1 - h0) * (a1 - a0)
    found = item[crosses]
    return Ends(item=found, group=np.full(found.size, group, dtype=np.intp), at=at)


def steps_of(ends: Ends, chosen: int) -> Steps:
    """Count along every line the groups that cover it, and those below the number `chosen`."""
    order = np.lexsort((ends.at, ends.group, ends.item))
    item, group, at = ends.item[order], ends.group[order], ends.at[order]
    opens = np.ones(item.size, dtype=np.intp)
    opens[1::2] = -1
    # Intervals that meet but for rounding are one: they must not end before the next begins.
    at = at - opens * ROUNDING_MM
    order = np.lexsort((at, item))
    item, group, at, opens = item[order], group[order], at[order], opens[order]
    return Steps(
        item=item,
        at=at,
        covered=np.cumsum(opens),
        chosen=np.cumsum(np.where(group < chosen, opens, 0)),
    )
