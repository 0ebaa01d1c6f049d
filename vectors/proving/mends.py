"""This module finds what to move so that a piece closes: one line, else two.

In a loop whose folds all lie shut, each fold's line is the one unknown of an
equation: the product of the other steps tells which reflection would close the
loop, and so which line.  Every mend is proved on the whole piece before it is
told: the piece is divided and folded anew with the lines where they would be.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, islice

from ..design.pieces import Piece
from ..folding import Closing, Loop, Round, Step, Verdict, closing, loops_of
from ..folding.closing import flat_step
from ..folding.isometry import IDENTITY, Isometry
from ..geometry import Point, Segment, Vector
from ..measures import Unit, on_ruler
from ..measures.exact import (
    MEETS_MM,
    ROUNDING_DEG,
    ROUNDING_MM,
    SAME_DIRECTION_RAD,
    Number,
    is_exact,
)
from ..panels import Division, assemble, divide
from .model import Mend, Move
from .panel_order import panel_order
from .relaying import Line, bent, relaid, signed_distance

# No more lines than this are tried, nor more pairs: a design that is wrong all
# over is not mended line by line.
_MOST_TRIED = 200


@dataclass(frozen=True, slots=True)
class _Try:
    """A fold, or one stretch of it, and the line it would be put on."""

    fold: int
    label: str
    old: Segment
    line: Line
    turn_deg: float = 0.0
    stretch: tuple[Point, Point] | None = None

    def made(self, piece: Piece) -> Piece | None:
        if self.stretch is None:
            return relaid(piece, self.fold, self.line)
        return bent(piece, self.fold, *self.stretch, self.line)


def mends(division: Division, closings: Sequence[Closing], units: Unit) -> tuple[Mend, ...]:
    """The mends of a piece whose loops do not all close, best first.

    One-line mends that close the whole piece; without any, the least two-line
    mend; without that, for each loop the lines that close it and worsen no
    other, with the gap that is left elsewhere.  `units` tells
    which rulers a user would rather measure with.
    """
    open_loops = [one for one in closings if one.verdict not in (Verdict.CLOSES, Verdict.TURNED)]
    if not open_loops or any(one.verdict is Verdict.TURNED for one in closings):
        return ()
    found: list[Mend] = []
    partial: list[Mend] = []
    before = {one.loop.name: one.gap_mm or 0.0 for one in closings}
    for one in open_loops:
        for attempt in islice(_single_lines(division, one), _MOST_TRIED):
            mend = _proved(division, one.loop, (attempt,), before, units)
            if mend is None:
                continue
            (found if mend.gap_after_mm <= MEETS_MM else partial).append(mend)
    if found:
        return _ranked(found)
    for pair in islice(_pairs(division, closings), _MOST_TRIED):
        mend = _proved(division, open_loops[0].loop, pair, before, units)
        if mend is not None and mend.gap_after_mm <= MEETS_MM:
            return (mend,)
    return _ranked(partial)


def _ranked(found: Sequence[Mend]) -> tuple[Mend, ...]:
    """Those on a ruler first, those that leave the slits alone, the smaller moves; each once."""
    unique = {(mend.piece, mend.moves): mend for mend in reversed(found)}
    in_order = [mend for mend in found if unique.get((mend.piece, mend.moves)) is mend]

    def key(mend: Mend) -> tuple[float, bool, int, float]:
        distance = sum(abs(float(move.to_mm - move.from_mm)) for move in mend.moves)
        return (
            round(mend.gap_after_mm, 6),
            any(move.on_ruler is None for move in mend.moves),
            len(mend.slits),
            round(distance, 6),
        )

    return tuple(sorted(in_order, key=key))


def _proved(
    division: Division,
    loop: Loop,
    tries: Sequence[_Try],
    before: dict[str, float],
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
    if made.problems or len(made.knots) != len(division.knots):
        return None
    closings = [closing(one) for one in loops_of(assemble({piece.name: made}, ()))]
    # The order of the panels stays: a line that jumped over another one makes a
    # different card.
    if not _same_order(division, made, tries):
        return None
    gaps = [one.gap_mm for one in closings]
    if any(gap is None for gap in gaps):
        return None
    after = max((gap for gap in gaps if gap is not None), default=0.0)
    mended = next((one for one in closings if one.loop.name == loop.name), None)
    if mended is None:
        # The vertex itself has moved: every loop must then be judged together.
        if after > MEETS_MM:
            return None
    elif mended.verdict is not Verdict.CLOSES:
        return None
    for one in closings:
        if (one.gap_mm or 0.0) > before.get(one.loop.name, 0.0) + MEETS_MM:
            return None
    return Mend(
        piece=piece.name,
        loop=loop.name,
        moves=tuple(_move(attempt, units) for attempt in tries),
        slits=tuple(
            new.name
            for old, new in zip(division.piece.slits, piece.slits, strict=True)
            if new.path != old.path
        ),
        gap_after_mm=0.0 if after <= ROUNDING_MM else after,
    )


def _same_order(before: Division, after: Division, tries: Sequence[_Try]) -> bool:
    # A bent fold counts as two hinges from then on; its panels stay as they are.
    if any(attempt.stretch is not None for attempt in tries):
        return len(before.panels) == len(after.panels)
    return panel_order(before) == panel_order(after)


def _move(attempt: _Try, units: Unit) -> Move:
    to = signed_distance(attempt.line.start, attempt.line.end)
    ruler = on_ruler(to, units)
    return Move(
        line=attempt.label,
        from_mm=signed_distance(attempt.old.start, attempt.old.end),
        to_mm=to,
        turn_deg=attempt.turn_deg,
        on_ruler=None if ruler is None else ruler.value,
    )


def _single_lines(division: Division, one: Closing) -> Iterator[_Try]:
    """For each fold of a loop the line that would close the loop, all others left as they are."""
    if one.residual is None:
        return
    steps = one.loop.steps
    products = [IDENTITY]
    for step in steps:
        products.append(products[-1] @ flat_step(step))
    whole = products[-1]
    if one.turn_deg <= ROUNDING_DEG:
        yield from _moved_lines(division, steps, products, whole)
        return
    for index, step in enumerate(steps):
        hinge = step.hinge
        if hinge is None or hinge.angle != 180:
            continue
        # before · wanted · after = identity
        after = products[index + 1].inverse @ whole
        axis = _mirror_line(products[index].inverse @ after.inverse)
        if axis is None:
            continue
        stretches = [other for other in division.hinges if other.fold == hinge.fold]
        stretch = None
        if len(stretches) > 1:
            if one.loop.round is not Round.VERTEX:
                continue
            far = hinge.end if step.outward else hinge.start
            stretch = (one.loop.at, far)
            if far not in (hinge.line.start, hinge.line.end):
                # Beyond this stretch the fold runs on: it would bend twice.
                continue
        yield _Try(hinge.fold, hinge.label, hinge.line, axis, _turned_by(hinge.line, axis), stretch)


def _turned_by(old: Segment, new: Line) -> float:
    """The angle in degrees, in (-90, 90], from one endless line to another."""
    a, b = old.end - old.start, new.end - new.start
    angle = b.angle - a.angle
    while angle > 90.0:
        angle -= 180.0
    while angle <= -90.0:
        angle += 180.0
    return angle


def _mirror_line(wanted: Isometry) -> Line | None:
    """The line in which an isometry that flips reflects, or None where it glides along as well."""
    if not wanted.flips:
        return None
    # The image of the origin is as far beyond the line as the origin is before
    # it, so the middle between them lies on it, glide or not.
    middle = Point(wanted.tx / 2, wanted.ty / 2)
    # (a b; b -a) keeps (a + 1, b), or (b, 1 - a); the longer one of the two.
    first, second = Vector(wanted.a + 1, wanted.b), Vector(wanted.b, 1 - wanted.a)
    along = first if wanted.a >= 0 else second
    glide = (wanted.apply(middle) - middle).dot(along)
    if glide != 0 if is_exact(glide) else abs(float(glide)) > ROUNDING_MM:
        return None
    # A long base keeps the direction true where the numbers are floats.
    return Line(middle, middle + along * 1000)


def _moved_lines(
    division: Division, steps: Sequence[Step], products: Sequence[Isometry], whole: Isometry
) -> Iterator[_Try]:
    """The lines that close a loop which misses by a plain displacement, each moved sideways."""
    for fold in dict.fromkeys(step.hinge.fold for step in steps if step.hinge is not None):
        line = division.piece.folds[fold].path.segments[0]
        normal = (line.end - line.start).left
        pull = _pull(fold, steps, products, normal)
        if pull is None:
            continue
        # 2 · pull · move = -residual, both along the normal.
        miss = whole.translation
        square = pull.dot(pull)
        if square == 0 or not _along(miss, pull):
            continue
        share = -miss.dot(pull) / (2 * square)
        yield _moved(division, fold, normal * share)


def _along(a: Vector, b: Vector) -> bool:
    cross = a.cross(b)
    if is_exact(cross):
        return cross == 0
    return abs(float(cross)) <= SAME_DIRECTION_RAD * float(a.length) * float(b.length)


def _pull(
    fold: int, steps: Sequence[Step], products: Sequence[Isometry], normal: Vector
) -> Vector | None:
    """How a fold's line, moved by `normal`, shifts half the residual; None if it is not turned.

    Moving the line of step k by w puts a displacement 2 w, carried back by the
    steps before it, into the product.
    """
    pull: Vector | None = None
    for index, step in enumerate(steps):
        if step.hinge is not None and step.hinge.fold == fold and step.hinge.angle == 180:
            part = products[index].turn(normal)
            pull = part if pull is None else pull + part
    return pull


def _moved(division: Division, fold: int, by: Vector) -> _Try:
    moving = division.piece.folds[fold]
    line = moving.path.segments[0]
    return _Try(fold, moving.name, line, Line(line.start + by, line.end + by))


def _pairs(division: Division, closings: Sequence[Closing]) -> Iterator[tuple[_Try, ...]]:
    """Pairs of lines that, moved sideways, close all loops together, the least first.

    Only for loops that all miss by a displacement along one common normal.
    """
    flat = [one for one in closings if one.residual is not None]
    wrong = [one for one in flat if one.verdict is not Verdict.CLOSES]
    if not wrong or any(one.turn_deg > ROUNDING_DEG for one in wrong):
        return
    normal = _common_normal(division, wrong)
    if normal is None:
        return
    square = normal.dot(normal)
    rows: list[tuple[dict[int, Number], Number]] = []
    for one in flat:
        if one.residual is None or one.turn_deg > ROUNDING_DEG:
            continue
        steps = one.loop.steps
        products = [IDENTITY]
        for step in steps:
            products.append(products[-1] @ flat_step(step))
        pulls: dict[int, Number] = {}
        for fold in dict.fromkeys(step.hinge.fold for step in steps if step.hinge is not None):
            line = division.piece.folds[fold].path.segments[0]
            pull = _pull(fold, steps, products, normal)
            if pull is not None and _along(line.end - line.start, normal.left):
                pulls[fold] = pull.dot(normal) / square
        rows.append((pulls, -one.residual.translation.dot(normal) / (2 * square)))
    folds = sorted({fold for one in wrong for fold in _folds(one)})
    found = []
    for first, second in combinations(folds, 2):
        shares = _solve(rows, first, second)
        if shares is not None:
            found.append((abs(float(shares[0])) + abs(float(shares[1])), first, second, shares))
    for _, first, second, shares in sorted(found, key=lambda one: one[:3]):
        yield (
            _moved(division, first, normal * shares[0]),
            _moved(division, second, normal * shares[1]),
        )


def _folds(one: Closing) -> set[int]:
    return {step.hinge.fold for step in one.loop.steps if step.hinge is not None}


def _common_normal(division: Division, wrong: Sequence[Closing]) -> Vector | None:
    misses = [one.residual.translation for one in wrong if one.residual is not None]
    if not all(_along(misses[0], other) for other in misses):
        return None
    return misses[0]


def _solve(
    rows: Sequence[tuple[dict[int, Number], Number]], first: int, second: int
) -> tuple[Number, Number] | None:
    """The moves of two lines that fulfil every loop's equation, the least where many do."""
    kept = [
        (pulls.get(first, Fraction(0)), pulls.get(second, Fraction(0)), miss)
        for pulls, miss in rows
    ]
    for i, (a, b, e) in enumerate(kept):
        for c, d, f in kept[i + 1 :]:
            determinant = a * d - b * c
            if determinant != 0:
                x, y = (e * d - b * f) / determinant, (a * f - e * c) / determinant
                return (x, y) if x != 0 and y != 0 and _fulfils(kept, x, y) else None
    # All equations say the same: the two lines share the move evenly.
    for a, b, e in kept:
        if a != 0 and b != 0 and e != 0:
            x, y = e / (2 * a), e / (2 * b)
            return (x, y) if _fulfils(kept, x, y) else None
    return None


def _fulfils(rows: Sequence[tuple[Number, Number, Number]], x: Number, y: Number) -> bool:
    # The shares are fractions of a normal that is as long as the gap, so a
    # thousandth of a micrometre is far below anything that counts.
    return all(abs(float(a * x + b * y - e)) <= ROUNDING_MM for a, b, e in rows)
