"""This script measures the mends of a card's measures against the proof of that card.

    python tests/benchmarks/bench_mends.py [--rounds N]

Each card stands in steps beside a slit, and every tread and every riser is a
measure that is free to change.  Measured are cards that one measure mends, a card
that none on the ruler mends, and one whose measures are set in such steps that it
takes three of them together.

- proof: the card is resolved, divided, folded and judged, without any mends;
- mends: the solver alone, from the proof to the ranked list, each mend proved.

The best of some rounds is printed, in ms, and the ratio of the two.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable

from foldwright.design import Design, parse_design, resolve
from foldwright.design.resolve import edition_in_use
from foldwright.measures import Unit
from foldwright.proving import MeasureMend, Proof, prove
from foldwright.proving.literals import lengths_of
from foldwright.proving.measure_mends import COARSEST_FIRST, Trial, measure_mends


def step_card(steps: int, off: str, steps_of: tuple[int, ...] = ()) -> Design:
    """A card of `steps` steps, each tread and riser a measure, whose gutter is off by some mm.

    The measures are set in steps of `steps_of`, one after the other.
    """
    treads = [f"tread_{n + 1}" for n in range(steps)]
    risers = [f"riser_{n + 1}" for n in range(steps)]
    own = [f", step = {steps_of[n % len(steps_of)]}" if steps_of else "" for n in range(steps)]
    measures = [
        f"{name} = {{ is = 20{step} }}"
        for names in (treads, risers)
        for name, step in zip(names, own, strict=True)
    ]
    walk = ", ".join(f'"{t}", "{r}"' for t, r in zip(treads, risers, strict=True))
    bottom = 20
    top = f"{bottom} + {' + '.join((*treads, *risers))}"
    # Both treads and risers of 20 mm: the gutter lies n risers below the top.
    return parse_design(
        f"""
format = 1
name = "{steps} steps"
units = "mm"
[measures]
gutter = {{ is = "{bottom + 20 * steps} + {off}" }}
{chr(10).join(measures)}
[[piece]]
name = "base"
outline = {{ rectangle = [148, {40 * steps + 400}] }}
[[piece.slit]]
points = [[50, {bottom}], [50, "{top}"]]
[[piece.band]]
name = "steps"
from = [50, "{top}"]
to = [148, "{top}"]
walk = [{walk}]
first = "valley"
[[piece.fold]]
name = "gutter"
sense = "valley"
points = [[0, "gutter"], [50, "gutter"]]
"""
    )


def best(rounds: int, work: Callable[[], object]) -> float:
    """The shortest of some rounds, in ms."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return 1000.0 * min(times)


def measured(design: Design, rounds: int) -> tuple[float, float, int, int]:
    """The ms of the proof and of the mends, how many mends, and how many measures they change."""
    trial = Trial(
        resolved=lambda overrides: resolve(design, {}, overrides),
        proved=lambda resolved: prove(resolved, {}, whole=False),
    )

    def proved() -> Proof:
        return trial.proved(trial.resolved({}))

    proof = proved()
    lengths = lengths_of(design, edition_in_use(design), proof.resolved.measures)

    def mends() -> tuple[MeasureMend, ...]:
        return measure_mends(proof, lengths, trial, COARSEST_FIRST[Unit.MM])

    found = mends()
    changed = len(found[0].changes) if found else 0
    return best(rounds, proved), best(rounds, mends), len(found), changed


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    head = ("card", "measures", "mends", "changes", "proof", "mends", "ratio")
    print("{:34}{:>9}{:>7}{:>9}{:>9}{:>9}{:>7}".format(*head))
    for name, design in (
        ("2 steps, off by 4 mm", step_card(2, "4 mm")),
        ("10 steps, off by 4 mm", step_card(10, "4 mm")),
        ("10 steps, no mend on a ruler", step_card(10, "4.3 mm")),
        ("10 steps, set in 6, 10 and 15 mm", step_card(10, "-3 mm", (6, 10, 15))),
    ):
        proof, mends, found, changed = measured(design, asked.rounds)
        # All but the place of the gutter, which is reckoned.
        count = len(design.measures) - 1
        print(f"{name:34}{count:9}{found:7}{changed:9}{proof:9.1f}{mends:9.1f}{mends / proof:7.1f}")


if __name__ == "__main__":
    main()
