"""This module is the pattern z-fold: three panels folded to and fro, like the letter Z.

The sheet lies with the front of its first panel to the viewer: a valley, then a
mountain.  Nothing has to meet.  Shut, with the first panel from 0 to `first`, the
middle one lies from first - middle to `first`, and the last one from
first - middle on as far as it is wide; so the closed card is as wide as the
largest of first, middle, last and first - middle + last.

A middle panel as wide as the two others gives flush edges.  A first panel half as
wide as the middle one lies on it as a half page.  A middle panel wider than both
others would leave a part of itself uncovered between them where they are together
narrower than it; so the last panel is at least as wide as what the first leaves free.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    BandDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from .parametric import Parametric

# A panel narrower than 20 mm is no page (common practice, no source).
PARAMETERS = (
    Parameter(
        name="height",
        meaning="height of the card, along the folds",
        default_mm="148",
        default_in="5 1/2",
        least="40 mm",
        most="600 mm",
    ),
    Parameter(
        name="first",
        meaning="width of the first panel, at the left",
        default_mm="105",
        default_in="4 1/4",
        least="20 mm",
        most="300 mm",
    ),
    Parameter(
        name="middle",
        meaning="width of the middle panel; flush when it is as wide as the two others",
        default_mm="first",
        default_in="first",
        least="20 mm",
        most="300 mm",
    ),
    Parameter(
        name="last",
        meaning="width of the last panel, at the right",
        default_mm="first",
        default_in="first",
        least="max(20 mm, middle - first)",
        most="300 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, the front of the first panel to the viewer."""
    card = PieceDraft(
        name="card",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width="first + middle + last", height="height"),
        bands=[
            BandDraft(
                name="crease",
                start=("first", "0"),
                end=("first", "height"),
                walk=["middle"],
                first=Sense.VALLEY,
            )
        ],
        panels=[
            PanelDraft(name="first", at=("first / 2", "height / 2")),
            PanelDraft(name="middle", at=("first + middle / 2", "height / 2")),
            PanelDraft(name="last", at=("first + middle + last / 2", "height / 2")),
        ],
    )
    return PatternParts(
        pieces=(card,),
        poses=(
            # Upright on its lower edges, seen across the zigzag.
            PoseDraft(
                name="standing",
                hold={"card/crease 1": "90 deg", "card/crease 2": "90 deg"},
                on=["card/first", "card/middle", "card/last"],
                view="225 deg",
            ),
        ),
        mats=(MatDraft(name="front", on="card", stock="print", up="90 deg"),),
        closed=("max(first, middle, last, first - middle + last)", "height"),
    )


pattern = Parametric(
    name="z-fold",
    about="A card of three panels folded to and fro.  With three equal panels its edges are flush;"
    " with a first panel half as wide as the middle one it has a half page in front.",
    closure="Nothing has to meet; the edges are flush when the three panels are of one width.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
