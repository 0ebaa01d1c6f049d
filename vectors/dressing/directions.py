"""This module finds which way is up on every panel as the card stands before its viewer.

On a panel that stands or leans, up is the steepest way that rises; one that rises
towards the viewer and is looked down on is seen the other way round.  On a panel that
lies on the table up points away from the viewer, as on a sheet that is read there, but
along the sides of the panel: where the viewer stands at a corner, print is not cut askew for
him.  On the sheet as it is cut up is up.  A print direction turns from there, anticlockwise
as the face is seen: 90 is up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from ..design.pieces import Face
from ..folding import PanelKey
from ..folding.motion import Motion, Place3
from ..panels import Assembly
from ..proving import Proof
from ..proving.model import PoseProof
from .shapes import shape_of, tilt

STANDING = "standing"
"""The pose in which print is seen, if the design has it; else its first one."""

# A viewer looks down on a card by this many degrees: common practice, no source.
LOOKS_DOWN_DEG = 20.0

# A panel that rises by no more than this many degrees lies.
LIES_DEG = 10.0

# Rounding does not decide between two sides, in quarter turns.
_HALF_WAY = 1e-9


@dataclass(frozen=True, slots=True)
class Seen:
    """The pose in which print is seen: `asked` is its name, None where the design has none.

    `pose` is the pose itself; where the one that was asked for was not worked out, it is the
    flat one, as it is where the design names none.
    """

    asked: str | None
    pose: PoseProof
    assembly: Assembly

    @property
    def is_missed(self) -> bool:
        """Whether a pose was asked for that was not worked out."""
        return self.asked is not None and self.pose.name != self.asked


def pose_seen(proof: Proof) -> Seen | None:
    """The pose in which print is seen; None where no panel has a place."""
    names = [pose.name for pose in proof.resolved.poses]
    asked = STANDING if STANDING in names else next(iter(names), None)
    found = {pose.name: pose for pose in proof.poses if pose.placed}
    pose = found.get(asked or "flat") or found.get("flat")
    return None if pose is None else Seen(asked, pose, proof.assembly)


def up_on(seen: Seen, panel: PanelKey, face: Face) -> float:
    """The direction on a flat panel, in degrees, that is up as its viewer sees the card.

    It counts in the coordinates of the piece for the front, and for the back in those
    mirrored from left to right, as the back is seen.
    """
    motion = seen.pose.placed[panel]
    up = _up_in_space(motion, seen.pose.view_deg)
    flat_x, flat_y = (
        sum(row[axis] * part for row, part in zip(motion.rows, up, strict=True)) for axis in (0, 1)
    )
    degrees = math.degrees(math.atan2(flat_y, flat_x))
    if _lies(motion) and seen.pose.name != "flat":
        ring = seen.assembly.divisions[panel[0]].panels[panel[1]].ring
        sides = tilt(shape_of(ring, ()))
        # Half way between two sides it is the one that is turned less.
        degrees = sides + 90.0 * math.floor((degrees - sides) / 90.0 + 0.5 - _HALF_WAY)
    if face is Face.BACK:
        degrees = 180.0 - degrees
    # What a pose leaves of rounding is no turn.
    return round(degrees, 6) % 360.0


def _up_in_space(motion: Motion, view_deg: float) -> Place3:
    """The direction in a panel that is up, of no certain length."""
    towards = math.cos(math.radians(view_deg)), math.sin(math.radians(view_deg))
    normal = tuple(row[2] for row in motion.rows)
    if _lies(motion):
        return _within((-towards[0], -towards[1], 0.0), normal)
    rise = _within((0.0, 0.0, 1.0), normal)
    down = math.radians(LOOKS_DOWN_DEG)
    across = rise[0] * towards[0] + rise[1] * towards[1]
    if rise[2] * math.cos(down) < across * math.sin(down):
        return -rise[0], -rise[1], -rise[2]
    return rise


def _lies(motion: Motion) -> bool:
    """Whether a panel lies, either way up."""
    rise = math.hypot(motion.rows[0][2], motion.rows[1][2])
    return rise <= math.sin(math.radians(LIES_DEG))


def _within(way: Place3, normal: tuple[float, ...]) -> Place3:
    """A direction less what it has across a plane."""
    off = sum(a * b for a, b in zip(way, normal, strict=True))
    return way[0] - off * normal[0], way[1] - off * normal[1], way[2] - off * normal[2]
