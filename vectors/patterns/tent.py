"""This module is the pattern tent: one ridge across a sheet that stands on its two lower edges.

The sheet lies with its outside to the viewer, so the ridge is a mountain.  The
front panel is below it as drawn; the back panel stands upside down beside it on
the flat sheet, so that words on it are set turned by 180 degrees.

Nothing has to meet for it to close: the two panels lie back to back, as high as
the front.  Standing, the two panels and the table make a triangle with the
spread at the ridge.  A back that were shorter than front * cos(spread) would lean
out over its own foot; from there up to a back as long as the front the foot of
the centre of mass lies well between the two edges, which is where the limits of the
back come from.
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
from ..measures import Kind
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the ridge",
        default_mm="148",
        default_in="5 1/2",
        least="40 mm",
        most="400 mm",
    ),
    Parameter(
        name="front",
        meaning="height of the front panel, from the ridge to its lower edge",
        default_mm="105",
        default_in="4 1/4",
        least="30 mm",
        most="300 mm",
    ),
    # Narrower it falls over at a touch, wider it slides flat on a smooth table (common practice,
    # no source).
    Parameter(
        name="spread",
        meaning="angle between the two panels when it stands",
        kind=Kind.ANGLE,
        default_mm="60",
        default_in="60",
        least="30 deg",
        most="90 deg",
    ),
    Parameter(
        name="back",
        meaning="height of the back panel; as high as the front, or it stands leaning",
        default_mm="front",
        default_in="front",
        least="max(20 mm, front * cos(spread))",
        most="front",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its outside to the viewer, the front panel below."""
    tent = PieceDraft(
        name="tent",
        stock="card",
        # Upright in both panels: they stay stiff, and the ridge is a little rougher for it.
        grain="90",
        outline=RectangleDraft(width="width", height="front + back"),
        folds=[
            FoldDraft(
                name="ridge", sense=Sense.MOUNTAIN, points=[("0", "front"), ("width", "front")]
            )
        ],
        panels=[
            PanelDraft(name="front", at=("width / 2", "front / 2")),
            PanelDraft(name="back", at=("width / 2", "front + back / 2")),
        ],
    )
    return PatternParts(
        pieces=(tent,),
        poses=(
            # It stands on an edge of each panel, and lies on neither.
            PoseDraft(
                name="standing",
                hold={"tent/ridge": "180 deg - spread"},
                on=["tent/front", "tent/back"],
                view="240 deg",
            ),
        ),
        mats=(MatDraft(name="outside", on="tent", stock="print", up="90 deg"),),
        closed=("width", "front"),
    )


pattern = Parametric(
    name="tent",
    about="A card of one ridge that stands on its two lower edges, to be seen from both sides."
    "  What is on the back panel is drawn upside down, and on a smooth table a wide spread slides"
    " flat.",
    closure="Nothing has to meet: one fold closes wherever it lies.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
