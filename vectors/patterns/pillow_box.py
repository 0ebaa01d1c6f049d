"""This module is the pattern pillow-box: two panels glued to a flat tube, its ends closed by arcs.

The sheet lies with its inside to the viewer: glue flap, front, back, and the side
fold between them.  Across each end of each panel runs a score that is an arc of
the sagitta `rise` over the panel's width, bulging inwards; the cut edge there is the
same arc mirrored, bulging outwards.  All scores are valleys.

The tube closes where front and back are of one width.  All arcs have one chord and
one sagitta e, so one radius (w^2 / 4 + e^2) / (2 e), and the scores of front and
back lie on each other and meet on the sides.  An arc is scored, not folded: pushed
in along it both panels bulge, paper bends, and how high the box is follows from the
paper; make one and measure it.

The glue flap keeps the sagitta off the corners at the least, and so off every arc.

Glued it lies flat, as wide as a panel and as long as the sides and twice the sagitta.
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

# A sagitta of a sixth to a quarter of the width is common practice, no source; flatter arcs
# do not hold shut, and ends that are much rounder tear at the sides.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the box, the chord of its arcs",
        default_mm="72",
        default_in="3",
        least="30 mm",
        most="300 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the box along its sides",
        default_mm="110",
        default_in="4 1/2",
        least="width",
        most="600 mm",
    ),
    Parameter(
        name="rise",
        meaning="sagitta of the arcs: how far they reach in from the corners",
        default_mm="width / 6",
        default_in="width / 6",
        least="width / 8",
        most="width / 4",
    ),
    Parameter(
        name="flap",
        meaning="width of the glue flap",
        default_mm="12",
        default_in="1/2",
        least="10 mm",
        most="width / 2 - 2 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="taper",
        meaning="how far the glue flap keeps off the corners, so that it lies on no arc",
        default_mm="rise",
        default_in="rise",
        least="rise",
        most="length / 3 - 2 mm",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    xs = ("flap", "flap + width", "flap + 2 * width")
    low, high = "rise", "rise + length"

    def middle(left: str) -> str:
        return f"{left} + width / 2"

    box = PieceDraft(
        name="box",
        stock="card",
        # Along the sides, so that the panels bulge across it.
        grain="90 deg",
        outline=PathDraft(
            points=[
                (xs[0], low),
                ArcDraft(arc_to=(xs[1], low), through=(middle(xs[0]), "0")),
                ArcDraft(arc_to=(xs[2], low), through=(middle(xs[1]), "0")),
                (xs[2], high),
                ArcDraft(arc_to=(xs[1], high), through=(middle(xs[1]), f"{high} + rise")),
                ArcDraft(arc_to=(xs[0], high), through=(middle(xs[0]), f"{high} + rise")),
                (xs[0], f"{high} - taper"),
                ("0", f"{high} - taper - rise / 2"),
                ("0", f"{low} + taper + rise / 2"),
                (xs[0], f"{low} + taper"),
            ]
        ),
        folds=[
            FoldDraft(
                name="seam",
                sense=Sense.VALLEY,
                points=[(xs[0], f"{low} + taper"), (xs[0], f"{high} - taper")],
            ),
            FoldDraft(name="side", sense=Sense.VALLEY, points=[(xs[1], low), (xs[1], high)]),
            *(
                FoldDraft(
                    name=f"{panel} {end} arc",
                    sense=Sense.VALLEY,
                    points=[
                        (left, y),
                        ArcDraft(arc_to=(f"{left} + width", y), through=(middle(left), through)),
                    ],
                )
                for panel, left in (("front", xs[0]), ("back", xs[1]))
                for end, y, through in (("lower", low, "2 * rise"), ("upper", high, "length"))
            ),
        ],
        panels=[
            PanelDraft(name="glue flap", at=("flap / 2", f"{low} + length / 2")),
            PanelDraft(name="front", at=(middle(xs[0]), f"{low} + length / 2")),
            PanelDraft(name="back", at=(middle(xs[1]), f"{low} + length / 2")),
        ],
    )
    return PatternParts(
        pieces=(box,),
        joints=(
            JointDraft(
                name="seam",
                glue=JointEndDraft(
                    panel="box/glue flap",
                    face=Face.BACK,
                    line=[(xs[0], f"{low} + taper"), (xs[0], f"{high} - taper")],
                ),
                to=JointEndDraft(
                    panel="box/back",
                    face=Face.FRONT,
                    line=[(xs[2], f"{low} + taper"), (xs[2], f"{high} - taper")],
                ),
            ),
        ),
        poses=(
            PoseDraft(
                name="glued flat",
                hold={"box/side": "180 deg", "box/seam": "180 deg"},
                on=["box/back"],
            ),
        ),
        closed=("width", "length + 2 * rise"),
    )


pattern = Parametric(
    name="pillow-box",
    about="A box of two panels glued to a tube, whose ends are pushed in along arcs.  The arcs are"
    " scored along a template, not on a scoring board, and how high the box stands depends on the"
    " paper.",
    closure="Front and back are of one width, and all arcs have that chord and one sagitta.",
    materials={"card": "card-200"},
    parameters=PARAMETERS,
    draw=draw,
)
