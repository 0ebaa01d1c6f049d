"""This module is the pattern map-fold: a sheet of slanting cells that opens and shuts by one pull.

Straight folds part the sheet into columns, zigzag folds into rows: they rise by
`rise` over one column and fall by it over the next.  Every cell inside is a
parallelogram of width a = width / columns and height b = (height + rise) / rows;
the cells of the first and of the last row are cut straight by the edge of the sheet,
their longer side as high as the others.

At each vertex the zigzag makes angles of 90 - d with the straight fold on one side
of it and 90 + d on the other, where tan d = rise / a.  Opposite ones add up to 180
degrees, so it folds flat; the zigzag keeps its sense, the straight fold changes it
at every row, mountains in the one row where they are valleys in the next.  All
vertices are alike, so they agree with each other at any opening.

Closed, all columns lie on the first one, and its rows to and fro between two lines
that slant by d: a stack b cos d wide and a cos d + height sin d long, as measured
along the slant.  The closed size is the box round it along the edges of a cell, and
so of the sheet, whose largest cell nearest to its lower left corner stays where it
is: that is one of the second row.

A rise of less than 3 mm does not keep the map shut, one of more than a third of a
column makes the stack long; a cell is nowhere lower or narrower than 10 mm (common
practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping

from ..design.model import FoldDraft, PanelDraft, PieceDraft, PoseDraft, RectangleDraft
from ..design.pattern import Parameter, PatternParts
from ..design.pieces import Sense
from ..measures import Kind
from .parametric import Parametric

PARAMETERS = (
    Parameter(
        name="columns",
        meaning="how many columns of cells",
        kind=Kind.NUMBER,
        default_mm="5",
        default_in="5",
        least="2",
        most="9",
    ),
    Parameter(
        name="rows",
        meaning="how many rows of cells",
        kind=Kind.NUMBER,
        default_mm="4",
        default_in="4",
        least="3",
        most="8",
    ),
    Parameter(
        name="width",
        meaning="width of the flat sheet, across the columns",
        default_mm="210",
        # Columns of 1 5/8 in.
        default_in="8 1/8",
        least="10 mm * columns",
        most="900 mm",
    ),
    Parameter(
        name="height",
        meaning="height of the flat sheet, along the columns",
        default_mm="148",
        default_in="5 1/2",
        least="13 mm * rows",
        most="900 mm",
    ),
    Parameter(
        name="rise",
        meaning="how far a zigzag rises over one column",
        default_mm="6",
        default_in="1/4",
        least="3 mm",
        most="min(width / columns / 3, (height - 10 mm * rows) / (rows - 1))",
    ),
)

_CELL_WIDTH = "width / columns"
_CELL_HEIGHT = "(height + rise) / rows"

# Of the slant d: its tangent, sin(d) cos(d) and sin(d) squared.
_TAN = "(rise * columns / width)"
_SIN_COS = f"{_TAN} / (1 + {_TAN} * {_TAN})"
_SIN_SIN = f"{_TAN} * {_TAN} / (1 + {_TAN} * {_TAN})"


def draw(counts: Mapping[str, int]) -> PatternParts:
    """The one piece; `counts` has the numbers of columns and of rows."""
    columns, rows = counts["columns"], counts["rows"]
    folds = [
        FoldDraft(
            name=f"zigzag {j}",
            sense=Sense.VALLEY if j % 2 == 0 else Sense.MOUNTAIN,
            points=[_at(i, j, rows) for i in range(columns + 1)],
        )
        for j in range(1, rows)
    ]
    folds += [
        FoldDraft(
            name=f"upright {i}",
            sense=[Sense.VALLEY if (j + i) % 2 else Sense.MOUNTAIN for j in range(rows)],
            points=[_at(i, j, rows) for j in range(rows + 1)],
        )
        for i in range(1, columns)
    ]
    sheet = PieceDraft(
        name="map",
        stock="paper",
        outline=RectangleDraft(width="width", height="height"),
        folds=folds,
        panels=[
            PanelDraft(
                name=f"cell {i + 1}-{j + 1}",
                at=(f"({i} + 1 / 2) * {_CELL_WIDTH}", f"({j} + 1 / 2) * {_CELL_HEIGHT} - rise / 2"),
                # Closed, each other cell lies on that of the first column in its row.
                cover=i == 0,
            )
            for j in range(rows)
            for i in range(columns)
        ],
    )
    corners = {(i, j) for i in (1, columns) for j in (1, rows)}
    return PatternParts(
        pieces=(sheet,),
        poses=(
            PoseDraft(
                name="half open",
                hold={"map/upright 1": "90 deg"},
                on=[f"map/cell {i}-{j}" for i, j in sorted(corners)],
                view="240 deg",
            ),
        ),
        closed=_closed(rows),
    )


def _closed(rows: int) -> tuple[str, str]:
    """Width and height of the closed stack, beside its cell of the second row.

    Counted from that row on, each other one is shifted by 2 b sin(d) cos(d) along the sheet's
    width and by 2 b sin(d) ** 2 along its height; the rows between lie mirrored in the line
    between two.  What reaches farthest to the left is the corner of the first row that the edge
    of the sheet cuts back by the rise, to the right a corner of the last one.
    """
    if rows % 2:
        return (
            f"width / columns + (height + {_CELL_HEIGHT} - 3 * rise) * {_SIN_COS}",
            f"{_CELL_HEIGHT} * (1 + (rows - 3) * {_SIN_SIN}) + rise",
        )
    # The last row is cut back by the edge of the sheet, the one two before it is not.
    last, before = f"(rows - 2) * {_CELL_HEIGHT}", f"(rows - 4) * {_CELL_HEIGHT}"
    return (
        f"width / columns + (height - rise) * {_SIN_COS}",
        f"{_CELL_HEIGHT} + max({last} * {_SIN_SIN}, {before} * {_SIN_SIN} + rise)",
    )


def _at(column: int, row: int, rows: int) -> tuple[str, str]:
    """The vertex at a line between columns and one between rows, or where they leave the sheet."""
    x = f"{column} * {_CELL_WIDTH}"
    if row == 0:
        return x, "0"
    if row == rows:
        return x, "height"
    y = f"{row} * {_CELL_HEIGHT}"
    return x, y if column % 2 else f"{y} - rise"


pattern = Parametric(
    name="map-fold",
    about="A sheet of slanting cells that opens and shuts by a pull at two opposite corners."
    "  It shuts to a slanting stack, and no fold of it moves without the others: fold all zigzags"
    " and uprights both ways first, then shut them together.",
    closure="The zigzags rise and fall by the same length over columns of one width, so that"
    " opposite angles round each vertex add up to 180 degrees, and every vertex is like its"
    " neighbours.",
    materials={"paper": "text-120"},
    parameters=PARAMETERS,
    draw=draw,
)
