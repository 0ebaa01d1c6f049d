"""This module holds what a person wrote: drafts, with expressions and places in the file.

Nothing is worked out here; `resolve` does that.  Drafts are frozen and are made
the same way by the reader and in Python, where numbers may be written as
strings, whole numbers, floats or fractions, and lists may stand for tuples:

    FoldDraft(sense="valley", points=[(0, "gutter"), ("width", "gutter")])

Two drafts are equal when they say the same, wherever they were written: places
and the source are left out of the comparison.  Lengths without a unit are in
the design's `units`, angles in degrees.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum

from ..measures import Unit
from ..problems import DesignError, Place, problem
from ..sources import Source
from .pieces import Face, Form, How, LShape, Sense
from .written import (
    Draft,
    Spot,
    Written,
    expression,
    frozen,
    kept_as,
    maybe,
    name,
    row,
    row_of,
    spot,
    word,
    word_of,
    wrong,
)

FORMAT = 1
"""The format of design files that this version reads and writes."""


class Scale(StrEnum):
    """What becomes of a measure when the design is scaled."""

    WITH = "with"
    FIXED = "fixed"
    RULER = "ruler"


ALL_PANELS = "all"
"""The panels of a mat that lies on every panel of its piece."""


def _place() -> Place:
    return field(default=Place(), compare=False, repr=False)


_NUMBER = kept_as(expression)
_MAYBE_NUMBER = kept_as(maybe(expression))
_NUMBERS = kept_as(row_of(expression))
_SPOT = kept_as(spot)
_MAYBE_SPOT = kept_as(maybe(spot))
_NAMES = kept_as(row_of(name))
_ROW = kept_as(row)
_MAPPING = kept_as(frozen)


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasureDraft(Draft):
    """A named length, angle or number.

    `count` says that the value is a plain number (`{ number = 5 }`).  A mend
    never touches one that is to be kept (`keep`); `least` and `most` bound it,
    `step` is what it moves by.  In a variant, a field that is None is taken
    from the measure that is replaced.
    """

    value: Written | None = field(metadata=_MAYBE_NUMBER)
    count: bool = False
    keep: bool | None = None
    least: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    most: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    step: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    scale: Scale | str | None = field(default=None, metadata=kept_as(maybe(word_of(Scale))))
    about: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class StockDraft(Draft):
    """Paper or board bought in sheets: `material` a profile's name or file, `sheet` a size."""

    material: str | None = None
    sheet: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class VertexDraft(Draft):
    """A place on a path; `round` is the radius that rounds it."""

    at: Spot = field(metadata=_SPOT)
    round: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class ArcDraft(Draft):
    """An arc from the place before over `through` to `arc_to`."""

    arc_to: Spot = field(metadata=_SPOT)
    through: Spot = field(metadata=_SPOT)
    place: Place = _place()


def _control(written: object, key: str) -> tuple[Spot, ...]:
    found = tuple(spot(item, key) for item in row(written, key))
    if len(found) not in CONTROL_PLACES:
        raise wrong(key, "one or two control places", written)
    return found


CONTROL_PLACES = (1, 2)
"""How many control places a curve may have between its ends."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CurveDraft(Draft):
    """A Bézier curve from the place before to `curve_to`.

    With one place in `control` it is quadratic, with two cubic.
    """

    curve_to: Spot = field(metadata=_SPOT)
    control: Sequence[Spot] = field(metadata=kept_as(_control))
    place: Place = _place()


AnyVertex = VertexDraft | ArcDraft | CurveDraft
"""A vertex of a path as it is kept."""

Along = Sequence[AnyVertex | Spot]
"""The vertices of a path as they may be written; kept is `AnyVertex` of each."""


def vertex(written: object, key: str = "points") -> AnyVertex:
    """The vertex that was written, a bare place `(x, y)` included."""
    if isinstance(written, VertexDraft | ArcDraft | CurveDraft):
        return written
    return VertexDraft(at=spot(written, key))


def along(written: object, key: str = "points") -> tuple[AnyVertex, ...]:
    """The vertices that were written, each in its kept form."""
    return tuple(vertex(item, key) for item in row(written, key))


_ALONG = kept_as(along)
_MAYBE_ALONG = kept_as(maybe(along))


@dataclass(frozen=True, kw_only=True, slots=True)
class RectangleDraft(Draft):
    """A rectangle along the axes, its lower left corner at `at`, its corners rounded by `round`."""

    width: Written = field(metadata=_NUMBER)
    height: Written = field(metadata=_NUMBER)
    at: Spot = field(default=("0", "0"), metadata=_SPOT)
    round: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class PolygonDraft(Draft):
    """A closed shape of straight lines from corner to corner, any of which may be rounded."""

    points: Along = field(metadata=_ALONG)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class PathDraft(Draft):
    """A closed shape of lines, arcs and curves; it may end in one back to its first place."""

    points: Along = field(metadata=_ALONG)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class CircleDraft(Draft):
    """A full circle."""

    at: Spot = field(metadata=_SPOT)
    radius: Written = field(metadata=_NUMBER)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class EllipseDraft(Draft):
    """A whole ellipse whose half-axes `rx` and `ry` lie along x and y."""

    at: Spot = field(metadata=_SPOT)
    rx: Written = field(metadata=_NUMBER)
    ry: Written = field(metadata=_NUMBER)
    place: Place = _place()


ShapeDraft = RectangleDraft | PolygonDraft | PathDraft | CircleDraft | EllipseDraft
"""The closed shapes that an outline or an opening may have."""


@dataclass(frozen=True, kw_only=True, slots=True)
class SlitDraft(Draft):
    """A cut that removes nothing; it is closed where its last place is its first."""

    points: Along = field(metadata=_ALONG)
    how: How | str = field(default=How.CUT, metadata=kept_as(word_of(How)))
    name: str | None = None
    place: Place = _place()


def _senses(written: object, key: str) -> Sense | tuple[Sense, ...]:
    if isinstance(written, str):
        return word(Sense, written, key)
    return tuple(word(Sense, item, key) for item in row(written, key))


class BandSense(StrEnum):
    """The sense of a band in one word."""

    ALTERNATE = "alternate"
    MOUNTAIN = "mountain"
    VALLEY = "valley"


def _band_senses(written: object, key: str) -> BandSense | tuple[Sense, ...]:
    if isinstance(written, str):
        return word(BandSense, written, key)
    return tuple(word(Sense, item, key) for item in row(written, key))


@dataclass(frozen=True, kw_only=True, slots=True)
class FoldDraft(Draft):
    """A line a piece turns on: one sense for all of it or one a written stretch.

    `angle` is how far it is turned in the closed pose, in degrees: 0 flat, 180
    shut.  A fold that is `still` is scored but never turned.
    """

    sense: Sense | str | Sequence[Sense | str] = field(metadata=kept_as(_senses))
    points: Along = field(metadata=_ALONG)
    angle: Written = field(default="180", metadata=_NUMBER)
    still: bool = False
    name: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class BandDraft(Draft):
    """Parallel folds: the first runs from `start` to `end`, the next ones lie to the right of it.

    `walk` holds the distances from each fold to the next.  `sense` is
    "alternate" (beginning with `first`), one word for all, or a list of one
    word a fold.  The folds are called by the band's name and a number,
    `steps 1`.  In a file `start` and `end` are the keys `from` and `to`.
    """

    start: Spot = field(metadata=_SPOT)
    end: Spot = field(metadata=_SPOT)
    walk: Sequence[Written] = field(metadata=_NUMBERS)
    sense: BandSense | str | Sequence[Sense | str] = field(
        default=BandSense.ALTERNATE, metadata=kept_as(_band_senses)
    )
    first: Sense | str | None = field(default=None, metadata=kept_as(maybe(word_of(Sense))))
    angle: Written = field(default="180", metadata=_NUMBER)
    name: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class OpeningDraft(Draft):
    """A hole in a piece."""

    shape: ShapeDraft
    name: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class MarkDraft(Draft):
    """A drawn line, or a `text` with its lower left corner `at` and capitals of `height`."""

    points: Along | None = field(default=None, metadata=_MAYBE_ALONG)
    text: str | None = None
    at: Spot | None = field(default=None, metadata=_MAYBE_SPOT)
    height: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    name: str | None = None
    place: Place = _place()

    def __post_init__(self) -> None:
        Draft.__post_init__(self)
        drawn = self.points is not None
        lettered = [self.text is not None, self.at is not None, self.height is not None]
        if drawn == any(lettered) or any(lettered) != all(lettered):
            raise DesignError(problem("neither-line-nor-text", place=self.place, key="a mark"))
        if self.text is not None and not self.text.split():
            raise DesignError(problem("text-empty", place=self.place, key="a mark"))


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelDraft(Draft):
    """A name for the panel that holds the place `at`.

    A panel that is a `cover` is what nothing may stick out of in the closed card.
    """

    name: str
    at: Spot = field(metadata=_SPOT)
    cover: bool = False
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class PieceDraft(Draft):
    """One part that is cut out of a sheet of stock.

    `grain` is a direction in degrees from the x axis; `hide_bridges` names edges
    that stay clean, each a list of places.
    """

    name: str
    outline: ShapeDraft
    stock: str | None = None
    grain: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    copies: Written = field(default="1", metadata=_NUMBER)
    hide_bridges: Sequence[Along] = field(default=(), metadata=kept_as(row_of(along)))
    slits: Sequence[SlitDraft] = field(default=(), metadata=_ROW)
    bands: Sequence[BandDraft] = field(default=(), metadata=_ROW)
    folds: Sequence[FoldDraft] = field(default=(), metadata=_ROW)
    openings: Sequence[OpeningDraft] = field(default=(), metadata=_ROW)
    marks: Sequence[MarkDraft] = field(default=(), metadata=_ROW)
    panels: Sequence[PanelDraft] = field(default=(), metadata=_ROW)
    place: Place = _place()

    @property
    def creases(self) -> tuple[FoldDraft | BandDraft, ...]:
        """Folds and bands in the order of the file; where there is none, folds before bands."""
        found: list[FoldDraft | BandDraft] = [*self.folds, *self.bands]
        # Sorting keeps the order of those that have no line.
        return tuple(sorted(found, key=lambda crease: crease.place.line or 0))


@dataclass(frozen=True, kw_only=True, slots=True)
class JointEndDraft(Draft):
    """One side of a joint: a line on a face of a `piece/panel`, in that piece's coordinates."""

    panel: str
    face: Face | str = field(metadata=kept_as(word_of(Face)))
    line: Sequence[Spot] = field(metadata=kept_as(row_of(spot)))
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class JointDraft(Draft):
    """Glue: two lines coincide end to end, two faces touch; `slack` is what it may take up."""

    glue: JointEndDraft
    to: JointEndDraft
    slack: Written = field(default="0", metadata=_NUMBER)
    name: str | None = None
    place: Place = _place()


def _panels(written: object, key: str) -> str | tuple[str, ...]:
    if written == ALL_PANELS:
        return ALL_PANELS
    return tuple(name(item, key) for item in row(written, key))


@dataclass(frozen=True, kw_only=True, slots=True)
class MatDraft(Draft):
    """A decorative piece glued on panels of the piece `on`, with an even margin.

    `margin` is None for the usual one.  `l_shape` says whether a mat on an L-shaped panel is
    cut as one piece or as two rectangles.  `up` is the print direction in degrees, as seen in
    the pose "standing".
    """

    on: str
    panels: str | Sequence[str] = field(default=ALL_PANELS, metadata=kept_as(_panels))
    face: Face | str = field(default=Face.FRONT, metadata=kept_as(word_of(Face)))
    margin: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    l_shape: LShape | str = field(default=LShape.ONE, metadata=kept_as(word_of(LShape)))
    stock: str | None = None
    up: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    name: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class ExtraDraft(Draft):
    """Foam, a gem, a ribbon on the front of a panel, its middle at `at`.

    `size` is one number for a round one's diameter, or two for width and height;
    `height` is how far it stands up from the paper, `mass` is in g.
    """

    on: str
    at: Spot | None = field(default=None, metadata=_MAYBE_SPOT)
    size: Sequence[Written] = field(default=(), metadata=_NUMBERS)
    height: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    mass: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    name: str | None = None
    place: Place = _place()


def _held(written: object, key: str) -> Mapping[str, object]:
    return frozen({f: expression(angle, f) for f, angle in frozen(written, key).items()}, key)


@dataclass(frozen=True, kw_only=True, slots=True)
class TouchEndDraft(Draft):
    """The other side of a touch: a line on a `piece/panel`, in that piece's coordinates."""

    panel: str
    line: Sequence[Spot] = field(metadata=kept_as(row_of(spot)))
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class TouchDraft(Draft):
    """A line on a panel that lies on another one, end to end, in one pose only.

    The two panels may have any angle there: an easel's foot on its stop, a lid on its box.
    """

    panel: str
    line: Sequence[Spot] = field(metadata=kept_as(row_of(spot)))
    to: TouchEndDraft
    name: str | None = None
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class PoseDraft(Draft):
    """A pose by name: folds held at degrees in their own sense, panels on the table, the view.

    In a file `touches` is the key `touch`.
    """

    name: str
    hold: Mapping[str, Written] = field(default_factory=dict, metadata=kept_as(_held))
    on: Sequence[str] = field(default=(), metadata=_NAMES)
    view: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    touches: Sequence[TouchDraft] = field(default=(), metadata=_ROW)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class EnvelopeDraft(Draft):
    """The envelope that the card gets.

    `standard` is the name of a standard envelope where it must be that one.  `stock` is what
    the card's own envelope is cut from, `corner` how much longer the side of a square blank is
    than the least one that reaches round the card.
    """

    form: Form | str = field(metadata=kept_as(word_of(Form)))
    clearance_each_side: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    standard: str | None = None
    stock: str | None = None
    corner: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class LimitsDraft(Draft):
    """What the finished card must keep to.

    Closed size (two lengths), thickness, standing, and the services of the post that must take
    it in its envelope.
    """

    closed: Spot | None = field(default=None, metadata=_MAYBE_SPOT)
    thickness: Written | None = field(default=None, metadata=_MAYBE_NUMBER)
    stands: bool | None = None
    post: Sequence[str] = field(default=(), metadata=_NAMES)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class VariantDraft(Draft):
    """An edition of the design: other measures, other materials of its stocks, other units.

    `units` hold for the variant's own numbers and for what is printed, not for
    the rest of the file; None takes the file's.  `mirrored` says whether the edition is
    the mirrored one; None takes what the design says.
    """

    units: Unit | str | None = field(default=None, metadata=kept_as(maybe(word_of(Unit))))
    mirrored: bool | None = None
    measures: Mapping[str, MeasureDraft] = field(default_factory=dict, metadata=_MAPPING)
    materials: Mapping[str, str] = field(default_factory=dict, metadata=_MAPPING)
    place: Place = _place()


@dataclass(frozen=True, kw_only=True, slots=True)
class Design(Draft):
    """Everything that a design file says.

    The pieces are written out, or come from the `pattern` of that name when the
    design is resolved; there are never both.  `source` is the text that was
    read, comments and all; a design built in Python has none.  A design that is
    `mirrored` is made as its mirror image from left to right.  Whatever is named by
    its key (`measures`, `stocks`, `variants`) keeps the file's order.
    """

    name: str
    units: Unit | str = field(default=Unit.MM, metadata=kept_as(word_of(Unit)))
    version: str | None = None
    mirrored: bool = False
    pattern: str | None = None
    measures: Mapping[str, MeasureDraft] = field(default_factory=dict, metadata=_MAPPING)
    stocks: Mapping[str, StockDraft] = field(default_factory=dict, metadata=_MAPPING)
    pieces: Sequence[PieceDraft] = field(default=(), metadata=_ROW)
    joints: Sequence[JointDraft] = field(default=(), metadata=_ROW)
    mats: Sequence[MatDraft] = field(default=(), metadata=_ROW)
    extras: Sequence[ExtraDraft] = field(default=(), metadata=_ROW)
    poses: Sequence[PoseDraft] = field(default=(), metadata=_ROW)
    envelope: EnvelopeDraft | None = None
    limits: LimitsDraft | None = None
    variants: Mapping[str, VariantDraft] = field(default_factory=dict, metadata=_MAPPING)
    place: Place = _place()
    source: Source | None = field(default=None, compare=False, repr=False)


def measures(**written: Written | MeasureDraft) -> dict[str, MeasureDraft]:
    """The measures of a design built in Python: `measures(width=148, strip="width / 3")`."""
    return {
        name: value if isinstance(value, MeasureDraft) else MeasureDraft(value=value)
        for name, value in written.items()
    }
