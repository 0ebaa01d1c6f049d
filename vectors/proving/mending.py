"""This module adds to a proof which measures of the design to change, or why none will do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..design import Design
from ..design.resolve import edition_in_use
from ..folding import Verdict
from ..measures import Ruler, Unit
from ..problems import Place, Problem, problem
from .judging import measure_mend_text
from .literals import Length, lengths_of
from .measure_mends import COARSEST_FIRST, Trial, measure_mends, reach_text
from .model import Proof

# The findings that a mend of measures does away with.
_MENDED = ("buckles", "gapes", "kawasaki")


def with_measure_mends(
    proof: Proof,
    design: Design,
    overrides: Mapping[str, str],
    trial: Trial,
    ruler: Ruler | None = None,
) -> Proof:
    """The proof of an edition of a design, with the mends of its measures where a loop is open.

    The best of them becomes the mend of every finding on an open loop; where
    there is none, a note says why.  `trial` proves the same edition with more
    overrides.  Without a `ruler` the coarsest of the design's printed units
    on which there is a mend is taken.
    """
    if proof.verdict not in (Verdict.GAPES, Verdict.BUCKLES):
        return proof
    units = Unit(proof.resolved.units)
    rulers = COARSEST_FIRST[units] if ruler is None else (ruler,)
    edition = edition_in_use(design, overrides, proof.resolved.variant)
    lengths = lengths_of(design, edition, proof.resolved.measures)
    mends = measure_mends(proof, lengths, trial, rulers)
    if not mends:
        return replace(proof, findings=(*proof.findings, _why_none(design, lengths, rulers)))
    text = measure_mend_text(mends[0], units)
    findings = tuple(
        replace(found, mend=text) if found.rule in _MENDED else found for found in proof.findings
    )
    return replace(proof, findings=findings, measure_mends=mends)


def _why_none(design: Design, lengths: Sequence[Length], rulers: Sequence[Ruler]) -> Problem:
    place = design.place
    if design.measures:
        place = next(iter(design.measures.values())).place
    if not lengths:
        return problem("no-measure-to-change", place=place)
    tied = [one.name for one in lengths if one.least is not None and one.least == one.most]
    if len(tied) == len(lengths):
        return problem("measures-are-tied", place=place, names=_listed(tied))
    return problem(
        "no-measure-mends",
        place=Place() if place is None else place,
        names=_listed([one.name for one in lengths]),
        reach=reach_text(rulers),
    )


def _listed(names: Sequence[str]) -> str:
    shown = [f'"{name}"' for name in names[:6]]
    more = len(names) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")
