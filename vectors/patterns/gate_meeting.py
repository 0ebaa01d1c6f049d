"""This module is the pattern gate-meeting: two flaps fold in from the sides and meet.

The sheet lies with its inside to the viewer: left flap, middle panel, right flap,
and a valley on either side of the middle panel.  Shut, the flaps lie on the
middle panel side by side.  They and the clearance between them are together as wide
as it: left + clearance + right = width, which fixes the right flap.  A clearance is
left because two edges that just touch ride up on each other; 1/8 in is what
printers leave.

The closed card is as wide and as high as its middle panel.  A flap narrower than
10 mm neither holds a crease nor can be gripped (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    FoldDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from .parametric import Parametric

PARAMETERS = (
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
    Parameter(
        name="clearance",
        meaning="left free between the two flaps when they are shut",
        default_mm="3",
        default_in="1/8",
        least="0.5 mm",
        most="20 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="left",
        meaning="width of the left flap; the right one takes the rest",
        default_mm="(width - clearance) / 2",
        default_in="(width - clearance) / 2",
        least="10 mm",
        most="width - clearance - 10 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    right_fold, sheet = "left + width", "2 * width - clearance"
    card = PieceDraft(
        name="card",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width=sheet, height="height"),
        folds=[
            FoldDraft(
                name="left fold", sense=Sense.VALLEY, points=[("left", "0"), ("left", "height")]
            ),
            FoldDraft(
                name="right fold",
                sense=Sense.VALLEY,
                points=[(right_fold, "0"), (right_fold, "height")],
            ),
        ],
        panels=[
            PanelDraft(name="left flap", at=("left / 2", "height / 2")),
            PanelDraft(name="middle", at=("left + width / 2", "height / 2")),
            PanelDraft(name="right flap", at=(f"({right_fold} + {sheet}) / 2", "height / 2")),
        ],
    )
    return PatternParts(
        pieces=(card,),
        poses=(
            # Upright on its lower edges, the flaps as its feet.
            PoseDraft(
                name="standing",
                hold={"card/left fold": "90 deg", "card/right fold": "90 deg"},
                on=["card/middle", "card/left flap", "card/right flap"],
                view="240 deg",
            ),
        ),
        mats=(
            MatDraft(name="inside", on="card", panels=["middle"], stock="print", up="90 deg"),
            MatDraft(
                name="outside",
                on="card",
                panels=["left flap", "right flap"],
                face=Face.BACK,
                stock="print",
                up="90 deg",
            ),
        ),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="gate-meeting",
    about="A card whose two flaps fold in from the sides and meet.  They spring open by"
    " themselves, so it is usual to close it with a band.",
    closure="The two flaps and the clearance between them are together as wide as the middle"
    " panel.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
