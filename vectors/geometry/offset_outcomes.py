"""This module names what becomes of a path that is moved: rings, and how they differ from it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from .offset import Lost
from .paths import Path
from .points import Point


class Change(StrEnum):
    """How an offset differs from its source."""

    VANISHED = "nothing is left"
    CLOSED = "a part that is too narrow closes"
    CORNER = "a corner that turns in is too tight to be followed"
    TIP = "a corner that turns in is too sharp to be followed to its tip"
    NECK = "two sides that are no neighbours meet, and close a neck"


@dataclass(frozen=True, slots=True)
class Changed:
    """A change, its place on the source, and its size, in mm.

    The size is the width of what vanished, closed or is a neck; of a corner it is
    the radius of its arc, or the length of its sides, and of a tip what is left of it.
    """

    change: Change
    at: Point
    size: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Rings:
    """What became of a path that was moved.

    `paths` are its rings, run like the source (a room that was closed off runs the
    other way), and `changed` says how they differ from it: nothing is left where both
    the paths are empty and there is a change.  `rounded` are corners that got an
    arc in place of a mitre.  `refitted` tells that the lines and arcs were fitted to a
    flattened edge; what was lost is then told by `losses`.  `losses` without paths say
    why there is no right answer.
    """

    paths: tuple[Path, ...]
    rounded: tuple[Point, ...] = ()
    changed: tuple[Changed, ...] = ()
    losses: tuple[Lost, ...] = ()
    refitted: bool = False
