"""This module tries measures of a design at other values, and says how far the card then spills."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

from ..design import Design
from ..design.pieces import Resolved
from ..design.resolve import edition_in_use
from ..design.written import number_text
from ..folding import Verdict
from ..folding.skeleton import placed_by, skeleton_of
from ..measures import Ruler, Unit
from ..problems import DesignError, Severity
from ..problems.rules import limits
from ..stacking.cover import NotFlat, cover_of
from ..stacking.order import ply_order
from ..stacking.spill import NoCover, covers_of, spill_of
from .literals import lengths_of
from .measure_mends import COARSEST_FIRST
from .model import Proof
from .spill_mends import SpillMend, spill_mends

_OF_LIMITS = frozenset(rule.code for rule in limits.RULES)


def mends_of_spill(
    spill_mm: float,
    design: Design,
    resolved: Resolved,
    again: Callable[[Mapping[str, str]], Resolved],
    overrides: Mapping[str, str],
    proved: Callable[[Resolved], Proof],
    ruler: Ruler | None,
) -> tuple[SpillMend, ...]:
    """The measures that end a spill of so many mm.

    `again` resolves the same edition with more overrides, `proved` proves its closed
    card.  Without a `ruler` the coarsest of the design's printed units on which there
    is a mend is taken.
    """

    def tried(name: str, value: Fraction) -> float | None:
        try:
            other = again({name: f"{number_text(value)} mm"})
        except DesignError:
            return None
        return _spills(proved(other))

    edition = edition_in_use(design, overrides, resolved.variant)
    lengths = lengths_of(design, edition, resolved.measures)
    rulers = COARSEST_FIRST[Unit(resolved.units)] if ruler is None else (ruler,)
    for one in rulers:
        found = spill_mends(lengths, spill_mm, tried, one)
        if found:
            return found
    return ()


def _spills(proof: Proof) -> float | None:
    """By how many mm a card spills; None where it does not close or that is not known."""
    stops = {one.rule for one in proof.findings if one.severity is Severity.STOP}
    # What spills may be too large for its limit just because it spills.
    if proof.verdict is not Verdict.CLOSES or not stops <= _OF_LIMITS:
        return None
    assembly = proof.assembly
    turned = {
        (name, hinge.index): float(hinge.angle)
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
    }
    try:
        cover = cover_of(assembly, placed_by(skeleton_of(assembly), turned))
    except NotFlat:
        return None
    spilled = spill_of(cover, ply_order(assembly, cover), covers_of(assembly))
    return None if isinstance(spilled, NoCover) else spilled.mm
