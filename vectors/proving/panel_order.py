"""This module says in which order the folds lie round the loops of a piece.

A mend keeps that order: a line that jumped over another one makes a different
card.
"""

from __future__ import annotations

from ..panels import Division

PanelOrder = tuple[int, tuple[tuple[str, ...], ...]]


def panel_order(division: Division) -> PanelOrder:
    """How many panels there are, and for each knot its folds in the order of the way round.

    The knots are sorted by their folds: their places move with the lines.
    """
    rounds = (
        tuple(division.hinges[crossing.hinge].label for crossing in knot.crossings)
        for knot in division.knots
    )
    return len(division.panels), tuple(sorted(rounds))
