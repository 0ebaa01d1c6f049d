"""This module turns closings into findings: how bad a gap is, how it looks, how to mend it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from ..folding import Closing, Loop, Round, Sides, Step, Verdict, slack_of, vertex_folds
from ..measures import Unit, exact_text, written
from ..measures.exact import ROUNDING_DEG
from ..panels import told
from ..problems import Place, Problem, Severity, problem
from .model import MeasureChange, MeasureMend, Mend, Move

# Up to this many times the gap that a material forgives a maker is warned only.
_WARNED = 2.0


def judged(
    closings: Sequence[Closing], gives_mm: float, mends: Sequence[Mend], units: Unit
) -> Iterator[Problem]:
    """The findings on the loops of a piece; `gives_mm` is the gap that its material forgives."""
    for one in closings:
        folds = vertex_folds(one.loop)
        if folds is not None and one.verdict is not Verdict.TURNED and not folds.maekawa:
            yield problem(
                "maekawa",
                place=_place(one),
                piece=one.loop.piece,
                at=one.loop.at.floats(),
                of=one.loop.piece,
                mountains=folds.mountains,
                valleys=folds.valleys,
            )
        if one.verdict is Verdict.TURNED:
            yield problem(
                "turned",
                place=_place(one),
                piece=one.loop.piece,
                at=one.loop.at.floats(),
                loop=one.loop.name,
                of=one.loop.piece,
                count=half_turns(one),
            )
        elif one.verdict is not Verdict.CLOSES:
            yield _open(one, gives_mm, mends, units)


def severity_of(closing: Closing, gives_mm: float) -> Severity:
    """A note up to the gap that the material forgives, a warning up to twice that, else a stop.

    What the joints of the loop may take up is taken off the gap first.
    """
    return severity_of_gap(closing.gap_mm or 0.0, closing.loop, gives_mm)


def severity_of_gap(gap_mm: float, loop: Loop, gives_mm: float) -> Severity:
    """The severity of a gap of a loop, in the closed card or in a pose."""
    return severity_within(max(0.0, gap_mm - slack_of(loop)), gives_mm)


def severity_within(gap_mm: float, gives_mm: float) -> Severity:
    """The severity of a gap by what the material gives."""
    if gap_mm <= gives_mm:
        return Severity.NOTE
    return Severity.WARN if gap_mm <= _WARNED * gives_mm else Severity.STOP


def bubble_rise(strip_mm: float, excess_mm: float) -> float:
    """How high a strip rises whose length is too long by `excess_mm` for its place, in mm.

    sqrt(3 l e / 8): the rise of a shallow parabola over the length l.
    """
    return math.sqrt(3.0 * strip_mm * excess_mm / 8.0)


def _open(one: Closing, gives_mm: float, mends: Sequence[Mend], units: Unit) -> Problem:
    gap = one.gap_mm or 0.0
    fields = {"loop": one.loop.name, "of": one.loop.piece, "gap": figure(gap, units)}
    code = one.verdict.value
    folds = vertex_folds(one.loop)
    if folds is not None and one.loop.round is Round.VERTEX:
        code = "kawasaki"
        first, second = folds.alternate
        fields |= {"first": f"{first:.7g}", "second": f"{second:.7g}"}
    elif one.verdict is Verdict.BUCKLES and one.sides is not None:
        rise = bubble_rise(one.sides.strip_mm, gap)
        fields |= {
            "sides": _sides(one.sides, units),
            "look": f"; it would bulge by about {written(rise, units).text}",
        }
    else:
        fields |= {
            "sides": "" if one.sides is None else f": {_sides(one.sides, units)}",
            "turn": f", turned by {one.turn_deg:.3g} degrees"
            if one.turn_deg > ROUNDING_DEG
            else "",
        }
    return problem(
        code,
        severity=severity_of(one, gives_mm),
        place=_place(one),
        # Over joints the gap may lie on another piece than the loop's own.
        piece=one.loop.steps[one.worst].after[0],
        at=(one.loop.at if code == "kawasaki" else one.at).floats(),
        measure_mm=gap,
        mend=mend_text(one, mends, units),
        **fields,
    )


def mends_for(one: Closing, mends: Sequence[Mend]) -> list[Mend]:
    """The mends sought for a loop, or else those that close the whole piece and so the loop too."""
    loop = one.loop
    own = [mend for mend in mends if (mend.loop_piece, mend.loop) == (loop.piece, loop.name)]
    return own or [mend for mend in mends if mend.piece == loop.piece and mend.gap_after_mm == 0.0]


def _place(one: Closing) -> Place:
    """Where in the file the loop's fold with the largest gap is written."""
    steps = one.loop.steps
    for step in (*steps[one.worst :], *steps):
        if step.hinge is not None:
            return step.hinge.place
        if step.joint is not None:
            return step.joint.joint.place
    return Place()


def half_turns(one: Closing) -> int:
    """How many folds of a loop are turned shut."""
    return sum(step.hinge is not None and step.hinge.angle == 180 for step in one.loop.steps)


def _sides(sides: Sides, units: Unit) -> str:
    return (
        f"from {_span(sides.other)} it reaches {figure(abs(sides.reached_mm), units)}"
        f"{_other_way(sides)}, "
        f"where {_span(sides.reference)} leaves it {figure(abs(sides.required_mm), units)}"
    )


def _other_way(sides: Sides) -> str:
    opposed = sides.reached_mm * sides.required_mm < 0.0
    return " the other way" if opposed else ""


def _span(steps: Sequence[Step]) -> str:
    # The two ends of the way, the one that is written first in the file first.
    ends = sorted((steps[0], steps[-1]), key=_file_order)
    first, last = (told("fold", step.label) for step in ends)
    return first if len(steps) == 1 else f"{first} to {last}"


def _file_order(step: Step) -> int:
    return 0 if step.hinge is None else step.hinge.index


def mend_text(one: Closing, mends: Sequence[Mend], units: Unit) -> str:
    """The best mend of a loop as an instruction, or what to look at where there is none."""
    own = mends_for(one, mends)
    if not own:
        return _without_a_line(one)
    best = own[0]
    text = " and ".join(move_text(move, units) for move in best.moves)
    if best.piece != one.loop.piece:
        text = f'{text}, of "{best.piece}"'
    if best.slits or best.folds:
        following = [told("slit", slit) for slit in best.slits]
        following += [told("fold", fold) for fold in best.folds]
        text = f"{text}, the end of {' and of '.join(following)} along with it"
    if len(best.moves) > 1:
        text = f"{text} (no single line closes it)"
    if best.gap_after_mm > 0.0:
        text = f"{text} (a gap of {figure(best.gap_after_mm, units)} is then left elsewhere)"
    return text


def _without_a_line(one: Closing) -> str:
    if one.residual is None:
        # Lines to move are sought for loops that lie flat.
        return "change how far one of its folds is turned, or the lengths between them"
    if one.loop.round is Round.JOINT:
        return (
            "no move of one straight fold, or of two of one piece, closes it: move a line of the "
            "joint, or change the lengths between the folds"
        )
    return (
        "no move of one straight fold, or of two, closes it: change the lengths between its folds"
    )


def measure_mend_text(mend: MeasureMend, units: Unit) -> str:
    """A mend as an instruction: `change riser from 37 mm to 35 mm`."""
    return "change " + " and ".join(change_text(change, units) for change in mend.changes)


def change_text(change: MeasureChange, units: Unit) -> str:
    """A measure and its two values, in the units in which lengths are printed."""
    from_text, to_text = exact_text(change.from_mm, units), exact_text(change.to_mm, units)
    return f"{change.measure} from {from_text} to {to_text}"


def move_text(move: Move, units: Unit) -> str:
    """One move as an instruction, in the units in which lengths are printed."""
    name = told("fold", move.line)
    if move.turn_deg:
        way = "anticlockwise" if move.turn_deg > 0.0 else "clockwise"
        start, end = move.ends
        return (
            f"turn {name} by {abs(move.turn_deg):.3f} degrees {way}, "
            f"so that it runs from {start.told()} to {end.told()}"
        )
    return f"move {name} from {exact_text(move.from_mm, units)} to {exact_text(move.to_mm, units)}"


def figure(value: float, units: Unit) -> str:
    """A length that was reckoned, in the units in which lengths are printed.

    One that is too small for them is told in mm with three digits, so that it
    never reads as nothing.
    """
    text = exact_text(value, units)
    return f"{value:.3g} mm" if value and text in ("0 mm", "0 in") else text


def millimetres(value: float) -> str:
    """A figure to a thousandth, without needless noughts; small ones keep three digits."""
    if 0.0 < abs(value) < 0.001:
        return f"{value:.3g}"
    return f"{value + 0.0:.3f}".rstrip("0").rstrip(".")
