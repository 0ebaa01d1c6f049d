"""This module reads the poses of a design file: what is held, what touches, what lies where."""

from __future__ import annotations

from ..measures import Expression
from ..sources import Table
from .model import PoseDraft, TouchDraft, TouchEndDraft
from .read_pieces import part_name, read_all
from .read_values import line, number


def read_pose(table: Table) -> PoseDraft | None:
    """A table `[[pose]]`."""
    name, view = table.name("name", required=True), number(table, "view")
    on = table.texts("on")
    hold: dict[str, Expression] = {}
    held = table.table("hold")
    if held is not None:
        for fold in held.open_keys():
            angle = number(held, fold)
            if angle is not None:
                hold[fold] = angle
    touches = read_all(table, "touch", _touch)
    if name is None:
        return None
    return PoseDraft(
        name=name, hold=hold, on=on or (), view=view, touches=touches, place=table.place()
    )


def _touch(table: Table) -> TouchDraft | None:
    name, panel = part_name(table), table.text("panel", required=True)
    ends, to = line(table, "line"), _touch_end(table)
    if panel is None or ends is None or to is None:
        return None
    return TouchDraft(name=name, panel=panel, line=ends, to=to, place=table.place())


def _touch_end(table: Table) -> TouchEndDraft | None:
    inner = table.table("to", required=True)
    if inner is None:
        return None
    panel, ends = inner.text("panel", required=True), line(inner, "line")
    if panel is None or ends is None:
        return None
    return TouchEndDraft(panel=panel, line=ends, place=table.place("to"))
