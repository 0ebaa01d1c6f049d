"""This module works out what a design keeps but no proof judges, so that slips are told at once."""

from __future__ import annotations

from .model import Design
from .piecework import PieceWork


def work_out_kept(design: Design, work: PieceWork) -> None:
    """Work out the envelope; what is wrong goes to the collector of `work`."""
    if design.envelope is not None and design.envelope.clearance_each_side is not None:
        work.positive(
            design.envelope.clearance_each_side, "the clearance of the envelope", or_zero=True
        )
