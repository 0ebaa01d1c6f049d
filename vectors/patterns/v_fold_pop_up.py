"""This module is the pattern v-fold-pop-up: two wings that stand up from the gutter of a card.

The wings meet in a ridge; each is glued to a page by a foot.  Both glue lines start
at one point of the gutter and make `page_angle` with it, both creases of the feet
start at the foot of the ridge and make `wing_angle` with it.  These two angles and
the two glue lines must be equal from left to right: then the ridge stays in the
plane midway between the pages, and the card closes.

With the pages opened by t, h = t / 2, the ridge makes with the gutter the angle
atan2(sin p cos h, cos p) + acos(cos w / sqrt(cos^2 p + sin^2 p cos^2 h)), where p
and w are the two angles: p + w in the closed card, acos(cos w / cos p) in the one
that lies open.  So w must not be less than p, or the wings tear before the card is
open; it is to be 5 degrees more, or they lie flat in the open card.

Closed, each wing lies on its page between its glue line and the ridge, and all its
corners must stay 2 mm inside the page (common practice, no source).  With the limits
of `glue`, `ridge` and `point_y` they do.  A foot reaches from its crease to under its
wing; its ends are cut back at 45 degrees.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    FoldDraft,
    JointDraft,
    JointEndDraft,
    PanelDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    RectangleDraft,
    Scale,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from ..measures import Kind
from .parametric import Parametric

# Where the ridge lies in the closed card, as the cosine of its angle to the gutter: how far
# it leads up, and how far down.  A twentieth keeps the quotients finite.
_UP = "max(cos(page_angle + wing_angle), 0.05)"
_DOWN = "max(-cos(page_angle + wing_angle), 0.05)"

PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the card lying open, across the gutter",
        default_mm="160",
        default_in="6 1/2",
        least="100 mm",
        most="600 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the card, along the gutter",
        default_mm="120",
        default_in="5",
        least="80 mm",
        most="600 mm",
    ),
    Parameter(
        name="page_angle",
        meaning="angle between the gutter and the glue line, the same on both pages",
        kind=Kind.ANGLE,
        default_mm="45",
        default_in="45",
        least="20 deg",
        most="70 deg",
    ),
    Parameter(
        name="wing_angle",
        meaning="angle between the ridge and the crease of the foot, the same on both wings",
        kind=Kind.ANGLE,
        default_mm="60",
        default_in="60",
        least="page_angle + 5 deg",
        most="85 deg",
    ),
    Parameter(
        name="foot",
        meaning="depth of the feet that are glued to the pages",
        default_mm="10",
        default_in="3/8",
        least="8 mm",
        most="15 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="glue",
        meaning="length of each glue line, from the gutter on",
        default_mm="50",
        default_in="2",
        least="3 * foot",
        most="min((width / 2 - 2 mm) / sin(page_angle),"
        " (width / 2 - 2 mm - foot * cos(page_angle)) / sin(page_angle) + foot,"
        " (height - 16 mm) / cos(page_angle))",
    ),
    Parameter(
        name="ridge",
        meaning="length of the ridge between the wings",
        default_mm="60",
        default_in="2 1/2",
        least="20 mm",
        most="min((width / 2 - 2 mm) / sin(page_angle + wing_angle),"
        f" (height - 14 mm) / {_UP}, (height - 4 mm - glue * cos(page_angle)) / {_DOWN})",
    ),
    Parameter(
        name="point_y",
        meaning="place of the point of the V on the gutter, from the lower edge",
        default_mm="45",
        default_in="1 3/4",
        least="max(12 mm, 2 mm - ridge * cos(page_angle + wing_angle))",
        most="height - 2 mm - max(glue * cos(page_angle), ridge * cos(page_angle + wing_angle))",
    ),
)

# The foot of the ridge on the piece: as far from its left and lower edges as it reaches.
_X = "glue * sin(wing_angle) + foot"
_Y = "foot"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The card and the piece glued into it; there is nothing to count."""
    base = PieceDraft(
        name="base",
        stock="card",
        # Along the gutter, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width="width", height="height"),
        folds=[
            FoldDraft(
                name="gutter",
                sense=Sense.VALLEY,
                points=[("width / 2", "0"), ("width / 2", "height")],
            )
        ],
        panels=[
            PanelDraft(name="left page", at=("width / 4", "height / 2"), cover=True),
            PanelDraft(name="right page", at=("3 * width / 4", "height / 2"), cover=True),
        ],
    )
    point, head = (_X, _Y), (_X, f"{_Y} + ridge")
    popup = PieceDraft(
        name="pop-up",
        stock="pop-up",
        # Along the ridge.
        grain="90",
        outline=PolygonDraft(
            points=[
                point,
                _along(1, "foot", "foot"),
                _along(1, "glue - foot", "foot"),
                _along(1, "glue"),
                head,
                _along(-1, "glue"),
                _along(-1, "glue - foot", "foot"),
                _along(-1, "foot", "foot"),
            ]
        ),
        folds=[
            FoldDraft(name="ridge", sense=Sense.MOUNTAIN, points=[point, head]),
            FoldDraft(name="left crease", sense=Sense.VALLEY, points=[point, _along(-1, "glue")]),
            FoldDraft(name="right crease", sense=Sense.VALLEY, points=[point, _along(1, "glue")]),
        ],
        panels=[
            PanelDraft(name="left wing", at=_inside(-1)),
            PanelDraft(name="right wing", at=_inside(1)),
            PanelDraft(name="left foot", at=_along(-1, "glue / 2", "foot / 2")),
            PanelDraft(name="right foot", at=_along(1, "glue / 2", "foot / 2")),
        ],
    )
    return PatternParts(
        pieces=(base, popup),
        joints=(_glued("left", -1), _glued("right", 1)),
        poses=(
            PoseDraft(
                name="standing",
                hold={"base/gutter": "90 deg"},
                # The reader sits before the lower edge and sees the front of the wings.
                on=["base/left page"],
                view="250 deg",
            ),
        ),
        closed=("width / 2", "height"),
    )


def _along(side: int, along: str, off: str | None = None) -> tuple[str, str]:
    """A place on the piece: so far along the crease of a side, and so far off it on its foot."""
    sign = "+" if side > 0 else "-"
    x, y = f"{_X} {sign} ({along}) * sin(wing_angle)", f"{_Y} + ({along}) * cos(wing_angle)"
    if off is None:
        return x, y
    return f"{x} {sign} ({off}) * cos(wing_angle)", f"{y} - ({off}) * sin(wing_angle)"


def _inside(side: int) -> tuple[str, str]:
    """A place on a wing: the middle of its three corners."""
    sign = "+" if side > 0 else "-"
    return (
        f"{_X} {sign} glue * sin(wing_angle) / 3",
        f"{_Y} + (ridge + glue * cos(wing_angle)) / 3",
    )


def _glued(side: str, sign: int) -> JointDraft:
    """The foot of a side on its page."""
    x = f"width / 2 {'+' if sign > 0 else '-'} glue * sin(page_angle)"
    return JointDraft(
        name=side,
        glue=JointEndDraft(
            panel=f"pop-up/{side} foot", face=Face.BACK, line=[(_X, _Y), _along(sign, "glue")]
        ),
        to=JointEndDraft(
            panel=f"base/{side} page",
            face=Face.FRONT,
            line=[("width / 2", "point_y"), (x, "point_y + glue * cos(page_angle)")],
        ),
    )


pattern = Parametric(
    name="v-fold-pop-up",
    about="A piece of two wings that is glued across the gutter by its feet and stands up as the"
    " card opens.  A degree more on one side than on the other twists it, so mark both glue lines"
    " from one template.",
    closure="Both glue lines start at one point of the gutter, are equally long and make one angle"
    " with it; both wings have one angle at the ridge, not less than that.",
    materials={"card": "card-200", "pop-up": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
