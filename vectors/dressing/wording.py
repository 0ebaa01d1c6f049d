"""This module words the sizes that findings on envelopes and the post tell."""

from __future__ import annotations

from ..measures import Unit
from ..proving.judging import millimetres


def size_text(mm: float, units: Unit) -> str:
    """A length with its unit; inches to a thousandth."""
    return f"{millimetres(mm / float(units.mm))} {units}"
