"""This module follows a pose as its held folds are turned, from a state that is known to one that is asked for.

Flat and closed paper is singular: many motions begin there.  Which one is meant
is told by the folds' senses, so that the first step out is a short one towards
every fold turned by one common share; from there on the way is followed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .linkage import Floats, Ints, Linkage
from .nearest import Found, Search

# How far along the way the first step out of a singular state leads.
LIFT_OFF = 0.02

# A step that leads farther than this from where it was aimed, in radians, may
# have left the way: it is halved.
_STRAY = 0.4

# A pose that leaves less than this over may close though no search says so, with
# folds flat or shut that are found within so many radians of it.
_NEARLY = 1e-3
_ALL_BUT = 0.06

# No step is halved below this share of the way.
_SHORTEST = 1.0 / 512.0


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Aim:
    """What is asked for: all folds at the start and at the end of the way, in radians.

    `begun` are the angles at the start, `target` those to be near to at the end;
    of the folds `held`, by column, both are kept all along the way.
    """

    begun: Floats
    target: Floats
    held: Ints

    def along(self, share: float) -> Floats:
        """The angles aimed at after this share of the way."""
        return self.begun + share * (self.target - self.begun)


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Passed:
    """A pose on the way: the share of it, and where the search came to."""

    share: float
    found: Found


def free_of(linkage: Linkage, held: Ints) -> Ints:
    """The columns of the folds that are not held."""
    return np.setdiff1d(np.arange(len(linkage.hinges), dtype=np.intp), held)


def followed(linkage: Linkage, aim: Aim, steps: int) -> tuple[Passed, ...]:
    """The poses passed on the way, the last one at its end.

    Where no pose closes, the one that leaves least over is passed instead.  The
    poses of a way that closes do not depend on the number of `steps`, only how
    many of them are told.  Raises TooLarge.
    """
    search = Search(linkage, free_of(linkage, aim.held))
    passed: list[Passed] = []
    shares = [LIFT_OFF, *(float(share) for share in np.linspace(0.0, 1.0, steps + 1)[1:])]
    if linkage.height == 0:
        return tuple(
            Passed(
                share=share,
                found=Found(turned=aim.along(share), left=0.0, settled=True, factorisations=0),
            )
            for share in shares
        )
    for share in shares:
        while True:
            here = passed[-1].share if passed else 0.0
            there = share
            while True:
                found = _onward(search, aim, passed, there)
                close = found.closes and _near(found, _guess(aim, passed, there))
                shorter = here + (there - here) / 2.0
                if close or there - here <= _SHORTEST or not passed:
                    break
                if not passed[-1].found.closes:
                    break
                there = shorter
            if not found.closes:
                there = share
                found = _strained(search, aim, passed, there)
            passed.append(Passed(share=there, found=found))
            if there >= share:
                break
    return tuple(passed)


def _guess(aim: Aim, passed: list[Passed], share: float) -> Floats:
    """Where the way leads on, from its last two poses."""
    target = aim.along(share)
    if not passed:
        return target
    last = passed[-1]
    before = passed[-2] if len(passed) > 1 else None
    old, older = (0.0, aim.begun) if before is None else (before.share, before.found.turned)
    slope = (last.found.turned - older) / (last.share - old)
    guess = last.found.turned + slope * (share - last.share)
    guess[aim.held] = target[aim.held]
    return guess


def _onward(search: Search, aim: Aim, passed: list[Passed], share: float) -> Found:
    return search.nearest(_guess(aim, passed, share), aim.along(share))


def _strained(search: Search, aim: Aim, passed: list[Passed], share: float) -> Found:
    target = aim.along(share)
    start = target if not passed else passed[-1].found.turned.copy()
    start[aim.held] = target[aim.held]
    found = search.strained(start, target)
    if found.left > _NEARLY:
        return found
    # What leaves next to nothing over may close after all.
    closed = search.nearest(found.turned, target)
    if closed.closes:
        return closed
    return _singular(search, aim, found, target) or found


def _singular(search: Search, aim: Aim, found: Found, target: Floats) -> Found | None:
    """The pose near by in which folds that are all but flat or shut are so to the full.

    Where paper lies flat the loops close only to second order, so that the
    search comes near such a pose but not to it.
    """
    halves = np.round(found.turned / np.pi) * np.pi
    snapped = np.abs(found.turned - halves) <= _ALL_BUT
    snapped[aim.held] = False
    if not snapped.any():
        return None
    start = np.where(snapped, halves, found.turned)
    held = np.union1d(aim.held, np.flatnonzero(snapped))
    inner = Search(search.linkage, free_of(search.linkage, held))
    closed = inner.nearest(start, target)
    return closed if closed.closes else None


def _near(found: Found, guess: Floats) -> bool:
    return bool(np.abs(found.turned - guess).max() <= _STRAY)
