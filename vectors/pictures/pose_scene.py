"""This module makes the scene of a proved pose: its panels in space, words, what is wrong."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import dist

from ..folding import PanelKey
from ..folding.freedom import Freedom
from ..folding.motion import Motion, Place3
from ..folding.poses import FoldedPose, Outcome, meets
from ..folding.skeleton import HingeKey
from ..geometry import Path, path_of
from ..measures import Unit
from ..measures.exact import MEETS_MM, ROUNDING_DEG
from ..panels import Assembly
from ..proving import Proof
from ..proving.model import PoseProof
from .laid import laid_in
from .scene import Apart, Crease, Glued, Laid, Passing, Scene, listed
from .space_page import length_text
from .sums import degrees_text


def scene_of(proof: Proof, pose: PoseProof) -> Scene:
    """The scene of one of a proof's poses."""
    resolved = proof.resolved
    units = Unit(resolved.units)
    assembly = proof.assembly
    name = resolved.name if resolved.variant is None else f"{resolved.name}, {resolved.variant}"
    strained = pose.folded.outcome is Outcome.STRAINED
    scene = Scene(
        design=name,
        pose=pose.name,
        units=units,
        panels={
            (piece, panel.index): panel
            for piece, division in assembly.divisions.items()
            for panel in division.panels
        },
        placed=pose.placed,
        creases=tuple(_creases(assembly, pose.folded)),
        glued=tuple(
            Glued(label=one.joint.name, glued=one.glued, to=one.to, face=one.joint.to.face)
            for one in assembly.joints
        ),
        laid=tuple(_laid(proof, pose)),
        scores=tuple(_scores(assembly)),
        given=given_names(assembly),
        passing=tuple(
            Passing(
                first=one.first, second=one.second, at=pose.placed[one.first].apply(one.on_first)
            )
            for one in pose.clashes
        ),
        apart=(*_apart(assembly, pose.placed), *_untouched(pose)) if strained else (),
        view_deg=pose.view_deg,
    )
    shut = pose.name == "closed" and pose.folded.reached
    flat = not shut or proof.closed_stack is not None
    return replace(scene, words=tuple(_words(scene, pose, lies_flat=flat)))


def _creases(assembly: Assembly, folded: FoldedPose) -> Iterator[Crease]:
    for piece, division in assembly.divisions.items():
        for hinge in division.hinges:
            yield Crease(
                key=(piece, hinge.index),
                label=hinge.label,
                first=(piece, hinge.left),
                second=(piece, hinge.right),
                start=hinge.start,
                end=hinge.end,
                sense=hinge.sense,
                turned=folded.turned.get((piece, hinge.index), 0.0),
            )


def _laid(proof: Proof, pose: PoseProof) -> Iterator[Laid]:
    closed = next((one for one in proof.poses if one.name == "closed"), None)
    if proof.closed_stack is not None and closed is not None:
        yield from laid_in(pose.placed, closed.placed, proof.closed_stack)


def _scores(assembly: Assembly) -> Iterator[tuple[str, Path]]:
    """What is scored and never turned: folds that are still, and arcs."""
    for piece, division in assembly.divisions.items():
        for fold in division.piece.folds:
            if fold.still:
                yield piece, fold.path
                continue
            for segment in fold.path.segments:
                if not segment.is_line:
                    yield piece, path_of([segment], closed=False)


def given_names(assembly: Assembly) -> frozenset[PanelKey]:
    """The panels whose names the design gives."""
    return frozenset(
        (piece, panel.index)
        for piece, division in assembly.divisions.items()
        for panel in division.panels
        if any(one.name == panel.name for one in division.piece.panel_names)
    )


def _apart(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> Iterator[Apart]:
    """The hinges and joints whose two panels are drawn apart, each at its wider end."""
    for piece, division in assembly.divisions.items():
        for hinge in division.hinges:
            left, right = placed[piece, hinge.left], placed[piece, hinge.right]
            ends = [(left.apply(at), right.apply(at)) for at in (hinge.start, hinge.end)]
            yield from _wider(hinge.label, ends)
    for joint in assembly.joints:
        glue, to = joint.joint.glue, joint.joint.to
        one, other = placed[joint.glued], placed[joint.to]
        ends = [
            (one.apply(here), other.apply(there))
            for here, there in ((glue.start, to.start), (glue.end, to.end))
        ]
        yield from _wider(f"joint {joint.joint.name}", ends)


def _untouched(pose: PoseProof) -> Iterator[Apart]:
    """The lines that should touch and stay apart the most, at their wider end."""
    gap = pose.folded.untouched
    if gap is not None:
        here, there = pose.placed[gap.touch.line], pose.placed[gap.touch.to]
        line, to = gap.touch.touch.line, gap.touch.touch.to
        pairs = ((line.start, to.start), (line.end, to.end))
        ends = [(here.apply(one), there.apply(other)) for one, other in pairs]
        yield from _wider(f"touch {gap.touch.touch.name}", ends)


def _wider(label: str, ends: list[tuple[Place3, Place3]]) -> Iterator[Apart]:
    one, other = max(ends, key=lambda pair: dist(*pair))
    if dist(one, other) > MEETS_MM:
        yield Apart(label=label, one=one, other=other, mm=dist(one, other))


def _words(scene: Scene, pose: PoseProof, *, lies_flat: bool) -> Iterator[str]:
    folded = pose.folded
    yield _outcome(folded, scene.units)
    if not lies_flat:
        yield "Its panels do not lie in one plane, so it has no plies to show."
    if pose.asked is not None and pose.asked.holds:
        held = [
            f"{one.fold}{'' if one.nth is None else f'#{one.nth}'} at "
            f"{degrees_text(float(one.degrees))} degrees"
            for one in pose.asked.holds
        ]
        yield f"Held: {listed(held)}."
    if pose.asked is not None and pose.asked.touches:
        touching = "Touching" if folded.untouched is None else "To touch"
        yield f"{touching}: {listed([one.name for one in pose.asked.touches])}."
    if folded.outcome is Outcome.STRAINED and not meets(folded.worst):
        yield (
            "Panels are placed one after another, so what is left over round several loops adds "
            "up in the gaps that are marked."
            if scene.apart
            else "Its panels meet where they are drawn, but not at the angles of its folds."
        )
    if folded.bends is not None:
        gap = length_text(folded.bends.mm, scene.units)
        yield f"On the way to it the paper has to bend: parts of it stay up to {gap} apart."
    labels = {crease.key: crease.label for crease in scene.creases}
    if pose.order is not None:
        steps = [listed([labels[key] for key in step]) for step in pose.order]
        yield f"Fold it in this order: {', then '.join(steps)}."
    elif pose.clashes_on_way:
        names, clash = scene.names(), pose.clashes_on_way[0].clash
        more = ", and more panels do" if len(pose.clashes_on_way) > 1 else ""
        yield (
            f"On the way to it {names[clash.first]} and {names[clash.second]} pass through each "
            f"other{more}."
        )
    if pose.against:
        against = [labels[key] for key in pose.against]
        sense = "their senses" if len(against) > 1 else "its sense"
        yield f"Turned against {sense}: {listed(against)}."
    if pose.freedom is not None:
        yield _freedom(pose.freedom, labels)


def _outcome(folded: FoldedPose, units: Unit) -> str:
    if folded.outcome is Outcome.NOT_CONVERGED:
        return "not worked out, the search did not converge"
    if folded.outcome is Outcome.REACHED:
        if all(abs(degrees) <= ROUNDING_DEG for degrees in folded.turned.values()):
            return "every fold flat"
        share = degrees_text(round(100.0 * folded.share, 1))
        return f"folded to about {share} % of the closed angles"
    if folded.worst is not None and not meets(folded.worst):
        gap, loop = length_text(folded.worst.mm, units), folded.worst.loop.name
        return f"strained: it cannot close; the largest gap is {gap}, round {loop}"
    gap = length_text(folded.gap_mm, units)
    return f"strained: its lines do not touch; the largest gap is {gap}"


def _freedom(freedom: Freedom, labels: Mapping[HingeKey, str]) -> str:
    if freedom.count is None:
        return "Floppy: undecided."
    if freedom.count == 0:
        return "Floppy 0: nothing in it moves."
    moving = listed([labels[key] for key in freedom.moving])
    return f"Floppy {freedom.count}: these folds still move: {moving}."
