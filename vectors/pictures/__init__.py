"""This package draws pictures: what a proof found, on the flat piece, as vectors for eyes."""

from .model import Anchor, Area, Hatch, Line, Part, Pen, Picture, Words, moved
from .page import flat_picture
from .svg import MARK, carries_our_mark, svg_of

__all__ = [
    "MARK",
    "Anchor",
    "Area",
    "Hatch",
    "Line",
    "Part",
    "Pen",
    "Picture",
    "Words",
    "carries_our_mark",
    "flat_picture",
    "moved",
    "svg_of",
]
