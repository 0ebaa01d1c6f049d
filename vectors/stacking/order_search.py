"""This module searches for orders of panels that keep to rules: it infers, guesses, and goes back.

What is known of a panel are the sets of panels above it and below it, as bits; whatever
follows from a guess by one rule at a time is inferred before the next guess.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from .order_rules import Alike, Nested, Pair, Place, Rules, Why, bits

# Why a pair is known: the pairs that it follows from, and the rule, if one that is written down.
_Reason = tuple[tuple[int, ...], "Alike | Nested | None"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Conflict:
    """What contradicts itself, whatever is guessed: all panels that have a part in it.

    `why` and `at` are of one rule among theirs, `at` None where only cells have a say.
    `guesses` tells after how many guesses it was found.
    """

    panels: frozenset[int]
    why: Why
    at: Place | None
    guesses: int = 0


class OutOfNodes(Exception):
    """The search has made as many guesses as it was allowed."""


@dataclass(kw_only=True, slots=True)
class Knowledge:
    """What is known of an order of n panels, which a search adds to and takes back.

    A pair (low, high) is held as the number n low + high.  `above[i]` and `below[i]` are the
    panels known to lie there, as bits; `trail` are all known pairs in turn, those up to
    `inferred` with all that follows from them; `guesses` counts guesses.  `failed` is what
    contradicted itself last, with the panels of all that did.
    """

    rules: Rules
    above: list[int]
    below: list[int]
    trail: list[int] = field(default_factory=list)
    inferred: int = 0
    guesses: int = 0
    failed: Conflict | None = None
    reasons: dict[int, _Reason] = field(default_factory=dict)
    alike: dict[int, list[tuple[int, Alike]]] = field(default_factory=lambda: defaultdict(list))
    nested: dict[int, list[tuple[int, int, Nested]]] = field(
        default_factory=lambda: defaultdict(list)
    )
    homes: list[int] = field(default_factory=list)
    mates: dict[int, int] = field(default_factory=dict)

    def knows(self, pair: int) -> bool:
        """Whether a pair is known to hold."""
        low, high = divmod(pair, self.rules.count)
        return bool(self.above[low] >> high & 1)

    def code(self, pair: Pair) -> int:
        """The number of a pair."""
        return pair[0] * self.rules.count + pair[1]

    def against(self, pair: int) -> int:
        """The number of the opposite pair."""
        low, high = divmod(pair, self.rules.count)
        return high * self.rules.count + low

    def near(self, low: int, high: int) -> int:
        """The panels that share a cell with both, as bits."""
        common = self.homes[low] & self.homes[high]
        if common not in self.mates:
            found = 0
            for home in bits(common):
                found |= self.rules.cells[home]
            self.mates[common] = found
        return self.mates[common]

    def add(self, pair: int, reason: _Reason) -> bool:
        """Take a pair as known.  False where the opposite is known; both have reasons then."""
        low, high = divmod(pair, self.rules.count)
        if self.above[low] >> high & 1:
            return True
        self.reasons[pair] = reason
        if self.above[high] >> low & 1:
            return False
        self.above[low] |= 1 << high
        self.below[high] |= 1 << low
        self.trail.append(pair)
        return True

    def infer(self) -> int | None:
        """Add all that follows from what is known; where it contradicts itself, a pair of that."""
        count, above, below = self.rules.count, self.above, self.below
        while self.inferred < len(self.trail):
            pair = self.trail[self.inferred]
            self.inferred += 1
            low, high = divmod(pair, count)
            near = self.near(low, high)
            for top in bits(above[high] & near & ~above[low]):
                if not self.add(low * count + top, ((pair, high * count + top), None)):
                    return low * count + top
            for bottom in bits(below[low] & near & ~below[high]):
                if not self.add(bottom * count + high, ((pair, bottom * count + low), None)):
                    return bottom * count + high
            for other, rule in self.alike.get(pair, ()):
                if not self.add(other, ((pair,), rule)):
                    return other
            for one, other, nest in self.nested.get(pair, ()):
                # One of the two has to hold.
                for first, second in ((one, other), (other, one)):
                    top, bottom = divmod(first, count)
                    if above[bottom] >> top & 1:
                        opposite = bottom * count + top
                        if not self.add(second, ((pair, opposite), nest)):
                            return second
        return None

    def back_to(self, length: int) -> None:
        """Forget all but the first so many known pairs."""
        count = self.rules.count
        for pair in self.trail[length:]:
            low, high = divmod(pair, count)
            self.above[low] &= ~(1 << high)
            self.below[high] &= ~(1 << low)
            del self.reasons[pair]
        del self.trail[length:]
        self.inferred = length


def knowledge_of(rules: Rules) -> Knowledge:
    """Nothing known yet, all rules at hand."""
    known = Knowledge(rules=rules, above=[0] * rules.count, below=[0] * rules.count)
    known.homes = [0] * rules.count
    for home, cell in enumerate(rules.cells):
        for panel in bits(cell):
            known.homes[panel] |= 1 << home
    for alike in (*rules.alike, *rules.pressed):
        one, other = known.code(alike.one), known.code(alike.other)
        for first, second in ((one, other), (known.against(one), known.against(other))):
            known.alike[first].append((second, alike))
            known.alike[second].append((first, alike))
    watch, count = known.nested, rules.count
    for nest in rules.nested:
        for (a, b), (c, d), (e, f) in clauses(nest):
            one, other, third = a * count + b, c * count + d, e * count + f
            watch[b * count + a].append((other, third, nest))
            watch[d * count + c].append((one, third, nest))
            watch[f * count + e].append((one, other, nest))
    return known


def clauses(nest: Nested) -> tuple[tuple[Pair, Pair, Pair], tuple[Pair, Pair, Pair]]:
    """Of each three pairs one holds, or the folds interleave: low, low, high, high by turns."""
    (low, high), (other_low, other_high) = nest.one, nest.other
    return (
        ((other_low, low), (high, other_low), (other_high, high)),
        ((low, other_low), (other_high, low), (high, other_high)),
    )


def begun(rules: Rules) -> Knowledge | Conflict:
    """What follows from the rules without a guess."""
    known = knowledge_of(rules)
    for rule in rules.fixed:
        if not known.add(known.code(rule.pair), ((), None)):
            return Conflict(panels=frozenset(rule.pair), why=Why.SENSE, at=rule.at)
    wrong = known.infer()
    return known if wrong is None else _conflict(known, wrong)


def _conflict(known: Knowledge, wrong: int) -> Conflict:
    """What led to a pair and to its opposite; panels of earlier failures are kept."""
    panels: set[int] = set() if known.failed is None else set(known.failed.panels)
    seen: set[int] = set()
    rules = []
    waiting = [wrong, known.against(wrong)]
    while waiting:
        pair = waiting.pop()
        if pair in seen:
            continue
        seen.add(pair)
        panels.update(divmod(pair, known.rules.count))
        causes, rule = known.reasons[pair]
        if rule is not None:
            rules.append(rule)
        waiting.extend(causes)
    named = [rule for rule in rules if isinstance(rule, Alike)]
    first = named[0] if named else (rules[0] if rules else None)
    why = Why.ROUND if first is None else first.why if isinstance(first, Alike) else Why.NEST
    return Conflict(
        panels=frozenset(panels),
        why=why,
        at=None if first is None else first.at,
        guesses=known.guesses,
    )


def open_pairs(known: Knowledge) -> list[Pair]:
    """The pairs of panels that share a cell and of which it is not known which is above."""
    found = []
    for high in range(known.rules.count):
        unknown = (
            known.near(high, high) & ((1 << high) - 1) & ~known.above[high] & ~known.below[high]
        )
        found += [(low, high) for low in bits(unknown)]
    return found


def open_groups(known: Knowledge) -> list[list[Pair]]:
    """The open pairs in groups of which none has a say in what is possible in another."""
    pairs = open_pairs(known)
    group = list(range(known.rules.count))

    def first(panel: int) -> int:
        while group[panel] != panel:
            group[panel] = group[group[panel]]
            panel = group[panel]
        return panel

    def join(open_ones: Iterable[Pair]) -> None:
        panels = [first(panel) for pair in open_ones for panel in pair]
        for panel in panels:
            group[first(panel)] = first(panels[0])

    def is_open(pair: Pair) -> bool:
        low, high = pair
        return not (known.above[low] >> high & 1 or known.below[low] >> high & 1)

    for pair in pairs:
        join((pair,))
    if len({first(low) for low, _ in pairs}) < 2:
        return [pairs] if pairs else []
    for alike in (*known.rules.alike, *known.rules.pressed):
        join(pair for pair in (alike.one, alike.other) if is_open(pair))
    for nest in known.rules.nested:
        join(pair for clause in clauses(nest) for pair in clause if is_open(pair))
    groups: dict[int, list[Pair]] = {}
    for pair in pairs:
        groups.setdefault(first(pair[0]), []).append(pair)
    return list(groups.values())


def searched(known: Knowledge, pairs: Iterable[Pair], nodes: int | None) -> Iterator[Knowledge]:
    """All ways, in turn, to decide on open pairs; each is told as the knowledge itself.

    Where there is none, `failed` of the knowledge says why.  Raises OutOfNodes after so many
    guesses, if a number is given.
    """
    known.failed = None
    queue = [known.code(pair) for pair in pairs]
    # Each guess: how much was known before, where in the queue, the other choice if left.
    stack: list[tuple[int, int, int | None]] = []
    at = 0
    fine = True
    while True:
        while fine and at < len(queue):
            pair = queue[at]
            at += 1
            if known.knows(pair) or known.knows(known.against(pair)):
                continue
            if nodes is not None and known.guesses >= nodes:
                raise OutOfNodes
            known.guesses += 1
            stack.append((len(known.trail), at, known.against(pair)))
            fine = _goes_on(known, pair)
        if fine:
            yield known
        while stack and stack[-1][2] is None:
            stack.pop()
        if not stack:
            return
        length, at, other = stack.pop()
        known.back_to(length)
        if other is None:
            return
        stack.append((length, at, None))
        fine = _goes_on(known, other)


def _goes_on(known: Knowledge, pair: int) -> bool:
    """Take a guess as known and infer from it.  False where that contradicts itself."""
    known.add(pair, ((), None))
    wrong = known.infer()
    if wrong is not None:
        known.failed = _conflict(known, wrong)
    return wrong is None


def orders(rules: Rules) -> Iterator[tuple[int, ...]]:
    """Every order of the panels that keeps to the rules: the panels above each one, as bits."""
    known = begun(rules)
    if isinstance(known, Conflict):
        return
    for found in searched(known, open_pairs(known), None):
        yield tuple(found.above)
