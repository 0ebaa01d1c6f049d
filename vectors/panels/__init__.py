"""This package divides pieces: slits and folds make panels, hinges and joints join them."""

from .curves import told
from .divide import divide
from .joints import assemble, lies_on
from .model import Assembly, Crossing, Division, GluedPanels, Hinge, Knot, KnotKind, Panel

__all__ = [
    "Assembly",
    "Crossing",
    "Division",
    "GluedPanels",
    "Hinge",
    "Knot",
    "KnotKind",
    "Panel",
    "assemble",
    "divide",
    "lies_on",
    "told",
]
