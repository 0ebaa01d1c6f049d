"""Edges that rest on faces with nothing to hold them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Face, Joint, JointEnd, Piece
from foldwright.folding.motion import STILL, Motion
from foldwright.geometry import Point, circle
from foldwright.panels import assemble, divide
from foldwright.stacking import Contact, clashes, contacts
from tests.folding.folded_samples import assembled, fold, rectangle
from tests.stacking.placed import A, B, box, folded, loose, motion, ring, square


def only(found: tuple[Contact, ...]) -> Contact:
    assert len(found) == 1
    return found[0]


@pytest.mark.parametrize("degrees", [10.0, 90.0, 150.0])
@pytest.mark.parametrize("above", [0.0, 1e-9, -1e-9, 0.9e-3])
def test_a_panel_that_stands_on_another_touches_it_along_its_foot(
    degrees: float, above: float
) -> None:
    assembly = loose(square(100), box(40, 30))
    placed = {A: STILL, B: motion((1, 0, 0), degrees, (30, 50, above))}
    contact = only(contacts(assembly, placed))
    assert (contact.edge, contact.face) == (B, A)
    assert contact.start == pytest.approx((30, 50, 0), abs=1e-6)
    assert contact.end == pytest.approx((70, 50, 0), abs=1e-6)
    assert clashes(assembly, placed) == ()


def test_one_that_hovers_or_sinks_in_does_not() -> None:
    assembly = loose(square(100), box(40, 30))
    for above in (1.1e-3, -1.1e-3, 5.0, -5.0):
        assert contacts(assembly, {A: STILL, B: motion((1, 0, 0), 90, (30, 50, above))}) == ()


def test_one_that_stands_on_a_corner_does_not() -> None:
    assembly = loose(square(100), ring(((0, 0), (30, 10), (0, 30))))
    for tilt in (90.0, 40.0):
        placed = {A: STILL, B: motion((1, 0, 0), tilt, (30, 50, 0))}
        assert contacts(assembly, placed) == ()
    # A round panel that rolls on the floor touches it at one place only.
    assembly = loose(square(100), circle(Point(0.0, 0.0), 20.0))
    assert contacts(assembly, {A: STILL, B: motion((1, 0, 0), 90, (50, 50, 20))}) == ()


def test_only_what_lies_inside_the_face_counts() -> None:
    """Half over the rim, over a hole, along the rim."""
    frame = (square(100), square(40, 30, 30))
    assembly = loose(frame, box(80, 30))
    half = only(contacts(assembly, {A: STILL, B: motion((1, 0, 0), 90, (60, 10, 0))}))
    assert half.start == pytest.approx((60, 10, 0), abs=1e-6)
    assert half.end == pytest.approx((100, 10, 0), abs=1e-6)
    first, second = contacts(assembly, {A: STILL, B: motion((1, 0, 0), 90, (10, 50, 0))})
    assert (first.start[0], first.end[0]) == pytest.approx((10, 30), abs=1e-6)
    assert (second.start[0], second.end[0]) == pytest.approx((70, 90), abs=1e-6)
    for rim in (0.0, 30.0, 70.0, 100.0):
        along_the_hole = box(40, 30)
        placed = {A: STILL, B: motion((1, 0, 0), 90, (30, rim, 0))}
        assert contacts(loose(frame, along_the_hole), placed) == ()


def test_panels_that_lie_flat_on_each_other_are_not_meant() -> None:
    assembly = loose(square(100), square(40))
    assert contacts(assembly, {A: STILL, B: motion(shift=(30, 30, 0))}) == ()
    assert contacts(assembly, {A: STILL, B: motion((1, 0, 0), 180, (30, 70, 1e-9))}) == ()


def test_an_edge_that_a_fold_holds_is_no_contact() -> None:
    assembly = assembled(
        Piece(name="a", outline=rectangle(100, 60), folds=(fold("gutter", (50, 0), (50, 60)),))
    )
    for degrees in (0.0, 30.0, 90.0, 180.0):
        assert contacts(assembly, folded(assembly, {"gutter": degrees})) == ()


def test_a_ridge_rests_with_both_its_panels() -> None:
    """A tent upside down on a floor: the edges of both its halves touch it."""
    tent = Piece(name="a", outline=rectangle(60, 40), folds=(fold("ridge", (30, 0), (30, 40)),))
    assembly = assembled(tent, Piece(name="b", outline=rectangle(200, 200)))
    placed = folded(assembly, {"ridge": 60.0})
    # Turned so that both halves rise by 30 degrees from the ridge.
    level = motion((0, 1, 0), 30)
    ridge = level.apply(Point(30.0, 0.0))
    put = Motion(level.rows, (80 - ridge[0], 50 - ridge[1], -ridge[2]))
    found = contacts(
        assembly, {**{key: put @ moved for key, moved in placed.items()}, ("b", 0): STILL}
    )
    assert [(contact.edge, contact.face) for contact in found] == [
        (("a", 0), ("b", 0)),
        (("a", 1), ("b", 0)),
    ]
    for contact in found:
        assert sorted((contact.start[1], contact.end[1])) == pytest.approx([50, 90], abs=1e-6)


def test_an_edge_that_stands_on_its_glued_foot_is_no_contact() -> None:
    """A wall with a foot folded out, glued to a base; a second wall merely stands on it."""
    wall = Piece(name="a", outline=rectangle(40, 50), folds=(fold("foot", (0, 10), (40, 10)),))
    base = Piece(name="b", outline=rectangle(100, 100))
    divisions = {piece.name: divide(piece) for piece in (wall, base)}
    foot = divisions["a"].panels[0]
    joint = Joint(
        name="glue",
        glue=JointEnd(
            piece="a",
            panel=foot.name,
            face=Face.BACK,
            start=Point(0.0, 2.0),
            end=Point(40.0, 2.0),
        ),
        to=JointEnd(
            piece="b",
            panel=divisions["b"].panels[0].name,
            face=Face.FRONT,
            start=Point(30.0, 42.0),
            end=Point(70.0, 42.0),
        ),
        slack=0.0,
    )
    glued, unglued = assemble(divisions, (joint,)), assemble(divisions, ())
    put = motion(shift=(30, 40, 0))
    placed = {
        **{key: put @ moved for key, moved in folded(unglued, {"foot": 90.0}).items()},
        ("b", 0): STILL,
    }
    assert contacts(glued, placed) == ()
    contact = only(contacts(unglued, placed))
    assert (contact.edge, contact.face) == (("a", 1), ("b", 0))


@given(
    degrees=st.floats(2, 178),
    turn=st.floats(-180, 180),
    axis=st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda axis: math.hypot(*axis) > 0.1),
    shift=st.tuples(*[st.floats(-300, 300)] * 3),
)
def test_contacts_move_with_the_panels(
    degrees: float,
    turn: float,
    axis: tuple[float, float, float],
    shift: tuple[float, float, float],
) -> None:
    assembly = loose(box(40, 30), square(100))
    moved = motion(axis, turn, shift)
    stands = motion((1, 0, 0), degrees, (80, 50, 0))
    contact = only(contacts(assembly, {A: moved @ stands, B: moved}))
    assert (contact.edge, contact.face) == (A, B)
    assert contact.start == pytest.approx(moved.apply3((80, 50, 0)), abs=1e-6)
    assert contact.end == pytest.approx(moved.apply3((100, 50, 0)), abs=1e-6)
