"""This module finds what to move so that a piece closes: one line, else two.

Every mend is proved on the whole piece before it is told: the piece is divided
and folded anew with the lines where they would be, the joints to other pieces
included.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import islice

from ..design.pieces import Piece
from ..folding import Closing, Loop, Verdict, closing, loops_of
from ..geometry import Point
from ..measures import Unit, on_ruler
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..panels import Assembly, Division, assemble, divide
from ..problems import Problem, Severity
from .candidate_lines import Try, line_pairs, single_lines
from .model import Mend, Move
from .panel_order import panel_order
from .relaying import signed_distance, upward_normal

# No more lines than this are tried, nor more pairs: a design that is wrong all
# over is not mended line by line.  Each try folds the whole piece, so a large
# one gets fewer: this many hinges in all, and never fewer tries than the least.
_MOST_TRIED, _LEAST_TRIED = 200, 12
_MOST_FOLDED = 4000


def mends(
    assembly: Assembly, name: str, closings: Sequence[Closing], units: Unit
) -> tuple[Mend, ...]:
    """The mends of a piece whose loops do not all close, best first.

    `closings` are those of the whole design; the loops judged are those that the
    piece takes part in, over joints too.  One-line mends that close them all;
    without any, the least two-line mend; without that, for each loop the lines
    that close it and worsen no other, with the gap that is left elsewhere.
    `units` tells which rulers a user would rather measure with.
    """
    division = assembly.divisions[name]
    own = [one for one in closings if _takes_part(name, one.loop)]
    open_loops = [one for one in own if one.verdict not in (Verdict.CLOSES, Verdict.TURNED)]
    if not open_loops or any(one.verdict is Verdict.TURNED for one in own):
        return ()
    before = {_key(one.loop): one.gap_mm or 0.0 for one in own}
    found: list[Mend] = []
    partial: list[Mend] = []
    most = min(_MOST_TRIED, max(_LEAST_TRIED, _MOST_FOLDED // len(division.hinges)))
    each = max(1, most // len(open_loops))
    for one in open_loops:
        for attempt in islice(single_lines(division, one), max(each, _LEAST_TRIED)):
            mend = _proved(assembly, division, one.loop, (attempt,), before, units)
            if mend is not None:
                (found if mend.gap_after_mm <= MEETS_MM else partial).append(mend)
    if found:
        return _ranked(found)
    for pair in islice(line_pairs(division, own), most):
        mend = _proved(assembly, division, open_loops[0].loop, pair, before, units)
        if mend is not None and mend.gap_after_mm <= MEETS_MM:
            return (mend,)
    return _ranked(partial)


def _takes_part(name: str, loop: Loop) -> bool:
    return any(step.hinge is not None and step.before[0] == name for step in loop.steps)


def _key(loop: Loop) -> tuple[str, str]:
    return loop.piece, loop.name


def _ranked(found: Sequence[Mend]) -> tuple[Mend, ...]:
    """Those on a ruler first, those that leave other lines alone, the smaller moves; each once."""
    unique: dict[object, Mend] = {}
    for mend in found:
        # Rounded, so that rounding never makes two of one.
        same = tuple((move.line, round(float(move.to_mm), 6)) for move in mend.moves)
        unique.setdefault((mend.piece, same), mend)

    def key(mend: Mend) -> tuple[float, bool, bool, int, float]:
        distance = sum(abs(float(move.to_mm - move.from_mm)) for move in mend.moves)
        return (
            round(mend.gap_after_mm, 6),
            # One stretch of a fold alone: the fold would have a bend.
            any("#" in move.line for move in mend.moves),
            any(move.on_ruler is None for move in mend.moves),
            len(mend.slits) + len(mend.folds),
            round(distance, 6),
        )

    return tuple(sorted(unique.values(), key=key))


def _proved(
    assembly: Assembly,
    division: Division,
    loop: Loop,
    tries: Sequence[Try],
    before: dict[tuple[str, str], float],
    units: Unit,
) -> Mend | None:
    """The mend that makes these changes, if the piece then is sound and no loop is worse."""
    piece: Piece | None = division.piece
    for attempt in tries:
        if piece is not None:
            piece = attempt.made(piece)
    if piece is None:
        return None
    made = divide(piece)
    # The order of the panels stays: a line that jumped over another one makes a
    # different card.
    if _stopped(made.problems) or not _same_order(division, made, tries):
        return None
    changed = assemble(
        {**assembly.divisions, piece.name: made}, [glued.joint for glued in assembly.joints]
    )
    if _stopped(changed.problems):
        return None
    closings = [closing(one) for one in loops_of(changed) if _takes_part(piece.name, one)]
    if any(one.gap_mm is None for one in closings):
        return None
    after = max((one.gap_mm or 0.0 for one in closings), default=0.0)
    mended = next((one for one in closings if _key(one.loop) == _key(loop)), None)
    # A vertex that has itself moved has another name: then all must close.
    left = after if mended is None else mended.gap_mm or 0.0
    if left > MEETS_MM:
        return None
    for one in closings:
        if (one.gap_mm or 0.0) > before.get(_key(one.loop), 0.0) + MEETS_MM:
            return None
    return Mend(
        piece=piece.name,
        loop=loop.name,
        loop_piece=loop.piece,
        moves=tuple(_move(attempt, piece, units) for attempt in tries),
        slits=tuple(
            new.name
            for old, new in zip(division.piece.slits, piece.slits, strict=True)
            if new.path != old.path
        ),
        folds=_others_moved(division.piece, piece, tries),
        gap_after_mm=0.0 if after <= ROUNDING_MM else after,
    )


def _stopped(problems: Sequence[Problem]) -> bool:
    return any(one.severity is Severity.STOP for one in problems)


def _same_order(before: Division, after: Division, tries: Sequence[Try]) -> bool:
    if len(before.knots) != len(after.knots):
        return False
    # A bent fold counts as two hinges from then on; its panels stay as they are.
    if any(attempt.stretch is not None for attempt in tries):
        return len(before.panels) == len(after.panels)
    return panel_order(before) == panel_order(after)


def _move(attempt: Try, made: Piece, units: Unit) -> Move:
    old = attempt.old
    normal = upward_normal(old.start, old.end)
    to = signed_distance(attempt.line.start, attempt.line.end, normal)
    ruler = None if attempt.turn_deg else on_ruler(to, units)
    return Move(
        line=attempt.label,
        from_mm=signed_distance(old.start, old.end),
        to_mm=to,
        ends=_ends(attempt, made),
        turn_deg=attempt.turn_deg,
        on_ruler=None if ruler is None else ruler.value,
    )


def _ends(attempt: Try, made: Piece) -> tuple[Point, Point]:
    """The places between which a moved fold, or a stretch of it, runs."""
    path = made.folds[attempt.fold].path
    if attempt.stretch is None:
        return path.start, path.end
    pivot, far = attempt.stretch
    return pivot, min((path.start, path.end), key=far.distance)


def _others_moved(before: Piece, after: Piece, tries: Sequence[Try]) -> tuple[str, ...]:
    """The folds whose ends followed, the moved ones left out."""
    moved = {attempt.fold for attempt in tries}
    return tuple(
        new.name
        for index, (old, new) in enumerate(zip(before.folds, after.folds, strict=True))
        if index not in moved and new.path != old.path
    )
