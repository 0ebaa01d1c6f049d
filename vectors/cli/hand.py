"""This module tells what a card asks of the hand, and what one with fewer cuts would."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ..dressing.hand_load import SMALL_MM, HandLoad, hand_load
from ..measures import Unit, exact_text
from .tell import number

if TYPE_CHECKING:
    from ..design import Design
    from ..dressing.fewer_cuts import FewerCuts
    from ..proving import Proof
    from .dressing import Dressed


def hand_json(card: Dressed | None, fewer: Sequence[FewerCuts] | None = None) -> dict[str, object]:
    """The key `hand_load` of `prove --json`; `fewer` is null where it was not asked for."""
    if card is None:
        return {"hand_load": None}
    found: dict[str, object] = _figures(_load_of(card))
    found["fewer"] = (
        None
        if fewer is None
        else [
            {"measure": one.measure, "from": one.before, "to": one.after, **_figures(one.load)}
            for one in fewer
        ]
    )
    return {"hand_load": found}


def _figures(load: HandLoad) -> dict[str, object]:
    return {
        "slits": load.slits,
        "cut_mm": number(load.cut_mm),
        "mats_cut_mm": number(load.mats_cut_mm),
        "creases": load.creases,
        "turns": load.turns,
        "settings": load.settings,
        "fence": [
            {
                "piece": one.piece,
                "from": str(one.edge),
                "at_mm": [number(place) for place in one.at_mm],
            }
            for one in load.fence
        ],
        "freehand": load.freehand,
        "small_parts": load.small,
        "foam": load.foam,
    }


def hand_text(card: Dressed, fewer: Sequence[FewerCuts]) -> str:
    """What the card asks of the hand, in a few lines."""
    units = Unit(card.proof.resolved.units)
    load = _load_of(card)
    lines = [f"hand load: {_told(load, units)}"]
    several = len(card.proof.resolved.pieces) > 1
    for one in load.fence:
        places = ", ".join(exact_text(round(place, 4), units) for place in one.at_mm)
        of = f" of {one.piece}" if several else ""
        lines.append(f"  fence from the {one.edge} edge{of}: {places}")
    for fewer_one in fewer:
        lines.append(
            f"fewer cuts with {fewer_one.measure} = {fewer_one.after}, and it closes: "
            f"{_told(fewer_one.load, units)}"
        )
    return "\n".join(lines)


def fewer_of(card: Dressed, design: Design, options: Namespace) -> tuple[FewerCuts, ...]:
    """The cards with one part fewer that prove; nothing for a card that counts no parts."""
    from foldwright.profiles.model import Tool

    from ..dressing.fewer_cuts import fewer_cuts
    from ..proving import prove_design
    from .dressing import dressed

    def weighed(overrides: Mapping[str, str]) -> tuple[Proof, HandLoad]:
        again = dressed(
            prove_design(
                design,
                materials=options.materials,
                tool=None if options.tool is None else Tool(options.tool),
                variant=card.proof.resolved.variant,
                overrides=overrides,
            ),
            options.post,
        )
        return again.proof, _load_of(again)

    given = dict(options.overrides)
    return tuple(fewer_cuts(design, card.proof, _load_of(card), given, weighed))


def _load_of(card: Dressed) -> HandLoad:
    return hand_load(card.proof, () if card.mats is None else card.mats.pieces)


def _told(load: HandLoad, units: Unit) -> str:
    parts = [
        _counted(load.slits, "slit"),
        f"{exact_text(round(load.cut_mm, 1), units)} to cut",
        _counted(load.creases, "crease"),
        _counted(load.turns, "turn") + " of the paper",
        _counted(load.settings, "fence setting"),
    ]
    if load.freehand:
        parts.append(_counted(load.freehand, "line") + " that no fence sets")
    parts.append(f"{_counted(load.small, 'part')} under {number(SMALL_MM)} mm")
    parts.append(_counted(load.foam, "extra") + " to stick on")
    return ", ".join(parts)


def _counted(count: int, word: str) -> str:
    amount = "no" if count == 0 else f"{count}"
    return f"{amount} {word}" if count == 1 else f"{amount} {word}s"
