"""This module is the table of pens: what each line of a picture stands for and how it looks.

The sense of a fold is its line, as in the usual folding notation: valley dashed,
mountain dash-dot-dot.  Every colour has a contrast of 3 to 1 or more on white
(WCAG 2.2, criterion 1.4.11, graphical objects), and no two pens differ in colour
alone.
"""

from __future__ import annotations

from dataclasses import replace

from .model import Pen

_BLACK, _PURPLE, _GREY, _LIGHT = "#000000", "#CC79A7", "#767676", "#949494"
_VERMILLION, _BLUE, _GREEN = "#D55E00", "#0072B2", "#009E73"

INK = _BLACK
"""The colour of words and of solid arrow heads."""

PAPER = "#FFFFFF"
"""The colour of the page."""

OUTLINE = Pen(name="edge", colour=_BLACK, width=0.5)
SLIT = Pen(name="slit", colour=_BLACK, width=0.3)
TEAR = Pen(name="perforated slit", colour=_BLACK, width=0.3, dashes=(0.8, 0.8))
VALLEY = Pen(name="valley fold", colour=_PURPLE, width=0.45, dashes=(3.0, 1.5))
MOUNTAIN = Pen(
    name="mountain fold",
    colour=_PURPLE,
    width=0.45,
    dashes=(5.0, 1.2, 0.8, 1.2, 0.8, 1.2),
)
SCORED = Pen(name="scored, not folded", colour=_PURPLE, width=0.25)
MARK = Pen(name="mark", colour=_GREY, width=0.2, dashes=(0.4, 0.8))
# Short strokes across the line, so that a fold on the same line is still seen.
GLUE = Pen(name="glue line of a joint", colour=_GREEN, width=2.2, dashes=(0.35, 1.05))
GAP = Pen(name="where the gap is", colour=_VERMILLION, width=0.5)
NEW = Pen(name="new place of a fold", colour=_BLUE, width=0.6, dashes=(1.5, 0.9))
ARROW = Pen(name="arrow of a mend", colour=_BLUE, width=0.5)
LEADER = Pen(name="leader", colour=_GREY, width=0.15)
LEVEL = Pen(name="level", colour=_GREY, width=0.2, dashes=(1.0, 0.8))
STRIP = Pen(name="strip from the side", colour=_BLACK, width=0.5)
FRAME = Pen(name="frame", colour=_GREY, width=0.2)

# In space all is black and grey.  Lines that bound paper are heavier than folds;
# round ends close the corners where lines of different panels meet.
PAPER_EDGE = Pen(name="edge of the paper", colour=_BLACK, width=0.5, rounded=True)
# A turned fold is an edge of the body: a thin line that goes through, its sense on
# top of it.
CREASE = Pen(name="crease", colour=_LIGHT, width=0.3, rounded=True)
VALLEY_IN_SPACE = replace(VALLEY, colour=_BLACK, width=0.4)
MOUNTAIN_IN_SPACE = replace(MOUNTAIN, colour=_BLACK, width=0.4)
SCORED_IN_SPACE = replace(SCORED, colour=_GREY, width=0.25)
BACK = Pen(name="back of the paper", colour=_GREY, width=0.12)
TABLE = Pen(name="table", colour=_GREY, width=0.15)
CLASH = Pen(name="panels pass through each other", colour=_BLACK, width=1.1, rounded=True)
RING_OF_CLASH = Pen(name="ring of a clash", colour=_BLACK, width=0.4)
RINGED_GAP = Pen(name="ring of a gap", colour=_BLACK, width=0.4)
APART = Pen(name="paper that does not meet", colour=_BLACK, width=0.8, dashes=(0.8, 0.8))

# The closed card lies flat: hatchings are told apart by their slant, weight and dashes.
GLUED_ON = Pen(name="mat or extra glued on", colour=_BLACK, width=0.25)
PRINT = Pen(name="the way the print runs", colour=_GREY, width=0.12)
UP = Pen(name="up in the print", colour=_BLACK, width=0.5)
PLIES = Pen(name="plies", colour=_GREY, width=0.15)
REGION = Pen(name="rim of a region", colour=_BLACK, width=0.3, rounded=True)
SPILL = Pen(name="sticks out", colour=_BLACK, width=0.35)
BESIDE = Pen(name="shows beside the cover", colour=_BLACK, width=0.12)
PASSED = Pen(name="edge that it passes", colour=_BLACK, width=0.7, dashes=(1.6, 1.0))
NO_FOAM = Pen(name="no foam", colour=_BLACK, width=0.2)
GROWS = Pen(name="foam makes it thicker", colour=_GREY, width=0.15, dashes=(0.6, 1.2))
THROUGH = Pen(name="edges of all panels", colour=_GREY, width=0.2, rounded=True)
DIMENSION = Pen(name="dimension", colour=_BLACK, width=0.18)
