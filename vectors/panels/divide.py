"""This module divides a piece into panels and hinges, and finds what its loops go round."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ..design.pieces import How, Piece
from ..geometry import Path, Point
from ..geometry.meetings import share_of
from ..measures.exact import MEETS_MM
from ..problems import Collector, Problem, problem
from .checks import line_problems, void_faces
from .curves import Kind, curves_of, told
from .faces import Plan, contains, plan, within
from .knots import knots_of
from .marks import mark_problems
from .model import Division, Hinge, Knot, KnotKind, Panel
from .noding import Edge, Noded, node


def divide(piece: Piece) -> Division:
    """Divide a piece along its slits and folds.

    The problems of the division say what crosses, hangs or doubles, and where;
    with a stop among them the panels are those of the lines as they are drawn,
    to be looked at and not to be folded.  Arcs and folds that are `still` are
    scored only and divide nothing; neither does a perforated slit that alone
    would part the piece in two.
    """
    noded = node(curves_of(piece))
    everything = plan(noded.edges, len(noded.nodes))
    collector = Collector()
    parts = _parts(piece, noded, everything, frozenset())
    for one in (
        *line_problems(noded, everything, parts.plan, piece.name),
        *mark_problems(piece),
    ):
        collector.add(one)
    tears = _tears_to_keep(piece, noded, parts)
    if tears:
        parts = _parts(piece, noded, everything, tears)
    # What lines that cross or hang lead to is not told on top of them.
    if not collector.stopped:
        for one in (*parts.problems, *_loose(piece, parts)):
            collector.add(one)
    knots: tuple[Knot, ...] = ()
    if not collector.stopped:
        found = knots_of(noded, parts.plan, parts.number_of, parts.hinge_of)
        knots = tuple(knot for knot in found if not _runs_on(knot, parts.hinges))
    for one in _scored_only(piece):
        collector.add(one)
    return Division(piece, parts.panels, parts.hinges, knots, collector.problems)


def _runs_on(knot: Knot, hinges: Sequence[Hinge]) -> bool:
    """Whether a vertex is only a place that a fold runs straight on over, in one sense."""
    if knot.kind is not KnotKind.VERTEX or len(knot.crossings) != 2:
        return False
    first, second = (hinges[crossing.hinge] for crossing in knot.crossings)
    if (first.fold, first.sense) != (second.fold, second.sense):
        return False
    one, other = first.line.end - first.line.start, second.line.end - second.line.start
    # Straight on within a micrometre over the length of the longer stretch.
    off = abs(float(one.cross(other)))
    return off <= MEETS_MM * min(float(one.length), float(other.length))


@dataclass(frozen=True, slots=True)
class _Parts:
    """The panels and hinges that a plan makes, by the panel of a face and the hinge of an edge."""

    plan: Plan
    panels: tuple[Panel, ...]
    hinges: tuple[Hinge, ...]
    number_of: Mapping[int, int]
    hinge_of: Mapping[int, int]
    problems: tuple[Problem, ...]


def _parts(piece: Piece, noded: Noded, everything: Plan, tears: frozenset[int]) -> _Parts:
    """Divide along all lines but the scores and the slits `tears`."""

    def divides(edge: Edge) -> bool:
        owner = noded.curves[edge.curve].owner
        return owner.kind is not Kind.SCORE and not (
            owner.kind is Kind.SLIT and owner.index in tears
        )

    edges = tuple(edge for edge in noded.edges if divides(edge))
    found = plan(edges, len(noded.nodes)) if len(edges) < len(noded.edges) else everything
    panels, number_of, problems = _panels(piece, noded, found)
    hinges, hinge_of = _hinges(piece, noded, found, number_of)
    return _Parts(found, panels, hinges, number_of, hinge_of, tuple(problems))


def _tears_to_keep(piece: Piece, noded: Noded, parts: _Parts) -> frozenset[int]:
    """The perforated slits beside panels that no fold joins to the rest: until torn, they do."""
    loose = _unreached(parts.panels, parts.hinges)
    if not loose:
        return frozenset()
    found = set()
    for k, edge in enumerate(parts.plan.edges):
        owner = noded.curves[edge.curve].owner
        if owner.kind is Kind.SLIT and piece.slits[owner.index].how is How.TEAR:
            sides = {parts.number_of.get(parts.plan.face[half]) for half in (2 * k, 2 * k + 1)}
            if len(sides) == 2 and sides & loose:
                found.add(owner.index)
    return frozenset(found)


def _scored_only(piece: Piece) -> list[Problem]:
    """A note for each fold that is still or has arcs: panels stay flat across what is scored."""
    found = []
    for fold in piece.folds:
        arc = next((s for s in fold.path.segments if not s.is_line), None)
        if fold.still or arc is not None:
            code, at = "still-not-folded", fold.path.segments[0].middle
            if arc is not None and not fold.still:
                code, at = "arc-not-folded", arc.middle
            what = told("fold", fold.name)
            found.append(
                problem(code, place=fold.place, piece=piece.name, at=at.floats(), fold=what)
            )
    return found


def _panels(
    piece: Piece, noded: Noded, found: Plan
) -> tuple[tuple[Panel, ...], dict[int, int], list[Problem]]:
    """The panels by place, and the panel number of each face that is one."""
    void = void_faces(noded, found)
    bare = []
    for number, walks in enumerate(found.faces):
        if number in void:
            continue
        ring, holes = walks[0].path, tuple(walk.path for walk in walks[1:] if walk.area < 0.0)
        area = sum(walk.area for walk in walks)
        bare.append((number, ring, holes, area))
    # By y, then x, of the lower left corner of the box; the area parts panels
    # that share it (an L round a square).  Rounded, so that noise never orders.
    bare.sort(key=lambda one: (*_corner(one[1]), round(one[3], 6)))
    names, problems = _names(piece, [(ring, holes) for _, ring, holes, _ in bare])
    panels = []
    count = 0
    for index, (_, ring, holes, area) in enumerate(bare):
        name = names.get(index)
        if name is None:
            count += 1
            name = f"panel {count}"
        panels.append(Panel(index=index, name=name, ring=ring, holes=holes, area=area))
    number_of = {number: index for index, (number, *_) in enumerate(bare)}
    return tuple(panels), number_of, problems


def _corner(ring: Path) -> tuple[float, float]:
    left, bottom, _, _ = ring.box()
    return round(bottom, 6), round(left, 6)


def _names(
    piece: Piece, panels: Sequence[tuple[Path, tuple[Path, ...]]]
) -> tuple[dict[int, str], list[Problem]]:
    names: dict[int, str] = {}
    problems = []
    boxes = [ring.box() for ring, _ in panels] if piece.panel_names else []
    for given in piece.panel_names:
        at = given.at.rounded()
        home = next(
            (
                index
                for index, (ring, holes) in enumerate(panels)
                if within(boxes[index], at)
                and contains(ring, at)
                and not any(contains(hole, at) for hole in holes)
                and _off_the_line(at, (ring, *holes))
            ),
            None,
        )
        if home is None:
            problems.append(
                problem(
                    "panel-name-nowhere",
                    place=given.place,
                    piece=piece.name,
                    at=at.floats(),
                    name=given.name,
                )
            )
        elif home in names:
            problems.append(
                problem(
                    "panel-named-twice",
                    place=given.place,
                    piece=piece.name,
                    at=at.floats(),
                    name=given.name,
                    other=names[home],
                )
            )
        else:
            names[home] = given.name
    return names, problems


def _off_the_line(at: Point, paths: Sequence[Path]) -> bool:
    return all(
        share_of(segment, at, MEETS_MM) is None for path in paths for segment in path.segments
    )


def _hinges(
    piece: Piece, noded: Noded, found: Plan, number_of: dict[int, int]
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


def _loose(piece: Piece, parts: _Parts) -> list[Problem]:
    problems = []
    for index in sorted(_unreached(parts.panels, parts.hinges)):
        left, bottom, right, top = parts.panels[index].box
        problems.append(
            problem(
                "panel-cut-loose",
                place=piece.place,
                piece=piece.name,
                at=((left + right) / 2.0, (bottom + top) / 2.0),
            )
        )
    return problems
