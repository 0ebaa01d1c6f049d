"""Pieces of many lines: divided on columns of numbers as pieces of few lines are, step by step."""

from __future__ import annotations

import copy
import math
import pickle
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Opening, Piece, Sense
from foldwright.geometry import Path, Point, circle, line, point, polygon
from foldwright.panels import Division, Hinge, Panel, divide
from tests.panels.arrangements import SIDE, by_few, by_many, pieces, sheet


def numbers(path: Path) -> list[float]:
    return [number for v in path.vertices for number in (*v.at.floats(), v.bulge)]


@given(piece=pieces())
@settings(deadline=None, max_examples=100)
def test_many_lines_divide_as_few_do(piece: Piece) -> None:
    few, many = by_few(piece), by_many(piece)
    assert many.problems == few.problems
    assert many.hinges == few.hinges
    assert many.knots == few.knots
    assert [panel.name for panel in many.panels] == [panel.name for panel in few.panels]
    for one, other in zip(many.panels, few.panels, strict=True):
        assert (one.index, len(one.holes)) == (other.index, len(other.holes))
        # Sums of a ring's parts may differ in their last digit.
        assert one.area == pytest.approx(other.area, abs=1e-9)
        for ring, same in zip((one.ring, *one.holes), (other.ring, *other.holes), strict=True):
            assert numbers(ring) == pytest.approx(numbers(same))


def fold(name: str, *at: Point, sense: Sense = Sense.VALLEY) -> Fold:
    return Fold(name=name, path=line(*at), senses=(sense,) * (len(at) - 1), angle=Fraction(180))


def grid(side: int, *, size: int = 10) -> Piece:
    """A square sheet, a fold from each vertex of a square grid to the next ones."""
    within, steps = range(1, side), range(side)
    ends = [((i, j), (i + 1, j)) for i in steps for j in within]
    ends += [((i, j), (i, j + 1)) for i in within for j in steps]
    return Piece(
        name="grid",
        outline=polygon(*(point(size * x, size * y) for x, y in corners(side))),
        folds=tuple(
            fold(f"fold {n}", *(point(size * x, size * y) for x, y in pair))
            for n, pair in enumerate(ends, start=1)
        ),
    )


def corners(side: int) -> tuple[tuple[int, int], ...]:
    return ((0, 0), (side, 0), (side, side), (0, side))


def test_a_grid_of_a_thousand_folds_by_hand() -> None:
    """What `divide` itself does with it: so many folds are always taken on columns."""
    side = 23
    division = divide(grid(side))
    assert division.problems == ()
    assert len(division.hinges) == len(division.piece.folds) == 2 * side * (side - 1)
    assert [panel.name for panel in division.panels] == [f"panel {n + 1}" for n in range(side**2)]
    # By y, then x.
    assert [panel.box for panel in division.panels[:2]] == [(0, 0, 10, 10), (10, 0, 20, 10)]
    assert division.panels[side].box == (0, 10, 10, 20)
    assert {panel.area for panel in division.panels} == {100.0}
    for number, hinge in enumerate(division.hinges):
        made = division.piece.folds[number]
        assert (hinge.index, hinge.fold, hinge.label, hinge.segment) == (
            number,
            number,
            made.name,
            0,
        )
        assert (hinge.line,) == made.path.segments
        # The very fractions of the design.
        assert (hinge.start, hinge.end) == (made.path.start, made.path.end)
        assert hinge.start.exact
    # The first fold runs to the right: the panel above it lies to its left.
    first = division.hinges[0]
    assert (first.left, first.right) == (side, 0)
    assert len(division.knots) == (side - 1) ** 2
    assert {len(knot.crossings) for knot in division.knots} == {4}
    assert len(division.panels) - len(division.hinges) + len(division.knots) == 1


def test_folds_that_cross_a_thousand_times_are_hinges_between_the_crossings() -> None:
    side = 40
    folds = [fold(f"level {y}", point(0, y), point(side, y)) for y in range(1, side)]
    folds += [fold(f"upright {x}", point(x, 0), point(x, side)) for x in range(1, side)]
    division = divide(
        Piece(
            name="p", outline=polygon(*(point(x, y) for x, y in corners(side))), folds=tuple(folds)
        )
    )
    assert division.problems == ()
    assert len(division.panels) == side**2
    assert [hinge.label for hinge in division.hinges[:side]] == [
        f"level 1#{n}" for n in range(1, side + 1)
    ]
    third = division.hinges[2]
    assert (third.start.floats(), third.end.floats()) == ((2, 1), (3, 1))
    assert third.line == folds[0].path.segments[0]


@pytest.mark.parametrize("through", [False, True])
def test_a_thousand_folds_of_one_place(through: bool) -> None:
    """They end there, or run on through it: places that differ by rounding are one node."""
    count = 1000
    rim = [
        Point(200 + 100 * math.cos(turn), 200 + 100 * math.sin(turn))
        for turn in (2 * math.pi * n / count for n in range(count))
    ]
    centre = Point(200.0, 200.0)
    if through:
        folds = [fold(f"fold {n}", rim[n], rim[n + count // 2]) for n in range(count // 2)]
    else:
        folds = [fold(f"fold {n}", centre, at) for n, at in enumerate(rim)]
    division = divide(Piece(name="disc", outline=polygon(*rim), folds=tuple(folds)))
    assert division.problems == ()
    assert len(division.panels) == len(division.hinges) == count
    (knot,) = division.knots
    assert len(knot.crossings) == count
    assert knot.at.floats() == pytest.approx((200, 200))


def test_a_thousand_openings_are_holes_each_in_its_panel() -> None:
    side = 32
    piece = grid(side)
    centres = [(10 * x + 5, 10 * y + 5) for y in range(side) for x in range(side)]
    openings = [
        Opening(name=f"opening {n}", path=circle(point(*at), Fraction(2)))
        for n, at in enumerate(centres)
    ]
    division = divide(replace(piece, openings=tuple(openings)))
    assert division.problems == ()
    assert len(division.panels) == side**2
    for panel, centre in zip(division.panels, centres, strict=True):
        (hole,) = panel.holes
        assert hole.box() == pytest.approx(
            (centre[0] - 2, centre[1] - 2, centre[0] + 2, centre[1] + 2)
        )
        assert panel.area == pytest.approx(100 - math.pi * 4)


def test_each_problem_of_a_large_sheet_is_told_at_its_place() -> None:
    side = 23
    piece = grid(side)
    # One fold of the grid leaves a gap of 4 micrometres; one more hangs within a panel.
    short, *others = piece.folds
    short = fold(short.name, short.path.start, _short(short))
    extra = (
        fold("hangs", point(52, 55), point(58, 55)),
        fold("over", point(225, 225), point(235, 225)),
        fold("beside", point(500, 500), point(510, 500)),
    )
    found = divide(replace(piece, folds=(short, *others, *extra))).problems
    assert sorted((one.rule, one.at) for one in found) == [
        ("crosses-outline", (230.0, 225.0)),
        ("fold-end-hangs", (9.996, 10.0)),
        ("fold-end-hangs", (52.0, 55.0)),
        ("fold-end-hangs", (58.0, 55.0)),
        ("fold-end-hangs", (225.0, 225.0)),
        ("outside-outline", (505.0, 500.0)),
    ]


def _short(one: Fold) -> Point:
    return Point(one.path.end.x - Fraction(4, 1000), one.path.end.y)


@given(
    offs=st.lists(
        st.sampled_from((0, 300, -300, 900, -900, 1100, -1100, 5000)), min_size=1, max_size=28
    )
)
@settings(deadline=None, max_examples=40)
def test_a_fold_that_ends_within_a_micrometre_of_another_ends_on_it(offs: list[int]) -> None:
    """Folds from above to one across the sheet, off it by so many thousandths of a micrometre."""
    ends = [(2 * n, 30 + Fraction(off, 1_000_000)) for n, off in enumerate(offs, start=1)]
    piece = Piece(
        name="sheet",
        outline=sheet(0),
        folds=(
            fold("level", point(0, 30), point(SIDE, 30)),
            *(fold(f"down {x}", point(x, SIDE), point(x, y)) for x, y in ends),
        ),
    )
    meet = [abs(off) <= 1000 for off in offs]
    for division in (by_few(piece), by_many(piece)):
        assert [one.rule for one in division.problems] == ["fold-end-hangs"] * meet.count(False)
        assert math.fsum(panel.area for panel in division.panels) == pytest.approx(SIDE**2)
        if all(meet):
            # Each parts the upper half once more; the areas are those of exact lines, but
            # for a micrometre by which the level one is drawn out of line.
            steps = [0, *(2 * n for n in range(1, len(offs) + 1)), SIDE]
            areas = [SIDE * 30, *(30 * (right - left) for left, right in pairwise(steps))]
            assert sorted(panel.area for panel in division.panels) == pytest.approx(
                sorted(areas),
                abs=SIDE * 1e-3,
            )
            assert [hinge.label for hinge in division.hinges[:2]] == ["level#1", "level#2"]


def test_a_line_that_is_no_number_is_refused() -> None:
    piece = grid(23)
    lost = fold("lost", Point(1.0, math.nan), Point(2.0, 3.0))
    with pytest.raises(ValueError, match="not a number"):
        divide(replace(piece, folds=(*piece.folds, lost)))


def test_a_score_may_end_anywhere() -> None:
    """A plan without it has a node there that nothing leaves."""
    still = replace(fold("stays", point(10, 10), point(20, 20)), still=True)
    piece = Piece(name="p", outline=sheet(0), folds=(still,))
    for division in (by_few(piece), by_many(piece)):
        assert [one.rule for one in division.problems] == ["still-not-folded"]
        assert len(division.panels) == 1


@given(
    levels=st.lists(st.tuples(st.integers(1, 59), st.integers(1, 59)), max_size=8, unique=True),
    uprights=st.lists(st.tuples(st.integers(1, 59), st.integers(1, 59)), max_size=8, unique=True),
    diagonal=st.booleans(),
    radius=st.sampled_from((0, 6)),
)
@settings(deadline=None, max_examples=60)
def test_faces_are_those_of_shapely_and_keep_the_area(
    levels: list[tuple[int, int]], uprights: list[tuple[int, int]], diagonal: bool, radius: int
) -> None:
    """Lines from edge to edge, shapely's `polygonize` of their union on the other side."""
    import shapely

    ends = [((0, a), (SIDE, b)) for a, b in levels] + [((a, 0), (b, SIDE)) for a, b in uprights]
    if diagonal and not radius:
        ends.append(((0, 0), (SIDE, SIDE)))
    # None on a rounded corner, where they would end a little way off the arc.
    ends = [pair for pair in ends if not radius or all(_straight(at) for at in pair)]
    piece = Piece(
        name="sheet",
        outline=sheet(radius),
        folds=tuple(fold(f"fold {n}", *(point(*at) for at in pair)) for n, pair in enumerate(ends)),
    )
    flat = shapely.LinearRing(
        [
            segment.at(step / 200).floats()
            for segment in piece.outline.segments
            for step in (range(200) if not segment.is_line else (0,))
        ]
    )
    union = shapely.unary_union([flat, *(shapely.LineString(pair) for pair in ends)])
    faces = [face.area for face in shapely.polygonize([union]).geoms]
    for division in (by_few(piece), by_many(piece)):
        assert [one.rule for one in division.problems] == []
        found = [panel.area for panel in division.panels]
        assert math.fsum(found) == pytest.approx(piece.outline.area)
        # Slivers where three lines nearly meet have less than rounding in them; a chord
        # of a hundredth of a radian leaves out a little of a corner.
        assert sorted(area for area in found if area > 1e-3) == pytest.approx(
            sorted(area for area in faces if area > 1e-3), abs=2e-3
        )


def _straight(at: tuple[int, int]) -> bool:
    return any(6 <= number <= SIDE - 6 for number in at)


@given(piece=pieces(), data=st.data())
@settings(deadline=None, max_examples=60)
def test_the_order_of_lines_changes_no_panel(piece: Piece, data: st.DataObject) -> None:
    other = replace(piece, folds=tuple(data.draw(st.permutations(piece.folds))))
    one, two = by_many(piece), by_many(other)
    if any(found.severity == "stop" for found in one.problems):
        # What is wrong may hang on which of two lines is taken first, that it is not.
        assert any(found.severity == "stop" for found in two.problems)
        return
    assert shape(one) == shape(two)
    assert beside(one) == beside(two)


def shape(division: Division) -> list[object]:
    return [
        (panel.name, *(pytest.approx(number, abs=2e-3) for number in (*panel.box, panel.area)))
        for panel in division.panels
    ]


def beside(division: Division) -> list[tuple[int, int]]:
    """The pairs of panels beside hinges."""
    return sorted(
        (min(hinge.left, hinge.right), max(hinge.left, hinge.right)) for hinge in division.hinges
    )


@pytest.fixture(scope="module")
def large() -> Division:
    return divide(grid(23))


def test_what_is_made_later_cannot_be_told_from_what_was_there(large: Division) -> None:
    again = divide(large.piece)
    assert again == large
    assert hash(again.panels[3]) == hash(large.panels[3])
    assert repr(again.hinges[3]) == repr(large.hinges[3])


def pickled(division: Division) -> Division:
    again: Division = pickle.loads(pickle.dumps(division))
    return again


COPIES: tuple[Callable[[Division], Division], ...] = (pickled, copy.deepcopy, copy.copy)


@pytest.mark.parametrize("copied", COPIES)
def test_divisions_can_be_copied_before_anything_is_asked_of_them(
    copied: Callable[[Division], Division],
) -> None:
    division = divide(grid(23))
    other = copied(division)
    assert other == division
    assert len(other.knots) == 22 * 22
    assert other.panels[0].ring == division.panels[0].ring


def test_a_panel_or_hinge_keeps_the_fields_that_are_not_replaced(large: Division) -> None:
    hinge = replace(large.hinges[5], angle=Fraction(90))
    assert (hinge.angle, hinge.line) == (90, large.hinges[5].line)
    panel = replace(large.panels[5], name="mine")
    assert (panel.name, panel.ring, panel.holes) == ("mine", large.panels[5].ring, ())


def test_values_stay_frozen_and_know_no_other_fields(large: Division) -> None:
    for one, name in ((large.panels[0], "ring"), (large.hinges[0], "line"), (large, "knots")):
        with pytest.raises(AttributeError):
            setattr(one, name, None)
    for one in (large.panels[0], large.hinges[0], large, _plain()):
        with pytest.raises(AttributeError, match="no attribute 'colour'"):
            getattr(one, "colour")  # noqa: B009
    assert {type(one) for one in (large.panels[0], large.hinges[0])} == {Panel, Hinge}


def _plain() -> Panel:
    """A panel from its constructor, which has every field from the start."""
    return Panel(index=0, name="panel 1", ring=sheet(0), holes=(), area=3600.0)
