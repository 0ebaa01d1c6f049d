"""This module tells a proof: as the keys of the JSON answers, and as text for a person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ..design import EVERY_OTHER_STOCK
from ..folding import Closing, Verdict
from ..measures import Number, Unit, exact_text
from ..problems import Problem
from ..proving import (
    How,
    MeasureChange,
    MeasureMend,
    Mend,
    Move,
    PieceProof,
    Proof,
    measure_mend_text,
    move_text,
    verdict_sentence,
)
from .dressing import Dressed, dressing_json, dressing_text
from .hand import hand_json
from .poses import gluing_json, poses_json, poses_text
from .stack import stack_json
from .tell import findings_json, number, table

# Keys that are there in every answer, and filled where the option is given.
_OF_OPTIONS = ("rounded", "mended", "scaled", "diagnosis", "picture")


def proof_json(proof: Proof, card: Dressed | None = None) -> dict[str, object]:
    """The keys of `prove --json`; those that only an option fills are null.

    `card` is the same proof with what goes round the card.
    """
    closed = proof.closed
    return {
        "design": proof.resolved.name,
        "variant": proof.resolved.variant,
        "mirrored": proof.resolved.mirrored,
        "material": material(proof),
        "materials": {
            stock: None if profile is None else profile.name
            for stock, profile in proof.profiles.items()
            # What stands for all stocks that have no name is no stock of the design.
            if stock != EVERY_OTHER_STOCK
        },
        "tool": None if proof.tool is None else str(proof.tool),
        "verdict": str(proof.verdict),
        "proven": proof.proven,
        "gap_mm": number(proof.gap_mm),
        "closed": {
            "width_mm": None if closed is None else number(closed.width_mm),
            "height_mm": None if closed is None else number(closed.height_mm),
            "thickness_mm": None if closed is None else number(closed.thickness_mm),
            "mass_g": None if closed is None else number(closed.mass_g),
        },
        "pieces": [_piece_json(piece, proof) for piece in proof.pieces],
        "findings": findings_json(proof.findings),
        "mends": [
            *(_measure_mend_json(mend) for mend in proof.measure_mends),
            *(_mend_json(mend) for mend in proof.mends),
        ],
        "poses": poses_json(proof),
        "gluing": gluing_json(proof),
        "stack": stack_json(proof),
        "tolerances": _tolerances(proof),
        **dressing_json(card),
        **hand_json(card),
        **dict.fromkeys(_OF_OPTIONS),
    }


def refused_json(
    design: str, variant: str | None, findings: Iterable[Problem]
) -> dict[str, object]:
    """The keys of `prove --json` for an edition that cannot be worked out."""
    return {
        "design": design,
        "variant": variant,
        "mirrored": None,
        "material": None,
        "materials": {},
        "tool": None,
        "verdict": str(Verdict.UNPROVEN),
        "proven": False,
        "gap_mm": None,
        "closed": dict.fromkeys(("width_mm", "height_mm", "thickness_mm", "mass_g")),
        "pieces": [],
        "findings": findings_json(findings),
        "mends": [],
        "poses": [],
        "gluing": [],
        "stack": None,
        "tolerances": [],
        **dressing_json(None),
        **hand_json(None),
        **dict.fromkeys(_OF_OPTIONS),
    }


def _tolerances(proof: Proof) -> list[dict[str, object]]:
    if not proof.tolerances:
        return []
    from .made import tolerances_json

    return tolerances_json(proof.tolerances)


def material(proof: Proof) -> str | None:
    """The material or materials of a proof in one text, None without any."""
    return ", ".join(proof.materials) or None


def _piece_json(piece: PieceProof, proof: Proof) -> dict[str, object]:
    division = piece.division
    return {
        "name": piece.name,
        "panels": len(division.panels),
        "hinges": len(division.hinges),
        "folds": len(division.piece.folds),
        "slits": len(division.piece.slits),
        "loops": [
            {
                "around": closing.loop.name,
                "at": [number(closing.loop.at.x), number(closing.loop.at.y)],
                "gap_mm": number(closing.gap_mm),
                "turn_deg": number(closing.turn_deg),
                "verdict": str(closing.verdict),
                "folds": list(_labels(closing)),
                "exact": closing.exact,
                "thickness_gap_mm": number(proof.thickness_gap(piece.name, place)),
            }
            for place, closing in enumerate(piece.closings)
        ],
    }


def _labels(closing: Closing) -> Iterator[str]:
    return (step.label for step in closing.loop.steps)


def _mend_json(mend: Mend) -> dict[str, object]:
    first, *_ = moves = [_move_json(move) for move in mend.moves]
    return {
        "piece": mend.piece,
        "loop": mend.loop,
        **first,
        "gap_after_mm": number(mend.gap_after_mm),
        "moves": moves,
    }


def _measure_mend_json(mend: MeasureMend) -> dict[str, object]:
    first, *others = (change_json(change) for change in mend.changes)
    return {
        "piece": None,
        **first,
        "gap_after_mm": number(mend.gap_after_mm),
        "how": str(mend.how),
        "with": others,
    }


def change_json(change: MeasureChange) -> dict[str, object]:
    """A measure with another value."""
    return {
        "measure": change.measure,
        "from_mm": number(change.from_mm),
        "to_mm": number(change.to_mm),
        "on_ruler": change.on_ruler,
        "steps": number(change.steps),
    }


def _move_json(move: Move) -> dict[str, object]:
    return {
        "line": move.line,
        "from_mm": number(move.from_mm),
        "to_mm": number(move.to_mm),
        "turn_deg": number(move.turn_deg),
        "on_ruler": move.on_ruler,
    }


def proof_text(proof: Proof, card: Dressed | None = None) -> str:
    """The verdict in a sentence, then loops, closed size and mends, and what goes round it."""
    units = Unit(proof.resolved.units)
    parts = [verdict_sentence(proof)]
    parts += [_piece_text(piece, units) for piece in proof.pieces]
    parts.append("\n".join([_closed_text(proof, units), *_round_the_card(card)]))
    lines = [*_measure_mend_lines(proof, units), *_mend_lines(proof.mends, units)]
    if lines:
        parts.append("\n".join(["mends, any one of them:", *lines]))
    parts += poses_text(proof)
    if proof.tolerances:
        from .made import tolerances_text

        parts.append(tolerances_text(proof.tolerances, units))
    return "\n\n".join(parts)


def _round_the_card(card: Dressed | None) -> Iterator[str]:
    return iter(()) if card is None else dressing_text(card)


def _piece_text(piece: PieceProof, units: Unit) -> str:
    division = piece.division
    counts = ", ".join(
        _counted(count, word)
        for count, word in (
            (len(division.panels), "panel"),
            (len(division.hinges), "hinge"),
            (len(division.piece.folds), "fold"),
            (len(division.piece.slits), "slit"),
        )
    )
    head = f"{piece.name}: {counts}"
    if not piece.closings:
        return head
    rows = [
        (
            f"  {closing.loop.name}",
            _place(closing.loop.at.x, closing.loop.at.y, units),
            "none" if closing.gap_mm is None else exact_text(closing.gap_mm, units),
            f"{number(closing.turn_deg)} degrees",
            str(closing.verdict),
            ", ".join(_labels(closing)),
        )
        for closing in piece.closings
    ]
    heads = ("  loop around", "at", "gap", "turn", "verdict", "over the folds")
    return f"{head}\n{table(heads, rows)}"


def _place(x: Number, y: Number, units: Unit) -> str:
    # One unit for both numbers of a place.
    places = [exact_text(value, units).removesuffix(f" {units}") for value in (x, y)]
    return f"({places[0]}, {places[1]}) {units}"


def _closed_text(proof: Proof, units: Unit) -> str:
    closed = proof.closed
    if closed is None:
        return "closed size: not known, because a piece is not divided into panels"
    size = " by ".join(exact_text(side, units) for side in (closed.width_mm, closed.height_mm))
    more = []
    if closed.thickness_mm is not None:
        # A micrometre of paper is nothing to go by.
        more.append(f"{round(closed.thickness_mm, 2):g} mm thick")
    if closed.mass_g is not None:
        more.append(f"{round(closed.mass_g, 1):g} g")
    return ", ".join([f"closed: {size}", *more])


def _measure_mend_lines(proof: Proof, units: Unit) -> Iterator[str]:
    for mend in proof.measure_mends:
        rulers = dict.fromkeys(change.on_ruler for change in mend.changes)
        left = exact_text(mend.gap_after_mm, units)
        searched = ", found by trying" if mend.how is How.SEARCHED else ""
        yield (
            f"  {measure_mend_text(mend, units)} (on the {' and '.join(rulers)} ruler{searched});"
            f" the gap is then {left}"
        )


def _mend_lines(mends: tuple[Mend, ...], units: Unit) -> Iterator[str]:
    for mend in mends:
        moves = " and ".join(f"{move_text(move, units)}{_ruler_text(move)}" for move in mend.moves)
        left = exact_text(mend.gap_after_mm, units)
        yield f"  on {mend.piece}: {moves}; the gap is then {left}"


def _ruler_text(move: Move) -> str:
    if move.turn_deg:
        return ""
    return f" (on the {move.on_ruler} ruler)" if move.on_ruler else " (on no usual ruler)"


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"
