"""This module follows a pose as its held folds are turned, from flat or closed paper on.

Flat and closed paper is singular: many motions begin there.  Which one is meant
is told by the folds' senses, so that the first step out is a short one towards
every fold turned by one common share; from there on the way is followed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from .linkage import Floats, Ints, Linkage
from .nearest import Found, Search

# The first step out of a singular state turns the fold that turns farthest by so
# many radians.  Loops of nearly flat paper are open by the square of their angles
# only: nearer to the start nothing could be told from rounding.
_LIFT = 0.06

# A fold that is turned farther than this the wrong way, in radians, is turned so
# and not by rounding.
_WRONG_WAY = 1e-7

# So many other folds are tried as the one that leads out of a singular state.
_LEADERS = 40

# So often folds that are turned the wrong way are turned back.  One that moves less
# than this share of what is asked of it is asked to turn by so many times more.
_TURNED_BACK = 12
_HARDLY = 0.3
_MORE = 1.5

# From so many poses of a way it is guessed where it leads on.  A cubic brings the
# search so near the next pose that one set of factors serves it; of more poses the
# oldest ones are of another bend of the way.
_LED_BY = 4

# A step that leads farther than this from where it was aimed, in radians, may
# have left the way: it is halved.
_STRAY = 0.4

# A pose that leaves less than this over may close though no search says so, with
# folds flat or shut that are found within so many radians of it.
_NEARLY = 1e-3
_ALL_BUT = 0.06

# So many steps of a way are halved; from then on they are taken as they come.
_HALVINGS = 400

# No step is halved below this share of the way.
_SHORTEST = 1e-5


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
    """A pose on the way: the share of it, and where the search came to.

    `jumped` where no step was short enough to lead there from the pose before it.
    """

    share: float
    found: Found
    jumped: bool = False


def free_of(linkage: Linkage, held: Ints) -> Ints:
    """The columns of the folds that are not held."""
    return np.setdiff1d(np.arange(len(linkage.hinges), dtype=np.intp), held)


def shares_of(steps: int) -> list[float]:
    """The shares of a way after each of so many equal steps."""
    return [step / steps for step in range(1, steps + 1)]


def followed(
    linkage: Linkage, aim: Aim, steps: int, *, rigid: bool = False, lead: bool = True
) -> tuple[Passed, ...]:
    """The poses passed on the way, the last one at its end.

    Where no pose closes, the one that leaves least over is passed instead.  A way
    that has to be `rigid` ends there, and where it jumps or turns folds against
    their senses: with another fold held it may not.  Without `lead` no
    other fold is tried as the one that leads out of flat paper.  The
    poses of a way that closes do not depend on the number of `steps`, only how
    many of them are told.  Raises TooLarge.
    """
    search = Search(linkage, free_of(linkage, aim.held))
    passed: list[Passed] = []
    shares = shares_of(steps)
    if linkage.height == 0:
        return tuple(
            Passed(
                share=share,
                found=Found(turned=aim.along(share), left=0.0, settled=True, factorisations=0),
            )
            for share in shares
        )
    if not rigid and not len(search.free):
        return tuple(_held(search, aim, shares))
    passed.append(_lifted(search, aim, lead=lead))
    if rigid and not _goes_on(search, aim, passed[0].found):
        return tuple(passed)
    first = passed[0].share
    halvings = 0
    for share in (one for one in shares if one > first or one == 1.0):
        while True:
            here = passed[-1].share
            there = share
            while True:
                guess = _guess(aim, passed, there)
                found = search.nearest(guess, aim.along(there), passing=there < 1.0)
                close = found.closes and _follows(found, passed[-1], guess)
                shorter = here + (there - here) / 2.0
                if close or abs(there - here) <= _SHORTEST or halvings >= _HALVINGS:
                    break
                if not passed[-1].found.closes:
                    break
                there = shorter
                halvings += 1
            if not found.closes:
                there = share
                found = _strained(search, aim, passed, there)
            jumped = found.closes and not close
            passed.append(Passed(share=there, found=found, jumped=jumped))
            if rigid and (jumped or not _goes_on(search, aim, found)):
                return tuple(passed)
            if there == share:
                break
    return tuple(passed)


def _held(search: Search, aim: Aim, shares: list[float]) -> Iterator[Passed]:
    """The poses of a way on which every fold is held, the short first step as on any other."""
    first = _lift_share(aim)
    for share in (first, *(one for one in shares if one > first or one == 1.0)):
        target = aim.along(share)
        yield Passed(share=share, found=search.strained(target, target))


def against(aim: Aim, turned: Floats, free: Ints) -> Ints:
    """The free folds that are turned against their own sense, or farther than shut."""
    wrong = (turned < -_WRONG_WAY) | (turned > np.pi + _WRONG_WAY)
    return free[wrong[free]]


def _lift_share(aim: Aim) -> float:
    """The share of the way of the first step; more than all of it for a very short one."""
    farthest = float(np.abs(aim.target - aim.begun).max(initial=0.0))
    return _LIFT / farthest if farthest > 0.0 else 1.0


def _goes_on(search: Search, aim: Aim, found: Found) -> bool:
    return found.closes and not len(against(aim, found.turned, search.free))


def _lifted(search: Search, aim: Aim, *, lead: bool) -> Passed:
    """The first pose of the way, a short step out of flat or closed paper.

    Where the nearest pose that closes turns folds against their senses, another
    may not: one in which the held folds turn little at first and others much.  With
    `lead` it is looked for by turning those folds back, and then by letting one
    of those others lead.
    """
    lift = _lift_share(aim)
    target = aim.along(lift)
    found = search.nearest(target, target)
    if not found.closes:
        return Passed(share=lift, found=_strained(search, aim, [], lift))
    best, wrong = Passed(share=lift, found=found), against(aim, found.turned, search.free)
    if not lead or not len(wrong) or not len(aim.held):
        return best
    righted = _righted(search, aim, found)
    less = against(aim, righted.turned, search.free)
    if len(less) < len(wrong):
        best, wrong = Passed(share=lift, found=righted), less
    if not len(wrong):
        return best
    for leader in _leaders(search, aim, wrong):
        lifted = _led(search, aim, leader)
        if lifted is None:
            continue
        less = against(aim, lifted.found.turned, search.free)
        if len(less) < len(wrong):
            best, wrong = lifted, less
        if not len(wrong):
            break
    return best


def _righted(search: Search, aim: Aim, found: Found) -> Found:
    """The best of the poses that come of turning back the folds that are turned the wrong way.

    Each pose is the one nearest to the last one with all folds in their own senses,
    those that hardly move turned more from one pose to the next.
    """
    lift = (aim.target - aim.begun) * _lift_share(aim)
    best, wrong = found, len(against(aim, found.turned, search.free))
    for number in range(_TURNED_BACK):
        moved = np.abs(found.turned - aim.begun)
        hardly = moved < _HARDLY * np.abs(lift)
        goal = np.where(hardly, lift * _MORE**number, np.sign(lift) * moved) + aim.begun
        goal[aim.held] = (aim.begun + lift)[aim.held]
        found = search.nearest(goal, goal)
        less = len(against(aim, found.turned, search.free))
        if found.closes and less < wrong:
            best, wrong = found, less
        if not wrong:
            break
    return best


def _leaders(search: Search, aim: Aim, wrong: Ints) -> Ints:
    """The folds that may lead: those turned the wrong way first, then the others."""
    rest = np.setdiff1d(search.free, wrong)
    every = np.concatenate([wrong, rest])
    turned: Ints = every[aim.target[every] != aim.begun[every]]
    return turned[:_LEADERS]


def _led(search: Search, aim: Aim, leader: int) -> Passed | None:
    """A first pose in which another fold is turned, and the held ones follow it."""
    linkage = search.linkage
    lift = _lift_share(aim)
    target = aim.along(lift)
    alone = np.array([leader], dtype=np.intp)
    found = Search(linkage, free_of(linkage, alone)).nearest(target, target)
    if not found.closes:
        return None
    moved = found.turned - aim.begun
    asked = (aim.target - aim.begun)[aim.held]
    if not asked.any():
        return None
    # How far along its own way the held folds have got to.
    share = float(moved[aim.held] @ asked / (asked @ asked))
    if share <= 0.0:
        return None
    if share > lift:
        # A fold that leads slowly is followed back towards the start.
        moved, share = moved * (lift / share), lift
    guess = aim.begun + moved
    goal = aim.along(share)
    guess[aim.held] = goal[aim.held]
    found = search.nearest(guess, goal)
    return Passed(share=share, found=found) if found.closes else None


def _guess(aim: Aim, passed: list[Passed], share: float) -> Floats:
    """Where the way leads on, by the cubic through its last four poses."""
    target = aim.along(share)
    if not passed:
        return target
    known = [(0.0, aim.begun)]
    for one in passed[-_LED_BY:]:
        # A jump tells nothing of where the way leads on.
        if one.jumped:
            known.clear()
        known.append((one.share, one.found.turned))
    guess = led_on(known, share)
    # No fold is led on beyond shut, where the same pose comes round once more; one
    # that is turned farther already is followed there.
    guess = np.where(np.abs(known[-1][1]) <= np.pi, np.clip(guess, -np.pi, np.pi), guess)
    guess[aim.held] = target[aim.held]
    return guess


def led_on(known: Sequence[tuple[float, Floats]], share: float) -> Floats:
    """The angles at a share of the way by the cubic through the last others (Lagrange's form)."""
    known = known[-_LED_BY:]
    guess = np.zeros_like(known[0][1])
    for there, turned in known:
        others = (other for other, _ in known if other != there)
        guess += math.prod((share - other) / (there - other) for other in others) * turned
    return guess


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


def _follows(found: Found, last: Passed, guess: Floats) -> bool:
    """Whether a pose is the next one on the way: where it was guessed, no fold newly beyond shut.

    Beyond shut lie poses of other ways, and near shut paper they are near.
    """
    beyond = np.abs(found.turned) > np.pi + _WRONG_WAY
    newly = beyond & (np.abs(last.found.turned) <= np.pi + _WRONG_WAY)
    return not newly.any() and bool(np.abs(found.turned - guess).max() <= _STRAY)
