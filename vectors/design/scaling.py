"""This module scales the measures of a design: each as it is marked, within its limits.

A length that is written as a number is multiplied by the factor (`scale = "with"`, and
where nothing is said), stays (`"fixed"`), or goes to the nearest line of its ruler
(`"ruler"`): its `step`, else 1/16 in, or 1 mm where it lay on whole millimetres and
0.5 mm where it did not.  Lengths that are reckoned from others follow by themselves.
Angles, counts and limits never scale.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction
from types import MappingProxyType

from ..measures import (
    Expression,
    Kind,
    Number,
    Quantity,
    Ruler,
    Scope,
    Unit,
    as_length,
    exact_text,
    parse,
)
from ..measures.exact import ROUNDING_MM
from ..measures.plain import is_plain_length
from ..problems import Collector, DesignError, Place, Problem, problem
from .editions import Edition, worked_out
from .model import (
    BandDraft,
    Design,
    ExtraDraft,
    FoldDraft,
    JointDraft,
    MarkDraft,
    PieceDraft,
    PoseDraft,
    Scale,
)
from .ranges import Range, ranges_of
from .resolve import MeasuresInUse, measures_in_use
from .rewriting import measure_text
from .written import number_text

_NONE: Mapping[str, Number] = MappingProxyType({})
_NO_OVERRIDES: Mapping[str, str] = MappingProxyType({})

# Whether a length follows is seen by making everything that scales twice as large.
_TWICE = 2

# So many numbers that do not follow are told in words; of more the count is told.
_MOST_TOLD = 6

# What a draft holds that is no length of its shape: angles and counts, and sizes that belong
# to a thing or a reader and not to the card.
_NO_SHAPE: Mapping[type, frozenset[str]] = {
    PieceDraft: frozenset({"grain", "copies"}),
    FoldDraft: frozenset({"angle"}),
    BandDraft: frozenset({"angle"}),
    MarkDraft: frozenset({"height"}),
    JointDraft: frozenset({"slack"}),
    ExtraDraft: frozenset({"size", "height", "mass"}),
    PoseDraft: frozenset({"hold", "view"}),
}


@dataclass(frozen=True, kw_only=True, slots=True)
class ScaledMeasure:
    """A length that the design states, in mm, before and after.

    `wanted` is the length times the factor, `limit` the word of the limit that keeps it
    from there (`least` or `most`), None where none does.
    """

    name: str
    scale: Scale
    before: Fraction
    wanted: Fraction
    after: Fraction
    limit: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Scaling:
    """A design scaled by a factor: its lengths, and the texts that set them for a run.

    `texts` has the lengths that change, as their author would write them in the edition.
    `findings` are the limits that stopped a length, and what does not follow.
    """

    factor: Fraction
    measures: tuple[ScaledMeasure, ...]
    texts: Mapping[str, str]
    findings: tuple[Problem, ...]


def factor_of(text: str) -> Fraction:
    """The factor that a text says: a number above 0.  Raises DesignError for anything else."""
    try:
        found = parse(text.strip()).evaluate(Scope.of(Unit.MM, {}))
    except DesignError:
        found = None
    if (
        found is None
        or found.kind not in (Kind.BARE, Kind.NUMBER)
        or not isinstance(found.value, Fraction)
        or found.value <= 0
    ):
        raise DesignError(problem("unfit-factor", found=text))
    return found.value


def scaled(
    design: Design,
    factor: Fraction,
    *,
    calipers: Mapping[str, Number] = _NONE,
    overrides: Mapping[str, str] = _NO_OVERRIDES,
    variant: str | None = None,
    stay: Collection[str] = (),
    with_notes: bool = True,
) -> Scaling:
    """The measures of an edition of a design, scaled by a factor above 0.

    `calipers`, `overrides` and `variant` are those of `resolve`; the measures that `stay`
    are left as they are, whatever they are marked.  What does not follow is looked for
    `with_notes` only: it takes a look at every line.  Raises what `resolve` raises for
    the edition as it is.
    """
    used = measures_in_use(design, calipers, overrides, variant)
    wanted = {
        one.name: one for one in _wanted(design, used, factor, variant) if one.name not in stay
    }
    kept = _within_limits(used, wanted)
    measures = tuple(kept.values())
    texts = {
        one.name: measure_text(design, one.name, one.after, variant)
        for one in measures
        if one.after != one.before
    }
    findings = [
        _limited(one, used.edition, wanted[one.name], design) for one in measures if one.limit
    ]
    if with_notes and factor != 1:
        findings += _not_scaled(design, used)
    return Scaling(
        factor=factor,
        measures=measures,
        texts=MappingProxyType(texts),
        findings=tuple(findings),
    )


def numbers_that_stay(design: Design) -> tuple[Problem, ...]:
    """A note on the lengths of a design that do not follow its measures, if there are any."""
    return tuple(_not_scaled(design, measures_in_use(design)))


def _wanted(
    design: Design, used: MeasuresInUse, factor: Fraction, variant: str | None
) -> Iterator[ScaledMeasure]:
    """The plain lengths of an edition as they are to be, whatever their limits say."""
    edition = used.edition
    for name, value in used.values.items():
        if (
            value.kind is not Kind.LENGTH
            or not isinstance(value.value, Fraction)
            or not is_plain_length(edition.values[name])
        ):
            continue
        before, scale = value.value, edition.scales.get(name, Scale.WITH)
        after = before if scale is Scale.FIXED else before * factor
        yield ScaledMeasure(
            name=name,
            scale=scale,
            before=before,
            wanted=after,
            after=_on_line(after, before, used, name) if _snaps(scale, factor) else after,
        )


def _snaps(scale: Scale, factor: Fraction) -> bool:
    # A design that is not scaled at all stays as it is, on its ruler or off it.
    return scale is Scale.RULER and factor != 1


def _on_line(length: Fraction, before: Fraction, used: MeasuresInUse, name: str) -> Fraction:
    """The nearest line of a measure's ruler, half way up, and never 0 for what is not 0."""
    step = _step(used, name, before)
    lines = max(Fraction((abs(length) / step + Fraction(1, 2)).__floor__()), Fraction(1))
    if length == 0:
        return length
    return lines * step if length > 0 else -lines * step


def _step(used: MeasuresInUse, name: str, before: Fraction) -> Fraction:
    bound = used.edition.steps.get(name)
    if bound is not None:
        scope = Scope.of(bound.units, used.values, used.caliper, used.stocks)
        step = as_length(bound.expression.evaluate(scope), bound.units)
        if isinstance(step, Fraction) and step > 0:
            return step
    if used.edition.units[name] is Unit.IN:
        return Ruler.SIXTEENTH_IN.step
    return Ruler.MM.step if before % Ruler.MM.step == 0 else Ruler.HALF_MM.step


def _within_limits(
    used: MeasuresInUse, wanted: Mapping[str, ScaledMeasure]
) -> dict[str, ScaledMeasure]:
    """The measures, those beyond a limit brought back to it, one at a time.

    A limit may follow from other measures, and so move when one of them is brought back.
    """
    kept = dict(wanted)
    for _ in range(2 * len(kept)):
        one = next((r for r in _ranges(used, kept) if r.name in kept and _can_move(r, kept)), None)
        if one is None:
            break
        old, word = kept[one.name], "least" if one.below else "most"
        limit = one.least if one.below else one.most
        assert limit is not None
        kept[one.name] = replace(old, after=_inside(old, limit, used, below=one.below), limit=word)
    return kept


def _can_move(one: Range, kept: Mapping[str, ScaledMeasure]) -> bool:
    fixed = kept[one.name].scale is Scale.FIXED
    # What is fixed, and limits that leave nothing, are told when the design is worked out.
    return not fixed and not one.empty and (one.below or one.above)


def _ranges(used: MeasuresInUse, kept: Mapping[str, ScaledMeasure]) -> tuple[Range, ...]:
    values = {name: parse(f"{number_text(one.after)} mm") for name, one in kept.items()}
    places = {
        name: replace(one, place=used.edition.values[name].place) for name, one in values.items()
    }
    trial = replace(used.edition, values={**used.edition.values, **places})
    try:
        measures = worked_out(trial, used.caliper, used.stocks)
    except DesignError:
        # It is told when the scaled design is worked out.
        return ()
    return tuple(ranges_of(trial, measures, used.caliper, used.stocks, Collector()))


def _inside(old: ScaledMeasure, limit: Number, used: MeasuresInUse, *, below: bool) -> Fraction:
    """The limit itself, or for a measure of a ruler the last line inside it."""
    exact = limit if isinstance(limit, Fraction) else _no_further(limit, below=below)
    if old.scale is not Scale.RULER:
        return exact
    step = _step(used, old.name, old.before)
    lines = -((-exact / step).__floor__()) if below else (exact / step).__floor__()
    # Limits closer together than the ruler's lines leave none: the limit must do.
    return exact if lines * step == old.after or lines == 0 else lines * step


def _no_further(limit: float, *, below: bool) -> Fraction:
    """A limit that is no fraction, taken a hair inside."""
    return Fraction(limit + ROUNDING_MM if below else limit - ROUNDING_MM)


def _limited(
    one: ScaledMeasure, edition: Edition, wanted: ScaledMeasure, design: Design
) -> Problem:
    units = edition.printed
    limit = exact_text(one.after, units)
    bound = (edition.least if one.limit == "least" else edition.most).get(one.name)
    # The limit of a pattern stands in no file.
    fixed = bound is not None and _of_pattern(bound.expression, design)
    hint = "leave it so" if fixed else f"change its {one.limit} in the file"
    return problem(
        "scale-limited",
        place=edition.values[one.name].place,
        measure_mm=float(wanted.wanted),
        name=one.name,
        wanted=exact_text(wanted.wanted, units),
        word=one.limit,
        limit=limit,
        value=limit,
        hint=hint,
    )


def _not_scaled(design: Design, used: MeasuresInUse) -> list[Problem]:
    """A note on lengths that are written out as numbers, in measures and in lines."""
    told: dict[tuple[int | None, str], None] = {}
    first: Place | None = None
    for written in _that_stay(design, used):
        told.setdefault((written.place.line, written.text), None)
        first = written.place if first is None else first
    if first is None:
        return []
    texts = [
        f'"{text}"' if line is None else f'"{text}" in line {line}'
        for line, text in sorted(told, key=lambda one: one[0] or 0)
    ]
    more = len(texts) - _MOST_TOLD
    row = ", ".join(texts[:_MOST_TOLD]) + (f" and {more} more" if more > 0 else "")
    return [problem("not-scaled", place=replace(first, line=None), told=row)]


def _that_stay(design: Design, used: MeasuresInUse) -> Iterator[Expression]:
    """The expressions whose value does not grow as all that scales does."""
    edition = used.edition
    twice = {name: _grown(value) for name, value in used.values.items()}

    def twice_caliper(stock: str | None) -> Quantity:
        return _grown(used.caliper(stock))

    def stays(written: Expression, units: Unit) -> bool:
        try:
            here = written.evaluate(Scope.of(units, used.values, used.caliper, used.stocks))
            there = written.evaluate(Scope.of(units, twice, twice_caliper, used.stocks))
        except DesignError:
            return False
        if here.kind not in (Kind.LENGTH, Kind.BARE):
            return False
        return abs(float(there.value - _TWICE * here.value)) > ROUNDING_MM

    for name, value in used.values.items():
        written = edition.values[name]
        reckoned = value.kind is Kind.LENGTH and not is_plain_length(written)
        if reckoned and stays(written, edition.units[name]) and not _of_pattern(written, design):
            yield written
    # The parts of a pattern stand in no file: what of them stays is its author's choice.
    for written in _lengths((design.pieces, design.joints, design.extras, design.poses)):
        if stays(written, edition.file_units):
            yield written


def _of_pattern(written: Expression, design: Design) -> bool:
    """Whether a value is a default of the pattern: it is told where the pattern is named."""
    if design.pattern is None or design.source is None:
        return False
    return written.place.line == design.source.place("pattern").line


def _grown(value: Quantity) -> Quantity:
    return replace(value, value=_TWICE * value.value) if value.kind is Kind.LENGTH else value


def _lengths(value: object) -> Iterator[Expression]:
    """The expressions in drafts that stand for lengths of the shape."""
    # A stack in place of recursion: designs may have hundreds of thousands of points.
    waiting = [value]
    while waiting:
        one = waiting.pop()
        if isinstance(one, Expression):
            yield one
        elif isinstance(one, list | tuple):
            waiting.extend(one)
        elif is_dataclass(one) and not isinstance(one, type):
            skipped = _NO_SHAPE.get(type(one), frozenset())
            waiting.extend(
                getattr(one, item.name) for item in fields(one) if item.name not in skipped
            )
