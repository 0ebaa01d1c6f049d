"""This module makes the drawings that the tests of the writers write."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path as FilePath
from typing import Any

from foldwright.drawing import Drawing, Layer, Role, Side, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, circle, line, polygon

FORMATS = FilePath(__file__).parents[1] / "published" / "formats.toml"


def fact(name: str) -> Any:
    """The value of a published fact."""
    facts = tomllib.loads(FORMATS.read_text(encoding="utf-8"))["fact"]
    return next(fact["value"] for fact in facts if fact["id"] == name)


def places(*numbers: tuple[float, float]) -> tuple[Point, ...]:
    return tuple(Point(float(x), float(y)) for x, y in numbers)


def cut(path: Path, *, role: Role = Role.OUTLINE, source: str = "outline") -> Stroke:
    return Stroke(
        path=path, layer=Layer.CUT, work=Work.THROUGH, piece="base", source=source, role=role
    )


def score(path: Path, *, work: Work = Work.CREASED, source: str = "gutter") -> Stroke:
    return Stroke(
        path=path, layer=Layer.SCORE, work=work, piece="base", source=source, role=Role.FOLD
    )


def mark(path: Path, *, side: Side = Side.FRONT) -> Stroke:
    return Stroke(
        path=path,
        layer=Layer.MARK,
        work=Work.DRAWN,
        piece="base",
        source="guide",
        role=Role.MARK,
        side=side,
    )


def arc(start: tuple[float, float], end: tuple[float, float], bulge: float) -> Path:
    (first, last) = places(start, end)
    return Path((Vertex(first, bulge), Vertex(last)))


def drawing(*strokes: Stroke, width: float = 148.0, height: float = 210.0) -> Drawing:
    return Drawing(
        piece="base",
        title="Harbour steps: base",
        width=width,
        height=height,
        strokes=strokes,
        cautions=("Keep fingers out of the path of the blade.", "Follow the machine's manual."),
    )


# A rectangle with rounded corners, y up: quarter circles of radius 3.
QUARTER = math.tan(math.pi / 8.0)
ROUNDED = Path(
    (
        Vertex(Point(3.0, 0.0)),
        Vertex(Point(145.0, 0.0), QUARTER),
        Vertex(Point(148.0, 3.0)),
        Vertex(Point(148.0, 207.0), QUARTER),
        Vertex(Point(145.0, 210.0)),
        Vertex(Point(3.0, 210.0), QUARTER),
        Vertex(Point(0.0, 207.0)),
        Vertex(Point(0.0, 3.0), QUARTER),
    ),
    closed=True,
)

# No mirror or turn brings it onto itself: stem at the left, arms at the top.
LETTER_F = polygon(
    *places(
        (10, 10),
        (20, 10),
        (20, 40),
        (40, 40),
        (40, 50),
        (20, 50),
        (20, 70),
        (60, 70),
        (60, 80),
        (10, 80),
    )
)


def card() -> Drawing:
    """A card base: arcs of both turns, open and closed paths, scores of two works."""
    return drawing(
        mark(line(*places((10, 20), (30, 20)))),
        score(line(*places((0, 105), (50, 105)))),
        score(line(*places((50, 65), (60, 65))), work=Work.PERFORATED, source="tear line"),
        score(line(*places((50, 175), (148, 175))), source="steps 1"),
        cut(line(*places((50, 45), (50, 175))), role=Role.SLIT, source="slit 1"),
        cut(circle(Point(100.0, 50.0), 7.5), role=Role.OPENING, source="window"),
        cut(arc((20.0, 30.0), (30.0, 30.0), -0.7), role=Role.SLIT, source="thumb cut"),
        cut(ROUNDED),
    )
