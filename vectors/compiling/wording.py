"""This module words lengths for the findings of the compile passes."""

from __future__ import annotations

from ..measures import Unit, exact_text


def mm(value: float) -> str:
    """A length with its unit: `0.35 mm`."""
    return exact_text(value, Unit.MM)
