"""The search for an order, on rules that no paper makes: held to trying every order of pairs."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from itertools import combinations, permutations, product

import pytest

from foldwright.stacking.order_rules import (
    Alike,
    Fixed,
    Nested,
    Pair,
    Rules,
    Why,
    among,
    bits,
    largest_sets,
)
from foldwright.stacking.order_sat import solve
from foldwright.stacking.order_search import (
    Conflict,
    Knowledge,
    OutOfNodes,
    begun,
    open_groups,
    open_pairs,
    orders,
    searched,
)

HERE = (0.0, 0.0)


def any_rules(rng: random.Random) -> Rules:
    """Few panels in a few cells, with rules over pairs that share one."""
    count = rng.randrange(3, 7)
    cells = largest_sets(
        sum(1 << panel for panel in rng.sample(range(count), rng.randrange(2, min(count, 4) + 1)))
        for _ in range(rng.randrange(1, 5))
    )
    pairs = sorted({pair for cell in cells for pair in permutations(bits(cell), 2)})

    def two() -> tuple[Pair, Pair]:
        return rng.choice(pairs), rng.choice(pairs)

    nested = [two() for _ in range(rng.randrange(5))]
    return Rules(
        count=count,
        cells=cells,
        fixed=tuple(Fixed(rng.choice(pairs), HERE) for _ in range(rng.randrange(3))),
        alike=tuple(Alike(*two(), Why.ACROSS, HERE) for _ in range(rng.randrange(5))),
        # As folds that lie on each other do, the two share cells all round, and no panel.
        nested=tuple(
            Nested(one, other, HERE)
            for one, other in nested
            if len({*one, *other}) == 4
            and any(all(cell >> panel & 1 for panel in one + other) for cell in cells)
        ),
    )


def linked_rules(rng: random.Random) -> Rules:
    """Two panels by themselves, of which a rule says that they lie as two of five others do."""
    others = range(2, 7)
    pairs = list(permutations(others, 2))
    nested = []
    for _ in range(rng.randrange(2, 9)):
        a, b, c, d = rng.sample(others, 4)
        nested.append(Nested((a, b), (c, d), HERE))
    alike = [((0, 1), rng.choice(pairs))]
    alike += [(rng.choice(pairs), rng.choice(pairs)) for _ in range(rng.randrange(3))]
    return Rules(
        count=7,
        cells=(0b1111100, 0b11),
        fixed=(),
        alike=tuple(Alike(*two, Why.ACROSS, HERE) for two in alike),
        nested=tuple(nested),
    )


def tried(rules: Rules) -> Iterator[tuple[int, ...]]:
    """All ways to say of each pair that shares a cell which is above, that keep to the rules."""
    pairs = sorted({pair for cell in rules.cells for pair in combinations(sorted(bits(cell)), 2)})
    for choice in product((False, True), repeat=len(pairs)):
        up = dict(zip(pairs, choice, strict=True))

        def holds(low: int, high: int, up: dict[Pair, bool] = up) -> bool:
            return up[low, high] if low < high else not up[high, low]

        if fits(rules, holds):
            yield tuple(
                sum(
                    1 << high
                    for high in range(rules.count)
                    if (min(low, high), max(low, high)) in up and holds(low, high)
                )
                for low in range(rules.count)
            )


def fits(rules: Rules, holds: Callable[[int, int], bool]) -> bool:
    return (
        all(holds(*rule.pair) for rule in rules.fixed)
        and all(holds(*rule.one) == holds(*rule.other) for rule in rules.alike)
        and not any(
            (holds(a, c) and holds(c, b) and holds(b, d))
            or (holds(c, a) and holds(a, d) and holds(d, b))
            for (a, b), (c, d), _ in rules.nested
        )
        and not any(
            holds(a, b) and holds(b, c) and holds(c, a)
            for cell in rules.cells
            for a, b, c in permutations(bits(cell), 3)
        )
    )


def test_orders_are_those_that_trial_finds() -> None:
    rng = random.Random(1)
    sizes = []
    for _ in range(400):
        rules = any_rules(rng)
        # A nest of two folds is told lower panel first, which rules made by chance need not
        # keep to.
        rules = Rules(
            count=rules.count,
            cells=rules.cells,
            fixed=(*rules.fixed, *(Fixed(p, HERE) for n in rules.nested for p in (n.one, n.other))),
            alike=rules.alike,
            nested=rules.nested,
        )
        found = list(orders(rules))
        assert sorted(found) == sorted(tried(rules))
        sizes.append(len(found))
    assert 50 < sizes.count(0) < 350


def first(rules: Rules) -> Knowledge | Conflict:
    """The first order, group by group."""
    known = begun(rules)
    if isinstance(known, Conflict):
        return known
    for pairs in open_groups(known):
        if next(searched(known, pairs, None), None) is None:
            assert known.failed is not None
            return known.failed
    return known


def test_groups_of_pairs_can_be_decided_one_by_one() -> None:
    rng = random.Random(2)
    several = guessed = 0
    for _ in range(4000):
        rules = any_rules(rng)
        possible = next(orders(rules), None) is not None
        found = first(rules)
        assert isinstance(found, Knowledge) == possible
        if isinstance(found, Knowledge):
            assert open_pairs(found) == []
            known = begun(rules)
            assert isinstance(known, Knowledge)
            several += len(open_groups(known)) > 1
        else:
            guessed += found.guesses > 0
            # The panels that are blamed have no order among themselves.
            assert not any(orders(among(rules, found.panels)))
    assert several > 15
    assert guessed > 10


def test_a_rule_ties_what_shares_no_cell_into_one_group() -> None:
    """Few of these rules have an order of the five others that only some guesses rule out."""
    rng = random.Random(2)
    for _ in range(3000):
        rules = linked_rules(rng)
        assert isinstance(first(rules), Knowledge) == (next(orders(rules), None) is not None)


def test_a_solver_says_the_same() -> None:
    pytest.importorskip("pysat")
    rng = random.Random(3)
    answers = []
    for _ in range(400):
        rules = any_rules(rng)
        known = begun(rules)
        if isinstance(known, Conflict):
            continue
        answers.append(solve(known))
        assert answers[-1] == any(True for _ in orders(rules))
        if answers[-1]:
            assert open_pairs(known) == []
    assert set(answers) == {True, False}


def test_guesses_are_counted_and_capped() -> None:
    every = Rules(count=5, cells=(0b11111,), fixed=(), alike=(), nested=())
    known = begun(every)
    assert isinstance(known, Knowledge)
    assert sum(1 for _ in searched(known, open_pairs(known), None)) == 120
    spent = known.guesses
    assert spent > 4
    for nodes, enough in ((spent, True), (spent - 1, False)):
        known = begun(every)
        assert isinstance(known, Knowledge)
        search = searched(known, open_pairs(known), nodes)
        if enough:
            assert sum(1 for _ in search) == 120
        else:
            with pytest.raises(OutOfNodes):
                list(search)


def test_larger_sets_hold_smaller_ones() -> None:
    assert largest_sets([0b11, 0b111, 0b1100, 0b100, 0b111]) == (0b111, 0b1100)
    assert largest_sets([]) == ()
