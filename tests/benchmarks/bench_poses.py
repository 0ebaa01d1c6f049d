"""This script measures the search for poses on grids of vertices, against scipy's least squares.

    python tests/benchmarks/bench_poses.py [--rounds N] [--largest SIDE]

The grids are square, 7, 22, 50 and 100 vertices of degree 4 a side, of a map fold
whose angles are known in closed form.  One upright fold in the middle is held at
60 degrees; every other fold starts up to 5 % off its true angle.  Both searches
stop once the largest entry of the residual is 1e-9 or less.

- ours: the closing search of a pose, its set-up included;
- scipy: `scipy.optimize.least_squares`, method trf with lsmr, given our residual and
  our Jacobian as a sparse matrix.

The best of some rounds, taken in turn in one process.  Ours is to be at least 6
times faster at 22 a side and 4 times at 50, with an exponent of time in folds of
at most 1.1 from 22 to 100 a side and at most 5 factorisations a pose.
"""

from __future__ import annotations

import argparse
import gc
import math
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
from scipy.optimize import least_squares
from scipy.sparse import csr_matrix

from foldwright.folding.closure import linearised
from foldwright.folding.linkage import Floats, Ints, Linkage, linkage_of
from foldwright.folding.nearest import Search
from foldwright.folding.path import free_of
from tests.folding.folded_samples import assembled, square_grid, zigzag_turn

SIDES = (7, 22, 50, 100)
ENOUGH = 1e-9
OFF = 0.05
UPRIGHT_DEG = 60.0
WIDTH, RISE = 30.0, 12.0
FASTER = {22: 6.0, 50: 4.0}
EXPONENT = 1.1
FACTORISATIONS = 5


Searching = Callable[[Linkage, Floats, Ints], tuple[Floats, int]]


def grid(side: int) -> tuple[Linkage, Floats, Floats, Ints]:
    """The mechanism, its true angles, those to start from, in radians, and the held fold."""
    assembly = assembled(square_grid(side))
    (division,) = assembly.divisions.values()
    upright = math.radians(UPRIGHT_DEG)
    zigzag = math.radians(zigzag_turn(UPRIGHT_DEG, WIDTH, RISE))
    names = [division.fold_of(hinge).name for hinge in division.hinges]
    true = np.array([upright if name.startswith("upright") else zigzag for name in names])
    drawn = random.Random(side)
    start = true * np.array([1.0 + drawn.uniform(-OFF, OFF) for _ in names])
    uprights = [place for place, name in enumerate(names) if name.startswith("upright")]
    held = uprights[len(uprights) // 2]
    start[held] = true[held]
    return linkage_of(assembly), true, start, np.array([held], dtype=np.intp)


def ours(linkage: Linkage, start: Floats, held: Ints) -> tuple[Floats, int]:
    """The pose that our search finds, and how many matrices it factored."""
    found = Search(linkage, free_of(linkage, held)).closed(start, start, ENOUGH)
    assert found.left <= ENOUGH
    return found.turned, found.factorisations


def scipys(linkage: Linkage, start: Floats, held: Ints) -> tuple[Floats, int]:
    """The pose that scipy finds from the same residual and Jacobian."""
    free = free_of(linkage, held)
    number = np.full(len(start), -1, dtype=np.intp)
    number[free] = np.arange(len(free))
    shapes = [(len(one.folds), one.height, one.count) for one in linkage.rounds]
    rows = np.concatenate(
        [
            np.broadcast_to(one.rows, shape).ravel()
            for one, shape in zip(linkage.rounds, shapes, strict=True)
        ]
    )
    columns = np.concatenate(
        [
            np.broadcast_to(number[one.folds][:, None], shape).ravel()
            for one, shape in zip(linkage.rounds, shapes, strict=True)
        ]
    )
    kept = np.flatnonzero(columns >= 0)
    rows, columns = rows[kept], columns[kept]

    def whole(some: Floats) -> Floats:
        every = start.copy()
        every[free] = some
        return every

    def jacobian(some: Floats) -> csr_matrix:
        slopes = linearised(linkage, whole(some)).slopes
        entries = np.concatenate([one.ravel() for one in slopes])[kept]
        return csr_matrix((entries, (rows, columns)), shape=(linkage.height, len(free)))

    def enough(intermediate_result: object) -> None:
        if np.abs(intermediate_result.fun).max() <= ENOUGH:  # type: ignore[attr-defined]
            raise StopIteration

    found = least_squares(
        lambda some: linearised(linkage, whole(some)).left,
        start[free],
        jac=jacobian,
        method="trf",
        tr_solver="lsmr",
        ftol=1e-15,
        xtol=1e-15,
        gtol=1e-15,
        callback=enough,
    )
    assert np.abs(found.fun).max() <= ENOUGH
    return whole(found.x), found.nfev


def timed(search: Searching, linkage: Linkage, start: Floats, held: Ints) -> float:
    """The wall time of one search."""
    gc.collect()
    begun = time.perf_counter()
    search(linkage, start, held)
    return time.perf_counter() - begun


def main() -> None:
    """Print the times, their ratios and exponents."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--rounds", type=int, default=7)
    parser.add_argument("--largest", type=int, default=SIDES[-1])
    options = parser.parse_args()
    best: dict[int, float] = {}
    folds: dict[int, int] = {}
    print("side  folds     ours    scipy  scipy/ours  factorisations  off the true angles")
    for side in (one for one in SIDES if one <= options.largest):
        linkage, true, start, held = grid(side)
        turned, count = ours(linkage, start, held)
        scipys(linkage, start, held)
        mine = theirs = math.inf
        for _ in range(options.rounds):
            mine = min(mine, timed(ours, linkage, start, held))
            theirs = min(theirs, timed(scipys, linkage, start, held))
        best[side], folds[side] = mine, len(true)
        off = math.degrees(float(np.abs(turned - true).max()))
        asked = f" (at least {FASTER[side]:g})" if side in FASTER else ""
        print(
            f"{side:4}  {len(true):5}  {mine * 1e3:6.1f}ms {theirs * 1e3:6.1f}ms"
            f"  {theirs / mine:10.2f}  {count:14}  {off:.1e} degrees{asked}"
        )
    if 22 in best and 100 in best:
        exponent = math.log(best[100] / best[22]) / math.log(folds[100] / folds[22])
        print(f"exponent from 22 to 100 a side: {exponent:.3f} (at most {EXPONENT})")
    print(f"factorisations a pose: at most {FACTORISATIONS}")


if __name__ == "__main__":
    main()
