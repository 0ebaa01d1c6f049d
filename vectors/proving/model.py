"""This module holds the proof: all that was found out about a design, for whoever tells it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from functools import cached_property

from foldwright.profiles.model import Profile, Tool

from ..design.pieces import Piece, Pose, Resolved
from ..folding import Closing, PanelKey, Verdict
from ..folding.gluing import GluingStep
from ..folding.motion import Motion
from ..folding.skeleton import HingeKey
from ..geometry import Point
from ..measures.exact import Number
from ..panels import Assembly, Division
from ..problems import Place, Problem, Severity

TYPE_CHECKING = False
if TYPE_CHECKING:
    # Their modules need numpy, which a proof without panels does not.
    from ..folding.freedom import Freedom
    from ..folding.poses import FoldedPose
    from ..stacking import Clash, Contact, WayClash
    from ..stacking.cover import Cover
    from ..stacking.heights import Wrap
    from ..stacking.mass import Moved
    from ..stacking.order import Blocked, PlyOrder, Undecided
    from ..stacking.reaches import Reach
    from ..stacking.room import Held, Seat, Zone
    from ..stacking.spill import NoCover, Spilled
    from ..stacking.standing import Standing
    from ..stacking.thickness import ThicknessMap
    from ..stacking.turning_order import TurningOrder
    from .spill_mends import SpillMend


@dataclass(frozen=True, kw_only=True, slots=True)
class Move:
    """A line of a piece put elsewhere.

    `line` is the fold's name (`#2` and so on for one stretch of it).
    `from_mm` and `to_mm` are signed distances of the endless line from the
    piece's origin, along its normal that points up (or right, for a vertical
    line), both along the same one; `turn_deg` is the angle it is turned by, 0 for
    a plain move.  `ends` are the places between which the fold, or the stretch,
    then runs.  `on_ruler` names the coarsest ruler that the new place of a plain
    move lies on, or is None.
    """

    line: str
    from_mm: Number
    to_mm: Number
    ends: tuple[Point, Point]
    turn_deg: float = 0.0
    on_ruler: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Mend:
    """A change of one line, or of two where no one line does, and the gap that is then left.

    `loop` of `loop_piece` is the loop it was sought for (over joints the loop may
    be named after another piece), `gap_after_mm` the largest gap of all loops
    that the piece takes part in once it is made; none is worse for it.  `slits` and
    `folds` are those whose ends move along with the lines.
    """

    piece: str
    loop: str
    loop_piece: str
    moves: tuple[Move, ...]
    slits: tuple[str, ...]
    folds: tuple[str, ...]
    gap_after_mm: float


class How(StrEnum):
    """How a mend of measures was found: reckoned in whole steps of a ruler, or by trying."""

    EXACT = "exact"
    SEARCHED = "searched"


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasureChange:
    """A measure of the design with another value.

    `steps` is how many steps of the ruler that was searched on lie between the
    two values, and `on_ruler` names the coarsest ruler that the new one lies on.
    """

    measure: str
    from_mm: Fraction
    to_mm: Fraction
    on_ruler: str
    steps: Fraction


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasureMend:
    """A change of one measure or a few with which every loop of the design closes.

    `gap_after_mm` is the largest gap that is then left: 0, or rounding of at
    most a micrometre where the lengths are no fractions.
    """

    changes: tuple[MeasureChange, ...]
    gap_after_mm: float
    how: How


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceProof:
    """One piece: how it is divided and how its loops close."""

    division: Division
    closings: tuple[Closing, ...]

    @property
    def name(self) -> str:
        """The name of the piece."""
        return self.division.piece.name


@dataclass(frozen=True, kw_only=True, slots=True)
class Closed:
    """The closed card: its size in mm, and thickness in mm and mass in g where they are known."""

    width_mm: float
    height_mm: float
    thickness_mm: float | None = None
    mass_g: float | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LoopTolerance:
    """What the small errors of a tool do to one loop that lies flat, all lengths in mm.

    `tolerance_mm` is how far an end of a line may lie from where it should,
    `gives_mm` the gap that the material forgives, with the slack of the loop's
    joints.  `worst_mm` is the largest gap that errors of that size can make
    together, `rss_mm` their root-sum-square, each with the design's own gap.
    `matters_most` names the lines of the setting that matters most, or of all
    that matter alike, and `matters_mm` is the gap that one such setting alone
    makes at worst.  `largest_mm` and
    `largest_rss_mm` are the largest tolerances with which the loop stays within
    what the material gives, at worst and by root-sum-square.
    """

    piece: str
    loop: str
    tool: Tool
    tolerance_mm: float
    gives_mm: float
    worst_mm: float
    rss_mm: float
    matters_most: tuple[str, ...]
    matters_mm: float
    largest_mm: float
    largest_rss_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ClosedStack:
    """The closed card as a stack of plies.

    `covers` are the panels that the design calls a cover.  `held` are the folds that
    mats and extras hold open, `seats` what each extra does to the card and `reaches` the
    extras that lie past the edges of their panels.  `looked_for` finds the zones where nothing
    of `foam_mm` in height has room, which few ask for.
    """

    cover: Cover
    order: PlyOrder | Blocked | Undecided
    thickness: ThicknessMap
    covers: tuple[PanelKey, ...]
    spilled: Spilled | NoCover
    held: tuple[Held, ...]
    seats: tuple[Seat, ...]
    reaches: tuple[Reach, ...]
    foam_mm: float
    looked_for: Callable[[], tuple[Zone, ...]] = field(repr=False)
    mends: tuple[SpillMend, ...] = ()

    @cached_property
    def zones(self) -> tuple[Zone, ...]:
        """Where nothing of `foam_mm` in height has room, panel by panel."""
        return self.looked_for()


class Kept(StrEnum):
    """Why the lines of a piece stay as they were designed, although folds of it wrap plies."""

    SMALL = "the tool cannot place so small a move, and no loop feels it"
    CHANGED = "the moved lines would make other panels"


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PieceThickness:
    """A piece with the plies of the closed card at their heights, all lengths in mm.

    `piece` is what is cut: its lines moved for the plies that its folds wrap, or the
    designed one where nothing is to move or `kept` tells why nothing does (`why` in
    words).  `wraps` is by hinge; `wants_mm`, `gets_mm` and `lacks_mm` have an entry for each
    hinge: the sheet that it takes up between its panels, what the lines of `piece` give it,
    and the distance of the two as vectors.  `tied` are the hinges in loops over joints,
    which get nothing and lack nothing here.  `gaps_mm` has one entry for each closing of
    the piece: the most that a hinge of the loop lacks, None where it is not judged.
    `moves_mm` is the largest move that is wanted of a panel, made or not.
    """

    designed: Piece
    piece: Piece
    wraps: Mapping[int, Wrap]
    wants_mm: tuple[float, ...]
    gets_mm: tuple[float, ...]
    lacks_mm: tuple[float, ...]
    gaps_mm: tuple[float | None, ...]
    tied: frozenset[int]
    moves_mm: float
    kept: Kept | None = None
    why: str = ""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class PoseProof:
    """A pose of the design in space: one that it names, or `flat`, `open` or `closed`.

    `asked` is the pose as the design names it, None for the others.  `placed` is
    where every panel is, z up and the table at z = 0, empty where no pose was
    found; `on` are the panels that lie on the table and `view_deg` the viewer's
    side.  `freedom` is None where it is not counted.  `clashes` are panels that
    pass through each other in the pose, `clashes_on_way` those that do on the
    way to it with all folds turned together, and `order` the folds step by step in an
    order that gets round those, None where none is needed or none was found;
    `contacts` edges that rest on a panel with nothing to hold them.
    `against` are the folds that are turned against their sense.  `standing` is how
    the card stands in it, None where that is not known or not asked, `moved` how far
    each extra moves its centre of mass, and `released` its freedom with no fold
    held, None for the poses that every card has.
    """

    name: str
    asked: Pose | None
    folded: FoldedPose
    freedom: Freedom | None
    placed: Mapping[PanelKey, Motion]
    on: tuple[PanelKey, ...]
    view_deg: float
    clashes: tuple[Clash, ...] = ()
    clashes_on_way: tuple[WayClash, ...] = ()
    order: TurningOrder | None = None
    contacts: tuple[Contact, ...] = ()
    against: tuple[HingeKey, ...] = ()
    standing: Standing | None = None
    moved: tuple[Moved, ...] = ()
    released: Freedom | None = None
    place: Place = Place()


@dataclass(frozen=True)
class Proof:
    """What was found out about a design in given materials.

    `profiles` has the profile of each stock, None where it has no material.
    `closed` is None where a piece could not be divided.  `gap_mm` is the
    largest gap of all loops, 0 without any.  `tolerances` has the loops that lie
    flat, where a tool and a material are given.  `poses` are flat, open, closed and
    those that the design names, in this order, empty where a piece could not be
    divided; `closed_stack` is the closed card where it lies flat; `gluing` is the
    order in which its joints are glued.  `thickness` has the pieces with their plies at
    their heights, where a tool is given and that is known.
    """

    resolved: Resolved
    profiles: Mapping[str, Profile | None]
    tool: Tool | None
    assembly: Assembly
    pieces: tuple[PieceProof, ...]
    findings: tuple[Problem, ...]
    mends: tuple[Mend, ...]
    closed: Closed | None
    verdict: Verdict
    gap_mm: float
    measure_mends: tuple[MeasureMend, ...] = ()
    tolerances: tuple[LoopTolerance, ...] = ()
    poses: tuple[PoseProof, ...] = ()
    gluing: tuple[GluingStep, ...] = ()
    closed_stack: ClosedStack | None = None
    thickness: tuple[PieceThickness, ...] = ()

    def compiled_piece(self, piece: Piece) -> Piece:
        """A piece as it is to be cut: its lines moved where its folds take up length."""
        cut = (one.piece for one in self.thickness if one.designed.name == piece.name)
        return next(cut, piece)

    def thickness_gap(self, piece: str, loop: int) -> float | None:
        """The thickness gap of a piece's loop, by the place of its closing; None if not known."""
        gaps = (one.gaps_mm[loop] for one in self.thickness if one.designed.name == piece)
        return next(gaps, None)

    @property
    def proven(self) -> bool:
        """Whether nothing that was found is a `stop`."""
        return all(finding.severity is not Severity.STOP for finding in self.findings)

    @property
    def materials(self) -> tuple[str, ...]:
        """The names of the materials in use, each once."""
        return tuple(
            dict.fromkeys(profile.name for profile in self.profiles.values() if profile is not None)
        )
