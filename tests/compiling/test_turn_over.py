"""Tests of compiling.turn_over: what is worked from the back is drawn as the machine sees it."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path as FilePath
from typing import Any

import pytest
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.filemanagement import readfile
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling import TurnAbout
from foldwright.design.pieces import Piece, Sense
from foldwright.drawing import Layer, Role, Side, Work
from foldwright.geometry import point, polygon
from foldwright.geometry.mirroring import mirrored
from foldwright.profiles.machine import Lies, Machine, Rim
from foldwright.writers import WriteOptions, write_files
from tests.compiling.conftest import Build
from tests.compiling.faces import ends, f_part, fold, from_the_back, places, shown, spot, the, told

# Crosses stand 8 mm beside the part at either side, so its page is 56 by 60 mm
# and the part lies 8 mm to the right.
FOOT = {
    "left": {(48.0, 10.0), (38.0, 10.0)},
    "right": {(48.0, 10.0), (38.0, 10.0)},
    "bottom": {(8.0, 50.0), (18.0, 50.0)},
    "top": {(8.0, 50.0), (18.0, 50.0)},
}
BOW_TOP = {
    "left": (43.0, 28.0),
    "right": (43.0, 28.0),
    "bottom": (13.0, 32.0),
    "top": (13.0, 32.0),
}


@pytest.mark.parametrize("edge", TurnAbout)
def test_the_back_is_mirrored_within_the_page(build: Any, edge: TurnAbout) -> None:
    drawing = build.compiled(f_part(), from_the_back(build.way()), turn_about=edge).drawing
    assert (drawing.width, drawing.height) == (56.0, 60.0)
    assert ends(the(drawing, "foot")) == FOOT[edge]
    bow = the(drawing, "bow")
    assert shown(bow.path.segments[0].middle.floats()) == BOW_TOP[edge]
    assert bow.path.segments[0].radius == pytest.approx(3.0)
    assert {bow.side, the(drawing, "foot").side} == {Side.BACK}
    # The front stays as it was drawn.
    assert ends(the(drawing, "head")) == {(8.0, 52.0), (48.0, 52.0)}
    assert the(drawing, "outline").path.vertices[3].at.floats() == (33.0, 20.0)
    assert {the(drawing, "head").side, the(drawing, "outline").side} == {Side.FRONT}


def test_without_a_second_face_the_edge_changes_nothing(build: Any) -> None:
    drawings = [
        build.compiled(f_part(), build.way(), turn_about=edge).drawing for edge in TurnAbout
    ]
    assert drawings[0].sides == (Side.FRONT,)
    assert all(drawing == drawings[0] for drawing in drawings)


def test_the_back_is_worked_first_from_its_own_lower_left_corner(build: Any) -> None:
    """In the file of the back the foot starts at its left end: in front that is the right one."""
    way = from_the_back(build.way())
    strokes = build.compiled(f_part(), way).drawing.strokes
    assert [s.source for s in strokes if s.role is Role.FOLD] == ["foot", "bow", "head"]
    sides = [s.side for s in strokes]
    assert sides == sorted(sides, key=[Side.BACK, Side.FRONT].index)
    foot = the(build.compiled(f_part(), way).drawing, "foot")
    assert foot.path.start.floats() == (38.0, 10.0)
    # What is cut out is cut last.
    assert strokes[-1].source == "outline"


BENCH = Machine(name="bench", width=100.0, height=90.0, rim=Rim(left=5, bottom=7))


@pytest.mark.parametrize("edge", TurnAbout)
def test_face_down_is_the_mirror_of_face_up(build: Any, edge: TurnAbout) -> None:
    """Both lie at (5, 7), inside the rim; x runs from 5 to 45, y from 7 to 67."""
    up = build.compiled(f_part(), build.way(), machine=BENCH, turn_about=edge).drawing
    down = build.compiled(
        f_part(), build.way(), machine=replace(BENCH, face=Lies.DOWN), turn_about=edge
    ).drawing
    assert (up.sides, down.sides) == ((Side.FRONT,), (Side.BACK,))
    twice = 5 + 45 if edge.is_upright else 7 + 67
    turned = [
        replace(s, path=mirrored(s.path, upright=edge.is_upright, twice=twice)) for s in up.strokes
    ]
    assert places(turned) == places(down.strokes) != places(up.strokes)
    assert (down.width, down.height) == (up.width, up.height) == (100.0, 90.0)


def test_by_hand_the_part_face_down(build: Any) -> None:
    """Turned about its left edge, what was x from the left is 45 - x on the page."""
    machine = replace(BENCH, face=Lies.DOWN)
    drawing = build.compiled(f_part(), build.way(), machine=machine).drawing
    assert ends(the(drawing, "foot")) == {(45.0, 17.0), (35.0, 17.0)}
    assert shown(the(drawing, "bow").path.segments[0].middle.floats()) == (40.0, 35.0)
    corners = {shown(v.at.floats()) for v in the(drawing, "outline").path.vertices}
    assert {(20.0, 27.0), (20.0, 37.0), (5.0, 52.0), (5.0, 67.0), (45.0, 7.0)} < corners
    assert (25.0, 27.0) not in corners


def test_face_down_scores_stay_on_the_outside_of_their_folds(build: Any) -> None:
    """Valleys are scored from the back whichever way the sheet lies; the rest is cut from there."""
    machine = replace(BENCH, face=Lies.DOWN)
    compiled = build.compiled(f_part(), from_the_back(build.way()), machine=machine)
    sides = {s.source: s.side for s in compiled.drawing.strokes if s.role is not Role.REGISTER}
    assert sides == {
        "foot": Side.BACK, "bow": Side.BACK, "head": Side.FRONT, "outline": Side.BACK,
    }  # fmt: skip
    down, second = told(compiled)
    assert (down.rule, second.rule) == ("lies-face-down", "second-face")
    assert second.message.startswith('1 fold of piece "card" to be worked from the front')
    (pierced,) = {
        s.side
        for s in compiled.drawing.strokes
        if s.role is Role.REGISTER and s.work is Work.THROUGH
    }
    assert pierced is Side.FRONT


def test_face_down_a_card_of_valleys_alone_needs_one_file(build: Any) -> None:
    """Scores from the back and cuts from the back: the sheet lies with its front down once."""
    part = replace(f_part(), folds=f_part().folds[:2])
    way = from_the_back(build.way())
    down = build.compiled(part, way, machine=replace(BENCH, face=Lies.DOWN))
    assert down.drawing.sides == (Side.BACK,)
    assert [p.rule for p in told(down)] == ["lies-face-down"]
    assert len(build.compiled(part, way, machine=BENCH).drawing.sides) == 2


def test_a_machine_face_up_says_nothing_of_it(build: Any) -> None:
    assert told(build.compiled(f_part(), build.way(), machine=BENCH)) == []


@given(
    st.lists(
        st.tuples(
            st.sampled_from(Sense), st.integers(1, 99), st.integers(1, 59),
            st.floats(-1.0, 1.0),
        ),
        min_size=1, max_size=5, unique_by=lambda line: line[2],
    ),
    st.sampled_from(TurnAbout),
    st.sampled_from(Lies),
    st.booleans(),
)  # fmt: skip
def test_faces_laid_over_each_other_fall_on_the_lines_of_the_design(
    lines: list[tuple[Sense, int, int, float]], edge: TurnAbout, face: Lies, pretrimmed: bool
) -> None:
    """The back, turned about the edge of its page, lies on the front where the design has it."""
    build = Build()
    card = Piece(
        name="card",
        outline=polygon(point(0, 0), point(100, 0), point(100, 60), point(0, 60)),
        folds=tuple(
            fold(f"fold {i}", sense, spot(0, y, bulge), spot(x, y))
            for i, (sense, x, y, bulge) in enumerate(lines)
        ),
    )
    machine = Machine(name="bench", width=300.0, height=200.0, rim=Rim(left=9, top=4), face=face)
    drawing = build.compiled(
        card,
        from_the_back(build.way()),
        turn_about=edge,
        machine=machine,
        pretrimmed=pretrimmed,
    ).drawing
    upright = edge.is_upright
    twice = 300.0 if upright else 200.0
    laid = [
        s
        if s.side is Side.FRONT
        else replace(s, path=mirrored(s.path, upright=upright, twice=twice))
        for s in drawing.strokes
    ]
    # Every register lies on itself: the two faces meet.
    for one in laid:
        if one.role is Role.REGISTER and len(drawing.sides) == 2:
            same = [s for s in laid if places([s]) == places([one])]
            assert {s.side for s in same} == set(Side)
    # One displacement takes all of the design to the page.
    flat = {fold.name: fold.path.rounded() for fold in card.folds} | {
        "outline": card.outline.rounded()
    }
    moves = set()
    for one in laid:
        if one.role in (Role.FOLD, Role.OUTLINE):
            wanted, made = flat[one.source].segments, one.path.segments
            if one.path.start.distance(one.path.end) > 0 or not one.path.closed:
                made = min(
                    (made, one.path.reversed.segments),
                    key=lambda run: (
                        abs(float(run[0].bulge) - wanted[0].bulge)
                        + abs(
                            float(
                                (run[0].end - run[0].start).x - (wanted[0].end - wanted[0].start).x
                            )
                        )
                    ),
                )
            for segment, drawn in zip(wanted, made, strict=True):
                for here, there in (
                    (segment.start, drawn.start),
                    (segment.middle, drawn.middle),
                    (segment.end, drawn.end),
                ):
                    by = there - here
                    moves.add(shown((float(by.x), float(by.y))))
    assert len({(round(x, 5), round(y, 5)) for x, y in moves}) == 1


def test_svg_and_dxf_hold_the_back_as_the_machine_sees_it(build: Any, tmp_path: FilePath) -> None:
    """Read by eye from the SVG, where y runs down from 60, and by ezdxf from the DXF."""
    drawing = build.compiled(f_part(), from_the_back(build.way())).drawing
    files = write_files([drawing], tmp_path, formats=("svg", "dxf"), options=WriteOptions())
    assert [(f.path.name, f.side, f.width_mm, f.height_mm) for f in files] == [
        ("01-card-front.svg", Side.FRONT, 56.0, 60.0),
        ("01-card-front.dxf", Side.FRONT, 56.0, 60.0),
        ("01-card-back.svg", Side.BACK, 56.0, 60.0),
        ("01-card-back.dxf", Side.BACK, 56.0, 60.0),
    ]
    svg = (tmp_path / "01-card-back.svg").read_text(encoding="utf-8")
    score = svg.partition('<g id="score">')[2].partition("</g>")[0]
    found = re.findall(r' d="([^"]*)"', score)
    assert found[0] == "M 38 50 L 48 50"
    # From (40, 25) over (43, 28) to (46, 25): two quarters of a circle, y down.
    assert found[1] in (
        "M 46 35 A 3 3 0 0 0 43 32 A 3 3 0 0 0 40 35",
        "M 40 35 A 3 3 0 0 1 43 32 A 3 3 0 0 1 46 35",
    )
    lines = scores(tmp_path / "01-card-back.dxf")
    assert {at[:2] for at in lines[0]} == {(48.0, 10.0), (38.0, 10.0)}
    (x0, _, bulge), (x1, _, _) = lines[1]
    # An arc that rises, run to the left, runs anticlockwise.
    assert bulge == pytest.approx(1.0 if x1 < x0 else -1.0)
    (head,) = scores(tmp_path / "01-card-front.dxf")
    assert {at[:2] for at in head} == {(8.0, 52.0), (48.0, 52.0)}


def scores(file: FilePath) -> list[list[tuple[float, float, float]]]:
    """The vertices of each score of a DXF file, as ezdxf reads them: x, y and bulge."""
    return [
        [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
        for entity in readfile(file).modelspace()
        if isinstance(entity, LWPolyline) and entity.dxf.layer == "SCORE"
    ]


def test_mirrored_paths_keep_lines_exact_and_turn_arcs() -> None:
    path = fold("bow", Sense.VALLEY, spot(1, 2, 0.5), spot(5, 2), spot(7, 9)).path
    turned = mirrored(path, upright=True, twice=Fraction(10))
    assert [v.at for v in turned.vertices] == [point(9, 2), point(5, 2), point(3, 9)]
    assert [v.bulge for v in turned.vertices] == [-0.5, 0.0, 0.0]
    assert str(turned.vertices[1].bulge) == "0.0"
    assert mirrored(turned, upright=True, twice=Fraction(10)) == path
    level = mirrored(path, upright=False, twice=Fraction(10))
    assert [v.at for v in level.vertices] == [point(1, 8), point(5, 8), point(7, 1)]
    for one in (turned, level):
        assert one.length == pytest.approx(path.length)
    middle = path.segments[0].middle.floats()
    assert turned.segments[0].middle.floats() == pytest.approx((10 - middle[0], middle[1]))


def test_both_faces_lie_on_one_layer_each(build: Any) -> None:
    drawing = build.compiled(f_part(), from_the_back(build.way())).drawing
    back = [s for s in drawing.strokes if s.side is Side.BACK]
    assert {s.layer for s in back} == {Layer.SCORE, Layer.CUT}
    assert {s.role for s in back if s.layer is Layer.CUT} == {Role.REGISTER}
