"""This module chooses, of the poses that close, the one that is meant.

Following the folds from flat or closed paper leads to a pose that is nearest among
those around it; there may be others.  Folds beyond shut are ruled out, for paper
does not pass through itself; then poses in which every fold turns in its own
sense come first, and of those the nearest.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from .closure import residual
from .linkage import Floats, Ints, Linkage, giving
from .nearest import Found, Search
from .parts import looped_parts, of_part
from .path import Aim, followed, free_of

# A fold farther than this beyond shut, or against its sense, in radians, is so and
# not by rounding.
_ROUNDING = 1e-7

# Folds whose angles differ by less than this, in radians, are shut together.
_ALIKE = 1e-6

# A pose counts as nearer only if its squared distance is less by this.
_NEARER = 1e-9

# So often folds beyond shut are shut and the rest is searched again.
_SHUTTINGS = 8

# How much a loop without slack counts beside one with it, where no pose closes: the
# one gapes by the square of this less than the other.
_RIGID_WEIGHT = 300.0

# In parts of so many folds or fewer more starts are tried where folds turn against
# their senses.
_TRIED_UP_TO = 16

# What a pose is chosen by: whether folds are beyond shut, whether any are turned
# against their sense, the squared distance.
_Rank = tuple[bool, bool, float]


def chosen(linkage: Linkage, aim: Aim, last: Found, steps: int) -> Found:
    """The pose that is meant, where the way from flat or closed paper ended at `last`.

    Each part of the mechanism is chosen by itself.  Raises TooLarge.
    """
    free = free_of(linkage, aim.held)
    parts = looped_parts(linkage, free)
    if not parts:
        return last
    direct = Search(linkage, free).nearest(_asked(aim), aim.target)
    turned, settled, doubtful = last.turned.copy(), True, parts
    if last.closes and direct.closes:
        doubtful = []
        for part in parts:
            rank, other = _rank(turned, aim, part), _rank(direct.turned, aim, part)
            if not _better(rank, other):
                turned[part], rank = direct.turned[part], other
            # One that is nearer but for folds beyond shut may be so with them shut too.
            if any(rank[:2]) or other[2] + _NEARER < rank[2]:
                doubtful.append(part)
    for part in doubtful:
        inner = replace(aim, held=np.setdiff1d(np.arange(len(turned), dtype=np.intp), part))
        own = of_part(linkage, part)
        # What was found for all loops was found for those of a part that has all of them.
        only = direct if own.height == linkage.height else None
        again = len(parts) > 1
        found = _part_chosen(own, inner, part, last, steps if again else None, only)
        turned[part] = found.turned[part]
        settled = settled and found.settled
    return _told(linkage, turned, replace(last, settled=settled))


def _part_chosen(
    linkage: Linkage, aim: Aim, part: Ints, last: Found, steps: int | None, direct: Found | None
) -> Found:
    """The pose of one part, which with `steps` is followed by itself too."""
    best: Found | None = None
    rank: _Rank | None = None
    for found in _closing(linkage, aim, last, steps, direct):
        here = _rank(found.turned, aim, part)
        if rank is None or _better(here, rank):
            best, rank = found, here
    if rank is not None and any(rank[:2]) and len(part) <= _TRIED_UP_TO:
        for found in _tried(linkage, aim, part):
            here = _rank(found.turned, aim, part)
            # One that is only nearer may be none that the paper comes to.
            if here[:2] < rank[:2] or (not any(here[:2]) and _better(here, rank)):
                best, rank = found, here
    return best if best is not None else _least_open(linkage, aim, last)


def _closing(
    linkage: Linkage, aim: Aim, last: Found, steps: int | None, direct: Found | None
) -> Iterator[Found]:
    """Poses that close, from several starts, each also with folds beyond shut brought back."""
    search = Search(linkage, free_of(linkage, aim.held))
    # First the one in whose last digits there is nothing of the number of steps.
    starts = [search.nearest(_asked(aim), aim.target) if direct is None else direct]
    starts.append(_told(linkage, _kept(last.turned, aim), last))
    if steps is not None:
        starts.append(followed(linkage, aim, steps)[-1].found)
    for found in starts:
        yield from _within(linkage, aim, found)


def _within(linkage: Linkage, aim: Aim, found: Found) -> Iterator[Found]:
    """A pose that closes, and those near it with folds that were beyond shut brought back."""
    if not found.closes:
        return
    yield found
    search = Search(linkage, free_of(linkage, aim.held))
    if not _beyond(found.turned, search.free).size:
        return
    # Turned once round less every panel is where it was.
    round_less = _kept(np.remainder(found.turned + np.pi, 2.0 * np.pi) - np.pi, aim)
    yield _told(linkage, round_less, found)
    for start in (found, search.nearest(round_less, aim.target)):
        shut = _shut(linkage, aim, start)
        if shut is not None:
            yield shut


def _tried(linkage: Linkage, aim: Aim, part: Ints) -> Iterator[Found]:
    """Poses that close, from starts with one fold flat or turned against its sense."""
    search = Search(linkage, free_of(linkage, aim.held))
    for fold in part:
        for factor in (0.0, -1.0):
            start = _asked(aim)
            start[fold] *= factor
            yield from _within(linkage, aim, search.nearest(start, aim.target))


def _shut(linkage: Linkage, aim: Aim, found: Found) -> Found | None:
    """The nearest pose with those folds shut that were beyond, the farthest ones first."""
    held, target = aim.held, aim.target
    for _ in range(_SHUTTINGS):
        if not found.closes:
            return None
        beyond = _beyond(found.turned, free_of(linkage, held))
        if not beyond.size:
            return _freed(linkage, aim, held, found)
        far = np.abs(found.turned[beyond])
        beyond = beyond[far >= far.max() - _ALIKE]
        held = np.union1d(held, beyond)
        target = target.copy()
        target[beyond] = np.copysign(np.pi, found.turned[beyond])
        start = np.clip(found.turned, -np.pi, np.pi)
        start[aim.held] = aim.target[aim.held]
        found = Search(linkage, free_of(linkage, held)).nearest(start, target)
    return None


def _freed(linkage: Linkage, aim: Aim, held: Ints, found: Found) -> Found:
    """The same with those folds freed again that need not be shut for what is nearest."""
    for fold in np.setdiff1d(held, aim.held):
        fewer = np.setdiff1d(held, fold)
        target = np.where(np.isin(np.arange(len(aim.target)), fewer), found.turned, aim.target)
        other = Search(linkage, free_of(linkage, fewer)).nearest(found.turned, target)
        if other.closes and not _beyond(other.turned, free_of(linkage, aim.held)).size:
            held, found = fewer, other
    return found


def _least_open(linkage: Linkage, aim: Aim, last: Found) -> Found:
    """The pose that leaves least over where none closes: from the way's end, or as asked for.

    What joints may take up is left to them as far as that serves.
    """
    linkage = giving(linkage, _RIGID_WEIGHT)
    search = Search(linkage, free_of(linkage, aim.held))
    ended = _kept(last.turned, aim)
    every = [search.strained(start, aim.target) for start in (ended, _asked(aim))]
    rested = [found for found in every if found.settled] or every[:1]
    return min(rested, key=lambda found: float((residual(linkage, found.turned) ** 2).sum()))


def _beyond(turned: Floats, free: Ints) -> Ints:
    return free[np.abs(turned[free]) > np.pi + _ROUNDING]


def _rank(turned: Floats, aim: Aim, part: Ints) -> _Rank:
    here, away = turned[part], (turned - aim.target)[part]
    beyond = bool((np.abs(here) > np.pi + _ROUNDING).any())
    against = bool((here < -_ROUNDING).any())
    return beyond, against, float(away @ away)


def _better(one: _Rank, other: _Rank) -> bool:
    return (*one[:2], one[2] + _NEARER) < other


def _asked(aim: Aim) -> Floats:
    return aim.target.copy()


def _kept(turned: Floats, aim: Aim) -> Floats:
    """The same with the held folds as they are asked for."""
    found = turned.copy()
    found[aim.held] = aim.target[aim.held]
    return found


def _told(linkage: Linkage, turned: Floats, like: Found) -> Found:
    left = residual(linkage, turned)
    return replace(like, turned=turned, left=float(np.abs(left).max(initial=0.0)))
