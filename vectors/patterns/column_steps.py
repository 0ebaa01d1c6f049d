"""This module is the pattern column-steps: stairs side by side, each with its last step higher.

The sheet lies with its inside to the viewer, wall above and floor below the
gutter.  Slits of one length part n columns from each other and from a plain strip on
either side; each strip turns on a valley fold at the gutter, each column on 2 s + 1
parallel folds, valley and mountain in turn.  All columns leave the wall at one height
and meet the floor at one depth.  What tells them apart is their lowest riser: `low` in
the first column and `rise` more in each next one.  The other risers of a column share
evenly what it leaves of the height.

A slit closes in every pose where the treads of the columns on its two sides are
as deep together, and their risers as high together: treads stay parallel to the floor
and risers to the wall.  Column i has the treads s times `tread` and the risers

    (s - 1) (height - low - (i - 1) rise) / (s - 1)  +  low + (i - 1) rise  =  height,

whatever i is, so each column closes against each other one, and against the strips,
whose slits run `height` above the gutter and s treads below it.

Closed, column i lies, counted from the gutter, on `height` + `tread` at its first
mountain fold and on s treads and its lowest riser at its last; those between lie
evenly between.  Both, the second of the last column, stay 2 mm short of the longer
page, or the columns spill over the edge of the closed card, which is as wide as the
sheet and as high as its longer page.  Its nearest valley fold lies on s - 1 treads and
the lowest riser: where `low` is less than a tread, that step shows in the bay at the
spine, beside the edge of the floor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..design.model import (
    SlitDraft,
)
from ..design.pattern import Parameter, PatternParts
from ..measures import Kind
from .gutter_cards import gutter_card, gutters
from .parametric import Parametric
from .stairs import SHEET, stair

# The longer page; the height with the smallest risers that still differ; what height and
# page leave for the lowest riser of the last column.
_PAGE = "max(gutter_y, length - gutter_y)"
_LEAST_HEIGHT = "(steps * 6 mm + (columns - 1) * 3 mm)"
_ROOM = f"min(height - (steps - 1) * 6 mm, {_PAGE} - 2 mm - steps * tread)"

# Columns are told apart by letters, their folds and steps by numbers.
_LETTERS = "ABCDEF"

# The smallest sizes that still fold and hold cleanly are common practice, no
# source: a strip or a column of 10 mm, a tread of 12 mm, a riser of 6 mm, a slit that ends
# 8 mm from the edge; a column that rises by less than 3 mm looks like an error.
PARAMETERS = (
    *SHEET,
    Parameter(
        name="gutter_y",
        meaning="place of the fold of both strips, from the lower edge",
        default_mm="length / 2",
        default_in="length / 2",
        least="32 mm",
        most="length - 32 mm",
    ),
    Parameter(
        name="columns",
        meaning="how many columns stand side by side, all of one width",
        kind=Kind.NUMBER,
        default_mm="3",
        default_in="3",
        least="2",
        most="6",
    ),
    Parameter(
        name="strip",
        meaning="width of the plain strip on either side of the columns",
        default_mm="14",
        default_in="5/8",
        least="10 mm",
        most="(width - columns * 10 mm) / 2",
    ),
    Parameter(
        name="steps",
        meaning="how many steps each column has",
        kind=Kind.NUMBER,
        default_mm="2",
        default_in="2",
        least="2",
        most="4",
    ),
    # The three greatest depths leave room below the gutter, for the smallest lowest
    # risers in the longer page, and for the smallest height there.
    Parameter(
        name="tread",
        meaning="depth of every step",
        default_mm="22",
        default_in="7/8",
        least="12 mm",
        most="min((gutter_y - 8 mm) / steps,"
        f" ({_PAGE} - 8 mm - (columns - 1) * 3 mm) / steps,"
        f" {_PAGE} - 2 mm - {_LEAST_HEIGHT})",
    ),
    Parameter(
        name="height",
        meaning="height of every column, all its risers together",
        default_mm="80",
        default_in="3 1/8",
        least=_LEAST_HEIGHT,
        most=f"min(length - gutter_y - 8 mm, {_PAGE} - 2 mm - tread)",
    ),
    Parameter(
        name="low",
        meaning="height of the lowest step of the first column",
        default_mm="22",
        default_in="7/8",
        least="6 mm",
        most=f"{_ROOM} - (columns - 1) * 3 mm",
    ),
    Parameter(
        name="rise",
        meaning="how much higher the lowest step of each next column is",
        default_mm="18",
        default_in="11/16",
        least="3 mm",
        most=f"({_ROOM} - low) / (columns - 1)",
    ),
)


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece, its inside to the viewer; `counts` has the columns and their steps."""
    columns, steps = counts["columns"], counts["steps"]
    top, bottom = "gutter_y + height", "gutter_y - steps * tread"
    across = "(width - 2 * strip) / columns"
    edges = ["strip", *(f"strip + {i} * {across}" for i in range(1, columns)), "width - strip"]
    stairs = [
        stair(
            f"column {_LETTERS[i]}",
            sides=(edges[i], edges[i + 1]),
            top=top,
            treads=["tread"] * steps,
            risers=_risers(i, steps),
        )
        for i in range(columns)
    ]
    return gutter_card(
        "base",
        slits=[
            SlitDraft(name=f"slit {i}", points=[(x, bottom), (x, top)])
            for i, x in enumerate(edges, start=1)
        ],
        bands=[band for band, _ in stairs],
        folds=gutters("strip", "width - strip"),
        across="width / 2",
        reach=(bottom, top),
        panels=[
            replace(panel, name=f"column {letter} {panel.name}")
            for letter, (_, panels) in zip(_LETTERS, stairs, strict=False)
            for panel in panels
        ],
    )


def _risers(column: int, steps: int) -> list[str]:
    """The risers of a column, from the top; `column` is how many are to the left of it."""
    lowest = f"low + {column} * rise" if column else "low"
    return [f"(height - ({lowest})) / {steps - 1}"] * (steps - 1) + [lowest]


pattern = Parametric(
    name="column-steps",
    about="A card that opens into columns of steps side by side: all are equally high and deep,"
    " and the lowest step of each is higher than its left neighbour's.  Made mirrored it climbs"
    " to the left; a lowest step that is less high than a tread is deep shows at the spine of"
    " the closed card.",
    closure="In every column the treads together are as deep as the slits run below the gutter,"
    " and the risers together as high as they run above it, however a column divides them.",
    materials={"card": "card-200", "print": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
