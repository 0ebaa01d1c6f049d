"""This module is the pattern stepped-pop-up: boxes on each other's backs, each one set back.

The sheet lies with its inside to the viewer, wall above and floor below the
gutter.  The first box is cut with two slits across the gutter.  The valley fold
where its top meets the wall is the gutter of the second box: two slits between
the first ones, from a depth below that fold to a rise above it; and so on, each
box narrower than the one it stands on.  A box has three folds, valley, mountain
and valley, a depth and a height apart, so that its top is as long as what it
covers of the top (or floor) below and its front as long as what it covers of the
wall: a parallelogram.  Each closes at every angle of the two panels that it
joins, and the wall, the tops and the floor keep the angle of the gutter, so
one motion opens all of them.

Box k reaches furthest at its mountain fold when the card is shut: the heights
of boxes 1 to k and the depth of box k, from the gutter.  As heights and depths
change by equal steps the first box or the last one reaches furthest.  Both must
stay 2 mm short of the shorter page, so that nothing shows when the card is shut.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from ..design.model import (
    BandDraft,
    FoldDraft,
    PanelDraft,
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from ..measures import Kind
from .gutter_cards import either_side, gutter_card, gutters
from .parametric import Parametric

_PAGE = "min(gutter_y, length - gutter_y)"
_LAST_DEPTH = "(box_depth - (boxes - 1) * set_back)"

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a strip of 10 mm, folds of a band 12 mm apart, a slit that ends 5 mm
# from the fold before it.  The narrowest box is at least 20 mm wide, so that it
# can be gripped.  Each limit leaves room for the least that comes after it.
PARAMETERS = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the gutter",
        default_mm="148",
        default_in="5 1/2",
        least="60 mm",
        most="600 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the sheet, across the gutter",
        default_mm="210",
        default_in="8 1/2",
        least="80 mm",
        most="900 mm",
    ),
    Parameter(
        name="gutter_y",
        meaning="place of the gutter, from the lower edge",
        default_mm="length / 2",
        default_in="length / 2",
        least="40 mm",
        most="length - 40 mm",
    ),
    Parameter(
        name="boxes",
        meaning="how many boxes stand on each other",
        kind=Kind.NUMBER,
        default_mm="3",
        default_in="3",
        least="2",
        # n boxes want 20 n + 20 mm of the width and 12 n + 14 mm of a page.
        most=f"min(5, (width - 20 mm) / (20 mm), ({_PAGE} - 14 mm) / (12 mm))",
    ),
    Parameter(
        name="box_width",
        meaning="width of the first box, from slit to slit",
        default_mm="100",
        default_in="3 3/4",
        least="20 mm * boxes",
        most="width - 20 mm",
    ),
    Parameter(
        name="narrower",
        meaning="how much narrower each further box is, on either side",
        default_mm="16",
        default_in="5/8",
        least="10 mm",
        most="(box_width - 20 mm) / (2 * (boxes - 1))",
    ),
    Parameter(
        name="box_left",
        meaning="from the left edge of the sheet to the first box",
        default_mm="(width - box_width) / 2",
        default_in="(width - box_width) / 2",
        least="10 mm",
        most="width - box_width - 10 mm",
    ),
    Parameter(
        name="box_depth",
        meaning="depth of the first box, from the wall to its front",
        default_mm="45",
        default_in="1 3/4",
        least="12 mm + (boxes - 1) * 5 mm",
        most=f"{_PAGE} - 14 mm",
    ),
    Parameter(
        name="set_back",
        meaning="how much less deep each further box is",
        default_mm="15",
        default_in="1/2",
        least=f"max(5 mm, (box_depth + 2 mm + 12 mm * boxes - {_PAGE}) / (boxes - 1))",
        most="(box_depth - 12 mm) / (boxes - 1)",
    ),
    Parameter(
        name="box_height",
        meaning="height of the first box above the floor",
        default_mm="30",
        default_in="1 1/4",
        least="12 mm",
        most=f"{_PAGE} - 2 mm - max(box_depth, {_LAST_DEPTH} + (boxes - 1) * 12 mm)",
    ),
    Parameter(
        name="rise",
        meaning="height of each further box above the one below it",
        default_mm="24",
        default_in="7/8",
        least="12 mm",
        most=f"({_PAGE} - 2 mm - {_LAST_DEPTH} - box_height) / (boxes - 1)",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; `counts` has the number of boxes."""
    boxes = tuple(_box(index) for index in range(counts["boxes"]))
    first, last = boxes[0], boxes[-1]
    return gutter_card(
        "card",
        slits=[slit for box in boxes for slit in box.slits()],
        bands=[box.edges() for box in boxes],
        folds=[
            *gutters(first.left, first.right),
            *(
                fold
                for box, above in pairwise(boxes)
                for fold in either_side(
                    f"{box.name} back",
                    box.top,
                    ends=(box.left, box.right),
                    freed=(above.left, above.right),
                )
            ),
            FoldDraft(
                name=f"{last.name} back",
                sense=Sense.VALLEY,
                points=[(last.left, last.top), (last.right, last.top)],
            ),
        ],
        across="box_left + box_width / 2",
        reach=(first.bottom, last.top),
        panels=[
            panel
            for box, above in zip(boxes, (*boxes[1:], None), strict=True)
            for panel in box.panels(above)
        ],
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Box:
    """Where a box lies on the sheet: its slits from `bottom` to `top`, its upper front edge."""

    number: int
    left: str
    right: str
    bottom: str
    edge: str
    top: str
    height: str

    @property
    def name(self) -> str:
        """What its folds and slits are called by."""
        return f"box {self.number}"

    def slits(self) -> tuple[SlitDraft, SlitDraft]:
        """The two slits that free it."""
        return (
            SlitDraft(
                name=f"{self.name} left", points=[(self.left, self.bottom), (self.left, self.top)]
            ),
            SlitDraft(
                name=f"{self.name} right",
                points=[(self.right, self.bottom), (self.right, self.top)],
            ),
        )

    def edges(self) -> BandDraft:
        """Its upper front edge and the fold at its foot; that at its back is another's gutter."""
        return BandDraft(
            name=self.name,
            start=(self.left, self.edge),
            end=(self.right, self.edge),
            walk=[self.height],
            first=Sense.MOUNTAIN,
        )

    def panels(self, above: _Box | None) -> tuple[PanelDraft, PanelDraft]:
        """Its top, named in front of the box that stands on it, and its front."""
        end = self.top if above is None else above.bottom
        middle = "box_left + box_width / 2"
        return (
            PanelDraft(name=f"top {self.number}", at=(middle, f"({self.edge} + {end}) / 2")),
            PanelDraft(
                name=f"front {self.number}", at=(middle, f"{self.edge} - {self.height} / 2")
            ),
        )


def _box(index: int) -> _Box:
    """The box that has `index` boxes below it."""
    depth = f"(box_depth - {index} * set_back)"
    foot = f"gutter_y + box_height + {index - 1} * rise" if index else "gutter_y"
    top = f"gutter_y + box_height + {index} * rise"
    return _Box(
        number=index + 1,
        left=f"box_left + {index} * narrower",
        right=f"box_left + box_width - {index} * narrower",
        bottom=f"{foot} - {depth}",
        edge=f"{top} - {depth}",
        top=top,
        height="rise" if index else "box_height",
    )


pattern = Parametric(
    name="stepped-pop-up",
    about="A card in which boxes stand up on each other like the tiers of a cake, each one narrower"
    " and set back.  The heights of all and the depth of the last, and height and depth of the"
    " first, stay 2 mm inside the shorter page, so that nothing shows when it is shut.",
    closure="Every box is a parallelogram on the fold behind it: its top is as deep as what it"
    " covers of the floor or of the top below, its front as high as what it covers of the wall.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
