"""This module reckons how far all loops are from closing, and how that changes with each fold.

The residual of a loop is what its product of turns leaves of a rotation and of a
displacement (belcastro and Hull, Modelling the folding of paper into three
dimensions using affine transformations, 2002).  Its derivative by a fold is the
turn about that fold's line where the folds before it have carried it, so that
the Jacobian is exact and costs no more than the residual.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .linkage import Floats, Linkage, Rounds


@dataclass(frozen=True, slots=True, eq=False)
class _Carried:
    """Where the turns of m loops carry their k lines and, in the end, the paper.

    `axes` and `spots` [k, 3, m] are the lines' directions and places in space,
    `rows` [3, 3, m] the rotation left over, `there` [3, m] where the motion left
    over brings `spot_from`.  The loops come last, so that numpy runs along them.
    """

    axes: Floats
    spots: Floats
    rows: Floats
    there: Floats

    @property
    def skew(self) -> Floats:
        """Twice the axial vector of the rotation's skew part, [3, m]."""
        rows = self.rows
        return np.stack([rows[2, 1] - rows[1, 2], rows[0, 2] - rows[2, 0], rows[1, 0] - rows[0, 1]])


def _carry(one: Rounds, turned: Floats) -> _Carried:
    length, count = one.folds.shape
    angles = one.signs * turned[one.folds]
    cosines, sines = np.cos(angles), np.sin(angles)
    axes, spots = np.empty((length, 3, count)), np.empty((length, 3, count))
    # Where the paper's own x, y and z directions and its origin have got to.
    x, y, z, origin = np.zeros((4, 3, count))
    x[0] = y[1] = z[2] = 1.0
    for i in range(length):
        (ux, uy), (px, py) = one.ways[i], one.spots[i]
        axis, across = x * ux + y * uy, y * ux - x * uy
        spot = x * px + y * py + origin
        # The turn leaves the axis and tilts what lies across it.
        cosine, sine = cosines[i], sines[i]
        tilted = across * cosine + z * sine
        z = z * cosine - across * sine
        x, y = axis * ux - tilted * uy, axis * uy + tilted * ux
        origin = spot - x * px - y * py
        axes[i], spots[i] = axis, spot
    ahead = np.stack([x, y, z], axis=1)
    rows = np.einsum("ijm,jkm->ikm", ahead, one.rest_rows)
    there = np.einsum("ijm,jm->im", ahead, one.rest_shift) + origin
    there += np.einsum("ijm,jm->im", rows, one.spot_from)
    return _Carried(axes, spots, rows, there)


@dataclass(frozen=True, eq=False)
class Linearised:
    """The residual at a pose, and its derivative when it is asked for.

    `left` is what is left over round every loop, as a share of `linkage.size`:
    three numbers for the rotation, times the loop's reach, and three for the
    displacement; a vertex has the first three only.
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
        parts.append(carried.skew * (0.5 / size * one.reach))
    if one.meets:
        parts.append((carried.there - one.spot_to) / size)
    return np.concatenate(parts)


def _slopes(one: Rounds, carried: _Carried, size: float) -> Floats:
    parts = []
    axes = carried.axes
    if one.turns:
        # The axial vector of the skew part of [w]x R is (tr(R) w - R w) / 2.
        rows = carried.rows
        trace = rows[0, 0] + rows[1, 1] + rows[2, 2]
        turned = axes * trace - np.einsum("ijm,kjm->kim", rows, axes)
        parts.append(turned * (0.5 / size * one.reach))
    if one.meets:
        parts.append(_cross(axes, carried.there - carried.spots) / size)
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
            pull = weights[:3] * (0.5 / size * one.reach)
            both += _turned_twice(here, later, carried, pull)
        if one.meets:
            arm = _cross(later, carried.there - carried.spots[i:])
            pull = weights[3 * one.turns :] / size
            both += np.einsum("kim,im->km", _cross(here[None], arm), pull)
        table[i, i:] = both
        table[i:, i] = both
    return table


def _turned_twice(here: Floats, later: Floats, carried: _Carried, pull: Floats) -> Floats:
    """Twice the axial part of [a]x [b]x R against `pull`: a is `here`, b each of `later`."""
    # [a]x [b]x = b a^T - (a . b) 1, and twice the axial vector of b c^T is c x b.
    back = np.einsum("ijm,im->jm", carried.rows, here)
    found: Floats = np.einsum("kim,im->km", _cross(back[None], later), pull)
    dots = np.einsum("im,kim->km", here, later)
    found -= dots * np.einsum("im,im->m", carried.skew, pull)
    return found


def _cross(a: Floats, b: Floats) -> Floats:
    """The vector products of [k, 3, m] and [k, 3, m]; either k may be 1."""
    ax, ay, az = a[:, 0], a[:, 1], a[:, 2]
    bx, by, bz = b[:, 0], b[:, 1], b[:, 2]
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)
