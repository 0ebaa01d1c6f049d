"""This module draws a stair: a band of parallel folds that stands up in treads and risers.

It begins at its top fold, where it leaves the wall, and runs down the sheet: a
tread, a riser, a tread, a riser.  Its folds are valley and mountain in turn, the
first and the last a valley, so a stair of n steps has 2 n + 1 of them.  The sheet
of a card with stairs is the same for all of them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ..design.model import BandDraft, PanelDraft
from ..design.pattern import Parameter
from ..design.pieces import Sense

SHEET = (
    Parameter(
        name="width",
        meaning="width of the sheet, along the folds",
        default_mm="148",
        default_in="5 3/4",
        least="40 mm",
        most="600 mm",
    ),
    Parameter(
        name="length",
        meaning="length of the sheet, across the folds",
        default_mm="210",
        default_in="8 1/4",
        least="80 mm",
        most="900 mm",
    ),
)
"""The measures of the sheet that a card with stairs is made of."""


def stair(
    name: str, *, sides: tuple[str, str], top: str, treads: Sequence[str], risers: Sequence[str]
) -> tuple[BandDraft, tuple[PanelDraft, ...]]:
    """The folds of a stair, called `NAME 1` and so on from the top, and its panels.

    `sides` are the places of its left and right side, `top` that of its first
    fold; a tread and a riser of the same number are one step.  All are written
    as expressions.  The panels are called `tread 1` and `riser 1` and so on from
    the top, as they are where a sheet has but one stair.
    """
    left, right = sides
    walk = [length for step in zip(treads, risers, strict=True) for length in step]
    band = BandDraft(name=name, start=(left, top), end=(right, top), walk=walk, first=Sense.VALLEY)
    middle = f"(({left}) + ({right})) / 2"
    panels = tuple(
        PanelDraft(
            name=f"{('tread', 'riser')[index % 2]} {index // 2 + 1}",
            at=(middle, f"{below(top, walk[:index])} - ({length}) / 2"),
        )
        for index, length in enumerate(walk)
    )
    return band, panels


def below(top: str, lengths: Sequence[str]) -> str:
    """The place so far below another one, equal lengths told once, so that it stays short."""
    counted = Counter(lengths)
    return " - ".join([f"({top})", *(f"{many} * ({length})" for length, many in counted.items())])
