"""This module divides a piece of many lines, on columns of numbers."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ..design.pieces import Piece
from ..geometry import Path, Point
from ..geometry.box_pairs import Floats, Indices
from ..problems import Problem
from .checks import Judged
from .columns import NUMBER_OF, columns_of
from .curves import Kind
from .deferred import many_deferred
from .half_edges import Survey, survey
from .joined import unreached
from .many_knots import many_knots
from .model import Hinge, Panel
from .naming import all_names, panel_names
from .net import Net, net_of
from .parts import Parts
from .suspects import paper_beside, suspects_of

Mask = npt.NDArray[np.bool_]


class ManyLines:
    """The lines of a piece, split where they meet."""

    def __init__(self, piece: Piece) -> None:
        self.piece = piece
        self._net = net_of(columns_of(piece))
        self.noded = self._net.noded
        self._whole = survey(self._net, np.arange(len(self._net.curve)))
        self.everything = _judged(self._whole)

    def scored(self) -> list[int]:
        """The folds that are scored only, in part or all of them."""
        columns = self._net.columns
        scored = columns.kind == NUMBER_OF[Kind.SCORE]
        found: list[int] = np.unique(columns.index[scored]).tolist()
        return found

    def parts(self, tears: frozenset[int]) -> Parts:
        """What all lines make but the scores, and the slits `tears`."""
        columns, net = self._net.columns, self._net
        kind, index = columns.kind[net.curve], columns.index[net.curve]
        out = kind == NUMBER_OF[Kind.SCORE]
        if tears:
            out |= (kind == NUMBER_OF[Kind.SLIT]) & np.isin(index, list(tears))
        found, judged = self._whole, self.everything
        if out.any():
            found = survey(net, np.flatnonzero(~out))
            judged = _judged(found)
        panels, number_of, problems = _panels(self.piece, found)
        left, right = number_of[found.face[0::2]], number_of[found.face[1::2]]
        hinges, hinge_of = _hinges(self.piece, found, left, right)
        numbers = number_of.tolist()
        return Parts(
            judged=judged,
            panels=panels,
            hinges=hinges,
            panel_of=lambda face: None if numbers[face] < 0 else numbers[face],
            loose=unreached(
                found.area[np.argsort(number_of[:-1])[-len(panels) :]],
                left[hinge_of >= 0],
                right[hinge_of >= 0],
            ),
            problems=tuple(problems),
            knots=lambda: many_knots(found, number_of, hinge_of),
        )


def _judged(found: Survey) -> Judged:
    return Judged(found.plan, suspects_of(found))


def _panels(piece: Piece, found: Survey) -> tuple[tuple[Panel, ...], Indices, list[Problem]]:
    """The panels by place, and the panel number of each face; -1 without paper and for face -1."""
    paper = np.flatnonzero(paper_beside(found)[1])
    box, area = found.walks.box[found.outer[paper]], found.area[paper]
    # By y, then x, of the lower left corner of the box; the area parts panels
    # that share it (an L round a square).  Rounded, so that noise never orders.  A
    # mirrored piece has its panels in the order of what it is the mirror image of.
    across = -box[:, 2] if piece.mirrored else box[:, 0]
    order = np.lexsort((np.round(area, 6), np.round(across, 6), np.round(box[:, 1], 6)))
    faces, box = paper[order], box[order]
    number_of = np.full(len(found.outer) + 1, -1, dtype=np.int64)
    number_of[faces] = np.arange(len(faces))

    def rims(face: int) -> tuple[Path, ...]:
        ring, *holes = found.walks_of(face)
        return ring.path, *(hole.path for hole in holes if hole.area < 0.0)

    of_index = faces.tolist()

    def fill(panel: Panel) -> dict[str, object]:
        ring, *holes = rims(of_index[panel.index])
        return {"ring": ring, "holes": tuple(holes)}

    given, problems = panel_names(
        piece, lambda at: _holding(box, at), lambda index: rims(of_index[index])
    )
    panels = many_deferred(
        Panel,
        len(faces),
        fill,
        index=range(len(faces)),
        name=all_names(given, len(faces)),
        area=area[order].tolist(),
    )
    return tuple(panels), number_of, problems


def _holding(box: Floats, at: Point) -> list[int]:
    """The boxes that hold a place, their rims included."""
    x, y = at.floats()
    across = (box[:, 0] <= x) & (x <= box[:, 2])
    found: list[int] = np.flatnonzero(across & (box[:, 1] <= y) & (y <= box[:, 3])).tolist()
    return found


def _hinges(
    piece: Piece, found: Survey, left: Indices, right: Indices
) -> tuple[tuple[Hinge, ...], Indices]:
    """The hinges in the order of the file, and the hinge of each edge, -1 where it is of none.

    `left` and `right` are the panels beside each edge, -1 where there is none.
    """
    net, columns, edges = found.net, found.net.columns, found.edges
    curve = net.curve[edges]
    turns = (columns.kind[curve] == NUMBER_OF[Kind.FOLD]) & (left >= 0) & (right >= 0)
    turns &= left != right
    # A stretch runs on over a node where nothing else meets it.
    start, end = net.start[edges], net.end[edges]
    alone = found.begin[start + 1] - found.begin[start] == 2
    on = np.zeros(len(edges), dtype=np.bool_)
    on[1:] = (
        turns[1:] & turns[:-1] & (curve[1:] == curve[:-1]) & (end[:-1] == start[1:]) & alone[1:]
    )
    first = np.flatnonzero(turns & ~on)
    runs_on = np.zeros(len(edges), dtype=np.bool_)
    runs_on[:-1] = on[1:]
    last = np.flatnonzero(turns & ~runs_on)
    hinge_of = np.full(len(edges), -1, dtype=np.int64)
    hinge_of[turns] = np.cumsum((turns & ~on)[turns]) - 1

    of, fold_of = curve[first], columns.index[curve[first]]
    number = columns.number[of].tolist()
    folds = [piece.folds[fold] for fold in fold_of.tolist()]
    counts = np.bincount(fold_of, minlength=len(piece.folds))
    nth = np.arange(len(first)) - (np.cumsum(counts) - counts)[fold_of] + 1
    hinges = many_deferred(
        Hinge,
        len(first),
        lambda hinge: {"line": piece.folds[hinge.fold].path.segments[hinge.segment]},
        index=range(len(first)),
        label=[
            fold.name if count == 1 else f"{fold.name}#{n}"
            for fold, count, n in zip(folds, counts[fold_of].tolist(), nth.tolist(), strict=True)
        ],
        fold=fold_of.tolist(),
        segment=number,
        start=_ends(columns.starts, of, net.low[edges[first]] == 0.0, net, start[first]),
        end=_ends(columns.ends, of, net.high[edges[last]] == 1.0, net, end[last]),
        left=left[first].tolist(),
        right=right[first].tolist(),
        sense=[fold.senses[n] for fold, n in zip(folds, number, strict=True)],
        angle=[fold.angle for fold in folds],
        place=[fold.place for fold in folds],
    )
    return tuple(hinges), hinge_of


def _ends(
    designed: list[Point], curve: Indices, whole: Mask, net: Net, node: Indices
) -> list[Point]:
    """An end of each hinge: that of its curve as designed where it is `whole`, else its node."""
    ends = [designed[number] for number in curve.tolist()]
    for hinge in np.flatnonzero(~whole).tolist():
        ends[hinge] = net.node(int(node[hinge]))
    return ends
