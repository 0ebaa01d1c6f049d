"""This package holds what materials need: the model of a profile, its loader, the shipped files."""

if __name__ != "foldwright.profiles":
    raise ImportError(
        f"this folder is the package foldwright.profiles, not {__name__!r}: "
        "install it with 'pip install .' and 'import foldwright.profiles'"
    )

from .cautions import cautions_for, needs_of
from .load import load_material
from .model import LAST_CAUTION, Confidence, Figure, Profile, Tool, ToolWay
from .ways import way_for

__all__ = [
    "LAST_CAUTION",
    "Confidence",
    "Figure",
    "Profile",
    "Tool",
    "ToolWay",
    "cautions_for",
    "load_material",
    "needs_of",
    "way_for",
]
