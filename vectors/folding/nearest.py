"""This module finds the nearest closing pose: least squares of the folds' angles, loops shut.

Newton's method on the conditions of a minimum under constraints (Nocedal and
Wright, Numerical Optimization, 2nd edition, chapters 17 and 18).  Loops that ask
for the same thing twice are common, so that the constraints are stiff springs,
put right by multipliers.  Where no pose closes, the one is found that leaves
least over, in the sense of least squares.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from ..measures.exact import CLOSED_SHARE, SAME_ANGLE_RAD
from .closure import Linearised, linearised
from .linkage import Floats, Ints, Linkage
from .systems import Solve, System, system_of

# How much a loop gives: what is left of it shrinks by this over the square of its
# singular value with every step.
_SOFTNESS = 1e-12

# In a pose that cannot close, how far the angles count against what is left over:
# so little that they decide only between poses that leave equally much.
_STRAINED_SOFTNESS = 1e-8

# No fold turns farther than this in one step, in radians.
_LONGEST_STEP = 0.6

# While more than this is left over, the target draws along with the loops.
_FAR_OPEN = 1e-3

# Factors serve again as long as each step with them leaves this share or less.
_WORTH_ANOTHER = 0.1

# Under this residual steps shrink it fast, or the loops close in a singular pose,
# such as flat paper, whose angles no such step finds.
_NEARLY_CLOSED = 1e-5

# So many slow steps are taken there before the pose is held to be singular: near
# flat paper steps are slow too until the smallest angles are found.  Each leaves a
# quarter, so that no singular pose comes to pass for one that closes.
_SLOW_STEPS = 5

# What is left over of loops that are closed to the last digit: rounding, which no step
# betters.
_LAST_DIGIT = 1e-15

# Loops that are open stay so where the search takes no longer steps than this, in radians.
_NOWHERE = 1e-12

_CLOSING_STEPS = 20
_NEARING_STEPS = 40
_STRAINED_STEPS = 200


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Found:
    """Where a search came to: the angles of all folds in radians, and what is left over.

    `left` is the largest entry of the residual, `settled` whether the search
    came to rest, `factorisations` how many matrices it took.
    """

    turned: Floats
    left: float
    settled: bool
    factorisations: int

    @property
    def closes(self) -> bool:
        """Whether the loops close."""
        return self.settled and self.left <= CLOSED_SHARE


class Search:
    """The search for poses of one mechanism, some of whose folds are held."""

    def __init__(self, linkage: Linkage, free: Ints) -> None:
        self.linkage = linkage
        self.free = free
        self._made: System | None = None

    def made(self) -> System:
        """The systems that are solved here.  Raises TooLarge."""
        if self._made is None:
            self._made = system_of(self.linkage, self.free)
        return self._made

    def nearest(self, start: Floats, target: Floats, *, passing: bool = False) -> Found:
        """The closing pose nearest to `target` that is reached from `start`, in radians.

        The held folds keep their angles of `start`.  What is found is a local
        minimum, so that it is the same wherever near it the search starts.  One
        that is only `passing`, on the way to another, is not closed to the last
        digit, and no motion is looked for that begins only there.
        Raises TooLarge.
        """
        closing = _Closing(self, start, target)
        found = closing.found(polish=not passing)
        if not found.closes or not len(self.free):
            return found
        if passing and closing.passes(found):
            return found
        if closing.at_rest(found):
            # The question was answered with factors made here: one step more by
            # them closes the loops to the last digit.
            return closing.polished()
        return self._settled(replace(found, factorisations=closing.count), target)

    def closed(self, start: Floats, target: Floats, enough: float = CLOSED_SHARE) -> Found:
        """A closing pose near `start`, drawn towards `target`, in radians.

        `enough` is the residual to stop at.  Raises TooLarge.
        """
        return _Closing(self, start, target, enough).found(polish=False)

    def stepped(self, turned: Floats, step: Floats) -> Floats:
        """The angles of all folds when the free ones turn by `step`."""
        there = turned.copy()
        there[self.free] += step
        return there

    def stiff(self, at: Linearised) -> Solve | None:
        """Factor the springs of the loops at a pose."""
        return self.made().factored(at.squared() / _SOFTNESS, 1.0, square=True)

    def _settled(self, found: Found, target: Floats) -> Found:
        """The same pose moved along those that close, to the nearest one."""
        linkage, free = self.linkage, self.free
        turned, count = found.turned, found.factorisations
        multipliers = np.zeros(0)
        for number in range(_NEARING_STEPS):
            at = linearised(linkage, turned)
            away = (turned - target)[free]
            if number == 0:
                solve = self.stiff(at)
                count += 1
                if solve is None:
                    break
                multipliers, downhill = projected(solve, at, away, free)
            else:
                downhill = away + at.pulled(multipliers)[free]
            curving = at.curved(multipliers)
            for shift in (0.0, 1.0, 10.0, 1e3):
                entries = at.squared() / _SOFTNESS + curving
                solve = self.made().factored(entries, 1.0 + shift, square=False)
                count += 1
                if solve is not None:
                    break
            if solve is None:
                break
            step = _shortened(-solve(downhill + at.pulled(at.left)[free] / _SOFTNESS))
            there = self.stepped(turned, step)
            multipliers = multipliers + (at.left + at.moved(there - turned)) / _SOFTNESS
            turned = there
            if np.abs(step).max() <= SAME_ANGLE_RAD:
                left = _largest(linearised(linkage, turned).left)
                return Found(
                    turned=turned,
                    left=left,
                    settled=left <= CLOSED_SHARE,
                    factorisations=count,
                )
        return Found(turned=turned, left=found.left, settled=False, factorisations=count)

    def strained(self, start: Floats, target: Floats) -> Found:
        """The pose that leaves least over, least squares, reached from `start`, in radians.

        Where many leave equally little, the one of them nearest to `target`.
        Raises TooLarge.
        """
        linkage, free = self.linkage, self.free
        soft = _STRAINED_SOFTNESS
        turned, count = start, 0
        at = linearised(linkage, turned)

        def cost(turned: Floats, left: Floats) -> float:
            away = (turned - target)[free]
            return float(left @ left / soft + away @ away)

        def found(*, settled: bool) -> Found:
            return Found(
                turned=turned, left=_largest(at.left), settled=settled, factorisations=count
            )

        if not len(free):
            return found(settled=True)
        for _ in range(_STRAINED_STEPS):
            uphill = (turned - target + at.pulled(at.left / soft))[free]
            entries = at.squared() / soft + at.curved(at.left / soft)
            solve: Solve | None = None
            for shift in (0.0, *(10.0**power for power in range(0, 13, 2))):
                solve = self.made().factored(entries, 1.0 + shift, square=False)
                count += 1
                if solve is not None:
                    break
            if solve is None:
                break
            step = _shortened(-solve(uphill))
            here = cost(turned, at.left)
            for halves in range(30):
                there = self.stepped(turned, step / 2.0**halves)
                onward = linearised(linkage, there)
                # Rounding of the cost must not keep the last steps from being taken.
                if cost(there, onward.left) <= here * (1.0 + 1e-12):
                    break
            else:
                # Not even the shortest step leads down: this is the bottom, or the
                # search is lost.
                return found(settled=bool(np.abs(step).max() <= 1e-6))
            moved = float(np.abs(there - turned).max())
            turned, at = there, onward
            if moved <= SAME_ANGLE_RAD:
                return found(settled=True)
        return found(settled=False)


class _Closing:
    """One run of closing steps, which keeps its last factors."""

    def __init__(
        self, search: Search, start: Floats, target: Floats, enough: float = CLOSED_SHARE
    ) -> None:
        self._search, self._target, self._enough = search, target, enough
        self._free = search.free
        self.turned = start
        self.at = linearised(search.linkage, start)
        self.left = _largest(self.at.left)
        self.count = 0
        self.slow = 0
        # The last factors, and where they were made.
        self.factors: tuple[Solve, Linearised] | None = None

    def found(self, *, polish: bool = True) -> Found:
        """Close the loops, as far as they can be; with `polish` to the last digit."""
        if len(self._free):
            # Whether it is too large must not depend on where it starts.
            self._search.made()
            while self.left > self._enough and self.count < _CLOSING_STEPS and self._run():
                pass
            # The factors at hand are near enough for one step more, which costs little.
            if polish and self.left <= self._enough:
                return self.polished()
        return self._here()

    def polished(self) -> Found:
        """Close the loops by one step more, if that is any better."""
        if self.factors is not None and self.left > _LAST_DIGIT:
            kept = self.turned, self.at, self.left
            self._step(self.factors[0])
            if self.left > kept[2]:
                self.turned, self.at, self.left = kept
        return self._here()

    def _here(self) -> Found:
        return Found(
            turned=self.turned,
            left=self.left,
            settled=self.left <= self._enough,
            factorisations=self.count,
        )

    def at_rest(self, found: Found) -> bool:
        """Whether no closing pose near by is nearer to the target."""
        away = (found.turned - self._target)[self._free]
        # No part of a vector is longer than all of it.
        if np.sqrt(away @ away) <= SAME_ANGLE_RAD:
            return True
        if self.factors is not None and not self._rests(self.factors, away):
            return False
        if self.factors is None or self.factors[1] is not self.at:
            # Factors made near by do not know of a motion that begins only here,
            # as it does where paper lies shut.
            solve = self._search.stiff(self.at)
            self.count += 1
            if solve is None:
                return False
            self.factors = solve, self.at
        return self._rests(self.factors, away)

    def passes(self, found: Found) -> bool:
        """The same as far as the factors at hand tell, False without any."""
        away = (found.turned - self._target)[self._free]
        return self.factors is not None and self._rests(self.factors, away)

    def _rests(self, factors: tuple[Solve, Linearised], away: Floats) -> bool:
        _, rest = projected(*factors, away, self._free)
        return bool(np.abs(rest).max() <= SAME_ANGLE_RAD)

    def _run(self) -> bool:
        """Factor once and step as long as that serves; False where there is no way on."""
        solve = self._search.stiff(self.at)
        self.count += 1
        if solve is None:
            return False
        self.factors = solve, self.at
        first = self.left
        while self.left > self._enough:
            before = self.left
            if self._step(solve) <= _NOWHERE:
                return False
            if self.left > before * _WORTH_ANOTHER:
                break
        if first <= _NEARLY_CLOSED and self.left > first * _WORTH_ANOTHER:
            self.slow += 1
        return self.left <= self._enough or self.slow <= _SLOW_STEPS

    def _step(self, solve: Solve) -> float:
        """Take one step, and tell how far it turns the fold that it turns farthest."""
        free = self._free
        assert self.factors is not None
        # The springs are those of where the factors were made.
        pull = self.factors[1].pulled(self.at.left)[free] / _SOFTNESS
        if self.left > _FAR_OPEN:
            pull = pull + (self.turned - self._target)[free]
        step = _shortened(-solve(pull))
        for halves in range(6):
            there = self._search.stepped(self.turned, step / 2.0**halves)
            onward = linearised(self._search.linkage, there)
            if _largest(onward.left) < self.left:
                break
        else:
            # Over a rise: a whole step now and then leads out where none is downhill.
            there = self._search.stepped(self.turned, step)
            onward = linearised(self._search.linkage, there)
        self.turned, self.at, self.left = there, onward, _largest(onward.left)
        return _largest(step)


def projected(solve: Solve, at: Linearised, downhill: Floats, free: Ints) -> tuple[Floats, Floats]:
    """Multipliers for a direction, and what they leave of it: its part along closing poses."""
    multipliers = np.zeros(len(at.left))
    rest = downhill
    whole = np.zeros(len(at.linkage.hinges))
    for _ in range(4):
        kept = solve(rest)
        whole[free] = kept
        multipliers = multipliers - at.moved(whole) / _SOFTNESS
        done = np.abs(kept - rest).max() <= SAME_ANGLE_RAD / 100.0
        rest = kept
        if done:
            break
    return multipliers, rest


def _largest(left: Floats) -> float:
    return float(np.abs(left).max()) if len(left) else 0.0


def _shortened(step: Floats) -> Floats:
    longest = float(np.abs(step).max())
    return step * (_LONGEST_STEP / longest) if longest > _LONGEST_STEP else step
