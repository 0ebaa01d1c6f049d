"""This module writes the picture of a proof into a file."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from ..design import Design, nearest
from ..design.checks import BUILT_IN_POSES
from ..design.resolve import measures_in_use
from ..dressing.envelopes import EnvelopeAnswer
from ..measures import Unit
from ..pictures import Picture, carries_our_mark, flat_picture, svg_of
from ..problems import DesignError, FoldwrightError, Place, problem
from ..proving import Proof
from ..sources.saving import check_target, replace_file

TYPE_CHECKING = False
if TYPE_CHECKING:
    # Its module needs shapely.
    from ..dressing.mats import Mats

# As much of a file as is read to find our mark.
_HEAD_BYTES = 1024


def write_picture(
    proof: Proof,
    file: Path,
    *,
    pose: str | None,
    replace: bool,
    envelope: EnvelopeAnswer | None = None,
    of_envelope: bool = False,
    mats: Mats | None = None,
    of_placement: bool = False,
) -> None:
    """Draw a proof into an SVG file, all of it or nothing: flat, or the card in a pose.

    With `of_envelope` the blank of the card's own `envelope` is drawn, with `of_placement`
    where its `mats` go.

    The closed card is drawn from both sides with its plies; any other pose, and a closed one
    that does not lie flat, is drawn in perspective.  A file that is there is
    replaced when it carries our mark, or with `replace`.  Raises FileError for whatever
    keeps it from being written, and DesignError for a pose that the proof does not have.
    """
    check_target(file, replace=replace, is_ours=lambda: _is_ours(file))
    if of_envelope:
        picture = _picture_of(envelope, proof)
    elif of_placement:
        picture = _placement_of(mats, proof)
    else:
        picture = flat_picture(proof) if pose is None else _picture_in(pose, proof)
    replace_file(file, svg_of(picture))


def _picture_of(envelope: EnvelopeAnswer | None, proof: Proof) -> Picture:
    from ..pictures.envelope_page import envelope_picture

    if envelope is None or not envelope.pieces:
        # Why there is none is among the findings, or the design asks for none of its own.
        none = problem("envelope-not-drawn", place=Place(file="--envelope"))
        raise DesignError((*proof.findings, none))
    return envelope_picture(envelope, proof.resolved.name, Unit(proof.resolved.units))


def _placement_of(mats: Mats | None, proof: Proof) -> Picture:
    from ..pictures.placement_page import placement_picture

    if mats is None or not mats.placed:
        none = problem("placement-not-drawn", place=Place(file="--placement"))
        raise DesignError((*proof.findings, none))
    return placement_picture(proof, mats)


def check_pose(
    pose: str, design: Design, overrides: Mapping[str, str], variant: str | None
) -> None:
    """Raise DesignError for a pose that neither the design, its pattern nor every card has."""
    try:
        # A pattern may have other poses for other counts.
        poses = measures_in_use(design, overrides=overrides, variant=variant).design.poses
    except FoldwrightError:
        # What is wrong with the measures is told with the proof.
        return
    names = [*BUILT_IN_POSES, *(one.name for one in poses)]
    if pose not in names:
        place = Place(file=f"--pose {pose}")
        hint = nearest(pose, names, "pose")
        raise DesignError(problem("unknown-pose", place=place, pose=pose, hint=hint))


def _picture_in(pose: str, proof: Proof) -> Picture:
    # numpy and shapely are only needed for these pictures.
    from ..pictures.in_pose import picture_in

    picture = picture_in(pose, proof)
    if picture is None:
        # Why it was not worked out is among the findings.
        not_drawn = problem("pose-not-drawn", place=Place(file=f"--pose {pose}"), pose=pose)
        raise DesignError((*proof.findings, not_drawn))
    return picture


def _is_ours(file: Path) -> bool:
    try:
        with file.open("rb") as stream:
            return carries_our_mark(stream.read(_HEAD_BYTES))
    except PermissionError:
        # What this user may not even read, this user did not write.
        return False
