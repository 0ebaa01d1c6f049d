"""This module reads a machine's file: its work area, rim, origin, face and speeds."""

from __future__ import annotations

from pathlib import Path
from types import MappingProxyType

from foldwright.drawing import Layer
from foldwright.measures import LARGEST_MM
from foldwright.problems import Collector, DesignError, ProfileError
from foldwright.sources import Source, Table, read_source
from foldwright.sources.lengths import length_at

from .machine import Corner, Lies, Machine, Rim
from .model import Tool
from .read import Span

LENGTH = 'a length such as 305 or "12 in"'
WORK_AREA = f"two lengths [width, height], each {LENGTH}"
RIM = f"{LENGTH}, or {{ left = ..., right = ..., bottom = ..., top = ... }}"

# What machines for paper can have at all.  Wide on purpose, but not so wide that
# 12 in written as a bare 12 would pass.
SIDE_MM = Span(least=50, most=LARGEST_MM)
RIM_MM = Span(most=1000)
SPEED = Span(most=20_000, above=True, unit="mm/s")


def load_machine(path: str | Path) -> Machine:
    """The machine in that file.

    Lengths are mm as bare numbers, or texts with their unit.  Raises FileError
    for a file that cannot be read, ProfileError for one that cannot be used,
    with everything that is wrong in it.
    """
    try:
        source = read_source(Path(path))
    except DesignError as reason:
        # The text is not TOML: here that is a fault of the machine's file.
        raise ProfileError(reason.problems) from None
    return read_machine(source)


def read_machine(source: Source) -> Machine:
    """The machine that a source describes.  Raises ProfileError with everything wrong in it."""
    collector = Collector()
    table = Table(source.table, source, collector)
    name = table.name("name", required=True)
    about = table.text("about")
    tool = table.choice("tool", Tool)
    area = _work_area(table)
    rim = _rim(table)
    origin = table.choice("origin", Corner, Corner.LOWER_LEFT)
    face = table.choice("face", Lies, Lies.UP)
    enclosed = table.flag("enclosed")
    speeds, travel = _speeds(table)
    cautions = table.texts("cautions") or ()
    table.finish()
    if area is not None:
        _judge_room(table, area, rim)
    if collector.stopped or name is None or area is None:
        raise ProfileError(collector.problems)
    return Machine(
        name=name,
        about=about,
        tool=tool,
        width=area[0],
        height=area[1],
        rim=rim,
        origin=origin,
        face=face,
        enclosed=enclosed,
        speeds=MappingProxyType(speeds),
        travel=travel,
        cautions=cautions,
        place=table.place("name"),
    )


def _work_area(table: Table) -> tuple[float, float] | None:
    values = table.raw("work_area", required=WORK_AREA)
    if values is None:
        return None
    if not isinstance(values, list) or len(values) != 2:
        table.wrong("work_area", WORK_AREA)
        return None
    width, height = (
        _length(table, value, SIDE_MM, "work_area", index) for index, value in enumerate(values)
    )
    return None if width is None or height is None else (width, height)


def _rim(table: Table) -> Rim:
    value = table.raw("rim")
    if value is None:
        return Rim()
    if isinstance(value, dict):
        inner = table.inside(value, "rim")
        sides = {}
        for side in ("left", "right", "bottom", "top"):
            found = inner.raw(side)
            if found is not None:
                sides[side] = _length(inner, found, RIM_MM, side) or 0.0
        return Rim(**sides)
    if isinstance(value, list):
        table.wrong("rim", RIM)
        return Rim()
    every = _length(table, value, RIM_MM, "rim") or 0.0
    return Rim(left=every, right=every, bottom=every, top=every)


def _judge_room(table: Table, area: tuple[float, float], rim: Rim) -> None:
    """Collects where the rim leaves nothing of the work area."""
    for side, first, second in (
        (area[0], ("left", rim.left), ("right", rim.right)),
        (area[1], ("bottom", rim.bottom), ("top", rim.top)),
    ):
        if first[1] + second[1] >= side:
            table.report(
                "rim-leaves-no-room",
                "rim",
                first=f"{first[1]:.6g} mm at the {first[0]}",
                second=f"{second[1]:.6g} mm at the {second[0]}",
                side=f"{side:.6g} mm",
            )


def _speeds(table: Table) -> tuple[dict[Layer, float], float | None]:
    inner = table.table("speed")
    if inner is None:
        return {}, None
    found = {}
    for layer in Layer:
        speed = _speed(inner, layer.value)
        if speed is not None:
            found[layer] = speed
    return found, _speed(inner, "travel")


def _speed(table: Table, key: str) -> float | None:
    number = table.number(key)
    if number is None:
        return None
    return float(number) if _holds(table, SPEED, float(number), key) else None


def _length(table: Table, value: object, span: Span, *path: str | int) -> float | None:
    """The length in mm at a path of the table; a problem where it is none or out of its span."""
    length = length_at(table, value, LENGTH, *path)
    return length if length is not None and _holds(table, span, length, *path) else None


def _holds(table: Table, span: Span, value: float, *path: str | int) -> bool:
    if span.holds(value):
        return True
    table.report("figure-out-of-range", *path, due=span.told(), found=f"{value:.6g} {span.unit}")
    return False
