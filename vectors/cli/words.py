"""This module tells what is seen of a card, and where there is room for words on it."""

from __future__ import annotations

from ..dressing.greeting import Greeting, Room, greeting_of
from ..dressing.visible import VisiblePanel
from ..measures import Unit, exact_text
from ..proving import Proof
from .tell import number, table


def words_json(proof: Proof) -> dict[str, object]:
    """The keys `greeting` and `visible` of `prove --json`."""
    greeting = greeting_of(proof)
    if greeting is None:
        return {"greeting": None, "visible": []}
    return {
        "greeting": _greeting_json(greeting, proof),
        "visible": [_visible_json(one, proof) for one in greeting.visible],
    }


def words_text(proof: Proof) -> str:
    """Which panels are seen and how tall, and the largest room for words on each, in a table."""
    greeting = greeting_of(proof)
    if greeting is None:
        return "room for words: not known, because the panels of the card are not"
    units = Unit(proof.resolved.units)
    rooms = {(room.panel, room.face): room for room in greeting.panels}
    rows = []
    for one in greeting.visible:
        room = rooms.get((one.panel, one.face))
        rows.append(
            (
                f"  {proof.assembly.panel_called(one.panel)}",
                str(one.face),
                _size(one.width_mm, one.height_mm, units),
                "-" if room is None else _size(room.width_mm, room.height_mm, units),
                "a mat" if room is not None and room.on_mat else "paper",
            )
        )
    heads = ("  panel", "face", "seen, width by height", "room for words", "on")
    lines = [f'what is seen in the pose "{greeting.seen_in}", and room for words:']
    lines.append(table(heads, rows))
    for name, found in (("on the back", greeting.back), ("to write on", greeting.writing)):
        if found is not None:
            called = proof.assembly.panel_called(found.panel)
            size = _size(found.width_mm, found.height_mm, units)
            lines.append(f"  {name}: {size} on the {found.face} of {called}")
    return "\n".join(lines)


def _size(width: float, height: float, units: Unit) -> str:
    return " by ".join(exact_text(round(side, 3), units) for side in (width, height))


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
