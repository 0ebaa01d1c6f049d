"""This package folds: loops, what is left of them when closed, where the panels then lie."""

from .closing import Closing, Verdict, closing, slack_of
from .loops import Loop, PanelKey, Round, Step, loops_of
from .placing import closed_size, largest_panel, place_closed
from .sides import Sides, excess, sides_of
from .vertices import VertexFolds, vertex_folds

__all__ = [
    "Closing",
    "Loop",
    "PanelKey",
    "Round",
    "Sides",
    "Step",
    "Verdict",
    "VertexFolds",
    "closed_size",
    "closing",
    "excess",
    "largest_panel",
    "loops_of",
    "place_closed",
    "sides_of",
    "slack_of",
    "vertex_folds",
]
