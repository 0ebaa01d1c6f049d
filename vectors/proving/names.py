"""This module says how findings call panels, and how they list many names."""

from __future__ import annotations

from collections.abc import Sequence

from ..folding import PanelKey
from ..panels import Assembly

# So many names are told; the rest are counted.
MOST_NAMES = 6


def panel_text(key: PanelKey, assembly: Assembly) -> str:
    """A panel by its piece and name, `"base/front floor"`."""
    return f'"{assembly.panel_called(key)}"'


def in_a_row(names: Sequence[str]) -> str:
    """Names in a row, the last joined by `and`."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def listed(names: Sequence[str]) -> str:
    """Names in a row; of many the first few, and the rest counted."""
    more = len(names) - MOST_NAMES
    return in_a_row([*names[:MOST_NAMES], f"{more} more"] if more > 0 else names)
