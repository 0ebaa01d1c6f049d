"""This module proves a design: divides, folds, judges, mends, and gives all as one value."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from foldwright.profiles.model import Profile, Tool
from foldwright.profiles.ways import way_for

from ..design import Design, Resolved, resolve
from ..folding import Closing, Verdict, closed_size, closing, loops_of
from ..folding.gluing import gluing_order, gluing_problems
from ..folding.holds import pose_problems
from ..measures import Ruler, Unit
from ..panels import Assembly, Division, assemble, divide
from ..problems import Collector, Problem, problem
from .judging import judged
from .limits import limit_problems
from .materials import calipers_of, materials_of, profile_of
from .model import Closed, ClosedStack, LoopTolerance, Mend, PieceProof, PieceThickness, Proof
from .sheets import sheet_problems

TYPE_CHECKING = False
if TYPE_CHECKING:
    # Its module needs numpy.
    from .in_space import InSpace, SpillMending
    from .spill_mends import SpillMend

_NONE: Mapping[str, str] = MappingProxyType({})

# From best to worst; within a verdict the larger gap is worse.
_RANKS = {
    Verdict.CLOSES: 0,
    Verdict.GAPES: 1,
    Verdict.BUCKLES: 1,
    Verdict.TURNED: 2,
    Verdict.UNPROVEN: 3,
}


def prove_design(
    design: Design,
    *,
    materials: Sequence[str] = (),
    tool: Tool | None = None,
    variant: str | None = None,
    overrides: Mapping[str, str] = _NONE,
    ruler: Ruler | None = None,
) -> Proof:
    """Prove a design as it stands, or one edition of it.

    `materials` are texts such as `card-200`, or `card=card-200` for one stock.
    A `tool` is asked of every material that the card is cut from, so that one that
    refuses it says so now; what goes on and round a card may be cut with another one.
    `variant` and `overrides` are those of `resolve`.  A `ruler` is the one
    that mends of measures lie on, in place of the coarsest that will do.

    Raises DesignError for a design that cannot be resolved, ProfileError,
    PlugInError and FileError for a material that cannot be used.
    """
    profiles = materials_of(design, materials, variant)
    calipers = calipers_of(profiles)

    def again(more: Mapping[str, str]) -> Resolved:
        return resolve(design, calipers, {**overrides, **more}, variant)

    resolved = again({})
    if tool is not None:
        for piece in resolved.pieces:
            profile = profile_of(profiles, piece.stock)
            if profile is not None:
                way_for(profile, tool)

    def closed_card(other: Resolved) -> Proof:
        return prove(other, profiles, whole=False)

    def spill_mending(spill_mm: float) -> tuple[SpillMend, ...]:
        # Most cards spill nothing, and need none of it.
        from .spill_trials import mends_of_spill

        return mends_of_spill(spill_mm, design, resolved, again, overrides, closed_card, ruler)

    proof = prove(resolved, profiles, tool, spill_mending=spill_mending)
    if proof.verdict not in (Verdict.GAPES, Verdict.BUCKLES):
        return proof
    # Most designs close, and need none of it.
    from .measure_mends import Trial
    from .mending import with_measure_mends

    trial = Trial(
        resolved=again,
        proved=closed_card,
    )
    return with_measure_mends(proof, design, overrides, trial, ruler)


def prove(
    resolved: Resolved,
    profiles: Mapping[str, Profile | None],
    tool: Tool | None = None,
    *,
    whole: bool = True,
    spill_mending: SpillMending | None = None,
) -> Proof:
    """Prove a resolved design in given materials, one profile a stock.

    Of a proof that is not `whole` only the closed card is judged: no lines to move
    are looked for and no poses, which take most of the time.  `spill_mending` gives the
    measures that end a spill.
    """
    units = Unit(resolved.units)
    found = Collector()
    found.extend(resolved.notes)
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    for division in divisions.values():
        found.extend(division.problems)
    sound = {name: one for name, one in divisions.items() if not _stopped(one)}
    assembly = assemble(divisions, resolved.joints if len(sound) == len(divisions) else ())
    found.extend(assembly.problems)
    if len(sound) == len(divisions):
        for pose in resolved.poses:
            found.extend(tuple(pose_problems(pose, assembly)))
        found.extend(tuple(gluing_problems(assembly)))
    closings: dict[str, list[Closing]] = {name: [] for name in divisions}
    for loop in loops_of(assembly):
        if loop.piece in sound:
            closings[loop.piece].append(closing(loop))
    every = [one for ones in closings.values() for one in ones]
    mended: tuple[Mend, ...] = ()
    if whole and any(one.verdict is not Verdict.CLOSES for one in every):
        # Most designs close, and need none of it.
        from .mends import mends

        mended = tuple(mend for name in sound for mend in mends(assembly, name, every, units))
    for name, division in sound.items():
        profile = profile_of(profiles, division.piece.stock)
        gives = 0.0 if profile is None else profile.gives_mm.value
        found.extend(tuple(judged(closings[name], gives, mended, units)))
    closed = _closed(resolved, divisions, sound)
    space: InSpace | None = None
    if whole and closed is not None:
        # It needs numpy, and lines that cannot be judged do not.
        from .in_space import in_space

        space = in_space(resolved, assembly, every, profiles, closed, spill_mending)
        closed = space.closed
        found.extend(space.findings)
    reckoned = _tolerances(assembly, sound, closings, profiles, tool, units, found)
    stack = None if space is None else space.stack
    thick = _thickness(assembly, closings, profiles, tool, space, units, found)
    found.extend(tuple(limit_problems(resolved.limits, closed, stacked=stack is not None)))
    found.extend(tuple(sheet_problems(resolved)))
    found.extend(tuple(_notes(resolved, profiles, stack)))
    worst = max(
        every,
        key=lambda one: (_RANKS[one.verdict], one.gap_mm or 0.0),
        default=None,
    )
    verdict = Verdict.CLOSES if worst is None else worst.verdict
    if len(sound) < len(divisions):
        verdict = Verdict.UNPROVEN
    return Proof(
        resolved=resolved,
        profiles=MappingProxyType(dict(profiles)),
        tool=tool,
        assembly=assembly,
        pieces=tuple(
            PieceProof(division=division, closings=tuple(closings[name]))
            for name, division in divisions.items()
        ),
        findings=found.problems,
        mends=mended,
        closed=closed,
        verdict=verdict,
        gap_mm=max((one.gap_mm or 0.0 for one in every), default=0.0),
        tolerances=reckoned,
        poses=() if space is None else space.poses,
        closed_stack=stack,
        gluing=gluing_order(assembly),
        thickness=thick,
    )


def _thickness(
    assembly: Assembly,
    closings: Mapping[str, Sequence[Closing]],
    profiles: Mapping[str, Profile | None],
    tool: Tool | None,
    space: InSpace | None,
    units: Unit,
    found: Collector,
) -> tuple[PieceThickness, ...]:
    """The pieces with their plies at their heights; what there is to say of it goes to `found`."""
    if tool is None or space is None:
        return ()
    # Most proofs are made without a tool and need none of it.
    from .thickness_judging import thickness_problems, unknown_allowances
    from .thickness_proof import thickness_proofs

    flat = all(one.rule != "closed-not-flat" for one in space.findings)
    found.extend(tuple(unknown_allowances(assembly, profiles, tool, space.stack, flat=flat)))
    if space.stack is None:
        return ()
    proofs = thickness_proofs(assembly, closings, profiles, tool, space.stack)
    found.extend(tuple(thickness_problems(proofs, assembly, closings, profiles, tool, units)))
    return proofs


def _tolerances(
    assembly: Assembly,
    sound: Mapping[str, Division],
    closings: Mapping[str, Sequence[Closing]],
    profiles: Mapping[str, Profile | None],
    tool: Tool | None,
    units: Unit,
    found: Collector,
) -> tuple[LoopTolerance, ...]:
    """What the tool's errors do to each loop; what there is to say of it goes to `found`."""
    if tool is None:
        return ()
    # Most proofs are made without a tool and need none of it.
    from .tolerance import MadeLoop, loop_tolerance, profile_problems, tolerance_problems

    made = []
    for name, division in sound.items():
        profile = profile_of(profiles, division.piece.stock)
        if profile is None or not closings[name]:
            continue
        odd = tuple(profile_problems(division.piece, profile, tool, units))
        found.extend(odd)
        for one in closings[name] if not odd else ():
            tolerance = loop_tolerance(one, assembly, profile, tool)
            made.append(
                MadeLoop(closing=one, reckoned=tolerance, piece=division.piece, profile=profile)
            )
    found.extend(tuple(tolerance_problems(made, units)))
    return tuple(one.reckoned for one in made if one.reckoned is not None)


def _stopped(division: Division) -> bool:
    collector = Collector()
    collector.extend(division.problems)
    return collector.stopped


def _closed(
    resolved: Resolved, divisions: Mapping[str, Division], sound: Mapping[str, Division]
) -> Closed | None:
    if not resolved.pieces or len(sound) < len(divisions):
        return None
    width, height = closed_size(sound[resolved.pieces[0].name])
    # Rounding of double precision must not show in a size.
    return Closed(width_mm=round(width, 6), height_mm=round(height, 6))


def _notes(
    resolved: Resolved, profiles: Mapping[str, Profile | None], stack: ClosedStack | None
) -> list[Problem]:
    notes = []
    for piece in {piece.stock: piece for piece in reversed(resolved.pieces)}.values():
        if profile_of(profiles, piece.stock) is None:
            known = None if piece.stock is None else resolved.stocks.get(piece.stock)
            notes.append(
                problem(
                    "material-unknown",
                    place=piece.place if known is None else known.place,
                    piece=piece.name,
                    what=f'the piece "{piece.name}"'
                    if piece.stock is None
                    else f'the stock "{piece.stock}"',
                )
            )
    if len(resolved.pieces) > 1 and (stack is None or stack.cover.apart):
        first = resolved.pieces[0]
        notes.append(problem("first-piece-measured", place=first.place, piece=first.name))
    return notes
