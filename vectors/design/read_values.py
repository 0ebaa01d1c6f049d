"""This module reads what tables of a design file are made of: numbers, places, paths, shapes."""

from __future__ import annotations

from collections.abc import Mapping

from ..measures import Expression
from ..problems import DesignError
from ..sources import Table, shown
from .model import (
    CONTROL_PLACES,
    AnyVertex,
    ArcDraft,
    CircleDraft,
    CurveDraft,
    EllipseDraft,
    PathDraft,
    PolygonDraft,
    RectangleDraft,
    ShapeDraft,
    VertexDraft,
)
from .written import expression

Pair = tuple[Expression, Expression]
Vertices = tuple[AnyVertex, ...]

_A_PLACE = "a place [x, y]"
_A_VERTEX = (
    "[x, y], { at = [x, y], round = r }, { arc_to = [x, y], through = [x, y] } "
    "or { curve_to = [x, y], control = [[x, y]] }"
)
_FORMS = ("rectangle", "polygon", "path", "circle", "ellipse")


def number(table: Table, key: str, *, required: bool = False) -> Expression | None:
    """The number or expression at a key."""
    value = table.expression(key, required=required)
    return None if value is None else _parsed(table, value, key)


def number_at(table: Table, value: object, *path: str | int) -> Expression | None:
    """The number or expression at a path inside a table."""
    found = table.expression_at(value, *path)
    return None if found is None else _parsed(table, found, *path)


def _parsed(table: Table, value: object, *path: str | int) -> Expression | None:
    try:
        return expression(value, table.told(*path), table.place(*path))
    except DesignError as error:
        table.collector.extend(error)
        return None


def numbers(table: Table, key: str, *, required: bool = False) -> tuple[Expression, ...] | None:
    """A list of numbers."""
    values = table.array(key, required=required)
    if values is None:
        return None
    return all_of([number_at(table, value, key, index) for index, value in enumerate(values)])


def all_of(found: list[Expression | None]) -> tuple[Expression, ...] | None:
    """The expressions, or None where one of them could not be read."""
    read = tuple(item for item in found if item is not None)
    return read if len(read) == len(found) else None


def pair(table: Table, key: str, *, required: bool = False, due: str = _A_PLACE) -> Pair | None:
    """Two numbers, such as a place."""
    value = table.raw(key, required=due if required else None)
    return None if value is None else pair_at(table, value, key, due=due)


def pair_at(table: Table, value: object, *path: str | int, due: str = _A_PLACE) -> Pair | None:
    """Two numbers at a path inside a table."""
    if not isinstance(value, list) or len(value) != 2:
        table.report("wrong-type", *path, due=due, found=shown(value))
        return None
    x, y = (number_at(table, item, *path, index) for index, item in enumerate(value))
    return None if x is None or y is None else (x, y)


def line(table: Table, key: str) -> tuple[Pair, Pair] | None:
    """The two ends of a line, which must be there."""
    values = table.array(key, required=True)
    if values is None:
        return None
    if len(values) != 2:
        table.wrong(key, "the two ends of a line")
        return None
    start, end = (pair_at(table, value, key, index) for index, value in enumerate(values))
    return None if start is None or end is None else (start, end)


def vertices(table: Table, key: str, *, required: bool = False) -> Vertices | None:
    """A path: a list of vertices."""
    values = table.array(key, required=required)
    return None if values is None else vertices_at(table, values, key)


def vertices_at(table: Table, values: tuple[object, ...], *path: str | int) -> Vertices | None:
    """A path whose vertices stand at a path of keys inside a table."""
    found = [vertex_at(table, value, *path, index) for index, value in enumerate(values)]
    read = tuple(item for item in found if item is not None)
    return read if len(read) == len(found) else None


def vertex_at(table: Table, value: object, *path: str | int) -> AnyVertex | None:
    """One vertex at a path of keys inside a table."""
    place = table.place(*path)
    if isinstance(value, Mapping):
        inner = table.inside(value, *path)
        if "arc_to" in inner or "through" in inner:
            to, through = (
                pair(inner, "arc_to", required=True),
                pair(inner, "through", required=True),
            )
            if to is None or through is None:
                return None
            return ArcDraft(arc_to=to, through=through, place=place)
        if "curve_to" in inner or "control" in inner:
            return _curve(inner)
        at, rounding = pair(inner, "at", required=True), number(inner, "round")
        return None if at is None else VertexDraft(at=at, round=rounding, place=place)
    at = pair_at(table, value, *path, due=_A_VERTEX)
    return None if at is None else VertexDraft(at=at, place=place)


def _curve(table: Table) -> CurveDraft | None:
    """A curve by where it ends and its control places."""
    to, listed = pair(table, "curve_to", required=True), table.array("control", required=True)
    if listed is None:
        return None
    if len(listed) not in CONTROL_PLACES:
        table.wrong("control", "a list of one or two control places [x, y]")
        return None
    found = [pair_at(table, value, "control", index) for index, value in enumerate(listed)]
    control = tuple(item for item in found if item is not None)
    if to is None or len(control) < len(found):
        return None
    return CurveDraft(curve_to=to, control=control, place=table.place())


def shape(table: Table) -> ShapeDraft | None:
    """The closed shape that a table describes by one of its forms, such as rectangle or path."""
    written = [form for form in _FORMS if form in table]
    if len(written) != 1:
        table.knows(*_FORMS, "round")
        known = ", ".join(_FORMS)
        code = "two-shapes" if written else "no-shape"
        table.report(code, key=table.told(), known=known, found=" and ".join(written))
        return None
    form = written[0]
    table.knows(*_FORMS)
    rounding = number(table, "round")
    if rounding is not None and form != "rectangle":
        table.report("round-without-rectangle", "round", form=form)
    match form:
        case "rectangle":
            return _rectangle(table, rounding)
        case "circle":
            values = _row(table, "circle", (3,), "[x, y, radius]")
            if values is None:
                return None
            return CircleDraft(at=values[:2], radius=values[2], place=table.place("circle"))
        case "ellipse":
            values = _row(table, "ellipse", (4,), "[x, y, half-axis along x, half-axis along y]")
            if values is None:
                return None
            place = table.place("ellipse")
            return EllipseDraft(at=values[:2], rx=values[2], ry=values[3], place=place)
        case "polygon":
            points = vertices(table, "polygon")
            if points is None:
                return None
            for index, item in enumerate(points):
                if not isinstance(item, VertexDraft):
                    bend = "an arc" if isinstance(item, ArcDraft) else "a curve"
                    table.report("arc-in-a-polygon", "polygon", index, bend=bend)
            return PolygonDraft(points=points, place=table.place("polygon"))
        case _:
            points = vertices(table, "path")
            return None if points is None else PathDraft(points=points, place=table.place("path"))


def _rectangle(table: Table, rounding: Expression | None) -> RectangleDraft | None:
    due = "[width, height] or [x, y, width, height]"
    values = _row(table, "rectangle", (2, 4), due)
    if values is None:
        return None
    place = table.place("rectangle")
    width, height = values[-2:]
    if len(values) == 2:
        return RectangleDraft(width=width, height=height, round=rounding, place=place)
    return RectangleDraft(width=width, height=height, at=values[:2], round=rounding, place=place)


def _row(
    table: Table, key: str, counts: tuple[int, ...], due: str
) -> tuple[Expression, ...] | None:
    values = table.array(key)
    if values is None:
        return None
    if len(values) not in counts:
        table.report("wrong-type", key, due=due, found=shown(list(values)))
        return None
    return all_of([number_at(table, value, key, index) for index, value in enumerate(values)])
