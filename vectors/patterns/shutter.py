"""This module is the pattern shutter: three bands between two leaves, the middle one the other way.

Four parallel folds run across the height of the sheet, from the left: leaf, pleat,
centre, pleat, leaf.  Two slits from the first fold to the last part three bands.  The
lower and the upper band fold mountain, valley, valley, mountain, the middle one at the
same places valley, mountain, mountain, valley: as the leaves come together its
centre steps forward while the others step back.  Each slit ends on the first and on
the last fold, where the sense of the fold changes: one that stops short of them
would have to tear the leaf, one that runs past them would part it.

Both sides of a slit have the same four lengths, so it closes whatever they are:
with every fold turned by one angle a the leaves are in one plane, c + 2 p cos a
apart, and the centres p sin a before and behind it.

Shut, the card is 2 leaves + centre - 2 pleats wide, and nowhere more than three plies.
The pleats lie under the leaves, so the centres stick out where a leaf is narrower than
a pleat.  The leaves end c - 2 p apart.  With less than nothing between them they lie on
each other; plies can still be ordered down to c = p, but not on the straight way: turned
together, the pleats pass through each other before the card is shut.  So a centre is
1 mm wider than two pleats, a leaf 2 mm wider than one.

Half open it can be stood on its lower edges, those of the leaves and of the lower band.
Before the leaves is only the middle band, behind them are the other two, all of one
width: the centre of mass lies over the table's contact where these two are higher
together than the middle one.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    BandDraft,
    MatDraft,
    PanelDraft,
    PieceDraft,
    PoseDraft,
    RectangleDraft,
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from .parametric import Parametric

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a band or a leaf of 12 mm, a pleat of 8 mm.
PARAMETERS = (
    Parameter(
        name="height",
        meaning="height of the sheet, along the folds",
        default_mm="148",
        default_in="5 3/4",
        least="60 mm",
        most="600 mm",
    ),
    Parameter(
        name="pleat",
        meaning="width of each pleat: how far the centres step forward and back",
        default_mm="25",
        default_in="1",
        least="8 mm",
        most="100 mm",
    ),
    Parameter(
        name="leaf",
        meaning="width of each leaf, at the sides of the sheet",
        default_mm="45",
        default_in="1 3/4",
        least="pleat + 2 mm",
        most="200 mm",
    ),
    Parameter(
        name="centre",
        meaning="width of the centre, between the pleats",
        default_mm="70",
        default_in="2 3/4",
        least="2 * pleat + 1 mm",
        most="300 mm",
    ),
    Parameter(
        name="lower",
        meaning="height of the lower band, below the middle one",
        default_mm="55",
        default_in="2 1/8",
        least="12 mm",
        most="height - 36 mm",
    ),
    Parameter(
        name="upper",
        meaning="height of the upper band, above the middle one",
        default_mm="lower",
        default_in="lower",
        least="12 mm",
        most="height - lower - 24 mm",
    ),
)

_WALK = ("pleat", "centre", "pleat")


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its front to the viewer."""
    bands = (
        ("lower", "0", "lower", Sense.MOUNTAIN, Sense.VALLEY),
        ("middle", "lower", "height - upper", Sense.VALLEY, Sense.MOUNTAIN),
        ("upper", "height - upper", "height", Sense.MOUNTAIN, Sense.VALLEY),
    )
    sheet = PieceDraft(
        name="sheet",
        stock="card",
        # Along the folds, where a crease is cleanest.
        grain="90",
        outline=RectangleDraft(width="2 * leaf + 2 * pleat + centre", height="height"),
        slits=[
            SlitDraft(name=name, points=[("leaf", y), ("leaf + 2 * pleat + centre", y)])
            for name, y in (("lower slit", "lower"), ("upper slit", "height - upper"))
        ],
        bands=[
            # Upwards, so that the folds come after one another from the left.
            BandDraft(
                name=name,
                start=("leaf", bottom),
                end=("leaf", top),
                walk=_WALK,
                sense=[outer, inner, inner, outer],
            )
            for name, bottom, top, outer, inner in bands
        ],
        panels=[
            # Seen from either side these are outermost; only the pleats lie inside.
            PanelDraft(name="left leaf", at=("leaf / 2", "height / 2"), cover=True),
            PanelDraft(
                name="right leaf",
                at=("1.5 * leaf + 2 * pleat + centre", "height / 2"),
                cover=True,
            ),
            *(
                PanelDraft(
                    name=f"{name} {part}",
                    at=(x, f"(({bottom}) + ({top})) / 2"),
                    cover=part == "centre",
                )
                for name, bottom, top, _, _ in bands
                for part, x in (
                    ("left pleat", "leaf + pleat / 2"),
                    ("centre", "leaf + pleat + centre / 2"),
                    ("right pleat", "leaf + 1.5 * pleat + centre"),
                )
            ),
        ],
    )
    return PatternParts(
        pieces=(sheet,),
        poses=(
            PoseDraft(
                name="half open",
                hold={"sheet/lower 1": "90 deg"},
                view="300 deg",
            ),
        ),
        mats=(MatDraft(name="all panels", on="sheet", stock="print"),),
        closed=("2 * leaf + centre - 2 * pleat", "height"),
    )


pattern = Parametric(
    name="shutter",
    about="A sheet of three bands between two leaves: as the leaves come together, the middle"
    " band steps forward and the other two step back.  Half open it stands on its lower edges,"
    " as long as these two are higher together than the middle one.",
    closure="All three bands fold at the same places, and the slits end on the outermost of them;"
    " a leaf is wider than a pleat, the centre wider than two.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
