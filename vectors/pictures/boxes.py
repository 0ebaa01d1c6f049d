"""This module reckons what room parts take on a page, words by their widest face."""

from __future__ import annotations

from collections.abc import Iterable

from ..geometry import union_box
from .lettering import width_of
from .model import Anchor, Area, Line, Part, Words

Box = tuple[float, float, float, float]

# Letters reach below their base line by this share of their size, and as far
# above it as they are large.
_BELOW = 0.25


def box_of_parts(parts: Iterable[Part]) -> Box:
    """Left, bottom, right and top of all parts together.  Raises ValueError for none."""
    return union_box(box_of_part(part) for part in parts)


def box_of_part(part: Part) -> Box:
    """Left, bottom, right and top of a part, half the width of its pen included."""
    if isinstance(part, Line):
        left, bottom, right, top = part.path.box()
        half = part.pen.width / 2.0
        return left - half, bottom - half, right + half, top + half
    if isinstance(part, Area):
        return union_box(path.box() for path in part.paths)
    return _box_of_words(part)


def _box_of_words(words: Words) -> Box:
    x, y = words.at.floats()
    width = width_of(words.text, words.size, bold=words.bold)
    start = x - {Anchor.START: 0.0, Anchor.MIDDLE: width / 2.0, Anchor.END: width}[words.anchor]
    return start, y - _BELOW * words.size, start + width, y + words.size
