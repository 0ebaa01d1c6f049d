"""How the panels of a proved card lie when it is closed, for the tests beside this file."""

from __future__ import annotations

from foldwright.folding import PanelKey
from foldwright.proving import Proof
from foldwright.proving.model import ClosedStack
from foldwright.stacking.order import PlyOrder

Box = tuple[float, float, float, float]


def stack_of(found: Proof) -> ClosedStack:
    """The closed card as a stack of plies."""
    assert found.closed_stack is not None
    return found.closed_stack


def key_of(found: Proof, panel: str) -> PanelKey:
    """The panel of that name."""
    (key,) = [
        (piece.division.piece.name, one.index)
        for piece in found.pieces
        for one in piece.division.panels
        if one.name == panel
    ]
    return key


def box_of(found: Proof, panel: str) -> Box:
    """Left, lower, right and upper end of a panel in the closed card, from its lower left one."""
    cover = stack_of(found).cover
    left, bottom, _, _ = cover.outline.bounds
    x0, y0, x1, y1 = cover.footprints[key_of(found, panel)].polygon.bounds
    return tuple(  # type: ignore[return-value]
        round(float(place), 6) for place in (x0 - left, y0 - bottom, x1 - left, y1 - bottom)
    )


def front_up(found: Proof, panel: str) -> bool:
    """Whether the front of a panel looks up in the closed card."""
    return stack_of(found).cover.footprints[key_of(found, panel)].face_up


def lies_above(found: Proof, one: str, other: str) -> bool:
    """Whether one panel lies above another in the closed card, seen from +z."""
    order = stack_of(found).order
    assert isinstance(order, PlyOrder)
    return order.is_above(key_of(found, one), key_of(found, other))
