"""This module is the pattern belly-band: a paper band that holds a card and its envelope together.

The strip lies with its inside to the viewer: the back, an edge, the front, an
edge, and the overlap, which is glued on the outside of the back.  Front and back
are as wide as the card and a little ease, the edges as the card is deep.  With one
crease at each edge there are no edges: front and back take half the depth on
either side instead, so that both ways the girth is 2 (width + depth + ease).
All folds are valleys.

The ring closes where front and back are of one width, and the edges too.  Empty
it lies flat, every second fold turned shut and the others flat: then a front and
an edge lie in one plane, width + depth + ease long, whatever the creases.

Folds less than 2 mm apart run into each other (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import (
    FoldDraft,
    JointDraft,
    JointEndDraft,
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

# An ease of 1 to 2 mm in all and an overlap of 15 to 25 mm are common practice, no source.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the card with all that is on it, where the band goes round",
        default_mm="105",
        default_in="4 1/4",
        least="40 mm",
        most="400 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the band, along its creases",
        default_mm="50",
        default_in="2",
        least="10 mm",
        most="300 mm",
    ),
    Parameter(
        name="creases",
        meaning="how many creases at each edge: 2, or 1 for a card up to 1 mm deep",
        kind=Kind.NUMBER,
        default_mm="2",
        default_in="2",
        least="1",
        most="2",
    ),
    Parameter(
        name="depth",
        meaning="depth of the card with all that is on it",
        default_mm="4",
        default_in="1/8",
        least="(creases - 1) * 2 mm",
        most="width / 2",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="ease",
        meaning="how much wider than the card front and back are",
        default_mm="1",
        default_in="1/16",
        least="0.5 mm",
        most="5 mm",
        scale=Scale.FIXED,
    ),
    Parameter(
        name="overlap",
        meaning="how far the end reaches over the back, where it is glued",
        default_mm="20",
        default_in="3/4",
        least="10 mm",
        most="min(width, 60 mm)",
        scale=Scale.FIXED,
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one strip, its inside to the viewer; `counts` has the creases at each edge."""
    deep = counts["creases"] == 2
    walk = ["width + ease", "depth"] * 2 if deep else ["width + depth + ease"] * 2
    ends = [" + ".join(walk[: number + 1]) for number in range(len(walk))]
    names = ["back", "first edge", "front", "second edge"] if deep else ["back", "front"]
    shut = ["0", "180 deg"] * 2 if deep else ["180 deg"] * 2
    girth = ends[-1]
    strip = PieceDraft(
        name="band",
        stock="card",
        # Along the creases, so that the band bends round the card.
        grain="90 deg",
        outline=RectangleDraft(width=f"{girth} + overlap", height="height"),
        folds=[
            FoldDraft(
                name=f"crease {number}",
                sense=Sense.VALLEY,
                points=[(x, "0"), (x, "height")],
                angle=angle,
            )
            for number, (x, angle) in enumerate(zip(ends, shut, strict=True), start=1)
        ],
        panels=[
            *(
                PanelDraft(name=name, at=(f"{end} - ({wide}) / 2", "height / 2"))
                for name, end, wide in zip(names, ends, walk, strict=True)
            ),
            PanelDraft(name="overlap", at=(f"{girth} + overlap / 2", "height / 2")),
        ],
    )
    turned = "90 deg" if deep else "180 deg"
    return PatternParts(
        pieces=(strip,),
        joints=(
            JointDraft(
                name="seam",
                glue=JointEndDraft(
                    panel="band/overlap",
                    face=Face.FRONT,
                    line=[(girth, "0"), (girth, "height")],
                ),
                to=JointEndDraft(
                    panel="band/back", face=Face.BACK, line=[("0", "0"), ("0", "height")]
                ),
            ),
        ),
        poses=(
            PoseDraft(
                name="round a card",
                hold={f"band/crease {number + 1}": turned for number in range(len(walk))},
                on=["band/overlap"],
                view="230 deg",
            ),
        ),
        closed=("width + depth + ease", "height"),
    )


pattern = Parametric(
    name="belly-band",
    about="A band round a card of a given depth, its overlap glued on the back.  Measure the card"
    " with all that is on it; left unglued, the overlap is tucked under the back.",
    closure="Front and back are of one width, and so are the two edges between them.",
    materials={"card": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
