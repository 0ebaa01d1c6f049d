"""This package proves: findings, verdict and mends in one value, for whoever tells them."""

from .judging import (
    bubble_rise,
    change_text,
    half_turns,
    measure_mend_text,
    mend_text,
    mends_for,
    move_text,
)
from .materials import profile_of
from .model import (
    Closed,
    How,
    LoopTolerance,
    MeasureChange,
    MeasureMend,
    Mend,
    Move,
    PieceProof,
    Proof,
)
from .prove import prove, prove_design
from .wording import gloss, verdict_sentence

__all__ = [
    "Closed",
    "How",
    "LoopTolerance",
    "MeasureChange",
    "MeasureMend",
    "Mend",
    "Move",
    "PieceProof",
    "Proof",
    "bubble_rise",
    "change_text",
    "gloss",
    "half_turns",
    "measure_mend_text",
    "mend_text",
    "mends_for",
    "move_text",
    "profile_of",
    "prove",
    "prove_design",
    "verdict_sentence",
]
