"""This module works out what a design keeps but no proof judges, so that slips are told at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from ..geometry import Point
from ..measures import Number
from ..measures.exact import MEETS_MM
from ..problems import Place, Problem, problem
from .model import ALL_PANELS, Design, ExtraDraft, MatDraft, PieceDraft
from .naming import Unfound, find_panel, panel_names
from .piecework import PieceWork, mm
from .written import expression

Box = tuple[Number, Number, Number, Number]


def work_out_kept(design: Design, work: PieceWork, boxes: Mapping[str, Box]) -> None:
    """Work out mats, extras and the envelope; what is wrong goes to the collector of `work`.

    `boxes` has the outer box of every piece that could be worked out, in mm: least x,
    least y, largest x, largest y.
    """
    for index, mat in enumerate(design.mats, start=1):
        what = f"mat {index}" if mat.name is None else f'mat "{mat.name}"'
        _mat(mat, what, work, boxes)
    for index, extra in enumerate(design.extras, start=1):
        what = f"extra {index}" if extra.name is None else f'extra "{extra.name}"'
        _extra(extra, what, work, boxes)
    if design.envelope is not None and design.envelope.clearance_each_side is not None:
        work.positive(
            design.envelope.clearance_each_side, "the clearance of the envelope", or_zero=True
        )


def _mat(mat: MatDraft, what: str, work: PieceWork, boxes: Mapping[str, Box]) -> None:
    margin = work.positive(mat.margin, f"the margin of {what}", or_zero=True)
    if mat.up is not None:
        work.angle(mat.up, f"the print direction of {what}")
    box = boxes.get(mat.on)
    if margin is None or box is None:
        return
    sides = (box[2] - box[0], box[3] - box[1])
    if 2 * margin >= min(sides):
        own = expression(mat.margin).place
        work.found.add(
            problem(
                "margin-too-wide",
                place=mat.place if own.line is None else own,
                piece=mat.on,
                what=what,
                margin=mm(margin),
                size=" by ".join(mm(side) for side in sides),
            )
        )


def _extra(extra: ExtraDraft, what: str, work: PieceWork, boxes: Mapping[str, Box]) -> None:
    if extra.at is not None:
        at = work.spot(extra.at, what)
        # Only the name of the piece counts here, and what is unfound is told elsewhere.
        owner = extra.on.partition("/")[0] if "/" in extra.on else None
        if owner is None and len(boxes) == 1:
            (owner,) = boxes
        box = None if owner is None else boxes.get(owner)
        if at is not None and box is not None and not _holds(box, at):
            own = expression(extra.at[0]).place
            place = extra.place if own.line is None else own
            work.found.add(
                problem("extra-off-its-piece", place=place, piece=owner, at=at.floats(), what=what)
            )
    for size in extra.size:
        work.positive(size, f"the size of {what}")
    if extra.height is not None:
        work.positive(extra.height, f"the height of {what}", or_zero=True)
    if extra.mass is not None:
        work.plain(extra.mass, f"the mass of {what}")


def _holds(box: Box, at: Point) -> bool:
    x, y = at.floats()
    return (
        box[0] - MEETS_MM <= x <= box[2] + MEETS_MM and box[1] - MEETS_MM <= y <= box[3] + MEETS_MM
    )


def unchecked_references(design: Design, pieces: Sequence[PieceDraft]) -> Iterator[Problem]:
    """A note for each panel of a mat or an extra that is only counted, `panel 9`."""
    panels = panel_names(pieces)
    references: list[tuple[str, Place]] = []
    for mat in design.mats:
        if mat.panels != ALL_PANELS:
            references += [(f"{mat.on}/{panel}", mat.place) for panel in mat.panels]
    references += [(extra.on, extra.place) for extra in design.extras]
    for reference, place in references:
        try:
            owner, panel = find_panel(reference, panels)
        except Unfound:
            continue
        if panel not in panels[owner]:
            hint = "name that panel with [[piece.panel]], and call it by its name"
            yield problem("taken-on-trust", place=place, what="a panel", name=reference, hint=hint)
