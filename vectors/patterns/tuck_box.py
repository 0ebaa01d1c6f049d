"""This module is the pattern tuck-box: four walls and a glue flap, lids with tongues, dust flaps.

The sheet lies with its inside to the viewer, from left to right: glue flap, front,
first side, back, second side.  Both lids hang on the back, each with a tongue; each
side carries a dust flap above and below.  All folds are valleys.

The four walls close to a ring where front and back are of one width, and first
side and second side of one depth.  The second side ends `ease` short of the front's
edge and is glued to the flap there, on a line that lies as far off the flap's own
fold: so the ring closes, and no wall bulges.  The lids are shorter than the depth by
the ease, so that each tongue slides in behind the front.

Dust flaps keep `relief` off the corners, more than the ease, so that a tongue finds room
between them and the front.  Towards the lid they run in at 45 degrees,
for a dust flap and a lid that turn in together meet on that line; the two of
one end do not meet in the middle.  The tongues are `relief` narrower than
their lids on either side, so that their shoulders pass between the sides.

Glued it lies flat, the two edges beside the first side and the second side that are
across from each other shut and the other two flat: front and glued side in one
plane, first side and back in the other, width + depth wide; lids and tongues
lie spread, so that it is as high as the walls, two lids and two tongues.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    AnyVertex,
    FoldDraft,
    JointDraft,
    JointEndDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PoseDraft,
    Scale,
    VertexDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Face, Sense
from .parametric import Parametric

# A glue flap of 10 to 15 mm, a tongue of 12 to 18 mm, shoulders relieved by 1 to 2 mm and a
# last side 0.5 mm narrower than the first are common practice, no source.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of front and back, the inside of the box",
        default_mm="60",
        default_in="2 1/2",
        least="30 mm",
        most="300 mm",
    ),
    Parameter(
        name="depth",
        meaning="depth of the box, from front to back",
        default_mm="30",
        default_in="1 1/4",
        least="15 mm",
        most="min(width, 150 mm)",
    ),
    Parameter(
        name="height",
        meaning="height of the walls",
        default_mm="90",
        default_in="3 1/2",
        least="40 mm",
        most="400 mm",
    ),
    Parameter(
        name="ease",
        meaning="how much narrower than the depth the second side and the lids are",
        default_mm="0.5",
        default_in="1/16",
        least="0.25 mm",
        # A dust flap of 8 mm has room between this ease and the least relief beside it.
        most="min(2 mm, (depth - 10 mm) / 3)",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
    Parameter(
        name="relief",
        meaning="how far dust flaps keep off corners, and tongues off the ends of lids",
        default_mm="1.5",
        default_in="1/8",
        # A tongue hangs `ease` behind the front, and a dust flap ends behind the tongue.
        least="max(1 mm, ease + 0.5 mm)",
        most="min(4 mm, (depth - ease - 9 mm) / 2)",
        scale=Scale.FIXED,
        step_mm="0.5 mm",
    ),
    Parameter(
        name="flap",
        meaning="width of the glue flap",
        default_mm="12",
        default_in="1/2",
        least="10 mm",
        most="depth - ease - 2 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="taper",
        meaning="how much each end of the glue flap runs in towards its edge",
        default_mm="3",
        default_in="1/8",
        least="0.5 mm",
        most="height / 4",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="tongue",
        meaning="how far each tongue reaches in behind the front",
        default_mm="15",
        default_in="5/8",
        least="10 mm",
        most="min(depth, height / 2 - 2 mm)",
    ),
    Parameter(
        name="dust",
        meaning="how far each dust flap reaches in from its side",
        # Short of the other one, for no box is deeper than it is wide.
        default_mm="depth * 9 / 20",
        default_in="depth * 9 / 20",
        step_mm="0.5 mm",
        least="6 mm",
        # Behind the tongue, and short of the other dust flap.
        most="min(depth - ease - 2 * relief - 1 mm, width / 2 - 1 mm)",
    ),
)

# A dust flap lies beneath its lid, so it is turned a little farther than square.
_BENEATH = "92 deg"

# From left to right: where the front, the first side, the back and the second side begin.
_FRONT, _FIRST = "flap", "flap + width"
_BACK, _SECOND = "flap + width + depth", "flap + 2 * width + depth"
_END = "flap + 2 * width + 2 * depth - ease"
# How far a lid with its tongue reaches beyond the walls, and the walls' two ends.
_LID = "depth - ease"
_LOW, _HIGH = "tongue + depth - ease", "tongue + depth - ease + height"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer."""
    top, bottom = _lid_end(_HIGH, "+"), _lid_end(_LOW, "-")
    box = PieceDraft(
        name="box",
        stock="card",
        # Up the walls, so that they stay straight between the edges.
        grain="90 deg",
        outline=PathDraft(
            points=[
                *bottom,
                *reversed(top),
                (_FRONT, _HIGH),
                (_FRONT, f"{_HIGH} - relief"),
                ("0", f"{_HIGH} - relief - taper"),
                ("0", f"{_LOW} + relief + taper"),
                (_FRONT, f"{_LOW} + relief"),
                (_FRONT, _LOW),
            ]
        ),
        folds=[
            _across("seam edge", _FRONT, "0", inset="relief"),
            _across("first edge", _FIRST, "180 deg"),
            _across("second edge", _BACK, "0"),
            _across("third edge", _SECOND, "180 deg"),
            *_end_folds("top", _HIGH, "+"),
            *_end_folds("bottom", _LOW, "-"),
        ],
        panels=[
            PanelDraft(name="glue flap", at=("flap / 2", f"{_LOW} + height / 2")),
            PanelDraft(name="front", at=(f"{_FRONT} + width / 2", f"{_LOW} + height / 2")),
            PanelDraft(name="first side", at=(f"{_FIRST} + depth / 2", f"{_LOW} + height / 2")),
            PanelDraft(name="back", at=(f"{_BACK} + width / 2", f"{_LOW} + height / 2")),
            PanelDraft(name="second side", at=(f"{_SECOND} + depth / 2", f"{_LOW} + height / 2")),
            *_end_panels("top", _HIGH, "+"),
            *_end_panels("bottom", _LOW, "-"),
        ],
    )
    low, high = f"{_LOW} + relief + taper", f"{_HIGH} - relief - taper"
    return PatternParts(
        pieces=(box,),
        joints=(
            JointDraft(
                name="seam",
                glue=JointEndDraft(
                    panel="box/glue flap",
                    face=Face.BACK,
                    line=[(f"{_FRONT} - ease", low), (f"{_FRONT} - ease", high)],
                ),
                to=JointEndDraft(
                    panel="box/second side", face=Face.FRONT, line=[(_END, low), (_END, high)]
                ),
            ),
        ),
        poses=(
            PoseDraft(
                name="set up",
                hold={
                    f"box/{fold.name}": _BENEATH if "dust" in str(fold.name) else "90 deg"
                    for fold in box.folds
                },
                on=["box/bottom lid"],
                view="235 deg",
            ),
        ),
        closed=("width + depth", "height + 2 * (depth - ease) + 2 * tongue"),
    )


def _lid_end(y: str, way: str) -> list[AnyVertex]:
    """The outline of one end from the first side to the second, `way` being off the walls."""
    lid, end = f"{y} {way} ({_LID})", f"{y} {way} ({_LID} + tongue)"
    dust = f"{y} {way} dust"
    left, right = f"{_BACK} + ease", f"{_SECOND} - ease"
    places = [
        (_FIRST, y),
        (f"{_FIRST} + relief", y),
        (f"{_FIRST} + relief", dust),
        (f"{_BACK} - relief - dust", dust),
        (f"{_BACK} - relief", y),
        (left, y),
        (left, lid),
        (f"{left} + relief", lid),
    ]
    after = [
        (f"{right} - relief", lid),
        (right, lid),
        (right, y),
        (f"{_SECOND} + relief", y),
        (f"{_SECOND} + relief + dust", dust),
        (f"{_END} - relief", dust),
        (f"{_END} - relief", y),
        (_END, y),
    ]
    return [
        *(VertexDraft(at=at) for at in places),
        VertexDraft(at=(f"{left} + relief", end), round="min(tongue, width / 2) / 2"),
        VertexDraft(at=(f"{right} - relief", end), round="min(tongue, width / 2) / 2"),
        *(VertexDraft(at=at) for at in after),
    ]


def _across(name: str, x: str, angle: str, inset: str = "0") -> FoldDraft:
    """An edge of the walls; `angle` is how far it is turned where the box lies flat."""
    return FoldDraft(
        name=name,
        sense=Sense.VALLEY,
        points=[(x, f"{_LOW} + {inset}"), (x, f"{_HIGH} - {inset}")],
        angle=angle,
    )


def _end_folds(end: str, y: str, way: str) -> list[FoldDraft]:
    """The folds of one end: they are flat until the box is set up."""
    lid = f"{y} {way} ({_LID})"
    left, right = f"{_BACK} + ease", f"{_SECOND} - ease"
    lines = {
        f"{end} lid": (left, right, y),
        f"{end} tongue": (f"{left} + relief", f"{right} - relief", lid),
        f"first {end} dust flap": (f"{_FIRST} + relief", f"{_BACK} - relief", y),
        f"second {end} dust flap": (f"{_SECOND} + relief", f"{_END} - relief", y),
    }
    return [
        FoldDraft(name=name, sense=Sense.VALLEY, points=[(start, at), (stop, at)], angle="0")
        for name, (start, stop, at) in lines.items()
    ]


def _end_panels(end: str, y: str, way: str) -> list[PanelDraft]:
    middle = f"{_BACK} + width / 2"
    return [
        PanelDraft(name=f"{end} lid", at=(middle, f"{y} {way} ({_LID}) / 2")),
        PanelDraft(name=f"{end} tongue", at=(middle, f"{y} {way} ({_LID} + tongue / 2)")),
        PanelDraft(
            name=f"first {end} dust flap", at=(f"{_FIRST} + relief + 0.5 mm", f"{y} {way} dust / 2")
        ),
        PanelDraft(
            name=f"second {end} dust flap", at=(f"{_END} - relief - 0.5 mm", f"{y} {way} dust / 2")
        ),
    ]


pattern = Parametric(
    name="tuck-box",
    about="A box with a lid at either end, each held by a tongue that is tucked in behind the"
    " front.  Turn the dust flaps in first, and each tongue past its fold while it slides in.",
    closure="Front and back are of one width; the second side is as much narrower than the first"
    " as its glue line lies off the fold of the glue flap.",
    materials={"card": "card-200"},
    parameters=PARAMETERS,
    draw=draw,
)
