"""This module is the pattern centre-steps: a band of steps between two plain strips.

The sheet lies with its inside to the viewer, wall above and floor below the
gutter.  Two slits of one length part the band from the strips; each strip turns
on a valley fold at the gutter, both at one height, the band on 2 n + 1 parallel
folds, valley and mountain in turn.  Its treads stay parallel to the floor and its
risers to the wall, so it closes in every pose, exactly where each slit runs below
the gutter as far as the treads are deep together and above it as far as the risers
are high together.  The widths of the strips are in no sum: each may have its own.

Closed, the band lies on n risers + k treads - (k - 1) risers at its mountain fold
number k, counted from the gutter: the farthest is the first (n risers and a tread)
or the last (n treads and a riser).  Both stay 2 mm short of the longer page, or
the band spills over the edge of the closed card, which is as wide as the sheet and
as high as its longer page.  At the spine the closed card has a bay between the
strips, n times the lesser of tread and riser deep: there the band leaves the spine.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..measures import Kind
from .gutter_cards import gutter_card, gutters
from .parametric import Parametric
from .stairs import SHEET, stair

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a strip of 10 mm, a band of 20 mm, a tread of 12 mm, a riser of 6 mm, a slit
# that ends 8 mm from the edge.
PARAMETERS = (
    *SHEET,
    Parameter(
        name="gutter_y",
        meaning="place of the fold of both strips, from the lower edge",
        default_mm="length / 2",
        default_in="length / 2",
        least="20 mm",
        most="length - 20 mm",
    ),
    Parameter(
        name="left",
        meaning="width of the plain strip on the left",
        default_mm="35",
        default_in="1 3/8",
        least="10 mm",
        most="width - 30 mm",
    ),
    Parameter(
        name="right",
        meaning="width of the plain strip on the right",
        default_mm="left",
        default_in="left",
        least="10 mm",
        most="width - left - 20 mm",
    ),
    Parameter(
        name="steps",
        meaning="how many steps the band has",
        kind=Kind.NUMBER,
        default_mm="2",
        default_in="2",
        least="1",
        most="8",
    ),
    # Treads that end 8 mm above the lower edge leave room for the smallest riser:
    # n treads and 6 mm are 2 mm less than the page.
    Parameter(
        name="tread",
        meaning="depth of one step",
        default_mm="30",
        default_in="1 1/8",
        least="12 mm",
        most="(gutter_y - 8 mm) / steps",
    ),
    Parameter(
        name="riser",
        meaning="height of one step",
        default_mm="35",
        default_in="1 3/8",
        least="6 mm",
        most="min((length - gutter_y - 8 mm) / steps,"
        " (max(gutter_y, length - gutter_y) - 2 mm - tread) / steps,"
        " max(gutter_y, length - gutter_y) - 2 mm - steps * tread)",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; `counts` has the number of steps."""
    steps = counts["steps"]
    top, bottom = "gutter_y + steps * riser", "gutter_y - steps * tread"
    sides = ("left", "width - right")
    band, panels = stair(
        "steps", sides=sides, top=top, treads=["tread"] * steps, risers=["riser"] * steps
    )
    return gutter_card(
        "base",
        slits=[
            SlitDraft(name=f"{name} slit", points=[(x, bottom), (x, top)])
            for name, x in zip(("left", "right"), sides, strict=True)
        ],
        bands=[band],
        folds=gutters(*sides),
        across="width / 2",
        reach=(bottom, top),
        panels=panels,
    )


pattern = Parametric(
    name="centre-steps",
    about="A card that opens into steps between two plain strips, which may differ in width."
    "  Closed, the steps lie between its pages: all treads and one riser, and all risers and one"
    " tread, stay 2 mm inside the longer page.",
    closure="Both slits run below the gutter as far as all treads are deep together, and above"
    " it as far as all risers are high together; both strips fold at one height.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
