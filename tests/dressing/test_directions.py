"""This module tests which way is up on the panels of a card as it stands, by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Face
from foldwright.dressing.directions import pose_seen, up_on
from foldwright.dressing.mats import mats_of
from tests.dressing.matted import BOOK, STAGE, mat, matted, pose, proved, shipped

MATERIAL = '[stock.card]\nmaterial = "card-200"\n'
# With a mass, so that a card can be put up on its edges.
HEAVY_BOOK = BOOK.replace('name = "card"\n', 'name = "card"\nstock = "card"\n', 1) + MATERIAL
HEAVY_STAGE = STAGE.replace('name = "card"\n', 'name = "card"\nstock = "card"\n', 1) + MATERIAL


def ups(text: str, face: Face = Face.FRONT) -> tuple[float, float]:
    """Up on the two panels of a card."""
    seen = pose_seen(proved(text))
    assert seen is not None
    return up_on(seen, ("card", 0), face), up_on(seen, ("card", 1), face)


def test_all_arrows_of_the_step_card_point_to_its_top_while_it_is_flat() -> None:
    """Floors and treads lie, and up on them is away from the viewer; walls and fronts stand."""
    mats = mats_of(shipped("pier-house"))
    assert mats.seen_in == "standing"
    assert {one.up for one in mats.placed} == {90.0}


def test_without_a_pose_up_is_that_of_the_flat_sheet() -> None:
    mats = matted(STAGE + mat(up=90))
    assert [one.up for one in mats.placed] == [90, 90]
    (told,) = mats.problems
    assert told.rule == "print-seen-flat"
    assert matted(STAGE + mat()).problems == ()
    # The sheet as it is drawn, so that the print of the back is not turned over with it.
    assert [one.up for one in matted(STAGE + mat(up=30)).placed] == [30, 30]
    assert [one.up for one in matted(STAGE + mat(up=30, face="back")).placed] == [150, 150]
    assert [one.up for one in matted(STAGE + mat(up=0)).placed] == [0, 0]


def test_a_stage_seen_from_the_front_from_behind_and_from_the_side() -> None:
    floor = '["card/panel 1"]'
    front = STAGE + pose(90, "gutter", on=floor)
    assert ups(front) == (90, 90)
    # From behind the wall still stands, and the floor is read the other way round.
    assert ups(STAGE + pose(90, "gutter", on=floor, view=90)) == (270, 90)
    # From the right the floor is read from the right: up is to the left.
    assert ups(STAGE + pose(90, "gutter", on=floor, view=0)) == (180, 90)
    # As the back is seen, left and right have changed places.
    assert ups((STAGE + pose(90, "gutter", on=floor, view=0)), Face.BACK) == (0, 90)


def test_the_wall_of_a_stage_that_leans() -> None:
    floor = '["card/panel 1"]'
    # Half shut the wall leans over the floor to the viewer, by 45 degrees, and still rises.
    assert ups(STAGE + pose(135, "gutter", on=floor)) == (90, 90)
    # Nearly shut it is a roof that is looked down on: what lies up on it is its lower edge.
    assert ups(STAGE + pose(165, "gutter", on=floor)) == (90, 270)
    assert ups(STAGE + pose(180, "gutter", on=floor)) == (90, 270)
    # Nearly open it lies, and goes on from the floor.
    assert ups(STAGE + pose(5, "gutter", on=floor)) == (90, 90)


def test_a_book_on_its_lower_edge_and_a_tent() -> None:
    both = '["card/panel 1", "card/panel 2"]'
    # A book stands on its lower edges: the sheet is upright as it was drawn.
    assert ups(HEAVY_BOOK + pose(60, on=both)) == pytest.approx((90, 90))
    # A tent stands on its two outer edges, the gutter is its ridge: the lower half has the
    # ridge above it, and so has the upper one, which is drawn the other way up.
    tent = HEAVY_STAGE.replace('"valley"', '"mountain"') + pose(100, "gutter", on=both)
    first, second = ups(tent)
    assert (first, second) == pytest.approx((90, 270))


def test_an_angle_turns_the_print_as_the_face_is_seen() -> None:
    floor = '["card/panel 1"]'
    standing = pose(90, "gutter", on=floor, view=0)
    for face, turned in (("front", 1), ("back", -1)):
        plain = matted(STAGE + mat(face=face, up=90) + standing).placed
        slanted = matted(STAGE + mat(face=face, up=120) + standing).placed
        for one, other in zip(plain, slanted, strict=True):
            assert one.up is not None and other.up is not None
            assert (other.up - one.up) % 360 == pytest.approx(30 * turned % 360)


def test_print_that_lies_runs_along_the_sides_of_its_panel() -> None:
    # The viewer stands towards the left corner, at 240 degrees: the floor is read from the front.
    for view, floor in ((240, 90), (226, 90), (224, 0), (300, 90), (316, 180)):
        text = STAGE + pose(90, "gutter", on='["card/panel 1"]', view=view)
        assert ups(text) == (floor, 90)
    # The same sheet turned by the angle of a 3, 4, 5 triangle.
    slanted = (
        '[[piece]]\nname = "card"\noutline = { polygon = [[0, 0], [48, 36], [-24, 132], '
        '[-72, 96]] }\n[[piece.fold]]\nname = "gutter"\nsense = "valley"\n'
        "points = [[-36, 48], [12, 84]]\n"
    )
    first, second = ups(slanted + pose(90, "gutter", on='["card/panel 1"]'))
    assert first == pytest.approx(90 + math.degrees(math.atan2(3, 4)), abs=1e-5)
    assert second == pytest.approx(first, abs=1e-5)


def test_the_first_pose_counts_where_none_is_called_standing() -> None:
    text = STAGE + mat(up=90) + pose(180, "gutter", on='["card/panel 1"]')
    mats = matted(text.replace('"standing"', '"lying"'))
    assert mats.seen_in == "lying"
    assert [one.up for one in mats.placed] == [90, 270]


def test_print_runs_lengthwise_or_crosswise() -> None:
    (one,) = matted(BOOK + mat(margin=4, up=90)).pieces
    assert (one.width_mm, one.height_mm, one.way) == (52, 72, "lengthwise")
    (one,) = matted(BOOK + mat(margin=4, up=0)).pieces
    # Upright the print is as wide as the panel is high.
    assert (one.width_mm, one.height_mm, one.up, one.way) == (72, 52, 90, "crosswise")


@settings(deadline=None, max_examples=25)
@given(st.integers(0, 359), st.integers(20, 170))
def test_up_on_the_wall_never_points_down(view: int, hold: int) -> None:
    """Whoever looks on, up on a wall rises, or it is a roof that he looks down on."""
    seen = pose_seen(proved(STAGE + pose(hold, "gutter", on='["card/panel 1"]', view=view)))
    assert seen is not None
    degrees = math.radians(up_on(seen, ("card", 1), Face.FRONT))
    (_, _, _), (_, _, _), (a, b, _) = seen.pose.placed["card", 1].rows
    rise = a * math.cos(degrees) + b * math.sin(degrees)
    slope = abs(math.sin(math.radians(hold)))
    if slope > math.sin(math.radians(20.5)):
        assert rise == pytest.approx(slope, abs=1e-6)
    else:
        assert abs(rise) == pytest.approx(slope, abs=1e-6) or slope < math.sin(math.radians(10.1))
