"""This module is the pattern tag: a label with two cut corners and a hole, and no fold.

The hole lies in the middle, the ligament below the upper edge: the ligament is
the paper that holds the string.  The slanted edges must not come nearer to the
hole than that.  With r the radius of the hole, l the ligament and w the width, the
middle of the hole is (w / 2 + l + r - corner) / sqrt(2) from a slant, which is at least l + r
while corner is at most w / 2 - (sqrt(2) - 1) (l + r).  At that limit the hole has the same
ligament to the top and to both slants.  The hole is as far from the sides and from the
lower end, too, while the ligament is at most half of what the hole leaves of the width, and of
the height.

The finished tag is as large as its sheet.  It has nothing to prove but its outline.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import CircleDraft, OpeningDraft, PanelDraft, PieceDraft, PolygonDraft, Scale
from ..design.pattern import Parameter, PatternParts
from .parametric import Parametric

# Holes of 4 to 6 mm with at least 4 mm of paper round them are common practice, no source.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the tag",
        default_mm="50",
        default_in="2",
        least="25 mm",
        most="200 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the tag, from the end with the hole to the other",
        default_mm="90",
        default_in="3 1/2",
        least="40 mm",
        most="300 mm",
    ),
    Parameter(
        name="hole",
        meaning="diameter of the hole",
        default_mm="5",
        default_in="3/16",
        least="3 mm",
        most="10 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="ligament",
        meaning="paper between the hole and the upper edge",
        default_mm="7",
        default_in="1/4",
        least="4 mm",
        most="(min(width, height) - hole) / 2",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="corner",
        meaning="how far each upper corner is cut off, along both edges",
        default_mm="12",
        default_in="1/2",
        least="3 mm",
        most="min(width / 2 - (sqrt(2) - 1) * (ligament + hole / 2), height - 10 mm)",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its front to the viewer and the hole at the top."""
    tag = PieceDraft(
        name="tag",
        stock="card",
        grain="90",
        outline=PolygonDraft(
            points=[
                ("0", "0"),
                ("width", "0"),
                ("width", "height - corner"),
                ("width - corner", "height"),
                ("corner", "height"),
                ("0", "height - corner"),
            ]
        ),
        openings=[
            OpeningDraft(
                name="hole",
                shape=CircleDraft(
                    at=("width / 2", "height - ligament - hole / 2"), radius="hole / 2"
                ),
            )
        ],
        panels=[PanelDraft(name="tag", at=("width / 2", "(height - ligament - hole) / 2"))],
    )
    return PatternParts(pieces=(tag,), closed=("width", "height"))


pattern = Parametric(
    name="tag",
    about="A label with two cut corners and a hole for a string, and no fold.  At least 4 mm of"
    " paper are left round the hole, or the string tears out.",
    closure="Nothing is folded; the cut corners keep as far from the hole as the upper edge does.",
    materials={"card": "card-300"},
    parameters=PARAMETERS,
    draw=draw,
)
