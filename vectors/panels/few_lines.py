"""This module divides a piece of few lines, step by step and without any library."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from ..design.pieces import Piece
from ..geometry import Path, Point
from ..problems import Problem
from .checks import Judged, suspects_in, void_faces
from .curves import Curve, Kind
from .faces import Plan, plan, within
from .knots import knots_of
from .model import Hinge, Panel
from .naming import all_names, panel_names
from .noding import Edge, Noded, node
from .parts import Parts


class FewLines:
    """The lines of a piece, split where they meet.

    `near` are the pairs of curves, by number, that may meet.
    """

    def __init__(
        self, piece: Piece, curves: Sequence[Curve], near: Iterable[tuple[int, int]]
    ) -> None:
        self.piece = piece
        self.noded = node(curves, near)
        self.everything = self._judged(plan(tuple(self.noded.edges), len(self.noded.nodes)))

    def scored(self) -> list[int]:
        """The folds that are scored only, in part or all of them."""
        owners = (curve.owner for curve in self.noded.curves)
        return sorted({owner.index for owner in owners if owner.kind is Kind.SCORE})

    def _judged(self, found: Plan) -> Judged:
        return Judged(found, suspects_in(self.noded, found))

    def parts(self, tears: frozenset[int]) -> Parts:
        """What all lines make but the scores, and the slits `tears`."""
        noded = self.noded

        def divides(edge: Edge) -> bool:
            owner = noded.curves[edge.curve].owner
            return owner.kind is not Kind.SCORE and not (
                owner.kind is Kind.SLIT and owner.index in tears
            )

        edges = tuple(edge for edge in noded.edges if divides(edge))
        judged = self.everything
        if len(edges) < len(noded.edges):
            judged = self._judged(plan(edges, len(noded.nodes)))
        found = judged.plan
        panels, number_of, problems = _panels(self.piece, noded, found)
        hinges, hinge_of = _hinges(self.piece, noded, found, number_of)
        return Parts(
            judged=judged,
            panels=panels,
            hinges=hinges,
            panel_of=number_of.get,
            loose=tuple(sorted(_unreached(panels, hinges))),
            problems=tuple(problems),
            knots=lambda: knots_of(noded, found, number_of, hinge_of),
        )


def _panels(
    piece: Piece, noded: Noded, found: Plan
) -> tuple[tuple[Panel, ...], dict[int, int], list[Problem]]:
    """The panels by place, and the panel number of each face that is one."""
    void = void_faces(noded, found)
    bare: list[tuple[int, tuple[Path, ...], float]] = []
    for number, walks in enumerate(found.faces):
        if number not in void:
            holes = (walk.path for walk in walks[1:] if walk.area < 0.0)
            bare.append((number, (walks[0].path, *holes), sum(walk.area for walk in walks)))
    # By y, then x, of the lower left corner of the box; the area parts panels
    # that share it (an L round a square).  Rounded, so that noise never orders.  A
    # mirrored piece has its panels in the order of what it is the mirror image of.
    bare.sort(key=lambda one: (*_corner(one[1][0], piece), round(one[2], 6)))
    boxes = [rims[0].box() for _, rims, _ in bare] if piece.panel_names else []

    def near(at: Point) -> list[int]:
        return [index for index, box in enumerate(boxes) if within(box, at)]

    given, problems = panel_names(piece, near, lambda index: bare[index][1])
    names = all_names(given, len(bare))
    panels = tuple(
        Panel(index=index, name=names[index], ring=rims[0], holes=rims[1:], area=area)
        for index, (_, rims, area) in enumerate(bare)
    )
    return panels, {number: index for index, (number, *_) in enumerate(bare)}, problems


def _corner(ring: Path, piece: Piece) -> tuple[float, float]:
    left, bottom, right, _ = ring.box()
    return round(bottom, 6), round(-right if piece.mirrored else left, 6)


def _hinges(
    piece: Piece, noded: Noded, found: Plan, number_of: Mapping[int, int]
) -> tuple[tuple[Hinge, ...], dict[int, int]]:
    """The hinges in the order of the file, and the hinge of each edge that is part of one."""
    stretches: list[list[int]] = []
    last: Edge | None = None
    for k, edge in enumerate(found.edges):
        owner = noded.curves[edge.curve].owner
        if owner.kind is not Kind.FOLD:
            last = None
            continue
        sides = (found.face[2 * k], found.face[2 * k + 1])
        if any(side not in number_of for side in sides) or sides[0] == sides[1]:
            # Off the paper, or a line that hangs: a problem told elsewhere.
            last = None
            continue
        on = (
            last is not None
            and last.curve == edge.curve
            and last.end == edge.start
            and len(found.around[edge.start]) == 2
        )
        if on:
            stretches[-1].append(k)
        else:
            stretches.append([k])
        last = edge
    counts: dict[int, int] = {}
    for stretch in stretches:
        of_fold = noded.curves[found.edges[stretch[0]].curve].owner.index
        counts[of_fold] = counts.get(of_fold, 0) + 1
    hinges = []
    hinge_of = {}
    told_so_far: dict[int, int] = {}
    for index, stretch in enumerate(stretches):
        first, final = found.edges[stretch[0]], found.edges[stretch[-1]]
        curve = noded.curves[first.curve]
        fold_index = curve.owner.index
        fold = piece.folds[fold_index]
        told_so_far[fold_index] = nth = told_so_far.get(fold_index, 0) + 1
        hinges.append(
            Hinge(
                index=index,
                label=fold.name if counts[fold_index] == 1 else f"{fold.name}#{nth}",
                fold=fold_index,
                segment=curve.number,
                line=curve.segment,
                start=curve.segment.start if first.start_share == 0.0 else first.segment.start,
                end=curve.segment.end if final.end_share == 1.0 else final.segment.end,
                left=number_of[found.face[2 * stretch[0]]],
                right=number_of[found.face[2 * stretch[0] + 1]],
                sense=fold.senses[curve.number],
                angle=fold.angle,
                place=fold.place,
            )
        )
        for k in stretch:
            hinge_of[k] = index
    return tuple(hinges), hinge_of


def _unreached(panels: Sequence[Panel], hinges: Sequence[Hinge]) -> set[int]:
    """The panels that folds do not join to the largest part of the piece."""
    beside: dict[int, set[int]] = {panel.index: set() for panel in panels}
    for hinge in hinges:
        beside[hinge.left].add(hinge.right)
        beside[hinge.right].add(hinge.left)
    parts: list[set[int]] = []
    seen: set[int] = set()
    for panel in panels:
        if panel.index in seen:
            continue
        part = {panel.index}
        waiting = [panel.index]
        while waiting:
            for other in beside[waiting.pop()] - part:
                part.add(other)
                waiting.append(other)
        seen |= part
        parts.append(part)
    if len(parts) < 2:
        return set()
    # By area, rounded so that equal ones tie; then the one that lies lowest.
    areas = {panel.index: panel.area for panel in panels}
    kept = max(parts, key=lambda part: (round(sum(areas[i] for i in part), 6), -min(part)))
    return set(beside) - kept
