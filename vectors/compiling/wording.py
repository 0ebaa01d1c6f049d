"""This module words lengths and places for the findings of the compile passes."""

from __future__ import annotations

from ..geometry import Point
from ..measures import Unit, exact_text


def mm(value: float) -> str:
    """A length with its unit: `0.35 mm`."""
    return exact_text(value, Unit.MM)


def spot(at: Point) -> str:
    """A place on the piece: `(32, 50) mm`."""
    x, y = (mm(value).removesuffix(" mm") for value in at.floats())
    return f"({x}, {y}) mm"
