"""Tests of dressing.card_set: every part of a card once, in the order in which it is made."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import pytest
import shapely

from foldwright.design import parse_design
from foldwright.design.pieces import Face, Form, Piece
from foldwright.dressing.back_marks import CLEAR_MM, LETTER_MM, marked_back, unmarked
from foldwright.dressing.card_set import CardSet, in_order, set_of
from foldwright.dressing.model import Kind, MadePiece
from foldwright.dressing.placement_marks import HIDDEN_MM, with_placement
from foldwright.dressing.sense_marks import PAST_A_MAT_MM, with_senses
from foldwright.dressing.spots import widest_spot
from foldwright.geometry import Path, Point, circle, point, polygon, union_box
from foldwright.geometry.moments import moments
from foldwright.geometry.offset_check import flattened
from foldwright.lettering import set_text
from foldwright.profiles.model import Tool
from foldwright.profiles.post_rules import shipped_services
from foldwright.proving import prove_design
from tests.dressing.matted import BOOK, HEAD, mat, proved, shipped


def made(
    letter: str,
    stock: str | None = "print",
    kind: Kind = Kind.MAT,
    size: tuple[float, float] = (40, 30),
    up: float | None = None,
) -> MadePiece:
    width, height = size
    corners = ((0, 0), (width, 0), (width, height), (0, height))
    return MadePiece(
        letter=letter,
        kind=kind,
        piece=Piece(name="part", outline=polygon(*(Point(x, y) for x, y in corners))),
        stock=stock,
        count=1,
        where=(),
        width_mm=width,
        height_mm=height,
        up=up,
    )


@pytest.fixture(scope="module")
def window() -> CardSet:
    return set_of(shipped("window-box"))


def test_every_part_of_the_card_is_there_once_in_the_order_of_making(window: CardSet) -> None:
    assert [(part.piece.name, part.kind, part.stock, part.count) for part in window.parts] == [
        ("base", Kind.BASE, "card", 1),
        # The frames inside and outside are one part.
        ("mat B", Kind.MAT, "floral", 2),
        ("mat C", Kind.MAT, "floral", 1),
        ("mat A", Kind.MAT, "plain", 1),
        ("envelope", Kind.ENVELOPE, "plain", 1),
    ]
    assert window.is_more_than_base
    assert window.post is None


def test_sizes_and_areas_are_those_of_the_panels_less_the_margin(window: CardSet) -> None:
    # Pages of 105 by 148 mm and a window of 45 by 45 mm, a margin of 4 mm all round.
    base, frame, outside, sheet, _ = window.parts
    assert (base.width_mm, base.height_mm) == (210, 148)
    for part in (frame, outside, sheet):
        assert (part.width_mm, part.height_mm) == (97, 140)
    areas = [
        moments(part.piece.outline).area
        - sum(moments(opening.path).area for opening in part.piece.openings)
        for part in (frame, outside, sheet)
    ]
    assert areas == pytest.approx([97 * 140 - 53 * 53, 97 * 140, 97 * 140])
    # A copy for each place, and no mat without a place.
    assert sum(part.count for part in window.parts if part.letter) == len(window.placed) == 4
    assert frame.where == ("base/window page", "base/window page")


def test_a_design_without_dressing_is_its_pieces() -> None:
    card = set_of(shipped("glued-box"))
    assert {part.kind for part in card.parts} == {Kind.BASE}
    assert not card.is_more_than_base
    assert card.findings_on(Kind) == ()


def test_stocks_as_the_design_lists_them_and_letters_past_z_last() -> None:
    parts = [
        made("AA"),
        made("B", "card"),
        made("Z"),
        made("C", None),
        made("", kind=Kind.ENVELOPE),
    ]
    ordered = in_order((), parts, ("card", "print"))
    assert [part.piece.name for part in ordered] == [
        "mat B",
        "mat Z",
        "mat AA",
        "mat C",
        "envelope",
    ]


def test_a_part_never_takes_the_name_of_a_piece_of_the_card() -> None:
    base = [made("", kind=Kind.BASE), made("", kind=Kind.BASE)]
    base = [
        replace(part, piece=replace(part.piece, name=name))
        for part, name in zip(base, ("Envelope", "mat a"), strict=True)
    ]
    ordered = in_order(base, [made("A"), made("", kind=Kind.ENVELOPE)], ())
    assert [part.piece.name for part in ordered[2:]] == ["mat A 2", "envelope 2"]


def test_a_thick_card_has_its_pieces_as_they_are_cut() -> None:
    proof = prove_design(parse_design(HEAD + BOOK), materials=("board-08",), tool=Tool.KNIFE)
    (part,) = set_of(proof).parts
    assert part.piece == proof.compiled_piece(proof.resolved.pieces[0])


def test_findings_go_with_the_parts_that_they_are_on() -> None:
    text = BOOK + mat(margin=3, up=90) + '[envelope]\nform = "standard"\nstandard = "DL"\n'
    card = set_of(proved(text))
    assert card.envelope is not None
    assert card.envelope.form is Form.STANDARD
    rules = {kind: [found.rule for found in card.findings_on((kind,))] for kind in Kind}
    assert rules[Kind.MAT] == ["print-seen-flat"]
    assert "envelope-for-a-flat-card" in rules[Kind.ENVELOPE]
    assert rules[Kind.BASE] == []


def test_the_post_is_asked_where_the_limits_name_a_service() -> None:
    services = shipped_services()
    name = services[0].name
    text = f'{BOOK}[envelope]\nform = "standard"\n[limits]\npost = ["{name}"]\n'
    proof = prove_design(parse_design(HEAD + text), materials=("card-200",))
    card = set_of(proof, services)
    assert card.post is not None
    assert len(card.post.answers) == len(services)
    assert set(card.post.findings) <= set(card.findings_on((Kind.ENVELOPE,)))


# Marks on the backs of mats.


def ink(piece: Piece) -> list[tuple[float, float, float, float]]:
    """The boxes of all texts and lines of a piece's marks; a text of the back is turned over."""
    boxes = []
    for mark in piece.marks:
        if mark.path is not None:
            boxes.append(mark.path.rounded().box())
        else:
            assert mark.text is not None
            assert mark.at is not None
            assert mark.height is not None
            set_ = set_text(
                mark.text, at=mark.at, height=mark.height, mirrored=mark.face is Face.BACK
            )
            boxes.append(union_box(path.rounded().box() for path in set_.strokes))
    return boxes


@pytest.mark.parametrize("size", [(40, 30), (12, 90), (9, 9), (97, 140)])
@pytest.mark.parametrize("up", [None, 90.0, 72.0, 135.0, 45.0])
@pytest.mark.parametrize("letter", ["A", "W", "AB"])
def test_letter_and_arrow_keep_clear_of_the_edges(
    letter: str, size: tuple[float, float], up: float | None
) -> None:
    piece, has_room = marked_back(made(letter, size=size, up=up))
    if not has_room:
        assert min(size) < 15
        assert piece.marks == ()
        return
    assert {mark.face for mark in piece.marks} == {Face.BACK}
    left, bottom, right, top = union_box(ink(piece))
    assert min(left, bottom) >= CLEAR_MM - 1e-6
    assert right <= size[0] - CLEAR_MM + 1e-6
    assert top <= size[1] - CLEAR_MM + 1e-6
    heights = [mark.height for mark in piece.marks if mark.height is not None]
    assert max(map(float, heights)) <= LETTER_MM


@pytest.mark.parametrize("up", [90.0, 72.0, 135.0])
def test_the_arrow_points_where_the_print_goes_up(up: float) -> None:
    piece, _ = marked_back(made("A", up=up))
    (shaft,) = (mark.path for mark in piece.marks if mark.name == "up")
    assert shaft is not None
    (x0, y0), (x1, y1) = shaft.start.floats(), shaft.end.floats()
    assert math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(up)
    # Its head is at the end of it.
    (head,) = (mark.path for mark in piece.marks if mark.name == "up, its head")
    assert head is not None
    assert head.vertices[1].at == shaft.end


def test_a_letter_is_drawn_once_and_only_where_asked(window: CardSet) -> None:
    frame = window.parts[1]
    assert unmarked(frame).marks == ()
    piece, _ = marked_back(frame)
    assert [mark.text for mark in piece.marks if mark.text] == ["B"]


# Where mats go.


def test_outlines_lie_a_millimetre_inside_their_mats_on_the_face_of_each() -> None:
    proof = shipped("window-box")
    card = set_of(proof)
    piece = with_placement(card.parts[0].piece, card.placed, proof)
    rings = {
        (mark.face, mark.name): mark.path.rounded().box()
        for mark in piece.marks
        if mark.path is not None
    }
    at = 4 + HIDDEN_MM
    back_page = (at, at, 105 - at, 148 - at)
    for face, name in ((Face.FRONT, "place 1 of A"), (Face.BACK, "place 3 of C")):
        assert rings[face, name] == pytest.approx(back_page)
    letters = [(mark.face, mark.text) for mark in piece.marks if mark.text]
    assert letters == [
        (Face.FRONT, "A"), (Face.FRONT, "B"), (Face.BACK, "C"), (Face.BACK, "B")
    ]  # fmt: skip


def test_letters_of_mats_on_mats_lie_beside_each_other() -> None:
    """A sheet on a sheet on a page: all three letters can be read, and no text lies on another."""
    layers = "".join(mat(margin=margin, panels=["panel 1"]) for margin in (3, 6, 9))
    proof = proved(BOOK + layers.replace("'", '"'))
    card = set_of(proof)
    marked = with_placement(card.parts[0].piece, card.placed, proof)
    boxes = [box for box, mark in zip(ink(marked), marked.marks, strict=True) if mark.text]
    assert len(boxes) == 3
    assert not any(_overlap(*pair) for pair in combinations(boxes, 2))


def test_the_outline_goes_round_a_window_too() -> None:
    proof = shipped("window-box")
    card = set_of(proof)
    piece = with_placement(card.parts[0].piece, card.placed, proof)
    inner = [
        mark.path.rounded().box()
        for mark in piece.marks
        if mark.path is not None and mark.name == "place 2 of B"
    ]
    # The window at (135, 60) is 45 mm wide; 4 mm of margin and 1 mm more lie round it.
    assert (130.0, 55.0, 185.0, 110.0) in [tuple(round(x, 6) for x in box) for box in inner]


def test_marks_follow_panels_that_were_moved_for_the_plies() -> None:
    proof = prove_design(
        parse_design(HEAD + BOOK + mat(margin=3)), materials=("board-08",), tool=Tool.KNIFE
    )
    card = set_of(proof)
    cut = card.parts[0].piece
    assert cut != proof.resolved.pieces[0]
    marked = with_placement(cut, card.placed, proof)
    width = cut.outline.rounded().box()[2] - cut.outline.rounded().box()[0]
    boxes = [mark.path.rounded().box() for mark in marked.marks if mark.path is not None]
    fold = cut.folds[0].path.start.floats()[0]
    left, right = sorted(boxes)
    # Both outlines lie in the middle of their pages as these are cut.
    assert (left[0] + left[2]) / 2.0 == pytest.approx(fold / 2.0, abs=1e-6)
    assert (right[0] + right[2]) / 2.0 == pytest.approx((fold + width) / 2.0, abs=1e-6)


# Senses of folds.


def test_a_letter_beside_each_fold_tells_its_sense() -> None:
    proof = shipped("harbour-steps")
    piece, found = with_senses(proof.resolved.pieces[0])
    assert found == ()
    told = [(mark.name, mark.text) for mark in piece.marks]
    words = {"valley": "V", "mountain": "M"}
    assert told == [
        (f"sense of {fold.name}", words[str(fold.senses[0])])
        for fold in proof.resolved.pieces[0].folds
    ]


def distance(box: tuple[float, float, float, float], path: Path) -> float:
    chords = flattened(path.rounded())
    line = shapely.LineString([*chords, chords[0]] if path.closed else chords)
    return float(shapely.box(*box).distance(line))


@pytest.mark.parametrize("name", ["harbour-steps", "square-twist", "glued-box", "pier-house"])
def test_letters_keep_a_millimetre_from_folds_and_cuts(name: str) -> None:
    """Held against the distances that shapely finds."""
    proof = shipped(name)
    for plain in proof.resolved.pieces:
        piece, _ = with_senses(plain)
        lines = [fold.path for fold in plain.folds] + [slit.path for slit in plain.slits]
        lines += [opening.path for opening in plain.openings] + [plain.outline]
        new = ink(piece)[len(plain.marks) :]
        assert all(distance(box, line) >= CLEAR_MM - 1e-6 for box in new for line in lines)
        assert not any(_overlap(*pair) for pair in combinations(new, 2))


def _overlap(
    one: tuple[float, float, float, float], other: tuple[float, float, float, float]
) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def test_folds_too_close_together_are_told() -> None:
    text = (
        '[[piece]]\nname = "card"\noutline = { rectangle = [60, 80] }\n'
        '[[piece.band]]\nname = "pleat"\nfrom = [0, 40]\nto = [60, 40]\n'
        'walk = [1.5, 1.5, 1.5, 1.5]\nsense = "alternate"\nfirst = "valley"\n'
    )
    piece, found = with_senses(proved(text).resolved.pieces[0])
    (note,) = found
    assert note.rule == "sense-no-room"
    assert '"pleat 2"' in note.message
    # The outer ones have room on their outer sides.
    assert sorted(mark.name for mark in piece.marks) == ["sense of pleat 1", "sense of pleat 5"]


def test_still_folds_and_arcs_have_no_sense_to_tell() -> None:
    text = (
        '[[piece]]\nname = "card"\noutline = { rectangle = [60, 80] }\n'
        '[[piece.fold]]\nname = "ray"\nsense = "valley"\nstill = true\n'
        "points = [[0, 40], [60, 40]]\n"
    )
    piece = proved(text).resolved.pieces[0]
    assert with_senses(piece) == (piece, ())


# The widest spot.


def test_the_widest_spot_of_plain_shapes() -> None:
    corners = ((0, 0), (90, 0), (90, 30), (0, 30))
    oblong = polygon(*(point(*at) for at in corners))
    # Anywhere along it the circle is as large; the middle is taken.
    assert widest_spot(oblong) == ((45.0, 15.0), 15.0)
    # A hole of radius 10 in the middle leaves as much room on either side of it.
    (x, y), radius = widest_spot(oblong, [circle(point(45, 15), 10)])
    assert radius == pytest.approx(15.0, abs=3e-3)
    assert y == pytest.approx(15.0, abs=3e-3)
    assert 15.0 - 3e-3 <= min(x, 90.0 - x) <= 20.0 + 3e-3


def test_a_letter_goes_past_the_edge_of_a_mat_that_leaves_it_no_room() -> None:
    """Between a fold and the line for a mat 2 mm from it there is no room for a letter of 2 mm."""
    line = "[[piece.mark]]\npoints = [[2, {0}], [58, {0}]]\n"
    text = (
        '[[piece]]\nname = "card"\noutline = { rectangle = [60, 80] }\n'
        '[[piece.fold]]\nname = "ridge"\nsense = "mountain"\npoints = [[0, 40], [60, 40]]\n'
    )
    piece, found = with_senses(proved(text + line.format(37) + line.format(43)).resolved.pieces[0])
    assert found == ()
    _, bottom, _, top = ink(piece)[-1]
    assert top - bottom == pytest.approx(3.0)
    assert bottom - 40 == pytest.approx(PAST_A_MAT_MM, abs=0.02)
    # Where the next fold is as near it would be taken for that one's, and is left out.
    close = text + line.format(37) + line.format(43)
    for place in (35, 45):
        close += (
            f'[[piece.fold]]\nname = "at {place}"\nsense = "valley"\n'
            f"points = [[0, {place}], [60, {place}]]\n"
        )
    _, (note,) = with_senses(proved(close).resolved.pieces[0])
    assert '"ridge"' in note.message
    assert "at 35" not in note.message
