"""This module times the cover of the closed card against shapely's own overlay.

Run it with the Python that foldwright is installed in, from the top of the tree:

    python tests/benchmarks/bench_cover.py [RUNS]

Cards of about 2,000 panels: the best of RUNS (3 if left out) of `cover_of`, from placed panels to
cells with their panels and the outline, as a ratio to shapely's overlay of the same
polygons, which are ready made: the union of their boundaries, polygonised, the cells located
in a tree of the polygons.  The target is 3.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
import shapely

from foldwright.panels import Assembly
from foldwright.stacking.cover import cover_of
from tests.folding.folded_samples import M, V, assembled, miura, square_grid
from tests.stacking.stacks import closed, strip


def best(work: Callable[[], object], runs: int) -> float:
    """The shortest wall time of several runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def overlay(polygons: Any) -> int:
    """How many cells shapely finds."""
    lines = shapely.union_all(shapely.boundary(polygons))
    cells = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
    inside = shapely.point_on_surface(cells)
    shapely.STRtree(polygons).query(inside, predicate="within")
    return len(cells)


def cards() -> Iterator[tuple[str, Assembly]]:
    """Cards of about 2,000 panels."""
    rng = random.Random(3)
    yield "map fold, 45 x 45", assembled(miura(45, 45, 60.0))
    yield "zigzag grid, 45 x 45", assembled(square_grid(44))
    widths = [Fraction(rng.randrange(100, 400), 10) for _ in range(2000)]
    yield "strip of any widths", assembled(strip(widths, [rng.choice((M, V)) for _ in widths[1:]]))
    yield "accordion", assembled(strip([20] * 2000, [V if i % 2 else M for i in range(1999)]))


def main(runs: int) -> None:
    """Print all figures."""
    for name, assembly in cards():
        placed = closed(assembly)
        cover = cover_of(assembly, placed)
        polygons = np.array([one.polygon for one in cover.footprints.values()])
        plies = max(len(cell.panels) for cell in cover.cells)
        own = best(lambda: cover_of(assembly, placed), runs)  # noqa: B023
        other = best(lambda: overlay(polygons), runs)  # noqa: B023
        print(
            f"{name:22} {own / other:6.3f}  (own {own:.3f} s, shapely {other:.3f} s;"
            f" {len(polygons)} panels, {len(cover.cells)} cells, shapely {overlay(polygons)},"
            f" up to {plies} plies)"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
