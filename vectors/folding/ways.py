"""This module asks whether a card folds from flat to closed without bending its paper.

Both ends of the way may close and yet no pose between them: then paper, or a
fold, has to bend on the way.  Each part of the mechanism that shares no loop
with the others is folded by one of its folds, with every fold turned in its own
sense; where one fold leads no such way, another may.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from .gaps import PoseGap
from .linkage import Ints, Linkage
from .nearest import Found, Search
from .parts import looped_parts, of_part
from .path import Aim, Passed, against, followed, free_of, shares_of
from .poses import meets, worst_gap

# How many poses of the way are looked at, and in large parts.
STEPS = 24
_FEW_STEPS = 6
_LARGE = 2000

# So many folds of a part are tried as the one that leads.
_LEADERS = 12

# For so many of them others are tried that lead out of flat paper.
_LED = 4

# Where no rigid way is found, how far it gapes is looked at here.
_LOOKED_AT = (0.25, 0.5, 0.75)

# A way that ends nearer than this to the closed pose, in radians, leads to it:
# its last step ends there.
_ARRIVES = 0.8

# A way whose end is this near to the closed pose, in radians, has come there.
_THERE = 0.01


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Closing:
    """The way of a card from flat to closed.

    `passed` are the poses on it, all folds in radians.  `bends` is the largest
    gap on it where no rigid way was found, at the share `bends_share`, and None
    where the card closes rigidly.
    """

    passed: tuple[Passed, ...]
    bends: PoseGap | None
    bends_share: float | None


def way_closed(linkage: Linkage) -> Closing:
    """The way from the flat paper to the closed card.  Raises TooLarge."""
    steps = STEPS if len(linkage.hinges) <= _LARGE else _FEW_STEPS
    # The very shares that a way is followed by.
    shares = shares_of(steps)
    turned = [share * linkage.closed for share in shares]
    worst: PoseGap | None = None
    worst_share: float | None = None
    for part in looped_parts(linkage):
        inner = of_part(linkage, part)
        way = _part_closed(inner, part, shares)
        for number, found in enumerate(way.founds):
            turned[number] = turned[number].copy()
            turned[number][part] = found.turned[part]
        if way.gap is not None and (worst is None or way.gap.mm > worst.mm):
            worst, worst_share = way.gap, way.share
    passed = tuple(
        Passed(
            share=share,
            found=Found(turned=angles, left=0.0, settled=True, factorisations=0),
        )
        for share, angles in zip(shares, turned, strict=True)
    )
    return Closing(passed=passed, bends=worst, bends_share=worst_share)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _PartWay:
    founds: tuple[Found, ...]
    gap: PoseGap | None
    share: float | None


def _part_closed(linkage: Linkage, part: Ints, shares: list[float]) -> _PartWay:
    """The way of one part: a rigid one, led by one of its folds, or else how far it bends."""
    closed = Found(turned=linkage.closed, left=0.0, settled=True, factorisations=0)
    leaders = list(_leaders(linkage, part))
    if not leaders:
        # Nothing of it is turned in the closed pose.
        return _PartWay(founds=(closed,) * len(shares), gap=None, share=None)
    others = np.setdiff1d(np.arange(len(linkage.hinges), dtype=np.intp), part)
    aims = [
        Aim(
            begun=0.0 * linkage.closed,
            target=linkage.closed.copy(),
            held=np.append(others, leader),
        )
        for leader in leaders
    ]
    # Most parts follow one of their folds at once; only where none does, more is tried.
    for aim, lead in [*((aim, False) for aim in aims), *((aim, True) for aim in aims[:_LED])]:
        passed = followed(linkage, aim, len(shares), rigid=True, lead=lead)
        # The first step out of flat paper may be longer than the first shares.
        way = [next((one for one in passed if one.share >= share), None) for share in shares]
        if all(
            one is not None and one.found.closes and not len(against(aim, one.found.turned, part))
            for one in way[:-1]
        ) and _arrives(linkage, passed, way, part):
            founds = [one.found for one in way[:-1] if one is not None]
            return _PartWay(founds=(*founds, closed), gap=None, share=None)
    return _bent(linkage, aims[0], part, shares)


def _arrives(
    linkage: Linkage, passed: tuple[Passed, ...], way: list[Passed | None], part: Ints
) -> bool:
    """Whether a way leads to the closed pose, or its last pose but one is about to be that."""
    end = passed[-1]
    if end.found.closes and not end.jumped and _off(linkage, end, part) <= _THERE:
        return True
    last = way[-2] if len(way) > 1 else way[-1]
    if last is None:
        return False
    return _off(linkage, last, part) <= _ARRIVES


def _off(linkage: Linkage, one: Passed, part: Ints) -> float:
    """How far a pose is from the closed one, in radians."""
    return float(np.abs(one.found.turned - linkage.closed)[part].max())


def _bent(linkage: Linkage, aim: Aim, part: Ints, shares: list[float]) -> _PartWay:
    """The poses with every fold turned alike, and the least gap that some of them leave."""
    gap: PoseGap | None = None
    gap_share: float | None = None
    founds = []
    for share in shares:
        target = aim.along(share)
        founds.append(Found(turned=target, left=0.0, settled=True, factorisations=0))
    for share in _LOOKED_AT:
        here = worst_gap(linkage, _least_open(linkage, aim, part, share))
        if here is not None and not meets(here) and (gap is None or here.mm > gap.mm):
            gap, gap_share = here, share
    return _PartWay(founds=tuple(founds), gap=gap, share=gap_share)


def _least_open(linkage: Linkage, aim: Aim, part: Ints, share: float) -> Found:
    """The pose that leaves least over of those in which no fold turns against its sense.

    Found from every fold turned alike; folds that would turn the wrong way stay
    flat, so that what is found is a bound from above.
    """
    target = aim.along(share)
    start, held = target, aim.held
    while True:
        free = free_of(linkage, held)
        found = Search(linkage, free).strained(start, target)
        wrong = against(aim, found.turned, free)
        if not len(wrong):
            return found
        held = np.union1d(held, wrong)
        start = np.clip(found.turned, 0.0, np.pi)


def _leaders(linkage: Linkage, part: Ints) -> Iterator[int]:
    """The folds that may lead, those that are turned farthest first, spread over the part."""
    turned = [int(column) for column in part if linkage.closed[column] > 0.0]
    turned.sort(key=lambda column: -linkage.closed[column])
    stride = max(1, len(turned) // _LEADERS)
    yield from turned[::stride][:_LEADERS]
