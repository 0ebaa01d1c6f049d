"""This module says in a sentence what became of a proof, its less common words glossed."""

from __future__ import annotations

from ..folding import Closing, Verdict
from ..measures import Unit, exact_text
from ..problems import Severity
from .model import Proof

# The less common words of the verdicts, glossed.
GLOSSES = {
    Verdict.CLOSES: "closes",
    Verdict.GAPES: "gapes (too short)",
    Verdict.BUCKLES: "buckles (too long)",
    Verdict.TURNED: "turned (a fold is missing, or there is one too many)",
    Verdict.UNPROVEN: "unproven (its lines cannot be judged; see the findings)",
}


def gloss(closing: Closing) -> str:
    """The verdict on a loop, glossed: without two sides to compare none is too short."""
    if closing.verdict is Verdict.GAPES and closing.sides is None:
        return "gapes (its panels do not meet)"
    return GLOSSES[closing.verdict]


def verdict_sentence(proof: Proof) -> str:
    """What became of the proof, in one line."""
    units = Unit(proof.resolved.units)
    closings = [closing for piece in proof.pieces for closing in piece.closings]
    # A mirrored edition looks like the other one until it is cut: it is told first.
    hand = ", mirrored" if proof.resolved.mirrored else ""
    said = f"{proof.resolved.name}{hand}: "
    if proof.verdict is Verdict.UNPROVEN:
        return said + GLOSSES[proof.verdict]
    if proof.verdict is Verdict.CLOSES:
        said += GLOSSES[proof.verdict]
        if not closings:
            return f"{said}: it has no loop (ring of panels) that could fail to{_but(proof)}"
        one = "its one loop (ring of panels)" if len(closings) == 1 else "every loop"
        how = "exactly" if all(closing.exact for closing in closings) else "within 0.001 mm"
        return f"{said}: {one} closes {how}{_but(proof)}"
    worst = max(
        (closing for closing in closings if closing.verdict is proof.verdict),
        key=lambda closing: closing.gap_mm or 0.0,
    )
    by = "" if worst.gap_mm is None else f" by {exact_text(worst.gap_mm, units)}"
    return f"{said}{gloss(worst)}{by} at {worst.loop.name} of {worst.loop.piece}"


def _but(proof: Proof) -> str:
    """What to add to a good verdict where another finding is a stop all the same."""
    stops = sum(finding.severity is Severity.STOP for finding in proof.findings)
    if not stops:
        return ""
    return f"; but it does not prove: {stops} {'stop' if stops == 1 else 'stops'}, see the findings"
