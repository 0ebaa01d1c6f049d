"""This module is the pattern strut-back: a panel that leans back on a strut glued behind it.

The strut is a strip with a fold near its upper end.  Its tongue, above that
fold, is glued on the back of the panel, so the fold is a pivot at a height of
`pivot` above the panel's lower edge; its leg hangs below and swings out.

Standing, the panel leans from upright by `lean`, so the pivot is at pivot *
cos(lean) above the table and pivot * sin(lean) behind the lower edge, and a foot
that stands `foot` behind that edge wants a leg of the square root of
(pivot * cos(lean))^2 + (foot - pivot * sin(lean))^2.  Folded away the leg hangs
from the pivot and must not poke out below the panel: it may be as long as the
pivot is high, which is so up to foot = 2 * pivot * sin(lean).  The foot stays
8 mm behind the plumb line of the pivot, so that the leg props the panel; as the
pivot is above the middle of the panel the card does not tip.

Closed, the card is as large as the panel.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    FoldDraft,
    JointDraft,
    JointEndDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from ..measures import Kind
from .parametric import Parametric

# Leans of 10 to 20 degrees, a strut at least 20 mm narrower than the panel and a
# pivot above its middle are common practice, no source.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the panel that stands",
        default_mm="105",
        default_in="4 1/4",
        least="50 mm",
        most="400 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the panel that stands",
        default_mm="148",
        default_in="5 1/2",
        least="70 mm",
        most="600 mm",
    ),
    Parameter(
        name="lean",
        meaning="how far the panel leans back from upright",
        kind=Kind.ANGLE,
        default_mm="15",
        default_in="15",
        least="10 deg",
        most="20 deg",
    ),
    Parameter(
        name="pivot",
        meaning="from the lower edge of the panel up to the fold of the strut",
        default_mm="100",
        default_in="3 3/4",
        # The foot wants 8 mm between the plumb line of the pivot and its most.
        least="max(0.55 * height, 8 mm / sin(lean))",
        most="height - 15 mm",
    ),
    Parameter(
        name="foot",
        meaning="how far the foot of the strut stands behind the lower edge of the panel",
        default_mm="45",
        default_in="1 5/8",
        least="pivot * sin(lean) + 8 mm",
        most="2 * pivot * sin(lean)",
    ),
    Parameter(
        name="strut",
        meaning="width of the strut, in the middle of the panel",
        default_mm="50",
        default_in="2",
        least="25 mm",
        most="width - 20 mm",
    ),
    Parameter(
        name="tongue",
        meaning="height of the end of the strut that is glued on the panel",
        default_mm="20",
        default_in="3/4",
        least="10 mm",
        most="height - pivot - 5 mm",
        scale=Scale.FIXED,
    ),
)

# Two sides of the right triangle of pivot, plumb line and foot, and its third.
_UP, _BACK = "(pivot * cos(lean))", "(foot - pivot * sin(lean))"
_LEG = f"sqrt({_UP} * {_UP} + {_BACK} * {_BACK})"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """Panel and strut, the panel's front to the viewer."""
    panel = PieceDraft(
        name="panel",
        stock="card",
        # Upright, so that it does not bend over its strut.
        grain="90 deg",
        outline=RectangleDraft(width="width", height="height"),
        panels=[PanelDraft(name="face", at=("width / 2", "height / 2"))],
    )
    strut = PieceDraft(
        name="strut",
        stock="card",
        grain="90 deg",
        outline=RectangleDraft(width="strut", height=f"{_LEG} + tongue"),
        folds=[
            # Flat when it is folded away; it swings out on the side that is glued.
            FoldDraft(
                name="pivot", sense=Sense.VALLEY, angle="0", points=[("0", _LEG), ("strut", _LEG)]
            )
        ],
        panels=[
            PanelDraft(name="leg", at=("strut / 2", f"{_LEG} / 2")),
            PanelDraft(name="tongue", at=("strut / 2", f"{_LEG} + tongue / 2")),
        ],
    )
    return PatternParts(
        pieces=(panel, strut),
        joints=(
            # Seen from behind, left and right change places.
            JointDraft(
                name="tongue",
                glue=JointEndDraft(
                    panel="strut/tongue", face=Face.BACK, line=[("0", _LEG), ("strut", _LEG)]
                ),
                to=JointEndDraft(
                    panel="panel/face",
                    face=Face.BACK,
                    line=[("(width + strut) / 2", "pivot"), ("(width - strut) / 2", "pivot")],
                ),
            ),
        ),
        poses=(
            PoseDraft(
                name="standing",
                # The law of cosines in the triangle of panel, leg and table.
                hold={
                    "strut/pivot": f"acos((pivot * pivot + {_LEG} * {_LEG} - foot * foot)"
                    f" / (2 * pivot * {_LEG}))"
                },
                # Each stands on its lower edge.
                on=["panel/face", "strut/leg"],
                view="200 deg",
            ),
        ),
        mats=(MatDraft(name="face", on="panel", stock="print", up="90 deg"),),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="strut-back",
    about="A panel that leans back on a strut glued behind it, and folds flat.  Glue the tongue"
    " only, above the fold, and tie the strut to the panel or the crease gives way in time.",
    closure="Folded away the strut does not poke out: its foot stands at most twice the height of"
    " the pivot times the sine of the lean behind the panel, so its leg is no longer than the pivot"
    " is high.",
    materials={"card": "card-300", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
