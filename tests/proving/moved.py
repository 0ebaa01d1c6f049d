"""Pieces moved, turned, mirrored, renamed and reordered: the same card, told otherwise."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from foldwright.design.pieces import Piece, Resolved
from foldwright.geometry import Path, Point, Vertex

Change = Callable[[Resolved], Resolved]


def _mapped(piece: Piece, to: Callable[[Point], Point], *, mirrored: bool) -> Piece:
    def path(old: Path) -> Path:
        return Path(tuple(Vertex(to(vertex.at), 0.0) for vertex in old.vertices), old.closed)

    outline = path(piece.outline)
    if mirrored:
        outline = Path(tuple(reversed(outline.vertices)), closed=True)
    return replace(
        piece,
        outline=outline,
        slits=tuple(replace(slit, path=path(slit.path)) for slit in piece.slits),
        folds=tuple(replace(fold, path=path(fold.path)) for fold in piece.folds),
    )


def _every(change: Callable[[Piece], Piece]) -> Change:
    return lambda design: replace(design, pieces=tuple(change(piece) for piece in design.pieces))


def _renamed(piece: Piece) -> Piece:
    return replace(
        piece,
        name=f"the {piece.name}",
        folds=tuple(replace(fold, name=f"line {i}") for i, fold in enumerate(piece.folds)),
    )


# How a card of straight lines may be told otherwise without becoming another one.
CHANGES: Mapping[str, Change] = {
    "moved": _every(
        lambda piece: _mapped(
            piece, lambda at: Point(at.x + 7, at.y + Fraction(13, 3)), mirrored=False
        )
    ),
    "turned": _every(
        lambda piece: _mapped(piece, lambda at: Point(300 - at.y, at.x), mirrored=False)
    ),
    "turned by a slant": _every(
        lambda piece: _mapped(
            piece,
            lambda at: Point(
                400 + at.x * Fraction(3, 5) - at.y * Fraction(4, 5),
                at.x * Fraction(4, 5) + at.y * Fraction(3, 5),
            ),
            mirrored=False,
        )
    ),
    "mirrored": _every(
        lambda piece: _mapped(piece, lambda at: Point(300 - at.x, at.y), mirrored=True)
    ),
    "renamed": _every(_renamed),
    "reordered": _every(lambda piece: replace(piece, folds=tuple(reversed(piece.folds)))),
}
