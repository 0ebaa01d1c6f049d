"""This module times the order of plies against a solver of satisfiability.

Run it with the Python that foldwright and python-sat are installed in, from the top of the tree:

    python tests/benchmarks/bench_order.py [RUNS]

Cards of 64 panels that all overlap: the best of RUNS (5 if left out) of `ply_order` as a
ratio to the best of the same rules written out as clauses, one variable a pair of
panels, and handed to each of python-sat's solvers in turn, of which the fastest counts.
Gathering the rules and making the model are timed on both sides.  The target is 0.5.

Then ordinary cards, in milliseconds a card, and rules that need the most guesses.
"""

from __future__ import annotations

import random
import sys
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from itertools import combinations
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from pysat.solvers import Solver

from foldwright.panels import Assembly
from foldwright.stacking.cover import Cover
from foldwright.stacking.order import PlyOrder, ply_order
from foldwright.stacking.order_rules import Rules, bits, rules_of
from tests.folding.folded_samples import M, V, accordion, assembled, miura, stair, v_fold
from tests.stacking.stacks import closed_cover, halved, map_sheet, strip, with_senses
from tests.stacking.test_order import folded_by_hand

SOLVERS = ("cadical153", "cadical195", "glucose4", "glucose42", "minisat22", "maplechrono")


def best(work: Callable[[], object], runs: int) -> float:
    """The shortest wall time of several runs, in seconds."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def plain(rules: Rules) -> list[list[int]]:
    """The rules as clauses over one variable a pair."""
    count = rules.count

    def literal(low: int, high: int) -> int:
        return low * count + high + 1 if low < high else -(high * count + low + 1)

    clauses = [[literal(*rule.pair)] for rule in rules.fixed]
    for rule in (*rules.alike, *rules.pressed):
        one, other = literal(*rule.one), literal(*rule.other)
        clauses += [[-one, other], [one, -other]]
    for (low, high), (low2, high2), _ in rules.nested:
        clauses.append([-literal(low, low2), -literal(low2, high), -literal(high, high2)])
        clauses.append([-literal(low2, low), -literal(low, high2), -literal(high2, high)])
    for cell in rules.cells:
        for a, b, c in combinations(bits(cell), 3):
            ab, bc, ac = literal(a, b), literal(b, c), literal(a, c)
            clauses += [[-ab, -bc, ac], [ab, bc, -ac]]
    return clauses


def solved(assembly: Assembly, cover: Cover, name: str) -> bool:
    """Whether a solver finds an order."""
    with Solver(name=name, bootstrap_with=plain(rules_of(assembly, cover))) as solver:
        return bool(solver.solve())


def cards() -> Iterator[tuple[str, Assembly]]:
    """Cards of 64 panels."""
    rng = random.Random(1)
    yield "in half six times", assembled(strip([20] * 64, halved(6)))
    yield "accordion", assembled(accordion([20] * 64))
    yield "rolled up", assembled(strip([20 - Fraction(i, 10) for i in range(64)], [V] * 63))
    letters = [V if i // 2 % 2 else M for i in range(63)]
    yield "letter upon letter", assembled(strip([20] * 64, letters))
    yield "any senses", assembled(strip([20] * 64, [rng.choice((M, V)) for _ in range(63)]))
    sheet = assembled(map_sheet(8, 8))
    yield "map of 8 x 8", with_senses(sheet, folded_by_hand(8, 8, rng))


def main(runs: int) -> None:
    """Print all figures."""
    for name, assembly in cards():
        cover = closed_cover(assembly)
        assert isinstance(ply_order(assembly, cover), PlyOrder)
        own = best(lambda: ply_order(assembly, cover), runs)  # noqa: B023
        times = {}
        for solver in SOLVERS:
            assert solved(assembly, cover, solver)
            times[solver] = best(lambda: solved(assembly, cover, solver), min(runs, 3))  # noqa: B023
        fastest = min(times, key=lambda one: times[one])
        print(
            f"{name:20} {own / times[fastest]:6.3f} of {fastest}"
            f"  (own {1e3 * own:.1f} ms, {fastest} {1e3 * times[fastest]:.1f} ms)"
        )
    print()
    for name, card in (
        ("a stair of 12 panels", assembled(stair([10] * 5, [10] * 5))),
        ("a V-fold, 6 panels", v_fold().assembly),
        ("a map fold of 36 panels", assembled(miura(6, 6, 60.0))),
        ("a map fold of 64 panels", assembled(miura(8, 8, 60.0))),
    ):
        cover = closed_cover(card)
        spent = best(lambda: ply_order(card, cover), runs)  # noqa: B023
        covered = best(lambda: closed_cover(card), runs)  # noqa: B023
        print(f"{name:24} order {1e3 * spent:6.2f} ms, cover with poses {1e3 * covered:6.2f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
