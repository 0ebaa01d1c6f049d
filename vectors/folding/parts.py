"""This module parts a mechanism where no loop ties its folds together."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .linkage import Ints, Linkage


def looped_parts(linkage: Linkage, free: Ints | None = None) -> list[Ints]:
    """The folds that share loops, by column, part by part in the order of their first folds.

    With `free` only those folds count: held ones tie nothing together.  Folds in
    no loop are in no part.
    """
    count = len(linkage.hinges)
    counts = np.ones(count, dtype=bool)
    if free is not None:
        counts[:] = False
        counts[free] = True
    # What does not count has a label above all others, which it gives to nobody.
    label = np.where(counts, np.arange(count), count)
    looped = np.zeros(count, dtype=bool)
    for one in linkage.rounds:
        looped[one.folds.ravel()] = True
    looped &= counts
    # Every fold takes the least label of its loops until nothing changes.
    while True:
        before = label.copy()
        for one in linkage.rounds:
            if not len(one.folds):
                continue
            least = label[one.folds].min(axis=0)
            np.minimum.at(label, one.folds, np.broadcast_to(least, one.folds.shape))
            label[~counts] = count
        label[counts] = label[label[counts]]
        if (label == before).all():
            break
    return [np.flatnonzero((label == first) & looped) for first in np.unique(label[looped])]


def of_part(linkage: Linkage, part: Ints) -> Linkage:
    """The linkage with the loops of one part only."""
    inside = np.zeros(len(linkage.hinges), dtype=bool)
    inside[part] = True
    rounds, row = [], 0
    for one in linkage.rounds:
        kept = np.flatnonzero(inside[one.folds].any(axis=0))
        if not len(kept):
            continue
        some = replace(
            one,
            numbers=one.numbers[kept],
            folds=one.folds[:, kept],
            signs=one.signs[:, kept],
            ways=one.ways[:, :, kept],
            spots=one.spots[:, :, kept],
            rest_rows=one.rest_rows[:, :, kept],
            rest_shift=one.rest_shift[:, kept],
            spot_from=one.spot_from[:, kept],
            spot_to=one.spot_to[:, kept],
            reach=one.reach[kept],
            weight=one.weight[kept],
            row=row,
        )
        row += some.height * some.count
        rounds.append(some)
    return replace(linkage, rounds=tuple(rounds), height=row)
