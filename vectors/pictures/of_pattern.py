"""This module chooses the pictures that show a pattern: flat, closed, and standing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ..proving import Proof
from .closed_page import closed_picture
from .closed_scene import closed_scene
from .in_pose import picture_in
from .model import Picture
from .page import flat_picture

FLAT, CLOSED, STANDING = "flat", "closed", "standing"
"""What a picture is of; the last one shows the first pose of a pattern that does not stand."""


@dataclass(frozen=True, kw_only=True, slots=True)
class PatternPicture:
    """One picture of a pattern; `pose` is the name of the pose that it shows, None lying flat."""

    shows: str
    pose: str | None
    picture: Picture


def pattern_pictures(proof: Proof) -> tuple[PatternPicture, ...]:
    """The pictures of a proved pattern; the flat one alone where nothing folds.

    The closed card is shown from both sides with its plies, without its room for foam.  A
    pose that was not worked out has no picture.
    """
    pictures = [PatternPicture(shows=FLAT, pose=None, picture=flat_picture(proof))]
    if not any(piece.division.hinges for piece in proof.pieces):
        return tuple(pictures)
    closed = _closed(proof)
    if closed is not None:
        pictures.append(PatternPicture(shows=CLOSED, pose=CLOSED, picture=closed))
    pose = shown_pose(proof)
    standing = None if pose is None else picture_in(pose, proof)
    if standing is not None:
        pictures.append(PatternPicture(shows=STANDING, pose=pose, picture=standing))
    return tuple(pictures)


def shown_pose(proof: Proof) -> str | None:
    """The pose that shows a card best: "standing", else the first that has a name of its own."""
    named = [one.name for one in proof.poses if one.asked is not None]
    return STANDING if STANDING in named else next(iter(named), None)


def _closed(proof: Proof) -> Picture | None:
    if proof.closed_stack is None:
        return picture_in(CLOSED, proof)
    scene = closed_scene(proof, proof.closed_stack)
    sides = tuple(replace(side, no_foam=None) for side in scene.sides)
    return closed_picture(replace(scene, sides=sides, faces=()))
