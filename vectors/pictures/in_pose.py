"""This module makes the picture of a proved card in one of its poses, by the pose's name."""

from __future__ import annotations

from ..proving import Proof
from .closed_page import closed_picture
from .closed_scene import closed_scene
from .model import Picture
from .pose_scene import scene_of
from .space_page import space_picture

# The pose that has a picture of its own where the card lies flat in it.
_CLOSED = "closed"


def picture_in(pose: str, proof: Proof) -> Picture | None:
    """The card in a pose; None where the proof did not work that pose out.

    The closed card is drawn from both sides with its plies; any other pose, and a closed one
    that does not lie flat, is drawn in perspective.
    """
    found = next((one for one in proof.poses if one.name == pose and one.placed), None)
    if found is None:
        return None
    if pose == _CLOSED and proof.closed_stack is not None:
        return closed_picture(closed_scene(proof, proof.closed_stack))
    return space_picture(scene_of(proof, found))
