"""This module judges the closed card: its plies, how thick it is, what sticks out of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

from foldwright.profiles.model import Profile

from ..design.pieces import Extra, Resolved
from ..folding import PanelKey
from ..folding.motion import Motion
from ..measures import Unit
from ..panels import Assembly
from ..problems import Problem, problem
from ..stacking.cover import NotFlat, cover_of
from ..stacking.glued import glued_on
from ..stacking.mass import Masses
from ..stacking.order import Blocked, PlyOrder, Undecided, ply_order
from ..stacking.reaches import reaches_of
from ..stacking.room import held_open, no_foam, seats_of
from ..stacking.spill import NoCover, covers_of, spill_of
from ..stacking.thickness import thickness_of
from .closed_judging import reach_findings, room_findings, spill_findings, thickness_findings
from .materials import calipers_of
from .model import ClosedStack
from .names import in_a_row, panel_text
from .spill_mends import SpillMend

# Foam of this height is asked for where the design has no extra: thin foam tape (common
# practice, no source).
USUAL_FOAM_MM = 1.0


def closed_stack(
    assembly: Assembly,
    resolved: Resolved,
    placed: Mapping[PanelKey, Motion],
    profiles: Mapping[str, Profile | None],
    masses: Masses,
) -> ClosedStack:
    """The closed card as its panels lie in the closed pose.  Raises NotFlat."""
    cover = cover_of(assembly, placed)
    order = ply_order(assembly, cover)
    calipers = calipers_of(profiles)
    glued = glued_on(assembly, masses.mats, masses.extras, calipers)
    thickness = thickness_of(assembly, cover, calipers, glued)
    known = order if isinstance(order, PlyOrder) else None
    limit = None if resolved.limits is None else resolved.limits.thickness
    most = None if limit is None else float(limit)
    held = held_open(assembly, cover, known, thickness)
    foam = foam_height(resolved.extras)
    return ClosedStack(
        cover=cover,
        order=order,
        thickness=thickness,
        covers=covers_of(assembly),
        spilled=spill_of(cover, order, covers_of(assembly)),
        held=held,
        seats=seats_of(thickness, held, most),
        reaches=tuple(reaches_of(cover, glued)),
        foam_mm=foam,
        looked_for=partial(no_foam, assembly, cover, known, thickness, foam, most),
    )


def foam_height(extras: Sequence[Extra]) -> float:
    """The height that room is looked for: that of the highest extra, or of thin foam."""
    heights = [float(extra.height) for extra in extras if extra.height is not None]
    return max(heights, default=0.0) or USUAL_FOAM_MM


def spilled_mm(stack: ClosedStack) -> float | None:
    """By how much a card spills, None where that is not known."""
    return None if isinstance(stack.spilled, NoCover) else stack.spilled.mm


def stack_findings(
    stack: ClosedStack,
    assembly: Assembly,
    resolved: Resolved,
    mends: Sequence[SpillMend],
    units: Unit,
    *,
    too_large: bool,
) -> Iterator[Problem]:
    """The findings on the closed card."""
    yield from _order_findings(stack, assembly)
    yield from thickness_findings(stack.thickness, resolved.limits, assembly, units)
    yield from spill_findings(
        stack.spilled, stack.cover, stack.covers, mends, assembly, units, too_large=too_large
    )
    yield from room_findings(stack.held, assembly, units)
    yield from reach_findings(stack.reaches, assembly, units)


def _order_findings(stack: ClosedStack, assembly: Assembly) -> Iterator[Problem]:
    order = stack.order
    first = next(iter(assembly.divisions.values())).piece
    if isinstance(order, Blocked):
        names = [panel_text(key, assembly) for key in order.panels]
        yield problem(
            "plies-blocked",
            place=first.place,
            piece=order.panels[0][0],
            panels=in_a_row(names),
            why=order.why,
            x=f"{float(order.at.x):.6g}",
            y=f"{float(order.at.y):.6g}",
        )
    elif isinstance(order, Undecided):
        yield problem("plies-undecided", place=first.place, piece=first.name, guesses=order.guesses)


def not_flat(found: NotFlat, assembly: Assembly) -> Problem:
    """The note that a closed card is no stack of plies."""
    piece = assembly.divisions[found.panel[0]].piece
    return problem(
        "closed-not-flat",
        place=piece.place,
        piece=piece.name,
        measure_mm=found.height_mm,
        panel=panel_text(found.panel, assembly),
        height=f"{found.height_mm:.4g} mm",
    )
