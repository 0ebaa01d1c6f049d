"""This module holds what `resolve` gives: pieces with exact numbers, all expressions worked out.

Only these values go on to the panels, the proof and the compile passes.  Paths
have `Fraction` coordinates wherever arithmetic allowed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from ..geometry import Path, Point
from ..measures.exact import Number
from ..problems import Place, Problem


class Sense(StrEnum):
    """Which way a fold turns, seen from the front: mountain is a ridge, valley a trough."""

    MOUNTAIN = "mountain"
    VALLEY = "valley"


class How(StrEnum):
    """How a slit is made: cut through, or perforated so that it tears."""

    CUT = "cut"
    TEAR = "tear"


class Face(StrEnum):
    """A face of the paper."""

    FRONT = "front"
    BACK = "back"


@dataclass(frozen=True, kw_only=True, slots=True)
class Fold:
    """A fold line, an open path: its straight segments are folded, its arcs only scored.

    `senses` has one entry a segment.  `angle` is how far it is turned in the
    closed pose, in degrees: 0 flat, 180 shut.  `still` is scored but never
    turned.  `name` is never empty: a fold without one is called by its place
    in the file, `fold 3`.
    """

    name: str
    path: Path
    senses: tuple[Sense, ...]
    angle: Number
    still: bool = False
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Slit:
    """A cut inside a piece that removes nothing, an open or closed path."""

    name: str
    path: Path
    how: How = How.CUT
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Opening:
    """A hole in a piece: a closed path, anticlockwise."""

    name: str
    path: Path
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Mark:
    """A drawn line, or a text with its lower left corner at `at` and capitals `height` mm tall.

    It is drawn on a `face` of the paper, its coordinates those of the front; a text on the
    back fills the same room there, and is read from the back.  A mark of the front is drawn
    on the back all the same where a job lies face down, unless it `stays`.
    """

    name: str
    path: Path | None = None
    text: str | None = None
    at: Point | None = None
    height: Number | None = None
    face: Face = Face.FRONT
    stays: bool = False
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelName:
    """A name for the panel that holds the place `at`.

    A panel that is a `cover` is what nothing may stick out of in the closed card.
    """

    name: str
    at: Point
    cover: bool = False
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """One part that is cut out of a sheet of stock.

    `outline` is closed and anticlockwise.  `stock` is the name of the stock it
    is cut from, `grain` the direction of the paper's grain in degrees from the
    x axis, `hide_bridges` edges that stay clean, each an open path.  A piece that is
    `mirrored` is the mirror image of how it was designed, and its panels are
    counted as they were there.
    """

    name: str
    outline: Path
    openings: tuple[Opening, ...] = ()
    slits: tuple[Slit, ...] = ()
    folds: tuple[Fold, ...] = ()
    marks: tuple[Mark, ...] = ()
    panel_names: tuple[PanelName, ...] = ()
    stock: str | None = None
    grain: Number | None = None
    copies: int = 1
    hide_bridges: tuple[Path, ...] = ()
    mirrored: bool = False
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class JointEnd:
    """One side of a joint: a line, in its piece's coordinates, on a face of a panel."""

    piece: str
    panel: str
    face: Face
    start: Point
    end: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Joint:
    """Glue: two lines coincide end to end and two faces touch; it may take up `slack` mm."""

    name: str
    glue: JointEnd
    to: JointEnd
    slack: Number
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """A fold that a pose holds at `degrees` in its own sense: 0 flat, 180 shut.

    `nth` is the hinge of it that is held, counted from 1 (`fold#2`); None is the whole fold.
    """

    piece: str
    fold: str
    nth: int | None
    degrees: Number
    place: Place = Place()

    @property
    def label(self) -> str:
        """The hold as a message tells it, `base/steps 1#2`."""
        return f"{self.piece}/{self.fold}" + ("" if self.nth is None else f"#{self.nth}")


@dataclass(frozen=True, kw_only=True, slots=True)
class TouchEnd:
    """One side of a touch: a line on a panel, in its piece's coordinates."""

    piece: str
    panel: str
    start: Point
    end: Point


@dataclass(frozen=True, kw_only=True, slots=True)
class Touch:
    """Two lines that lie on each other end to end in one pose; the panels turn freely there."""

    name: str
    line: TouchEnd
    to: TouchEnd
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Pose:
    """A pose that the design names: folds held, panels that lie on the table, lines that touch.

    `on` are pairs of piece and panel.  `view` is the viewer's side in degrees;
    None where it is not given, and whoever looks takes the usual one.
    """

    name: str
    holds: tuple[Hold, ...]
    on: tuple[tuple[str, str], ...] = ()
    view: Number | None = None
    touches: tuple[Touch, ...] = ()
    place: Place = Place()


class LShape(StrEnum):
    """How a mat on an L-shaped panel is cut: as one piece, or as two rectangles."""

    ONE = "one"
    TWO = "two"


@dataclass(frozen=True, kw_only=True, slots=True)
class Mat:
    """A decorative piece glued on panels of a piece, `margin` mm inside the edge of each.

    `panels` are names of panels of `piece`, None for all of them.  `margin` is None where the
    design leaves it out: it is then the usual one of each panel.  `stock` is the
    name of the stock it is cut from, `up` its print direction in degrees.
    """

    name: str
    piece: str
    panels: tuple[str, ...] | None
    face: Face
    margin: Number | None
    l_shape: LShape = LShape.ONE
    stock: str | None = None
    up: Number | None = None
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Extra:
    """Foam, a gem, a ribbon on the front of a panel, its middle at `at`.

    `size` is its diameter where it is one length, its width and height along the axes of
    the piece where it is two, empty where it is not given.  `height` is how far it
    stands up from the paper, in mm, `mass_g` what it weighs; each None where not given.
    """

    name: str
    piece: str
    panel: str
    at: Point | None = None
    size: tuple[Number, ...] = ()
    height: Number | None = None
    mass_g: Number | None = None
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Stock:
    """Paper or board as the design names it; `material` is a profile's name or file, if any.

    `sheet` is the size it is bought in as it is written, `sheet_mm` its two sides where that
    is known.
    """

    name: str
    material: str | None = None
    sheet: str | None = None
    sheet_mm: tuple[Number, Number] | None = None
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Limits:
    """What the finished card must keep to; None where nothing is asked.

    `closed` is the largest closed size, `thickness` the largest thickness, in
    mm; `stands` asks that it stands, `post` names services that must take it in its
    envelope.  `closed_place` is where `closed` is written.
    """

    closed: tuple[Number, Number] | None = None
    thickness: Number | None = None
    stands: bool | None = None
    post: tuple[str, ...] = ()
    place: Place = Place()
    closed_place: Place = Place()


class Form(StrEnum):
    """The form of an envelope."""

    SQUARE_BLANK = "square-blank"
    FOUR_FLAP = "four-flap"
    STANDARD = "standard"
    NONE = "none"


@dataclass(frozen=True, kw_only=True, slots=True)
class Envelope:
    """The envelope that the card gets; its lengths in mm, None where the design gives none.

    `clearance` is what is left free each side, `corner` how much longer the side of a square
    blank is than the least one.  `standard` names the standard envelope that it must be,
    `stock` what the card's own envelope is cut from.
    """

    form: Form
    clearance: Number | None = None
    standard: str | None = None
    stock: str | None = None
    corner: Number | None = None
    place: Place = Place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Resolved:
    """A design with every expression worked out.

    `units` is what lengths are printed in ("mm" or "in"): the variant's own
    where one is used.  `measures` holds the named lengths in mm (counts and
    angles as plain numbers).  `notes` are the problems that do not stop it,
    among them one for each part of the file that is read and kept but not
    judged.  `mirrored` says that it is the mirror image of what was designed.
    """

    name: str
    version: str | None
    units: str
    variant: str | None
    mirrored: bool = False
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    stocks: Mapping[str, Stock]
    measures: Mapping[str, Number]
    notes: tuple[Problem, ...] = ()
    limits: Limits | None = None
    poses: tuple[Pose, ...] = ()
    mats: tuple[Mat, ...] = ()
    extras: tuple[Extra, ...] = ()
    envelope: Envelope | None = None
