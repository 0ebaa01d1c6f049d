"""This module is the pattern pop-up-box: two slits across the gutter and a box that stands up.

The sheet lies with its inside to the viewer, wall above and floor below the
gutter.  Between the slits, which run from a depth below the gutter to a height
above it, there is no gutter but a band of three folds: a valley at the upper end
of the slits, a mountain as much lower as the box is deep, a valley at their
lower end.  So the top is as long as the floor behind it and the front as long
as the wall behind it: a parallelogram, which closes at every angle.

Closed, the mountain reaches furthest from the gutter: a height and a depth.
That must stay 2 mm short of the shorter page, so that nothing of the box shows
when the card is shut; the largest height and depth are set by that.  Where they
are equal the mountain lies in one line with the gutter, and the box is square.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    BandDraft,
    PanelDraft,
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from .gutter_cards import gutter_card, gutters
from .parametric import Parametric

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a strip of 10 mm, folds of a band 12 mm apart.  That a height and a
# depth leave 2 mm of each page keeps the slits' ends 14 mm from the edges.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the gutter",
        default_mm="148",
        default_in="5 1/2",
        least="40 mm",
        most="600 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the sheet, across the gutter",
        default_mm="210",
        default_in="8 1/2",
        least="80 mm",
        most="900 mm",
    ),
    Parameter(
        name="gutter_y",
        meaning="place of the gutter, from the lower edge",
        default_mm="length / 2",
        default_in="length / 2",
        least="40 mm",
        most="length - 40 mm",
    ),
    Parameter(
        name="box_width",
        meaning="width of the box, from slit to slit",
        default_mm="60",
        default_in="2 1/4",
        least="10 mm",
        most="width - 20 mm",
    ),
    Parameter(
        name="box_left",
        meaning="from the left edge of the sheet to the box",
        default_mm="(width - box_width) / 2",
        default_in="(width - box_width) / 2",
        least="10 mm",
        most="width - box_width - 10 mm",
    ),
    Parameter(
        name="box_height",
        meaning="height of the box above the floor",
        default_mm="45",
        default_in="1 3/4",
        least="12 mm",
        most="min(gutter_y, length - gutter_y) - 14 mm",
    ),
    Parameter(
        name="box_depth",
        meaning="depth of the box, from the wall to its front",
        default_mm="30",
        default_in="1 1/4",
        least="12 mm",
        most="min(gutter_y, length - gutter_y) - 2 mm - box_height",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    top, bottom = "gutter_y + box_height", "gutter_y - box_depth"
    right, middle = "box_left + box_width", "box_left + box_width / 2"
    return gutter_card(
        "card",
        slits=[
            SlitDraft(name="left slit", points=[("box_left", bottom), ("box_left", top)]),
            SlitDraft(name="right slit", points=[(right, bottom), (right, top)]),
        ],
        bands=[
            BandDraft(
                name="box",
                start=("box_left", top),
                end=(right, top),
                walk=["box_depth", "box_height"],
                first=Sense.VALLEY,
            )
        ],
        folds=gutters("box_left", right),
        across=middle,
        reach=(bottom, top),
        panels=[
            PanelDraft(name="top of the box", at=(middle, f"{top} - box_depth / 2")),
            PanelDraft(name="front of the box", at=(middle, f"{bottom} + box_height / 2")),
        ],
    )


pattern = Parametric(
    name="pop-up-box",
    about="A card in which a box stands up when it is opened, cut with two slits across the"
    " gutter.  The height and the depth of the box together stay 2 mm inside the shorter page,"
    " so that nothing shows when it is shut.",
    closure="The top of the box is as deep as the floor behind it, its front as high as the wall"
    " behind it: the mountain fold lies as far below the upper valley as the lower one lies below"
    " the gutter.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
