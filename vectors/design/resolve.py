"""This module resolves a design: every expression is worked out, for one edition of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from types import MappingProxyType
from typing import TypeVar

from ..measures import (
    Kind,
    Number,
    Quantity,
    Scope,
    Unit,
    as_count,
    no_caliper,
)
from ..problems import Collector, DesignError, Place, Problem, problem
from .bounds import bound_problems
from .checks import design_problems, draft_points, piece_problems
from .contacts import ContactWork
from .dressing import DressingWork
from .editions import CaliperOf, Edition, edition_of, worked_out
from .leaves import Leaf, with_leaves
from .mirroring import mirrored, turned_round_texts
from .model import Design, EnvelopeDraft, LimitsDraft, PieceDraft, VariantDraft
from .naming import names_of_folds, nearest, panel_names
from .pattern import Pattern, load_pattern, parts_of
from .pieces import Envelope, Form, Limits, Resolved, Stock
from .piecework import PieceWork
from .posing import poses_of
from .sheets import sheet_size
from .usage import unused_measures
from .what_fits import what_fits
from .written import spot

_Any = TypeVar("_Any")

_NONE: Mapping[str, Number] = MappingProxyType({})
_NO_OVERRIDES: Mapping[str, str] = MappingProxyType({})

EVERY_OTHER_STOCK = ""
"""The key under which `calipers` may hold the thickness of every stock that it does not name."""


def resolve(
    design: Design,
    calipers: Mapping[str, Number] = _NONE,
    overrides: Mapping[str, str] = _NO_OVERRIDES,
    variant: str | None = None,
) -> Resolved:
    """The design with every expression worked out.

    `calipers` is the paper thickness in mm by stock; the one under the empty
    name serves every stock that is not named, and a stock without any is 0 mm
    thick.  `overrides` gives measures another value for this run, as texts in
    the units of the variant in use, else of the file.  `variant` is the edition
    to use.

    Raises DesignError with every problem of the stage: first of names and
    references, then of measures, then of pieces.  Raises PlugInError where the
    pattern is not installed.
    """
    pattern = _pattern_of(design)
    found = Collector()
    found.extend(design_problems(design, pattern, () if variant is None else (variant,)))
    found.raise_if_stopped(DesignError)
    used = _variant_of(design, variant)
    edition = edition_of(design, pattern, used, overrides)
    design = with_parts(design, pattern, edition)
    pieces = design.pieces
    too_many = draft_points(pieces, design.place)
    if too_many is not None:
        raise DesignError(too_many)

    stocks = _stocks_of(design, pieces, used)
    first = pieces[0].stock if pieces else None
    caliper = _caliper_of(first, stocks, calipers)
    measures = worked_out(edition, caliper, tuple(stocks))
    found.extend(bound_problems(edition, measures, caliper, tuple(stocks)))

    def scope_of(stock: str | None) -> Scope:
        return Scope.of(
            edition.file_units, measures, _caliper_of(stock, stocks, calipers), tuple(stocks)
        )

    worked = [PieceWork(scope_of(draft.stock), found, draft.name).piece(draft) for draft in pieces]
    whole = tuple(piece for piece in worked if piece is not None)
    scopes = {draft.name: scope_of(draft.stock) for draft in pieces}
    contacts = ContactWork(panel_names(pieces), scopes, found)
    joints = tuple(contacts.joints(design.joints))
    poses = poses_of(design.poses, whole, names_of_folds(pieces), contacts, scopes, found)
    sized = {piece.name: piece.outline.box() for piece in whole}
    dressing = DressingWork(contacts.panels, scopes, sized, found)
    mats, extras = tuple(dressing.mats(design.mats)), tuple(dressing.extras(design.extras))
    envelope = _envelope_of(design.envelope, PieceWork(scope_of(first), found))
    limits = _limits_of(design.limits, PieceWork(scope_of(first), found))
    found.raise_if_stopped(DesignError)
    resolved = Resolved(
        name=design.name,
        version=design.version,
        units=str(edition.file_units if used is None or used.units is None else used.units),
        variant=variant,
        pieces=whole,
        joints=joints,
        stocks=MappingProxyType(stocks),
        measures=MappingProxyType({name: value.value for name, value in measures.items()}),
        notes=(
            *found.problems,
            *unused_measures(design, pattern, edition, pieces),
            *_notes(design, pieces),
        ),
        limits=limits,
        poses=poses,
        mats=mats,
        extras=extras,
        envelope=envelope,
    )
    mirror = design.mirrored if used is None or used.mirrored is None else used.mirrored
    if not mirror:
        return resolved
    turned = mirrored(resolved)
    return replace(turned, notes=(*turned.notes, *turned_round_texts(turned)))


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuresInUse:
    """The measures of an edition, worked out, with all that their expressions rest on.

    `design` has the parts that they shape, those of its pattern included.
    """

    edition: Edition
    values: Mapping[str, Quantity]
    caliper: CaliperOf
    stocks: tuple[str, ...]
    design: Design


def measures_in_use(
    design: Design,
    calipers: Mapping[str, Number] = _NONE,
    overrides: Mapping[str, str] = _NO_OVERRIDES,
    variant: str | None = None,
) -> MeasuresInUse:
    """The measures of the edition that `resolve` would work out, before any piece is.

    Raises what `resolve` raises for them, but for limits that are not kept.
    """
    pattern, used = _pattern_of(design), _variant_of(design, variant)
    edition = edition_of(design, pattern, used, overrides)
    whole = with_parts(design, pattern, edition)
    pieces = whole.pieces
    stocks = _stocks_of(design, pieces, used)
    caliper = _caliper_of(pieces[0].stock if pieces else None, stocks, calipers)
    return MeasuresInUse(
        edition=edition,
        values=worked_out(edition, caliper, tuple(stocks)),
        caliper=caliper,
        stocks=tuple(stocks),
        design=whole,
    )


def edition_in_use(
    design: Design,
    overrides: Mapping[str, str] = _NO_OVERRIDES,
    variant: str | None = None,
) -> Edition:
    """The measures as written, of the edition that `resolve` would work out.

    Raises what `resolve` raises for them.
    """
    return edition_of(design, _pattern_of(design), _variant_of(design, variant), overrides)


def _pattern_of(design: Design) -> Pattern | None:
    if design.pattern is None:
        return None
    return load_pattern(design.pattern, _pattern_place(design))


def _pattern_place(design: Design) -> Place:
    return Place(key="pattern") if design.source is None else design.source.place("pattern")


def _variant_of(design: Design, name: str | None) -> VariantDraft | None:
    if name is None:
        return None
    if name not in design.variants:
        raise DesignError(
            problem(
                "unknown-variant",
                place=Place(file=f"--variant {name}", key="variant"),
                variant=name,
                hint=nearest(name, design.variants, "variant"),
            )
        )
    return design.variants[name]


def with_parts(design: Design, pattern: Pattern | None, edition: Edition) -> Design:
    """The design with the pieces, joints and poses that its pattern gives it.

    A pose of the design comes in place of the pattern's of that name.  Raises
    DesignError where a count is none or out of its limits, and for what is
    wrong with the names of the parts.
    """
    if pattern is None:
        return design
    counts = counts_of(pattern, edition)
    place = _pattern_place(design)
    parts = parts_of(pattern, counts, place)
    own = {pose.name for pose in design.poses}
    found = Collector()
    whole = replace(
        design,
        pieces=_relocated(parts.pieces, place),
        joints=(*_relocated(parts.joints, place), *design.joints),
        poses=(
            *(_relocated(pose, place) for pose in parts.poses if pose.name not in own),
            *design.poses,
        ),
    )
    found.extend(tuple(piece_problems(whole, whole.pieces)))
    if not whole.pieces:
        found.add(problem("no-pieces", place=place))
    found.raise_if_stopped(DesignError)
    return whole


def counts_of(pattern: Pattern, edition: Edition) -> dict[str, int]:
    """The value of each parameter that is a count.

    Raises DesignError where one is no count, and where any measure is out of the
    limits that it has as far as they do not follow from the paper.
    """
    # How many parts there are does not depend on how thick the paper is, and
    # whose paper it is is known only once the parts are.
    measures = worked_out(edition, no_caliper, ())
    found = Collector()
    counts: dict[str, int] = {}
    for parameter in pattern.parameters:
        if parameter.kind is not Kind.NUMBER:
            continue
        name = parameter.name
        try:
            counts[name] = as_count(
                measures[name], edition.values[name].place, f'the measure "{name}"'
            )
        except DesignError as error:
            span = what_fits(edition, name, no_caliper, ())
            for one in error.problems:
                mend = one.mend if span is None else f"make it {span.told(edition.printed)}"
                found.add(replace(one, mend=mend))
    found.raise_if_stopped(DesignError)
    # A count out of bounds must not reach the pattern, which relies on them.
    found.extend(bound_problems(edition, measures, no_caliper, ()))
    found.raise_if_stopped(DesignError)
    return counts


def _relocated(draft: _Any, place: Place) -> _Any:
    """The same draft, told to stand at `place` wherever it has no place of its own."""

    def change(leaf: Leaf) -> Leaf:
        if isinstance(leaf, Place):
            return place if leaf == Place() else leaf
        return replace(leaf, place=place) if leaf.place == Place() else leaf

    return with_leaves(draft, change)


def _stocks_of(
    design: Design, pieces: Sequence[PieceDraft], variant: VariantDraft | None
) -> dict[str, Stock]:
    materials = {} if variant is None else variant.materials
    stocks = {
        name: Stock(
            name=name,
            material=materials.get(name, draft.material),
            sheet=draft.sheet,
            sheet_mm=None if draft.sheet is None else sheet_size(draft.sheet, Unit(design.units)),
            place=draft.place,
        )
        for name, draft in design.stocks.items()
    }
    for name, place in _stock_names(design, pieces):
        stocks.setdefault(name, Stock(name=name, place=place))
    return stocks


def _stock_names(design: Design, pieces: Sequence[PieceDraft]) -> Iterator[tuple[str, Place]]:
    for piece in pieces:
        if piece.stock is not None:
            yield piece.stock, piece.place
    for mat in design.mats:
        if mat.stock is not None:
            yield mat.stock, mat.place
    if design.envelope is not None and design.envelope.stock is not None:
        yield design.envelope.stock, design.envelope.place


def _caliper_of(
    own: str | None, stocks: Mapping[str, Stock], calipers: Mapping[str, Number]
) -> CaliperOf:
    other = calipers.get(EVERY_OTHER_STOCK, Fraction(0))

    def caliper(stock: str | None) -> Quantity:
        name = own if stock is None else stock
        if name is None:
            return Quantity(other, Kind.LENGTH)
        if name not in stocks:
            raise KeyError(name)
        return Quantity(calipers.get(name, other), Kind.LENGTH)

    return caliper


def _envelope_of(draft: EnvelopeDraft | None, work: PieceWork) -> Envelope | None:
    """The envelope, None where the card gets none."""
    if draft is None:
        return None
    clearance, corner = (
        None if written is None else work.positive(written, f"the {what}", or_zero=True)
        for written, what in (
            (draft.clearance_each_side, "clearance of the envelope"),
            (draft.corner, "corner of the envelope"),
        )
    )
    form = Form(draft.form)
    if form is Form.NONE:
        return None
    return Envelope(
        form=form,
        clearance=clearance,
        standard=draft.standard,
        stock=draft.stock,
        corner=corner,
        place=draft.place,
    )


def _limits_of(draft: LimitsDraft | None, work: PieceWork) -> Limits | None:
    if draft is None:
        return None
    closed, closed_place = None, draft.place
    if draft.closed is not None:
        width, height = spot(draft.closed)
        closed_place = width.place
        sides = [work.positive(side, "a side of the closed card") for side in (width, height)]
        if sides[0] is not None and sides[1] is not None:
            closed = sides[0], sides[1]
    thickness = None
    if draft.thickness is not None:
        thickness = work.positive(draft.thickness, "the limit of thickness")
    return Limits(
        closed=closed,
        thickness=thickness,
        stands=draft.stands,
        post=tuple(draft.post),
        place=draft.place,
        closed_place=closed_place,
    )


def _notes(design: Design, pieces: Sequence[PieceDraft]) -> Iterator[Problem]:
    """A note for each sheet that is not known, and for stocks never bought."""
    for name, stock in design.stocks.items():
        if stock.sheet is not None and sheet_size(stock.sheet, Unit.MM) is None:
            place = stock.place
            if design.source is not None:
                place = design.source.place("stock", name, "sheet")
            yield problem("unknown-sheet", place=place, sheet=stock.sheet, name=name)
    told: set[str] = set()
    for name, place in _stock_names(design, pieces):
        if name not in design.stocks and name not in told:
            told.add(name)
            hint = (
                nearest(name, design.stocks, "stock")
                if design.stocks
                else f"add [stock.{name}] with its material"
            )
            yield problem("undeclared-stock", place=place, name=name, hint=hint)
