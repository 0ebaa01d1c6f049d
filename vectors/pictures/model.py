"""This module holds a picture: areas, lines and words on a page, for whoever writes it.

Everything is in mm on the page with y up and the origin at its lower left corner.
A picture knows nothing of designs; a writer of pictures sees nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from ..geometry import Path, Point, Vector


class Hatch(StrEnum):
    """A filling that is told without colour."""

    RISING = "rising"
    FALLING = "falling"
    DOTS = "dots"


class Anchor(StrEnum):
    """Which part of a line of words stands at its place."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, kw_only=True, slots=True)
class Pen:
    """How a line looks: `#rrggbb`, width in mm, lengths of dash and space in turn (none: solid).

    `name` says what the line stands for.  Ends and corners are square, or `rounded`.
    """

    name: str
    colour: str
    width: float
    dashes: tuple[float, ...] = ()
    rounded: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A path drawn with a pen."""

    path: Path
    pen: Pen


@dataclass(frozen=True, kw_only=True, slots=True)
class Area:
    """What lies inside an odd number of closed paths, hatched or filled with a plain colour."""

    paths: tuple[Path, ...]
    fill: Hatch | str


@dataclass(frozen=True, kw_only=True, slots=True)
class Words:
    """A line of words; `at` is on its base line, `size` the size of the letters in mm."""

    text: str
    at: Point
    size: float
    anchor: Anchor = Anchor.START
    bold: bool = False


Part = Line | Area | Words


@dataclass(frozen=True, kw_only=True, slots=True)
class Picture:
    """A page of parts, the first one at the back.

    `title` and `about` are read out to those who do not see it.
    """

    title: str
    about: str
    width: float
    height: float
    parts: tuple[Part, ...]


def moved(parts: Iterable[Part], by: Vector) -> tuple[Part, ...]:
    """The same parts elsewhere on the page."""
    return tuple(_moved(part, by) for part in parts)


def _moved(part: Part, by: Vector) -> Part:
    if isinstance(part, Line):
        return replace(part, path=part.path.moved(by))
    if isinstance(part, Area):
        return replace(part, paths=tuple(path.moved(by) for path in part.paths))
    return replace(part, at=part.at + by)
