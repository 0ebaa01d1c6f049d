"""This module tells of cards that are made: the tool's tolerance, and what a measured card says."""

from __future__ import annotations

from collections.abc import Sequence

from ..measures import Unit, exact_text
from ..proving import LoopTolerance, Proof, move_text
from ..proving.diagnosis import Cause, Diagnosis
from ..proving.diagnosis_wording import full_name
from ..proving.tolerance import told_down
from .tell import number, table


def tolerances_json(tolerances: Sequence[LoopTolerance]) -> list[dict[str, object]]:
    """The key `tolerances` of `prove --json`."""
    return [
        {
            "piece": one.piece,
            "loop": one.loop,
            "tool": str(one.tool),
            "tolerance_mm": number(one.tolerance_mm),
            "gives_mm": number(one.gives_mm),
            "worst_mm": number(one.worst_mm),
            "rss_mm": number(one.rss_mm),
            "matters_most": list(one.matters_most),
            "matters_mm": number(one.matters_mm),
            "largest_mm": number(one.largest_mm),
            "largest_rss_mm": number(one.largest_rss_mm),
        }
        for one in tolerances
    ]


def tolerances_text(tolerances: Sequence[LoopTolerance], units: Unit) -> str:
    """What the tool's errors do, a loop a line."""
    rows = [
        (
            f"  {one.loop} of {one.piece}",
            exact_text(round(one.tolerance_mm, 4), units),
            exact_text(one.rss_mm, units),
            exact_text(one.worst_mm, units),
            exact_text(round(one.gives_mm, 4), units),
            told_down(one.largest_rss_mm, units),
            told_down(one.largest_mm, units),
        )
        for one in tolerances
    ]
    heads = ("  loop around", "tolerance", "19 of 20 within", "at worst", "material gives")
    more = ("lines may err, as a rule", "always")
    return f"made by {tolerances[0].tool}:\n{table((*heads, *more), rows)}"


def diagnosis_json(diagnosis: Diagnosis) -> dict[str, object]:
    """The key `diagnosis` of `prove --json`."""
    return {
        "sentence": diagnosis.sentence,
        "cause": str(diagnosis.cause),
        "design_closes": diagnosis.design_closes,
        "measured_gap_mm": number(diagnosis.measured_gap_mm),
        "gives_mm": number(diagnosis.gives_mm),
        "measured": [
            {
                "piece": one.piece,
                "line": one.fold,
                "designed_mm": number(one.designed_mm),
                "measured_mm": number(one.measured_mm),
                "off_mm": number(one.off_mm),
            }
            for one in diagnosis.measured
        ],
        "suspects": [
            {
                "piece": one.piece,
                "line": one.line,
                "designed_mm": number(one.designed_mm),
                "measured_mm": number(one.measured_mm),
                "off_mm": number(one.off_mm),
                "times_tolerance": number(one.times_tolerance),
                "share": number(one.share),
                "gap_put_back_mm": number(one.gap_put_back_mm),
                "closes_put_back": one.closes_put_back,
            }
            for one in diagnosis.suspects
        ],
        "put_back": list(diagnosis.put_back),
        "mends": [
            {
                "piece": mend.piece,
                "moves": [
                    {
                        "line": move.line,
                        "from_mm": number(move.from_mm),
                        "to_mm": number(move.to_mm),
                        "turn_deg": number(move.turn_deg),
                    }
                    for move in mend.moves
                ],
            }
            for mend in diagnosis.mends
        ],
        "unmeasured": list(diagnosis.unmeasured),
    }


def diagnosis_text(diagnosis: Diagnosis, proof: Proof) -> str:
    """The sentence, then the figures."""
    units = Unit(proof.resolved.units)
    parts = [f"{proof.resolved.name}, as made: {diagnosis.sentence}"]
    if diagnosis.suspects:
        parts.append(_suspects_text(diagnosis, proof, units))
    else:
        rows = [
            (
                f"  {full_name(proof, one.piece, one.fold)}",
                exact_text(one.designed_mm, units),
                exact_text(one.measured_mm, units),
                exact_text(one.off_mm, units),
            )
            for one in diagnosis.measured
        ]
        parts.append(f"measured:\n{table(('  fold', 'design', 'measured', 'off by'), rows)}")
    gives = exact_text(round(diagnosis.gives_mm, 4), units)
    gap = diagnosis.measured_gap_mm
    if diagnosis.cause not in (Cause.ORDER, Cause.VERTEX) and gap is not None:
        told = exact_text(round(gap, 4), units)
        parts.append(f"gap of the card as measured: {told}; the material gives {gives}")
    if diagnosis.mends:
        lines = [
            f"  on {mend.piece}: {' and '.join(move_text(move, units) for move in mend.moves)}"
            for mend in diagnosis.mends
        ]
        parts.append("\n".join(["the card as made closes with any one of these:", *lines]))
    if diagnosis.unmeasured:
        parts.append(f"not measured: {', '.join(diagnosis.unmeasured)}")
    return "\n\n".join(parts)


def _suspects_text(diagnosis: Diagnosis, proof: Proof, units: Unit) -> str:
    rows = []
    for one in diagnosis.suspects:
        row = [
            f"  {full_name(proof, one.piece, one.line)}",
            exact_text(one.designed_mm, units),
            exact_text(one.measured_mm, units),
            exact_text(one.off_mm, units),
            "not known" if one.share is None else f"{100 * one.share:.0f} %",
            "not known"
            if one.gap_put_back_mm is None
            else exact_text(round(one.gap_put_back_mm, 4), units),
        ]
        if one.times_tolerance is not None:
            row.append(f"{one.times_tolerance:.1f}")
        rows.append(row)
    heads = ["  fold", "design", "measured", "off by", "share of the gap", "gap with it put back"]
    if proof.tool is not None and any(one.times_tolerance for one in diagnosis.suspects):
        heads.append(f"times the tolerance of {proof.tool}")
    told = f"suspects, most likely first:\n{table(heads, rows)}"
    if any(one.share is not None and one.share < 0.0 for one in diagnosis.suspects):
        # Shares beyond 100 % and below 0 % look like a mistake until this is said.
        told += (
            "\na share is what a fold adds to the gap; one below 0 % takes from it, so that the "
            "others may add more than 100 %"
        )
    return told
