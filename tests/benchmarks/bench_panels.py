"""This script measures how pieces of many folds are divided, against shapely on the same lines.

    python tests/benchmarks/bench_panels.py [--rounds N] [--largest N]

A folder of folds here is a square sheet with a square grid of folds, every 5 mm, n squares
a side, so that n squared panels hang together by 2 n (n - 1) hinges:

- straight: each fold is one stretch from a vertex of the grid to the next one;
- slanted: the same, every vertex moved by up to 1 mm (those on an edge of the
  sheet along it), so that no two folds lie on one line;
- full lengths: 2 (n - 1) folds from edge to edge that cross in between.

There are about 1,000, 10,000 and 100,000 hinges.  Coordinates are fractions, as they
come from a design file.

- ours: `divide(piece)`, which gives the panels and the hinges and tells every
  problem with the lines;
- shapely: `shapely.polygonize([shapely.unary_union(lines)])` on the same lines and
  the outline, which are made beforehand.

The best of some rounds, taken in turn in one process; the garbage collector is run
before each and left on.  The exponent is that of time in hinges from one size to the
next: ours is to be at most shapely's plus 0.1, the ratio at 100,000 at most 1.2.
"""

from __future__ import annotations

import argparse
import gc
import math
import random
import time
from collections.abc import Callable
from fractions import Fraction

import shapely

from foldwright.design.pieces import Fold, Piece, Sense
from foldwright.geometry import Point, line, polygon
from foldwright.panels import divide

SIDES = (22, 71, 224)
STEP = 5
AT_MOST, EXPONENT_MORE = 1.2, 0.1

Place = tuple[Fraction, Fraction]


def vertices(side: int, *, slanted: bool) -> list[list[Place]]:
    """The vertices of a grid, column by column, outline included."""
    drawn = random.Random(side)

    def moved(at: int) -> Fraction:
        # To a micrometre, and never off the edge of the sheet.
        off = drawn.randint(-1000, 1000) if slanted and 0 < at < side else 0
        return at * STEP + Fraction(off, 1000)

    return [[(moved(i), moved(j)) for j in range(side + 1)] for i in range(side + 1)]


def stretches(side: int, *, slanted: bool) -> list[tuple[Place, Place]]:
    """Both ends of every fold of a grid whose folds run from vertex to vertex."""
    at = vertices(side, slanted=slanted)
    within = range(1, side)
    level = [(at[i][j], at[i + 1][j]) for i in range(side) for j in within]
    upright = [(at[i][j], at[i][j + 1]) for i in within for j in range(side)]
    return level + upright


def full_lengths(side: int) -> list[tuple[Place, Place]]:
    """Both ends of every fold of a grid whose folds run from edge to edge."""
    nothing, whole = Fraction(0), Fraction(side * STEP)
    steps = [Fraction(i * STEP) for i in range(1, side)]
    level = [((nothing, y), (whole, y)) for y in steps]
    return level + [((x, nothing), (x, whole)) for x in steps]


def sheet(side: int, lines: list[tuple[Place, Place]]) -> Piece:
    """A square piece with these folds, alternately mountain and valley."""
    whole = Fraction(side * STEP)
    nothing = Fraction(0)
    corners = ((nothing, nothing), (whole, nothing), (whole, whole), (nothing, whole))
    return Piece(
        name="sheet",
        outline=polygon(*(Point(*corner) for corner in corners)),
        folds=tuple(
            Fold(
                name=f"fold {number}",
                path=line(Point(*start), Point(*end)),
                senses=(tuple(Sense)[number % 2],),
                angle=Fraction(180),
            )
            for number, (start, end) in enumerate(lines, start=1)
        ),
    )


def lines_of(piece: Piece) -> list[shapely.Geometry]:
    """The outline and the folds of a piece as shapely has them."""
    folds = [[vertex.at.floats() for vertex in fold.path.vertices] for fold in piece.folds]
    ring = [vertex.at.floats() for vertex in piece.outline.vertices]
    return [shapely.LinearRing(ring), *shapely.linestrings(folds)]


def best_of(rounds: int, works: list[Callable[[], object]]) -> list[float]:
    """The shortest time of each, in seconds, all run in turn."""
    best = [math.inf] * len(works)
    for _ in range(rounds):
        for number, work in enumerate(works):
            gc.collect()
            start = time.perf_counter()
            made = work()
            best[number] = min(best[number], time.perf_counter() - start)
            del made
    return best


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=5)
    parser.add_argument("--largest", type=int, default=SIDES[-1], help="squares a side at most")
    asked = parser.parse_args()
    cases: dict[str, Callable[[int], list[tuple[Place, Place]]]] = {
        "straight": lambda side: stretches(side, slanted=False),
        "slanted": lambda side: stretches(side, slanted=True),
        "full lengths": full_lengths,
    }
    sides = [side for side in SIDES if side <= asked.largest]
    # What is imported when it is first needed is no part of any figure.
    for side in SIDES[:2]:
        divide(sheet(side, stretches(side, slanted=True)))
    print(f"{'folds':14}{'hinges':>8}{'ours, s':>10}{'shapely, s':>12}{'ratio':>7}  exponents")
    for name, lines in cases.items():
        times = []
        for side in sides:
            piece = sheet(side, lines(side))
            given = lines_of(piece)

            def theirs(given: list[shapely.Geometry] = given) -> shapely.GeometryCollection:
                return shapely.polygonize([shapely.unary_union(given)])

            division = divide(piece)
            hinges = 2 * side * (side - 1)
            if division.problems or len(division.hinges) != hinges:
                raise SystemExit(f"{name}, {side} a side: the sheet is not divided as it should be")
            if len(division.panels) != len(theirs().geoms):
                raise SystemExit(f"{name}, {side} a side: shapely finds other panels")
            del division
            ours, shapelys = best_of(asked.rounds, [lambda piece=piece: divide(piece), theirs])  # type: ignore[misc]
            times.append((hinges, ours, shapelys))
            told = ""
            if len(times) > 1:
                (before, *old), (here, *new) = times[-2:]
                growth = math.log(here / before)
                told = " and ".join(
                    f"{math.log(new[i] / old[i]) / growth:.2f}" for i in range(len(new))
                )
            print(
                f"{name:14}{hinges:8}{ours:10.4f}{shapelys:12.4f}{ours / shapelys:7.2f}  {told}",
                flush=True,
            )
    print(f"to be at most {AT_MOST} at the largest, the exponent shapely's plus {EXPONENT_MORE}")


if __name__ == "__main__":
    main()
