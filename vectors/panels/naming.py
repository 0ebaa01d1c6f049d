"""This module gives panels the names that a design has for them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from ..design.pieces import Piece
from ..geometry import Path, Point
from ..geometry.meetings import share_of
from ..measures.exact import MEETS_MM
from ..problems import Problem, problem
from .faces import contains


def panel_names(
    piece: Piece,
    near: Callable[[Point], Iterable[int]],
    rims: Callable[[int], tuple[Path, ...]],
) -> tuple[dict[int, str], list[Problem]]:
    """The names of panels by their index, and what is wrong with the places of names.

    `near` tells in order the panels whose boxes hold a place, `rims` the boundaries
    of one, the outer first.
    """
    names: dict[int, str] = {}
    problems = []
    for given in piece.panel_names:
        at = given.at.rounded()
        home = next((index for index in near(at) if _holds(rims(index), at)), None)
        if home is None:
            problems.append(
                problem(
                    "panel-name-nowhere",
                    place=given.place,
                    piece=piece.name,
                    at=at.floats(),
                    name=given.name,
                )
            )
        elif home in names:
            problems.append(
                problem(
                    "panel-named-twice",
                    place=given.place,
                    piece=piece.name,
                    at=at.floats(),
                    name=given.name,
                    other=names[home],
                )
            )
        else:
            names[home] = given.name
    return names, problems


def all_names(names: dict[int, str], count: int) -> list[str]:
    """A name for each of some panels: those without one are counted."""
    unnamed = iter(range(1, count + 1))
    return [names[index] if index in names else f"panel {next(unnamed)}" for index in range(count)]


def _holds(rims: tuple[Path, ...], at: Point) -> bool:
    ring, *holes = rims
    return (
        contains(ring, at)
        and not any(contains(hole, at) for hole in holes)
        and _off_the_line(at, rims)
    )


def _off_the_line(at: Point, paths: Sequence[Path]) -> bool:
    return all(
        share_of(segment, at, MEETS_MM) is None for path in paths for segment in path.segments
    )
