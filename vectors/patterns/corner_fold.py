"""This module is the pattern corner-fold: the upper right corner of a sheet folded to the front.

The fold runs from the upper edge, `across` to the left of the corner, to the right
edge, `down` below it; seen from the front it is a valley.  Equal lengths give a fold
of 45 degrees.  With c across and d down the corner is reflected to a tip

    2 c d² / (c² + d²) to the left of where it was, and 2 c² d / (c² + d²) below:

twice the way to the foot of the perpendicular on the fold.  The tip has to stay on
the sheet of width w and height h.  To the left that is always so where c is at most
half of w, and else while d is at most c sqrt(w / (2 c - w)).  Below it is always so where c is
at most h, and else while d is at most c h / (c + sqrt(c² - h²)).  The largest `down` is
the least of these and the height less 5 mm.  With the tip on the sheet all of the corner
is, for the sheet is convex; so the closed size is that of the sheet.
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
from ..design.pieces import Face, Sense
from .parametric import Parametric

# Each limit is beyond the height where it does not bind, so that one expression serves both
# cases: 2 c - w is at least w c² / h², and c at least h.
_LEFT = (
    "across * sqrt(width / max(2 * across - width, width * (across / height) * (across / height)))"
)
_LOWEST = (
    "max(across, height) * height / (max(across, height)"
    " + sqrt(max(across, height) * max(across, height) - height * height))"
)

# A corner of less than 20 mm has no room for a mat; 5 mm of each edge are left beside the fold
# (common practice, no source).
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet",
        default_mm="105",
        default_in="4 1/4",
        least="40 mm",
        most="400 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the sheet",
        default_mm="148",
        default_in="5 1/2",
        least="40 mm",
        most="600 mm",
    ),
    Parameter(
        name="across",
        meaning="from the corner along the upper edge to the fold",
        default_mm="40",
        default_in="1 1/2",
        least="20 mm",
        most="width - 5 mm",
    ),
    Parameter(
        name="down",
        meaning="from the corner along the right edge to the fold",
        default_mm="across",
        default_in="across",
        least="20 mm",
        most=f"min(height - 5 mm, {_LEFT}, {_LOWEST})",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its front to the viewer."""
    sheet = PieceDraft(
        name="sheet",
        stock="card",
        grain="90",
        outline=RectangleDraft(width="width", height="height"),
        folds=[
            FoldDraft(
                name="corner fold",
                sense=Sense.VALLEY,
                points=[("width - across", "height"), ("width", "height - down")],
            )
        ],
        panels=[
            PanelDraft(name="sheet", at=("(width - across) / 2", "(height - down) / 2")),
            PanelDraft(name="corner", at=("width - across / 3", "height - down / 3")),
        ],
    )
    return PatternParts(
        pieces=(sheet,),
        poses=(
            PoseDraft(name="half open", hold={"sheet/corner fold": "90 deg"}, on=["sheet/sheet"]),
        ),
        # The corner shows the back of the paper.
        mats=(
            MatDraft(name="corner", on="sheet", panels=["corner"], face=Face.BACK, stock="print"),
        ),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="corner-fold",
    about="A sheet with one corner folded to the front, at 45 degrees or any other angle.  The"
    " corner shows the back of the paper, and covers what is written under it.",
    closure="Nothing has to meet; the tip of the corner has to stay on the sheet.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
