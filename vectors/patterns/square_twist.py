"""This module is the pattern square-twist: a square that twists as the four pleats round it close.

Each side of the central square carries a pleat: two parallel folds that leave its
ends at one angle, `pleat` apart, so the side is pleat / sin(angle) long.  At every
corner four folds meet, and their sectors 90, angle, 90 and 180 - angle add up to
180 alternately: it folds flat.

A vertex of four such folds turns two neighbouring sides of the square by angles
whose half-angle tangents are in the ratio m = tan(45 + angle / 2): the next side
turns more where both have one sense, less where they have two.  Going round the
square the four ratios must multiply to 1, or its panels bend on the way.  With
four like sides they make m^4.  Here two neighbouring sides are mountains and two
are valleys: two corners multiply by m, the other two divide by it, and the twist
folds without bending.

Closed, each pleat has taken two of its widths out of the sheet.  The most that a
pleat may have leaves beside the square a margin on which the pleat lies down and
10 mm to hold it by (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import FoldDraft, PanelDraft, PieceDraft, PoseDraft, RectangleDraft
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from ..measures import Kind
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the flat sheet",
        default_mm="150",
        default_in="6",
        least="80 mm",
        most="600 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the flat sheet",
        default_mm="150",
        default_in="6",
        least="80 mm",
        most="600 mm",
    ),
    Parameter(
        name="angle",
        meaning="angle between a side of the square and its pleat",
        kind=Kind.ANGLE,
        default_mm="45",
        default_in="45",
        least="30 deg",
        most="60 deg",
    ),
    Parameter(
        name="pleat",
        meaning="width of each pleat; the square's side is pleat / sin(angle)",
        default_mm="18",
        default_in="3/4",
        least="8 mm",
        most="(min(width, height) - 20 mm) / (3 + 1 / tan(angle))",
    ),
)

# The sides of the square from the lowest corner on, counter-clockwise.
SENSES = (Sense.MOUNTAIN, Sense.MOUNTAIN, Sense.VALLEY, Sense.VALLEY)
_OTHER = {Sense.MOUNTAIN: Sense.VALLEY, Sense.VALLEY: Sense.MOUNTAIN}

# How far a corner of the square lies from the middle of the sheet, the less and the more
# of its two co-ordinates: half the side's share across the pleat and along it.
_LESS = "(pleat / tan(angle) - pleat) / 2"
_MORE = "(pleat / tan(angle) + pleat) / 2"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece; there is nothing to count."""
    left, less_left = f"width / 2 - {_MORE}", f"width / 2 - {_LESS}"
    right, less_right = f"width / 2 + {_MORE}", f"width / 2 + {_LESS}"
    below, less_below = f"height / 2 - {_MORE}", f"height / 2 - {_LESS}"
    above, less_above = f"height / 2 + {_MORE}", f"height / 2 + {_LESS}"
    corners = ((less_left, below), (right, less_below), (less_right, above), (left, less_above))
    folds = []
    for k, sense in enumerate(SENSES):
        start, end = corners[k], corners[(k + 1) % 4]
        folds.append(FoldDraft(name=f"side {k + 1}", sense=sense, points=[start, end]))
        # The pleat's fold at the narrow sector has the other sense, by the big-little-big
        # lemma; the one at the other end has the side's own, by Maekawa's theorem.
        folds.extend(
            FoldDraft(name=f"pleat {k + 1} {which}", sense=turn, points=[at, _rim(at, k)])
            for which, turn, at in (("first", _OTHER[sense], start), ("second", sense, end))
        )
    # Places well inside the margins and the pleats.
    west, east = f"({left}) / 2", f"({right} + width) / 2"
    south, north = f"({below}) / 2", f"({above} + height) / 2"
    twist = PieceDraft(
        name="twist",
        stock="paper",
        outline=RectangleDraft(width="width", height="height"),
        folds=folds,
        panels=[
            PanelDraft(name="square", at=("width / 2", "height / 2")),
            # Together the corners are all that is seen of the closed twist but its square.
            PanelDraft(name="lower right", at=(east, south), cover=True),
            PanelDraft(name="upper right", at=(east, north), cover=True),
            PanelDraft(name="upper left", at=(west, north), cover=True),
            PanelDraft(name="lower left", at=(west, south), cover=True),
            PanelDraft(name="pleat 1", at=(east, "height / 2 - pleat / tan(angle) / 2")),
            PanelDraft(name="pleat 2", at=("width / 2 + pleat / tan(angle) / 2", north)),
            PanelDraft(name="pleat 3", at=(west, "height / 2 + pleat / tan(angle) / 2")),
            PanelDraft(name="pleat 4", at=("width / 2 - pleat / tan(angle) / 2", south)),
        ],
    )
    return PatternParts(
        pieces=(twist,),
        poses=(
            PoseDraft(
                name="half folded",
                hold={"twist/side 1": "90 deg"},
                on=["twist/lower right", "twist/upper right", "twist/square"],
            ),
        ),
        closed=("width - 2 * pleat", "height - 2 * pleat"),
    )


def _rim(at: tuple[str, str], side: int) -> tuple[str, str]:
    """Where the folds of a side's pleat leave the sheet: right, above, left, below."""
    x, y = at
    return (("width", y), (x, "height"), ("0", y), (x, "0"))[side]


pattern = Parametric(
    name="square-twist",
    about="A sheet that shrinks by two pleats each way while a square in its middle turns over"
    " them.  It folds without bending, for two sides of its square are mountains and two are"
    " valleys; with four alike it would bend on the way.",
    closure="At each corner of the square opposite angles add up to 180 degrees, and round the"
    " square the ratios of the half-angle tangents of its sides multiply to 1.",
    materials={"paper": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
