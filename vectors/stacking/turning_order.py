"""This module looks for an order in which folds turn one after another without a clash.

With all folds turned together panels may be in each other's way that never meet where one flap is
turned in before the next.  Folds that a loop goes round have to turn together; they are one
step, as every other fold is by itself.  The last step is sought first: of the folded pose, one
that comes undone without a clash while all others stay as they are, and so on back to where
the way begins.  Where nothing comes undone at once there is no order, which so is found early.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely

from ..design.pieces import Sense
from ..folding import PanelKey
from ..folding.motion import Motion
from ..folding.skeleton import HingeKey, Skeleton, motion_over
from ..geometry import Segment
from ..measures.exact import MEETS_MM, ROUNDING_DEG, SLIVER_MM
from ..panels import Assembly
from ..panels.joined import parts_of
from .clash import folded_over, glued_pairs
from .crossings import Pairs, crossings
from .order import PlyOrder
from .paper import Floats, Ints, Paper, Poses, paper_of, poses_at
from .passes import passed

# So many steps are tried in all.
_TRIES = 60

# Of more steps, or with more panels, no order is looked for.
_MOST_STEPS = 24
_MOST_PANELS = 150

# So many poses of a step are looked at in the search, and all once an order is found: most
# steps that clash do so plainly.
_FEW = 6

# How far a fold can be turned.
_SHUT_DEG = 180.0

# Panels whose planes are turned by less than this, in radians, lie level on each other.
_LEVEL = 1e-6

# Two panels by their numbers, the lesser first.
Pair = tuple[int, int]

# The folds of each step, in the order of the design.
TurningOrder = tuple[tuple[HingeKey, ...], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Plies:
    """The closed card: where its panels lie, and which of two that overlap lies above."""

    placed: Mapping[PanelKey, Motion]
    order: PlyOrder


def turning_order(
    assembly: Assembly,
    skeleton: Skeleton,
    begun: Mapping[HingeKey, float],
    way: Sequence[Mapping[HingeKey, float]],
    *,
    ties: Iterable[Iterable[HingeKey]],
    plies: Plies | None = None,
) -> TurningOrder | None:
    """An order in which folds turn along a way without a clash, None where none was found.

    `begun` are the degrees of all folds where the way begins and `way` those in the poses
    on it, the last one its end; each step turns its folds as that way does, while all others
    stay at its beginning or its end.  The folds of one of the `ties` turn together.  Panels
    that come to lie on each other part again on the side on which they came, and where they lie
    as in the closed card they come on the side that `plies` tells.  Where several orders
    are free of clashes it is one that keeps near to the order of the design.  Of many steps
    or panels none is looked for.
    """
    if sum(len(division.panels) for division in assembly.divisions.values()) > _MOST_PANELS:
        return None
    turns = _turns(assembly, skeleton, begun, way, ties, plies)
    steps = turns.steps
    if not 1 < len(steps) <= _MOST_STEPS:
        return None
    every = frozenset(range(len(steps)))
    dead: set[tuple[frozenset[int], frozenset[tuple[Pair, float]]]] = set()
    # What was taken to be free and is not.
    clashing: set[tuple[int, frozenset[int]]] = set()
    tries = 0

    def undone(
        turned: frozenset[int], lying: Mapping[Pair, float], blocked: Mapping[int, Pair]
    ) -> list[int] | None:
        """The order of the steps that are turned, the last one the first that comes undone."""
        nonlocal tries
        if not turned:
            return []
        for step in sorted(turned - blocked.keys(), reverse=True):
            tries += 1
            if tries > _TRIES:
                return None
            left = turns.left_lying(step, turned, lying)
            before = turned - {step}
            if left is None or (step, turned) in clashing:
                continue
            if (before, frozenset(left.items())) not in dead:
                found = undone(before, left, turns.still_blocked(before, step, blocked))
                if found is not None:
                    return [*found, step]
        dead.add((turned, frozenset(lying.items())))
        return None

    blocked = turns.blocked(every, sorted(every))
    while (found := undone(every, {}, blocked)) is not None:
        wrong = turns.that_clash(found)
        if not wrong:
            return tuple(tuple(turns.hinges[column] for column in steps[step]) for step in found)
        clashing.update(wrong)
        dead.clear()
    return None


def _turns(
    assembly: Assembly,
    skeleton: Skeleton,
    begun: Mapping[HingeKey, float],
    way: Sequence[Mapping[HingeKey, float]],
    ties: Iterable[Iterable[HingeKey]],
    plies: Plies | None,
) -> _Turns:
    hinges = tuple(begun)
    column = {key: place for place, key in enumerate(hinges)}
    angles = np.array([[one[key] for key in hinges] for one in (begun, *way)])
    # Each fold of a tie goes with the next one; a loop over glue alone has none.
    pairs = [(column[one], column[other]) for tie in ties for one, other in pairwise(tie)]
    tied = np.array(pairs, dtype=np.intp).reshape(-1, 2)
    group = parts_of(len(hinges), tied[:, 0], tied[:, 1])
    moves = np.abs(angles - angles[0]).max(axis=0) > ROUNDING_DEG
    steps = [tuple(np.flatnonzero((group == one) & moves).tolist()) for one in np.unique(group)]
    return _Turns(
        assembly=assembly,
        skeleton=skeleton,
        hinges=hinges,
        angles=angles,
        steps=tuple(step for step in steps if step),
        paper=paper_of(assembly, ()),
        plies=plies,
    )


@dataclass(frozen=True, kw_only=True, eq=False)
class _Turns:
    """All folds and the poses that they pass: `angles` [m, h] in degrees, the beginning first.

    Each of `steps` holds the columns of the folds that turn in it.
    """

    assembly: Assembly
    skeleton: Skeleton
    hinges: tuple[HingeKey, ...]
    angles: Floats
    steps: tuple[tuple[int, ...], ...]
    paper: Paper
    plies: Plies | None
    _rests_known: dict[frozenset[int], tuple[_Rest, ...]] = field(default_factory=dict)

    def blocked(self, turned: frozenset[int], steps: Sequence[int]) -> dict[int, Pair]:
        """Of some steps those that do not turn back without a clash, each with a pair that clashes.

        All others stay as they are.  Only some poses of each way are looked at.
        """
        angles = np.stack([self._way(step, turned, self._few) for step in steps])
        return {steps[way]: pair for way, pair in self._clashing(angles).items()}

    def still_blocked(
        self, turned: frozenset[int], step: int, blocked: Mapping[int, Pair]
    ) -> dict[int, Pair]:
        """What is blocked once a step has turned back, `turned` being what is still turned.

        Panels are in each other's way as before where that step does not move them against each
        other.  What was free is taken to be so still, which most of it is.
        """
        rigid = self._rigid[step]
        kept = {one: pair for one, pair in blocked.items() if rigid[pair[0]] == rigid[pair[1]]}
        again = sorted(blocked.keys() - kept.keys())
        return kept | (self.blocked(turned, again) if again else {})

    def that_clash(self, order: Sequence[int]) -> list[tuple[int, frozenset[int]]]:
        """The steps of an order that clash in any pose, each with all that is turned with it."""
        every = np.arange(len(self.angles))
        turned = [frozenset(order[: place + 1]) for place in range(len(order))]
        angles = np.stack(
            [self._way(step, one, every) for step, one in zip(order, turned, strict=True)]
        )
        return [(order[way], turned[way]) for way in self._clashing(angles)]

    def _clashing(self, angles: Floats) -> dict[int, Pair]:
        """Of ways [s, p, h] those with a clash in a pose or between two, each with a pair of it."""
        ways, each, _ = angles.shape
        poses = self._posed(angles)
        found: dict[int, Pair] = {}

        def tell(pairs: Pairs, ways: Ints) -> None:
            for way, first, second in zip(
                ways.tolist(), pairs.first.tolist(), pairs.second.tolist(), strict=True
            ):
                found[way] = first, second

        for portion in crossings(poses, np.union1d(self._apart, self._hinged)):
            tell(portion.pairs, portion.pairs.pose // each)
        beyond = (np.abs(angles) > _SHUT_DEG).any(axis=2).ravel()
        for pose in np.flatnonzero(beyond).tolist():
            way, place = divmod(pose, each)
            over = dict(zip(self.hinges, angles[way, place].tolist(), strict=True))
            found.update((way, pair) for pair, _ in folded_over(self.assembly, poses, pose, over))
        left = np.setdiff1d(np.arange(ways), [*found])
        if left.size:
            kept = (left[:, None] * each + np.arange(each)).ravel()
            last = np.arange(1, left.size + 1) * each - 1
            for passing in passed(_some(poses, kept), self._apart, last):
                tell(passing, left[passing.pose // each])
                if len(found) == ways:
                    break
        return found

    @cached_property
    def _few(self) -> Ints:
        shares = np.linspace(0, len(self.angles) - 1, min(_FEW, len(self.angles)))
        return shares.round().astype(np.intp)

    def _way(self, step: int, turned: frozenset[int], shares: Ints) -> Floats:
        """The angles of all folds in some poses of the way of a step, [p, h]."""
        angles = np.tile(self._state(turned), (len(shares), 1))
        columns = list(self.steps[step])
        angles[:, columns] = self.angles[shares][:, columns]
        return angles

    def _state(self, turned: frozenset[int]) -> Floats:
        """The angles of all folds while some steps are turned and the others are not, [h]."""
        columns = [column for step in turned for column in self.steps[step]]
        here: Floats = self.angles[0].copy()
        here[columns] = self.angles[-1, columns]
        return here

    def _posed(self, angles: Floats) -> Poses:
        """Where the panels are in all poses of ways, [s, p, h], the roots where they lie flat."""
        angles = angles.reshape(-1, len(self.hinges))
        number = self.paper.number
        count = len(self.paper.keys)
        rows = np.broadcast_to(np.eye(3), (len(angles), count, 3, 3)).copy()
        shift = np.zeros((len(angles), count, 3))
        column = {key: place for place, key in enumerate(self.hinges)}
        for step in self.skeleton.steps:
            here, there = number[step.before], number[step.after]
            if step.hinge is None:
                glued = motion_over(step, {})
                by, off = np.array(glued.rows), np.array(glued.shift)
            else:
                rises = (step.after[1] == step.hinge.left) == (step.hinge.sense is Sense.VALLEY)
                degrees = angles[:, column[step.after[0], step.hinge.index]]
                by, off = _rotations(step.hinge.line, degrees if rises else -degrees)
            rows[:, there] = rows[:, here] @ by
            shift[:, there] = (rows[:, here] @ off[..., None])[..., 0] + shift[:, here]
        return poses_at(self.paper, rows, shift)

    @cached_property
    def _held(self) -> Ints:
        """What holds two panels together: the column of a fold or -1 for glue, and the panels."""
        number, divisions = self.paper.number, self.assembly.divisions
        rows = []
        for column, (piece, index) in enumerate(self.hinges):
            hinge = divisions[piece].hinges[index]
            rows.append((column, number[piece, hinge.left], number[piece, hinge.right]))
        for one, other in glued_pairs(self.assembly):
            rows.append((-1, number[one], number[other]))
        return np.array(rows, dtype=np.intp).reshape(-1, 3)

    @cached_property
    def _hinged(self) -> Ints:
        """The codes of the pairs beside a fold: no place of it is inside both."""
        pairs = np.sort(self._held[self._held[:, 0] >= 0, 1:], axis=1)
        return np.unique(pairs[:, 0] * len(self.paper.keys) + pairs[:, 1])

    @cached_property
    def _apart(self) -> Ints:
        """The codes of the pairs that glue holds together, or nothing ties together; sorted."""
        count = len(self.paper.keys)
        part = parts_of(count, self._held[:, 1], self._held[:, 2])
        first, second = np.triu_indices(count, 1)
        untied = part[first] != part[second]
        codes = first[untied] * count + second[untied]
        return np.union1d(codes, self.paper.codes_of(glued_pairs(self.assembly)))

    @cached_property
    def _rigid(self) -> tuple[list[int], ...]:
        """For each step the part of the card that each panel is in, without the step's folds."""
        held, count = self._held, len(self.paper.keys)
        others = [held[~np.isin(held[:, 0], step)] for step in self.steps]
        return tuple(parts_of(count, one[:, 1], one[:, 2]).tolist() for one in others)

    def left_lying(
        self, step: int, turned: frozenset[int], lying: Mapping[Pair, float]
    ) -> dict[Pair, float] | None:
        """What lies on what, once a step has turned back, as far as later steps tell the side.

        For the numbers of two panels 1 where the first lies in front of the second and -1
        where behind.  None where panels that lie on each other, as `lying` and the plies of the
        closed card tell, have come there from the other side.
        """
        poses = self._posed(self._way(step, turned, self._few))
        rigid = self._rigid[step]
        left = {pair: side for pair, side in lying.items() if rigid[pair[0]] == rigid[pair[1]]}
        for state, way in ((turned, slice(None, None, -1)), (turned - {step}, slice(None))):
            for rest in self._rests(state):
                side = rest.side_of(poses, way)
                if side == 0.0:
                    continue
                told = rest.told or (lying.get(rest.pair, 0.0) if state == turned else 0.0)
                if told * side < 0.0:
                    return None
                if state != turned:
                    left[rest.pair] = side
        return left

    def _rests(self, turned: frozenset[int]) -> tuple[_Rest, ...]:
        """The panels that lie on each other while some steps are turned."""
        if turned not in self._rests_known:
            self._rests_known[turned] = tuple(self._resting(turned))
        return self._rests_known[turned]

    def _resting(self, turned: frozenset[int]) -> Iterator[_Rest]:
        poses = self._posed(self._state(turned)[None, None])
        first, second = np.triu_indices(len(self.paper.keys), 1)
        kept = ~np.isin(first * len(self.paper.keys) + second, self._apart)
        first, second = first[kept], second[kept]
        here = np.zeros(first.size, dtype=np.intp)
        rows, shift = poses.seen_from(here, second, first)
        low, high = (side[0] for side in poses.boxes)
        near = (low[first] < high[second] + MEETS_MM) & (low[second] < high[first] + MEETS_MM)
        level = (np.hypot(rows[:, 0, 2], rows[:, 1, 2]) <= _LEVEL) & (
            np.abs(shift[:, 2]) <= MEETS_MM
        )
        for place in np.flatnonzero(level & near.all(axis=1)).tolist():
            one, other = int(first[place]), int(second[place])
            seen = [
                corners @ rows[place, :2, :2].T + shift[place, :2]
                for corners in self.paper.corners(other)
            ]
            both = shapely.intersection(_polygon(self.paper.corners(one)), _polygon(seen))
            # Twice the area over the length of the rim is the width of a strip.
            if 2.0 * both.area <= SLIVER_MM * both.length:
                continue
            at = both.point_on_surface()
            yield _Rest(pair=(one, other), at=(at.x, at.y), told=self._told(one, other, poses))

    def _told(self, one: int, other: int, poses: Poses) -> float:
        """On which side the plies of the closed card say that a panel lies on another one.

        0 where they lie otherwise here than there.
        """
        if self.plies is None:
            return 0.0
        keys = self.paper.keys[one], self.paper.keys[other]
        (over, off), (under, base) = (
            (np.array(motion.rows), np.array(motion.shift))
            for motion in (self.plies.placed[key] for key in keys)
        )
        rows, shift = poses.seen_from(np.array([0]), np.array([one]), np.array([other]))
        if (
            np.abs(under.T @ over - rows[0]).max() > _LEVEL
            or np.abs(under.T @ (off - base) - shift[0]).max() > MEETS_MM
            or tuple(sorted(keys)) not in self.plies.order.above
        ):
            return 0.0
        # What lies above a panel lies on the face that looks up.
        return 1.0 if self.plies.order.is_above(*keys) == (under[2, 2] > 0.0) else -1.0


@dataclass(frozen=True, kw_only=True, slots=True)
class _Rest:
    """Two panels that lie on each other, by number, and a place there on the first one's paper.

    `told` is the side of the second that the first lies on, as the plies of the closed card
    tell: 1 in front, -1 behind, 0 where they do not.
    """

    pair: Pair
    at: tuple[float, float]
    told: float

    def side_of(self, poses: Poses, order: slice) -> float:
        """On which side the first is when it is next off the second, 0 where it never is.

        Looked for in poses from the one on in which they lie on each other, in an `order`.
        """
        first, second = self.pair
        rows, shift = poses.rows[order, first], poses.shift[order, first]
        at = rows[:, :, 0] * self.at[0] + rows[:, :, 1] * self.at[1] + shift
        off = at - poses.shift[order, second]
        height = (poses.rows[order, second, :, 2] * off).sum(axis=1)
        away = np.flatnonzero(np.abs(height) > MEETS_MM)
        return float(np.sign(height[away[0]])) if away.size else 0.0


def _some(poses: Poses, which: Ints) -> Poses:
    return Poses(
        paper=poses.paper,
        rows=poses.rows[which],
        shift=poses.shift[which],
        loose=poses.loose[which],
    )


def _polygon(rings: Sequence[Floats]) -> shapely.Geometry:
    # A slit from rim to rim of one panel runs there and back along one line.
    return shapely.make_valid(shapely.Polygon(rings[0], rings[1:]), method="structure")


def _rotations(line: Segment, degrees: Floats) -> tuple[Floats, Floats]:
    """The turns about a line of the flat paper, right-handed: [m, 3, 3] and [m, 3]."""
    (x0, y0), (x1, y1) = line.start.floats(), line.end.floats()
    length = np.hypot(x1 - x0, y1 - y0)
    x, y = (x1 - x0) / length, (y1 - y0) / length
    radians = np.radians(degrees)
    cos, sin = np.cos(radians), np.sin(radians)
    rest = 1.0 - cos
    rows = np.empty((len(degrees), 3, 3))
    rows[:, 0, 0], rows[:, 0, 1], rows[:, 0, 2] = cos + x * x * rest, x * y * rest, y * sin
    rows[:, 1, 0], rows[:, 1, 1], rows[:, 1, 2] = x * y * rest, cos + y * y * rest, -x * sin
    rows[:, 2, 0], rows[:, 2, 1], rows[:, 2, 2] = -y * sin, x * sin, cos
    shift = np.array((x0, y0, 0.0)) - rows[:, :, 0] * x0 - rows[:, :, 1] * y0
    return rows, shift
