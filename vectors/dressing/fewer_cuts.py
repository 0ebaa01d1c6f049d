"""This module looks for the same card with fewer cuts: one part fewer of those that are counted.

Only designs that count their parts in a measure (steps, columns, rays) can be made with
one fewer; each such card is proved, and the figures of both are there to be compared.
Whether the card still looks as it should is for its maker to say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from ..design import Design
from ..design.resolve import edition_in_use
from ..folding import Verdict
from ..problems import DesignError
from ..proving import Proof
from .hand_load import HandLoad


@dataclass(frozen=True, kw_only=True, slots=True)
class FewerCuts:
    """A card with one part fewer: the count that is changed, and what the card asks then."""

    measure: str
    before: int
    after: int
    load: HandLoad


def fewer_cuts(
    design: Design,
    proof: Proof,
    load: HandLoad,
    overrides: Mapping[str, str],
    weighed: Callable[[Mapping[str, str]], tuple[Proof, HandLoad]],
) -> Iterator[FewerCuts]:
    """The cards with one part fewer that close, stop nowhere and ask less of the hand.

    `weighed` proves the edition with other `overrides`, and says what it asks of the hand.
    """
    edition = edition_in_use(design, overrides, proof.resolved.variant)
    for name in edition.values:
        value = proof.resolved.measures[name]
        if name not in edition.numbers or Fraction(value).denominator != 1 or value < 2:
            continue
        count = int(value)
        try:
            again, less = weighed({**overrides, name: str(count - 1)})
        except DesignError:
            # The limits of the design keep it from so few.
            continue
        if again.verdict is Verdict.CLOSES and again.proven and _is_less(less, load):
            yield FewerCuts(measure=name, before=count, after=count - 1, load=less)


def _is_less(one: HandLoad, other: HandLoad) -> bool:
    """Whether one load is lighter somewhere, and nowhere heavier."""
    pairs = (
        (one.slits, other.slits),
        (round(one.cut_mm, 3), round(other.cut_mm, 3)),
        (one.creases, other.creases),
        (one.turns, other.turns),
        (one.settings, other.settings),
        (one.small, other.small),
    )
    return all(a <= b for a, b in pairs) and any(a < b for a, b in pairs)
