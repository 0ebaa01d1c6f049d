"""This module hands what is open of an order of panels over to a solver of satisfiability.

A pair of panels is a variable, a rule a clause or two.  What is known already is put in, so
that the clauses speak of open pairs only.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

from .order_rules import bits
from .order_search import Knowledge, clauses, open_pairs

# So many triples of panels, with two clauses each, are handed over at most: more would not
# fit into memory.
_MOST_TRIPLES = 3_000_000


class NoSolver(Exception):
    """No solver can take what is open; the text says why."""


def solve(known: Knowledge) -> bool:
    """Decide on all open pairs, and add them.  False where no order keeps to the rules.

    Raises NoSolver where python-sat is not installed, or the card is too large for it.
    """
    sizes = [cell.bit_count() for cell in known.rules.cells]
    if sum(size * (size - 1) * (size - 2) // 6 for size in sizes) > _MOST_TRIPLES:
        raise NoSolver("the panels that lie on each other are too many for a solver")
    try:
        from pysat.solvers import Cadical153
    except ImportError:
        raise NoSolver("python-sat is not installed") from None
    formula = _Formula(known)
    formula.write()
    if formula.contradicts:
        return False
    solver: Any
    with Cadical153(bootstrap_with=formula.clauses) as solver:
        if not solver.solve():
            return False
        model = set(solver.get_model())
    for pair, variable in formula.variables.items():
        known.add(pair if variable in model else known.against(pair), ((), None))
    # What no clause speaks of may lie either way.
    for free in open_pairs(known):
        known.add(known.code(free), ((), None))
    if known.infer() is not None:
        raise AssertionError("the solver's order breaks a rule")
    return True


class _Formula:
    """Clauses over open pairs; a literal is the number of a variable, negative where it fails."""

    def __init__(self, known: Knowledge) -> None:
        self.known = known
        self.variables: dict[int, int] = {}
        self.clauses: list[list[int]] = []
        self.contradicts = False

    def literal(self, pair: int) -> int | bool:
        """The literal of a pair, or whether it is known to hold."""
        known = self.known
        opposite = known.against(pair)
        if known.knows(pair):
            return True
        if known.knows(opposite):
            return False
        if opposite in self.variables:
            return -self.variables[opposite]
        return self.variables.setdefault(pair, len(self.variables) + 1)

    def add(self, pairs: tuple[int, ...]) -> None:
        """Of these pairs one has to hold."""
        found = []
        for pair in pairs:
            literal = self.literal(pair)
            if literal is True:
                return
            if literal is not False:
                found.append(literal)
        self.contradicts = self.contradicts or not found
        self.clauses.append(found)

    def write(self) -> None:
        """All rules."""
        known, count = self.known, self.known.rules.count
        for rule in (*known.rules.alike, *known.rules.pressed):
            one, other = known.code(rule.one), known.code(rule.other)
            self.add((known.against(one), other))
            self.add((one, known.against(other)))
        for nest in known.rules.nested:
            for clause in clauses(nest):
                self.add(tuple(known.code(pair) for pair in clause))
        seen: set[tuple[int, int, int]] = set()
        for cell in known.rules.cells:
            for triple in combinations(bits(cell), 3):
                if triple in seen:
                    continue
                seen.add(triple)
                a, b, c = triple
                # Neither a below b below c below a, nor the other way round.
                self.add((b * count + a, c * count + b, a * count + c))
                self.add((a * count + b, b * count + c, c * count + a))
