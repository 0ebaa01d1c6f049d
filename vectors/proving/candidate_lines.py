"""This module reckons where a fold's line would have to lie for a loop to close.

In a loop whose folds all lie shut, each fold's line is the one unknown of an
equation: the product of the other steps tells which reflection would close the
loop, and so which line.  Where the loop misses by a plain displacement, lines
move sideways, and two may share the move.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from ..design.pieces import Piece
from ..folding import Closing, Loop, Round, Step, Verdict
from ..folding.closing import flat_step
from ..folding.isometry import IDENTITY, Isometry
from ..geometry import Point, Segment, Vector
from ..measures.exact import (
    ROUNDING_DEG,
    ROUNDING_MM,
    SAME_DIRECTION_RAD,
    Number,
    is_exact,
)
from ..panels import Division, Hinge
from .relaying import Line, bent, relaid


@dataclass(frozen=True, slots=True)
class Try:
    """A fold of a piece, or one stretch of it, and the line it would be put on."""

    fold: int
    label: str
    old: Segment
    line: Line
    turn_deg: float = 0.0
    stretch: tuple[Point, Point] | None = None

    def made(self, piece: Piece) -> Piece | None:
        """The piece with the fold on that line; None where that cannot be done."""
        if self.stretch is None:
            return relaid(piece, self.fold, self.line)
        return bent(piece, self.fold, *self.stretch, self.line)


def single_lines(division: Division, one: Closing) -> Iterator[Try]:
    """For each fold of a piece in a loop the line that would close the loop, others left alone."""
    if one.residual is None:
        return
    products = _products(one.loop)
    if one.turn_deg <= ROUNDING_DEG:
        miss = one.residual.translation
        for fold, pull in _pulls(division, one.loop, products).items():
            # 2 · pull · share = -miss, where both run the same way.
            square = pull.dot(pull)
            if square != 0 and _along(miss, pull):
                yield _moved(division, fold, -miss.dot(pull) / (2 * square))
        return
    for index, step in enumerate(one.loop.steps):
        hinge = _own_hinge(division, step)
        if hinge is None:
            continue
        # before · wanted · after = identity
        after = products[index + 1].inverse @ products[-1]
        axis = _mirror_line(products[index].inverse @ after.inverse)
        if axis is None:
            continue
        stretch = None
        if sum(other.fold == hinge.fold for other in division.hinges) > 1:
            far = hinge.end if step.outward else hinge.start
            # Only at a vertex does the rest of the fold stay sound, and beyond
            # this stretch it must end: else it would bend twice.
            if one.loop.round is not Round.VERTEX or far not in (hinge.line.start, hinge.line.end):
                continue
            stretch = (one.loop.at, far)
        turn = _turned_by(hinge.line, axis)
        yield Try(hinge.fold, hinge.label, hinge.line, axis, turn, stretch)


def line_pairs(division: Division, closings: Sequence[Closing]) -> Iterator[tuple[Try, Try]]:
    """Pairs of lines of a piece that, moved sideways, close all loops together, the least first.

    Only where every loop that is open misses by a plain displacement.
    """
    flat = [one for one in closings if one.residual is not None]
    wrong = [one for one in closings if one.verdict is not Verdict.CLOSES]
    if any(one.residual is None or one.turn_deg > ROUNDING_DEG for one in wrong):
        return
    rows: list[_Row] = []
    for one in flat:
        if one.residual is None or one.turn_deg > ROUNDING_DEG:
            continue
        pulls = _pulls(division, one.loop, _products(one.loop))
        miss = one.residual.translation
        # An equation for each coordinate: the pulls of the lines make up the miss.
        rows.append(({fold: pull.x for fold, pull in pulls.items()}, -miss.x / 2))
        rows.append(({fold: pull.y for fold, pull in pulls.items()}, -miss.y / 2))
    folds = sorted(
        {
            hinge.fold
            for one in wrong
            for step in one.loop.steps
            if (hinge := _own_hinge(division, step))
        }
    )
    found = []
    for first, second in combinations(folds, 2):
        shares = _solve(rows, first, second)
        if shares is not None:
            tries = (_moved(division, first, shares[0]), _moved(division, second, shares[1]))
            found.append((round(sum(_distance(one) for one in tries), 9), first, second, tries))
    for *_, tries in sorted(found, key=lambda one: one[:3]):
        yield tries


_Row = tuple[dict[int, Number], Number]


def _own_hinge(division: Division, step: Step) -> Hinge | None:
    """The hinge of a step where it is one of this piece and turned shut."""
    hinge = step.hinge
    if hinge is None or hinge.angle != 180 or step.before[0] != division.piece.name:
        return None
    return hinge


def _products(loop: Loop) -> list[Isometry]:
    """The product of the steps before each step, and last that of all."""
    products = [IDENTITY]
    for step in loop.steps:
        products.append(products[-1] @ flat_step(step))
    return products


def _normal(division: Division, fold: int) -> Vector:
    line = division.piece.folds[fold].path.segments[0]
    return (line.end - line.start).left


def _pulls(division: Division, loop: Loop, products: Sequence[Isometry]) -> dict[int, Vector]:
    """For each fold of a piece how its line, moved by its normal, shifts half the residual.

    Moving the line of step k by w puts a displacement 2 w, carried back by the
    steps before it, into the product.
    """
    pulls: dict[int, Vector] = {}
    for index, step in enumerate(loop.steps):
        hinge = _own_hinge(division, step)
        if hinge is not None:
            part = products[index].turn(_normal(division, hinge.fold))
            pulls[hinge.fold] = pulls.get(hinge.fold, Vector(Fraction(0), Fraction(0))) + part
    return pulls


def _moved(division: Division, fold: int, share: Number) -> Try:
    moving = division.piece.folds[fold]
    line = moving.path.segments[0]
    by = _normal(division, fold) * share
    return Try(fold, moving.name, line, Line(line.start + by, line.end + by))


def _distance(one: Try) -> float:
    return one.old.start.distance(one.line.start)


def _along(a: Vector, b: Vector) -> bool:
    # A tolerance for fractions too: coordinates written in decimals are exact
    # numbers and still only as parallel as their last digit.
    return abs(float(a.cross(b))) <= SAME_DIRECTION_RAD * float(a.length) * float(b.length)


def _turned_by(old: Segment, new: Line) -> float:
    """The angle in degrees, in (-90, 90], from one endless line to another."""
    angle = (new.end - new.start).angle - (old.end - old.start).angle
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
    if abs(float(glide)) > ROUNDING_MM:
        return None
    # A long base keeps the direction true where the numbers are floats.
    return Line(middle, middle + along * 1000)


def _solve(rows: Sequence[_Row], first: int, second: int) -> tuple[Number, Number] | None:
    """The shares of two lines that fulfil every equation, the least where many do."""
    zero = Fraction(0)
    kept = [(pulls.get(first, zero), pulls.get(second, zero), miss) for pulls, miss in rows]
    for i, (a, b, e) in enumerate(kept):
        for c, d, f in kept[i + 1 :]:
            determinant = a * d - b * c
            if not _nothing(determinant):
                x, y = (e * d - b * f) / determinant, (a * f - e * c) / determinant
                both = not _nothing(x) and not _nothing(y)
                return (x, y) if both and _fulfils(kept, x, y) else None
    # All equations say the same: the two lines share the move evenly.
    for a, b, e in kept:
        if not (_nothing(a) or _nothing(b) or _nothing(e)):
            x, y = e / (2 * a), e / (2 * b)
            return (x, y) if _fulfils(kept, x, y) else None
    return None


def _nothing(number: Number) -> bool:
    return number == 0 if is_exact(number) else abs(float(number)) <= ROUNDING_MM


def _fulfils(rows: Sequence[tuple[Number, Number, Number]], x: Number, y: Number) -> bool:
    return all(_nothing(a * x + b * y - e) for a, b, e in rows)
