"""Dividing a piece: which panels and hinges come out, and how they hang together."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Piece, Sense, Slit
from foldwright.geometry import line, point, polygon
from foldwright.panels import KnotKind, divide

PieceOf = Callable[[str], Piece]

STEP_CARD = """
    outline = { rectangle = [148, 210] }
    [[piece.slit]]
    points = [[50, 45], [50, 175]]
    [[piece.band]]
    name = "steps"
    from = [50, 175]
    to = [148, 175]
    walk = [30, 35, 30, 35]
    sense = "alternate"
    first = "valley"
    [[piece.fold]]
    name = "gutter"
    sense = "valley"
    points = [[0, 105], [50, 105]]
    [[piece.panel]]
    name = "front floor"
    at = [143, 5]
"""


def test_a_step_card_has_two_pages_and_four_steps(piece_of: PieceOf) -> None:
    division = divide(piece_of(STEP_CARD))
    assert division.problems == ()
    # Areas by hand: the pages are L-shaped, 148 x 45 + 50 x 60 and 148 x 35 + 50 x 70.
    assert {panel.name: panel.area for panel in division.panels} == {
        "front floor": pytest.approx(148 * 45 + 50 * 60),
        "panel 1": pytest.approx(98 * 35),
        "panel 2": pytest.approx(98 * 30),
        "panel 3": pytest.approx(148 * 35 + 50 * 70),
        "panel 4": pytest.approx(98 * 35),
        "panel 5": pytest.approx(98 * 30),
    }
    assert len(division.panels[0].ring.segments) >= 6
    assert [hinge.label for hinge in division.hinges] == [
        *(f"steps {i}" for i in range(1, 6)),
        "gutter",
    ]
    (knot,) = division.knots
    assert (knot.name, knot.kind, knot.at.floats()) == ("slit 1", KnotKind.CLUSTER, (50, 110))
    assert len(knot.crossings) == 6


def test_a_walk_round_a_knot_steps_from_panel_to_panel_and_comes_back(piece_of: PieceOf) -> None:
    division = divide(piece_of(STEP_CARD))
    crossings = division.knots[0].crossings
    for here, there in zip(crossings, (*crossings[1:], crossings[0]), strict=True):
        assert here.after == there.before
        hinge = division.hinges[here.hinge]
        assert {hinge.left, hinge.right} == {here.before, here.after}


def test_a_fold_over_a_vertex_is_several_hinges(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 100] }
            [[piece.fold]]
            name = "across"
            sense = "valley"
            points = [[0, 50], [100, 50]]
            [[piece.fold]]
            sense = "mountain"
            points = [[40, 0], [40, 100]]
            """
        )
    )
    assert division.problems == ()
    assert [hinge.label for hinge in division.hinges] == [
        "across#1",
        "across#2",
        "fold 2#1",
        "fold 2#2",
    ]
    assert len(division.panels) == 4
    (knot,) = division.knots
    assert (knot.kind, knot.at.floats()) == (KnotKind.VERTEX, (40, 50))


def test_openings_are_holes_and_belong_to_no_panel(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 60] }
            [[piece.opening]]
            circle = [25, 30, 10]
            [[piece.opening]]
            rectangle = [70, 20, 20, 20]
            [[piece.fold]]
            sense = "valley"
            points = [[50, 0], [50, 60]]
            """
        )
    )
    assert division.problems == ()
    left, right = division.panels
    assert left.area == pytest.approx(50 * 60 - math.pi * 100)
    assert right.area == pytest.approx(50 * 60 - 400)
    assert len(left.holes) == len(right.holes) == 1
    assert division.knots == ()


def test_an_opening_on_a_fold_makes_one_loop_with_two_hinges(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 60] }
            [[piece.opening]]
            circle = [50, 30, 10]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 30], [40, 30]]
            [[piece.fold]]
            sense = "valley"
            points = [[60, 30], [100, 30]]
            """
        )
    )
    assert division.problems == ()
    (knot,) = division.knots
    assert knot.name == "opening 1"
    assert [division.hinges[crossing.hinge].label for crossing in knot.crossings] in (
        ["fold 1", "fold 2"],
        ["fold 2", "fold 1"],
    )


def test_slits_that_touch_are_one_cluster(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 100] }
            [[piece.slit]]
            points = [[30, 40], [30, 60]]
            [[piece.slit]]
            points = [[30, 60], [70, 60]]
            [[piece.slit]]
            points = [[70, 60], [70, 40]]
            [[piece.fold]]
            name = "flap"
            sense = "valley"
            points = [[30, 40], [70, 40]]
            """
        )
    )
    assert division.problems == ()
    # The flap's one hinge is crossed on the way in and straight back: no ring.
    assert division.knots == ()
    assert sorted(panel.area for panel in division.panels) == pytest.approx([800, 9200])


def test_a_slit_from_the_edge_makes_no_loop(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 100] }
            [[piece.slit]]
            points = [[50, 0], [50, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [100, 50]]
            """
        )
    )
    assert division.problems == ()
    assert division.knots == ()
    assert [hinge.label for hinge in division.hinges] == ["fold 1#1", "fold 1#2"]
    assert len(division.panels) == 3


def test_scores_divide_nothing(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 60] }
            [[piece.fold]]
            name = "arc"
            sense = "valley"
            points = [[0, 10], { arc_to = [100, 10], through = [50, 30] }]
            [[piece.fold]]
            name = "stay"
            sense = "mountain"
            points = [[0, 50], [100, 50]]
            still = true
            """
        )
    )
    # Both are said to be scored only, each at the middle of what is scored.
    arc, stay = division.problems
    assert (arc.rule, arc.severity, arc.at) == ("arc-not-folded", "note", (50, 30))
    assert 'fold "arc"' in arc.message
    assert (stay.rule, stay.severity, stay.at) == ("still-not-folded", "note", (50, 50))
    assert 'fold "stay" is still' in stay.message
    assert (len(division.panels), division.hinges) == (1, ())


@pytest.mark.parametrize("miss", [0.0, 0.0007, -0.0007])
def test_lines_that_meet_within_a_micrometre_meet(miss: float, piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            f"""
            outline = {{ rectangle = [100, 100] }}
            [[piece.slit]]
            points = [[50, {30 - miss}], [50, {70 + miss}]]
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [{50 - miss}, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[{50 + miss}, 30], [{100 - miss}, 30]]
            [[piece.fold]]
            sense = "mountain"
            points = [[50, 50], [100, 50]]
            [[piece.fold]]
            sense = "valley"
            points = [[50, 70], [100, 70]]
            """
        )
    )
    assert [one.rule for one in division.problems] == []
    assert len(division.panels) == 4


def test_a_hundredth_of_a_millimetre_is_no_meeting(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 100] }
            [[piece.fold]]
            sense = "valley"
            points = [[0, 50], [99.99, 50]]
            """
        )
    )
    assert [one.rule for one in division.problems] == ["fold-end-hangs"]


@given(
    columns=st.integers(1, 5),
    rows=st.integers(1, 5),
    width=st.integers(60, 200),
    height=st.integers(60, 200),
)
def test_a_grid_of_folds_keeps_the_area_and_eulers_formula(
    columns: int, rows: int, width: int, height: int
) -> None:
    def fold(name: str, start: tuple[int, int], end: tuple[int, int]) -> Fold:
        return Fold(
            name=name,
            path=line(point(*start), point(*end)),
            senses=(Sense.VALLEY,),
            angle=180,
        )

    folds = [fold(f"x {i}", (i * 10 + 5, 0), (i * 10 + 5, height)) for i in range(columns)] + [
        fold(f"y {j}", (0, j * 10 + 5), (width, j * 10 + 5)) for j in range(rows)
    ]
    piece = Piece(
        name="grid",
        outline=polygon(point(0, 0), point(width, 0), point(width, height), point(0, height)),
        folds=tuple(folds),
    )
    division = divide(piece)
    assert division.problems == ()
    assert len(division.panels) == (columns + 1) * (rows + 1)
    assert len(division.hinges) == columns * (rows + 1) + rows * (columns + 1)
    assert len(division.knots) == columns * rows
    assert math.fsum(panel.area for panel in division.panels) == pytest.approx(width * height)
    # Euler: the hinge graph of a sheet is planar and connected.
    assert len(division.panels) - len(division.hinges) + len(division.knots) == 1


def test_panels_agree_with_shapely(piece_of: PieceOf) -> None:
    """The general-purpose library shapely polygonizes the same lines."""
    import shapely

    piece = piece_of(STEP_CARD)
    lines = [
        shapely.LineString([vertex.at.floats() for vertex in path.vertices])
        for path in (
            *(fold.path for fold in piece.folds),
            *(slit.path for slit in piece.slits),
        )
    ]
    ring = shapely.LinearRing([vertex.at.floats() for vertex in piece.outline.vertices])
    faces = shapely.polygonize([shapely.unary_union([ring, *lines])]).geoms
    assert sorted(face.area for face in faces) == pytest.approx(
        sorted(panel.area for panel in divide(piece).panels)
    )


def test_a_panel_that_slits_cut_out_is_told(piece_of: PieceOf) -> None:
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 100] }
            [[piece.slit]]
            points = [[40, 40], [60, 40], [60, 60], [40, 60], [40, 40]]
            """
        )
    )
    assert [(one.rule, one.at) for one in division.problems] == [("panel-cut-loose", (50, 50))]


def test_a_perforated_slit_from_edge_to_edge_joins_until_it_is_torn(piece_of: PieceOf) -> None:
    stub = """
        outline = {{ rectangle = [120, 50] }}
        [[piece.slit]]
        points = [[90, 0], [90, 50]]
        how = "{how}"
        [[piece.fold]]
        sense = "valley"
        points = [[45, 0], [45, 50]]
        """
    torn = divide(piece_of(stub.format(how="tear")))
    assert torn.problems == ()
    assert [panel.box for panel in torn.panels] == [(0, 0, 45, 50), (45, 0, 120, 50)]
    (loose,) = divide(piece_of(stub.format(how="cut"))).problems
    assert loose.rule == "panel-cut-loose"


def test_a_perforated_slit_within_a_loop_still_parts_its_sides(piece_of: PieceOf) -> None:
    division = divide(piece_of(STEP_CARD.replace("175]]\n", '175]]\n    how = "tear"\n', 1)))
    assert division.piece.slits[0].how == "tear"
    assert division.problems == ()
    assert len(division.knots) == 1


@pytest.mark.parametrize(
    ("senses", "middle", "loops"),
    [
        ('"valley"', "[40, 30]", 0),
        ('["valley", "valley"]', "[40, 30]", 0),
        ('["valley", "mountain"]', "[40, 30]", 1),
        ('"valley"', "[40, 31]", 1),
    ],
)
def test_a_fold_that_runs_straight_on_has_no_vertex_on_the_way(
    senses: str, middle: str, loops: int, piece_of: PieceOf
) -> None:
    division = divide(
        piece_of(
            f"""
            outline = {{ rectangle = [100, 60] }}
            [[piece.fold]]
            name = "level"
            sense = {senses}
            points = [[0, 30], {middle}, [100, 30]]
            """
        )
    )
    assert division.problems == ()
    assert [hinge.label for hinge in division.hinges] == ["level#1", "level#2"]
    assert len(division.knots) == loops


def test_the_same_division_whatever_the_order_of_lines() -> None:
    def piece(order: int) -> Piece:
        folds = [
            Fold(
                name=f"f{y}",
                path=line(point(50, y), point(100, y)),
                senses=(Sense.VALLEY,),
                angle=180,
            )
            for y in (20, 40, 60)
        ]
        left = Fold(
            name="left",
            path=line(point(0, 40), point(50, 40)),
            senses=(Sense.VALLEY,),
            angle=180,
        )
        all_folds = [*folds, left]
        return Piece(
            name="p",
            outline=polygon(point(0, 0), point(100, 0), point(100, 80), point(0, 80)),
            slits=(Slit(name="slit 1", path=line(point(50, 20), point(50, 60))),),
            folds=tuple(all_folds[::order]),
        )

    one, other = divide(piece(1)), divide(piece(-1))
    assert [panel.box for panel in one.panels] == [panel.box for panel in other.panels]
    assert [panel.name for panel in one.panels] == [panel.name for panel in other.panels]
