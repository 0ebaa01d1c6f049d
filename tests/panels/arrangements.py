"""Random arrangements of lines, for the tests that hold one way to divide against another."""

from __future__ import annotations

import math
from fractions import Fraction

from hypothesis import strategies as st

from foldwright.design.pieces import Fold, How, Opening, PanelName, Piece, Sense, Slit
from foldwright.geometry import Path, Point, Vector, Vertex, circle, line, polygon
from foldwright.panels import Division
from foldwright.panels.curves import curves_of
from foldwright.panels.divide import divided
from foldwright.panels.few_lines import FewLines
from foldwright.panels.many_lines import ManyLines
from foldwright.panels.noding import near_pairs
from foldwright.problems import Place

SIDE = 60

# In thousandths of a micrometre: ends that meet, just meet, just miss, and miss.
OFF = (0, 0, 0, 0, 0, 400, -700, 900, 1100, -1300, 4000)


@st.composite
def places(draw: st.DrawFn) -> Point:
    """A place on a coarse grid over the sheet, or a hair beside one."""

    def coordinate() -> Fraction:
        off = Fraction(draw(st.sampled_from(OFF)), 1_000_000)
        return Fraction(10 * draw(st.integers(0, SIDE // 10))) + off

    return Point(coordinate(), coordinate())


@st.composite
def paths(draw: st.DrawFn, *, arcs: bool) -> Path:
    """An open path of one to three segments."""
    at = draw(st.lists(places(), min_size=2, max_size=4, unique_by=lambda at: _cell(at)))
    bulges = st.sampled_from((0.0, 0.0, 0.0, 1.0, -0.5, math.tan(math.pi / 8)))
    return Path(tuple(Vertex(one, draw(bulges) if arcs else 0.0) for one in at))


def _cell(at: Point) -> tuple[int, int]:
    return round(at.x / 10), round(at.y / 10)


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    """A square sheet with folds, slits and openings anywhere; most have something wrong."""
    arcs = draw(st.booleans())
    senses = st.sampled_from(tuple(Sense))
    folds = []
    for number, path in enumerate(draw(st.lists(paths(arcs=arcs), max_size=9)), start=1):
        if draw(st.booleans()):
            # From edge to edge, so that some sheets are divided well.
            level = draw(st.booleans())
            low, high = (Fraction(10 * draw(st.integers(1, 5))) for _ in range(2))
            ends = ((Fraction(0), low), (Fraction(SIDE), high))
            path = line(*(Point(*at) if level else Point(*reversed(at)) for at in ends))
        folds.append(
            Fold(
                name=f"fold {number}",
                path=path,
                senses=tuple(draw(senses) for _ in path.segments),
                angle=Fraction(180),
                still=draw(st.sampled_from((False,) * 9 + (True,))),
                place=Place(line=draw(st.integers(1, 9))),
            )
        )
    slits = [
        Slit(name=f"slit {n}", path=path, how=draw(st.sampled_from(tuple(How))))
        for n, path in enumerate(draw(st.lists(paths(arcs=arcs), max_size=2)), start=1)
    ]
    openings = []
    for number in range(1, 1 + draw(st.integers(0, 2))):
        centre, size = draw(places()), draw(st.sampled_from((5, 10, 13)))
        x, y = centre.x, centre.y
        square = polygon(
            Point(x - size, y - size),
            Point(x + size, y - size),
            Point(x + size, y + size),
            Point(x - size, y + size),
        )
        round_ = circle(centre, Fraction(size))
        openings.append(
            Opening(name=f"opening {number}", path=round_ if draw(st.booleans()) else square)
        )
    names = [
        PanelName(name=f"name {number}", at=at + Vector(Fraction(7, 2), Fraction(3)))
        for number, at in enumerate(draw(st.lists(places(), max_size=2)), start=1)
    ]
    return Piece(
        name="sheet",
        outline=draw(st.sampled_from((sheet(0), sheet(6)))) if arcs else sheet(0),
        folds=tuple(folds),
        slits=tuple(slits),
        openings=tuple(openings),
        panel_names=tuple(names),
    )


def sheet(radius: int) -> Path:
    """The outline of the sheet, its corners rounded."""
    side, r = Fraction(SIDE), Fraction(radius)
    if not radius:
        return polygon(*(Point(x * side, y * side) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1))))
    at = (
        (r, 0 * r),
        (side - r, 0 * r),
        (side, r),
        (side, side - r),
        (side - r, side),
        (r, side),
        (0 * r, side - r),
        (0 * r, r),
    )
    quarter = math.tan(math.pi / 8)
    vertices = (Vertex(Point(*place), quarter * (n % 2)) for n, place in enumerate(at))
    return Path(tuple(vertices), closed=True)


def by_few(piece: Piece) -> Division:
    """A piece divided as one of few lines, however many it has."""
    curves = curves_of(piece)
    return divided(piece, FewLines(piece, curves, near_pairs(curves)))


def by_many(piece: Piece) -> Division:
    """A piece divided as one of many lines, however few it has."""
    return divided(piece, ManyLines(piece))
