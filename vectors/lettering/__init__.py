"""This package letters: a single-stroke alphabet, and texts set in it."""

from .composing import glyph_of
from .glyphs import CAPITAL, Glyph
from .setting import PITCH, Lettering, block_height, set_text

__all__ = [
    "CAPITAL",
    "PITCH",
    "Glyph",
    "Lettering",
    "block_height",
    "glyph_of",
    "set_text",
]
