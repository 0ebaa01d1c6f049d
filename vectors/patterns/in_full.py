"""This module writes the design file that has all of a pattern in it, to go on with by hand."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from ..design.editions import edition_of
from ..design.laid_out import laid_out
from ..design.model import Design
from ..design.pattern import Pattern
from ..design.reader import parse_design
from ..design.resolve import counts_of
from ..design.writing_out import written_out
from ..measures import Unit
from .starter import starter

_NO_VALUES: Mapping[str, str] = MappingProxyType({})


def in_full(
    pattern: Pattern,
    name: str,
    units: Unit,
    values: Mapping[str, str] = _NO_VALUES,
    *,
    mirrored: bool = False,
    mats: bool = False,
) -> str:
    """The text of a design file, called `name`, with the pieces, joints and poses of `pattern`.

    It proves the same as the one of `starter`, whose arguments it takes, and needs
    the pattern no longer: its lengths can be changed one at a time, within the
    same limits, but how many parts it has is written out.

    Raises DesignError where the pattern does not take `values`.
    """
    text = starter(pattern, name, units, values, mirrored=mirrored, mats=mats)
    design = parse_design(text, f"pattern {pattern.name}")
    full = written_out(design)
    head = (pattern.about, pattern.closure, " ".join(_origin(pattern, design, full)))
    return laid_out(full, head)


def _origin(pattern: Pattern, design: Design, full: Design) -> Iterator[str]:
    """Where the design comes from, and which measures it has no more."""
    counts = counts_of(pattern, edition_of(design, pattern, None, {}))
    numbers = ", ".join(f"{name} = {count}" for name, count in counts.items())
    yield f'Written out of the pattern "{pattern.name}"' + (f" with {numbers}." if counts else ".")
    idle = [
        f'"{one.name}"'
        for one in pattern.parameters
        if one.name not in full.measures and one.name not in counts
    ]
    if idle:
        yield f"With that, nothing is left to set by {', '.join(idle)}."
