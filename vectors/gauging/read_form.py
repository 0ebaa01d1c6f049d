"""This module reads a form that a maker filled in, and tells of all that is wrong in it at once."""

from __future__ import annotations

from types import MappingProxyType

from foldwright.profiles.model import Tool

from ..problems import Collector, ProfileError
from ..sources import Source, Table, shown
from ..sources.lengths import length_at
from .readings import Form, Part, Reading, Tooth
from .schema import SECTIONS, VERSION, Asked, Kind, Section

LENGTH = 'a length such as 20.1 or "0.79 in", or several in brackets'
TOOTH = 'the number of a tooth, or "none"'
NONE = "none"
# More readings of one length than this are a slip of the pen.
MOST = 100


def read_form(source: Source) -> Form:
    """The form in a source.  Raises ProfileError with everything that is wrong in it."""
    found = Collector()
    table = Table(source.table, source, found)
    version = table.whole("format", required=True)
    if version is not None and version != VERSION:
        table.report("gauge-form-version", "format", found=version, known=VERSION)
        # Its keys may mean something else, so nothing is said of them.
        raise ProfileError(found.problems)
    material = table.text("material", required=True)
    tool = table.choice("tool", Tool, required=True)
    name = table.name("name", required=True)
    made_of = table.text("made_of")
    parts = {}
    for section in SECTIONS:
        inner = table.table(section.name)
        if inner is not None:
            parts[section.name] = _part(inner, section)
    table.finish()
    if found.stopped or material is None or tool is None or name is None:
        raise ProfileError(found.problems)
    return Form(
        material=material,
        tool=tool,
        name=name,
        made_of=made_of if made_of and made_of.strip() else None,
        parts=MappingProxyType(parts),
        place=table.place(),
        material_place=table.place("material"),
        made_of_place=table.place("made_of"),
    )


def _part(table: Table, section: Section) -> Part:
    drawn = {}
    for key in section.drawn:
        values = _lengths(table, key, required=True, may_be_nothing=True)
        if not values:
            if key in table:
                table.wrong(key, "what was drawn")
        elif key == "plies" and any(value != int(value) for value in values):
            table.wrong(key, "a whole number of plies")
        else:
            drawn[key] = values
    lengths: dict[str, Reading] = {}
    teeth: dict[str, Tooth] = {}
    count = min((len(values) for values in drawn.values()), default=0)
    for asked in section.asked:
        if asked.kind is Kind.LENGTHS:
            values = _lengths(table, asked.key, may_be_nothing=asked.may_be_nothing)
            if values:
                place = table.place(asked.key)
                lengths[asked.key] = Reading(key=asked.key, values=values, place=place)
        else:
            tooth = _tooth(table, asked, count)
            if tooth is not None:
                teeth[asked.key] = tooth
    return Part(
        drawn=MappingProxyType(drawn),
        lengths=MappingProxyType(lengths),
        teeth=MappingProxyType(teeth),
        place=table.place(),
    )


def _lengths(
    table: Table, key: str, *, required: bool = False, may_be_nothing: bool = False
) -> tuple[float, ...]:
    """The lengths at a key in mm; none where it is empty."""
    value = table.raw(key, required=LENGTH if required else None)
    if value is None or value == "" or value == []:
        return ()
    values = value if isinstance(value, list) else [value]
    if len(values) > MOST:
        table.report("gauge-too-many", key, count=len(values), most=MOST)
        return ()
    found = []
    for index, one in enumerate(values):
        path: tuple[str | int, ...] = (key, index) if isinstance(value, list) else (key,)
        length = length_at(table, one, LENGTH, *path)
        if length is None:
            continue
        if length < 0.0 or (length == 0.0 and not may_be_nothing):
            table.report("gauge-no-length", *path, name=key, found=shown(one))
            continue
        found.append(length)
    return tuple(found)


def _tooth(table: Table, asked: Asked, count: int) -> Tooth | None:
    value = table.raw(asked.key)
    if value is None or value == "" or value == []:
        return None
    if value == NONE:
        return Tooth(key=asked.key, number=None, place=table.place(asked.key))
    if isinstance(value, bool) or not isinstance(value, int):
        table.wrong(asked.key, TOOTH)
        return None
    if not 1 <= value <= count:
        table.report("gauge-no-such-tooth", asked.key, found=shown(value), count=count)
        return None
    return Tooth(key=asked.key, number=value, place=table.place(asked.key))
