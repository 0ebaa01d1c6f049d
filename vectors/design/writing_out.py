"""This module writes a design out: the parts that its pattern gives it become its own.

Lengths stay measures, with their limits and their meaning.  How many parts there
are does not: a count is replaced by its number wherever it stands.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, replace
from fractions import Fraction
from types import MappingProxyType
from typing import TypeVar

from ..measures import Expression, Kind, Quantity, Scope, Unit, filled_in, no_caliper
from ..problems import Collector, DesignError, Place, Problem, problem
from .editions import Edition, edition_of, measure_of, worked_out
from .leaves import Leaf, with_leaves
from .model import (
    BandDraft,
    Design,
    FoldDraft,
    MeasureDraft,
    PieceDraft,
    PoseDraft,
    VariantDraft,
)
from .pattern import Pattern, load_pattern
from .resolve import counts_of, resolve, with_parts
from .usage import expressions_in, names_without_use
from .written import expression

_Any = TypeVar("_Any")
_Crease = TypeVar("_Crease", FoldDraft, BandDraft)

_USUAL_ANGLE = "180"

_NO_OVERRIDES: Mapping[str, str] = MappingProxyType({})


def written_out(design: Design, overrides: Mapping[str, str] = _NO_OVERRIDES) -> Design:
    """The design with the pieces, joints and poses of its pattern written into it.

    `overrides` gives measures another value, as texts in the design's units.
    Parameters become measures; a count is replaced by its number, and a parameter
    that has no use with these counts is left out.  A design without a pattern
    stays as it is but for the values.

    Raises what `resolve` raises, and DesignError for a variant that changes a
    count: written out there is one number of parts.
    """
    resolve(design, overrides=overrides)
    stated = _with_values(design, overrides)
    if design.pattern is None:
        return replace(stated, source=None)
    pattern = load_pattern(design.pattern)
    edition = edition_of(stated, pattern, None, {})
    counts = counts_of(pattern, edition)
    found = Collector()
    for name, variant in design.variants.items():
        found.extend(tuple(_other_counts(stated, pattern, name, variant, counts)))
    found.raise_if_stopped(DesignError)
    whole = with_parts(stated, pattern, edition)
    values = worked_out(edition, no_caliper, ())
    exact = {name for name, one in values.items() if isinstance(one.value, Fraction)}
    full = replace(
        whole,
        pattern=None,
        measures=_measures(stated, pattern, edition, values, counts),
        variants={name: _without(one, counts) for name, one in design.variants.items()},
        pieces=tuple(_with_degrees(one) for one in _tidied(whole.pieces, counts, exact)),
        joints=_tidied(whole.joints, counts, exact),
        poses=tuple(_seen_in_degrees(one) for one in _tidied(whole.poses, counts, exact)),
        mats=_counted(whole.mats, counts),
        extras=_counted(whole.extras, counts),
        envelope=_counted(whole.envelope, counts),
        limits=_counted(whole.limits, counts),
        place=Place(),
        source=None,
    )
    return _in_use_only(full, pattern)


def _with_values(design: Design, overrides: Mapping[str, str]) -> Design:
    """The design with these values in its measures, each of the kind that it replaces."""
    if not overrides:
        return design
    pattern = None if design.pattern is None else load_pattern(design.pattern)
    edition = edition_of(design, pattern, None, overrides)
    kinds = worked_out(edition, no_caliper, ())
    measures = dict(design.measures)
    for name in overrides:
        old = measures.get(name, MeasureDraft(value=None))
        measures[name] = replace(
            old,
            value=_of_its_kind(name, edition),
            count=old.count or kinds[name].kind is Kind.NUMBER,
        )
    return replace(design, measures=measures)


def _of_its_kind(name: str, edition: Edition) -> Expression:
    """The value of a measure; a bare number that is degrees only by what it replaces says so."""
    written = edition.values[name]
    return _in_degrees(written) if name in edition.angles else written


def _in_degrees(written: Expression) -> Expression:
    """An angle, with its unit where it has none: elsewhere a bare number is a length."""
    if written.names or written.calipers:
        return written
    if written.evaluate(Scope.of(Unit.MM, {})).kind is not Kind.BARE:
        return written
    number = written.text.strip()
    plain = number.replace(".", "", 1).isdecimal()
    return expression(f"{number} deg" if plain else f"({number}) deg")


def _with_degrees(piece: PieceDraft) -> PieceDraft:
    """A piece of a pattern, every angle in it with its unit."""

    def turned(crease: _Crease) -> _Crease:
        angle = expression(crease.angle)
        # What is usual is not written at all.
        return crease if angle.text == _USUAL_ANGLE else replace(crease, angle=_in_degrees(angle))

    return replace(
        piece,
        grain=None if piece.grain is None else _in_degrees(expression(piece.grain)),
        folds=tuple(turned(one) for one in piece.folds),
        bands=tuple(turned(one) for one in piece.bands),
    )


def _seen_in_degrees(pose: PoseDraft) -> PoseDraft:
    """A pose of a pattern, every angle in it with its unit."""
    return replace(
        pose,
        hold={fold: _in_degrees(expression(angle)) for fold, angle in pose.hold.items()},
        view=None if pose.view is None else _in_degrees(expression(pose.view)),
    )


def _other_counts(
    design: Design, pattern: Pattern, name: str, variant: VariantDraft, counts: Mapping[str, int]
) -> Iterator[Problem]:
    """A problem for each count that a variant has another number of."""
    theirs = counts_of(pattern, edition_of(design, pattern, variant, {}))
    for count, number in theirs.items():
        if number != counts[count]:
            draft = variant.measures.get(count)
            yield problem(
                "count-in-variant",
                place=variant.place if draft is None else draft.place,
                variant=name,
                name=count,
                found=number,
                fixed=counts[count],
            )


def _measures(
    design: Design,
    pattern: Pattern,
    edition: Edition,
    values: Mapping[str, Quantity],
    counts: Mapping[str, int],
) -> dict[str, MeasureDraft]:
    """The parameters that are no counts, and the design's own measures; `values` are worked out."""
    parameters = {one.name: one for one in pattern.parameters}
    found: dict[str, MeasureDraft] = {}
    for name in edition.values:
        if name in counts:
            continue
        draft = design.measures.get(name, MeasureDraft(value=None))
        if name in parameters:
            draft = _over(measure_of(parameters[name], design, edition.file_units), draft)
        # A ratio that is reckoned from a count would become a length without it.
        ratio = values[name].kind is Kind.NUMBER
        draft = replace(draft, value=_of_its_kind(name, edition), count=draft.count or ratio)
        found[name] = _counted(draft, counts)
    return found


def _over(given: MeasureDraft, own: MeasureDraft) -> MeasureDraft:
    """What a pattern says of a measure, with what the file says in place of it."""
    said = {
        item.name: getattr(own, item.name)
        for item in fields(own)
        if getattr(own, item.name) is not None and item.name != "count"
    }
    return replace(given, **said)


def _without(variant: VariantDraft, counts: Mapping[str, int]) -> VariantDraft:
    measures = {name: one for name, one in variant.measures.items() if name not in counts}
    return replace(variant, measures=_counted(measures, counts))


def _in_use_only(full: Design, pattern: Pattern) -> Design:
    """The design without the parameters that nothing uses with these counts."""
    parameters = {one.name for one in pattern.parameters}
    unused = names_without_use(full, None, edition_of(full, None, None, {}), full.pieces)
    own = [draft for name, draft in full.measures.items() if name not in parameters]
    needed = {name for one in expressions_in(own) for name in one.names}
    gone = (unused & parameters) - _all_behind(full, needed)

    def kept(measures: Mapping[str, MeasureDraft]) -> dict[str, MeasureDraft]:
        return {name: one for name, one in measures.items() if name not in gone}

    return replace(
        full,
        measures=kept(full.measures),
        variants={
            name: replace(one, measures=kept(one.measures)) for name, one in full.variants.items()
        },
    )


def _all_behind(design: Design, names: set[str]) -> set[str]:
    """The names, and all the measures from which they follow."""
    found, waiting = set(names), list(names)
    while waiting:
        draft = design.measures.get(waiting.pop())
        for one in expressions_in(draft):
            waiting.extend(one.names - found)
            found |= one.names
    return found


def _tidied(value: _Any, counts: Mapping[str, int], exact: Collection[str]) -> _Any:
    """The same drafts of a pattern with numbers in the place of the counts, and what follows."""

    def change(leaf: Leaf) -> Leaf:
        return filled_in(leaf, counts, exact) if isinstance(leaf, Expression) else leaf

    return with_leaves(value, change)


def _counted(value: _Any, counts: Mapping[str, int]) -> _Any:
    """The same drafts of a person, touched only where they name a count."""

    def change(leaf: Leaf) -> Leaf:
        if isinstance(leaf, Place) or not leaf.names & counts.keys():
            return leaf
        return filled_in(leaf, counts)

    return with_leaves(value, change)
