"""This module turns plies at their heights into findings: moved lines, and what folds lack."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from foldwright.profiles.model import Profile, Tool

from ..folding import Closing
from ..measures import Unit
from ..measures.exact import MEETS_MM
from ..panels import Assembly, Division, Hinge, told
from ..problems import Problem, problem
from ..stacking.heights import Wrap, is_shut
from ..stacking.order import Undecided
from .judging import figure, severity_within
from .materials import profile_of
from .model import ClosedStack, Kept, PieceThickness
from .names import listed, panel_text
from .thickness_proof import scoring_way


def thickness_problems(
    proofs: Sequence[PieceThickness],
    assembly: Assembly,
    closings: Mapping[str, Sequence[Closing]],
    profiles: Mapping[str, Profile | None],
    tool: Tool,
    units: Unit,
) -> Iterator[Problem]:
    """The findings on plies at their heights.

    What neither the tool can place nor the material feels is not told.
    """
    for one in proofs:
        division = assembly.divisions[one.designed.name]
        profile = profile_of(profiles, one.designed.stock)
        way = scoring_way(profile, tool)
        if profile is None or way is None or way.tolerance is None:
            continue
        gives, tolerance = profile.gives_mm.value, way.tolerance
        if one.kept is None and one.piece is not one.designed:
            yield _made(one, division, assembly, units)
        if one.kept is Kept.SMALL and max(one.lacks_mm) > gives:
            yield problem(
                "allowance-too-small",
                **_of(one, division, assembly, units, gives),
                tolerance=figure(tolerance.value, units),
                figure=tolerance.place.prefix() or f'the material "{profile.name}"',
            )
        if one.kept is Kept.CHANGED:
            yield problem(
                "allowance-lines-kept", **_of(one, division, assembly, units, gives), why=one.why
            )
        yield from _gaps(
            one,
            division,
            assembly,
            closings[one.designed.name],
            units,
            profile,
            way.tolerance.value,
        )
        yield from _glued(one, division, assembly, units, gives)


def unknown_allowances(
    assembly: Assembly,
    profiles: Mapping[str, Profile | None],
    tool: Tool,
    stack: ClosedStack | None,
    *,
    flat: bool,
) -> Iterator[Problem]:
    """The note that it is not known what folds wrap, for the first piece that it matters for.

    Not for a card that does not close, or cannot be folded: that is told already.
    """
    if stack is None:
        if flat:
            return
        why = "the closed card does not lie flat"
        hint = "make a sample first, and move its folds by what they lack"
    elif isinstance(stack.order, Undecided):
        why, hint = "the order of the plies is not", 'install the extra "layers", which decides it'
    elif stack.thickness.stocks:
        why = "not every ply has a material"
        hint = "give each stock a material, in the design or with --material"
    else:
        return
    for name, division in assembly.divisions.items():
        folded = any(is_shut(hinge) for hinge in division.hinges)
        if folded and scoring_way(profile_of(profiles, division.piece.stock), tool) is not None:
            yield problem(
                "allowance-unknown", place=division.piece.place, piece=name, why=why, hint=hint
            )
            return


def clear_for(wrap: Wrap, length_mm: float) -> float:
    """How far short of a fold its pack has to end to take up no more than `length_mm`, in mm.

    sqrt(4 c² + h²) - 2 c = l, solved for c.
    """
    return max(0.0, (wrap.height_mm**2 - length_mm**2) / (4.0 * length_mm))


def _of(
    one: PieceThickness, division: Division, assembly: Assembly, units: Unit, gives: float
) -> dict[str, Any]:
    worst = max(range(len(one.lacks_mm)), key=lambda index: (one.lacks_mm[index], -index))
    hinge = division.hinges[worst]
    return {
        "place": hinge.place,
        "piece": one.designed.name,
        "at": _middle(hinge),
        "measure_mm": one.lacks_mm[worst],
        "folds": _wrapping(one, division, assembly, units),
        "most": figure(round(one.moves_mm, 3), units),
        "hint": _hint(one, hinge, units, gives),
    }


def _made(one: PieceThickness, division: Division, assembly: Assembly, units: Unit) -> Problem:
    return problem(
        "allowance-made",
        place=one.designed.place,
        piece=one.designed.name,
        measure_mm=one.moves_mm,
        most=figure(round(one.moves_mm, 3), units),
        folds=_wrapping(one, division, assembly, units),
        size=_size(one.piece.outline.box(), units),
        before=_size(one.designed.outline.box(), units),
    )


def _size(box: tuple[float, float, float, float], units: Unit) -> str:
    left, bottom, right, top = box
    return " by ".join(figure(round(side, 3), units) for side in (right - left, top - bottom))


def _wrapping(one: PieceThickness, division: Division, assembly: Assembly, units: Unit) -> str:
    """Which folds wrap what, those that take up most first."""
    order = sorted(
        (index for index in one.wraps if index not in one.tied and one.wants_mm[index] > MEETS_MM),
        key=lambda index: (-round(one.wants_mm[index], 6), index),
    )
    return listed([_wraps(one, division.hinges[index], assembly, units) for index in order])


def _wraps(one: PieceThickness, hinge: Hinge, assembly: Assembly, units: Unit) -> str:
    pack = _pack(one.wraps[hinge.index], assembly)
    takes = figure(round(one.wants_mm[hinge.index], 3), units)
    return f"{told('fold', hinge.label)} takes up {takes} round {pack}"


def _pack(wrap: Wrap, assembly: Assembly) -> str:
    return (
        listed([panel_text(key, assembly) for key in wrap.panels])
        if wrap.panels
        else ("what is glued on there")
    )


def _gaps(
    one: PieceThickness,
    division: Division,
    assembly: Assembly,
    closings: Sequence[Closing],
    units: Unit,
    profile: Profile,
    tolerance_mm: float,
) -> Iterator[Problem]:
    gives = profile.gives_mm.value
    for closing, gap in zip(closings, one.gaps_mm, strict=True):
        if gap is None or (gap <= gives and gap < tolerance_mm) or gap <= MEETS_MM:
            continue
        hinges = [step.hinge for step in closing.loop.steps if step.hinge is not None]
        # Of folds that lack alike the one that wraps something, then the first in the file.
        worst = max(
            hinges,
            key=lambda hinge: (
                round(one.lacks_mm[hinge.index], 6),
                hinge.index in one.wraps,
                -hinge.index,
            ),
        )
        gets = one.gets_mm[worst.index]
        if worst.index in one.wraps:
            detail = (
                f"{_wraps(one, worst, assembly, units)} and gets {figure(round(gets, 3), units)}"
            )
        else:
            fold = told("fold", worst.label)
            detail = f"{fold} wraps nothing and gets {figure(round(gets, 3), units)}"
        yield problem(
            "thickness-gap",
            severity=severity_within(gap, gives),
            place=worst.place,
            piece=one.designed.name,
            at=_middle(worst),
            measure_mm=gap,
            loop=closing.loop.name,
            of=closing.loop.piece,
            gap=figure(round(gap, 3), units),
            detail=detail,
            hint=_hint(one, worst, units, gives),
        )


def _glued(
    one: PieceThickness, division: Division, assembly: Assembly, units: Unit, gives: float
) -> Iterator[Problem]:
    for index in sorted(one.tied):
        if one.wants_mm[index] > gives:
            hinge = division.hinges[index]
            yield problem(
                "allowance-glued",
                place=hinge.place,
                piece=one.designed.name,
                at=_middle(hinge),
                measure_mm=one.wants_mm[index],
                folds=_wraps(one, hinge, assembly, units),
                hint=_hint(one, hinge, units, gives),
            )


def _hint(one: PieceThickness, hinge: Hinge, units: Unit, gives: float) -> str:
    """What to do about a fold that lacks length."""
    wrap = one.wraps.get(hinge.index)
    if wrap is None or gives <= 0.0 or one.wants_mm[hinge.index] <= gives:
        return "use thinner stock, or let fewer plies lie in its folds"
    # The pack ends where the fold takes up no more than the material forgives.
    share = wrap.length_mm / one.wants_mm[hinge.index]
    clear = math.ceil(clear_for(wrap, gives * share) * 10.0) / 10.0
    return (
        f"use thinner stock, or let what lies in {told('fold', hinge.label)} end "
        f"{figure(clear, units)} short of it"
    )


def _middle(hinge: Hinge) -> tuple[float, float]:
    (x0, y0), (x1, y1) = hinge.start.floats(), hinge.end.floats()
    return (x0 + x1) / 2.0, (y0 + y1) / 2.0
