"""This module makes a card on paper as it was made by hand: folded where its folds were found.

The whole piece is divided and folded as any design is, by the machinery that
also proves mends.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..design.pieces import Piece
from ..folding import Closing, Verdict, closing, loops_of, slack_of
from ..geometry import Segment
from ..measures import Unit
from ..measures.exact import MEETS_MM, SAME_DIRECTION_RAD
from ..panels import Division, assemble, divide
from ..problems import Problem, Severity
from .judging import severity_of
from .materials import profile_of
from .measured import MeasuredFold, as_made, straight
from .mends import mends
from .model import Mend, Proof
from .panel_order import panel_order
from .relaying import signed_distance


@dataclass(frozen=True, slots=True)
class MadeCard:
    """A card with some of its folds where they were found, divided and closed.

    `sound` tells that it is divided into the panels of the design, in their
    order; it has closings only then.
    """

    proof: Proof
    divisions: Mapping[str, Division]
    closings: tuple[Closing, ...]
    sound: bool

    @classmethod
    def made(cls, proof: Proof, measured: Sequence[MeasuredFold]) -> MadeCard:
        """The card of a design with the measured folds where they were found."""
        divisions = {piece.name: divide(piece) for piece in as_made(proof.resolved, measured)}
        before = {piece.name: piece.division for piece in proof.pieces}
        sound = all(
            not stops_of(division) and panel_order(division) == panel_order(before[name])
            for name, division in divisions.items()
        )
        closings: tuple[Closing, ...] = ()
        if sound:
            loops = loops_of(assemble(divisions, proof.resolved.joints))
            closings = tuple(closing(loop) for loop in loops)
        return cls(proof, divisions, closings, sound)

    def gives(self, one: Closing | None) -> float:
        """The gap that the material of a loop's piece forgives, in mm; of the first without one."""
        if one is None:
            stock = next((d.piece.stock for d in self.divisions.values()), None)
        else:
            stock = self.divisions[one.loop.piece].piece.stock
        profile = profile_of(self.proof.profiles, stock)
        return 0.0 if profile is None else profile.gives_mm.value

    def forgiven(self, one: Closing) -> bool:
        """Whether a loop closes within what its material gives."""
        if one.verdict in (Verdict.CLOSES, Verdict.TURNED):
            return one.verdict is Verdict.CLOSES
        return severity_of(one, self.gives(one)) is Severity.NOTE

    @property
    def closes(self) -> bool:
        """Whether it is sound and every loop closes within what its material gives."""
        return self.sound and all(self.forgiven(one) for one in self.closings)

    @property
    def gap_mm(self) -> float | None:
        """The largest gap, None where the card cannot be folded up."""
        if not self.sound or any(one.gap_mm is None for one in self.closings):
            return None
        return max((one.gap_mm or 0.0 for one in self.closings), default=0.0)

    @property
    def worst(self) -> Closing | None:
        """The loop with the largest gap beyond what its material gives."""
        return max(
            self.closings,
            key=lambda one: (one.gap_mm or 0.0) - slack_of(one.loop) - self.gives(one),
            default=None,
        )

    def mends(self) -> tuple[Mend, ...]:
        """The moves of a line or of two that close each piece as it was made."""
        assembly = assemble(self.divisions, self.proof.resolved.joints)
        units = Unit(self.proof.resolved.units)
        found = [
            mend for name in self.divisions for mend in mends(assembly, name, self.closings, units)
        ]
        return tuple(mend for mend in found if mend.gap_after_mm <= MEETS_MM)


def stops_of(division: Division) -> list[Problem]:
    """The problems by which a piece cannot be folded at all."""
    return [one for one in division.problems if one.severity is Severity.STOP]


def jumped(before: Piece, after: Piece, name: str) -> list[str]:
    """The folds beside a fold, along some stretch, that it has changed sides with or lies on."""
    old = {fold.name: straight(fold) for fold in before.folds}
    new = {fold.name: straight(fold) for fold in after.folds}
    line, moved = old[name], new[name]
    if line is None or moved is None:
        return []
    found = []
    for other, neighbour in old.items():
        gone = new[other]
        if other == name or neighbour is None or gone is None or not _beside(line, neighbour):
            continue
        apart = _distance(line) - _distance(neighbour)
        now = _distance(moved) - _distance(gone)
        if apart != 0.0 and (abs(now) <= MEETS_MM or (apart > 0.0) is not (now > 0.0)):
            found.append(other)
    return found


def _distance(line: Segment) -> float:
    return float(signed_distance(line.start, line.end))


def _beside(a: Segment, b: Segment) -> bool:
    """Whether two lines are parallel and some square to the one meets the other."""
    along, other = a.end - a.start, b.end - b.start
    length = float(along.length)
    if abs(float(along.cross(other))) > SAME_DIRECTION_RAD * length * float(other.length):
        return False
    shares = sorted(float(along.dot(end - a.start)) / length for end in (b.start, b.end))
    return shares[0] < length - MEETS_MM and shares[1] > MEETS_MM
