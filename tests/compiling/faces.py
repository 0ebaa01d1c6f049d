"""A part without any symmetry, and a profile that scores valleys from the back."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

from foldwright.compiling import Compiled
from foldwright.design.pieces import Fold, Piece, Sense
from foldwright.drawing import Drawing, Side, Stroke
from foldwright.geometry import Path, Vertex, bulge_through, point, polygon
from foldwright.problems import Place, Problem
from foldwright.profiles.model import Confidence, Figure, ToolWay

Spot = tuple[float, float]

F_CORNERS = (
    (0, 0), (10, 0), (10, 20), (25, 20), (25, 30), (10, 30), (10, 45), (40, 45), (40, 60), (0, 60),
)  # fmt: skip

RULES = (
    "corner-register",
    "register-holds-little",
    "register-in-the-rim",
    "second-face",
    "lies-face-down",
    "does-not-fit",
    "nothing-to-work",
)

REGISTRATION = Figure(
    value=0.5,
    basis="by eye",
    confidence=Confidence.ESTIMATE,
    place=Place(file="card.toml", line=7),
)


def fold(name: str, sense: Sense, *vertices: Vertex) -> Fold:
    path = Path(vertices)
    return Fold(
        name=name,
        path=path,
        senses=(sense,) * len(path.segments),
        angle=Fraction(180),
        place=Place(line=10),
    )


def spot(x: int, y: int, bulge: float = 0.0) -> Vertex:
    return Vertex(point(x, y), bulge)


def f_part() -> Piece:
    """A part in the form of an F, 40 by 60 mm.

    It has a valley across its foot, a valley on an arc in its stem, from (2, 25)
    over (5, 28) to (8, 25), and a mountain across its head.
    """
    bow = bulge_through(point(2, 25), point(5, 28), point(8, 25))
    return Piece(
        name="card",
        outline=polygon(*(point(*at) for at in F_CORNERS)),
        folds=(
            fold("foot", Sense.VALLEY, spot(0, 10), spot(10, 10)),
            fold("bow", Sense.VALLEY, spot(2, 25, bow), spot(8, 25)),
            fold("head", Sense.MOUNTAIN, spot(0, 52), spot(40, 52)),
        ),
        place=Place(line=3),
    )


def from_the_back(way: ToolWay) -> ToolWay:
    """The same way with valleys scored from the back."""
    assert way.score is not None
    score = replace(way.score, valleys_from=Side.BACK, registration=REGISTRATION)
    return replace(way, score=score)


def told(compiled: Compiled) -> list[Problem]:
    """What was found about faces, registers and the machine, the rest left out."""
    return [found for found in compiled.findings if found.rule in RULES]


def ends(stroke: Stroke) -> set[Spot]:
    """Where a stroke starts and ends, to the nanometre."""
    return {shown(stroke.path.start.floats()), shown(stroke.path.end.floats())}


def shown(at: Spot) -> Spot:
    return round(at[0], 6) + 0.0, round(at[1], 6) + 0.0


def the(drawing: Drawing, source: str, side: Side | None = None) -> Stroke:
    """The one stroke that was made from a line of the piece."""
    (found,) = (
        stroke
        for stroke in drawing.strokes
        if stroke.source == source and side in (None, stroke.side)
    )
    return found


def places(strokes: Any) -> set[tuple[str, frozenset[Spot]]]:
    """Each stroke as its source and the ends and middles of its segments, run either way."""
    return {
        (
            stroke.source,
            frozenset(
                shown(at.floats())
                for segment in stroke.path.segments
                for at in (segment.start, segment.middle, segment.end)
            ),
        )
        for stroke in strokes
    }
