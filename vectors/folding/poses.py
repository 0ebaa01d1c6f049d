"""This module folds a design into a pose: some folds are held, the rest follow.

Of all poses that close and keep the held folds the one is meant that is nearest,
in the sense of least squares, to every fold turned by one common share of its
closed angle.  It is reached along a way from the flat paper, or from the closed
card where joints never let the paper lie flat.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from functools import cached_property, partial
from types import MappingProxyType

import numpy as np

from ..measures.exact import MEETS_MM, SAME_ANGLE_RAD
from .choosing import chosen
from .closing import slack_of
from .closure import linearised
from .gaps import PoseGap, gap_round
from .linkage import Floats, Linkage, Rounds, TouchEnds, with_touches
from .loops import PanelKey
from .motion import Motion
from .nearest import Found, Search
from .path import Aim, Passed, followed, free_of, led_on
from .skeleton import HingeKey, Skeleton, motion_over, parts_of, placed_by, skeleton_of

# How many poses of a way are looked at.
STEPS = 24

# A pose lies on a way that is known if it is this near to where that leads, as a share of how far
# it is turned in all.
_ON_WAY = 0.1

# A fold that is turned farther than this the wrong way, in radians, is turned so and not by
# rounding.
_WRONG_WAY = 1e-7

# A touch is closed in so many steps.
_TOUCH_STEPS = 12

# From so many of them on it is guessed where they lead; what is found farther than this from
# there, in radians, is looked for from the last one.
_LED_FROM = 3
_ASTRAY = 0.05


class Start(StrEnum):
    """Where a way begins: with every fold flat, or turned by its closed angle."""

    FLAT = "flat"
    CLOSED = "closed"


class Outcome(StrEnum):
    """What became of a pose.

    A `strained` one cannot be reached without bending paper; it leaves least
    over.  Where the search did not converge there is no pose at all.
    """

    REACHED = "reached"
    STRAINED = "strained"
    NOT_CONVERGED = "not converged"


@dataclass(frozen=True, kw_only=True, slots=True)
class PoseRequest:
    """A pose that is asked for.

    `holds` are degrees in each fold's own sense; `touches` pairs of lines that
    lie on each other in this pose only.  `root` is the panel that stays where it
    lies flat, None the largest of the first piece.
    """

    name: str
    holds: Mapping[HingeKey, float]
    touches: tuple[TouchEnds, ...] = ()
    start: Start = Start.FLAT
    root: PanelKey | None = None


@dataclass(frozen=True, kw_only=True, eq=False)
class Waypoint:
    """A pose passed on the way: its share of the way, and the degrees of every fold.

    `measured` works out its largest gap, which few ask for.
    """

    share: float
    turned: Mapping[HingeKey, float]
    skeleton: Skeleton = field(repr=False)
    measured: Callable[[], float] | None = field(default=None, repr=False)

    @cached_property
    def gap_mm(self) -> float:
        """The largest gap in this pose, 0 where it closes."""
        return 0.0 if self.measured is None else self.measured()

    @cached_property
    def placed(self) -> Mapping[PanelKey, Motion]:
        """Where every panel is."""
        return MappingProxyType(placed_by(self.skeleton, self.turned))


@dataclass(frozen=True, kw_only=True, slots=True)
class TouchGap:
    """How far the lines of a touch stay apart in a pose: the larger distance of their ends."""

    touch: TouchEnds
    mm: float


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class FoldedPose:
    """A pose as the design takes it.

    `share` is the common share of their closed angles that the folds are asked
    to be near to; `turned` the degrees of every fold in its own sense, negative
    against it; `placed` where every panel is, both empty where the search did
    not converge.  `gap_mm` is the largest gap, `worst` the largest one of a loop,
    None without loops, `untouched` the largest one of lines that should touch and do
    not.  `way` are the poses passed, the last one is this pose;
    `bends` is the largest gap on the way to a pose that closes, where paper has
    to bend, and `bends_share` the share of the way where it is.
    """

    name: str
    share: float
    turned: Mapping[HingeKey, float]
    placed: Mapping[PanelKey, Motion]
    held: frozenset[HingeKey]
    outcome: Outcome
    gap_mm: float
    worst: PoseGap | None
    way: tuple[Waypoint, ...] = ()
    bends: PoseGap | None = None
    bends_share: float | None = None
    untouched: TouchGap | None = None

    @property
    def reached(self) -> bool:
        """Whether the pose closes, within what its joints take up, and what touches meets."""
        return self.outcome is Outcome.REACHED


def share_of_holds(linkage: Linkage, holds: Mapping[HingeKey, float]) -> float:
    """The mean share of their closed angles that held folds are turned by.

    Folds that are flat in the closed pose have no share.  One half where nothing
    that has a share is held.
    """
    shares = [
        degrees / math.degrees(closed)
        for key, degrees in holds.items()
        if (closed := float(linkage.closed[linkage.column[key]])) > 0.0
    ]
    return math.fsum(shares) / len(shares) if shares else 0.5


def fold_to(
    linkage: Linkage,
    request: PoseRequest,
    *,
    steps: int = STEPS,
    known: Sequence[Waypoint] = (),
) -> FoldedPose:
    """Fold a design into a pose.

    `steps` is how many poses of the way are told; the pose does not depend on
    it.  `known` are poses that close, from the same start on: a pose that lies on their way
    is reached along it.  Raises KeyError for a hold of a hinge that is not there, TooLarge for
    too many folds.
    """
    held = np.array([linkage.column[key] for key in request.holds], dtype=np.intp)
    share = share_of_holds(linkage, request.holds)
    begun = linkage.closed.copy() if request.start is Start.CLOSED else 0.0 * linkage.closed
    target = share * linkage.closed
    target[held] = np.radians([float(degrees) for degrees in request.holds.values()])
    aim = Aim(begun=begun, target=target, held=held)
    if known and linkage.height:
        along = _along(linkage, aim, known)
        if along and not request.touches:
            return told(linkage, request, share, along)
    passed = followed(linkage, aim, steps)
    last = chosen(linkage, aim, passed[-1].found, steps)
    passed = (*passed[:-1], replace(passed[-1], found=last))
    if request.touches and passed[-1].found.settled:
        passed = (*passed, *_touched(linkage, request.touches, aim, passed[-1].found))
    return told(linkage, request, share, passed)


def _along(linkage: Linkage, aim: Aim, known: Sequence[Waypoint]) -> tuple[Passed, ...]:
    """The poses of a known way as far as the pose that is meant, that one last.

    None of them if it is not on that way.  On it is one that is found at once from what
    is asked for, with all folds turned in their own senses, and that lies next to where the
    way leads.
    """
    held = aim.held[linkage.closed[aim.held] > 0.0]
    if not len(held):
        return ()
    turned = np.array([aim.begun, *(np.radians([*one.turned.values()]) for one in known)])

    def progress(turned: Floats) -> Floats:
        return np.asarray((turned[..., held] / linkage.closed[held]).mean(axis=-1))

    begun, end = progress(aim.begun), progress(aim.target)
    if begun == end:
        return ()
    shares = (progress(turned) - begun) / (end - begun)
    # A pose of that way that is the one meant, but for rounding, is not passed besides.
    beyond = int(np.searchsorted(shares, 1.0 - SAME_ANGLE_RAD))
    if (np.diff(shares) <= 0.0).any() or beyond == len(shares):
        return ()
    found = Search(linkage, free_of(linkage, aim.held)).nearest(aim.target.copy(), aim.target)
    wrong = (found.turned < -_WRONG_WAY) | (found.turned > np.pi + _WRONG_WAY)
    if not found.closes or wrong.any():
        return ()
    before, after = shares[beyond - 1 : beyond + 1]
    part = (1.0 - before) / (after - before)
    leads = turned[beyond - 1] + part * (turned[beyond] - turned[beyond - 1])
    if np.abs(found.turned - leads).max() > _ON_WAY * np.abs(found.turned - aim.begun).max():
        return ()
    passed = [
        Passed(
            share=float(share),
            found=Found(turned=angles, left=0.0, settled=True, factorisations=0),
        )
        for share, angles in zip(shares[1:beyond], turned[1:beyond], strict=True)
    ]
    return (*passed, Passed(share=1.0, found=found))


def _touched(
    linkage: Linkage, touches: Sequence[TouchEnds], aim: Aim, reached: Found
) -> list[Passed]:
    """The last poses, in which the lines that touch are brought together step by step."""
    asked = with_touches(linkage, touches)
    free = free_of(linkage, aim.held)
    passed = []
    here = reached
    known: list[tuple[float, Floats]] = []
    apart = _apart(asked, reached.turned)
    for step in range(1, _TOUCH_STEPS + 1):
        share = step / _TOUCH_STEPS
        eased = _eased(asked, apart, share)
        search = Search(eased, free)
        # How it begins tells little: lines that are brought together may lift flat paper.
        leads = len(known) >= _LED_FROM
        guess = led_on(known, share) if leads else here.turned
        found = search.nearest(guess, aim.target, passing=share < 1.0)
        if leads and not (found.closes and np.abs(found.turned - guess).max() <= _ASTRAY):
            found = search.nearest(here.turned, aim.target)
        if not found.closes:
            found = search.strained(here.turned, aim.target)
        here = found
        known.append((share, found.turned))
        passed.append(Passed(share=1.0, found=found))
    return passed


def _apart(asked: Linkage, turned: Floats) -> dict[int, Floats]:
    """Where the places that are to meet are now, by the number of their rounds."""
    at = linearised(asked, turned)
    return {
        number: carried.there
        for number, (one, carried) in enumerate(zip(asked.rounds, at.carried, strict=True))
        if not one.turns
    }


def _eased(asked: Linkage, apart: Mapping[int, Floats], share: float) -> Linkage:
    """The mechanism whose touches have come this share of their way together."""

    def eased(number: int, one: Rounds) -> Rounds:
        if number not in apart:
            return one
        here = apart[number]
        return replace(one, spot_to=here + share * (one.spot_to - here))

    rounds = tuple(eased(number, one) for number, one in enumerate(asked.rounds))
    return replace(asked, rounds=rounds)


def told(
    linkage: Linkage, request: PoseRequest, share: float, passed: Sequence[Passed]
) -> FoldedPose:
    """What a way came to, in degrees and mm."""
    skeleton = skeleton_of(linkage.assembly, request.root)
    way = tuple(
        Waypoint(
            share=one.share,
            turned=_degrees(linkage, one.found.turned),
            skeleton=skeleton,
            measured=partial(_gap_mm, linkage, one.found),
        )
        for one in passed
    )
    # What is held is told as it was asked for, without the rounding of radians.
    held = {key: float(degrees) for key, degrees in request.holds.items()}
    way = (*way[:-1], replace(way[-1], turned=MappingProxyType({**way[-1].turned, **held})))
    last = passed[-1].found
    worst = worst_gap(linkage, last)
    gap_mm = 0.0 if worst is None else worst.mm
    untouched = None
    outcome = Outcome.NOT_CONVERGED
    if last.settled:
        untouched = _untouched(skeleton, way[-1].placed, request.touches)
        met = meets(worst) and untouched is None
        outcome = Outcome.REACHED if met else Outcome.STRAINED
        gap_mm = max(gap_mm, 0.0 if untouched is None else untouched.mm)
    if outcome is Outcome.NOT_CONVERGED:
        return FoldedPose(
            name=request.name,
            share=share,
            turned=MappingProxyType({}),
            placed=MappingProxyType({}),
            held=frozenset(request.holds),
            outcome=outcome,
            gap_mm=gap_mm,
            worst=worst,
        )
    bends, bends_share = None, None
    if outcome is Outcome.REACHED:
        for one in passed:
            gap = worst_gap(linkage, one.found) if not one.found.closes else None
            if gap is not None and not meets(gap) and (bends is None or gap.mm > bends.mm):
                bends, bends_share = gap, one.share
    return FoldedPose(
        name=request.name,
        share=share,
        turned=way[-1].turned,
        placed=way[-1].placed,
        held=frozenset(request.holds),
        outcome=outcome,
        gap_mm=gap_mm,
        worst=worst,
        way=way,
        bends=bends,
        bends_share=bends_share,
        untouched=untouched,
    )


def _untouched(
    skeleton: Skeleton, placed: Mapping[PanelKey, Motion], touches: Sequence[TouchEnds]
) -> TouchGap | None:
    """The touch whose lines are farthest apart; None where all meet."""
    number = {key: place for place, part in enumerate(parts_of(skeleton)) for key in part}
    worst: TouchGap | None = None
    for one in touches:
        # What nothing ties together is nowhere against each other.
        if number[one.line] != number[one.to]:
            continue
        here, there = placed[one.line], placed[one.to]
        line, to = one.touch.line, one.touch.to
        mm = max(
            math.dist(here.apply(first), there.apply(second))
            for first, second in ((line.start, to.start), (line.end, to.end))
        )
        if mm > max(MEETS_MM, 0.0 if worst is None else worst.mm):
            worst = TouchGap(touch=one, mm=mm)
    return worst


def _degrees(linkage: Linkage, turned: Floats) -> Mapping[HingeKey, float]:
    degrees = np.degrees(turned).tolist()
    return MappingProxyType(dict(zip(linkage.hinges, degrees, strict=True)))


def meets(gap: PoseGap | None) -> bool:
    """Whether a gap is none, or one that the joints of its loop take up."""
    return gap is None or gap.mm <= max(MEETS_MM, slack_of(gap.loop))


def _gap_mm(linkage: Linkage, found: Found) -> float:
    # Next to nothing is left over of a pose that closes.
    if found.closes:
        return 0.0
    worst = worst_gap(linkage, found)
    return 0.0 if worst is None else worst.mm


def worst_gap(linkage: Linkage, found: Found) -> PoseGap | None:
    """The largest gap of all loops in a pose, those first whose joints do not take it up.

    None for a design without loops.
    """
    # No end of a hinge lies farther from the loop's middle than its reach, so that
    # the rows bound the gap, and most loops need not be gone round.
    bounds = np.zeros(len(linkage.loops))
    at = linearised(linkage, found.turned)
    for one in linkage.rounds:
        if one.turns:
            rows = np.abs(at.left[one.rows])
            bounds[one.numbers] = 4.0 * linkage.size * rows.sum(axis=0)
    turned = _degrees(linkage, found.turned)
    worst: PoseGap | None = None
    # What the joints do not take up counts first, then the gap itself.
    over = 0.0
    for number in np.argsort(-bounds, kind="stable"):
        loop = linkage.loops[number]
        if worst is not None and bounds[number] <= min(worst.mm, max(over, MEETS_MM)):
            break
        gap = gap_round(loop, [motion_over(step, turned) for step in loop.steps])
        left = gap.mm - slack_of(loop)
        left = left if left > MEETS_MM else 0.0
        if worst is None or (left, gap.mm) > (over, worst.mm):
            worst, over = gap, left
    return worst
