"""This module words lengths and lines for the findings of the compile passes."""

from __future__ import annotations

from foldwright.profiles.model import Figure, Tool

from ..drawing import Role, Stroke
from ..measures import Unit, exact_text

# So many lines are told; the rest are counted.
_MOST_NAMES = 4


def mm(value: float) -> str:
    """A length with its unit: `0.35 mm`."""
    return exact_text(value, Unit.MM)


def written(figure: Figure) -> str:
    """Where a figure of the profile was written, to follow it: ` (card.toml:24)`, or nothing."""
    prefix = figure.place.prefix()
    return f" ({prefix})" if prefix else ""


def square_mm(area: float) -> str:
    """An area with its unit, to three digits: `36.1 mm²`."""
    return f"{float(f'{area:.3g}'):.10g} mm²"


def in_a_row(names: list[str]) -> str:
    """Lines in a row, of many the first few: `slit "a", slit "b" and the outline`."""
    if len(names) > _MOST_NAMES:
        names = [*names[:_MOST_NAMES], f"{len(names) - _MOST_NAMES} more"]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def named(stroke: Stroke) -> str:
    """What of the piece a stroke was made from: `the outline`, `slit "slit 1"`."""
    return line_name(stroke.role, stroke.source)


def line_name(role: Role, source: str) -> str:
    """The same of a line that is no stroke yet."""
    # A piece has one outline, which the design gives no name.
    return "the outline" if role is Role.OUTLINE else f'{role} "{source}"'


# How a part is held that bridges do not hold.  Hands are no answer where a machine moves.
_HOLDS = {
    Tool.HAND: "hold the part down, or tape it with low-tack tape",
    Tool.KNIFE: "tape the part to the carrier with low-tack tape before the machine runs",
    Tool.LASER: "pin or weigh the part down, clear of the cuts, before the machine runs",
}


def hold_down(tool: Tool) -> str:
    """What to do with a part that comes loose under a tool, as an instruction."""
    return _HOLDS[tool]
