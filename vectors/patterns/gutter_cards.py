"""This module draws what all cards have alike in which something stands up over the gutter.

The sheet lies with its inside to the viewer, wall above and floor below the gutter.
Plain strips fold there on a valley; between them slits free what stands up.  Opened to a
right angle the card stands on its floor; shut it is as high as its longer page.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..design.model import (
    BandDraft,
    FoldDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
    SlitDraft,
)
from ..design.pattern import PatternParts
from ..design.pieces import Sense


def gutters(left: str, right: str) -> tuple[FoldDraft, FoldDraft]:
    """The folds of a plain strip on either side, up to `left` and from `right` on."""
    return either_side("gutter", "gutter_y", ends=("0", "width"), freed=(left, right))


def either_side(
    name: str, y: str, *, ends: tuple[str, str], freed: tuple[str, str]
) -> tuple[FoldDraft, FoldDraft]:
    """A valley fold at the height `y`, left and right of the stretch that is freed from it."""
    return (
        FoldDraft(name=f"left {name}", sense=Sense.VALLEY, points=[(ends[0], y), (freed[0], y)]),
        FoldDraft(name=f"right {name}", sense=Sense.VALLEY, points=[(freed[1], y), (ends[1], y)]),
    )


def gutter_card(
    name: str,
    *,
    slits: Sequence[SlitDraft],
    bands: Sequence[BandDraft],
    folds: Sequence[FoldDraft],
    across: str,
    reach: tuple[str, str],
    panels: Sequence[PanelDraft],
) -> PatternParts:
    """All of a card of one piece, whose first fold is one of the gutter.

    What stands up runs from the first to the second place of `reach`, up the sheet; the
    wall above it and the floor below it are named at the place `across`, the other
    panels follow.  All are written as expressions.
    """
    bottom, top = reach
    piece = PieceDraft(
        name=name,
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="0",
        outline=RectangleDraft(width="width", height="length"),
        slits=slits,
        bands=bands,
        folds=folds,
        panels=[
            PanelDraft(name="wall", at=(across, f"({top} + length) / 2")),
            PanelDraft(name="floor", at=(across, f"({bottom}) / 2")),
            *panels,
        ],
    )
    return PatternParts(
        pieces=(piece,),
        poses=(
            PoseDraft(
                name="standing",
                hold={f"{name}/{folds[0].name}": "90 deg"},
                on=[f"{name}/floor"],
                view="240 deg",
            ),
        ),
        mats=(MatDraft(name="all panels", on=name, stock="print", up="90 deg"),),
        closed=("width", "max(gutter_y, length - gutter_y)"),
    )
