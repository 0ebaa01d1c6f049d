"""This module mirrors a design from left to right, for whoever works with the left hand.

Every piece is mirrored in the upright line through the middle of its box, so it lies
where it lay.  What is mirrored is geometry: lines, joints, touches, the places of extras
and of the names of panels, the viewer's side.  Senses, faces, angles and names stay.  A
text still reads from left to right, in the mirror image of its box, so that texts on one
line come in the opposite order, which is told; and the print
direction of a mat stays, as it is told as somebody sees it in the pose: paper and
letters are not mirrored.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from ..geometry import Path, Point
from ..geometry.mirroring import mirrored as mirrored_path
from ..measures.exact import ROUNDING_MM, Number
from ..problems import Problem, problem
from .model import Design
from .pieces import Extra, JointEnd, Mark, Piece, Pose, Resolved, TouchEnd

_WHOLE_TURN = 360
_HALF_TURN = 180
_QUARTER = 90

# How finely the reach of an arc is told, which is no fraction: finer than any line is drawn,
# and coarse enough that mirroring twice finds the same line both times.
_PARTS_OF_MM = 10**6


def mirrored(resolved: Resolved) -> Resolved:
    """The mirrored edition of a resolved design; mirrored again it is the same design.

    Coordinates that are fractions stay fractions, so what closes exactly still does.
    """
    twice = {piece.name: _twice_middle(piece.outline) for piece in resolved.pieces}

    def end(one: JointEnd) -> JointEnd:
        by = twice[one.piece]
        return replace(one, start=_place(one.start, by), end=_place(one.end, by))

    def touching(one: TouchEnd) -> TouchEnd:
        by = twice[one.piece]
        return replace(one, start=_place(one.start, by), end=_place(one.end, by))

    def pose(one: Pose) -> Pose:
        return replace(
            one,
            view=None if one.view is None else _view(one.view),
            touches=tuple(
                replace(touch, line=touching(touch.line), to=touching(touch.to))
                for touch in one.touches
            ),
        )

    def extra(one: Extra) -> Extra:
        return one if one.at is None else replace(one, at=_place(one.at, twice[one.piece]))

    return replace(
        resolved,
        pieces=tuple(_piece(piece, twice[piece.name]) for piece in resolved.pieces),
        joints=tuple(replace(one, glue=end(one.glue), to=end(one.to)) for one in resolved.joints),
        poses=tuple(pose(one) for one in resolved.poses),
        extras=tuple(extra(one) for one in resolved.extras),
        mirrored=not resolved.mirrored,
    )


def turned_round_texts(resolved: Resolved) -> Iterator[Problem]:
    """A note for each line of texts that a mirrored design has in the opposite order.

    Whether they are words of one sentence or the names of what they stand on, nobody but
    their author knows.
    """
    for piece in resolved.pieces:
        lines: dict[tuple[object, object, object], list[Mark]] = {}
        for mark in piece.marks:
            if mark.text is not None and mark.at is not None:
                lines.setdefault((mark.face, mark.at.y, mark.height), []).append(mark)
        for marks in lines.values():
            texts = [
                mark.text
                for mark in sorted(marks, key=lambda one: 0 if one.at is None else one.at.x)
            ]
            if texts != texts[::-1]:
                yield problem(
                    "texts-turned-round",
                    place=marks[0].place,
                    piece=piece.name,
                    name=piece.name,
                    texts=", ".join(f'"{text}"' for text in texts),
                )


def mirrored_edition(design: Design) -> Design:
    """The design whose every edition is the mirrored one of what it was."""
    return replace(
        design,
        mirrored=not design.mirrored,
        variants={
            name: variant
            if variant.mirrored is None
            else replace(variant, mirrored=not variant.mirrored)
            for name, variant in design.variants.items()
        },
    )


def _piece(piece: Piece, twice: Number) -> Piece:
    def open_path(path: Path) -> Path:
        # Run in the same order, so that its hinges keep their numbers and senses.
        return mirrored_path(path, upright=True, twice=twice)

    def ring(path: Path) -> Path:
        return open_path(path).reversed

    return replace(
        piece,
        outline=ring(piece.outline),
        openings=tuple(replace(one, path=ring(one.path)) for one in piece.openings),
        slits=tuple(replace(one, path=open_path(one.path)) for one in piece.slits),
        folds=tuple(replace(one, path=open_path(one.path)) for one in piece.folds),
        marks=tuple(
            _mark(one, twice) if one.path is None else replace(one, path=open_path(one.path))
            for one in piece.marks
        ),
        panel_names=tuple(replace(one, at=_place(one.at, twice)) for one in piece.panel_names),
        grain=None if piece.grain is None else _across(piece.grain),
        hide_bridges=tuple(open_path(path) for path in piece.hide_bridges),
        mirrored=not piece.mirrored,
    )


def _mark(mark: Mark, twice: Number) -> Mark:
    """A text whose box is where the mirror image of its box is; it still reads to the right."""
    assert mark.text is not None
    assert mark.at is not None
    assert mark.height is not None
    # Most designs have no letters and need no alphabet.
    from ..lettering import set_text

    width = set_text(mark.text, at=mark.at, height=mark.height).width
    return replace(mark, at=Point(twice - mark.at.x - width, mark.at.y))


def _place(at: Point, twice: Number) -> Point:
    return Point(twice - at.x, at.y)


def _view(degrees: Number) -> Number:
    """The mirrored side of a viewer: who stood at the left stands at the right."""
    # In the same turn round the card as before, so that mirroring twice changes nothing.
    turns = degrees // _WHOLE_TURN * _WHOLE_TURN
    return (_HALF_TURN - degrees) % _WHOLE_TURN + turns


def _across(degrees: Number) -> Number:
    """A mirrored direction that has no head, as the grain has none: along x and y it stays."""
    return degrees if degrees % _QUARTER == 0 else _HALF_TURN - degrees


def _twice_middle(outline: Path) -> Number:
    """Left and right of the box of an outline, added up."""
    xs = [vertex.at.x for vertex in outline.vertices]
    left, right = min(xs), max(xs)
    reach_left, _, reach_right, _ = outline.box()
    # Only an arc reaches beyond its ends.
    if reach_left < left - ROUNDING_MM:
        left = _told(reach_left)
    if reach_right > right + ROUNDING_MM:
        right = _told(reach_right)
    return left + right


def _told(reach: float) -> Fraction:
    return Fraction(round(reach * _PARTS_OF_MM), _PARTS_OF_MM)
