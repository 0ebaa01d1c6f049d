"""This module puts the parts of a page that run down from its upper left corner into a picture."""

from __future__ import annotations

from collections.abc import Sequence

from ..geometry import Vector
from .model import Part, Picture, moved

# What is left free all round a page, in mm.
RIM_MM = 10.0


def framed(title: str, about: str, parts: Sequence[Part], *, width: float, foot: float) -> Picture:
    """A picture of parts that lie below and to the right of the origin, with a rim all round.

    They take the room to `width` to the right and down to `foot`, in mm and below 0.
    """
    height = 2.0 * RIM_MM - foot
    return Picture(
        title=title,
        about=about,
        width=width + 2.0 * RIM_MM,
        height=height,
        parts=moved(parts, Vector(RIM_MM, height - RIM_MM)),
    )
