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

from collections.abc import Iterable
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
        return _carried_singly(one, turned)
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


# Up to so many loops of a kind are gone round one by one: numpy takes longer for each of its
# calls than the arithmetic of a few loops does.
_FEW = 6


def _carried_singly(one: Rounds, turned: Floats) -> _Carried:
    """The same as `_carry` to the last digit, number by number."""
    length, count = one.folds.shape
    halves = 0.5 * (one.signs * turned[one.folds])
    columns = zip(np.cos(halves).T.tolist(), np.sin(halves).T.tolist(), one.lines, strict=True)
    found = np.array(
        [_gone_round(zip(cosines, sines, *lines, strict=True)) for cosines, sines, lines in columns]
    ).T
    x, y, z, origin = found[:12].reshape(4, 3, count)
    quaternion = found[12:16]
    there = np.zeros((3, count))
    if one.meets:
        landing = one.landing
        there = x * landing[0] + y * landing[1] + z * landing[2] + origin
    if one.turns:
        quaternion = _after_joints(quaternion, one)
    axes, spots = found[16:].reshape(length, 2, 3, count).transpose(1, 0, 2, 3)
    return _Carried(axes, quaternion[0], quaternion[1:], spots, there)


def _gone_round(turns: Iterable[tuple[float, float, float, float, float, float]]) -> list[float]:
    """Round one loop: the paper's x, y, z and origin, the quaternion, then axis and spot of each.

    A turn is given by cosine and sine of half its angle, the way of its line and a spot on it.
    """
    xa, xb, xc = 1.0, 0.0, 0.0
    ya, yb, yc = 0.0, 1.0, 0.0
    za, zb, zc = 0.0, 0.0, 1.0
    oa, ob, oc = 0.0, 0.0, 0.0
    qw, qx, qy, qz = 1.0, 0.0, 0.0, 0.0
    lines: list[float] = []
    for c, s, ux, uy, px, py in turns:
        cosine, sine = c * c - s * s, 2.0 * s * c
        # The turn leaves the axis and tilts what lies across it.
        aa, ab, ac = xa * ux + ya * uy, xb * ux + yb * uy, xc * ux + yc * uy
        ca, cb, cc = ya * ux - xa * uy, yb * ux - xb * uy, yc * ux - xc * uy
        ta, tb, tc = ca * cosine + za * sine, cb * cosine + zb * sine, cc * cosine + zc * sine
        za, zb, zc = za * cosine - ca * sine, zb * cosine - cb * sine, zc * cosine - cc * sine
        sa, sb, sc = xa * px + ya * py + oa, xb * px + yb * py + ob, xc * px + yc * py + oc
        xa, xb, xc = aa * ux - ta * uy, ab * ux - tb * uy, ac * ux - tc * uy
        ya, yb, yc = aa * uy + ta * ux, ab * uy + tb * ux, ac * uy + tc * ux
        oa, ob, oc = sa - xa * px - ya * py, sb - xb * px - yb * py, sc - xc * px - yc * py
        first, second = s * ux, s * uy
        qw, qx, qy, qz = (
            qw * c - qx * first - qy * second,
            qw * first + qx * c - qz * second,
            qw * second + qy * c + qz * first,
            qz * c + qx * second - qy * first,
        )
        lines += (aa, ab, ac, sa, sb, sc)
    return [xa, xb, xc, ya, yb, yc, za, zb, zc, oa, ob, oc, qw, qx, qy, qz, *lines]


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
        found[one.rows] = _left_over(one, carried, linkage.size)
        every.append(carried)
    return Linearised(linkage, tuple(every), found)


def residual(linkage: Linkage, turned: Floats) -> Floats:
    """What is left over round every loop, as a share of `linkage.size`; `turned` in radians."""
    return linearised(linkage, turned).left


def _left_over(one: Rounds, carried: _Carried, size: float) -> Floats:
    parts = []
    if one.turns:
        parts.append(carried.vector * (2.0 / size * one.reach * one.weight))
    if one.meets:
        parts.append((carried.there - one.spot_to) * (one.weight / size))
    return np.concatenate(parts)


def _slopes(one: Rounds, carried: _Carried, size: float) -> Floats:
    parts = []
    axes = carried.axes
    if one.turns:
        # Half the vector part of the product of w and the quaternion.
        turned = axes * carried.real + _cross(axes, carried.vector[None])
        parts.append(turned * (1.0 / size * one.reach * one.weight))
    if one.meets:
        parts.append(_cross(axes, carried.there - carried.spots) * (one.weight / size))
    return np.concatenate(parts, axis=1) * one.signs[:, None]


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
    ax, ay, az = a[:, 0], a[:, 1], a[:, 2]
    bx, by, bz = b[:, 0], b[:, 1], b[:, 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)
