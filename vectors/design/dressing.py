"""This module works out what is glued on panels: mats and extras.

Which panels a piece has is known only once it has been divided; whether something
is left of each mat is judged then.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..geometry import Point
from ..measures import Number, Scope
from ..measures.exact import MEETS_MM
from ..problems import Collector, Place, problem
from .model import ALL_PANELS, ExtraDraft, MatDraft
from .naming import called, find_panel
from .pieces import Extra, Face, LShape, Mat
from .piecework import PieceWork, mm, told
from .written import expression

Box = tuple[Number, Number, Number, Number]


class DressingWork:
    """The working out of mats and extras.

    `panels` has the named panels of each piece, `scopes` what its expressions may use,
    `boxes` the outer box of every piece that could be worked out, in mm: least x, least y,
    largest x, largest y.  What cannot be worked out is left out, and a problem that says why
    goes to `found`.
    """

    def __init__(
        self,
        panels: Mapping[str, Sequence[str]],
        scopes: Mapping[str, Scope],
        boxes: Mapping[str, Box],
        found: Collector,
    ) -> None:
        self.panels = panels
        self.scopes = scopes
        self.boxes = boxes
        self.found = found

    def mats(self, drafts: Sequence[MatDraft]) -> Iterator[Mat]:
        """The mats, in the order of the file."""
        for name, draft in zip(called("mat", drafts), drafts, strict=True):
            what = told("mat", name, draft.name)
            work = PieceWork(self.scopes[draft.on], self.found, draft.on)
            margin = None
            if draft.margin is not None:
                margin = work.positive(draft.margin, f"the margin of {what}", or_zero=True)
                if margin is None or not self._leaves_something(draft, what, margin):
                    continue
            up = None
            if draft.up is not None:
                up = work.angle(draft.up, f"the print direction of {what}")
            panels = None
            if draft.panels != ALL_PANELS:
                references = (f"{draft.on}/{panel}" for panel in draft.panels)
                found = (find_panel(reference, self.panels)[1] for reference in references)
                panels = tuple(dict.fromkeys(found))
            yield Mat(
                name=name,
                piece=draft.on,
                panels=panels,
                face=Face(draft.face),
                margin=margin,
                l_shape=LShape(draft.l_shape),
                stock=draft.stock,
                up=up,
                place=draft.place,
            )

    def _leaves_something(self, draft: MatDraft, what: str, margin: Number) -> bool:
        """Whether the whole piece, which is as large as any panel of it, has room for a mat."""
        box = self.boxes.get(draft.on)
        if box is None:
            return True
        sides = (box[2] - box[0], box[3] - box[1])
        if 2 * margin < min(sides):
            return True
        self.found.add(
            problem(
                "margin-too-wide",
                place=_margin_place(draft),
                piece=draft.on,
                what=what,
                margin=mm(margin),
                size=" by ".join(mm(side) for side in sides),
            )
        )
        return False

    def extras(self, drafts: Sequence[ExtraDraft]) -> Iterator[Extra]:
        """The extras, in the order of the file."""
        for name, draft in zip(called("extra", drafts), drafts, strict=True):
            what = told("extra", name, draft.name)
            piece, panel = find_panel(draft.on, self.panels)
            work = PieceWork(self.scopes[piece], self.found, piece)
            at = None
            if draft.at is not None:
                at = work.spot(draft.at, what)
                self._on_its_piece(draft, what, piece, at)
            sizes = [work.positive(size, f"the size of {what}") for size in draft.size]
            height = None
            if draft.height is not None:
                height = work.positive(draft.height, f"the height of {what}", or_zero=True)
            yield Extra(
                name=name,
                piece=piece,
                panel=panel,
                at=at,
                size=tuple(size for size in sizes if size is not None),
                height=height,
                mass_g=None if draft.mass is None else _mass(draft.mass, what, work),
                place=draft.place,
            )

    def _on_its_piece(self, draft: ExtraDraft, what: str, piece: str, at: Point | None) -> None:
        box = self.boxes.get(piece)
        if at is None or draft.at is None or box is None or _holds(box, at):
            return
        place = _own(expression(draft.at[0]).place, draft.place)
        self.found.add(
            problem("extra-off-its-piece", place=place, piece=piece, at=at.floats(), what=what)
        )


def _mass(written: object, what: str, work: PieceWork) -> Number | None:
    """A mass in g, 0 or more."""
    mass = work.plain(written, f"the mass of {what}")
    if mass is None or mass >= 0:
        return mass
    work.tell(
        "not-positive",
        expression(written).place,
        what=f"the mass of {what}",
        value=f"{float(mass):.6g} g",
        least="0 g or more",
    )
    return None


def _own(place: Place, otherwise: Place) -> Place:
    return otherwise if place.line is None else place


def _margin_place(draft: MatDraft) -> Place:
    if draft.margin is None:
        return draft.place
    return _own(expression(draft.margin).place, draft.place)


def _holds(box: Box, at: Point) -> bool:
    x, y = at.floats()
    return (
        box[0] - MEETS_MM <= x <= box[2] + MEETS_MM and box[1] - MEETS_MM <= y <= box[3] + MEETS_MM
    )
