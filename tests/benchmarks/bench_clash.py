"""This module times the search for panels that pass through each other, against shapely's tree.

Run it with the Python that foldwright is installed in, from the top of the tree:

    python tests/benchmarks/bench_clash.py [RUNS]

Folded sheets of parallelograms, 22, 50 and 100 panels a side, half closed: at each,
the best of RUNS (5 if left out) of `clashes` and `contacts`, as ratios to what shapely's
tree takes to be built of the panels' boxes seen from above and to find the pairs of them
that overlap; and the exponent of the time in panels.  Then a card of 20 panels: the whole
of a way of 31 poses, in milliseconds a pose.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

import shapely

from foldwright.folding.motion import Motion
from foldwright.folding.skeleton import placed_by, skeleton_of
from foldwright.panels import Assembly
from foldwright.stacking import clashes, clashes_on_way, contacts
from foldwright.stacking.paper import paper_of, poses_of
from tests.folding.folded_samples import assembled, miura, stair, zigzag_turn
from tests.stacking.placed import way_of


def best(work: Callable[[], object], runs: int) -> float:
    """The shortest wall time of several runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def sheet(side: int) -> tuple[Assembly, dict[tuple[str, int], Motion]]:
    """A folded sheet and where its panels are when its upright folds are turned 90 degrees."""
    assembly = assembled(miura(side, side, 60.0))
    (name, division), *_ = assembly.divisions.items()
    rise = 30.0 * math.cos(math.radians(60.0)) / math.sin(math.radians(60.0))
    turn = zigzag_turn(90.0, 30.0, rise)
    turned = {
        (name, hinge.index): 90.0 if hinge.label.startswith("upright") else turn
        for hinge in division.hinges
    }
    return assembly, dict(placed_by(skeleton_of(assembly, None), turned))


def main(runs: int) -> None:
    """Print all figures."""
    before: tuple[int, float] | None = None
    for side in (22, 50, 100):
        assembly, placed = sheet(side)
        paper = paper_of(assembly, (placed,))
        low, high = poses_of(paper, (placed,)).boxes
        boxes = shapely.box(low[0, :, 0], low[0, :, 1], high[0, :, 0], high[0, :, 1])
        yardstick = best(lambda: shapely.STRtree(boxes).query(boxes), runs)  # noqa: B023
        one = best(lambda: clashes(assembly, placed), runs)  # noqa: B023
        other = best(lambda: contacts(assembly, placed), runs)  # noqa: B023
        told = f"{side:4} a side: clashes {one / yardstick:6.1f}, contacts {other / yardstick:6.1f}"
        if before is not None:
            exponent = math.log(one / before[1]) / math.log(side * side / before[0])
            told += f", exponent {exponent:.2f}"
        print(f"{told}  (clashes {one:.3f} s, loose {float(poses_loose(assembly, placed)):.0e} mm)")
        before = side * side, one
    card = assembled(stair([20] * 8, [20] * 8))
    labels = {hinge.label: 180.0 for hinge in card.divisions["base"].hinges}
    way = way_of(card, labels, 30)
    panels = len(card.divisions["base"].panels)
    spent = best(lambda: clashes_on_way(card, way), runs)
    print(f"a way of {len(way)} poses, {panels} panels: {1e3 * spent / len(way):.2f} ms a pose")


def poses_loose(assembly: Assembly, placed: dict[tuple[str, int], Motion]) -> float:
    """How far the hinges of a pose are apart, in mm: nothing, if the sheet is folded right."""
    return float(poses_of(paper_of(assembly, (placed,)), (placed,)).loose[0])


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
