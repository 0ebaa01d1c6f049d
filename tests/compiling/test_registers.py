"""Tests of compiling.registers: angles for trimmed blanks, crosses for sheets that are turned."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from foldwright.compiling import TurnAbout
from foldwright.design.pieces import Sense
from foldwright.drawing import Drawing, Layer, Role, Side, Stroke, Work
from foldwright.geometry import circle, point, polygon
from foldwright.problems import Severity
from foldwright.profiles.machine import Corner, Lies, Machine, Rim
from foldwright.profiles.model import Tool
from tests.compiling.conftest import Build
from tests.compiling.faces import f_part, fold, from_the_back, places, shown, spot, told

BENCH = Machine(name="bench", width=300.0, height=200.0)


def registers(drawing: Drawing, side: Side | None = None) -> list[Stroke]:
    return [s for s in drawing.strokes if s.role is Role.REGISTER and side in (None, s.side)]


def angle(drawing: Drawing, side: Side | None = None) -> list[tuple[float, float]]:
    """The vertices of the one angle, its level leg first."""
    (found,) = registers(drawing, side)
    assert (found.layer, found.work, found.source) == (Layer.MARK, Work.DRAWN, "corner")
    ends = [shown(vertex.at.floats()) for vertex in found.path.vertices]
    return ends if ends[0][1] == ends[1][1] else ends[::-1]


def creased(build: Any, **parts: Any) -> Any:
    """A card of 100 by 60 mm with a fold across it."""
    return build.piece(folds=(build.fold("fold 1", (0, 45), (100, 45)),), **parts)


# Blanks that are trimmed by hand.


def test_a_trimmed_blank_has_an_angle_at_its_lower_left_corner(build: Any) -> None:
    compiled = build.compiled(creased(build), build.way(kerf=0.2), pretrimmed=True)
    assert angle(compiled.drawing) == [(20.0, 0.0), (0.0, 0.0), (0.0, 20.0)]
    assert [(p.rule, p.severity) for p in told(compiled)] == [("corner-register", Severity.NOTE)]
    assert told(compiled)[0].message == (
        'the mark layer of piece "card" starts with a register for the lower left corner of its '
        "blank"
    )


def test_it_is_drawn_before_all_else(build: Any) -> None:
    strokes = build.compiled(build.step_card(), build.way(perforation=(2.0, 1.0)), pretrimmed=True)
    roles = [s.role for s in strokes.drawing.strokes]
    assert roles[:2] == [Role.REGISTER, Role.MARK]
    assert roles.count(Role.REGISTER) == 1


def test_a_short_edge_has_a_short_leg(build: Any) -> None:
    """Of a blank of 12 by 60 mm."""
    piece = build.piece(
        outline=build.rectangle(0, 0, 12, 60), folds=(build.fold("fold 1", (0, 45), (12, 45)),)
    )
    drawing = build.compiled(piece, build.way(), pretrimmed=True).drawing
    assert angle(drawing) == [(12.0, 0.0), (0.0, 0.0), (0.0, 20.0)]


def test_behind_a_cut_corner_the_legs_run_on_along_the_edges(build: Any) -> None:
    """The corner is cut off 15 mm along the foot and 6 mm up the side."""
    outline = polygon(*(point(*at) for at in ((15, 0), (100, 0), (100, 60), (0, 60), (0, 6))))
    compiled = build.compiled(creased(build, outline=outline), build.way(), pretrimmed=True)
    assert angle(compiled.drawing) == [(35.0, 0.0), (0.0, 0.0), (0.0, 26.0)]
    assert [p.rule for p in told(compiled)] == ["corner-register"]


def test_a_round_blank_is_told_that_it_may_turn(build: Any) -> None:
    outline = circle(point(50, 50), Fraction(50))
    piece = build.piece(outline=outline, folds=(build.fold("fold 1", (0, 50), (100, 50)),))
    compiled = build.compiled(piece, build.way(), pretrimmed=True)
    assert [(p.rule, p.severity) for p in told(compiled)] == [
        ("corner-register", Severity.NOTE),
        ("register-holds-little", Severity.WARN),
    ]
    # The legs reach past the places where the disc touches them.
    assert angle(compiled.drawing) == [(100.0, 0.0), (0.0, 0.0), (0.0, 100.0)]


@pytest.mark.parametrize(
    ("tool", "angle_on", "crosses"),
    [
        (Tool.HAND, "draw it on the cutting mat;", "prick the middles of the crosses through"),
        (Tool.KNIFE, "draw it on the carrier", "draw the crosses of the front on the carrier"),
        (Tool.LASER, "draw it on the carrier", "draw the crosses of the front on the carrier"),
    ],
)
def test_a_hand_has_a_mat_and_a_pin_and_no_carrier(
    build: Any, tool: Tool, angle_on: str, crosses: str
) -> None:
    trimmed = build.compiled(creased(build), build.way(tool=tool), pretrimmed=True)
    assert told(trimmed)[0].mend.startswith(angle_on)
    assert told(trimmed)[0].place.line == 3
    turned = build.compiled(f_part(), from_the_back(build.way(tool=tool)))
    (second,) = told(turned)
    assert second.mend.startswith(crosses)


# The rim is as wide at one edge as at no other; the job stands in the corner inside it.
ANGLES = {
    Corner.LOWER_LEFT: [(27.0, 5.0), (7.0, 5.0), (7.0, 25.0)],
    Corner.LOWER_RIGHT: [(277.0, 5.0), (297.0, 5.0), (297.0, 25.0)],
    Corner.UPPER_LEFT: [(27.0, 196.0), (7.0, 196.0), (7.0, 176.0)],
    Corner.UPPER_RIGHT: [(277.0, 196.0), (297.0, 196.0), (297.0, 176.0)],
}


@pytest.mark.parametrize("corner", Corner)
def test_on_a_machine_it_lies_at_the_corner_of_the_origin(build: Any, corner: Corner) -> None:
    machine = replace(BENCH, rim=Rim(left=7, right=3, bottom=5, top=4), origin=corner)
    compiled = build.compiled(creased(build), build.way(), pretrimmed=True, machine=machine)
    assert angle(compiled.drawing) == ANGLES[corner]
    assert f"the {corner} corner" in told(compiled)[0].message


@pytest.mark.parametrize("corner", Corner)
def test_face_down_it_lies_there_too(build: Any, corner: Corner) -> None:
    machine = replace(
        BENCH, rim=Rim(left=7, right=3, bottom=5, top=4), origin=corner, face=Lies.DOWN
    )
    drawing = build.compiled(creased(build), build.way(), pretrimmed=True, machine=machine).drawing
    assert angle(drawing, Side.BACK) == ANGLES[corner]


def test_a_blank_that_needs_the_rim_has_no_register_and_is_told(build: Any) -> None:
    machine = replace(BENCH, width=100.0, height=60.0, rim=Rim(bottom=5))
    compiled = build.compiled(creased(build), build.way(), pretrimmed=True, machine=machine)
    assert registers(compiled.drawing) == []
    assert [(p.rule, p.severity) for p in told(compiled)] == [
        ("register-in-the-rim", Severity.NOTE)
    ]
    assert told(compiled)[0].mend == (
        "lay its lower left corner exactly into the lower left corner of the work area"
    )


def test_a_blank_without_a_line_has_no_register(build: Any) -> None:
    assert registers(build.compiled(build.piece(), build.way(), pretrimmed=True).drawing) == []


@pytest.mark.parametrize(
    ("edge", "back"),
    [
        ("left", [(30.0, 0.0), (40.0, 0.0), (40.0, 20.0)]),
        ("right", [(30.0, 0.0), (40.0, 0.0), (40.0, 20.0)]),
        ("bottom", [(10.0, 60.0), (0.0, 60.0), (0.0, 40.0)]),
        ("top", [(10.0, 60.0), (0.0, 60.0), (0.0, 40.0)]),
    ],
)
def test_both_faces_of_a_trimmed_blank_keep_to_the_same_corner(
    build: Any, edge: str, back: list[tuple[float, float]]
) -> None:
    """So that a blank that is a little too large or too small does not move the lines apart.

    The foot of the F is 10 mm wide, so that is where its lower leg ends.
    """
    compiled = build.compiled(
        f_part(), from_the_back(build.way()), pretrimmed=True, turn_about=TurnAbout(edge)
    )
    drawing = compiled.drawing
    assert (drawing.width, drawing.height) == (40.0, 60.0)
    assert angle(drawing, Side.FRONT) == [(10.0, 0.0), (0.0, 0.0), (0.0, 20.0)]
    assert angle(drawing, Side.BACK) == back
    assert [p.rule for p in told(compiled)] == ["corner-register", "second-face"]
    assert told(compiled)[1].mend == (
        "lay the same corner of the blank into the register of each file"
    )
    assert "cuts it out" not in told(compiled)[1].message


# Sheets that are turned over.


def middles(strokes: list[Stroke]) -> set[tuple[float, float]]:
    """The middles of crosses, each of which two strokes of 4 mm make at right angles."""
    found: dict[tuple[float, float], list[Stroke]] = {}
    for stroke in strokes:
        (segment,) = stroke.path.segments
        assert segment.length == pytest.approx(4.0)
        found.setdefault(shown(segment.middle.floats()), []).append(stroke)
    for one, other in found.values():
        first, second = one.path.segments[0], other.path.segments[0]
        assert float(first.direction(0).dot(second.direction(0))) == pytest.approx(0.0)
    return set(found)


def test_crosses_are_pierced_where_the_sheet_is_worked_first_and_drawn_on_the_other(
    build: Any,
) -> None:
    """Their middles stand 6 mm beside a part of 40 by 60 mm, 2 mm from its foot and its head.

    At its left are two, 48 mm apart, 80 % of its height.
    """
    drawing = build.compiled(f_part(), from_the_back(build.way())).drawing
    front, back = registers(drawing, Side.FRONT), registers(drawing, Side.BACK)
    assert {(s.layer, s.work) for s in front} == {(Layer.MARK, Work.DRAWN)}
    assert {(s.layer, s.work) for s in back} == {(Layer.CUT, Work.THROUGH)}
    assert middles(front) == {(2.0, 2.0), (2.0, 50.0), (54.0, 58.0)}
    assert middles(back) == {(54.0, 2.0), (54.0, 50.0), (2.0, 58.0)}
    assert drawing.extent == (0.0, 0.0, 56.0, 60.0)


def test_beside_a_wide_piece_two_crosses_stand_above_it(build: Any) -> None:
    piece = creased(build)
    drawing = build.compiled(piece, from_the_back(build.way())).drawing
    assert middles(registers(drawing, Side.FRONT)) == {(2.0, 66.0), (82.0, 66.0), (106.0, 2.0)}
    assert (drawing.width, drawing.height) == (108.0, 68.0)


def test_crosses_stand_clear_of_a_wide_kerf(build: Any) -> None:
    drawing = build.compiled(f_part(), from_the_back(build.way(kerf=2.0))).drawing
    outline = next(s for s in drawing.strokes if s.role is Role.OUTLINE).path.box()
    assert len(registers(drawing, Side.FRONT)) == 6
    for one in registers(drawing, Side.FRONT):
        left, _, right, _ = one.path.box()
        assert right <= outline[0] - 4.0 + 1e-9 or left >= outline[2] + 4.0 - 1e-9
    assert drawing.box()[0] == pytest.approx(0.0)


def test_one_face_needs_no_crosses(build: Any) -> None:
    compiled = build.compiled(f_part(), build.way())
    assert registers(compiled.drawing) == []
    assert told(compiled) == []
    assert compiled.drawing.width == 40.0


def test_mountains_alone_need_no_second_face(build: Any) -> None:
    piece = replace(f_part(), folds=(f_part().folds[2],))
    compiled = build.compiled(piece, from_the_back(build.way()))
    assert compiled.drawing.sides == (Side.FRONT,)
    assert told(compiled) == []


@given(st.integers(1, 3000), st.integers(1, 3000), st.floats(0.0, 2.0), st.sampled_from(TurnAbout))
@example(2, 1, 1.0, TurnAbout.LEFT)
@example(15, 1, 0.0, TurnAbout.LEFT)
@example(8, 8, 0.0, TurnAbout.TOP)
def test_no_two_crosses_are_as_far_apart_as_two_others(
    width: int, height: int, kerf: float, edge: TurnAbout
) -> None:
    """Three places match in one way only, mirrored or turned, if their distances all differ."""
    build = Build()
    piece = build.piece(
        outline=build.rectangle(0, 0, width, height),
        folds=(fold("fold 1", Sense.VALLEY, spot(0, 0), spot(width, height)),),
    )
    drawing = build.compiled(piece, from_the_back(build.way(kerf=kerf)), turn_about=edge).drawing
    found = sorted(middles(registers(drawing, Side.FRONT)))
    assert len(found) == 3
    sides = sorted(
        ((a[0] - b[0]) ** 2 + (a[1] - b[1]) ** 2) ** 0.5 for a, b in combinations(found, 2)
    )
    # Half a line of a cross is what an eye tells apart at once.
    assert min(sides[1] - sides[0], sides[2] - sides[1]) > 1.0
    # The crosses stand clear of each other.
    assert sides[0] > 5.0
    assert {s.side for s in registers(drawing)} == set(Side)


def test_what_is_told_of_the_second_face(build: Any) -> None:
    (found,) = told(build.compiled(f_part(), from_the_back(build.way())))
    assert (found.rule, found.severity, found.measure_mm) == ("second-face", Severity.NOTE, 0.5)
    assert (found.place.line, found.piece) == (3, "card")
    assert found.message == (
        '2 folds of piece "card" to be worked from the back: work the file of the back first, '
        "turn the sheet about its left edge, then work the file of the front, which cuts it out "
        "as well; lines of the back may lie up to 0.5 mm off (card.toml:7, estimate, by eye)"
    )
    assert found.mend == (
        "draw the crosses of the front on the carrier first, then lay the pierced ones on them"
    )


def test_on_a_machine_it_is_told_in_which_corner_the_sheet_lies_first(build: Any) -> None:
    corners = {}
    for edge in TurnAbout:
        (found,) = told(
            build.compiled(f_part(), from_the_back(build.way()), machine=BENCH, turn_about=edge)
        )
        corners[edge] = found.message.partition("with the sheet in the ")[2].partition(" corner")[0]
    assert corners == {
        "left": "lower right", "right": "lower right", "bottom": "upper left", "top": "upper left",
    }  # fmt: skip


def test_registration_that_nobody_gave_is_told(build: Any) -> None:
    way = from_the_back(build.way())
    assert way.score is not None
    way = replace(way, score=replace(way.score, registration=None))
    (found,) = told(build.compiled(f_part(), way))
    assert found.measure_mm is None
    assert "nobody has said how far off lines of the back may lie" in found.message


def test_crosses_and_bars_stay_apart(build: Any) -> None:
    drawing = build.compiled(f_part(), from_the_back(build.way()), size_bar=True).drawing
    # The bars reach 50.8 mm to the right of the part, the crosses 8 mm.
    assert (drawing.width, drawing.height) == (8 + 50.8, 60.0 + 16.0)
    bars = [s.path.box() for s in drawing.strokes if s.role is Role.SIZE_BAR]
    for one in registers(drawing, Side.FRONT):
        assert one.path.box()[1] >= max(box[3] for box in bars) + 5.0 - 1e-9


def test_bars_of_a_job_face_down_are_of_its_file(build: Any) -> None:
    machine = replace(BENCH, face=Lies.DOWN)
    drawing = build.compiled(f_part(), build.way(), size_bar=True, machine=machine).drawing
    assert drawing.sides == (Side.BACK,)
    assert len(places(s for s in drawing.strokes if s.role is Role.SIZE_BAR)) > 2
