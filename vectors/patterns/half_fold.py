"""This module is the pattern half-fold: one fold across a sheet, the plainest card there is.

Seen from the inside the fold is a valley.  Closed, the card is as wide as the
sheet and as high as its longer page.  A fold off the middle gives a short page.
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
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the fold",
        default_mm="148",
        default_in="5 1/2",
        least="30 mm",
        most="600 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the sheet, across the fold",
        default_mm="210",
        default_in="8 1/2",
        least="40 mm",
        most="900 mm",
    ),
    # A page narrower than this neither holds a crease nor can be gripped
    # (common practice, no source).
    Parameter(
        name="fold_y",
        meaning="place of the fold, from the lower edge; the middle gives two equal pages",
        default_mm="length / 2",
        default_in="length / 2",
        least="10 mm",
        most="length - 10 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    card = PieceDraft(
        name="card",
        stock="card",
        # Along the fold, where a crease is cleanest.
        grain="0",
        outline=RectangleDraft(width="width", height="length"),
        folds=[
            FoldDraft(
                name="spine", sense=Sense.VALLEY, points=[("0", "fold_y"), ("width", "fold_y")]
            )
        ],
        panels=[
            PanelDraft(name="lower page", at=("width / 2", "fold_y / 2")),
            PanelDraft(name="upper page", at=("width / 2", "(fold_y + length) / 2")),
        ],
    )
    return PatternParts(
        pieces=(card,),
        poses=(PoseDraft(name="half open", hold={"card/spine": "90 deg"}, on=["card/lower page"]),),
        mats=(MatDraft(name="inside", on="card", stock="print"),),
        closed=("width", "max(fold_y, length - fold_y)"),
    )


pattern = Parametric(
    name="half-fold",
    about="A card of one fold across the sheet.  Closed it is as high as its longer page.",
    closure="Nothing has to meet: one fold closes wherever it lies.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
