"""This module proves what is cut with the plies of the closed card at their heights.

The proof of a design has no thickness.  Here each fold asks for the length that it takes up
for what it wraps, the lines are moved so that it gets it, as far as the sheet stays one sheet,
and the moved lines are measured: what a fold then lacks is what its loops do not close by.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from foldwright.profiles.model import Profile, Tool, ToolWay

from ..design.pieces import Piece
from ..folding import Closing
from ..folding.skeleton import HingeKey
from ..measures.exact import MEETS_MM, ROUNDING_MM
from ..panels import Assembly, Division
from ..panels.displaced import NotTheSame, displaced
from ..stacking.allowances import displacements, granted, wants_of
from ..stacking.heights import Wrap, wraps_of
from ..stacking.order import PlyOrder
from ..stacking.paper import Floats
from ..stacking.recovered import moves_between
from .materials import calipers_of, profile_of
from .model import ClosedStack, Kept, PieceThickness


def thickness_proofs(
    assembly: Assembly,
    closings: Mapping[str, Sequence[Closing]],
    profiles: Mapping[str, Profile | None],
    tool: Tool,
    stack: ClosedStack,
) -> tuple[PieceThickness, ...]:
    """Every piece that its tool scores, with the plies of the closed card at their heights.

    None where the order of the plies, or the caliper of one, is not known.
    """
    if not isinstance(stack.order, PlyOrder) or stack.thickness.stocks:
        return ()
    calipers = calipers_of(profiles)
    wraps = wraps_of(assembly, stack.cover, stack.order, stack.thickness, calipers)
    tied = _tied([one for ones in closings.values() for one in ones])
    found = []
    for name, division in assembly.divisions.items():
        profile = profile_of(profiles, division.piece.stock)
        way = scoring_way(profile, tool)
        if profile is not None and way is not None:
            found.append(_proved(division, closings[name], wraps, tied, profile, way))
    return tuple(found)


def scoring_way(profile: Profile | None, tool: Tool) -> ToolWay | None:
    """What a tool needs for a material, None where it does not score it."""
    way = None if profile is None else profile.tools.get(tool)
    if way is None or way.refused is not None or way.score is None or way.tolerance is None:
        return None
    return way


def _proved(
    division: Division,
    closings: Sequence[Closing],
    wraps: Mapping[HingeKey, Wrap],
    all_tied: frozenset[HingeKey],
    profile: Profile,
    way: ToolWay,
) -> PieceThickness:
    assert way.score is not None
    assert way.tolerance is not None
    name = division.piece.name
    wants = wants_of(division, wraps, way.score.allowance.value, profile.caliper.value)
    tied = frozenset(index for piece, index in all_tied if piece == name)
    asked = wants.copy()
    asked[sorted(tied)] = 0.0
    moves = displacements(division, asked)
    largest = float(np.hypot(*moves.T).max(initial=0.0))
    piece, given, kept, why = division.piece, np.zeros_like(wants), None, ""
    if largest > ROUNDING_MM:
        unmoved = [_gap(one, _lengths(asked), tied) or 0.0 for one in closings]
        felt = max(unmoved, default=0.0) > profile.gives_mm.value
        # What the material would feel in a loop is worth a move that the tool may miss.
        if largest < way.tolerance.value and not felt:
            kept = Kept.SMALL
        else:
            try:
                piece, given = _moved(division, moves)
            except NotTheSame as changed:
                kept, why = Kept.CHANGED, str(changed)
    lacks = _lengths(asked - given)
    return PieceThickness(
        designed=division.piece,
        piece=piece,
        wraps={index: wrap for (of, index), wrap in wraps.items() if of == name},
        wants_mm=tuple(_lengths(wants)),
        gets_mm=tuple(_along(given, wants)),
        lacks_mm=tuple(lacks),
        gaps_mm=tuple(_gap(one, lacks, tied) for one in closings),
        tied=tied,
        moves_mm=largest,
        kept=kept,
        why=why,
    )


def _moved(division: Division, moves: Floats) -> tuple[Piece, Floats]:
    """The piece with its lines moved, and how much sheet those lines give each hinge, [h, 2]."""
    after = displaced(division, moves)
    return after.piece, granted(division, moves_between(division, after))


def _lengths(vectors: Floats) -> list[float]:
    # What is less than a thousandth of a micrometre is rounding of the solution.
    lengths: list[float] = np.hypot(*vectors.reshape(-1, 2).T).tolist()
    return [0.0 if length <= MEETS_MM * 1e-3 else length for length in lengths]


def _along(given: Floats, wants: Floats) -> list[float]:
    """How much each hinge gets in the direction that it wants, or at all where it wants nothing."""
    found = []
    for get, want in zip(given, wants, strict=True):
        length = float(np.hypot(*want))
        found.append(float(get @ want) / length if length > 0.0 else float(np.hypot(*get)))
    return found


def _gap(closing: Closing, lacks: Sequence[float], tied: frozenset[int]) -> float | None:
    """The most that a hinge of a loop lacks; None where glue ties it."""
    hinges = [step.hinge for step in closing.loop.steps]
    if any(hinge is None or hinge.index in tied for hinge in hinges):
        return None
    return max((lacks[hinge.index] for hinge in hinges if hinge is not None), default=0.0)


def _tied(closings: Sequence[Closing]) -> frozenset[HingeKey]:
    """The hinges that a way round can lead over together with a joint.

    Loops that share a hinge or a joint belong together: round any two of their steps
    leads one way that comes back to its start.
    """
    group: dict[object, object] = {}

    def root(one: object) -> object:
        while group.setdefault(one, one) != one:
            one = group[one]
        return one

    joints: list[object] = []
    hinges: list[HingeKey] = []
    for closing in closings:
        steps: list[object] = []
        for step in closing.loop.steps:
            if step.hinge is not None:
                key = (step.before[0], step.hinge.index)
                hinges.append(key)
                steps.append(key)
            elif step.joint is not None:
                joints.append(id(step.joint))
                steps.append(id(step.joint))
        for one in steps[1:]:
            group[root(one)] = root(steps[0])
    glued = {root(joint) for joint in joints}
    return frozenset(key for key in hinges if root(key) in glued)
