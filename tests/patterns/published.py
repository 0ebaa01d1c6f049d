"""Published values by the number of their fact, for the tests beside this file."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parents[1] / "published"


@cache
def _facts(file: str) -> dict[str, Any]:
    with (FOLDER / file).open("rb") as stream:
        return {fact["id"]: fact["value"] for fact in tomllib.load(stream)["fact"]}


def iso(name: str) -> tuple[float, float]:
    """The short and the long side of a size of ISO 216 in mm, P01."""
    short, long = _facts("envelopes.toml")["P01"][name]
    return float(short), float(long)


def letter() -> tuple[Fraction, Fraction]:
    """The short and the long side of a US letter sheet in inches, size A of P10."""
    short, long = _facts("envelopes.toml")["P10"]["A"]
    return Fraction(short), Fraction(long)


def quarter_letter_mm() -> tuple[float, float]:
    """The sides of a quarter of that sheet in mm."""
    short, long = letter()
    return float(short / 2 * Fraction("25.4")), float(long / 2 * Fraction("25.4"))


def panels(number: str) -> list[Fraction]:
    """The widths in inches of the panels of a published fold."""
    return [Fraction(width) for width in _facts("thickness_folds.toml")[number]]


def taken(what: str) -> Fraction:
    """What T15 takes off, in inches: `gap` between two flaps, `per_panel` of what lies inside."""
    return Fraction(_facts("thickness_folds.toml")["T15"][what])
