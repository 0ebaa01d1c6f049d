"""This module is the pattern accordion: a strip folded to and fro into any number of panels.

The sheet lies with the front of its first panel to the viewer; its folds are valley
and mountain in turn.  The first and the last panel are the covers.  Inside, a fold
that creeps out past the free edge of a cover spoils that edge, so every fold there
stays `narrower` inside it.

Let the closed card reach from 0 to `cover`.  The first cover has its free edge at
0 and its fold at `cover`.  With an even number of panels the last cover has too: the
folds lie at cover and narrower in turn, and every inner panel is cover - narrower
wide.  With an odd number the last cover is turned round, its fold at 0 and its free edge
at `cover`; the inner folds lie at narrower and cover - narrower in turn.  Then the second and the
last but one panel are cover - narrower, those between them cover - 2 narrower wide;
of three panels the middle one is as wide as the covers.

So both covers lie flush, and the closed card is of the size of one.
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
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from ..measures import Kind
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="height",
        meaning="height of the card, along the folds",
        default_mm="105",
        default_in="4 1/4",
        least="30 mm",
        most="600 mm",
    ),
    Parameter(
        name="panels",
        meaning="how many panels, the two covers included",
        kind=Kind.NUMBER,
        # A sheet of A4 makes two of so many panels, one of 12 in makes two in inches.
        default_mm="4",
        default_in="4",
        least="3",
        most="16",
    ),
    # Narrower than 30 mm a panel is no page (common practice, no source).
    Parameter(
        name="cover",
        meaning="width of the first and of the last panel, and of the closed card",
        default_mm="74",
        default_in="3",
        least="30 mm",
        most="200 mm",
    ),
    Parameter(
        name="narrower",
        meaning="how far the folds inside stay back from the free edges of the covers",
        default_mm="1.5",
        default_in="1/16",
        least="0 mm",
        most="5 mm",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
)


def inner(panels: int) -> list[str]:
    """The widths of the panels between the covers."""
    if panels == 3:
        return ["cover"]
    if panels % 2 == 0:
        return ["cover - narrower"] * (panels - 2)
    return [
        "cover - narrower",
        *["cover - 2 * narrower"] * (panels - 4),
        "cover - narrower",
    ]


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its first cover's front to the viewer; `counts` has the number of panels."""
    panels = counts["panels"]
    widths = ["cover", *inner(panels), "cover"]
    folds = panels - 1
    names = ["first cover", *(f"page {page}" for page in range(1, panels - 1)), "last cover"]
    places = [f"{_total(widths[:before])} + ({width}) / 2" for before, width in enumerate(widths)]
    card = PieceDraft(
        name="card",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width=_total(widths), height="height"),
        bands=[
            BandDraft(
                name="crease",
                start=("cover", "0"),
                end=("cover", "height"),
                walk=inner(panels),
                first=Sense.VALLEY,
            )
        ],
        panels=[
            PanelDraft(name=name, at=(place, "height / 2"))
            for name, place in zip(names, places, strict=True)
        ],
    )
    return PatternParts(
        pieces=(card,),
        poses=(
            # Upright on its lower edges, seen across the zigzag.
            PoseDraft(
                name="standing",
                hold={f"card/crease {fold}": "90 deg" for fold in range(1, folds + 1)},
                on=[f"card/{name}" for name in names],
                view="225 deg",
            ),
        ),
        mats=(MatDraft(name="front", on="card", stock="print", up="90 deg"),),
        closed=("cover", "height"),
    )


def _total(widths: list[str]) -> str:
    """The sum of widths, in as few terms as there are different ones."""
    terms = [f"{widths.count(width)} * ({width})" for width in dict.fromkeys(widths)]
    return " + ".join(terms) or "0"


pattern = Parametric(
    name="accordion",
    about="A strip folded to and fro into a row of panels between two covers.  With an even number"
    " both covers open to the same side, with an odd number they open to opposite sides.",
    closure="Nothing has to meet; the panels inside are a little narrower than the covers, so that"
    " no fold creeps out past them.",
    materials={"card": "text-160", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
