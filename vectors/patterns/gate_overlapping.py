"""This module is the pattern gate-overlapping: two flaps fold in from the sides and overlap.

The sheet lies with its inside to the viewer: the under flap at the left, the middle
panel, the upper flap at the right, and a valley on either side of the middle panel.
The under flap is folded in first and the upper one over it.  Together they are as
wide as the middle panel and their overlap: upper + under = width + overlap, which
fixes the under flap.

The closed card is as wide and as high as its middle panel.  Each flap ends short of
the other's fold by at least the tuck.  That is what limits them: the upper flap to
width - tuck, for past the left fold it would spill over the edge; the overlap to
upper - tuck, for then the under flap is width - tuck wide and would otherwise run into
the fold that closes over it.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import PoseDraft, Scale
from ..design.pattern import Parameter, PatternParts
from .gates import CLOSED, gate, mats, standing
from .parametric import Parametric

PARAMETERS = (
    *CLOSED,
    Parameter(
        name="tuck",
        meaning="how far each flap ends short of the other one's fold, at least",
        default_mm="1.5",
        default_in="1/16",
        least="0.5 mm",
        most="6 mm",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
    Parameter(
        name="upper",
        meaning="width of the flap that closes last",
        default_mm="70",
        default_in="2 3/4",
        least="20 mm",
        most="width - tuck",
    ),
    # Less is no hold for a button or a seal (common practice, no source).
    Parameter(
        name="overlap",
        meaning="how far the upper flap lies over the under one",
        default_mm="20",
        default_in="3/4",
        least="10 mm",
        most="upper - tuck",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    under, sheet = "width + overlap - upper", "2 * width + overlap"
    return PatternParts(
        pieces=(gate("under", "upper", flap=under, sheet=sheet),),
        poses=(
            standing("under", "upper"),
            # The order in which it is folded.
            PoseDraft(
                name="half shut",
                hold={"card/under fold": "180 deg", "card/upper fold": "90 deg"},
                on=["card/middle"],
            ),
        ),
        mats=mats("under", "upper"),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="gate-overlapping",
    about="A card whose two flaps fold in from the sides, the right one over the left one.  Fold"
    " the under flap first: where the upper one lies over it there is room for a seal or a button.",
    closure="The two flaps are together as wide as the middle panel and their overlap, and each"
    " ends short of the other's fold.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
