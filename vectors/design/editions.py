"""This module works out the measures of one edition: pattern, file, variant, command line.

Each later one replaces the values of the one before; numbers without a unit are
in the units of whoever wrote them.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

from ..measures import (
    Expression,
    Kind,
    Quantity,
    Scope,
    Unit,
    no_caliper,
    parse,
    work_out,
)
from ..problems import Collector, DesignError, Place, Problem, problem
from .model import Design, MeasureDraft, Scale, VariantDraft
from .naming import nearest
from .pattern import Parameter, Pattern
from .written import maybe_expression

CaliperOf = Callable[[str | None], Quantity]


@dataclass(frozen=True, kw_only=True, slots=True)
class Bound:
    """A least, a most or a step of a measure, and the units of its bare numbers.

    `pattern` is the pattern that sets it; None where the file does.
    """

    expression: Expression
    units: Unit
    pattern: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Edition:
    """The measures of one edition as written.

    `values` has every measure's expression, `units` what the bare numbers in
    it are in, `numbers` the plain numbers among them, `angles` those whose bare
    number is degrees.  `steps` is what a measure is set in, `scales` what becomes of
    it when the design is scaled, where that is said, `kept` has those
    that a mend never touches, `stated` those that the file or this run gives a
    value, as against a pattern's own defaults, and `given` those that this run does.
    `printed` are the units that lengths are told in.  `parameters` are those of the
    pattern.
    """

    values: Mapping[str, Expression]
    units: Mapping[str, Unit]
    numbers: frozenset[str]
    angles: frozenset[str]
    least: Mapping[str, Bound]
    most: Mapping[str, Bound]
    steps: Mapping[str, Bound]
    scales: Mapping[str, Scale]
    kept: frozenset[str]
    stated: frozenset[str]
    given: frozenset[str]
    file_units: Unit
    printed: Unit
    parameters: Mapping[str, Parameter]


def edition_of(
    design: Design,
    pattern: Pattern | None,
    variant: VariantDraft | None,
    overrides: Mapping[str, str],
) -> Edition:
    """The edition that a variant and overrides make of a design.

    Raises DesignError for an override that cannot be read or of no measure.
    """
    found = Collector()
    file_units = Unit(design.units)
    values: dict[str, Expression] = {}
    units: dict[str, Unit] = {}
    numbers: set[str] = set()
    angles: set[str] = set()
    least: dict[str, Bound] = {}
    most: dict[str, Bound] = {}
    steps: dict[str, Bound] = {}
    scales: dict[str, Scale] = {}
    kept: dict[str, bool] = {}

    def take(name: str, draft: MeasureDraft, written_in: Unit, of: str | None = None) -> None:
        value = maybe_expression(draft.value)
        if value is not None:
            values[name], units[name] = value, written_in
        if draft.count:
            numbers.add(name)
        if draft.keep is not None:
            kept[name] = draft.keep
        if draft.scale is not None:
            scales[name] = Scale(draft.scale)
        for bounds, written in ((least, draft.least), (most, draft.most), (steps, draft.step)):
            bound = maybe_expression(written)
            if bound is not None:
                bounds[name] = Bound(expression=bound, units=written_in, pattern=of)

    if pattern is not None:
        for parameter in pattern.parameters:
            draft = measure_of(parameter, design, file_units)
            take(parameter.name, draft, file_units, pattern.name)
            if parameter.kind is Kind.ANGLE:
                angles.add(parameter.name)
    for name, draft in design.measures.items():
        take(name, draft, file_units)

    def edition() -> Edition:
        return Edition(
            values=dict(values),
            units=dict(units),
            numbers=frozenset(numbers),
            angles=frozenset(angles),
            least=dict(least),
            most=dict(most),
            steps=dict(steps),
            scales=dict(scales),
            kept=frozenset(name for name, keep in kept.items() if keep),
            stated=frozenset((*design.measures, *overrides)),
            given=frozenset(overrides),
            file_units=file_units,
            printed=used,
            parameters=({} if pattern is None else {one.name: one for one in pattern.parameters}),
        )

    used = file_units
    if variant is not None and variant.units is not None:
        used = Unit(variant.units)
    if variant is not None or overrides:
        # What a measure is now, it stays: the bare number that replaces an
        # angle is degrees, the one that replaces a ratio is a plain number.
        try:
            before = worked_out(edition(), no_caliper, ())
        except DesignError:
            before = {}
        numbers.update(name for name, value in before.items() if value.kind is Kind.NUMBER)
        angles.update(name for name, value in before.items() if value.kind is Kind.ANGLE)
    if variant is not None:
        for name, draft in variant.measures.items():
            take(name, draft, used)
    for name, text in overrides.items():
        place = Place(file=f"--set {name}", key=f"measures.{name}")
        if name not in values:
            hint = nearest(name, values, "measure")
            found.add(problem("unknown-measure", place=place, name=name, hint=hint))
            continue
        if not text.strip():
            found.add(problem("no-value", place=place, name=name, value=values[name].text))
            continue
        try:
            values[name] = parse(text, place)
        except DesignError as error:
            found.extend(error)
        units[name] = used
    found.raise_if_stopped(DesignError)
    return edition()


def measure_of(parameter: Parameter, design: Design, units: Unit) -> MeasureDraft:
    """The measure that a parameter is in a design of these units."""
    place = design.place if design.source is None else design.source.place("pattern")

    def read(written: str | None) -> Expression | None:
        return None if written is None else parse(written, place)

    return MeasureDraft(
        value=read(parameter.default(units)),
        count=parameter.kind is Kind.NUMBER,
        least=read(parameter.least),
        most=read(parameter.most),
        step=read(parameter.step(units)),
        scale=parameter.scale,
        about=parameter.meaning,
        place=place,
    )


def worked_out(
    edition: Edition, caliper: CaliperOf, stocks: Collection[str]
) -> Mapping[str, Quantity]:
    """Every measure of the edition.  Raises DesignError with all that is wrong with them."""
    entries: dict[str, Expression | Quantity] = {}
    for name, written in edition.values.items():
        entries[name] = written
        if name in edition.angles and not written.names and not written.calipers:
            try:
                value = written.evaluate(Scope.of(edition.units[name], {}))
            except DesignError:
                # It is told below, together with what is wrong elsewhere.
                continue
            if value.kind is Kind.BARE:
                entries[name] = Quantity(value.value, Kind.ANGLE)
    try:
        return work_out(
            entries,
            units=edition.file_units,
            caliper=caliper,
            stocks=stocks,
            units_of=edition.units,
            numbers=edition.numbers,
            kinds={name: one.kind for name, one in edition.parameters.items()},
        )
    except DesignError as error:
        raise DesignError(tuple(_with_a_value(one, edition) for one in error.problems)) from None


# A value of another kind than is due: of a parameter its default is told, which would do.
_KINDS = {
    "not-a-length": "a length",
    "not-an-angle": "an angle",
    "not-a-number": "a whole number",
}


def _with_a_value(one: Problem, edition: Edition) -> Problem:
    """The same problem; a parameter of the wrong kind is told with a value of the right one."""
    if one.rule not in _KINDS:
        return one
    for name, parameter in edition.parameters.items():
        if one.message.startswith(f'the measure "{name}" '):
            units = edition.units[name]
            value = parameter.default(units)
            plain = value.replace(".", "", 1).replace("/", "").replace(" ", "").isdecimal()
            unit = {Kind.LENGTH: f" {units}", Kind.ANGLE: " deg"}.get(parameter.kind, "")
            told = f"{value}{unit}" if plain else value
            return replace(one, mend=f'write {_KINDS[one.rule]}, such as "{told}"')
    return one
