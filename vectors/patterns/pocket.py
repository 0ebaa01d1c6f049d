"""This module is the pattern pocket: a back, a front folded up over it, two side flaps between.

The sheet lies with its inside to the viewer, the front below the bottom fold and
the back above it, a flap at either side of the back.  The flaps are folded in
first, then the front is folded up and glued onto them.  All folds are valleys.

A flap's fold and the bottom fold stand square on each other, so that both turned
shut lay a point of the flap's fold that is y above the bottom fold upon the point
that is y below it: front and back are of one height.  Each flap's fold keeps
`relief` off both ends of the back, and its ends are tapered, so that no flap
reaches into the bottom fold or out of the mouth.  The flaps do not meet in the
middle, and leave the thumb notch of the front free, or glue would show in it.

Closed it is as wide as the back and as high.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    ArcDraft,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PoseDraft,
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from .parametric import Parametric

# A flap holds glue from 10 mm on, and a thumb finds the paper behind a notch from a
# radius of 6 mm on (common practice, no source).
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the pocket; what goes in is 2 to 3 mm narrower",
        default_mm="110",
        default_in="4 3/8",
        least="60 mm",
        most="400 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the pocket, from the bottom fold to the mouth",
        default_mm="80",
        default_in="3 1/8",
        least="40 mm",
        most="400 mm",
    ),
    Parameter(
        name="flap",
        meaning="width of the side flaps that are glued",
        default_mm="12",
        default_in="1/2",
        least="10 mm",
        most="width / 2 - 11 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="relief",
        meaning="how far each flap keeps off the bottom fold and the mouth",
        default_mm="1",
        default_in="1/16",
        least="0.5 mm",
        most="3 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="taper",
        meaning="how much each end of a flap runs in towards its outer edge",
        default_mm="2",
        default_in="1/8",
        least="0.5 mm",
        most="height / 4",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="notch",
        meaning="radius of the thumb notch in the front",
        default_mm="10",
        default_in="3/8",
        least="6 mm",
        most="min(width / 2 - flap - 5 mm, height / 2)",
        scale=Scale.FIXED,
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    left, middle, right = "flap", "flap + width / 2", "flap + width"
    top, outer = "2 * height", "2 * flap + width"
    low, high = "height + relief", "2 * height - relief"
    pocket = PieceDraft(
        name="pocket",
        stock="card",
        # Along the bottom fold, the longest.
        grain="0",
        outline=PathDraft(
            points=[
                (left, "0"),
                (f"{middle} - notch", "0"),
                ArcDraft(arc_to=(f"{middle} + notch", "0"), through=(middle, "notch")),
                (right, "0"),
                (right, low),
                (outer, f"{low} + taper"),
                (outer, f"{high} - taper"),
                (right, high),
                (right, top),
                (left, top),
                (left, high),
                ("0", f"{high} - taper"),
                ("0", f"{low} + taper"),
                (left, low),
            ]
        ),
        folds=[
            FoldDraft(
                name="bottom", sense=Sense.VALLEY, points=[(left, "height"), (right, "height")]
            ),
            FoldDraft(name="left side", sense=Sense.VALLEY, points=[(left, low), (left, high)]),
            FoldDraft(name="right side", sense=Sense.VALLEY, points=[(right, low), (right, high)]),
        ],
        panels=[
            PanelDraft(name="front", at=(middle, "(notch + height) / 2")),
            PanelDraft(name="back", at=(middle, "3 * height / 2")),
            PanelDraft(name="left flap", at=("flap / 2", "3 * height / 2")),
            PanelDraft(name="right flap", at=("width + 3 * flap / 2", "3 * height / 2")),
        ],
    )
    return PatternParts(
        pieces=(pocket,),
        joints=(_glued("left", left), _glued("right", right)),
        # As it is used: nothing in it moves any more.
        poses=(
            PoseDraft(
                name="glued",
                hold={
                    f"pocket/{fold}": "180 deg" for fold in ("bottom", "left side", "right side")
                },
                on=["pocket/back"],
            ),
        ),
        closed=("width", "height"),
    )


def _glued(side: str, x: str) -> JointDraft:
    """The flap of one side, glued to the front along its own fold, which lies on the edge there."""
    return JointDraft(
        name=f"{side} seam",
        glue=JointEndDraft(
            panel=f"pocket/{side} flap",
            face=Face.BACK,
            line=[(x, "height + relief"), (x, "2 * height - relief")],
        ),
        to=JointEndDraft(
            panel="pocket/front",
            face=Face.FRONT,
            line=[(x, "height - relief"), (x, "relief")],
        ),
    )


pattern = Parametric(
    name="pocket",
    about="A pocket of one piece with a thumb notch, its two side flaps glued between back and"
    " front.  Glue the outer half of each flap only, or what goes in sticks to the glue that is"
    " pressed out.",
    closure="Front and back are of one height from the bottom fold, and both flap folds stand"
    " square on it.",
    materials={"card": "card-200"},
    parameters=PARAMETERS,
    draw=draw,
)
