"""This module is the pattern gate-meeting: two flaps fold in from the sides and meet.

The sheet lies with its inside to the viewer: left flap, middle panel, right flap,
and a valley on either side of the middle panel.  Shut, the flaps lie on the
middle panel side by side.  They and the clearance between them are together as wide
as it: left + clearance + right = width, which fixes the right flap.  A clearance is
left because two edges that just touch ride up on each other; 1/8 in is what
printers leave.

The closed card is as wide and as high as its middle panel.  A flap narrower than
10 mm neither holds a crease nor can be gripped (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import Scale
from ..design.pattern import Parameter, PatternParts
from .gates import CLOSED, gate, mats, standing
from .parametric import Parametric

PARAMETERS = (
    *CLOSED,
    Parameter(
        name="clearance",
        meaning="left free between the two flaps when they are shut",
        default_mm="3",
        default_in="1/8",
        least="0.5 mm",
        most="20 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="left",
        meaning="width of the left flap; the right one takes the rest",
        default_mm="(width - clearance) / 2",
        default_in="(width - clearance) / 2",
        least="10 mm",
        most="width - clearance - 10 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    return PatternParts(
        pieces=(gate("left", "right", flap="left", sheet="2 * width - clearance"),),
        poses=(standing("left", "right"),),
        mats=mats("left", "right"),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="gate-meeting",
    about="A card whose two flaps fold in from the sides and meet.  They spring open by"
    " themselves, so it is usual to close it with a band.",
    closure="The two flaps and the clearance between them are together as wide as the middle"
    " panel.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
