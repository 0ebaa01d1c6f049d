"""This module makes the picture of a proof: its pieces as they lie flat, and each loop in question.

Every loop that does not close has a drawing of its piece to itself, the worst
first; of a piece whose loops all close one is shown.  All drawings of a page are
to one scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ..folding import Closing, Round, Sides, Verdict, excess, vertex_folds
from ..geometry import Path, Point, Vector, Vertex
from ..measures import Unit, exact_text
from ..measures.exact import ROUNDING_DEG
from ..problems import RULES, Severity
from ..proving import (
    Mend,
    PieceProof,
    Proof,
    bubble_rise,
    gloss,
    half_turns,
    measure_mend_text,
    mend_text,
    mends_for,
    verdict_sentence,
)
from . import pens
from .boxes import box_of_parts
from .columns import TextColumn
from .flat import (
    box_of,
    gap_label,
    gap_parts,
    glue_labels,
    glue_lines,
    labels_of,
    lines_of,
    mend_parts,
    placing_of,
    ring_of,
    sector_letters,
    shades_of,
    side_letters,
)
from .framing import framed
from .labels import labelled
from .legend import legend_for
from .model import Line, Part, Picture, moved
from .scales import scale_for, scale_text
from .strip import about_text, bulge_view, short_view
from .sums import SideSum, sector_lines, side_sums, sum_text, told_sides

# The room for a piece, the column of words beside it, and the rim, in mm.
_ROOM = 110.0
_COLUMN = 84.0
_BETWEEN = 8.0
_TITLE, _HEAD = 5.5, 3.8

# More loops than this are too many for one picture; the rest are counted.
_MOST_LOOPS = 6


def flat_picture(proof: Proof) -> Picture:
    """The picture of a proof: every piece, and every loop that does not close."""
    units = Unit(proof.resolved.units)
    scale = _scale(proof)
    blocks = [
        _block(proof, piece, closing, scale, units)
        for piece in proof.pieces
        for closing in _shown(proof, piece)
    ]
    # The words about all drawings stand in one column.
    aside = max((block.width for block in blocks), default=_COLUMN) + _BETWEEN
    inner = aside + _COLUMN
    head = _head(proof, scale, inner)
    parts: list[Part] = list(head.parts)
    y = -head.height - _BETWEEN
    for block in blocks:
        parts.append(_rule(inner, y + _BETWEEN / 2.0))
        parts += moved(block.drawn, Vector(0.0, y))
        parts += moved(block.words, Vector(aside, y))
        y -= block.height + _BETWEEN
    parts.append(_rule(inner, y + _BETWEEN / 2.0))
    legend = legend_for([part for block in blocks for part in block.drawn], inner)
    parts += moved(legend.parts, Vector(0.0, y))
    y -= legend.height
    title = f"{verdict_sentence(proof)} (flat, with its folds)"
    return framed(title, _about(proof), parts, width=inner, foot=y)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Block:
    """A drawing of a piece and the words about it, the upper left corner of each at the origin.

    `width` is that of the drawing, `height` that of the taller of the two.
    """

    drawn: tuple[Part, ...]
    words: tuple[Part, ...]
    width: float
    height: float


def _loops_over(proof: Proof, piece: PieceProof) -> list[Closing]:
    """The loops that run over a piece: its own, then those that come over joints."""
    others = [
        one
        for other in proof.pieces
        if other.name != piece.name
        for one in other.closings
        if any(step.after[0] == piece.name for step in one.loop.steps)
    ]
    return [*piece.closings, *others]


def _shown(proof: Proof, piece: PieceProof) -> Sequence[Closing | None]:
    """The loops over a piece to draw, the worst first; one that closes where all do."""
    over = _loops_over(proof, piece)
    bad = [one for one in over if one.verdict is not Verdict.CLOSES]
    # A turned loop has no gap and is worse than any that has one.
    bad.sort(key=lambda one: one.gap_mm is not None and -one.gap_mm)
    return (bad or over[:1] or (None,))[:_MOST_LOOPS]


def _scale(proof: Proof) -> float:
    sides = [0.0]
    for piece in proof.pieces:
        left, bottom, right, top = piece.division.piece.outline.box()
        sides += [right - left, top - bottom]
    return scale_for(max(sides), _ROOM)


def _head(proof: Proof, scale: float, width: float) -> TextColumn:
    units = "mm" if proof.resolved.units == "mm" else "inches"
    name = proof.resolved.name
    if proof.resolved.variant is not None:
        name = f"{name}, variant {proof.resolved.variant}"
    lines = TextColumn(width)
    if proof.resolved.mirrored:
        name = f"{name}, mirrored"
    lines.add(name, size=_TITLE, bold=True)
    # The design's name is told already, and its hand.
    hand = ", mirrored" if proof.resolved.mirrored else ""
    sentence = verdict_sentence(proof).removeprefix(f"{proof.resolved.name}{hand}: ")
    lines.add(sentence[:1].upper() + sentence[1:], size=_HEAD)
    lines.add(
        f"The flat piece seen from the front, {scale_text(scale)}; lengths in {units}. "
        "The figure beside a fold is its place: how far up or to the right it lies."
    )
    return lines


def _about(proof: Proof) -> str:
    units = Unit(proof.resolved.units)
    said = []
    for piece in proof.pieces:
        for one in piece.closings:
            said.append(f"{piece.name}, loop round {one.loop.name}: {_told(one, units)}.")
    if len(said) > _MOST_LOOPS:
        said = [*said[:_MOST_LOOPS], f"And {len(said) - _MOST_LOOPS} more loops."]
    return " ".join([*said, "A picture to look at, not a file for a cutter."])


def _block(
    proof: Proof, proved: PieceProof, closing: Closing | None, scale: float, units: Unit
) -> _Block:
    """A piece with one of its loops, and the words about it to the right."""
    piece = proved.division.piece
    placing = placing_of(piece, scale)
    back: list[Part] = []
    front: list[Part] = []
    labels = list(labels_of(piece, placing, units))
    sides = None if closing is None else told_sides(closing)
    mend = None if closing is None else _best_mend(proof, closing)
    if closing is not None:
        back += shades_of(proved.division, ring_of(closing, sides, piece.name), placing)
        back += glue_lines(closing, piece.name, placing)
        labels += glue_labels(closing, piece.name, placing)
        folds = vertex_folds(closing.loop)
        if folds is not None:
            front += sector_letters(folds, placing)
        if _has_gap(closing) and _worst_piece(closing) == piece.name:
            front += gap_parts(closing, placing)
            labels.append(gap_label(closing, placing, units))
        if mend is not None and mend.piece == piece.name:
            more, names = mend_parts(proved.division, closing, mend, placing, units)
            front += more
            labels += names
    drawing = [*back, *lines_of(piece, placing), *front]
    rim = box_of(piece, placing)
    drawing += labelled(labels, rim)
    if sides is not None:
        # On top, so that no leader runs through a letter.
        drawing += side_letters(sides, placing)
    left, bottom, right, top = box_of_parts(drawing)
    words = _words(proof, proved, closing, sides, mend, units)
    return _Block(
        drawn=moved(drawing, Vector(-left, -top)),
        words=words.parts,
        width=right - left,
        height=max(top - bottom, words.height),
    )


def _has_gap(closing: Closing) -> bool:
    return closing.verdict in (Verdict.GAPES, Verdict.BUCKLES)


def _worst_piece(closing: Closing) -> str:
    return closing.loop.steps[closing.worst].after[0]


def _best_mend(proof: Proof, closing: Closing) -> Mend | None:
    """The move that the change of a measure makes, if one of the moves is that, else the best."""
    if closing.verdict is Verdict.CLOSES:
        return None
    found = mends_for(closing, proof.mends)
    changed = {
        (change.from_mm, change.to_mm)
        for measure_mend in proof.measure_mends[:1]
        for change in measure_mend.changes
    }
    same = (
        mend
        for mend in found
        if not any(move.turn_deg for move in mend.moves)
        and {(move.from_mm, move.to_mm) for move in mend.moves} == changed
    )
    return next(same, next(iter(found), None))


def _words(
    proof: Proof,
    proved: PieceProof,
    closing: Closing | None,
    sides: Sides | None,
    mend: Mend | None,
    units: Unit,
) -> TextColumn:
    """What is to be said about a piece and one of its loops."""
    lines = TextColumn(_COLUMN)
    lines.add(proved.name, size=_HEAD, bold=True)
    if closing is None:
        _say_without_loop(lines, proof, proved)
        return lines
    foreign = "" if closing.loop.piece == proved.name else f" of {closing.loop.piece}"
    lines.add(f"loop round {closing.loop.name}{foreign}: {_told(closing, units)}", bold=True)
    lines.space()
    if sides is not None:
        _say_sides(lines, closing, sides, units)
    folds = vertex_folds(closing.loop)
    if folds is not None and closing.loop.round is Round.VERTEX:
        lines.add("Every other angle round the place where the folds meet:")
        for text in sector_lines(folds):
            lines.add(text)
        lines.add("Flat folding asks for 180 degrees each.")
        mountains, valleys = (
            _counted(folds.mountains, "mountain"),
            _counted(folds.valleys, "valley"),
        )
        how = "differ by 2, as they must" if folds.maekawa else "must differ by 2, and do not"
        lines.add(f"{mountains} and {valleys} {how}.")
    if _has_gap(closing) and sides is None:
        _say_miss(lines, closing, units)
    if closing.verdict is Verdict.TURNED:
        _say_turned(lines, closing)
    if closing.verdict is not Verdict.CLOSES:
        lines.space()
        for index, text in enumerate(_mend_texts(proof, closing, mend, units)):
            lines.add(("Or: " if index else "Mend: ") + text)
    _say_other_loops(lines, _loops_over(proof, proved))
    return lines


def _told(closing: Closing, units: Unit) -> str:
    """The verdict on a loop, with its gap where it does not close."""
    if closing.verdict is Verdict.CLOSES or not closing.gap_mm:
        return gloss(closing)
    return f"{gloss(closing)} by {exact_text(closing.gap_mm, units)}"


def _mend_texts(proof: Proof, closing: Closing, mend: Mend | None, units: Unit) -> Sequence[str]:
    """What closes a loop: a measure first, then the move of lines that is drawn."""
    if closing.verdict is Verdict.TURNED:
        return (RULES["turned"].mend,)
    found = [measure_mend_text(one, units) for one in proof.measure_mends[:1]]
    if mend is not None or not found:
        found.append(mend_text(closing, () if mend is None else (mend,), units))
    return found


def _say_without_loop(lines: TextColumn, proof: Proof, proved: PieceProof) -> None:
    stops = [
        one for one in proof.findings if one.piece == proved.name and one.severity is Severity.STOP
    ]
    if not stops:
        lines.add("No loop (ring of panels) that could fail to close.")
    for one in stops[:_MOST_LOOPS]:
        lines.add(f"Stop: {one.message}")
    if len(stops) > _MOST_LOOPS:
        lines.add(f"And {len(stops) - _MOST_LOOPS} more.")


def _say_sides(lines: TextColumn, closing: Closing, sides: Sides, units: Unit) -> None:
    longer, shorter = side_sums(sides)
    for letter, side in (("A", longer), ("B", shorter)):
        lines.add(f"Side {letter}, {_span(side)}:")
        lines.add(sum_text(side, units), indent=4.0)
    over = excess(sides)
    if closing.verdict is Verdict.CLOSES or over == 0.0:
        lines.add("Both sides reach equally far: it closes.")
        return
    by = exact_text(round(abs(over), 9), units)
    lines.add(f"A reaches {by} {'farther than' if over > 0.0 else 'less far than'} B lets it.")
    if over > 0.0:
        rise = bubble_rise(sides.strip_mm, over)
        lines.space()
        lines.add(f"Side A would bulge by {about_text(rise, units)}; from the side, to scale:")
        view = bulge_view(sides.strip_mm, rise, _COLUMN, units)
    else:
        lines.space()
        lines.add("Side A from the side, to scale:")
        view = short_view(sides.strip_mm, -over, _COLUMN, units)
    lines.draw(view.parts, view.height)


def _say_miss(lines: TextColumn, closing: Closing, units: Unit) -> None:
    """How a ring fails whose two sides cannot be held against each other as lengths."""
    miss = exact_text(closing.gap_mm or 0.0, units)
    turn = ""
    if closing.turn_deg > ROUNDING_DEG:
        turn = f", turned by {closing.turn_deg:.3g} degrees"
    lines.add(f"Gone once round, the folded ring ends {miss} from where it began{turn}.")


def _say_turned(lines: TextColumn, closing: Closing) -> None:
    count = half_turns(closing)
    many = "1 half turn" if count == 1 else f"{count} half turns"
    odd = ", an odd number" if count % 2 else ""
    lines.add(f"Going once round crosses {many}{odd}: the panels come back face down.")


def _span(side: SideSum) -> str:
    first, last = side.folds[0], side.folds[-1]
    return first if len(side.folds) == 1 else f"{first} to {last}"


def _say_other_loops(lines: TextColumn, over: Sequence[Closing]) -> None:
    bad = sum(one.verdict is not Verdict.CLOSES for one in over)
    good = len(over) - bad
    if bad == 0 and good > 1:
        lines.space()
        lines.add(f"All {good} loops of this piece close; this is the first of them.")
    elif bad > _MOST_LOOPS:
        lines.space()
        lines.add(f"{bad} loops do not close; the {_MOST_LOOPS} worst ones are shown.")


def _counted(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _rule(width: float, y: float) -> Line:
    return Line(path=Path((Vertex(Point(0.0, y)), Vertex(Point(width, y)))), pen=pens.LEADER)
