"""This module is the pattern easel: a folded card whose front bends and stands a picture up.

The base lies with its inside to the viewer: the floor below the hinge, the front
above it.  Half way up the front has a second fold, and on its outer half alone,
outside, a picture is glued with its lower edge at the foot, the edge of the
front.  Shut, that fold is flat and the picture is the face of the card.  Opened,
the front bends there, and the foot stands against a stop on the floor.

Floor, inner half and outer half are then a triangle whose two upper sides are
half a front each, so the picture leans from the table by the angle whose cosine
is half the stop's distance over half the front: cos(lean) = stop / height.  A
picture as high as the front has its upper edge right above the hinge then.

The stop is a strip of the same card, glued on the floor beyond the line on which
the foot stands.  Closed, the card is as wide as the base and as high as half of
it.  A stop nearer than 0.4 of the height lets the picture stand too steep, one
farther than 0.8 too low to be seen (common practice, no source).
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
    TouchDraft,
    TouchEndDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from .parametric import Parametric

# A strip narrower than 9 mm, a little under 3/8 in, cannot be gripped, and a picture
# reaches at least 5 mm beyond the second fold to hide it (common practice, no source).
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the closed card, along the hinge",
        default_mm="105",
        default_in="4 1/4",
        least="40 mm",
        most="300 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the closed card, from the hinge to the foot",
        default_mm="148",
        default_in="5 1/2",
        least="75 mm",
        most="420 mm",
    ),
    Parameter(
        name="stop",
        meaning="from the hinge to the stop that the foot stands against",
        default_mm="105",
        default_in="3 7/8",
        least="0.4 * height",
        most="0.8 * height",
    ),
    Parameter(
        name="strip",
        meaning="depth of the strip that is the stop",
        default_mm="10",
        default_in="3/8",
        least="9 mm",
        most="height - stop - 5 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="picture_width",
        meaning="width of the picture, in the middle of the front",
        default_mm="width",
        default_in="width",
        least="width / 2",
        most="width",
    ),
    Parameter(
        name="picture_height",
        meaning="height of the picture, from the foot up",
        default_mm="height",
        default_in="height",
        least="height / 2 + 5 mm",
        most="height",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """Base, picture and stop, the base's inside to the viewer."""
    middle, foot, line = "1.5 * height", "2 * height", "height - stop"
    side = "(width - picture_width) / 2"
    base = PieceDraft(
        name="base",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="0",
        outline=RectangleDraft(width="width", height=foot),
        folds=[
            FoldDraft(
                name="hinge", sense=Sense.VALLEY, points=[("0", "height"), ("width", "height")]
            ),
            # Flat when the card is shut; a ridge as seen from outside.
            FoldDraft(
                name="middle",
                sense=Sense.VALLEY,
                angle="0",
                points=[("0", middle), ("width", middle)],
            ),
        ],
        panels=[
            PanelDraft(name="floor", at=("width / 2", "height / 2")),
            PanelDraft(name="inner half", at=("width / 2", "1.25 * height")),
            PanelDraft(name="outer half", at=("width / 2", "1.75 * height")),
        ],
    )
    picture = PieceDraft(
        name="picture",
        stock="card",
        # Upright, so that it does not sag.
        grain="90 deg",
        outline=RectangleDraft(width="picture_width", height="picture_height"),
        panels=[PanelDraft(name="face", at=("picture_width / 2", "picture_height / 2"))],
    )
    stop = PieceDraft(
        name="stop strip",
        stock="card",
        grain="0",
        outline=RectangleDraft(width="width - 10 mm", height="strip"),
        panels=[PanelDraft(name="strip", at=("width / 2 - 5 mm", "strip / 2"))],
    )
    return PatternParts(
        pieces=(base, picture, stop),
        joints=(
            JointDraft(
                name="picture",
                glue=JointEndDraft(
                    panel="picture/face", face=Face.BACK, line=[("0", "0"), ("picture_width", "0")]
                ),
                to=JointEndDraft(
                    panel="base/outer half",
                    face=Face.BACK,
                    line=[(side, foot), (f"width - {side}", foot)],
                ),
            ),
            JointDraft(
                name="stop strip",
                glue=JointEndDraft(
                    panel="stop strip/strip",
                    face=Face.BACK,
                    line=[("0", "strip"), ("width - 10 mm", "strip")],
                ),
                to=JointEndDraft(
                    panel="base/floor",
                    face=Face.FRONT,
                    line=[("5 mm", line), ("width - 5 mm", line)],
                ),
            ),
        ),
        poses=(
            PoseDraft(
                name="standing",
                # Nothing is held: the stop says how it stands.
                on=["base/floor"],
                view="300 deg",
                touches=[
                    TouchDraft(
                        name="foot on stop",
                        panel="base/outer half",
                        line=[("0", foot), ("width", foot)],
                        to=TouchEndDraft(panel="base/floor", line=[("0", line), ("width", line)]),
                    )
                ],
            ),
        ),
        mats=(MatDraft(name="picture", on="picture", stock="print", up="90 deg"),),
        closed=("width", "height"),
    )


pattern = Parametric(
    name="easel",
    about="A folded card whose front bends half way up and stands its picture against a stop on the"
    " floor.  Glue the picture on the outer half only, and lay foam or more strips on the stop"
    " until the foot cannot slip over it.",
    closure="Nothing has to meet when it is shut; standing, the inner and the outer half of the"
    " front are alike, so the cosine of the lean is the distance of the stop over the height.",
    materials={"card": "card-300", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
