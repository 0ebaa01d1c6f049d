"""This module reads the pieces of a design file: outlines, folds, bands, slits, openings, marks."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from typing import TypeVar

from ..problems import DesignError
from ..sources import Table, shown
from .model import (
    BandDraft,
    BandSense,
    FoldDraft,
    MarkDraft,
    OpeningDraft,
    PanelDraft,
    PieceDraft,
    ShapeDraft,
    SlitDraft,
)
from .pieces import How, Sense
from .read_values import Vertices, number, numbers, pair, shape, vertices, vertices_at
from .written import word

_Draft = TypeVar("_Draft")
_Word = TypeVar("_Word", bound=StrEnum)


def read_all(table: Table, key: str, read: Callable[[Table], _Draft | None]) -> tuple[_Draft, ...]:
    """What `read` makes of each of the tables `[[key]]`; those that cannot be read are left out."""
    found = (read(inner) for inner in table.tables(key))
    return tuple(draft for draft in found if draft is not None)


def part_name(table: Table, *, required: bool = False) -> str | None:
    """The name of a part of the design."""
    return table.name("name", required=required)


def read_piece(table: Table) -> PieceDraft | None:
    """A table `[[piece]]`."""
    name = table.name("name", required=True)
    outline = _outline(table)
    stock, grain = table.text("stock"), number(table, "grain")
    copies = number(table, "copies")
    hidden = _hidden_edges(table)
    slits = read_all(table, "slit", _slit)
    bands = read_all(table, "band", _band)
    folds = read_all(table, "fold", _fold)
    openings = read_all(table, "opening", _opening)
    marks = read_all(table, "mark", _mark)
    panels = read_all(table, "panel", _panel)
    if name is None or outline is None:
        return None
    return PieceDraft(
        name=name,
        outline=outline,
        stock=stock,
        grain=grain,
        copies="1" if copies is None else copies,
        hide_bridges=hidden,
        slits=slits,
        bands=bands,
        folds=folds,
        openings=openings,
        marks=marks,
        panels=panels,
        place=table.place(),
    )


def _outline(table: Table) -> ShapeDraft | None:
    inner = table.table("outline", required=True)
    return None if inner is None else shape(inner)


def _hidden_edges(table: Table) -> tuple[Vertices, ...]:
    """The edges of `hide_bridges`: one list of places, or a list of such lists."""
    values = table.array("hide_bridges")
    if not values:
        return ()
    first = values[0]
    if isinstance(first, list) and first and isinstance(first[0], list | dict):
        found: list[Vertices | None] = []
        for index, value in enumerate(values):
            if isinstance(value, list):
                found.append(vertices_at(table, tuple(value), "hide_bridges", index))
            else:
                table.report(
                    "wrong-type", "hide_bridges", index, due="a list of places", found=shown(value)
                )
        return tuple(edge for edge in found if edge is not None)
    edge = vertices_at(table, values, "hide_bridges")
    return () if edge is None else (edge,)


def _slit(table: Table) -> SlitDraft | None:
    name, points = part_name(table), vertices(table, "points", required=True)
    how = table.choice("how", How, How.CUT)
    if points is None:
        return None
    return SlitDraft(name=name, points=points, how=how, place=table.place())


def _senses(
    table: Table, words: type[_Word], *, required: bool
) -> _Word | tuple[Sense, ...] | None:
    """One word for all, or a list of one word a stretch or a fold."""
    value = table.raw("sense")
    if not isinstance(value, list):
        return table.choice("sense", words, required=required)
    found: list[Sense] = []
    for index, item in enumerate(value):
        key = table.told("sense", index)
        try:
            found.append(word(Sense, item, key, table.place("sense", index)))
        except DesignError as error:
            table.collector.extend(error)
    return tuple(found)


def _fold(table: Table) -> FoldDraft | None:
    name, sense = part_name(table), _senses(table, Sense, required=True)
    points, angle = vertices(table, "points", required=True), number(table, "angle")
    still = table.flag("still", False)
    if sense is None or points is None:
        return None
    return FoldDraft(
        name=name,
        sense=sense,
        points=points,
        angle="180" if angle is None else angle,
        still=still,
        place=table.place(),
    )


def _band(table: Table) -> BandDraft | None:
    name = part_name(table)
    start, end = pair(table, "from", required=True), pair(table, "to", required=True)
    walk = numbers(table, "walk", required=True)
    sense = _senses(table, BandSense, required=False)
    first, angle = table.choice("first", Sense), number(table, "angle")
    if start is None or end is None or walk is None:
        return None
    return BandDraft(
        name=name,
        start=start,
        end=end,
        walk=walk,
        sense=BandSense.ALTERNATE if sense is None else sense,
        first=first,
        angle="180" if angle is None else angle,
        place=table.place(),
    )


def _opening(table: Table) -> OpeningDraft | None:
    name, outline = part_name(table), shape(table)
    return None if outline is None else OpeningDraft(name=name, shape=outline, place=table.place())


def _mark(table: Table) -> MarkDraft | None:
    name, points = part_name(table), vertices(table, "points")
    text, at, height = table.text("text"), pair(table, "at"), number(table, "height")
    # What is written decides, not what could be read of it: a fault in one key
    # must not be told as the absence of another.
    lettered = [key in table for key in ("text", "at", "height")]
    if ("points" in table) == any(lettered) or any(lettered) != all(lettered):
        table.report("neither-line-nor-text", key=table.told())
        return None
    if points is not None:
        return MarkDraft(name=name, points=points, place=table.place())
    if text is None or at is None or height is None:
        return None
    if not text.split():
        table.report("text-empty", key=table.told())
        return None
    return MarkDraft(name=name, text=text, at=at, height=height, place=table.place())


def _panel(table: Table) -> PanelDraft | None:
    name, at = part_name(table, required=True), pair(table, "at", required=True)
    cover = table.flag("cover", False)
    if name is None or at is None:
        return None
    return PanelDraft(name=name, at=at, cover=cover, place=table.place())
