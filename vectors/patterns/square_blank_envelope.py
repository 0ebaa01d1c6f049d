"""This module is the pattern square-blank-envelope: a square that stands on a corner, folded in.

The pocket lies in the middle with its sides along the axes, and the four corners of the square
are its flaps.  A pocket of w by h needs a square whose side is (w + h) / sqrt 2; what the side
is longer, the corner, leaves paper round each corner of the pocket.  That is cut out in a round
notch, so that no paper lies in two folds at once.  A flap is as wide as its side of the pocket
for corner / sqrt 2 and then narrows at 45 degrees to its tip, so folded in it stays within the
pocket, and the closed envelope is as large as the pocket.

Tips are trimmed: sharp ones dog-ear, and those of a low pocket would stick out beyond its other
side.  The limits let the upper and the lower flap overlap by 10 mm to be glued, and end each
flap 5 mm short of the other side (common practice, no source).  The pocket is at least as wide
as it is high, for only then do those two reach over each other.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    AnyVertex,
    ArcDraft,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PoseDraft,
    Scale,
    vertex,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="card_width",
        meaning="longer side of the card that goes in",
        default_mm="148",
        default_in="5 1/2",
        least="50 mm",
        most="400 mm",
    ),
    Parameter(
        name="card_height",
        meaning="shorter side of the card that goes in",
        default_mm="105",
        default_in="4 1/4",
        least="40 mm",
        most="card_width",
    ),
    Parameter(
        name="clearance",
        meaning="room for the card on each side",
        default_mm="3",
        default_in="1/8",
        least="1 mm",
        most="10 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="width",
        meaning="width of the pocket",
        default_mm="card_width + 2 * clearance",
        default_in="card_width + 2 * clearance",
        least="card_width + 2 mm",
        most="card_width + 20 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the pocket",
        default_mm="card_height + 2 * clearance",
        default_in="card_height + 2 * clearance",
        least="card_height + 2 mm",
        most="min(card_height + 20 mm, width)",
    ),
    # Beyond the usual 12 mm a corner only wastes paper (common practice, no source).
    Parameter(
        name="corner",
        meaning="how much the square exceeds its least",
        default_mm="12",
        default_in="1/2",
        least="max(6 mm, height - width + 10 mm)",
        most="25 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="side_flap",
        meaning="depth of the side flaps",
        default_mm="height / 2 + corner / 2",
        default_in="height / 2 + corner / 2",
        least="corner / sqrt(2) + 5 mm",
        most="min(height / 2 + corner / sqrt(2) - 1 mm, width - 5 mm)",
        step_mm="0.5 mm",
    ),
    Parameter(
        name="flap",
        meaning="depth of upper and lower flap",
        default_mm="min(width / 2 + corner / 2, height - 5 mm)",
        default_in="min(width / 2 + corner / 2, height - 5 mm)",
        least="height / 2 + 5 mm",
        most="min(width / 2 + corner / sqrt(2) - 1 mm, height - 5 mm)",
    ),
    Parameter(
        name="notch",
        meaning="width of the notch at each corner",
        default_mm="3.5",
        default_in="1/8",
        least="2 mm",
        most="corner / 2",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
)

_LEFT, _RIGHT = "side_flap", "side_flap + width"
_BOTTOM, _TOP = "flap", "flap + height"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; the pocket lies along the axes."""
    envelope = PieceDraft(
        name="envelope",
        stock="paper",
        outline=PathDraft(points=_outline()),
        folds=[
            _fold("right", (_RIGHT, f"{_BOTTOM} + notch / 2"), (_RIGHT, f"{_TOP} - notch / 2")),
            _fold("upper", (f"{_RIGHT} - notch / 2", _TOP), (f"{_LEFT} + notch / 2", _TOP)),
            _fold("left", (_LEFT, f"{_TOP} - notch / 2"), (_LEFT, f"{_BOTTOM} + notch / 2")),
            _fold("lower", (f"{_LEFT} + notch / 2", _BOTTOM), (f"{_RIGHT} - notch / 2", _BOTTOM)),
        ],
        panels=[
            PanelDraft(name="pocket", at=(_MIDDLE_X, _MIDDLE_Y), cover=True),
            PanelDraft(name="right flap", at=(f"{_RIGHT} + side_flap / 2", _MIDDLE_Y)),
            PanelDraft(name="upper flap", at=(_MIDDLE_X, f"{_TOP} + flap / 2")),
            PanelDraft(name="left flap", at=("side_flap / 2", _MIDDLE_Y)),
            PanelDraft(name="lower flap", at=(_MIDDLE_X, "flap / 2")),
        ],
    )
    return PatternParts(
        pieces=(envelope,),
        joints=(_glued("right", _RIGHT, "-"), _glued("left", _LEFT, "+")),
        poses=(
            PoseDraft(
                name="flap up",
                hold={
                    "envelope/right": "180 deg",
                    "envelope/left": "180 deg",
                    "envelope/lower": "180 deg",
                    "envelope/upper": "0 deg",
                },
            ),
        ),
        closed=("width", "height"),
    )


def _glued(side: str, x: str, inward: str) -> JointDraft:
    """The lower flap, glued on a side flap along the line from the pocket's corner at 45 degrees.

    There the two overlap by corner / sqrt 2 to either side, up to the nearer of their tips; where
    the side flaps reach over each other, the other one covers it from width - side_flap on.
    `inward` is the sign of the way from the side at x into the pocket.
    """
    outward = {"+": "-", "-": "+"}[inward]
    out = [f"min(side_flap, flap, width - side_flap) * {quarters} / 4" for quarters in (1, 3)]
    return JointDraft(
        name=f"{side} seam",
        glue=JointEndDraft(
            panel="envelope/lower flap",
            face=Face.FRONT,
            line=[(f"{x} {inward} {at}", f"{_BOTTOM} - {at}") for at in out],
        ),
        to=JointEndDraft(
            panel=f"envelope/{side} flap",
            face=Face.BACK,
            line=[(f"{x} {outward} {at}", f"{_BOTTOM} + {at}") for at in out],
        ),
    )


_MIDDLE_X = "side_flap + width / 2"
_MIDDLE_Y = "flap + height / 2"


def _fold(name: str, start: tuple[str, str], end: tuple[str, str]) -> FoldDraft:
    return FoldDraft(name=name, sense=Sense.VALLEY, points=[start, end])


def _outline() -> list[AnyVertex]:
    """Tip, notch, tip, notch and on, anticlockwise from the lower tip."""
    # From the ends of its side of the pocket a flap narrows at 45 degrees; so much shorter than
    # its tip is each half of the edge that trims it.
    near_x, far_x = (
        "side_flap + flap - corner / sqrt(2)",
        f"{_RIGHT} + corner / sqrt(2) - flap",
    )
    near_y, far_y = (
        "flap + side_flap - corner / sqrt(2)",
        f"{_TOP} + corner / sqrt(2) - side_flap",
    )
    right_end, top_end = f"{_RIGHT} + side_flap", f"{_TOP} + flap"
    return [
        vertex((near_x, "0")),
        vertex((far_x, "0")),
        *_notch(_RIGHT, _BOTTOM, "y", "+", "-"),
        vertex((right_end, near_y)),
        vertex((right_end, far_y)),
        *_notch(_RIGHT, _TOP, "x", "+", "+"),
        vertex((far_x, top_end)),
        vertex((near_x, top_end)),
        *_notch(_LEFT, _TOP, "y", "-", "+"),
        vertex(("0", far_y)),
        vertex(("0", near_y)),
        *_notch(_LEFT, _BOTTOM, "x", "-", "-"),
    ]


def _notch(x: str, y: str, first: str, right: str, up: str) -> list[AnyVertex]:
    """Round the corner of the pocket at x, y, which the outline reaches along `first`.

    `right` and `up` are the signs of the way out of the pocket.
    """
    back = {"+": "-", "-": "+"}
    along_x = (f"{x} {right} corner / sqrt(2)", y), (f"{x} {right} notch / 2", y)
    along_y = (x, f"{y} {up} corner / sqrt(2)"), (x, f"{y} {up} notch / 2")
    before, after = (along_x, along_y) if first == "x" else (along_y, along_x)
    through = f"{x} {back[right]} notch / sqrt(8)", f"{y} {back[up]} notch / sqrt(8)"
    return [
        vertex(before[0]),
        vertex(before[1]),
        ArcDraft(arc_to=after[1], through=through),
        vertex(after[0]),
    ]


pattern = Parametric(
    name="square-blank-envelope",
    about="An envelope folded from a square that stands on a corner, its four corners the flaps."
    "  Fold in the sides, glue the lower flap on them, and close it with the upper one.",
    closure="The side of the square is (width + height) / sqrt 2 of the pocket and the corner, and"
    " the upper flap reaches over the lower one by 10 mm or more.",
    materials={"paper": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
