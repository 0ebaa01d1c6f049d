"""What sticks out of the closed card: running sums of bands, closed forms, dense sampling."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import accumulate, pairwise
from pathlib import Path as FilePath

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from foldwright.design import parse_design, resolve
from foldwright.folding import PanelKey
from foldwright.folding.motion import Motion
from foldwright.geometry import Path
from foldwright.geometry.offset_check import flattened
from foldwright.panels import Assembly, assemble, divide
from foldwright.stacking.cover import Cover, Footprint
from foldwright.stacking.order import Blocked, PlyOrder, Undecided, ply_order
from foldwright.stacking.spill import NoCover, Spill, Spilled, Where, covers_of, spill_of
from tests.folding.folded_samples import at
from tests.stacking.closed_cards import Card, stair, strip_card
from tests.stacking.placed import A, B, loose, motion, ring, square
from tests.stacking.stacks import closed_cover

NO_ORDER = PlyOrder(above={})
DESIGNS = FilePath(__file__).parents[1] / "designs"


def bare_cover(assembly: Assembly, placed: Mapping[PanelKey, Motion]) -> Cover:
    """Panels that lie on the table as they are, tied together or not; cells are not needed."""
    polygons = {}
    for key, moved in placed.items():
        panel = assembly.divisions[key[0]].panels[key[1]]
        rings = [flattened(path) for path in (panel.ring, *panel.holes)]
        shape = shapely.Polygon(rings[0], rings[1:])
        polygons[key] = Footprint(key=key, polygon=shape, face_up=True, placed=moved)
    whole = shapely.union_all([one.polygon for one in polygons.values()])
    return Cover(footprints=polygons, cells=(), outline=whole)


def only(found: Spilled) -> Spill:
    assert len(found.spills) == 1
    assert found.beside == ()
    return found.spills[0]


# Bands: the running sum of signed lengths must stay within the page


def reach(treads: Sequence[int], risers: Sequence[int]) -> list[int]:
    """How far from the gutter every fold of the steps lies when the card is shut.

    A tread folds away from it, a riser back: from the height of the band on.
    """
    signed = [length for pair in zip(treads, risers, strict=True) for length in (pair[0], -pair[1])]
    return list(accumulate(signed, initial=sum(risers)))


@given(
    st.lists(st.tuples(st.integers(4, 40), st.integers(4, 40)), min_size=1, max_size=4),
    st.integers(5, 30),
    st.integers(5, 30),
)
def test_random_stairs_by_the_running_sum(
    steps: list[tuple[int, int]], above: int, before: int
) -> None:
    """A stair spills by what its highest fold has more than the longer page; all lengths whole."""
    treads, risers = [t for t, _ in steps], [r for _, r in steps]
    wall, floor = sum(risers) + above, sum(treads) + before
    found = Card(stair(wall, floor, treads, risers), {}).spills
    over = max(reach(treads, risers)) - max(wall, floor)
    assert found.mm == pytest.approx(max(0, over), abs=1e-9)
    assert bool(found.spills) is (over > 0)
    # Treads and risers alike end at the highest fold; each panel over the page is told.
    folds = reach(treads, risers)
    ends = [max(pair) for pair in pairwise(folds)]
    told = sorted(round(one.mm, 6) for one in found.spills)
    assert told == sorted(e - max(wall, floor) for e in ends if e > max(wall, floor))


def test_where_a_step_spills() -> None:
    """Page 80; the first tread runs from 70 to 100 and its riser back: both reach 20 too far.

    The gutter is at y = 80; the fold between the two is at y = 80 + 70 - 30.
    """
    card = Card(stair(80, 80, [30, 30], [35, 35]), {})
    tread, riser, *rest = card.spills.spills
    assert [one.panel for one in (tread, riser)] == [card.panels["riser 1"], card.panels["tread 1"]]
    assert {one.panel for one in rest} == {card.panels["tread 2"], card.panels["riser 2"]}
    assert tread.mm == pytest.approx(20)
    assert tread.at.floats()[1] == pytest.approx(120)
    # On the flat paper the riser lies below that fold, and its far end is up.
    assert [tread.toward.x, tread.toward.y] == pytest.approx([0, 1])
    assert [riser.toward.x, riser.toward.y] == pytest.approx([0, -1])
    assert tread.past in (card.panels["wall"], card.panels["floor"])
    assert tread.past_at.floats()[1] in (pytest.approx(160), pytest.approx(0))
    assert tread.where is Where.PAST
    # What counts for nothing, 0.004 mm, is left out.
    assert tread.outside.area == pytest.approx(20 * 98, abs=0.004 * 98 + 1e-6)
    assert card.spills.named is False
    assert card.spills.covering == (card.panels["floor"], card.panels["wall"])


def test_what_shows_at_the_spine_does_not_stick_out() -> None:
    """Tread 10, riser 50, tread 50, riser 10: the second tread begins 20 over the gutter.

    Wall and floor begin 60 over it, the strip covers all of its own 50 mm: 40 show below.
    """
    card = Card(stair(90, 90, [10, 50], [50, 10]), {})
    assert card.spills.mm == 0
    shown = card.spills.beside
    assert {one.panel for one in shown} == {card.panels["riser 1"], card.panels["tread 2"]}
    assert shown[0].mm == pytest.approx(40, abs=0.01)
    assert {one.where for one in shown} <= {Where.BESIDE, Where.BAY}


# Strips


@given(st.integers(10, 60), st.integers(10, 60), st.integers(10, 60))
def test_the_middle_of_a_z_ends_in_its_folds(a: int, b: int, c: int) -> None:
    """A over 0 to a, b from a back to a - b, c from there on: b reaches no farther than both."""
    card = Card(strip_card([a, b, c], "VM"), {})
    assume(min(a, a - b + c) > max(0, a - b))
    found = card.spills
    assert (found.spills, found.beside) == ((), ())
    assert found.covering == (card.panels["p1"], card.panels["p3"])
    assert found.outline.bounds[::2] == pytest.approx((min(0, a - b), max(a, a - b + c)))


@given(st.integers(10, 60), st.integers(10, 60), st.integers(5, 120))
def test_the_flap_of_a_letter_fold(a: int, b: int, c: int) -> None:
    """C is turned in between a and b, whose fold lies at 0: b from 0 to b, c from b to b - c.

    It would have to cross the fold between a and b where c is longer than b, so it does not.
    """
    card = Card(strip_card([a, b, c], "VV", covers=[0]), {})
    assume(c <= b)
    found = card.spills
    # a is the cover: b sticks out of it by b - a, and so does the end of c that hangs on b.
    assert found.mm == pytest.approx(max(0, b - a))
    assert found.named is True
    assert len(found.spills) == (2 if b > a else 0)


def test_long_pages_inside_an_accordion() -> None:
    """Pages of 40 with two of 55 in the middle: these reach 15 farther, to the fold of both."""
    card = Card(strip_card([40, 40, 55, 55, 40, 40], "VMVMV"), {})
    found = card.spills
    assert found.mm == pytest.approx(15)
    assert [one.panel for one in found.spills] == [card.panels["p3"], card.panels["p4"]]
    first = found.spills[0]
    assert first.at.floats()[0] == pytest.approx(135)
    assert [first.toward.x, first.toward.y] == pytest.approx([1, 0])


# The cover that the author names


def test_a_named_cover_is_all_that_counts() -> None:
    """A half fold with a front of 50 and a back of 60: with the front as cover the back spills."""
    plain = Card(strip_card([50, 60], "V"), {})
    assert (plain.spills.mm, covers_of(plain.assembly)) == (0, ())
    card = Card(strip_card([50, 60], "V", covers=[0]), {})
    spill = only(card.spills)
    assert spill.mm == pytest.approx(10)
    assert spill.panel == card.panels["p2"]
    assert spill.at.floats()[0] == pytest.approx(110)
    assert spill.past == card.panels["p1"]
    assert spill.past_at.floats()[0] == pytest.approx(0)
    both = Card(strip_card([50, 60], "V", covers=[0, 1]), {})
    assert (both.spills.spills, both.spills.covering) == ((), tuple(both.cover.footprints))


def of_two(cover: Path, other: Path, hole: Path | None = None) -> Spilled:
    """What a panel shows of itself behind another one that lies on it, named as the cover."""
    shape = cover if hole is None else (cover, hole)
    assembly = loose(shape, other)
    placed = {A: motion(), B: motion()}
    found = spill_of(bare_cover(assembly, placed), NO_ORDER, [A])
    assert isinstance(found, Spilled)
    return found


def test_what_shows_through_a_window_is_not_outside() -> None:
    found = of_two(square(60), square(50, 5, 5), square(20, 20, 20))
    assert (found.spills, found.beside) == ((), ())
    assert found.outline.area == pytest.approx(3600)


@pytest.mark.parametrize(("wide", "deep"), [(20, 30), (30, 8), (10, 10)])
def test_a_notch_shows_what_lies_behind(wide: float, deep: float) -> None:
    """A notch of w by d in the edge of the cover: the middle of its mouth is farthest in.

    Half the mouth is the hypotenuse over the side of the notch: (w / 2) d / sqrt(w² / 4 + d²).
    """
    left, right = 30 - wide / 2, 30 + wide / 2
    notched = ring(((0, 0), (60, 0), (60, 60), (right, 60), (30, 60 - deep), (left, 60), (0, 60)))
    found = of_two(notched, square(60))
    (shown,) = found.beside
    assert found.spills == ()
    expected = wide / 2 * deep / math.hypot(wide / 2, deep)
    assert shown.mm == pytest.approx(expected, abs=0.01)
    assert shown.at.floats() == pytest.approx((30, 60), abs=0.5)
    assert shown.where is Where.BAY


def test_the_corners_of_a_square_behind_a_disc() -> None:
    """They show beside it by r (sqrt(2) - 1); the rectangle round the disc is the square."""
    corners = [
        (30 + 30 * math.cos(math.tau * i / 720), 30 + 30 * math.sin(math.tau * i / 720))
        for i in range(720)
    ]
    found = of_two(ring(corners), square(60))
    (shown,) = found.beside
    assert found.spills == ()
    assert shown.mm == pytest.approx(30 * (math.sqrt(2) - 1), abs=1e-3)
    assert shown.where is Where.BESIDE


@given(
    st.lists(st.floats(5.0, 40.0), min_size=5, max_size=9),
    st.floats(-15.0, 15.0),
    st.floats(-15.0, 15.0),
)
def test_the_farthest_place_against_a_fine_grid(reaches: list[float], x: float, y: float) -> None:
    """Star-shaped covers before a square of 50: a grid 0.5 apart misses no more than that."""
    count = len(reaches)
    angles = [math.tau * i / count for i in range(count)]
    star = [(r * math.cos(a), r * math.sin(a)) for r, a in zip(reaches, angles, strict=True)]
    found = of_two(ring(star), square(50, x - 25, y - 25))
    steps = np.arange(-25, 25.01, 0.5)
    grid = shapely.points(np.stack(np.meshgrid(x + steps, y + steps), axis=-1).reshape(-1, 2))
    away = shapely.distance(grid, shapely.Polygon(star))
    most = max((one.mm for one in (*found.spills, *found.beside)), default=0.0)
    # Distances of what is told are those of real places, so none is too large.
    assert away.max() - 0.011 <= most <= away.max() + 0.5 / math.sqrt(2) + 1e-9


# No cover to tell by


def test_no_order_is_no_cover() -> None:
    card = Card(strip_card([50, 60], "V"), {})
    blocked = Blocked(panels=tuple(card.cover.footprints), at=at(1, 1), why="it is")
    for order, why in (
        (blocked, "pass through each other"),
        (Undecided(guesses=1, why="it was too much"), "not decided"),
    ):
        found = spill_of(card.cover, order)
        assert isinstance(found, NoCover)
        assert why in found.why
        # A named cover needs no order.
        named = spill_of(card.cover, order, [card.panels["p1"]])
        assert isinstance(named, Spilled)
        assert named.mm == pytest.approx(10)


def test_a_twist_has_no_cover_of_its_own() -> None:
    text = (DESIGNS / "square-twist.toml").read_text(encoding="utf-8")
    resolved = resolve(parse_design(text))
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    assembly = assemble(divisions, ())
    cover = closed_cover(assembly)
    order = ply_order(assembly, cover)
    assert isinstance(order, PlyOrder)
    found = spill_of(cover, order)
    assert isinstance(found, NoCover)
    assert "outermost plies" in found.why


def test_leaves_whose_bands_fold_to_both_sides_are_outermost() -> None:
    """A shutter card: leaf 50, pleat 15, centre 60; two slits part three bands.

    The outer bands fold M V V M, the middle one V M M V: on the leaves lie plies on either
    side.  Closed it is 2 * 50 + 60 - 2 * 15 wide and nothing sticks out.
    """
    folds = ""
    for low, high, senses in ((0, 30, "MVVM"), (30, 70, "VMMV"), (70, 100, "MVVM")):
        for x, sense in zip((50, 65, 125, 140), senses, strict=True):
            word = "valley" if sense == "V" else "mountain"
            folds += f'[[piece.fold]]\nsense = "{word}"\npoints = [[{x}, {low}], [{x}, {high}]]\n'
    slits = "".join(f"[[piece.slit]]\npoints = [[50, {y}], [140, {y}]]\n" for y in (30, 70))
    text = f'[[piece]]\nname = "card"\noutline = {{ rectangle = [190, 100] }}\n{slits}{folds}'
    found = Card(text, {}).spills
    assert found.outline.bounds[2] - found.outline.bounds[0] == pytest.approx(130)
    assert (found.spills, found.mm) == ((), 0)
