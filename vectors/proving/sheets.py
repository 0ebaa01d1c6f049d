"""This module judges whether each piece can be cut from a sheet of its stock."""

from __future__ import annotations

from collections.abc import Iterator

from ..design.pieces import Resolved
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..problems import Problem, problem
from .judging import figure


def sheet_problems(resolved: Resolved) -> Iterator[Problem]:
    """A warn for each piece that is larger than the sheet which its stock is bought in.

    A piece may be turned by a quarter turn, and lies along the edges of the sheet.
    """
    units = Unit(resolved.units)
    for piece in resolved.pieces:
        stock = None if piece.stock is None else resolved.stocks.get(piece.stock)
        if stock is None or stock.sheet_mm is None:
            continue
        left, bottom, right, top = piece.outline.box()
        low, high = sorted((right - left, top - bottom))
        short, long = sorted(map(float, stock.sheet_mm))
        over = max(low - short, high - long)
        if over > MEETS_MM:
            yield problem(
                "piece-past-sheet",
                place=piece.place,
                piece=piece.name,
                measure_mm=over,
                name=piece.name,
                size=f"{figure(high, units)} by {figure(low, units)}",
                over=figure(over, units),
                sheet=stock.sheet,
                stock=stock.name,
            )
