"""Lines of a piece moved along with its panels: by hand, with arcs, and what must not change."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Mark, Opening, PanelName, Piece
from foldwright.geometry import Path, Point, Vertex, circle, line
from foldwright.panels import Division, divide
from foldwright.panels.displaced import Displaced, NotTheSame, displaced, shares_of
from foldwright.stacking.paper import Floats
from foldwright.stacking.recovered import moves_between
from tests.folding.folded_samples import M, V, at, fold, rectangle
from tests.stacking.stacks import map_sheet, senses_of, strip
from tests.stacking.test_allowances import bands, box

Pair = tuple[float, float]


def places(path: Path) -> list[Pair]:
    return [vertex.at.floats() for vertex in path.vertices]


def near(path: Path, *wanted: Pair) -> bool:
    return bool(np.array(places(path)) == pytest.approx(np.array(wanted), abs=1e-12))


def moved(division: Division, moves: dict[str, Pair]) -> Displaced:
    """The piece with its panels, by name, moved."""
    return displaced(division, moves_of(division, moves))


def moves_of(division: Division, moves: dict[str, Pair]) -> Floats:
    known = {panel.name: panel.index for panel in division.panels}
    found = np.zeros((len(division.panels), 2))
    for name, by in moves.items():
        found[known[name]] = by
    return found


def name(text: str, x: float, y: float) -> PanelName:
    return PanelName(name=text, at=Point(x, y))


def letter(**more: object) -> Division:
    """Three panels of 60 by 60 mm side by side, with upright folds."""
    piece = strip([60, 60, 60], senses_of("VV"))
    names = (name("p1", 30, 30), name("p2", 90, 30), name("p3", 150, 30))
    return divide(replace(piece, panel_names=names, **more))  # type: ignore[arg-type]


# By hand


def test_a_fold_lies_midway_and_the_sheet_grows() -> None:
    found = moved(letter(), {"p1": (-0.2, 0.0)}).piece
    assert near(found.outline, (-0.2, 0), (180, 0), (180, 60), (-0.2, 60))
    assert near(found.folds[0].path, (59.9, 0), (59.9, 60))
    assert near(found.folds[1].path, (120, 0), (120, 60))


def test_without_moves_every_line_stays() -> None:
    before = box()
    after = displaced(before, np.zeros((len(before.panels), 2))).piece
    for one, other in (
        (before.piece.outline, after.outline),
        *zip((f.path for f in before.piece.folds), (f.path for f in after.folds), strict=True),
        *zip((s.path for s in before.piece.slits), (s.path for s in after.slits), strict=True),
    ):
        assert one.rounded() == other


def test_all_panels_moved_alike_move_the_piece() -> None:
    before = divide(
        replace(
            box().piece,
            openings=(Opening(name="eye", path=circle(at(100, 20), Fraction(5))),),
            marks=(Mark(name="m", text="UP", at=at(10, 20), height=Fraction(4)),),
        )
    )
    found = displaced(before, np.full((len(before.panels), 2), 0.5)).piece
    assert near(found.outline, (0.5, 0.5), (200.5, 0.5), (200.5, 200.5), (0.5, 200.5))
    assert near(found.openings[0].path, (105.5, 20.5), (95.5, 20.5))
    assert [vertex.bulge for vertex in found.openings[0].path.vertices] == [1.0, 1.0]
    assert found.marks[0].at is not None
    assert found.marks[0].at.floats() == pytest.approx((10.5, 20.5))


def test_slit_ends_follow_the_folds_that_they_lie_on() -> None:
    """Page, front and back part by 1.2: the folds of the band take 0.4 each, the gutters 1.2."""
    page = box()
    by = {panel.index: panel for panel in page.panels}
    front, back = by[0].name, max(page.panels, key=lambda panel: panel.box[3]).name
    low, high = sorted(
        (panel for panel in page.panels if panel.name not in (front, back)),
        key=lambda panel: panel.box[1],
    )
    found = moved(page, {back: (0.0, 1.2), low.name: (0.0, 0.4), high.name: (0.0, 0.8)}).piece
    lines = {one.name: one.path for one in found.folds}
    assert near(lines["left gutter"], (0, 100.6), (60, 100.6))
    assert near(lines["foot"], (60, 70.2), (140, 70.2))
    assert near(lines["edge"], (60, 110.6), (140, 110.6))
    assert near(lines["head"], (60, 141), (140, 141))
    # One straight slit still, from fold to fold, though the gutter moves between its ends.
    assert near(found.slits[0].path, (60, 70.2), (60, 141))
    assert near(found.outline, (0, 0), (200, 0), (200, 201.2), (0, 201.2))


def test_folds_that_meet_still_meet() -> None:
    """A map in quarters: its middle moves by the mean of the four panels."""
    sheet = divide(map_sheet(2, 2))
    moves = np.array([[0.0, 0.0], [0.4, 0.0], [0.4, 0.8], [0.0, 0.4]])
    found = displaced(sheet, moves).piece
    upright, level = (one.path for one in found.folds)
    assert places(upright)[1] == pytest.approx((20.2, 30.3))
    assert places(level)[1] == pytest.approx((20.2, 30.3))
    assert places(upright)[0] == pytest.approx((20.2, 0.0))


def test_a_straight_fold_over_a_vertex_bends_there() -> None:
    """As one segment it has no corner at the vertex; it gets one, and keeps its name and sense."""
    cross = divide(
        Piece(
            name="sheet",
            outline=rectangle(40, 60),
            folds=(
                fold("upright", (20, 0), (20, 60), sense=M),
                fold("left", (0, 20), (20, 20)),
                fold("right", (20, 20), (40, 20)),
            ),
        )
    )
    lower_right = next(p.index for p in cross.panels if p.box[:2] == (20.0, 0.0))
    moves = np.zeros((4, 2))
    moves[lower_right] = (0.4, 0.0)
    found = displaced(cross, moves)
    upright = found.piece.folds[0]
    assert near(upright.path, (20.2, 0), (20.1, 20), (20, 60))
    assert upright.senses == (M, M)
    assert [hinge.label for hinge in found.division.hinges] == [
        hinge.label for hinge in cross.hinges
    ]


def test_rounded_corners_keep_their_radius() -> None:
    bulge = math.tan(math.pi / 8.0)
    outline = Path(
        (
            Vertex(at(3, 0)), Vertex(at(117, 0), bulge), Vertex(at(120, 3)),
            Vertex(at(120, 57), bulge), Vertex(at(117, 60)), Vertex(at(3, 60), bulge),
            Vertex(at(0, 57)), Vertex(at(0, 3), bulge),
        ),
        closed=True,
    )  # fmt: skip
    card = divide(Piece(name="card", outline=outline, folds=(fold("f", (60, 0), (60, 60)),)))
    found = displaced(card, np.array([[0.0, 0.0], [0.6, 0.0]])).piece
    assert [segment.radius for segment in found.outline.segments if segment.bulge] == pytest.approx(
        [3.0] * 4
    )
    assert found.outline.box() == pytest.approx((0.0, 0.0, 120.6, 60.0))
    assert len(found.outline.vertices) == 8


def test_an_arc_that_a_fold_ends_on_is_parted_there() -> None:
    """A disc folded in half: each half moves with its panel, the fold's ends lie between them."""
    disc = divide(
        Piece(
            name="disc",
            outline=circle(at(50, 50), Fraction(40)),
            folds=(fold("f", (50, 10), (50, 90)),),
        )
    )
    right = max(disc.panels, key=lambda panel: panel.box[0])
    moves = np.zeros((2, 2))
    moves[right.index] = (0.5, 0.0)
    found = displaced(disc, moves).piece
    assert near(found.outline, (90.5, 50), (50.25, 90), (10, 50), (50.25, 10))
    quarter = math.tan(math.pi / 8.0)
    assert [vertex.bulge for vertex in found.outline.vertices] == pytest.approx([quarter] * 4)
    assert near(found.folds[0].path, (50.25, 10), (50.25, 90))


def test_marks_names_scores_and_hidden_edges_move_with_their_panels() -> None:
    before = letter(
        marks=(
            Mark(name="line", path=line(at(10, 10), at(20, 10))),
            Mark(name="text", text="UP", at=at(150, 30), height=Fraction(4)),
            Mark(name="across", path=line(at(30, 30), at(90, 30))),
        ),
        hide_bridges=(line(at(0, 0), at(60, 0)),),
        folds=(
            *strip([60, 60, 60], senses_of("VV")).folds,
            fold("crease", (140, 20), (160, 20), still=True),
        ),
    )
    found = moved(before, {"p1": (-0.2, 0.0), "p3": (0.3, 0.1)}).piece
    one, text, across = found.marks
    assert one.path is not None
    assert across.path is not None
    assert text.at is not None
    assert near(one.path, (9.8, 10), (19.8, 10))
    assert text.at.floats() == pytest.approx((150.3, 30.1))
    assert near(across.path, (29.8, 30), (90, 30))
    assert near(found.hide_bridges[0], (-0.2, 0), (59.9, 0))
    assert near(found.folds[2].path, (140.3, 20.1), (160.3, 20.1))
    assert [name.at.floats() for name in found.panel_names] == [
        pytest.approx(place) for place in ((29.8, 30), (90, 30), (150.3, 30.1))
    ]


# What must stay the same


def test_lines_that_would_cross_are_not_moved() -> None:
    narrow = divide(strip([60, Fraction(1), 60], senses_of("VM")))
    moves = np.zeros((3, 2))
    moves[min(range(3), key=lambda k: narrow.panels[k].area)] = (0.0, 0.0)
    left = next(panel.index for panel in narrow.panels if panel.box[0] == 0.0)
    moves[left] = (5.0, 0.0)
    with pytest.raises(NotTheSame):
        displaced(narrow, moves)


def test_panels_may_change_their_numbers_but_not_their_names() -> None:
    """Two panels at one height are counted from the left: lifted, the left one comes second."""
    before = divide(strip([60, 60], senses_of("V")))
    found = displaced(before, np.array([[0.0, 0.5], [0.0, 0.0]]))
    assert found.panel_of == (1, 0)
    named = divide(
        replace(
            strip([60, 60], senses_of("V")),
            panel_names=(name("west", 30, 30), name("east", 90, 30)),
        )
    )
    again = displaced(named, np.array([[0.0, 0.5], [0.0, 0.0]]))
    assert [again.division.panels[k].name for k in again.panel_of] == ["west", "east"]


def test_shares_of_a_node_add_up() -> None:
    shares = shares_of(box())
    assert np.bincount(shares.rows, shares.weights) == pytest.approx(1.0)


def small(count: int, seed: int) -> Floats:
    return np.random.default_rng(seed).uniform(-0.8, 0.8, (count, 2))


@settings(deadline=None, max_examples=40)
@given(page=bands, seed=st.integers(0, 2**32 - 1))
def test_random_moves_keep_the_panels_and_are_found_again(page: Division, seed: int) -> None:
    """Told by the lines alone, and the panels keep their areas but for the sheet at their folds."""
    moves = small(len(page.panels), seed)
    # Along the folds nothing moves, as where folds want length across themselves.
    moves[:, 0] = 0.0
    found = displaced(page, moves)
    assert moves_between(page, found) == pytest.approx(moves, abs=1e-7)
    assert [hinge.label for hinge in found.division.hinges] == [h.label for h in page.hinges]
    assert len(found.division.knots) == len(page.knots)
    assert len(found.piece.slits[0].path.vertices) == 2


@settings(deadline=None, max_examples=20)
@given(columns=st.integers(2, 4), rows=st.integers(1, 4), seed=st.integers(0, 2**32 - 1))
def test_random_moves_of_a_map_are_found_again(columns: int, rows: int, seed: int) -> None:
    sheet = divide(map_sheet(columns, rows))
    moves = small(len(sheet.panels), seed)
    assert moves_between(sheet, displaced(sheet, moves)) == pytest.approx(moves, abs=1e-6)


@settings(deadline=None, max_examples=20)
@given(
    page=bands,
    seed=st.integers(0, 2**32 - 1),
    turn=st.sampled_from([(3, 4, 5), (5, 12, 13), (0, 1, 1), (-1, 0, 1)]),
    shift=st.tuples(st.integers(-50, 50), st.integers(-50, 50)),
)
def test_turning_and_moving_a_piece_changes_nothing_else(
    page: Division, seed: int, turn: tuple[int, int, int], shift: tuple[int, int]
) -> None:
    cos, sin = Fraction(turn[0], turn[2]), Fraction(turn[1], turn[2])

    def carried(place: Point) -> Point:
        return Point(
            cos * place.x - sin * place.y + shift[0], sin * place.x + cos * place.y + shift[1]
        )

    def path(one: Path) -> Path:
        return Path(tuple(replace(v, at=carried(v.at)) for v in one.vertices), one.closed)

    piece = page.piece
    turned = divide(
        replace(
            piece,
            outline=path(piece.outline),
            slits=tuple(replace(one, path=path(one.path)) for one in piece.slits),
            folds=tuple(replace(one, path=path(one.path)) for one in piece.folds),
        )
    )
    moves = small(len(page.panels), seed)
    moves[:, 0] = 0.0
    # Panels are numbered by place, so those of the turned piece are told by their hinges.
    number = {}
    for one, other in zip(page.hinges, turned.hinges, strict=True):
        number[one.left], number[one.right] = other.left, other.right
    others = np.zeros_like(moves)
    matrix = np.array([[float(cos), -float(sin)], [float(sin), float(cos)]])
    for here, there in number.items():
        others[there] = matrix @ moves[here]
    plain, found = displaced(page, moves).piece, displaced(turned, others).piece
    for before, after in zip(
        (plain.outline, *(f.path for f in plain.folds), *(s.path for s in plain.slits)),
        (found.outline, *(f.path for f in found.folds), *(s.path for s in found.slits)),
        strict=True,
    ):
        here = np.array(places(before)) @ matrix.T + np.array(shift)
        assert np.array(places(after)) == pytest.approx(here, abs=1e-9)


def test_a_panel_that_changes_its_shape_is_found_out() -> None:
    """A corner of the page pulled out by hand is no move of its panels."""
    page = box()
    after = displaced(page, np.zeros((len(page.panels), 2)))
    first, *others = after.piece.outline.vertices
    pulled = replace(
        after.piece,
        outline=Path((Vertex(first.at + (at(0, 0) - at(1, 0))), *others), closed=True),
    )
    with pytest.raises(NotTheSame):
        moves_between(page, replace(after, piece=pulled, division=divide(pulled)))


def test_a_valley_stays_a_valley() -> None:
    found = moved(letter(), {"p3": (0.5, 0.0)})
    assert [one.senses for one in found.piece.folds] == [(V,), (V,)]
