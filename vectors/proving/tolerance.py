"""This module says what the small errors of a tool do to a loop, and which of them matters.

What errs is a *setting*.  By hand a sheet lies against a fence: all scores of a
piece at one fence setting, folds on one endless line, share its two errors, one
at each edge of the sheet, where a maker measures.  A knife or a laser places
every line by itself, with one error at each end of it.  The figure of the
profile, the tool's tolerance, is the half width of each error, mm square to the
line; errors of different settings are independent.

The root-sum-square takes the tolerance as two standard deviations (common
practice, no source), so 19 of 20 cards stay within it.  The worst case needs no
such assumption.  The gap of the design itself adds as a vector.  In a joint the
placing of the glued line errs as a fold does, and along the line as well.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from foldwright.profiles.model import Confidence, Profile, Tool

from ..design.pieces import Piece
from ..folding import Closing, Loop, Step, Verdict, slack_of
from ..geometry import Point, Segment
from ..measures import Unit
from ..measures.exact import MEETS_MM, SAME_DIRECTION_RAD
from ..panels import Assembly, told
from ..problems import Place, Problem, Severity, problem
from .judging import figure
from .model import LoopTolerance
from .sensitivity import (
    LaidLine,
    LineKey,
    MeetingPlace,
    Pair,
    columns_of,
    laid_lines,
    lies_flat,
    line_key,
    meeting_places,
)
from .stacking_up import largest_at_worst, largest_by_squares, root_sum_square, worst_case


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """Lines that are made at once and share their errors, and the stretch that they cover."""

    keys: tuple[LineKey, ...]
    stretch: Segment


def settings_of(loop: Loop, tool: Tool, assembly: Assembly) -> tuple[Setting, ...]:
    """The settings of a loop's lines, in the order of the way round.

    By hand folds of a piece on one endless line share one, from edge to edge of
    the piece; with a machine, and at a joint, each line has its own.
    """
    found: dict[LineKey, list[tuple[LineKey, Segment]]] = {}
    for index, step in enumerate(loop.steps):
        if step.hinge is not None and step.hinge.angle != 180:
            continue
        key, line = line_key(index, step), _line(step)
        if any(key == known for lines in found.values() for known, _ in lines):
            continue
        first = key
        if tool is Tool.HAND and step.hinge is not None:
            for known, ((_, other), *_) in found.items():
                if known[0] == key[0] and known[1] >= 0 and _on_one_line(line, other):
                    first = known
                    break
        found.setdefault(first, []).append((key, line))
    settings = []
    for (piece, fold, _), lines in found.items():
        stretch = lines[0][1]
        if tool is Tool.HAND and fold >= 0:
            stretch = _across(stretch, assembly.divisions[piece].piece.outline.box())
        settings.append(Setting(keys=tuple(key for key, _ in lines), stretch=stretch))
    return tuple(settings)


def loop_tolerance(
    closing: Closing, assembly: Assembly, profile: Profile, tool: Tool
) -> LoopTolerance | None:
    """What the tolerance of the tool, as the profile gives it, does to a loop.

    None for a loop that does not lie flat, that is turned, or that has nothing
    to fold, and where the profile gives no tolerance above 0.
    """
    way, loop = profile.tools.get(tool), closing.loop
    if way is None or way.tolerance is None or way.tolerance.value <= 0.0:
        return None
    if not lies_flat(loop) or closing.verdict is Verdict.TURNED:
        return None
    settings = settings_of(loop, tool, assembly)
    lines = laid_lines(loop, {key: one.stretch for one in settings for key in one.keys})
    if not lines:
        return None
    tolerance = way.tolerance.value
    gives = profile.gives_mm.value + slack_of(loop)
    stacks = [_Stack.at(place, settings, lines) for place in meeting_places(loop)]
    worst = max(stacks, key=lambda stack: worst_case(stack.every, tolerance, stack.miss))
    # All of those that matter alike, so that rounding does not choose.
    alone = [worst_case(own, tolerance) for own in worst.own]
    matter = sorted(
        key
        for setting, mm in zip(settings, alone, strict=True)
        for key in setting.keys
        if mm >= max(alone) - MEETS_MM
    )
    return LoopTolerance(
        piece=loop.piece,
        loop=loop.name,
        tool=tool,
        tolerance_mm=tolerance,
        gives_mm=gives,
        worst_mm=worst_case(worst.every, tolerance, worst.miss),
        rss_mm=max(root_sum_square(stack.every, tolerance, stack.miss) for stack in stacks),
        matters_most=tuple(_called(key, loop, assembly) for key in matter),
        matters_mm=max(alone),
        largest_mm=min(largest_at_worst(stack.every, gives, stack.miss) for stack in stacks),
        largest_rss_mm=min(largest_by_squares(stack.every, gives, stack.miss) for stack in stacks),
    )


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class MadeLoop:
    """A loop as it is made: what the tool's errors do to it, None where that is not judged."""

    closing: Closing
    reckoned: LoopTolerance | None
    piece: Piece
    profile: Profile

    @property
    def estimated(self) -> bool:
        """Whether a figure that it rests on was not measured."""
        tolerance = None
        if self.reckoned is not None:
            tolerance = self.profile.tools[self.reckoned.tool].tolerance
        figures = [self.profile.gives_mm, *([] if tolerance is None else [tolerance])]
        return any(known.confidence is Confidence.ESTIMATE for known in figures)


_MORE = (", and {} other loop asks for care too", ", and {} other loops ask for care too")


def tolerance_problems(loops: Sequence[MadeLoop], units: Unit) -> Iterator[Problem]:
    """What to say of the loops of a card: one warning or note on all of them, or nothing.

    Nothing of a loop whose own gap is more than the material gives: its design
    comes first.  A warning only where the figures were measured: what follows
    from estimates is a note, and says so.
    """
    for one in loops:
        loop = one.closing.loop
        if one.reckoned is None and not lies_flat(loop):
            yield problem(
                "tolerance-flat-only",
                place=_place(loop, ()),
                piece=one.piece.name,
                at=loop.at.floats(),
                loop=loop.name,
            )
    ranked = [
        (not one.estimated, exceeds, reckoned.rss_mm - reckoned.gives_mm, one, reckoned)
        for one, reckoned, exceeds in _beyond(loops)
    ]
    if not ranked:
        return
    # The first of those that are as bad as each other.
    _, exceeds, _, worst, reckoned = max(ranked, key=lambda row: row[:3])
    loop, others = worst.closing.loop, len(ranked) - 1
    yield problem(
        "tolerance-exceeds" if exceeds else "tolerance-at-worst",
        place=_place(loop, reckoned.matters_most),
        piece=worst.piece.name,
        at=loop.at.floats(),
        measure_mm=reckoned.rss_mm if exceeds else reckoned.worst_mm,
        mend=_mend(worst.closing, reckoned, exceeds, units),
        tool=reckoned.tool.value,
        loop=loop.name,
        tolerance=figure(reckoned.tolerance_mm, units),
        rss=_rounded(reckoned.rss_mm, units),
        worst=_rounded(reckoned.worst_mm, units),
        gives=figure(reckoned.gives_mm, units),
        known=" (by figures that are estimates)" if worst.estimated else "",
        more="" if not others else _MORE[others > 1].format(others),
        severity=Severity.NOTE if worst.estimated else None,
    )


def _beyond(loops: Sequence[MadeLoop]) -> Iterator[tuple[MadeLoop, LoopTolerance, bool]]:
    """The loops that may miss by more than the material gives, and whether they do as a rule."""
    for one in loops:
        reckoned = one.reckoned
        if reckoned is None or (one.closing.gap_mm or 0.0) > reckoned.gives_mm:
            continue
        if reckoned.worst_mm > reckoned.gives_mm:
            yield one, reckoned, reckoned.rss_mm > reckoned.gives_mm


def profile_problems(piece: Piece, profile: Profile, tool: Tool, units: Unit) -> Iterator[Problem]:
    """What is odd about the tolerance that a profile gives, for a piece: nothing or one problem."""
    way = profile.tools.get(tool)
    if way is None or way.tolerance is None:
        return
    left, bottom, right, top = piece.outline.box()
    side = min(right - left, top - bottom)
    if way.tolerance.value <= 0.0:
        yield problem(
            "tolerance-zero",
            place=way.tolerance.place,
            piece=piece.name,
            material=profile.name,
            tool=tool.value,
        )
    elif way.tolerance.value >= side:
        yield problem(
            "tolerance-too-large",
            place=way.tolerance.place,
            piece=piece.name,
            measure_mm=way.tolerance.value,
            material=profile.name,
            tool=tool.value,
            tolerance=figure(way.tolerance.value, units),
            side=figure(side, units),
        )


@dataclass(frozen=True, slots=True)
class _Stack:
    """All errors of a loop at one place where panels should meet: generators, and those by setting.

    `miss` is what the design itself misses there.
    """

    miss: Pair
    own: tuple[tuple[Pair, ...], ...]

    @classmethod
    def at(
        cls, place: MeetingPlace, settings: Sequence[Setting], lines: Sequence[LaidLine]
    ) -> _Stack:
        """The stack at a place; the columns of lines in one setting are added up end by end."""
        columns = columns_of(lines, place.at)
        own = []
        for setting in settings:
            sums: dict[int, Pair] = {}
            for column in columns:
                if column.key in setting.keys:
                    x, y = sums.get(column.end, (0.0, 0.0))
                    sums[column.end] = (x + column.pull[0], y + column.pull[1])
            own.append(tuple(sums.values()))
        return cls(place.miss, tuple(own))

    @property
    def every(self) -> list[Pair]:
        """The generators of all settings."""
        return [pull for own in self.own for pull in own]


def _line(step: Step) -> Segment:
    return step.joint_lines()[0] if step.hinge is None else step.hinge.line


def _on_one_line(a: Segment, b: Segment) -> bool:
    """Whether two segments lie on one endless line: parallel, and within 1 µm of it."""
    # In floats: this is asked for every pair of lines.
    (x0, y0), (x1, y1), (x2, y2) = b.start.floats(), b.end.floats(), a.start.floats()
    x3, y3 = a.end.floats()
    ux, uy, vx, vy = x1 - x0, y1 - y0, x3 - x2, y3 - y2
    length = math.hypot(ux, uy)
    if abs(ux * vy - uy * vx) > SAME_DIRECTION_RAD * length * math.hypot(vx, vy):
        return False
    return abs(ux * (y2 - y0) - uy * (x2 - x0)) <= MEETS_MM * length


def _across(line: Segment, box: tuple[float, float, float, float]) -> Segment:
    """The stretch of an endless line that a box holds, heading the same way.

    The line as it is where it runs along the box or past it.
    """
    (x, y), (x1, y1) = line.start.floats(), line.end.floats()
    first, last = -math.inf, math.inf
    for at, by, low, high in ((x, x1 - x, box[0], box[2]), (y, y1 - y, box[1], box[3])):
        if by != 0.0:
            enters, leaves = sorted(((low - at) / by, (high - at) / by))
            first, last = max(first, enters), min(last, leaves)
    if not first < last:
        return line
    return Segment(
        Point(x + first * (x1 - x), y + first * (y1 - y)),
        Point(x + last * (x1 - x), y + last * (y1 - y)),
    )


def _called(key: LineKey, loop: Loop, assembly: Assembly) -> str:
    piece, fold, _ = key
    if fold >= 0:
        return assembly.divisions[piece].piece.folds[fold].name
    joint = loop.steps[-1 - fold].joint
    return "" if joint is None else told("joint", joint.joint.name)


def _place(loop: Loop, names: Sequence[str]) -> Place:
    """Where in the file the first of the named lines is written, or else the loop's first line."""
    places = [
        (step.label.partition("#")[0], step.hinge.place)
        for step in loop.steps
        if step.hinge is not None
    ]
    named = [place for label, place in places if label in names]
    return (named or [place for _, place in places] or [Place()])[0]


def _mend(closing: Closing, reckoned: LoopTolerance, exceeds: bool, units: Unit) -> str:
    """How exact the lines would have to be, and which to watch."""
    largest = reckoned.largest_rss_mm if exceeds else reckoned.largest_mm
    enough = "as a rule" if exceeds else "always"
    names = reckoned.matters_most
    lines = {line_key(i, step) for i, step in enumerate(closing.loop.steps)}
    if len(names) == len(lines) and len(names) > 1:
        watch = "set every line with care, for they count alike"
    else:
        told_of = (name if name.startswith("joint ") else told("fold", name) for name in names)
        watch = f"set {' and '.join(told_of)} with the most care"
    near = f"lines within {told_down(largest, units)} {enough} need no such care"
    return f"{watch}, and make one on a scrap first; {near}"


def _rounded(value: float, units: Unit) -> str:
    """An estimate for a message: to a hundredth of a mm, or a thousandth where it is small."""
    return figure(round(value, 2 if value >= 0.1 else 3), units)


def told_down(value: float, units: Unit) -> str:
    """A limit to a thousandth of the unit, rounded down: all that is told is still good.

    One below a thousandth of an inch is told in mm.
    """
    for unit in (units, Unit.MM):
        whole = math.floor(value / float(unit.mm) * 1000.0 + 1e-9)
        if whole > 0:
            return figure(whole / 1000.0 * float(unit.mm), unit)
    return figure(value, units)
