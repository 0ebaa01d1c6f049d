"""This module tells what is seen of a card, and where there is room for words on it, for JSON."""

from __future__ import annotations

from ..dressing.greeting import Greeting, Room, greeting_of
from ..dressing.visible import VisiblePanel
from ..proving import Proof
from .tell import number


def words_json(proof: Proof) -> dict[str, object]:
    """The keys `greeting` and `visible` of `prove --json`."""
    greeting = greeting_of(proof)
    if greeting is None:
        return {"greeting": None, "visible": []}
    return {
        "greeting": _greeting_json(greeting, proof),
        "visible": [_visible_json(one, proof) for one in greeting.visible],
    }


def _greeting_json(greeting: Greeting, proof: Proof) -> dict[str, object]:
    return {
        "pose": greeting.seen_in,
        "panels": [_room_json(room, proof) for room in greeting.panels],
        "back": None if greeting.back is None else _room_json(greeting.back, proof),
        "writing": None if greeting.writing is None else _room_json(greeting.writing, proof),
    }


def _room_json(room: Room, proof: Proof) -> dict[str, object]:
    return {
        "panel": proof.assembly.panel_called(room.panel),
        "face": str(room.face),
        "width_mm": number(room.width_mm),
        "height_mm": number(room.height_mm),
        "corners": [[number(x), number(y)] for x, y in room.rectangle.corners],
        "margin_mm": number(room.margin_mm),
        "on_mat": room.on_mat,
    }


def _visible_json(one: VisiblePanel, proof: Proof) -> dict[str, object]:
    return {
        "panel": proof.assembly.panel_called(one.panel),
        "face": str(one.face),
        # What other panels hide is reckoned to a micrometre, and no further.
        "height_mm": number(round(one.height_mm, 3)),
        "width_mm": number(round(one.width_mm, 3)),
        "area_mm2": number(round(one.area_mm2, 2)),
    }
