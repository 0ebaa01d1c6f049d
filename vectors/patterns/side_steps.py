"""This module is the pattern side-steps: beside a slit and a plain strip the sheet stands in steps.

The sheet lies with its inside to the viewer, wall above and floor below the
gutter.  The plain strip at the left turns on one valley fold, the gutter.  The
wide part turns on a band of 2 n + 1 parallel folds, valley and mountain in
turn, whose distances from the top are tread, riser, tread, riser: its treads
lie as deep as the slit runs below the gutter, its risers stand as high as it
runs above, so both sides of the slit are of one length in every pose.

Closed, the wide part reaches furthest beyond the gutter at its first or at its
last mountain fold: n risers and a tread, or n treads and a riser.  Both must
stay 2 mm short of the longer page, or the closed card spills over its edge; the
largest tread and the largest riser are set by that.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    FoldDraft,
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from ..measures import Kind
from .gutter_cards import gutter_card
from .parametric import Parametric
from .stairs import SHEET, stair

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a strip of 10 mm, a tread of 12 mm, a slit that ends 8 mm from the edge.
PARAMETERS = (
    *SHEET,
    Parameter(
        name="gutter_y",
        meaning="place of the fold of the plain strip, from the lower edge",
        default_mm="length / 2",
        default_in="length / 2",
        least="steps * tread + 8 mm",
        most="length - steps * riser - 8 mm",
    ),
    Parameter(
        name="strip",
        meaning="width of the plain strip beside the steps",
        default_mm="50",
        default_in="2",
        least="10 mm",
        most="width - 10 mm",
    ),
    Parameter(
        name="steps",
        meaning="how many steps",
        kind=Kind.NUMBER,
        default_mm="2",
        default_in="2",
        least="1",
        most="8",
    ),
    Parameter(
        name="tread",
        meaning="depth of one step",
        default_mm="30",
        default_in="1 1/8",
        least="12 mm",
        most="(max(gutter_y, length - gutter_y) - 2 mm - riser) / steps",
    ),
    Parameter(
        name="riser",
        meaning="height of one step",
        default_mm="35",
        default_in="1 3/8",
        least="6 mm",
        most="(max(gutter_y, length - gutter_y) - 2 mm - tread) / steps",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; `counts` has the number of steps."""
    steps = counts["steps"]
    top, bottom = "gutter_y + steps * riser", "gutter_y - steps * tread"
    band, panels = stair(
        "steps",
        sides=("strip", "width"),
        top=top,
        treads=["tread"] * steps,
        risers=["riser"] * steps,
    )
    # The slit stops short of both edges, so the strip's pages and the ends of
    # the wide part are one panel each.
    return gutter_card(
        "base",
        slits=[SlitDraft(points=[("strip", bottom), ("strip", top)])],
        bands=[band],
        folds=[
            FoldDraft(
                name="gutter", sense=Sense.VALLEY, points=[("0", "gutter_y"), ("strip", "gutter_y")]
            )
        ],
        across="width / 2",
        reach=(bottom, top),
        panels=panels,
    )


pattern = Parametric(
    name="side-steps",
    about="A card that opens into steps beside a plain strip, with one slit.  It spills over its"
    " edge unless all treads and one riser, and all risers and one tread, stay 2 mm inside the"
    " longer page.",
    closure="On the wide part the treads together are as long as the strip from the gutter to the"
    " slit's lower end, the risers together as long as from the gutter to its upper end.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
