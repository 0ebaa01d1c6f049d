"""Lines that nearly touch, touch without crossing, or end on what does not divide."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Opening, Piece, Sense
from foldwright.geometry import Point, Segment, circle, line, polygon
from foldwright.geometry.meetings import meetings
from foldwright.panels import divide

PieceOf = Callable[[str], Piece]


def rules(piece: Piece) -> list[str]:
    return [one.rule for one in divide(piece).problems]


@pytest.mark.parametrize("y", ["50", "49.9996", "50.0004"])
def test_a_line_that_ends_a_hair_beyond_another_ends_on_it(y: str, piece_of: PieceOf) -> None:
    """At a shallow angle the two also cross a little way off; that is the same meeting."""
    division = divide(
        piece_of(
            f"""
            outline = {{ rectangle = [100, 100] }}
            [[piece.fold]]
            name = "g"
            sense = "valley"
            points = [[0, 50], [100, 50]]
            [[piece.fold]]
            name = "h"
            sense = "valley"
            points = [[0, 70], [95, {y}]]
            [[piece.fold]]
            name = "k"
            sense = "mountain"
            points = [[95, 50], [0, 30]]
            """
        )
    )
    assert division.problems == ()
    assert len(division.panels) == 4
    (knot,) = division.knots
    assert len(knot.crossings) == 4


@given(
    angle=st.floats(5, 40),
    turn=st.floats(0, 360),
    digits=st.integers(3, 6),
)
def test_coordinates_rounded_for_a_file_divide_as_exact_ones_do(
    angle: float, turn: float, digits: int
) -> None:
    """A disc's diameter met by a fold from either side at a shallow angle, turned and rounded."""

    def at(radius: float, degrees: float) -> Point:
        way = math.radians(degrees + turn)
        return Point(
            round(200 + radius * math.cos(way), digits), round(200 + radius * math.sin(way), digits)
        )

    def fold(name: str, start: Point, end: Point) -> Fold:
        return Fold(name=name, path=line(start, end), senses=(Sense.VALLEY,), angle=180)

    rim = [at(100, 30 * step) for step in range(12)]
    piece = Piece(
        name="disc",
        outline=polygon(*rim),
        folds=(
            fold("across", rim[0], rim[6]),
            fold(
                "above",
                at(0, 0),
                at(
                    100 * math.cos(math.radians(15)) / math.cos(math.radians(angle % 30 - 15)),
                    angle,
                ),
            ),
        ),
    )
    found = divide(piece)
    if found.problems:
        # The far end, rounded, may miss the rim by more than a micrometre.
        assert {one.rule for one in found.problems} <= {"fold-end-hangs", "crosses-outline"}
    else:
        assert len(found.panels) == 3


@pytest.mark.parametrize(("centre", "radius"), [(30, 20), (35.3, 14.7), (33.2, 16.8), (37.7, 12.3)])
def test_an_opening_that_touches_a_fold_from_the_side_parts_it_in_two(
    centre: float, radius: float
) -> None:
    piece = Piece(
        name="p",
        outline=polygon(Point(0.0, 0.0), Point(100.0, 0.0), Point(100.0, 100.0), Point(0.0, 100.0)),
        openings=(Opening(name="opening 1", path=circle(Point(50.0, centre), radius)),),
        folds=(
            Fold(
                name="level",
                path=line(Point(0.0, 50.0), Point(100.0, 50.0)),
                senses=(Sense.VALLEY,),
                angle=180,
            ),
        ),
    )
    division = divide(piece)
    assert division.problems == ()
    assert [hinge.label for hinge in division.hinges] == ["level#1", "level#2"]
    assert len(division.panels) == 2


def test_circles_that_touch_meet_once() -> None:
    for x in (24.2, 24.2004, 24.1996):
        first = circle(Point(0.0, 0.0), 12.2).segments[1]
        second = circle(Point(x, 0.0), 12.0).segments[0]
        places = [
            meeting
            for a in circle(Point(0.0, 0.0), 12.2).segments
            for b in circle(Point(x, 0.0), 12.0).segments
            for meeting in meetings(a, b, 1e-3)
        ]
        assert places
        assert first.length > 0 < second.length
    assert not meetings(
        Segment(Point(0.0, 0.0), Point(10.0, 0.0)),
        Segment(Point(0.0, 0.002), Point(10.0, 0.002)),
        1e-3,
    )


@pytest.mark.parametrize(
    ("lines", "rule"),
    [
        pytest.param(
            """
            [[piece.opening]]
            rectangle = [40, 40, 20, 20]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [40, 50]]
            """,
            "fold-parts-nothing",
            id="from the outline to an opening",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [50, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[50, 0], [50, 100]]
            still = true
            """,
            "fold-end-hangs",
            id="a fold that ends on a still one",
        ),
        pytest.param(
            """
            [[piece.slit]]
            points = [[0, 50], [50, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[50, 0], [50, 100]]
            still = true
            """,
            "slit-end-hangs",
            id="a slit that ends on a still fold",
        ),
        pytest.param(
            """
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], { at = [50, 50], round = 10 }, [50, 100]]
            """,
            "fold-end-hangs",
            id="straight parts that end on the arc between them",
        ),
    ],
)
def test_a_flat_panel_cannot_turn_on_part_of_a_line(
    lines: str, rule: str, piece_of: PieceOf
) -> None:
    assert rule in rules(piece_of(f"outline = {{ rectangle = [100, 100] }}\n{lines}"))


def test_the_smaller_part_is_the_loose_one_wherever_the_largest_panel_lies(
    piece_of: PieceOf,
) -> None:
    """The right part is the larger, though the largest single panel is in the left one."""
    piece = piece_of(
        """
        outline = { rectangle = [100, 50] }
        [[piece.slit]]
        points = [[45, 0], [45, 50]]
        [[piece.fold]]
        sense = "valley"
        points = [[72.5, 0], [72.5, 50]]
        """
    )
    (loose,) = divide(piece).problems
    assert (loose.rule, loose.at) == ("panel-cut-loose", (22.5, 25.0))
