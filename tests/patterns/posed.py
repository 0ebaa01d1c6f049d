"""Where the panels of a proved card are in a pose, for the tests beside this file."""

from __future__ import annotations

from fractions import Fraction

from foldwright.folding.motion import Place3
from foldwright.proving import Proof
from foldwright.proving.model import PoseProof


def pose_of(found: Proof, pose: str) -> PoseProof:
    """What was found of the pose of that name."""
    return next(one for one in found.poses if one.name == pose)


def corners(found: Proof, pose: str, panel: str) -> tuple[Place3, ...]:
    """The corners of the box round a panel, in space, in the pose of that name."""
    placed = pose_of(found, pose).folded.placed
    for piece in found.pieces:
        for index, one in enumerate(piece.division.panels):
            if one.name == panel:
                motion = placed[piece.division.piece.name, index]
                left, bottom, right, top = one.box
                return tuple(
                    motion.apply3((x, y, 0.0)) for x in (left, right) for y in (bottom, top)
                )
    raise LookupError(panel)


def extent(found: Proof, pose: str, panel: str, axis: int) -> tuple[float, float]:
    """From where to where a panel lies along an axis, 0 to 2, rounded to a nanometre."""
    along = [round(place[axis], 6) for place in corners(found, pose, panel)]
    return min(along), max(along)


def on_the_table(
    found: Proof, pose: str, panel: str, x: float | Fraction, y: float | Fraction
) -> Place3:
    """Where a place (x, y) of a panel's flat piece is in a pose as it is put on the table."""
    for piece in found.pieces:
        for index, one in enumerate(piece.division.panels):
            if one.name == panel:
                motion = pose_of(found, pose).placed[piece.division.piece.name, index]
                return motion.apply3((float(x), float(y), 0.0))
    raise LookupError(panel)


def fold_angles(found: Proof, pose: str) -> dict[str, float]:
    """What every fold of the card is turned by in a pose, by its label, in degrees."""
    turned = pose_of(found, pose).folded.turned
    return {
        hinge.label: turned[piece.division.piece.name, hinge.index]
        for piece in found.pieces
        for hinge in piece.division.hinges
    }


def order_of(found: Proof, pose: str) -> list[str] | None:
    """The folds, by label, in the order in which a pose is reached; those of a step in one."""
    order = pose_of(found, pose).order
    if order is None:
        return None
    divisions = found.assembly.divisions
    return [" + ".join(divisions[key[0]].hinges[key[1]].label for key in step) for step in order]
