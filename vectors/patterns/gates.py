"""This module draws a gate: a middle panel between two flaps that fold in over it.

The sheet lies with its inside to the viewer, and both folds are valleys.  Upright on
its lower edges the gate stands on three sides, its flaps at right angles to the middle.
"""

from __future__ import annotations

from ..design.model import (
    FoldDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
)
from ..design.pattern import Parameter
from ..design.pieces import Face, Sense

CLOSED = (
    Parameter(
        name="width",
        meaning="width of the closed card, across the folds",
        default_mm="105",
        default_in="4 1/4",
        least="50 mm",
        most="300 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the card, along the folds",
        default_mm="148",
        default_in="5 1/2",
        least="40 mm",
        most="600 mm",
    ),
)
"""The measures of the closed card, which are those of its middle panel."""


def gate(left: str, right: str, *, flap: str, sheet: str) -> PieceDraft:
    """The one piece, its flaps called `LEFT flap` and `RIGHT flap`, its folds alike.

    `flap` is the width of the left flap and `sheet` that of the sheet, as expressions.
    """
    folds = (f"{flap}", f"{flap} + width")
    return PieceDraft(
        name="card",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width=sheet, height="height"),
        folds=[
            FoldDraft(
                name=f"{name} fold", sense=Sense.VALLEY, points=[(fold, "0"), (fold, "height")]
            )
            for name, fold in zip((left, right), folds, strict=True)
        ],
        panels=[
            PanelDraft(name=f"{left} flap", at=(f"({flap}) / 2", "height / 2")),
            PanelDraft(name="middle", at=(f"{flap} + width / 2", "height / 2")),
            PanelDraft(name=f"{right} flap", at=(f"({folds[1]} + {sheet}) / 2", "height / 2")),
        ],
    )


def standing(left: str, right: str) -> PoseDraft:
    """The gate upright on its lower edges, the flaps as its feet."""
    return PoseDraft(
        name="standing",
        hold={f"card/{left} fold": "90 deg", f"card/{right} fold": "90 deg"},
        on=["card/middle", f"card/{left} flap", f"card/{right} flap"],
        view="240 deg",
    )


def mats(left: str, right: str) -> tuple[MatDraft, MatDraft]:
    """The usual mats: one inside on the middle, one on the outside of each flap."""
    return (
        MatDraft(name="inside", on="card", panels=["middle"], stock="print", up="90 deg"),
        MatDraft(
            name="outside",
            on="card",
            panels=[f"{left} flap", f"{right} flap"],
            face=Face.BACK,
            stock="print",
            up="90 deg",
        ),
    )
