"""This package divides pieces: slits and folds make panels, hinges and joints join them.

There are two ways to the same panels.  A piece of few lines goes through `noding`,
`faces` and `few_lines`, which need no library; one of many lines through `columns`,
`net`, `half_edges` and `many_lines`, which work on whole columns of numbers at once.
What is wrong with lines is judged by the same code, `checks`.
"""

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
