"""A proof is unchanged by what does not change the card: where it lies, how its parts are told.

Random step cards, centre steps and sheets with a vertex, each moved, turned,
mirrored with its senses kept, renamed and reordered.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import Phase, assume, find, given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Piece, Resolved, Sense, Slit
from foldwright.folding import Verdict, place_closed
from foldwright.geometry import Path, Point, Vertex, line, polygon
from foldwright.proving import Proof, prove

Spot = tuple[Fraction | int | float, Fraction | int | float]


def at(x: Fraction | float, y: Fraction | float) -> Point:
    return Point(Fraction(x) if isinstance(x, int) else x, Fraction(y) if isinstance(y, int) else y)


def fold(name: str, start: Spot, end: Spot, sense: Sense) -> Fold:
    path = line(at(*start), at(*end))
    return Fold(name=name, path=path, senses=(sense,), angle=Fraction(180))


def sheet(width: int, height: int) -> Path:
    return polygon(at(0, 0), at(width, 0), at(width, height), at(0, height))


def design(*pieces: Piece) -> Resolved:
    return Resolved(
        name="a card",
        version=None,
        units="mm",
        variant=None,
        pieces=pieces,
        joints=(),
        stocks={},
        measures={},
    )


HALVES = st.integers(8, 40).map(lambda n: Fraction(n, 2))


@st.composite
def step_cards(draw: st.DrawFn) -> Piece:
    """A slit with one to three steps to its right and a gutter to its left, on place or off it."""
    lengths = draw(st.lists(st.tuples(HALVES, HALVES), min_size=1, max_size=3))
    top = Fraction(180)
    places = [top]
    for tread, riser in lengths:
        places += [places[-1] - tread, places[-1] - tread - riser]
    # Each fold turns the paper over, so the alternating sum of the places is
    # where the gutter closes the loop.
    closing = sum((place if i % 2 == 0 else -place for i, place in enumerate(places)), Fraction(0))
    off = Fraction(draw(st.sampled_from(["0", "0", "1", "-1", "5/2", "-1/3"])))
    gutter = closing + off
    assume(places[-1] < gutter < top)
    senses = (Sense.VALLEY, Sense.MOUNTAIN)
    return Piece(
        name="base",
        outline=sheet(140, 200),
        slits=(Slit(name="side", path=line(at(50, places[-1]), at(50, top))),),
        folds=(
            *(
                fold(f"steps {i + 1}", (50, place), (140, place), senses[i % 2])
                for i, place in enumerate(places)
            ),
            fold("gutter", (0, gutter), (50, gutter), Sense.VALLEY),
        ),
    )


@st.composite
def centre_steps(draw: st.DrawFn) -> Piece:
    """A step between two slits with a gutter on either side of it."""
    tread, riser = draw(HALVES), draw(HALVES)
    top = Fraction(100)
    low, middle = top - tread - riser, top - tread
    closing = top - middle + low
    left, right = (
        closing + Fraction(draw(st.sampled_from(["0", "0", "1", "-3/4"]))) for _ in range(2)
    )
    assume(all(low < place < top for place in (left, right)))
    return Piece(
        name="base",
        outline=sheet(120, 140),
        slits=tuple(
            Slit(name=name, path=line(at(x, low), at(x, top)))
            for name, x in (("left slit", 40), ("right slit", 80))
        ),
        folds=(
            fold("top", (40, top), (80, top), Sense.VALLEY),
            fold("ridge", (40, middle), (80, middle), Sense.MOUNTAIN),
            fold("foot", (40, low), (80, low), Sense.VALLEY),
            fold("left gutter", (0, left), (40, left), Sense.VALLEY),
            fold("right gutter", (80, right), (120, right), Sense.VALLEY),
        ),
    )


@st.composite
def vertices(draw: st.DrawFn) -> Piece:
    """Four folds that meet within a sheet, with angles that fold flat or miss it by degrees."""
    first, second = draw(st.integers(40, 140)), draw(st.integers(40, 140))
    off = draw(st.sampled_from([0, 0, 6, -4]))
    sectors = [first, second, 180 - first + off, 180 - second - off]
    assume(min(sectors) >= 25)
    senses = draw(st.permutations([Sense.MOUNTAIN] + [Sense.VALLEY] * 3))
    turned = float(draw(st.integers(0, 359)))
    folds = []
    for i, (sector, sense) in enumerate(zip(sectors, senses, strict=True)):
        x, y = math.cos(math.radians(turned)), math.sin(math.radians(turned))
        reach = 50.0 / max(abs(x), abs(y))
        folds.append(fold(f"ray {i}", (50, 50), (50 + reach * x, 50 + reach * y), sense))
        turned += sector
    return Piece(name="sheet", outline=sheet(100, 100), folds=tuple(folds))


CARDS = st.one_of(step_cards(), centre_steps(), vertices())


def mapped(piece: Piece, to: Callable[[Point], Point], *, mirrored: bool = False) -> Piece:
    """The piece laid elsewhere; the senses of its folds stay."""

    def path(old: Path) -> Path:
        return Path(tuple(Vertex(to(vertex.at)) for vertex in old.vertices), old.closed)

    outline = path(piece.outline)
    return replace(
        piece,
        # Outlines run anticlockwise, seen from the front.
        outline=Path(outline.vertices[::-1], closed=True) if mirrored else outline,
        slits=tuple(replace(slit, path=path(slit.path)) for slit in piece.slits),
        folds=tuple(replace(one, path=path(one.path)) for one in piece.folds),
    )


# Turns whose sine and cosine are rational: 3-4-5, 5-12-13, 8-15-17, 20-21-29.
TRIPLES = [(3, 4, 5), (12, 5, 13), (-15, 8, 17), (20, -21, 29), (0, 1, 1), (-1, 0, 1)]


def turning(triple: tuple[int, int, int]) -> Callable[[Point], Point]:
    cos, sin = Fraction(triple[0], triple[2]), Fraction(triple[1], triple[2])
    return lambda p: Point(cos * p.x - sin * p.y, sin * p.x + cos * p.y)


@dataclass(frozen=True)
class Said:
    """What a proof says, without names and places."""

    verdict: Verdict
    gap: float
    proven: bool
    loops: Sequence[tuple[str, float, float, int]]
    mends: Sequence[tuple[float, ...]]
    rules: Sequence[str]
    panels: Sequence[float]
    reach: float


def reach(proof: Proof) -> float:
    """The largest distance between two corners of the closed card, where it closes.

    One that does not close has its size measured from one panel, which is
    chosen by its place where two are alike.
    """
    if proof.verdict is not Verdict.CLOSES:
        return 0.0
    (piece,) = proof.pieces
    placed = place_closed(piece.division)
    corners = {
        tuple(round(value, 6) for value in placed[panel.index].apply(vertex.at)[:2])
        for panel in piece.division.panels
        for vertex in panel.ring.vertices
    }
    return max(math.dist(a, b) for a, b in combinations(corners, 2))


# What lies past the upright rectangle round a cover, like the closed size, goes by how the card
# lies on its sheet; that it sticks out of the cover does not.
OUT = {"spills", "shows-beside"}


def near(value: float | Fraction) -> float:
    # Turned places are floats once in a while, and so are the figures from them.
    return round(float(value), 5) + 0.0


def said(proof: Proof) -> Said:
    (piece,) = proof.pieces
    return Said(
        verdict=proof.verdict,
        gap=near(proof.gap_mm),
        proven=proof.proven,
        loops=sorted(
            (str(one.verdict), near(one.gap_mm or 0.0), near(one.turn_deg), len(one.loop.steps))
            for one in piece.closings
        ),
        mends=sorted(
            (
                len(mend.moves),
                near(mend.gap_after_mm),
                *sorted(
                    near(abs(float(move.to_mm) - float(move.from_mm)))
                    for move in mend.moves
                    if not move.turn_deg
                ),
                *sorted(near(abs(move.turn_deg)) for move in mend.moves),
            )
            for mend in proof.mends
        ),
        rules=sorted(
            (
                *(one.rule for one in proof.findings if one.rule not in OUT),
                *{"sticks out" for one in proof.findings if one.rule in OUT},
            )
        ),
        panels=sorted(near(panel.area) for panel in piece.division.panels),
        reach=round(reach(proof), 4),
    )


def same(first: Piece, second: Piece) -> None:
    one, other = said(prove(design(first), {})), said(prove(design(second), {}))
    assert other.verdict is one.verdict
    assert other.gap == pytest.approx(one.gap, abs=2e-5)
    assert other.proven is one.proven
    assert other.rules == one.rules
    assert other.loops == one.loops
    assert other.mends == one.mends
    assert other.panels == pytest.approx(one.panels, abs=1e-4)
    assert other.reach == pytest.approx(one.reach, abs=1e-3)


FEW = settings(max_examples=25)
SHIFTS = st.fractions(-500, 500, max_denominator=16)


@FEW
@given(piece=CARDS, x=SHIFTS, y=SHIFTS)
def test_moving(piece: Piece, x: Fraction, y: Fraction) -> None:
    same(piece, mapped(piece, lambda p: Point(p.x + x, p.y + y)))


@FEW
@given(piece=CARDS, triple=st.sampled_from(TRIPLES))
def test_turning(piece: Piece, triple: tuple[int, int, int]) -> None:
    same(piece, mapped(piece, turning(triple)))


@FEW
@given(piece=CARDS, triple=st.sampled_from(TRIPLES))
def test_mirroring_with_the_senses_kept(piece: Piece, triple: tuple[int, int, int]) -> None:
    turn = turning(triple)
    same(piece, mapped(piece, lambda p: turn(Point(-p.x, p.y)), mirrored=True))


@FEW
@given(piece=CARDS)
def test_turning_every_fold_the_other_way(piece: Piece) -> None:
    """The same card seen from its back: mirrored, and every sense turned."""
    other = {Sense.VALLEY: Sense.MOUNTAIN, Sense.MOUNTAIN: Sense.VALLEY}
    back = mapped(piece, lambda p: Point(-p.x, p.y), mirrored=True)
    folds = tuple(replace(one, senses=(other[one.senses[0]],)) for one in back.folds)
    same(piece, replace(back, folds=folds))


@FEW
@given(piece=CARDS, names=st.permutations([f"line {i}" for i in range(12)]))
def test_renaming(piece: Piece, names: list[str]) -> None:
    renamed = replace(
        piece,
        name="another",
        folds=tuple(replace(one, name=name) for one, name in zip(piece.folds, names, strict=False)),
        slits=tuple(replace(one, name=f"cut {i}") for i, one in enumerate(piece.slits)),
    )
    same(piece, renamed)


@FEW
@given(piece=CARDS, data=st.data())
def test_reordering(piece: Piece, data: st.DataObject) -> None:
    """Parts in another order, each line drawn from its other end, another first corner."""
    folds = data.draw(st.permutations(piece.folds))
    slits = data.draw(st.permutations(piece.slits))
    flipped = data.draw(st.lists(st.booleans(), min_size=len(folds), max_size=len(folds)))
    start = data.draw(st.integers(0, len(piece.outline.vertices) - 1))
    corners = piece.outline.vertices
    same(
        piece,
        replace(
            piece,
            outline=Path(corners[start:] + corners[:start], closed=True),
            folds=tuple(
                replace(one, path=one.path.reversed) if flip else one
                for one, flip in zip(folds, flipped, strict=True)
            ),
            slits=tuple(replace(one, path=one.path.reversed) for one in slits),
        ),
    )


@FEW
@given(piece=step_cards())
def test_what_is_exact_stays_exact_when_it_is_turned(piece: Piece) -> None:
    """A turn by a rational sine and cosine leaves the proof in fractions."""
    for triple in TRIPLES:
        (proved,) = prove(design(mapped(piece, turning(triple))), {}).pieces
        assert all(one.exact for one in proved.closings)


KINDS = {"steps": step_cards(), "centre": centre_steps(), "vertex": vertices()}


@pytest.mark.parametrize(
    ("kind", "verdict"),
    [
        *(("steps", one) for one in (Verdict.CLOSES, Verdict.BUCKLES, Verdict.GAPES)),
        *(("centre", one) for one in (Verdict.CLOSES, Verdict.BUCKLES, Verdict.GAPES)),
        ("vertex", Verdict.CLOSES),
        ("vertex", Verdict.GAPES),
    ],
)
def test_the_random_cards_are_of_every_kind(kind: str, verdict: Verdict) -> None:
    """The properties above would say little of cards that all closed, or none."""
    wanted = settings(phases=[Phase.generate])
    find(KINDS[kind], lambda piece: prove(design(piece), {}).verdict is verdict, settings=wanted)
