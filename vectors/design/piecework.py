"""This module works out one piece: its expressions in their scope, its shapes as paths."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ..geometry import Path, Point, Vector, circle, line, polygon
from ..geometry.ellipses import Ellipse
from ..geometry.fitting import fit
from ..geometry.meetings import Meeting, meetings
from ..measures import (
    LARGEST_MM,
    Number,
    Quantity,
    Scope,
    as_angle,
    as_length,
    as_number,
)
from ..measures.exact import FITTED_MM, MEETS_MM, ROUNDING_MM
from ..problems import Collector, DesignError, Place, problem
from .model import (
    ArcDraft,
    BandDraft,
    BandSense,
    CircleDraft,
    CurveDraft,
    EllipseDraft,
    FoldDraft,
    MarkDraft,
    OpeningDraft,
    PathDraft,
    PieceDraft,
    PolygonDraft,
    RectangleDraft,
    ShapeDraft,
    SlitDraft,
    VertexDraft,
    along,
)
from .naming import called, fold_names
from .pieces import Fold, How, Mark, Opening, PanelName, Piece, Sense, Slit
from .shaping import Corner, Misfit, Shaped, shape
from .written import expression, spot

MOST_COPIES = 10_000
"""More copies than this of one piece are a slip of the pen."""


_MOST_SEGMENTS = 1000


class PieceWork:
    """The working out of one piece, or of what stands in a piece's coordinates.

    Every method gives None for what cannot be worked out, and has then kept a
    problem that says why.
    """

    def __init__(self, scope: Scope, found: Collector, name: str | None = None) -> None:
        self.scope = scope
        self.found = found
        self.name = name

    # Numbers.

    def quantity(self, written: object) -> Quantity | None:
        """The quantity that an expression comes to."""
        try:
            return expression(written).evaluate(self.scope)
        except DesignError as error:
            self.found.extend(error)
            return None

    def length(self, written: object, what: str) -> Number | None:
        """A length in mm."""
        read = expression(written)
        quantity = self.quantity(read)
        if quantity is None:
            return None
        try:
            return as_length(quantity, self.scope.units, read.place, what)
        except DesignError as error:
            self.found.extend(error)
            return None

    def angle(self, written: object, what: str) -> Number | None:
        """An angle in degrees."""
        read = expression(written)
        quantity = self.quantity(read)
        if quantity is None:
            return None
        try:
            return as_angle(quantity, read.place, what)
        except DesignError as error:
            self.found.extend(error)
            return None

    def plain(self, written: object, what: str) -> Number | None:
        """A number without a unit."""
        read = expression(written)
        quantity = self.quantity(read)
        if quantity is None:
            return None
        try:
            return as_number(quantity, read.place, what)
        except DesignError as error:
            self.found.extend(error)
            return None

    def positive(self, written: object, what: str, *, or_zero: bool = False) -> Number | None:
        """A length above 0, or from 0 on."""
        value = self.length(written, what)
        if value is None:
            return None
        if value < 0 or (value == 0 and not or_zero):
            least = "0 mm or more" if or_zero else "more than 0 mm"
            self.tell(
                "not-positive", expression(written).place, what=what, value=mm(value), least=least
            )
            return None
        return value

    def spot(self, written: object, what: str) -> Point | None:
        """A place on the paper."""
        across, up = spot(written)
        x, y = self.length(across, f"x of {what}"), self.length(up, f"y of {what}")
        return None if x is None or y is None else Point(x, y)

    def tell(self, code: str, place: Place, *, at: Point | None = None, **fields: object) -> None:
        """Keep a problem of this piece."""
        self.found.add(
            problem(
                code,
                place=place,
                piece=self.name,
                at=None if at is None else at.floats(),
                **fields,  # type: ignore[arg-type]
            )
        )

    # Paths.

    def corners(self, written: object, what: str) -> list[Corner] | None:
        """The corners of a path, all of them or None."""
        corners: list[Corner] = []
        whole = True
        for index, item in enumerate(along(written)):
            which = f"point {index + 1} of {what}"
            if not isinstance(item, VertexDraft):
                bent = self.bent(item, which)
                if index == 0:
                    self.tell("arc-without-a-start", item.place, what=what, bend=_bend(item))
                if index == 0 or bent is None:
                    whole = False
                else:
                    corners.append(bent)
                continue
            at = self.spot(item.at, which)
            radius: Number | None = Fraction(0)
            if item.round is not None:
                radius = self.positive(item.round, f"the radius at {which}", or_zero=True)
            if at is None or radius is None:
                whole = False
            else:
                corners.append(Corner(at=at, radius=radius))
        return corners if whole else None

    def bent(self, item: ArcDraft | CurveDraft, which: str) -> Corner | None:
        """The corner that an arc or a curve leads to."""
        if isinstance(item, ArcDraft):
            at, through = self.spot(item.arc_to, which), self.spot(item.through, which)
            if at is None or through is None:
                return None
            return Corner(at=at, through=through)
        at = self.spot(item.curve_to, which)
        found = [self.spot(place, f"a control place of {which}") for place in item.control]
        control = tuple(place for place in found if place is not None)
        if at is None or len(control) < len(found):
            return None
        return Corner(at=at, control=control)

    def tell_fitted(self, what: str, curve: str, count: int, place: Place) -> None:
        """Keep a note that arcs stand for a curve."""
        arcs = "1 arc" if count == 1 else f"{count} arcs"
        self.tell("curve-fitted", place, what=what, arcs=arcs, curve=curve, within=mm(FITTED_MM))

    def shaped(self, written: object, what: str, place: Place, *, closed: bool) -> Shaped | None:
        """The path along written vertices."""
        corners = self.corners(written, what)
        if corners is None:
            return None
        try:
            found = shape(corners, closed=closed)
        except Misfit as misfit:
            vertices = along(written)
            own = vertices[misfit.index].place if misfit.index < len(vertices) else place
            fields = {
                key: mm(value) if isinstance(value, Fraction | float) else value
                for key, value in misfit.fields.items()
            }
            self.tell(
                misfit.code,
                place if own.line is None else own,
                at=misfit.at,
                what=what,
                spot=spot_text(misfit.at),
                **fields,
            )
            return None
        for vertex in found.path.vertices:
            if any(abs(part) > LARGEST_MM for part in vertex.at.floats()):
                self.tell("length-too-large", place, what=f"the way to a point of {what}")
                return None
        vertices = along(written)
        for index, count in found.fitted:
            own = vertices[index].place
            self.tell_fitted(what, "a curve", count, place if own.line is None else own)
        return found

    def open_or_closed(self, written: object, what: str, place: Place) -> Path | None:
        """A line: closed where its last place is its first."""
        corners = self.corners(written, what)
        if corners is None:
            return None
        back = len(corners) > 1 and corners[0].at.distance(corners[-1].at) <= MEETS_MM
        if not back:
            shaped = self.shaped(written, what, place, closed=False)
        elif corners[-1].through is not None:
            shaped = self.shaped(written, what, place, closed=True)
        else:
            shaped = self.shaped(along(written)[:-1], what, place, closed=True)
        return None if shaped is None else shaped.path

    def closed_shape(self, written: ShapeDraft, what: str, place: Place) -> Path | None:
        """A closed shape, run anticlockwise."""
        own = place if written.place.line is None else written.place
        match written:
            case RectangleDraft():
                path = self.rectangle(written, what, own)
            case CircleDraft():
                centre = self.spot(written.at, f"the centre of {what}")
                radius = self.positive(written.radius, f"the radius of {what}")
                path = None if centre is None or radius is None else circle(centre, radius)
            case EllipseDraft():
                path = self.ellipse(written, what, own)
            case PolygonDraft() | PathDraft():
                bends = [
                    item for item in along(written.points) if not isinstance(item, VertexDraft)
                ]
                if isinstance(written, PolygonDraft) and bends:
                    self.tell("arc-in-a-polygon", own, bend=_bend(bends[0]))
                    return None
                shaped = self.shaped(written.points, what, own, closed=True)
                path = None if shaped is None else shaped.path
        if path is None:
            return None
        if any(abs(side) > LARGEST_MM for side in path.box()):
            self.tell("length-too-large", own, what=f"the way to an edge of {what}")
            return None
        area = path.area
        if abs(area) <= ROUNDING_MM:
            crossing = _crossing(path)
            if crossing is None:
                self.tell("no-area", own, at=path.start, what=what)
            else:
                # Two loops of one size, run round in opposite ways, cancel.
                self.tell("outline-crosses-itself", own, at=crossing, rim=what, other="itself")
            return None
        return path if area > 0 else path.reversed

    def ellipse(self, written: EllipseDraft, what: str, place: Place) -> Path | None:
        """An ellipse along the axes, as arcs; a circle where its half-axes are one length."""
        centre = self.spot(written.at, f"the centre of {what}")
        rx = self.positive(written.rx, f"the half-axis along x of {what}")
        ry = self.positive(written.ry, f"the half-axis along y of {what}")
        if centre is None or rx is None or ry is None:
            return None
        if rx == ry:
            return circle(centre, rx)
        if min(rx, ry) <= MEETS_MM:
            self.tell("no-area", place, what=what)
            return None
        path = fit(Ellipse(centre=centre, rx=float(rx), ry=float(ry)))
        self.tell_fitted(what, "an ellipse", len(path.segments), place)
        return path

    def rectangle(self, written: RectangleDraft, what: str, place: Place) -> Path | None:
        """A rectangle, its corners rounded."""
        width = self.positive(written.width, f"the width of {what}")
        height = self.positive(written.height, f"the height of {what}")
        at = self.spot(written.at, f"the lower left corner of {what}")
        radius: Number | None = Fraction(0)
        if written.round is not None:
            radius = self.positive(written.round, f"the radius of {what}", or_zero=True)
        if width is None or height is None or at is None or radius is None:
            return None
        across, up = Vector(width, Fraction(0)), Vector(Fraction(0), height)
        ends = (at, at + across, at + across + up, at + up)
        if radius == 0:
            return polygon(*ends)
        try:
            return shape([Corner(at=end, radius=radius) for end in ends], closed=True).path
        except Misfit as misfit:
            round_place = expression(written.round).place
            self.tell(
                misfit.code,
                place if round_place.line is None else round_place,
                at=misfit.at,
                what=what,
                spot=spot_text(misfit.at),
                radius=mm(radius),
            )
            return None

    # The parts of a piece.

    def piece(self, draft: PieceDraft) -> Piece | None:
        """The whole piece."""
        outline = self.closed_shape(
            draft.outline, f'the outline of piece "{draft.name}"', draft.place
        )
        openings = [
            self.opening(name, opening)
            for name, opening in zip(called("opening", draft.openings), draft.openings, strict=True)
        ]
        slits = [
            self.slit(name, slit)
            for name, slit in zip(called("slit", draft.slits), draft.slits, strict=True)
        ]
        folds: list[Fold] = []
        for crease, names in fold_names(draft):
            if isinstance(crease, BandDraft):
                folds.extend(self.band(names, crease))
            else:
                fold = self.fold(names[0], crease)
                folds.extend(() if fold is None else (fold,))
        marks = [
            self.mark(name, mark)
            for name, mark in zip(called("mark", draft.marks), draft.marks, strict=True)
        ]
        panel_names = []
        for panel in draft.panels:
            at = self.spot(panel.at, f'panel "{panel.name}"')
            if at is not None:
                panel_names.append(
                    PanelName(name=panel.name, at=at, cover=panel.cover, place=panel.place)
                )
        grain = None if draft.grain is None else self.angle(draft.grain, "the grain")
        hidden = [
            self.shaped(edge, "an edge of hide_bridges", draft.place, closed=False)
            for edge in draft.hide_bridges
        ]
        copies = self.copies(draft)
        if outline is None or copies is None:
            return None
        return Piece(
            name=draft.name,
            outline=outline,
            openings=tuple(opening for opening in openings if opening is not None),
            slits=tuple(slit for slit in slits if slit is not None),
            folds=tuple(folds),
            marks=tuple(mark for mark in marks if mark is not None),
            panel_names=tuple(panel_names),
            stock=draft.stock,
            grain=grain,
            copies=copies,
            hide_bridges=tuple(edge.path for edge in hidden if edge is not None),
            place=draft.place,
        )

    def copies(self, draft: PieceDraft) -> int | None:
        """How many of the piece are made."""
        read = expression(draft.copies)
        quantity = self.quantity(read)
        if quantity is None:
            return None
        try:
            count = as_number(quantity, read.place, f'the copies of piece "{draft.name}"')
        except DesignError as error:
            self.found.extend(error)
            return None
        if count < 1 or count != int(count):
            self.tell("no-copies", read.place, name=draft.name, value=f"{float(count):.6g}")
            return None
        if count > MOST_COPIES:
            self.tell(
                "too-many-copies",
                read.place,
                name=draft.name,
                value=f"{float(count):,.6g}",
                most=f"{MOST_COPIES:,}",
            )
            return None
        return int(count)

    def opening(self, name: str, draft: OpeningDraft) -> Opening | None:
        """A hole."""
        path = self.closed_shape(draft.shape, told("opening", name, draft.name), draft.place)
        return None if path is None else Opening(name=name, path=path, place=draft.place)

    def slit(self, name: str, draft: SlitDraft) -> Slit | None:
        """A slit."""
        path = self.open_or_closed(draft.points, told("slit", name, draft.name), draft.place)
        return (
            None
            if path is None
            else Slit(name=name, path=path, how=How(draft.how), place=draft.place)
        )

    def turn(self, written: object, what: str) -> Number | None:
        """How far a fold is turned in the closed pose, 0 to 180 degrees."""
        angle = self.angle(written, f"the angle of {what}")
        if angle is not None and not 0 <= angle <= 180:
            self.tell(
                "fold-angle", expression(written).place, what=what, angle=f"{float(angle):.6g}"
            )
            return None
        return angle

    def fold(self, name: str, draft: FoldDraft) -> Fold | None:
        """A fold, its senses told for each segment of its path."""
        what = told("fold", name, draft.name)
        shaped = self.shaped(draft.points, what, draft.place, closed=False)
        angle = self.turn(draft.angle, what)
        if isinstance(draft.sense, str):
            senses: tuple[Sense, ...] = (Sense(draft.sense),) * (len(tuple(draft.points)) - 1)
        else:
            senses = tuple(Sense(item) for item in draft.sense)
            due = len(tuple(draft.points)) - 1
            if len(senses) != due:
                self.tell(
                    "sense-count",
                    draft.place,
                    what=what,
                    count=len(senses),
                    due=due,
                    unit="segment",
                )
                return None
        if shaped is None or angle is None:
            return None
        return Fold(
            name=name,
            path=shaped.path,
            senses=tuple(senses[index] for index in shaped.written),
            angle=angle,
            still=draft.still,
            place=draft.place,
        )

    def band(self, names: Sequence[str], draft: BandDraft) -> tuple[Fold, ...]:
        """The folds of a band: the first as written, the next ones to the right of it."""
        what = "a band" if draft.name is None else f'band "{draft.name}"'
        senses = self.band_senses(draft, what)
        start, end = (
            self.spot(draft.start, f"from of {what}"),
            self.spot(draft.end, f"to of {what}"),
        )
        steps = [
            self.positive(step, f"step {index} of the walk of {what}")
            for index, step in enumerate(draft.walk, start=1)
        ]
        angle = self.turn(draft.angle, what)
        if not steps:
            self.tell("no-walk", draft.place, what=what)
            return ()
        if start is None or end is None:
            return ()
        if start.distance(end) <= MEETS_MM:
            self.tell("repeated-point", draft.place, at=start, what=what, spot=spot_text(start))
            return ()
        if angle is None or senses is None or any(step is None for step in steps):
            return ()
        along = end - start
        # Turned a quarter turn and shortened to 1 mm; exact where the length is.
        aside = along.right / along.length
        folds: list[Fold] = []
        gone: Number = Fraction(0)
        for name, sense, step in zip(names, senses, (Fraction(0), *steps), strict=True):
            gone += Fraction(0) if step is None else step
            path = line(start + aside * gone, end + aside * gone)
            if any(abs(c) > LARGEST_MM for at in (path.start, path.end) for c in at.floats()):
                self.tell("length-too-large", draft.place, what=f"the way to a fold of {what}")
                return ()
            folds.append(
                Fold(name=name, path=path, senses=(sense,), angle=angle, place=draft.place)
            )
        return tuple(folds)

    def band_senses(self, draft: BandDraft, what: str) -> tuple[Sense, ...] | None:
        """One sense a fold."""
        count = len(draft.walk) + 1
        if not isinstance(draft.sense, str):
            senses = tuple(Sense(item) for item in draft.sense)
            if len(senses) != count:
                self.tell(
                    "sense-count", draft.place, what=what, count=len(senses), due=count, unit="fold"
                )
                return None
            if draft.first is not None and Sense(draft.first) is not senses[0]:
                self.tell("first-contradicts", draft.place, what=what, first=draft.first)
                return None
            return senses
        if draft.sense != BandSense.ALTERNATE:
            sense = Sense(draft.sense)
            if draft.first is not None and Sense(draft.first) is not sense:
                self.tell("first-contradicts", draft.place, what=what, first=draft.first)
                return None
            return (sense,) * count
        if draft.first is None:
            self.tell("no-first", draft.place, what=what)
            return None
        first = Sense(draft.first)
        other = Sense.VALLEY if first is Sense.MOUNTAIN else Sense.MOUNTAIN
        return tuple(first if index % 2 == 0 else other for index in range(count))

    def mark(self, name: str, draft: MarkDraft) -> Mark | None:
        """A drawn line or a text."""
        what = told("mark", name, draft.name)
        if draft.points is not None:
            path = self.open_or_closed(draft.points, what, draft.place)
            return None if path is None else Mark(name=name, path=path, place=draft.place)
        at = self.spot(draft.at, what)
        height = self.positive(draft.height, f"the height of {what}")
        if at is None or height is None:
            return None
        return Mark(name=name, text=draft.text, at=at, height=height, place=draft.place)


def _crossing(path: Path) -> Point | None:
    """The first place at which a closed path of no area crosses itself, if it does.

    Only its first thousand segments are looked at: every pair of them takes time.
    """
    segments = path.segments[:_MOST_SEGMENTS]
    last = len(path.segments) - 1
    for i, one in enumerate(segments):
        for j in range(i + 2, len(segments)):
            if i == 0 and j == last:
                continue  # the path closes there
            for meeting in meetings(one, segments[j], MEETS_MM):
                if isinstance(meeting, Meeting):
                    return meeting.at
    return None


def _bend(item: ArcDraft | CurveDraft) -> str:
    return "an arc" if isinstance(item, ArcDraft) else "a curve"


def told(kind: str, name: str, written: str | None) -> str:
    """A part as a message tells it: `fold "gutter"`, or `fold 3` where it was not named."""
    return name if written is None else f'{kind} "{name}"'


def mm(value: Number) -> str:
    """A length as a message tells it."""
    return f"{float(value):.6g} mm"


def spot_text(at: Point) -> str:
    """A place as a message tells it."""
    x, y = at.floats()
    return f"({x:.6g}, {y:.6g}) mm"
