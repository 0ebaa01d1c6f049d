"""This module chooses the page of gauges: half an A4 sheet, or what a machine can reach of it."""

from __future__ import annotations

from foldwright.profiles.machine import Corner, Machine

from .sheets import A5_MM, MARGIN_MM, Page


def page_for(machine: Machine | None) -> Page:
    """A sheet of A5, laid so that the machine reaches most of it; smaller in a smaller machine."""
    if machine is None:
        return Page()
    wide, tall = A5_MM
    pages = (_page(machine, wide, tall), _page(machine, tall, wide))
    return max(pages, key=lambda page: page.room[0] * page.room[1])


def _page(machine: Machine, wide: float, tall: float) -> Page:
    """The page in the corner of the work area where sheets are laid."""
    width, height, rim = min(wide, machine.width), min(tall, machine.height), machine.rim
    # What is left of the work area on the far sides is none of the sheet's.
    free_x, free_y = machine.width - width, machine.height - height
    left = rim.left if _at_left(machine) else rim.left - free_x
    right = rim.right - free_x if _at_left(machine) else rim.right
    bottom = rim.bottom if _at_bottom(machine) else rim.bottom - free_y
    top = rim.top - free_y if _at_bottom(machine) else rim.top
    return Page(
        width=width,
        height=height,
        left=max(MARGIN_MM, left),
        right=max(MARGIN_MM, right),
        bottom=max(MARGIN_MM, bottom),
        top=max(MARGIN_MM, top),
    )


def _at_left(machine: Machine) -> bool:
    return machine.origin in (Corner.LOWER_LEFT, Corner.UPPER_LEFT)


def _at_bottom(machine: Machine) -> bool:
    return machine.origin in (Corner.LOWER_LEFT, Corner.LOWER_RIGHT)
