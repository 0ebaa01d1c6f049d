"""This module stands a folded design on the table: z up, the table at z = 0."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ..measures.exact import MEETS_MM
from ..panels import Assembly
from .linkage import Floats
from .loops import PanelKey
from .motion import STILL, Motion
from .skeleton import first_panel

# Between parts that lie side by side, in mm.
BESIDE_MM = 10.0

# Turned over about the x axis of the flat paper.
_OVER = Motion(((1.0, 0.0, 0.0), (0.0, -1.0, 0.0), (0.0, 0.0, -1.0)), (0.0, 0.0, 0.0))


def on_the_table(
    assembly: Assembly,
    placed: Mapping[PanelKey, Motion],
    on: Sequence[PanelKey],
    parts: Sequence[Sequence[PanelKey]],
) -> dict[PanelKey, Motion]:
    """Where every panel is when the first of the panels `on` lies on the table.

    Its front looks up, unless more of the card lies below it that way than above;
    then it is turned over.  x and y are those of its flat paper.  Where no panel
    is named the largest one of the first piece is laid, and the card lifted until
    nothing of it is below the table.  Of further `parts`, which nothing ties to the first,
    each is laid so by itself, from its first panel, and put aside to the right.
    """
    first = first_panel(assembly)
    laid: dict[PanelKey, Motion] = {}
    right: float | None = None
    for part in parts:
        some = {key: placed[key] for key in part if key in placed}
        if not some:
            continue
        below = [key for key in on if key in some]
        lowest = below[0] if below else first if first in some else part[0]
        stood = _laid(assembly, some, lowest, lift=not below)
        if len(parts) > 1:
            left, far = _across(assembly, stood)
            if right is not None:
                aside = Motion(STILL.rows, (right + BESIDE_MM - left, 0.0, 0.0))
                stood = {key: aside @ motion for key, motion in stood.items()}
                far += right + BESIDE_MM - left
            right = far
        laid |= stood
    return {key: laid[key] for key in placed}


def _laid(
    assembly: Assembly, placed: Mapping[PanelKey, Motion], first: PanelKey, *, lift: bool
) -> dict[PanelKey, Motion]:
    """One part with its panel `first` laid, or lifted from there."""
    back = inverse(placed[first])
    laid = {key: back @ motion for key, motion in placed.items()}
    heights = _heights(assembly, laid)
    if -heights.min(initial=0.0) > heights.max(initial=0.0) + MEETS_MM:
        laid = {key: _OVER @ motion for key, motion in laid.items()}
        heights = -heights
    lowest = float(heights.min(initial=0.0))
    if not lift or lowest >= 0.0:
        return laid
    lifted = Motion(STILL.rows, (0.0, 0.0, -lowest))
    return {key: lifted @ motion for key, motion in laid.items()}


def off_the_table(
    assembly: Assembly, placed: Mapping[PanelKey, Motion], on: Sequence[PanelKey]
) -> Iterator[tuple[PanelKey, float]]:
    """The panels that should lie on the table and do not, with how far off a corner is, in mm."""
    for key in on:
        height = float(np.abs(_heights(assembly, {key: placed[key]})).max(initial=0.0))
        if height > MEETS_MM:
            yield key, height


def inverse(motion: Motion) -> Motion:
    """The motion that undoes another."""
    (a, b, c), (d, e, f), (g, h, i) = motion.rows
    back = Motion(((a, d, g), (b, e, h), (c, f, i)), (0.0, 0.0, 0.0))
    x, y, z = back.apply3(motion.shift)
    return Motion(back.rows, (-x, -y, -z))


def _across(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> tuple[float, float]:
    """The least and the largest x of all corners of all panels."""
    xs = _corners(assembly, placed)[:, 0]
    return float(xs.min()), float(xs.max())


def _heights(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> Floats:
    """The heights of all corners of all panels."""
    return _corners(assembly, placed)[:, 2]


def _corners(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> Floats:
    found = []
    for (piece, index), motion in placed.items():
        ring = assembly.divisions[piece].panels[index].ring
        for segment in ring.segments:
            found.append(motion.apply(segment.start))
    return np.array(found, dtype=float).reshape(-1, 3)
