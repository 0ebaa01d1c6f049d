"""This module writes the sums of a loop: lengths between folds with their signs, sector angles.

Every fold that is turned shut reverses the direction in which the paper runs, so
the lengths between the folds of a side count forward and back in turn.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from ..folding import Closing, Sides, Step, Verdict, VertexFolds, sides_of
from ..geometry import Segment, Vector
from ..measures import Unit, exact_text
from ..measures.exact import MEETS_MM

MINUS = "\N{MINUS SIGN}"

# Alpha to omega, without the sigma that only ends words.
_GREEK = "".join(chr(code) for code in range(0x3B1, 0x3CA) if code != 0x3C2)


@dataclass(frozen=True, kw_only=True, slots=True)
class SideSum:
    """One side of a loop: its folds in order, signed lengths in mm, and what they add to.

    The lengths run in the closed pose from the first fold of the side that has
    more folds to its last; forward ones are positive.
    """

    folds: tuple[str, ...]
    terms: tuple[float, ...]
    total: float


def told_sides(closing: Closing) -> Sides | None:
    """The two sides of a loop where their sums say how it closes, else None.

    None where a fold is not turned shut or flat, where the panels come back face
    down or turned, and where all lengths are nothing, as on one straight fold in
    two stretches.
    """
    sides = closing.sides
    if closing.verdict is Verdict.CLOSES and closing.residual is not None:
        sides = sides_of(closing.loop)
    if sides is None:
        return None
    terms = [abs(term) for side in side_sums(sides) for term in side.terms]
    return sides if max(terms, default=0.0) > MEETS_MM else None


def side_sums(sides: Sides) -> tuple[SideSum, SideSum]:
    """The side with more folds (all lengths between its folds), and the one it is held against."""
    first, last = sides.other[0], sides.other[-1]
    along = _line(first).end - _line(first).start
    normal = along.left
    if _across(normal, first, last) < 0.0:
        normal = -normal
    longer = _alternating([_across(normal, a, b) for a, b in _pairs(sides.other)], -1.0)
    back = (first, *reversed(sides.reference), last)
    shorter = _alternating([_across(normal, a, b) for a, b in _pairs(back)], 1.0)
    # Told so that the side that is asked for counts forward.
    sign = -1.0 if sum(shorter) < 0.0 or (sum(shorter) == 0.0 and sum(longer) < 0.0) else 1.0
    return (
        _side(sides.other, longer, sign),
        _side(tuple(reversed(sides.reference)), shorter, sign),
    )


def _side(steps: Sequence[Step], terms: Sequence[float], sign: float) -> SideSum:
    signed = tuple(sign * term + 0.0 for term in terms)
    return SideSum(folds=tuple(step.label for step in steps), terms=signed, total=sum(signed))


def _pairs(steps: Sequence[Step]) -> list[tuple[Step, Step]]:
    return list(pairwise(steps))


def _alternating(lengths: Sequence[float], first: float) -> list[float]:
    return [length * (first if i % 2 == 0 else -first) for i, length in enumerate(lengths)]


def _line(step: Step) -> Segment:
    if step.hinge is None:
        raise ValueError("a joint has no fold line")
    return step.hinge.line


def _across(normal: Vector, a: Step, b: Step) -> float:
    return float((_line(b).start - _line(a).start).dot(normal)) / float(normal.length)


def sum_text(side: SideSum, units: Unit) -> str:
    """`30 - 35 + 30 = 25 mm`, with true minus signs."""
    if not side.terms:
        return f"0 {units}"
    text = ""
    for index, term in enumerate(side.terms):
        size = _bare(abs(term), units)
        if index == 0:
            text = f"{MINUS}{size}" if term < 0.0 else size
        else:
            text += f" {MINUS if term < 0.0 else '+'} {size}"
    total = exact_text(round(side.total, 9), units).replace("-", MINUS)
    return text + (f" {units}" if len(side.terms) == 1 else f" = {total}")


def _bare(length: float, units: Unit) -> str:
    return exact_text(round(length, 9), units).removesuffix(f" {units}")


def sector_lines(folds: VertexFolds) -> tuple[str, str]:
    """The sums of every other sector, by their letters: alpha + gamma = 60 + 110 = 170."""
    found = []
    for start, total in enumerate(folds.alternate):
        letters = [letter_of(i) for i in range(start, len(folds.sectors), 2)]
        terms = [degrees_text(folds.sectors[i]) for i in range(start, len(folds.sectors), 2)]
        if len(terms) > 1:
            found.append(
                f"{' + '.join(letters)} = {' + '.join(terms)} = {degrees_text(total)} degrees"
            )
        else:
            found.append(f"{''.join(letters) or 'none'} = {degrees_text(total)} degrees")
    return found[0], found[1]


def letter_of(index: int) -> str:
    """The name of a sector, which no fold shares by chance: Greek letters, then alpha 2 and on."""
    turn, place = divmod(index, len(_GREEK))
    return _GREEK[place] if turn == 0 else f"{_GREEK[place]}{turn + 1}"


def degrees_text(angle: float) -> str:
    """An angle to a thousandth of a degree, without needless noughts."""
    return f"{round(angle, 3) + 0.0:.3f}".rstrip("0").rstrip(".")
