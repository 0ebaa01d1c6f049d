"""This module finds what is stuck on a panel and reaches past its edge, or out of the closed card.

A gem may overlap a fold by a hair and a figure may rise above its panel on purpose; but
what reaches out of the closed card is bent in the envelope.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely

from ..design.pieces import Extra
from ..folding import PanelKey
from ..measures.exact import SLIVER_MM
from .cover import Cover
from .glued import Glued
from .laid import laid


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Reach:
    """An extra that reaches out of the panel it lies on: by `panel_mm` at most.

    `card_mm` is how far it reaches out of the rectangle round the closed card, 0 where it
    stays inside.
    """

    extra: Extra
    panel: PanelKey
    panel_mm: float
    card_mm: float


def reaches_of(cover: Cover, glued: Sequence[Glued]) -> Iterator[Reach]:
    """The extras that reach out of their panels by more than SLIVER_MM, in the order given.

    Nothing is said of an extra without a size or a place, nor of one whose middle lies off its
    panel, which is told by itself.
    """
    for one in glued:
        footprint = cover.footprints.get(one.panel)
        if not isinstance(one.part, Extra) or footprint is None or one.shape is None:
            continue
        shape = laid(one.shape, footprint.placed)
        if shape.area == 0.0 or not shapely.intersects(footprint.polygon, shape.centroid):
            continue
        by = _past(shape, footprint.polygon)
        if by > SLIVER_MM:
            out = _past_box(shape, cover.outline)
            yield Reach(
                extra=one.part,
                panel=one.panel,
                panel_mm=by,
                card_mm=out if out > SLIVER_MM else 0.0,
            )


def _past(shape: Any, panel: Any) -> float:
    """How far a corner of a shape lies from a panel at most."""
    corners = shapely.points(shapely.get_coordinates(shape))
    return float(np.max(shapely.distance(corners, panel)))


def _past_box(shape: Any, outline: Any) -> float:
    """How far a shape reaches past the rectangle round an outline, along an axis."""
    left, low, right, high = shape.bounds
    card = outline.bounds
    return float(max(card[0] - left, card[1] - low, right - card[2], high - card[3], 0.0))
