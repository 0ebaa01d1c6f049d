"""This package proves: findings, verdict and mends in one value, for whoever tells them."""

from .judging import bubble_rise, mend_text, move_text
from .model import Closed, Mend, Move, PieceProof, Proof
from .prove import profile_of, prove, prove_design

__all__ = [
    "Closed",
    "Mend",
    "Move",
    "PieceProof",
    "Proof",
    "bubble_rise",
    "mend_text",
    "move_text",
    "profile_of",
    "prove",
    "prove_design",
]
