"""This module reckons how far all loops are from closing, and how that changes with each fold.

The residual of a loop is what its product of turns leaves of a rotation and of a
displacement (belcastro and Hull, Modelling the folding of paper into three
dimensions using affine transformations, 2002).  Its derivative by a fold is the
turn about that fold's line where the folds before it have carried it, so that
the Jacobian is exact and costs no more than the residual.  Rotations are told by
unit quaternions, whose vector part is nothing only where nothing is turned: half
a turn left over is the most that there is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .linkage import Floats, Linkage, Rounds


@dataclass(frozen=True, slots=True, eq=False)
class _Carried:
    """Where the turns of m loops carry their k lines and, in the end, the paper.

    `axes` [k, 3, m] are the lines' directions in space; `real` [m] and `vector`
    [3, m] the quaternion of the rotation left over, `spots` [k, 3, m] places on
    the lines and `there` [3, m] where the motion left over brings `spot_from`,
    each only where it is asked for.  The loops come last, so that numpy runs
    along them.
    """

    axes: Floats
    real: Floats
    vector: Floats
    spots: Floats
    there: Floats


def _carry(one: Rounds, turned: Floats) -> _Carried:
    if one.count <= _FEW:
        return _carried_by_matrices(one, turned)
    length, count = one.folds.shape
    halves = 0.5 * (one.signs * turned[one.folds])
    cosines, sines = np.cos(halves), np.sin(halves)
    axes, spots = np.empty((length, 3, count)), np.empty((length, 3, count))
    # Where the paper's own x, y and z directions and its origin have got to.
    x, y, z, origin = np.zeros((4, 3, count))
    x[0] = y[1] = z[2] = 1.0
    quaternion = np.zeros((4, count))
    quaternion[0] = 1.0
    for i in range(length):
        (ux, uy), (px, py) = one.ways[i], one.spots[i]
        c, s = cosines[i], sines[i]
        axis, across = x * ux + y * uy, y * ux - x * uy
        # The turn leaves the axis and tilts what lies across it.
        cosine, sine = c * c - s * s, 2.0 * s * c
        tilted = across * cosine + z * sine
        z = z * cosine - across * sine
        axes[i] = axis
        if one.meets:
            spots[i] = spot = x * px + y * py + origin
        x, y = axis * ux - tilted * uy, axis * uy + tilted * ux
        if one.meets:
            origin = spot - x * px - y * py
        if one.turns:
            quaternion = _times(quaternion, c, s * ux, s * uy)
    there = np.zeros((3, count))
    if one.meets:
        landing = one.landing
        there = x * landing[0] + y * landing[1] + z * landing[2] + origin
    if one.turns:
        quaternion = _after_joints(quaternion, one)
    return _Carried(axes, quaternion[0], quaternion[1:], spots, there)


# Up to so many loops of a kind are gone round by small matrices: numpy takes longer for each
# of its calls than the arithmetic of a few loops does, and this way it is called least.
_FEW = 40


def _carried_by_matrices(one: Rounds, turned: Floats) -> _Carried:
    """The same as `_carry`, turn by turn as a matrix, for all loops at once."""
    length, count = one.folds.shape
    halves = 0.5 * (one.signs * turned[one.folds])
    cosines, sines = np.cos(halves), np.sin(halves)
    still, along, across, lines = one.matrices
    # A turn is linear in the cosine and the sine of its angle, its quaternion in
    # those of half of it; a quaternion's product is that with a matrix too.
    first, second = np.empty((2, 2, length, count, 1, 1))
    first[0, ..., 0, 0], first[1, ..., 0, 0] = cosines * cosines - sines * sines, cosines
    second[0, ..., 0, 0], second[1, ..., 0, 0] = 2.0 * sines * cosines, sines
    turns = (still + along * first + across * second).transpose(1, 0, 2, 3, 4)
    carried = np.empty((length + 1, 2, count, 4, 4))
    carried[0] = _UNMOVED
    for i in range(length):
        np.matmul(carried[i], turns[i], out=carried[i + 1])
    laid = (carried[:-1, 0, :, :3] @ lines).transpose(3, 0, 2, 1)
    there = np.zeros((3, count))
    if one.meets:
        there = (carried[-1, 0, :, :3] @ one.landed)[..., 0].T
    quaternion = carried[-1, 1, :, 0].T
    if one.turns and one.joints_turn:
        quaternion = (carried[-1, 1, :, :1] @ one.rest_by)[:, 0].T
    return _Carried(laid[0], quaternion[0], quaternion[1:], laid[1], there)


_UNMOVED = np.eye(4)


def _times(quaternion: Floats, real: Floats, first: Floats, second: Floats) -> Floats:
    """The product with a quaternion that has no third vector part."""
    w, x, y, z = quaternion
    found = np.empty_like(quaternion)
    found[0] = w * real - x * first - y * second
    found[1] = w * first + x * real - z * second
    found[2] = w * second + y * real + z * first
    found[3] = z * real + x * second - y * first
    return found


def _after_joints(quaternion: Floats, one: Rounds) -> Floats:
    """The product with what the joints leave over, where there are any."""
    if not one.joints_turn:
        return quaternion
    w, x, y, z = quaternion
    found = _times(quaternion, *one.rest_turn[:3])
    found += one.rest_turn[3] * np.stack([-z, y, -x, w])
    return found


@dataclass(frozen=True, eq=False)
class Linearised:
    """The residual at a pose, and its derivative when it is asked for.

    `left` is what is left over round every loop, as a share of `linkage.size`:
    three numbers for the rotation, twice the sine of half its angle along its
    axis times the loop's reach, and three for the displacement; a vertex has the
    first three only.
    """

    linkage: Linkage
    carried: tuple[_Carried, ...]
    left: Floats

    @cached_property
    def slopes(self) -> tuple[Floats, ...]:
        """The derivative of each condition's rows by each of its folds, [k, height, m]."""
        return tuple(
            _slopes(one, carried, self.linkage.size)
            for one, carried in zip(self.linkage.rounds, self.carried, strict=True)
        )

    def pulled(self, weights: Floats) -> Floats:
        """The derivative of `weights` · residual by every fold."""
        found = np.zeros(len(self.linkage.hinges))
        for one, slopes in zip(self.linkage.rounds, self.slopes, strict=True):
            pull = np.einsum("khm,hm->km", slopes, weights[one.rows])
            found += np.bincount(one.folds.ravel(), pull.ravel(), len(found))
        return found

    def moved(self, step: Floats) -> Floats:
        """How the residual changes, to first order, when every fold turns by `step` radians."""
        found = np.zeros(self.linkage.height)
        for one, slopes in zip(self.linkage.rounds, self.slopes, strict=True):
            found[one.rows] = np.einsum("khm,km->hm", slopes, step[one.folds])
        return found

    def squared(self) -> Floats:
        """The entries of the Jacobian's square, whose places are `linkage.pairs`."""
        parts = [np.einsum("ihm,jhm->ijm", one, one).ravel() for one in self.slopes]
        return np.concatenate(parts) if parts else np.zeros(0)

    def curved(self, weights: Floats) -> Floats:
        """The second derivatives of `weights` · residual, whose places are `linkage.pairs`."""
        parts = [
            _curved(one, carried, weights[one.rows], self.linkage.size).ravel()
            for one, carried in zip(self.linkage.rounds, self.carried, strict=True)
        ]
        return np.concatenate(parts) if parts else np.zeros(0)

    def dense(self) -> Floats:
        """The Jacobian by every fold as a full table."""
        table = np.zeros((self.linkage.height, len(self.linkage.hinges)))
        for one, slopes in zip(self.linkage.rounds, self.slopes, strict=True):
            rows = np.broadcast_to(one.rows, slopes.shape)
            # A loop may pass a fold twice, there and back.
            np.add.at(table, (rows, one.folds[:, None]), slopes)
        return table


def linearised(linkage: Linkage, turned: Floats) -> Linearised:
    """How far the loops are from closing with every fold turned so far, in radians."""
    found = np.zeros(linkage.height)
    every = []
    for one in linkage.rounds:
        carried = _carry(one, turned)
        found[one.row : one.row + one.height * one.count] = _left_over(
            one, carried, linkage.size
        ).ravel()
        every.append(carried)
    return Linearised(linkage, tuple(every), found)


def residual(linkage: Linkage, turned: Floats) -> Floats:
    """What is left over round every loop, as a share of `linkage.size`; `turned` in radians."""
    return linearised(linkage, turned).left


def _left_over(one: Rounds, carried: _Carried, size: float) -> Floats:
    found = np.empty((one.height, one.count))
    if one.turns:
        found[:3] = carried.vector * (2.0 / size * one.reach * one.weight)
    if one.meets:
        found[3 * one.turns :] = (carried.there - one.spot_to) * (one.weight / size)
    return found


def _slopes(one: Rounds, carried: _Carried, size: float) -> Floats:
    axes = carried.axes
    found = np.empty((len(one.folds), one.height, one.count))
    if one.turns:
        # Half the vector part of the product of w and the quaternion.
        turned = axes * carried.real + _cross(axes, carried.vector[None])
        found[:, :3] = turned * (1.0 / size * one.reach * one.weight)
    if one.meets:
        arm = carried.there - carried.spots
        found[:, 3 * one.turns :] = _cross(axes, arm) * (one.weight / size)
    found *= one.signs[:, None]
    return found


def _curved(one: Rounds, carried: _Carried, weights: Floats, size: float) -> Floats:
    """The second derivatives by two folds of each loop, [k, k, m].

    Turning fold i and fold j, which comes later round the loop, acts on what
    they carry as the one turn after the other.
    """
    length, count = one.folds.shape
    table = np.zeros((length, length, count))
    axes = carried.axes * one.signs[:, None]
    for i in range(length):
        here, later = axes[i], axes[i:]
        both = np.zeros((length - i, count))
        if one.turns:
            pull = weights[:3] * (0.5 / size * one.reach * one.weight)
            both += _turned_twice(here, later, carried, pull)
        if one.meets:
            arm = _cross(later, carried.there - carried.spots[i:])
            pull = weights[3 * one.turns :] * (one.weight / size)
            both += np.einsum("kim,im->km", _cross(here[None], arm), pull)
        table[i, i:] = both
        table[i:, i] = both
    return table


def _turned_twice(here: Floats, later: Floats, carried: _Carried, pull: Floats) -> Floats:
    """The vector part of a b q against `pull`: a is `here`, b each of `later`, q what is left."""
    crossed = _cross(here[None], later)
    dots = np.einsum("im,kim->km", here, later)
    # v against pull, and (a x b) against q0 pull + v x pull.
    along = np.einsum("im,im->m", carried.vector, pull)
    turned = carried.real * pull + _cross(carried.vector[None], pull[None])[0]
    found: Floats = np.einsum("kim,im->km", crossed, turned) - dots * along
    return found


def _cross(a: Floats, b: Floats) -> Floats:
    """The vector products of [k, 3, m] and [k, 3, m]; either k may be 1."""
    # Each goes on with its first two rows, so that the others are reached by slices.
    a, b = np.concatenate([a, a[:, :2]], axis=1), np.concatenate([b, b[:, :2]], axis=1)
    found: Floats = a[:, 1:4] * b[:, 2:] - a[:, 2:] * b[:, 1:4]
    return found
