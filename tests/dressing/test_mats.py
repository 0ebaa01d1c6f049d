"""This module tests the list of mats: shapes, counts, letters, and what is told of them.

Insets are held against shapely's negative buffer with mitred corners, counts and areas
against the panels that they come from.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.compiling import compile_piece
from foldwright.design.pieces import Face
from foldwright.drawing import Layer, Side
from foldwright.dressing.letters import letter
from foldwright.dressing.mats import Mats, _letter_marks, as_cut, mat_pieces
from foldwright.dressing.model import Kind, MadePiece
from foldwright.dressing.shapes import Shape
from foldwright.geometry.offset_check import flattened
from foldwright.measures import Unit
from foldwright.profiles.load import load_material
from foldwright.profiles.model import Tool
from foldwright.proving import Proof
from foldwright.stacking.margins import usual_margin
from tests.dressing.matted import BOOK, STAGE, mat, matted, pose, proved, shipped

PRINT = '[stock.print]\nmaterial = "text-160"\n[stock.other]\n'


def sizes(mats: Mats) -> list[tuple[str, int, float, float]]:
    return [(one.letter, one.count, one.width_mm, one.height_mm) for one in mats.pieces]


def test_the_step_card_has_the_list_of_sizes_of_the_worked_example() -> None:
    """A card of two steps by hand: margins of 3 mm, twice across each panel.

    The wall is an L: a strip of 50 by 105, and 98 by 35 over the steps; the floor another one,
    50 by 105 and 98 by 45.  So A is 50 - 6 by 105 - 6, B 98 - 6 by 35 - 6, and so on.
    """
    proof = shipped("pier-house")
    pieces, found = mat_pieces(proof)
    assert [(one.letter, one.count, one.width_mm, one.height_mm) for one in pieces] == [
        ("A", 2, 44, 99),
        ("B", 3, 92, 29),
        ("C", 2, 92, 24),
        ("D", 1, 92, 39),
    ]
    assert [one.where for one in pieces] == [
        ("base/back wall", "base/floor"),
        ("base/back wall", "base/upper front", "base/lower front"),
        ("base/upper tread", "base/lower tread"),
        ("base/floor",),
    ]
    assert {one.up for one in pieces} == {90.0}
    assert [one.way for one in pieces] == ["lengthwise", "crosswise", "crosswise", "crosswise"]
    assert {one.kind for one in pieces} == {Kind.MAT}
    assert {one.stock for one in pieces} == {one.piece.stock for one in pieces} == {"print"}
    assert found == ()


def test_an_l_is_one_piece_unless_two_are_asked_for() -> None:
    pages = (
        '[[piece]]\nname = "card"\n'
        "outline = { polygon = [[0, 0], [100, 0], [100, 40], [30, 40], [30, 90], [0, 90]] }\n"
    )
    (whole,) = matted(pages + mat(margin=5)).pieces
    assert (whole.width_mm, whole.height_mm) == (90, 80)
    assert len(whole.piece.outline.vertices) == 6
    assert whole.piece.outline.area == pytest.approx(90 * 30 + 20 * 50)
    # The seam on from the inner corner is 30 long across the upright arm, 40 down the other.
    parts = matted(pages + mat(margin=5, l_shape="two"))
    assert sizes(parts) == [("A", 1, 90, 30), ("B", 1, 20, 40)]
    assert [one.shape.box for one in parts.placed] == [(5, 5, 95, 35), (5, 45, 25, 85)]


def test_what_is_no_l_is_told_when_two_rectangles_are_asked_for() -> None:
    (told,) = matted(BOOK + mat(panels='["panel 1"]', l_shape="two").replace('"[', "[").replace(
        ']"', "]"
    )).problems  # fmt: skip
    assert told.rule == "mat-not-an-l"
    assert told.message == (
        'mat 1 on panel "panel 1" is no L of right angles with room for a seam, so it is cut as '
        "one piece"
    )


def test_equal_mats_are_one_piece_with_a_count() -> None:
    mats = matted(BOOK + mat(margin=4))
    assert sizes(mats) == [("A", 2, 52, 72)]
    assert mats.pieces[0].where == ("card/panel 1", "card/panel 2")
    assert (mats.pieces[0].up, mats.pieces[0].way) == (None, None)
    # Another stock is another piece, and so is a print direction.
    apart = BOOK + mat(margin=4) + mat(margin=4, stock="print") + mat(margin=4, up=90) + PRINT
    assert sizes(matted(apart)) == [("A", 2, 52, 72), ("B", 2, 52, 72), ("C", 2, 52, 72)]


def test_copies_of_a_piece_need_as_many_mats() -> None:
    (one,) = matted(BOOK.replace('"card"\n', '"card"\ncopies = 3\n', 1) + mat(margin=4)).pieces
    assert (one.count, len(one.where)) == (6, 6)


def test_mats_are_equal_however_they_are_turned_but_never_turned_over() -> None:
    # A right triangle, the same one turned by a quarter, and its mirror image.
    three = (
        '[[piece]]\nname = "one"\noutline = { polygon = [[0, 0], [60, 0], [0, 80]] }\n'
        '[[piece]]\nname = "two"\noutline = { polygon = [[80, 0], [80, 60], [0, 0]] }\n'
        '[[piece]]\nname = "three"\noutline = { polygon = [[0, 0], [60, 0], [60, 80]] }\n'
    )
    every = [mat(on=name, margin=2) for name in ("one", "two", "three")]
    mats = matted(three + "".join(every))
    assert [one.where for one in mats.pieces] == [
        ("one/panel 1", "two/panel 1"),
        ("three/panel 1",),
    ]
    # With a print direction a turned one is another piece.
    printed = [mat(on=name, margin=2, up=90) for name in ("one", "two", "three")]
    assert [one.count for one in matted(three + "".join(printed)).pieces] == [1, 1, 1]


def test_a_mat_of_the_back_is_as_it_is_seen_from_there() -> None:
    leaf = '[[piece]]\nname = "card"\noutline = { polygon = [[0, 0], [60, 0], [0, 80]] }\n'
    mirror = '[[piece]]\nname = "card"\noutline = { polygon = [[0, 0], [60, 0], [60, 80]] }\n'
    (back,) = matted(leaf + mat(margin=2, face="back")).pieces
    (front,) = matted(mirror + mat(margin=2)).pieces
    assert back.piece.outline.box() == front.piece.outline.box()
    assert set(back.piece.outline.vertices) == set(front.piece.outline.vertices)
    both = matted(leaf + mat(margin=2) + mat(margin=2, face="back"))
    assert [one.count for one in both.pieces] == [1, 1]


def test_a_slanted_rectangle_is_cut_square() -> None:
    # A rectangle of 60 by 30 turned by the angle of a 3, 4, 5 triangle.
    corners = [[0, 0], [48, 36], [30, 60], [-18, 24]]
    text = f'[[piece]]\nname = "card"\noutline = {{ polygon = {corners} }}\n'
    (one,) = matted(text + mat(margin=5)).pieces
    assert (one.width_mm, one.height_mm) == (50, 20)
    assert one.piece.outline.box() == pytest.approx((0, 0, 50, 20), abs=1e-9)
    (printed,) = matted(text + mat(margin=5, up=90)).pieces
    # The sheet lies turned by 36.87 degrees: up is that far from the upright of the piece.
    assert (printed.width_mm, printed.height_mm) == (50, 20)
    assert printed.up == pytest.approx(90 - math.degrees(math.atan2(3, 4)), abs=1e-5)


def test_a_mat_goes_round_an_opening() -> None:
    text = '[[piece]]\nname = "card"\noutline = { rectangle = [60, 60] }\n'
    hole = "[[piece.opening]]\ncircle = [30, 30, 10]\n"
    (one,) = matted(text + hole + mat(margin=3)).pieces
    (opening,) = one.piece.openings
    assert opening.path.area == pytest.approx(math.pi * 13**2)
    assert opening.path.box() == pytest.approx((14, 14, 40, 40))
    # What is told of a hole that nobody wrote is told of its mat.
    assert opening.place.line is not None
    assert opening.place == one.piece.place


def test_a_corner_in_a_straight_side_makes_no_other_size() -> None:
    corners = BOOK.replace(
        "{ rectangle = [120, 80] }",
        "{ polygon = [[0, 0], [120, 0], [120, 80], [60, 80], [20, 80], [0, 80], [0, 30]] }",
    )
    (one,) = matted(corners + mat(margin=4)).pieces
    assert (one.count, len(one.piece.outline.vertices)) == (2, 4)


def test_a_design_without_mats_has_none() -> None:
    assert matted(BOOK) == Mats(pieces=(), placed=(), problems=())
    broken = BOOK.replace("[60, 80]]", "[60, 40]]") + mat(margin=2)
    assert matted(broken).pieces == ()


# Letters.


def test_letters_go_by_the_mats_of_the_file_and_then_by_their_panels() -> None:
    two = mat(margin=4, panels="[]").replace('"[]"', '["panel 2"]') + mat(margin=9)
    mats = matted(BOOK + two)
    assert [(one.letter, one.panel[1]) for one in mats.placed] == [("A", 1), ("B", 0), ("B", 1)]


MARGINS = st.lists(st.integers(1, 12), min_size=1, max_size=6)


@settings(deadline=None, max_examples=25)
@given(MARGINS, MARGINS)
def test_a_mat_at_the_end_changes_no_letter(first: list[int], more: list[int]) -> None:
    def of(margins: list[int]) -> Mats:
        return matted(BOOK + "".join(mat(margin=margin) for margin in margins))

    before, after = of(first), of(first + more)
    assert [one.letter for one in after.placed][: len(before.placed)] == [
        one.letter for one in before.placed
    ]
    for one, other in zip(before.pieces, after.pieces, strict=False):
        assert (one.letter, one.width_mm, one.stock) == (other.letter, other.width_mm, other.stock)


# Against the panels.


def polygon_of(piece: MadePiece) -> shapely.Polygon:
    holes = [flattened(opening.path) for opening in piece.piece.openings]
    return shapely.Polygon(flattened(piece.piece.outline), holes)


def check_against_panels(proof: Proof, mats: Mats) -> None:
    """Every panel has its mat: counts, areas, and shapes as shapely has them."""
    panels = {
        (name, panel.index): panel
        for name, division in proof.assembly.divisions.items()
        for panel in division.panels
    }
    assert sum(one.count for one in mats.pieces) == len(mats.placed)
    by_letter = {one.letter: one for one in mats.pieces}
    assert [one.letter for one in mats.pieces] == list(by_letter)
    for placed in mats.placed:
        panel = panels[placed.panel]
        assert placed.margin == (
            usual_margin(panel, Unit.MM) if placed.mat.margin is None else float(placed.mat.margin)
        )
        whole = shapely.Polygon(flattened(panel.ring), [flattened(hole) for hole in panel.holes])
        own = shapely.Polygon(
            flattened(placed.shape.outline), [flattened(hole) for hole in placed.shape.openings]
        )
        mitred = whole.buffer(-placed.margin, join_style="mitre", mitre_limit=50)
        # Overlays of shapes that all but lie on each other go wrong; areas and distances do not.
        assert own.area == pytest.approx(mitred.area, abs=1e-3 * own.length)
        assert mitred.buffer(2e-3).contains(own)
        # What is cut is as large as what lies on the panel, and as large as its letter says.
        cut, _ = as_cut(placed)
        piece = by_letter[placed.letter]
        assert cut.area == pytest.approx(own.area, rel=1e-6)
        assert polygon_of(piece).area == pytest.approx(own.area, rel=1e-4)
        assert piece.piece.outline.box()[:2] == pytest.approx((0, 0), abs=1e-9)
        assert sorted(cut.size) == pytest.approx(
            sorted((piece.width_mm, piece.height_mm)), abs=0.02
        )


@settings(deadline=None, max_examples=20)
@given(
    st.integers(12, 40),
    st.integers(12, 40),
    st.integers(30, 60),
    st.integers(0, 30),
    st.sampled_from(["", "margin = 1\n", "margin = 2.5\n"]),
)
def test_mats_of_step_cards_are_their_panels_less_the_margin(
    tread: int, riser: int, strip: int, more: int, margin: str
) -> None:
    middle = 2 * max(tread, riser) + 20
    slit = f"[[piece.slit]]\npoints = [[{strip}, {middle - tread}], [{strip}, {middle + riser}]]\n"
    width = strip + 60 + more
    band = (
        '[[piece.band]]\nname = "step"\nsense = "alternate"\nfirst = "valley"\n'
        f"from = [{strip}, {middle + riser}]\nto = [{width}, {middle + riser}]\n"
        f"walk = [{tread}, {riser}]\n"
    )
    text = (
        f'[[piece]]\nname = "card"\noutline = {{ rectangle = [{width}, {2 * middle}] }}\n'
        + slit
        + band
        + f'[[piece.fold]]\nname = "gutter"\nsense = "valley"\n'
        f"points = [[0, {middle}], [{strip}, {middle}]]\n"
    )
    proof = proved(text + "[[mat]]\n" + 'on = "card"\n' + margin)
    mats = matted(text + "[[mat]]\n" + 'on = "card"\n' + margin)
    assert len(mats.placed) == 4
    check_against_panels(proof, mats)


@settings(deadline=None, max_examples=30)
@given(
    st.lists(st.tuples(st.floats(25, 60), st.floats(0.5, 1)), min_size=3, max_size=7),
    st.floats(0.2, 4),
    st.booleans(),
)
def test_mats_of_slanted_panels_are_the_panels_less_the_margin(
    spokes: list[tuple[float, float]], margin: float, back: bool
) -> None:
    total = sum(share for _, share in spokes)
    angle, corners = 0.3, []
    for reach, share in spokes:
        corners.append([round(reach * math.cos(angle), 3), round(reach * math.sin(angle), 3)])
        angle += 2 * math.pi * share / total
    shape = shapely.Polygon(corners)
    narrow = shape.buffer(-margin - 0.5)
    if not shape.is_valid or shape.exterior.is_ccw is False or narrow.geom_type != "Polygon":
        return
    if narrow.is_empty:
        return
    text = f'[[piece]]\nname = "card"\noutline = {{ polygon = {corners} }}\n'
    text += mat(margin=round(margin, 3), face="back" if back else "front")
    check_against_panels(proved(text), matted(text))


# Print directions that fold over.


def test_print_stands_up_on_a_panel_that_is_folded_over() -> None:
    # The fold is shut: the back of the upper half lies up, its upper edge at the viewer's side.
    shut = STAGE + mat(face="back", up=90, panels=0).replace("= 0", '= ["panel 2"]')
    (one,) = matted(shut + pose(180, "gutter", on='["card/panel 1"]')).placed
    assert one.up == pytest.approx(270)
    piece = matted(shut + pose(180, "gutter", on='["card/panel 1"]')).pieces[0]
    assert (piece.up, piece.way) == (90, "crosswise")


# The letter on the back.


def test_the_letter_is_written_on_the_back_of_the_mat() -> None:
    (one,) = matted(BOOK + mat(margin=4)).pieces
    (mark,) = one.piece.marks
    assert (mark.text, mark.face, mark.height) == ("A", Face.BACK, 6)
    assert mark.at is not None and mark.height is not None
    x, y = mark.at.floats()
    assert 0 < x < 52 - 6 and 0 < y < 72 - 6
    # On a narrow one it is smaller, on one of 2 mm there is none.
    (narrow,) = matted(BOOK + mat(margin=27)).pieces
    assert narrow.piece.marks[0].height is not None
    assert 2 <= narrow.piece.marks[0].height < 6
    assert matted(BOOK + mat(margin=29)).pieces[0].piece.marks == ()


@pytest.mark.parametrize("number", [1, 30, 800])
@pytest.mark.parametrize("margin", [4, 24, 27])
def test_the_letter_is_drawn_inside_the_mat(number: int, margin: int) -> None:
    """Compiled with a material, it gives no finding: readable, on the paper, over no line."""
    (one,) = matted(BOOK + mat(margin=margin)).pieces
    marks = _letter_marks(letter(number), Shape(one.piece.outline))
    piece = replace(one.piece, marks=marks)
    made = compile_piece(piece, load_material("card-200"), Tool.KNIFE, title="mat")
    assert [found.rule for found in made.findings if "text" in found.rule] == []
    drawn = [stroke for stroke in made.drawing.strokes if stroke.layer is Layer.MARK]
    assert (len(drawn) > 0) == (len(marks) > 0)
    assert all(stroke.side is Side.BACK for stroke in drawn if stroke.source == "letter")
