"""This module chooses the page of gauges: half an A4 sheet, or the work area of a machine."""

from __future__ import annotations

from foldwright.profiles.machine import Corner, Machine

from .sheets import A5_MM, MARGIN_MM, Page


def page_for(machine: Machine | None) -> Page:
    """A sheet of A5; with a machine its work area, and a sheet of A5 in the corner of its origin.

    Gauges are read from the face that was worked, so a machine in which the
    front lies down has them as they are, not mirrored.
    """
    if machine is None:
        return Page()
    wide, tall = A5_MM
    pages = (_page(machine, wide, tall), _page(machine, tall, wide))
    return max(pages, key=lambda page: page.room[0] * page.room[1])


def _page(machine: Machine, wide: float, tall: float) -> Page:
    """The work area, its far sides beyond the sheet kept clear as its rim and the sheet's edges."""
    rim, width, height = machine.rim, machine.width, machine.height
    # What of the work area lies beyond a sheet that is smaller.
    beyond_x, beyond_y = max(0.0, width - wide), max(0.0, height - tall)
    at_left = machine.origin in (Corner.LOWER_LEFT, Corner.UPPER_LEFT)
    at_bottom = machine.origin in (Corner.LOWER_LEFT, Corner.LOWER_RIGHT)
    return Page(
        width=width,
        height=height,
        left=_clear(rim.left, 0.0 if at_left else beyond_x),
        right=_clear(rim.right, beyond_x if at_left else 0.0),
        bottom=_clear(rim.bottom, 0.0 if at_bottom else beyond_y),
        top=_clear(rim.top, beyond_y if at_bottom else 0.0),
    )


def _clear(rim: float, beyond: float) -> float:
    """How far to keep from an edge of the work area: by its rim, and by the edge of the sheet."""
    return max(rim, beyond + MARGIN_MM)
