"""Panels put into space by hand: loose ones by any motion, those of a piece by its folds."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from foldwright.design.pieces import Opening, Piece, Sense
from foldwright.folding.loops import PanelKey
from foldwright.folding.motion import STILL, Motion, Place3, rotation
from foldwright.folding.skeleton import HingeKey
from foldwright.geometry import Path, Point, polygon
from foldwright.panels import Assembly, assemble, divide

Corners = Sequence[tuple[float, float]]


def ring(corners: Corners) -> Path:
    """A closed path through corners."""
    return polygon(*(Point(float(x), float(y)) for x, y in corners))


def square(size: float, left: float = 0.0, bottom: float = 0.0) -> Path:
    """A square with its lower left corner at a place."""
    return box(size, size, left, bottom)


def box(width: float, height: float, left: float = 0.0, bottom: float = 0.0) -> Path:
    """A rectangle with its lower left corner at a place."""
    right, top = left + width, bottom + height
    return ring(((left, bottom), (right, bottom), (right, top), (left, top)))


def loose(*outlines: Path | tuple[Path, Path]) -> Assembly:
    """One piece without folds for each outline, or outline and opening: pieces a, b, c, ..."""
    divisions = {}
    for name, shape in zip("abcdefgh", outlines, strict=False):
        outline, opening = shape if isinstance(shape, tuple) else (shape, None)
        openings = () if opening is None else (Opening(name="hole", path=opening),)
        divisions[name] = divide(Piece(name=name, outline=outline, openings=openings))
        assert divisions[name].problems == ()
        assert len(divisions[name].panels) == 1
    return assemble(divisions, ())


A: PanelKey = ("a", 0)
B: PanelKey = ("b", 0)
C: PanelKey = ("c", 0)


def motion(
    axis: Place3 = (1.0, 0.0, 0.0), degrees: float = 0.0, shift: Place3 = (0.0, 0.0, 0.0)
) -> Motion:
    """A turn about an axis through the origin, right-handed, and then a shift."""
    size = math.sqrt(sum(x * x for x in axis))
    x, y, z = (part / size for part in axis)
    c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    d = 1.0 - c
    return Motion(
        (
            (c + x * x * d, x * y * d - z * s, x * z * d + y * s),
            (y * x * d + z * s, c + y * y * d, y * z * d - x * s),
            (z * x * d - y * s, z * y * d + x * s, c + z * z * d),
        ),
        shift,
    )


def folded(assembly: Assembly, turned: Mapping[str, float]) -> dict[PanelKey, Motion]:
    """Where the panels of the first piece are when folds, by label, are turned in their own sense.

    The first panel stays; the others follow breadth first, which is all there is where no
    loops are.
    """
    name, division = next(iter(assembly.divisions.items()))
    placed = {0: STILL}
    waiting = deque([0])
    while waiting:
        here = waiting.popleft()
        for number, beyond in division.neighbours[here]:
            if beyond in placed:
                continue
            hinge = division.hinges[number]
            raised = (beyond == hinge.left) == (hinge.sense is Sense.VALLEY)
            degrees = turned[hinge.label] if raised else -turned[hinge.label]
            placed[beyond] = placed[here] @ rotation(hinge.line, degrees)
            waiting.append(beyond)
    return {(name, index): moved for index, moved in placed.items()}


def hinge_turns(assembly: Assembly, turned: Mapping[str, float]) -> dict[HingeKey, float]:
    """The same turns by hinge."""
    name, division = next(iter(assembly.divisions.items()))
    return {(name, hinge.index): turned[hinge.label] for hinge in division.hinges}


@dataclass(frozen=True)
class Stop:
    """A pose on a way, made by hand."""

    share: float
    placed: Mapping[PanelKey, Motion]
    turned: Mapping[HingeKey, float]


def way_of(
    assembly: Assembly, closed: Mapping[str, float], stops: int, start: float = 0.0
) -> list[Stop]:
    """All folds turned alike from a share of their closed angles to the whole, in equal stops."""
    found = []
    for stop in range(stops + 1):
        share = start + (1.0 - start) * stop / stops
        turned = {label: share * degrees for label, degrees in closed.items()}
        found.append(
            Stop(share=share, placed=folded(assembly, turned), turned=hinge_turns(assembly, turned))
        )
    return found


def moving(stops: Sequence[Mapping[PanelKey, Motion]]) -> list[Stop]:
    """Poses in equal steps, no folds."""
    last = max(len(stops) - 1, 1)
    return [Stop(share=i / last, placed=placed, turned={}) for i, placed in enumerate(stops)]
