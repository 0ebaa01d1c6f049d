"""This package is the design: what a person wrote, and its pieces worked out exactly.

A design is read from a file, or built in Python from the same drafts:

>>> card = Design(
...     name="Pebble",
...     measures=measures(width=100, height="1.5 * width", gutter="height / 2"),
...     pieces=[
...         PieceDraft(
...             name="card",
...             outline=RectangleDraft(width="width", height="height", round="3 mm"),
...             folds=[FoldDraft(sense="valley", points=[(0, "gutter"), ("width", "gutter")])],
...         )
...     ],
... )
>>> fold = resolve(card, overrides={"width": "4 in"}).pieces[0].folds[0]
>>> fold.name, fold.path.end
('fold 1', Point(x=Fraction(508, 5), y=Fraction(381, 5)))
>>> parse_design(write_design(card)) == card
True
"""

from .checks import MOST_POINTS
from .model import (
    ALL_PANELS,
    FORMAT,
    ArcDraft,
    BandDraft,
    BandSense,
    CircleDraft,
    Design,
    EnvelopeDraft,
    ExtraDraft,
    FoldDraft,
    Form,
    JointDraft,
    JointEndDraft,
    LimitsDraft,
    MarkDraft,
    MatDraft,
    MeasureDraft,
    OpeningDraft,
    PanelDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    PoseDraft,
    RectangleDraft,
    Scale,
    ShapeDraft,
    SlitDraft,
    StockDraft,
    TouchDraft,
    TouchEndDraft,
    VariantDraft,
    VertexDraft,
    measures,
)
from .naming import FoldReference, Unfound, find_fold, find_panel, nearest
from .pattern import Parameter, Pattern, load_pattern
from .pieces import (
    Face,
    Fold,
    Hold,
    How,
    Joint,
    JointEnd,
    Mark,
    Opening,
    PanelName,
    Piece,
    Pose,
    Resolved,
    Sense,
    Slit,
    Stock,
    Touch,
    TouchEnd,
)
from .reader import design_of, parse_design, read_design
from .resolve import EVERY_OTHER_STOCK, resolve
from .writer import write_design
from .written import Spot, Written, expression

__all__ = [
    "ALL_PANELS",
    "EVERY_OTHER_STOCK",
    "FORMAT",
    "MOST_POINTS",
    "ArcDraft",
    "BandDraft",
    "BandSense",
    "CircleDraft",
    "Design",
    "EnvelopeDraft",
    "ExtraDraft",
    "Face",
    "Fold",
    "FoldDraft",
    "FoldReference",
    "Form",
    "Hold",
    "How",
    "Joint",
    "JointDraft",
    "JointEnd",
    "JointEndDraft",
    "LimitsDraft",
    "Mark",
    "MarkDraft",
    "MatDraft",
    "MeasureDraft",
    "Opening",
    "OpeningDraft",
    "PanelDraft",
    "PanelName",
    "Parameter",
    "PathDraft",
    "Pattern",
    "Piece",
    "PieceDraft",
    "PolygonDraft",
    "Pose",
    "PoseDraft",
    "RectangleDraft",
    "Resolved",
    "Scale",
    "Sense",
    "ShapeDraft",
    "Slit",
    "SlitDraft",
    "Spot",
    "Stock",
    "StockDraft",
    "Touch",
    "TouchDraft",
    "TouchEnd",
    "TouchEndDraft",
    "Unfound",
    "VariantDraft",
    "VertexDraft",
    "Written",
    "design_of",
    "expression",
    "find_fold",
    "find_panel",
    "load_pattern",
    "measures",
    "nearest",
    "parse_design",
    "read_design",
    "resolve",
    "write_design",
]
