"""This module turns poses into findings: what strains, bends, clashes, what nothing holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import dist

from foldwright.profiles.model import Profile

from ..folding import Step
from ..folding.freedom import Freedom
from ..folding.gaps import PoseGap
from ..folding.holds import panel_of
from ..folding.loops import Loop, way_between
from ..folding.poses import Outcome, TouchGap, meets
from ..folding.skeleton import HingeKey
from ..folding.table import off_the_table
from ..geometry import Segment
from ..measures import Unit
from ..measures.exact import MEETS_MM, ROUNDING_DEG
from ..panels import Assembly, told
from ..problems import Place, Problem, Severity, problem
from ..stacking import Clash, WayClash
from .judging import figure, severity_of_gap, severity_within
from .materials import profile_of
from .model import PoseProof
from .names import MOST_NAMES, in_a_row, panel_text

# How far a fold can be turned.
_SHUT_DEG = 180.0


def pose_findings(
    poses: Sequence[PoseProof],
    assembly: Assembly,
    profiles: Mapping[str, Profile | None],
    units: Unit,
) -> Iterator[Problem]:
    """The findings on all poses, in their order."""
    for pose in poses:
        if pose.folded.outcome is Outcome.NOT_CONVERGED:
            yield problem("pose-not-found", place=pose.place, pose=pose.name)
            continue
        # A sleeve of one piece never opens; a card with something glued in should.
        if pose.asked is not None or (pose.name == "open" and len(assembly.divisions) > 1):
            yield from _strained(pose, assembly, profiles, units)
            yield from _untouched(pose, assembly, profiles, units)
        yield from _bends(pose, assembly, units)
        yield from _clashes(pose, assembly)
        if pose.asked is not None:
            yield from _loose(pose, assembly)
            yield from _against(pose, assembly)
            yield from _off_the_table(pose, assembly, units)


def _strained(
    pose: PoseProof,
    assembly: Assembly,
    profiles: Mapping[str, Profile | None],
    units: Unit,
) -> Iterator[Problem]:
    gap = pose.folded.worst
    if pose.folded.outcome is not Outcome.STRAINED or gap is None or meets(gap):
        return
    piece = gap.loop.steps[gap.step].after[0]
    if pose.asked is None:
        ring = _glued_to_itself(gap.loop)
        yield problem(
            "does-not-open",
            severity=Severity.NOTE if ring else Severity.WARN,
            place=assembly.divisions[piece].piece.place,
            piece=piece,
            at=gap.at.floats(),
            measure_mm=gap.mm,
            hint=_STAYS_GLUED if ring else _OPEN_LESS,
            **_gap_fields(gap, units),
        )
        return
    yield problem(
        "pose-strained",
        severity=severity_of_gap(gap.mm, gap.loop, _gives(piece, assembly, profiles)),
        place=pose.place,
        piece=piece,
        at=gap.at.floats(),
        measure_mm=gap.mm,
        pose=pose.name,
        hint=_other_holds(pose, assembly),
        **_gap_fields(gap, units),
    )


_STAYS_GLUED = "leave it as it is if it is a tube or a pocket, which stays glued"
_OPEN_LESS = "open it less far, or change the lengths of what is glued in"


def _glued_to_itself(loop: Loop) -> bool:
    """Whether every joint of a loop glues two panels of one piece, as those of a tube do."""
    joints = [step.joint for step in loop.steps if step.joint is not None]
    return bool(joints) and all(joint.glued[0] == joint.to[0] for joint in joints)


def _untouched(
    pose: PoseProof,
    assembly: Assembly,
    profiles: Mapping[str, Profile | None],
    units: Unit,
) -> Iterator[Problem]:
    """Lines that should lie on each other in the pose and do not."""
    for touch in () if pose.asked is None else pose.asked.touches:
        line = panel_of(touch.line.piece, touch.line.panel, assembly)
        to = panel_of(touch.to.piece, touch.to.panel, assembly)
        if line is not None and to is not None and way_between(assembly, line, to) is None:
            yield problem(
                "touch-across-nothing",
                place=touch.place,
                piece=line[0],
                touch=f'{told("touch", touch.name)} of pose "{pose.name}"',
            )
    gap = pose.folded.untouched
    if gap is not None:
        touch = gap.touch.touch
        gives = _gives(touch.line.piece, assembly, profiles)
        yield problem(
            "touch-not-met",
            severity=severity_within(gap.mm, gives),
            place=touch.place,
            piece=touch.line.piece,
            at=Segment(touch.line.start, touch.line.end).middle.floats(),
            measure_mm=gap.mm,
            touch=told("touch", touch.name),
            pose=pose.name,
            gap=figure(gap.mm, units),
            hint=_TURN_ROUND if _met_turned_round(pose, gap) else _other_holds(pose, assembly),
        )


_TURN_ROUND = "give the two ends of one of its lines in the other order"


def _met_turned_round(pose: PoseProof, gap: TouchGap) -> bool:
    """Whether the lines lie on each other, but each end on the other one's other end."""
    line, to = gap.touch.touch.line, gap.touch.touch.to
    here, there = pose.placed[gap.touch.line], pose.placed[gap.touch.to]
    return all(
        dist(here.apply(one), there.apply(other)) <= MEETS_MM
        for one, other in ((line.start, to.end), (line.end, to.start))
    )


def _gives(piece: str, assembly: Assembly, profiles: Mapping[str, Profile | None]) -> float:
    profile = profile_of(profiles, assembly.divisions[piece].piece.stock)
    return 0.0 if profile is None else profile.gives_mm.value


def _other_holds(pose: PoseProof, assembly: Assembly) -> str:
    held = sorted(pose.folded.held)
    if not held:
        return "move one of the lines that touch"
    angles = "another angle" if len(held) == 1 else "other angles"
    return f"hold fewer folds, or hold {_folds(held, assembly)} at {angles}"


def _gap_fields(gap: PoseGap, units: Unit) -> dict[str, str]:
    turn = f", turned by {gap.turn_deg:.3g} degrees" if gap.turn_deg > ROUNDING_DEG else ""
    return {
        "fold": _step(gap.loop.steps[gap.step]),
        "loop": gap.loop.name,
        "of": gap.loop.piece,
        "gap": figure(gap.mm, units),
        "turn": turn,
    }


def _step(step: Step) -> str:
    return told("fold", step.label) if step.hinge is not None else step.label


def _way(pose: PoseProof, assembly: Assembly) -> str:
    if pose.name == "closed":
        return "between open and closed" if assembly.joints else "between flat and closed"
    return f'on the way to the pose "{pose.name}"'


def _share(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _place(pose: PoseProof, piece: str, assembly: Assembly) -> Place:
    """Where the file speaks of a pose, or of the piece where it does not name the pose."""
    return assembly.divisions[piece].piece.place if pose.asked is None else pose.place


def _bends(pose: PoseProof, assembly: Assembly, units: Unit) -> Iterator[Problem]:
    gap = pose.folded.bends
    if gap is None or pose.folded.bends_share is None:
        return
    yield problem(
        "bends-on-the-way",
        place=_place(pose, gap.loop.steps[gap.step].after[0], assembly),
        piece=gap.loop.steps[gap.step].after[0],
        at=gap.at.floats(),
        measure_mm=gap.mm,
        way=_way(pose, assembly),
        share=_share(pose.folded.bends_share),
        **_gap_fields(gap, units),  # type: ignore[arg-type]
    )


def _clashes(pose: PoseProof, assembly: Assembly) -> Iterator[Problem]:
    there = {(clash.first, clash.second) for clash in pose.clashes}
    for clash in pose.clashes:
        yield _clash("clash", clash, pose, assembly)
    # Where more than one motion leads there, another may get round it.
    severity = Severity.WARN if _forced(pose) else Severity.NOTE
    turned = [point.turned for point in pose.folded.way]
    passing: list[WayClash] = []
    for passed in pose.clashes_on_way:
        clash = passed.clash
        if (clash.first, clash.second) in there:
            continue
        fold = _beyond_shut(clash, turned, assembly)
        if fold is None:
            passing.append(passed)
        else:
            yield problem(
                "beyond-shut",
                severity=severity,
                place=_place(pose, fold[0], assembly),
                piece=fold[0],
                at=clash.on_first.floats(),
                way=_way(pose, assembly),
                fold=_folds([fold], assembly),
            )
    if not passing:
        return
    # One thing is to be done about all of them.
    first, *others = passing
    if pose.order is None:
        yield _clash(
            "clash-on-the-way",
            first.clash,
            pose,
            assembly,
            severity=severity,
            share=_share(first.share),
            more=_more_pairs(", and so do", others),
        )
    else:
        yield _clash(
            "fold-in-this-order",
            first.clash,
            pose,
            assembly,
            order=_in_order(pose.order, assembly),
            more=_more_pairs(", and so would", others),
        )


def _more_pairs(so: str, others: Sequence[WayClash]) -> str:
    if not others:
        return ""
    return f"{so} {len(others)} more {'pair' if len(others) == 1 else 'pairs'}"


def _in_order(order: Sequence[Sequence[HingeKey]], assembly: Assembly) -> str:
    """The steps of an order, all of them, for all have to be done."""
    steps = []
    for keys in order:
        names = _folds(keys, assembly)
        for word in ("fold", "folds"):
            names = names.removeprefix(word + " ") if names.startswith(word + ' "') else names
        steps.append(f"{names} together" if len(keys) > 1 else names)
    return ", then ".join(steps)


def _beyond_shut(
    clash: Clash, turned: Sequence[Mapping[HingeKey, float]], assembly: Assembly
) -> HingeKey | None:
    """The fold between two panels that is turned beyond shut; None where they clash otherwise."""
    (piece, index), second = clash.first, clash.second
    for number, beyond in assembly.divisions[piece].neighbours[index]:
        key = piece, number
        if (piece, beyond) == second and any(abs(one[key]) > _SHUT_DEG for one in turned):
            return key
    return None


def _forced(pose: PoseProof) -> bool:
    """Whether but one way leads to a pose, so that no other order of turning gets round a clash.

    What a pose holds is let go of on the way to it: a fold that must be held can be turned later.
    """
    free = pose.freedom if pose.asked is None else pose.released
    return free is not None and free.count is not None and free.count <= 1


def _clash(
    code: str,
    clash: Clash,
    pose: PoseProof,
    assembly: Assembly,
    severity: Severity | None = None,
    **fields: str,
) -> Problem:
    return problem(
        code,
        severity=severity,
        place=_place(pose, clash.first[0], assembly),
        piece=clash.first[0],
        at=clash.on_first.floats(),
        measure_mm=clash.length_mm,
        pose=pose.name,
        way=_way(pose, assembly),
        first=panel_text(clash.first, assembly),
        second=panel_text(clash.second, assembly),
        **fields,
    )


def _loose(pose: PoseProof, assembly: Assembly) -> Iterator[Problem]:
    free = pose.freedom
    if free is None or pose.folded.outcome is not Outcome.REACHED:
        return
    if free.count is None:
        yield problem("freedom-undecided", place=pose.place, pose=pose.name)
    elif free.count > 0:
        yield problem(
            "floppy",
            place=pose.place,
            pose=pose.name,
            count=free.count,
            folds=_folds(free.moving, assembly),
            holding=_holding(free, assembly),
            each="it" if len(free.holding) == 1 else "each",
        )


def _holding(free: Freedom, assembly: Assembly) -> str:
    """The folds that hold what moves, without their names where these have just been told."""
    if set(free.holding) == set(free.moving):
        return "that fold" if len(free.holding) == 1 else "those folds"
    return _folds(free.holding, assembly)


def _against(pose: PoseProof, assembly: Assembly) -> Iterator[Problem]:
    if pose.against:
        several = len(pose.against) > 1
        yield problem(
            "turned-against-sense",
            place=pose.place,
            pose=pose.name,
            folds=f"{_folds(pose.against, assembly)} {'are' if several else 'is'}",
            sense="their senses" if several else "its sense",
        )


def _off_the_table(pose: PoseProof, assembly: Assembly, units: Unit) -> Iterator[Problem]:
    if pose.standing is not None and set(pose.on) <= set(pose.standing.asked.touching):
        # It is meant to stand on their edges.
        return
    for key, height in off_the_table(assembly, pose.placed, pose.on):
        yield problem(
            "off-the-table",
            place=pose.place,
            piece=key[0],
            measure_mm=height,
            pose=pose.name,
            panel=panel_text(key, assembly),
            height=figure(height, units),
        )


def _folds(keys: Sequence[HingeKey], assembly: Assembly) -> str:
    """Folds by name, those of several pieces with the piece; the first few, the rest counted."""
    several = len(assembly.divisions) > 1
    names = []
    for piece, index in keys[:MOST_NAMES]:
        label = assembly.divisions[piece].hinges[index].label
        names.append(told("fold", f"{piece}/{label}" if several else label))
    if len(names) > 1 and all(name.startswith('fold "') for name in names):
        # "folds a, b and c" in place of "fold a, fold b and fold c".
        names = [name.removeprefix("fold ") for name in names]
        names[0] = f"folds {names[0]}"
    if len(keys) > MOST_NAMES:
        names.append(f"{len(keys) - MOST_NAMES} more")
    return in_a_row(names)
