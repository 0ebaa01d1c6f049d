"""This module tells how thick a stock is."""

from __future__ import annotations

from collections.abc import Mapping

from ..design.resolve import EVERY_OTHER_STOCK


def caliper_of(stock: str | None, calipers: Mapping[str, float]) -> float | None:
    """The thickness of a stock in mm, None where it is not known.

    What `calipers` has under the empty name serves stocks that are not named, and paper
    without a stock.
    """
    every = calipers.get(EVERY_OTHER_STOCK)
    return every if stock is None else calipers.get(stock, every)
