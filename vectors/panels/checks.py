"""This module judges how a piece's lines meet: what crosses, hangs, doubles or lies outside."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from ..geometry import Point
from ..problems import Problem, problem
from .curves import Kind, Owner
from .faces import Plan
from .noding import Noded


@dataclass(frozen=True, slots=True)
class Suspects:
    """Where in a plan there may be problems with the lines; all else has none.

    `crowded` are nodes that three half-edges or more leave, `ends` those on paper
    that one leaves.  `bare` are edges without paper on either side, `idle` edges with one
    and the same panel on both.
    """

    crowded: Iterable[int]
    ends: Iterable[int]
    bare: Iterable[int]
    idle: Iterable[int]


def suspects_in(noded: Noded, plan: Plan) -> Suspects:
    """Every place in a plan that is to be judged."""
    void = {-1, *void_faces(noded, plan)}
    sides = [(plan.face[2 * k], plan.face[2 * k + 1]) for k in range(len(plan.edges))]
    return Suspects(
        crowded=[number for number, halves in enumerate(plan.around) if len(halves) > 2],
        ends=[
            number
            for number, halves in enumerate(plan.around)
            if len(halves) == 1 and plan.face[halves[0]] not in void
        ],
        bare=[k for k, (left, right) in enumerate(sides) if left in void and right in void],
        idle=[k for k, (left, right) in enumerate(sides) if left == right and left not in void],
    )


@dataclass(frozen=True, slots=True)
class Judged:
    """A plan of a piece's lines, and where in it there may be problems."""

    plan: Plan
    suspects: Suspects


def line_problems(noded: Noded, everything: Judged, turned: Judged, piece: str) -> list[Problem]:
    """Every problem with the lines of a piece, each told once at its first place.

    `everything` holds all lines, `turned` those that divide: nothing may hang on
    a score.  Problems of one kind between the same two lines are told at every
    place they happen.
    """
    crossings = list(_crossings(noded, everything, piece))
    # Paper whose own edge crosses itself has no inside: all else would be guesses.
    rims = [one for one in crossings if one.problem.rule == "outline-crosses-itself"]
    if rims:
        return _told_once(rims)
    found = [*_doubled(noded, piece), *crossings, *_hanging(noded, turned, piece)]
    crossed = {owner for one in found for owner in one.explained}
    # A line that crosses the outline also lies outside: that is one mistake.
    found += [one for one in _outside(noded, everything, piece) if not one.explained & crossed]
    # Only where all lines meet as they should does it matter what they part.
    return _told_once(found or list(_part_nothing(noded, turned, piece)))


def _told_once(found: list[_Found]) -> list[Problem]:
    """The problems in the order of the file, each once."""
    in_order = sorted(found, key=lambda one: one.problem.place.line or 0)
    return list(dict.fromkeys(one.problem for one in in_order))


@dataclass(frozen=True, slots=True)
class _Found:
    """A problem, and the lines whose lying off the paper it explains."""

    problem: Problem
    explained: frozenset[Owner] = frozenset()


def _found(
    code: str,
    line: Owner,
    at: Point,
    piece: str,
    *,
    explained: frozenset[Owner] = frozenset(),
    **fields: str,
) -> _Found:
    """A problem with a line of a piece, at a place on it."""
    one = problem(code, place=line.place, piece=piece, at=at.floats(), **fields)  # type: ignore[arg-type]
    return _Found(one, explained)


def _doubled(noded: Noded, piece: str) -> Iterator[_Found]:
    for pair in noded.doubled:
        # The place of what was written second: the outline is never the slip.
        yield _found(
            "doubled-line",
            pair.second,
            pair.at,
            piece,
            what=pair.second.told(),
            other="itself" if pair.first == pair.second else pair.first.told(),
            explained=frozenset((pair.first, pair.second)),
        )


def _passes(
    noded: Noded, plan: Plan, halves: tuple[int, ...], counts: Mapping[Owner, int]
) -> list[tuple[Owner, int, int]]:
    """The owners whose path runs on through a node, each with its two half-edges there.

    `halves` are the half-edges that leave the node, anticlockwise; the numbers
    returned are places in it.
    """

    def end(place: int) -> tuple[Owner, int, float, float]:
        half = halves[place]
        edge = plan.edges[half >> 1]
        curve = noded.curves[edge.curve]
        share = edge.end_share if half & 1 else edge.start_share
        # Which way along the path the half-edge leads away from the node.
        return curve.owner, curve.number, share, -1.0 if half & 1 else 1.0

    ends = [end(place) for place in range(len(halves))]
    found = []
    for i, (owner, number, share, way) in enumerate(ends):
        if way > 0:
            continue
        for j, (other, onward, at, other_way) in enumerate(ends):
            if other != owner or other_way < 0:
                continue
            same_segment = number == onward and share == at
            next_segment = (
                share == 1.0
                and at == 0.0
                and (onward == number + 1 or (onward == 0 and number == counts[owner] - 1))
            )
            if same_segment or next_segment:
                found.append((owner, i, j))
    return found


def _segment_counts(noded: Noded) -> dict[Owner, int]:
    counts: dict[Owner, int] = {}
    for curve in noded.curves:
        counts[curve.owner] = max(counts.get(curve.owner, 0), curve.number + 1)
    return counts


def _between(i: int, j: int, count: int) -> tuple[set[int], set[int]]:
    """The places round a node strictly between i and j, anticlockwise, and the rest."""
    left = {(i + step) % count for step in range(1, (j - i) % count)}
    right = {(j + step) % count for step in range(1, (i - j) % count)}
    return left, right


def _crossings(noded: Noded, judged: Judged, piece: str) -> Iterator[_Found]:
    plan = judged.plan
    counts: dict[Owner, int] = {}
    for number in judged.suspects.crowded:
        counts = counts or _segment_counts(noded)
        halves = plan.around[number]
        at = noded.nodes[number]
        owners = [noded.curves[plan.edges[half >> 1].curve].owner for half in halves]
        passes = _passes(noded, plan, halves, counts)
        for owner, i, j in passes:
            left, right = _between(i, j, len(halves))
            if not left or not right:
                continue
            yield from _run_across(
                owner,
                [owners[k] for k in sorted(left)],
                [owners[k] for k in sorted(right)],
                at,
                piece,
            )
        yield from _pinched(passes, at, piece)


def _run_across(
    owner: Owner, left: list[Owner], right: list[Owner], at: Point, piece: str
) -> Iterator[_Found]:
    """What the path of `owner` runs across at a node, with these lines on its two sides."""
    if owner.kind.rims:
        return
    for kind in (Kind.OUTLINE, Kind.OPENING):
        rim = next((other for other in left if other.kind is kind), None)
        if rim is not None and any(other.kind is kind for other in right):
            yield _found(
                "crosses-outline",
                owner,
                at,
                piece,
                what=owner.told(),
                rim=rim.told(),
                explained=frozenset((owner,)),
            )
            return
    slit = next((other for other in left if other.kind is Kind.SLIT), None)
    if (
        owner.kind is not Kind.SLIT
        and slit is not None
        and any(other.kind is Kind.SLIT for other in right)
    ):
        yield _found("fold-crosses-slit", owner, at, piece, fold=owner.told(), slit=slit.told())


def _pinched(passes: list[tuple[Owner, int, int]], at: Point, piece: str) -> Iterator[_Found]:
    """Rims that meet at a node: an outline or an opening may pass a place once, and alone."""
    rims = [owner for owner, _, _ in passes if owner.kind.rims]
    for first, second in pairwise(rims):
        yield _found(
            "outline-crosses-itself",
            second,
            at,
            piece,
            rim=second.told(),
            other="itself" if first == second else first.told(),
            explained=frozenset((first, second)),
        )


def void_faces(noded: Noded, found: Plan) -> frozenset[int]:
    """The faces without paper: those to the left of an opening's own anticlockwise path."""
    return frozenset(
        found.face[2 * k]
        for k, edge in enumerate(found.edges)
        if noded.curves[edge.curve].owner.kind is Kind.OPENING
    )


def _hanging(noded: Noded, turned: Judged, piece: str) -> Iterator[_Found]:
    plan = turned.plan
    # Off the paper nothing hangs, it has no business there: see _outside.
    for number in turned.suspects.ends:
        (half,) = plan.around[number]
        owner = noded.curves[plan.edges[half >> 1].curve].owner
        if owner.kind in (Kind.SLIT, Kind.FOLD):
            yield _found(
                "slit-end-hangs" if owner.kind is Kind.SLIT else "fold-end-hangs",
                owner,
                noded.nodes[number],
                piece,
                what=owner.told(),
            )


def _part_nothing(noded: Noded, turned: Judged, piece: str) -> Iterator[_Found]:
    """Folds with one and the same panel on both sides, though no end of theirs hangs."""
    told: set[Owner] = set()
    for k in turned.suspects.idle:
        edge = turned.plan.edges[k]
        owner = noded.curves[edge.curve].owner
        if owner.kind is Kind.FOLD and owner not in told:
            told.add(owner)
            yield _found("fold-parts-nothing", owner, edge.segment.middle, piece, what=owner.told())


def _outside(noded: Noded, everything: Judged, piece: str) -> Iterator[_Found]:
    told: set[Owner] = set()
    for k in everything.suspects.bare:
        edge = everything.plan.edges[k]
        owner = noded.curves[edge.curve].owner
        if owner.kind is not Kind.OUTLINE and owner not in told:
            told.add(owner)
            yield _found(
                "outside-outline",
                owner,
                edge.segment.middle,
                piece,
                what=owner.told(),
                explained=frozenset((owner,)),
            )
