"""This module tells the closed card of a proof, ply by ply, as the keys of the JSON answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..panels import Assembly
from ..proving import Proof
from .tell import number

if TYPE_CHECKING:
    from ..proving.model import ClosedStack
    from ..stacking.spill import Spill


def stack_json(proof: Proof) -> dict[str, object] | None:
    """The closed card for `prove --json`, None where it does not lie flat or does not close."""
    stack = proof.closed_stack
    if stack is None:
        return None
    # shapely, which tells areas, is there already.
    from ..stacking.order import Blocked, PlyOrder, plies_at

    assembly = proof.assembly
    order = stack.order
    cells = []
    for cell in stack.cover.cells:
        at = cell.polygon.representative_point()
        keys = plies_at(order, cell) if isinstance(order, PlyOrder) else cell.panels
        cells.append(
            {
                "at": [number(at.x), number(at.y)],
                "area_mm2": number(cell.polygon.area),
                "plies": len(cell.panels),
                "panels": [assembly.panel_called(key) for key in keys],
            }
        )
    return {
        "order": "found"
        if isinstance(order, PlyOrder)
        else "blocked"
        if isinstance(order, Blocked)
        else "undecided",
        "blocked": [assembly.panel_called(key) for key in order.panels]
        if isinstance(order, Blocked)
        else [],
        "most_plies": stack.thickness.most_plies,
        "thickest": _thickest(stack, assembly),
        "cells": cells,
        "spill": _spill(stack, assembly),
        "no_foam": {
            "height_mm": number(stack.foam_mm),
            "zones": [
                {
                    "panel": assembly.panel_called(zone.panel),
                    "face": str(zone.face),
                    "why": str(zone.why),
                    "area_mm2": number(zone.shape.area),
                    "box": [number(value) for value in zone.shape.bounds],
                }
                for zone in stack.zones
            ],
        },
        "extras": [
            {
                "name": seat.extra.name,
                "holds_open": [held.label for held in seat.held],
                "adds_mm": None if seat.adds_mm is None else number(seat.adds_mm),
            }
            for seat in stack.seats
        ],
    }


def _thickest(stack: ClosedStack, assembly: Assembly) -> dict[str, object] | None:
    place = stack.thickness.thickest
    if place is None:
        return None
    return {
        "panel": assembly.panel_called(place.panel),
        "at": [number(place.on_panel.x), number(place.on_panel.y)],
        "closed_at": [number(place.at.x), number(place.at.y)],
        "plies": len(place.plies),
        "known_mm": number(place.known_mm),
    }


def _spill(stack: ClosedStack, assembly: Assembly) -> dict[str, object] | None:
    from ..stacking.spill import NoCover, Where

    spilled = stack.spilled
    if isinstance(spilled, NoCover):
        return None
    return {
        "mm": number(spilled.mm),
        "covered_by": [assembly.panel_called(key) for key in spilled.covering],
        "panels": [_out(one, assembly) for one in spilled.spills],
        "beside": [
            {**_out(one, assembly), "in_a_bay": one.where is Where.BAY} for one in spilled.beside
        ],
        "mends": [
            {
                "measure": mend.measure,
                "from_mm": number(mend.from_mm),
                "to_mm": number(mend.to_mm),
            }
            for mend in stack.mends
        ],
    }


def _out(spill: Spill, assembly: Assembly) -> dict[str, object]:
    """What sticks out of the cover: which panel, how far, where on it, past which other one."""
    return {
        "panel": assembly.panel_called(spill.panel),
        "mm": number(spill.mm),
        "at": [number(spill.at.x), number(spill.at.y)],
        "past": assembly.panel_called(spill.past),
    }
