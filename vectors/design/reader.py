"""This module reads design files: a TOML text becomes a `Design`, or all its problems at once."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ..measures import Expression, Unit, name_problem
from ..problems import Collector, DesignError, PlugInError, problem
from ..sources import Source, Table, parse_source, read_source
from .checks import count_points, design_problems, doubled_names
from .model import (
    ALL_PANELS,
    FORMAT,
    Design,
    EnvelopeDraft,
    ExtraDraft,
    JointDraft,
    JointEndDraft,
    LimitsDraft,
    MatDraft,
    MeasureDraft,
    PieceDraft,
    Scale,
    StockDraft,
    VariantDraft,
)
from .pattern import Pattern, load_pattern
from .pieces import Face, Form, LShape
from .read_pieces import part_name, read_all, read_piece
from .read_poses import read_pose
from .read_values import all_of, line, number, number_at, numbers, pair


def read_design(
    path: Path | str, *, shown_as: str | None = None, each_by_itself: bool = False
) -> Design:
    """The design in a file, called `shown_as` in messages.

    With `each_by_itself` a variant of what is not there is told of only where
    that variant is resolved, so that it does not keep the others from it.

    Raises FileError where the file cannot be read, DesignError with every
    problem of its text.
    """
    return design_of(read_source(Path(path), shown_as=shown_as), each_by_itself=each_by_itself)


def parse_design(text: str, file: str = "design.toml") -> Design:
    """The design in a text, called `file` in messages.

    Raises DesignError with every problem of the text.
    """
    return design_of(parse_source(text, file))


def design_of(source: Source, *, each_by_itself: bool = False) -> Design:
    """The design in a text that has been read; `each_by_itself` as in `read_design`.

    Raises DesignError with every problem of the text.
    """
    found = Collector()
    top = Table(source.table, source, found)
    if not _has_format(top):
        # What a later format means by its keys is not known, so nothing else is told.
        raise DesignError(found.problems)
    too_many = count_points(source.table, source.place())
    if too_many is not None:
        raise DesignError(too_many)
    name, version = top.name("name", required=True), top.text("version")
    units = top.choice("units", Unit, required=True)
    mirrored = top.flag("mirrored")
    measures = _measures(top)
    stocks = _stocks(top)
    pattern = _pattern(top)
    design = Design(
        # What stands in for a missing name or unit is never seen: the problem
        # that was kept raises below.
        name="" if name is None else name,
        version=version,
        units=Unit.MM if units is None else units,
        mirrored=bool(mirrored),
        pattern=None if pattern is None else pattern.name,
        measures=measures,
        stocks=stocks,
        pieces=_pieces(top),
        joints=read_all(top, "joint", _joint),
        mats=read_all(top, "mat", _mat),
        extras=read_all(top, "extra", _extra),
        poses=read_all(top, "pose", read_pose),
        envelope=_envelope(top),
        limits=_limits(top),
        variants={key: _variant(table) for key, table in top.named_tables("variant").items()},
        place=source.place(),
        source=source,
    )
    top.finish()
    # A part that could not be read is missing from the design, so whatever
    # refers to it would be blamed for nothing; only doubled names are sure.
    if found.stopped:
        found.extend(doubled_names(design.pieces))
        # An unknown key may be a misspelt one of these.
        unknown = any(one.rule == "unknown-key" and one.place.key in top for one in found.problems)
        if not ("piece" in top or "pattern" in top or unknown):
            found.add(problem("no-pieces", place=design.place))
    else:
        found.extend(design_problems(design, pattern, () if each_by_itself else design.variants))
    found.raise_if_stopped(DesignError)
    return design


def _has_format(top: Table) -> bool:
    """Whether the file may be read on: a format that is missing is told with all the rest."""
    found = top.whole("format", required=True)
    if found is not None and found != FORMAT:
        top.report("unknown-format", "format", found=found, known=FORMAT)
        return False
    return True


def _pattern(top: Table) -> Pattern | None:
    name = top.text("pattern")
    if name is None:
        return None
    place = top.place("pattern")
    try:
        return load_pattern(name, place)
    except PlugInError as error:
        top.collector.extend(error)
        return None


def _pieces(top: Table) -> tuple[PieceDraft, ...]:
    pattern = top.raw("pattern")
    if isinstance(pattern, str) and "piece" in top:
        # What is added to a piece of the pattern is no piece: only the cause is told.
        top.knows("piece")
        top.report("pieces-and-pattern", "piece", pattern=pattern)
        return ()
    return read_all(top, "piece", read_piece)


def _measures(top: Table) -> dict[str, MeasureDraft]:
    outer = top.table("measures")
    return {} if outer is None else _measure_drafts(outer, replacing=False)


def _measure_drafts(outer: Table, *, replacing: bool) -> dict[str, MeasureDraft]:
    found: dict[str, MeasureDraft] = {}
    for name in outer.open_keys():
        outer.keep(name_problem(name, outer.place(name)))
        value = outer.raw(name)
        if isinstance(value, Mapping):
            draft = _measure(outer.inside(value, name), replacing=replacing)
        else:
            written = number_at(outer, value, name)
            draft = None if written is None else _bare_measure(outer, name, written)
        if draft is not None:
            found[name] = draft
    return found


def _bare_measure(outer: Table, name: str, written: Expression) -> MeasureDraft:
    return MeasureDraft(value=written, place=outer.place(name))


def _measure(table: Table, *, replacing: bool) -> MeasureDraft | None:
    length, count = number(table, "is"), number(table, "number")
    keep, about = table.flag("keep"), table.text("about")
    least, most, step = (number(table, key) for key in ("least", "most", "step"))
    scale = table.choice("scale", Scale)
    if "is" in table and "number" in table:
        table.report("is-and-number")
        return None
    if "value" in table and "is" not in table:
        # The key that is not known is told with the one that is meant.
        return None
    if not ("is" in table or "number" in table or replacing):
        table.report("missing-key", "is", due="the measure's value")
        return None
    return MeasureDraft(
        value=count if length is None else length,
        count="number" in table,
        keep=keep,
        least=least,
        most=most,
        step=step,
        scale=scale,
        about=about,
        place=table.place(),
    )


def _stocks(top: Table) -> dict[str, StockDraft]:
    found: dict[str, StockDraft] = {}
    for name, table in top.named_tables("stock").items():
        material, sheet = table.text("material"), table.text("sheet")
        found[name] = StockDraft(material=material, sheet=sheet, place=table.place())
    return found


def _joint(table: Table) -> JointDraft | None:
    name, slack = part_name(table), number(table, "slack")
    glue, to = _joint_end(table, "glue"), _joint_end(table, "to")
    if glue is None or to is None:
        return None
    return JointDraft(
        name=name, glue=glue, to=to, slack="0" if slack is None else slack, place=table.place()
    )


def _joint_end(table: Table, key: str) -> JointEndDraft | None:
    inner = table.table(key, required=True)
    if inner is None:
        return None
    panel, face = inner.text("panel", required=True), inner.choice("face", Face, required=True)
    ends = line(inner, "line")
    if panel is None or face is None or ends is None:
        return None
    return JointEndDraft(panel=panel, face=face, line=ends, place=table.place(key))


def _mat(table: Table) -> MatDraft | None:
    name, on, stock = part_name(table), table.text("on", required=True), table.text("stock")
    panels = ALL_PANELS if table.raw("panels") == ALL_PANELS else table.texts("panels")
    face, margin, up = table.choice("face", Face), number(table, "margin"), number(table, "up")
    l_shape = table.choice("l_shape", LShape)
    if on is None:
        return None
    return MatDraft(
        name=name,
        on=on,
        panels=ALL_PANELS if panels is None else panels,
        face=Face.FRONT if face is None else face,
        margin=margin,
        l_shape=LShape.ONE if l_shape is None else l_shape,
        stock=stock,
        up=up,
        place=table.place(),
    )


def _extra(table: Table) -> ExtraDraft | None:
    name, on, at = part_name(table), table.text("on", required=True), pair(table, "at")
    height, mass = number(table, "height"), number(table, "mass")
    if isinstance(table.raw("size"), list):
        size = numbers(table, "size")
        if size is not None and len(size) not in (1, 2):
            table.wrong("size", "a length or [width, height]")
    else:
        single = number(table, "size")
        size = all_of([single]) if single is not None else ()
    if on is None:
        return None
    return ExtraDraft(
        name=name, on=on, at=at, size=size or (), height=height, mass=mass, place=table.place()
    )


def _envelope(top: Table) -> EnvelopeDraft | None:
    table = top.table("envelope")
    if table is None:
        return None
    form = table.choice("form", Form, required=True)
    clearance, corner = number(table, "clearance_each_side"), number(table, "corner")
    standard, stock = table.text("standard"), table.text("stock")
    if form is None:
        return None
    return EnvelopeDraft(
        form=form,
        clearance_each_side=clearance,
        standard=standard,
        stock=stock,
        corner=corner,
        place=table.place(),
    )


def _limits(top: Table) -> LimitsDraft | None:
    table = top.table("limits")
    if table is None:
        return None
    closed = pair(table, "closed", due="the two sides of the closed card, [width, height]")
    thickness, stands = number(table, "thickness"), table.flag("stands")
    post = table.texts("post") or ()
    return LimitsDraft(
        closed=closed, thickness=thickness, stands=stands, post=post, place=table.place()
    )


def _variant(table: Table) -> VariantDraft:
    units, mirrored = table.choice("units", Unit), table.flag("mirrored")
    outer = table.table("measures")
    measures = {} if outer is None else _measure_drafts(outer, replacing=True)
    materials: dict[str, str] = {}
    for name, stock in table.named_tables("stock").items():
        material = stock.text("material", required=True)
        if material is not None:
            materials[name] = material
    return VariantDraft(
        units=units,
        mirrored=mirrored,
        measures=measures,
        materials=materials,
        place=table.place(),
    )
