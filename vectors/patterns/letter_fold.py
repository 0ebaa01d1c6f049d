"""This module is the pattern letter-fold: a sheet in three, one panel folded in under another.

The sheet lies with its inside to the viewer; both folds are valleys.  The lower
panel is folded up first and the upper one down over it.  The middle and the upper
panel are of one height, the closed height; the lower panel lies inside the fold
of the upper one and is shorter by the tuck, or it would run into that fold and
buckle: middle = upper = (length + tuck) / 3, lower = middle - tuck.

The closed letter is as wide as the sheet.  The tuck of 1/16 in is what printers take
off a panel that lies inside another; between 1/32 and 1/8 in are seen.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import FoldDraft, PanelDraft, PieceDraft, PoseDraft, RectangleDraft, Scale
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the folds",
        default_mm="210",
        default_in="8 1/2",
        least="30 mm",
        most="600 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the sheet, across the folds",
        default_mm="297",
        default_in="11",
        least="60 mm",
        most="900 mm",
    ),
    Parameter(
        name="tuck",
        meaning="how much shorter the panel is that lies inside",
        default_mm="1.5",
        default_in="1/16",
        least="0.5 mm",
        most="6 mm",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    panel = "(length + tuck) / 3"
    lower, upper = f"{panel} - tuck", f"2 * {panel} - tuck"
    letter = PieceDraft(
        name="letter",
        stock="paper",
        # Along the folds, where a crease is cleanest.
        grain="0",
        outline=RectangleDraft(width="width", height="length"),
        folds=[
            FoldDraft(
                name="lower fold", sense=Sense.VALLEY, points=[("0", lower), ("width", lower)]
            ),
            FoldDraft(
                name="upper fold", sense=Sense.VALLEY, points=[("0", upper), ("width", upper)]
            ),
        ],
        panels=[
            PanelDraft(name="lower", at=("width / 2", f"({lower}) / 2")),
            PanelDraft(name="middle", at=("width / 2", "length / 2")),
            PanelDraft(name="upper", at=("width / 2", f"({upper} + length) / 2")),
        ],
    )
    return PatternParts(
        pieces=(letter,),
        poses=(
            PoseDraft(
                name="half open",
                hold={"letter/lower fold": "90 deg", "letter/upper fold": "90 deg"},
                on=["letter/middle"],
                view="240 deg",
            ),
            # The order in which it is folded.
            PoseDraft(
                name="half shut",
                hold={"letter/lower fold": "180 deg", "letter/upper fold": "90 deg"},
                on=["letter/middle"],
                view="240 deg",
            ),
        ),
        closed=("width", panel),
    )


pattern = Parametric(
    name="letter-fold",
    about="A sheet folded in three, its lower panel inside under the upper one.  Equal thirds"
    " buckle: the panel inside is made shorter by the tuck.",
    closure="The panel that is folded in first ends short of the fold that closes over it.",
    materials={"paper": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
