"""This module tells which of many panels folds join to the largest part of a piece."""

from __future__ import annotations

import numpy as np

from ..geometry.box_pairs import Floats, Indices


def unreached(area: Floats, left: Indices, right: Indices) -> tuple[int, ...]:
    """The panels, in order, that hinges do not join to the largest part of the piece.

    `area` is that of each panel, `left` and `right` the panels beside each hinge.
    """
    part = parts_of(len(area), left, right)
    firsts = np.unique(part)
    if len(firsts) < 2:
        return ()
    # By area, rounded so that equal ones tie; then the one that lies lowest.
    size = np.round(np.bincount(part, area, minlength=len(area))[firsts], 6)
    kept = firsts[np.argmax(size)]
    return tuple(np.flatnonzero(part != kept).tolist())


def parts_of(count: int, left: Indices, right: Indices) -> Indices:
    """For each of `count` panels the first one of the part that it belongs to.

    Every part learns of the lowest one it touches, and all of it follows, until
    none touches a lower one.
    """
    part = np.arange(count)
    while True:
        one, other = part[left], part[right]
        if (one == other).all():
            return part
        lower = np.minimum(one, other)
        np.minimum.at(part, one, lower)
        np.minimum.at(part, other, lower)
        while True:
            on = part[part]
            if (on == part).all():
                break
            part = on
