"""Tests of compiling.place with a machine: where the job lies, and by how much it misses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.compiling import TurnAbout
from foldwright.design.pieces import Fold, Sense
from foldwright.drawing import Drawing, Role, Side
from foldwright.geometry import union_box
from foldwright.problems import Place, ProfileError, Severity
from foldwright.profiles import Tool
from foldwright.profiles.machine import Corner, Lies, Machine, Rim
from tests.compiling.conftest import Build
from tests.compiling.faces import f_part, fold, from_the_back, shown, spot, told

BENCH = Machine(
    name="bench", width=120.0, height=90.0, place=Place(file="bench.toml", line=1, key="name")
)
RIM = Rim(left=7, right=3, bottom=5, top=4)


def box(drawing: Drawing, *roles: Role, side: Side | None = None) -> tuple[float, ...]:
    found = union_box(
        s.path.box()
        for s in drawing.strokes
        if (not roles or s.role in roles) and side in (None, s.side)
    )
    return (*shown(found[:2]), *shown(found[2:]))


# A card of 100 by 60 mm on a work area of 120 by 90 mm.
OUTLINES = {
    Corner.LOWER_LEFT: (7.0, 5.0, 107.0, 65.0),
    Corner.LOWER_RIGHT: (17.0, 5.0, 117.0, 65.0),
    Corner.UPPER_LEFT: (7.0, 26.0, 107.0, 86.0),
    Corner.UPPER_RIGHT: (17.0, 26.0, 117.0, 86.0),
}


@pytest.mark.parametrize("corner", Corner)
@pytest.mark.parametrize("face", Lies)
@pytest.mark.parametrize("edge", TurnAbout)
def test_the_job_lies_in_the_corner_of_the_origin_inside_the_rim(
    build: Any, corner: Corner, face: Lies, edge: TurnAbout
) -> None:
    machine = replace(BENCH, rim=RIM, origin=corner, face=face)
    drawing = build.compiled(build.piece(), build.way(), machine=machine, turn_about=edge).drawing
    assert (drawing.width, drawing.height) == (120.0, 90.0)
    assert box(drawing) == OUTLINES[corner]


def test_the_kerf_is_inside_the_rim_too(build: Any) -> None:
    machine = replace(BENCH, rim=RIM)
    drawing = build.compiled(build.piece(), build.way(kerf=0.2), machine=machine).drawing
    assert box(drawing) == (7.0, 5.0, 107.2, 65.2)


@pytest.mark.parametrize(
    ("area", "told_of"),
    [
        ((110.0, 69.0), None),
        ((109.9995, 69.0), None),
        ((109.99, 69.0), (0.01, "0.01 mm too wide")),
        ((109.0, 69.0), (1.0, "1 mm too wide")),
        ((110.0, 66.5), (2.5, "2.5 mm too high")),
        ((90.0, 64.0), (20.0, "20 mm too wide and 5 mm too high")),
    ],
)
def test_fit_and_misfit_by_the_millimetre(
    build: Any, area: tuple[float, float], told_of: tuple[float, str] | None
) -> None:
    """A card of 100 by 60 mm; the rim takes 10 mm of the width and 9 of the height."""
    machine = replace(BENCH, width=area[0], height=area[1], rim=RIM)
    found = told(build.compiled(build.piece(), build.way(), machine=machine))
    if told_of is None:
        assert found == []
        return
    (one,) = found
    assert (one.rule, one.severity) == ("does-not-fit", Severity.STOP)
    assert one.measure_mm == pytest.approx(told_of[0])
    assert one.message.endswith(f"that is {told_of[1]}")
    assert one.mend == "make it smaller, or use a larger machine: a quarter turn would not do"


def test_what_a_person_is_told_of_a_job_that_does_not_fit(build: Any) -> None:
    machine = replace(BENCH, width=90.0, height=125.0, rim=RIM)
    (one,) = told(build.compiled(build.piece(), build.way(), machine=machine))
    assert one.message == (
        'piece "card" does not fit: it needs 100 mm by 60 mm, and the machine "bench" '
        "(bench.toml:1) reaches 80 mm by 116 mm; that is 20 mm too wide"
    )
    assert one.mend == "turn the piece by a quarter turn in the design: it fits then"
    assert (one.place.line, one.piece) == (3, "card")


def test_a_quarter_turn_leaves_crosses_and_bars_where_they_are(build: Any) -> None:
    """The F is 40 by 60 mm; turned it is 68 by 48 with its crosses; bars take 16 mm below."""
    way = from_the_back(build.way())
    for size_bar, width, height, turned in (
        (False, 80.0, 50.0, True),
        (False, 68.0, 48.0, True),
        (False, 67.9, 48.0, False),
        (False, 68.0, 47.9, False),
        (True, 80.0, 64.0, True),
        (True, 80.0, 63.9, False),
    ):
        machine = replace(BENCH, width=width, height=height)
        (one,) = (
            found
            for found in told(build.compiled(f_part(), way, machine=machine, size_bar=size_bar))
            if found.rule == "does-not-fit"
        )
        assert one.mend.startswith("turn the piece") == turned, (size_bar, width, height)


# Blanks that are trimmed by hand.


def lined(build: Any, *ends: tuple[float, float]) -> Any:
    """A blank of 120 by 90 mm, which is all of the work area, with one line on it."""
    return build.piece(outline=build.rectangle(0, 0, 120, 90), slits=(build.slit("slit 1", *ends),))


@pytest.mark.parametrize("corner", Corner)
@pytest.mark.parametrize("face", Lies)
def test_a_blank_as_large_as_the_work_area_may_cover_the_rim(
    build: Any, corner: Corner, face: Lies
) -> None:
    machine = replace(BENCH, rim=RIM, origin=corner, face=face)
    piece = lined(build, (7, 5), (113, 85))
    compiled = build.compiled(piece, build.way(), pretrimmed=True, machine=machine)
    assert [p.rule for p in told(compiled) if p.rule != "lies-face-down"] == ["register-in-the-rim"]
    assert (compiled.drawing.width, compiled.drawing.height) == (120.0, 90.0)
    assert box(compiled.drawing) == (7.0, 5.0, 113.0, 85.0)


@pytest.mark.parametrize(
    ("ends", "beyond"),
    [
        (((6, 5), (117, 86)), "1 mm too far to the left"),
        (((7, 3), (117, 86)), "2 mm too low"),
        (((7, 5), (118, 86)), "1 mm too far to the right"),
        (((7, 5), (117, 89)), "3 mm too far up"),
        (((6, 5), (118, 89)), "1 mm too far to the left and 1 mm too far to the right and 3 mm "
         "too far up"),
        (((7, 5), (117, 86)), None),
    ],
)  # fmt: skip
def test_lines_of_a_blank_in_the_rim_are_told_to_each_side(
    build: Any, ends: Any, beyond: str | None
) -> None:
    machine = replace(BENCH, rim=RIM)
    compiled = build.compiled(lined(build, *ends), build.way(), pretrimmed=True, machine=machine)
    found = [p for p in told(compiled) if p.rule != "register-in-the-rim"]
    if beyond is None:
        assert found == []
    else:
        (one,) = found
        assert (one.rule, one.severity) == ("does-not-fit", Severity.STOP)
        assert one.message.endswith(f"that is {beyond}")
        assert "its lines need" in one.message


def test_lines_of_a_blank_face_down_are_told_as_the_machine_sees_them(build: Any) -> None:
    """Turned about its left edge, the left end of the line comes to the right."""
    machine = replace(BENCH, rim=RIM, face=Lies.DOWN)
    piece = lined(build, (2, 5), (113, 86))
    found = told(build.compiled(piece, build.way(), pretrimmed=True, machine=machine))
    assert found[-1].message.endswith("that is 1 mm too far to the right")


def test_a_blank_that_would_reach_after_a_quarter_turn_is_told(build: Any) -> None:
    """On 120 by 60 mm, the blank is 60 by 120: upright its lines stand out, lying they do not."""
    machine = replace(BENCH, width=120.0, height=60.0, rim=Rim(left=10, right=10))
    piece = build.piece(
        outline=build.rectangle(0, 0, 60, 120),
        slits=(build.slit("slit 1", (30, 20), (30, 100)),),
    )
    found = told(build.compiled(piece, build.way(), pretrimmed=True, machine=machine))
    assert [one.rule for one in found] == ["register-in-the-rim", "does-not-fit"]
    assert found[1].message.endswith("that is 40 mm too far up")
    assert found[1].mend.startswith("turn the piece by a quarter turn")
    # Lying, a line that runs from edge to edge would still end in the rim.
    piece = replace(piece, slits=(build.slit("slit 1", (30, 0), (30, 120)),))
    found = told(build.compiled(piece, build.way(), pretrimmed=True, machine=machine))
    assert found[1].mend.startswith("make it smaller")


@pytest.mark.parametrize(
    ("width", "height", "over"),
    [(97, 60, "3 mm across"), (100, 58, "2 mm up"), (97, 58, "3 mm across and 2 mm up")],
)
def test_a_blank_larger_than_the_work_area_is_told(
    build: Any, width: float, height: float, over: str
) -> None:
    """The blank of 100 by 60 mm; its one line from (20, 20) to (50, 20) is within reach."""
    machine = replace(BENCH, width=float(width), height=float(height))
    piece = build.piece(slits=(build.slit("slit 1", (20, 20), (50, 20)),))
    compiled = build.compiled(piece, build.way(), pretrimmed=True, machine=machine)
    (warning,) = (one for one in compiled.findings if one.rule == "blank-past-work-area")
    assert warning.severity is Severity.WARN
    assert warning.message.endswith(f"it lies {over} over the edge")
    assert warning.place.line == 3
    same = replace(machine, width=100.0, height=60.0)
    compiled = build.compiled(piece, build.way(), pretrimmed=True, machine=same)
    assert not [one for one in compiled.findings if one.rule == "blank-past-work-area"]


def test_a_small_blank_lies_inside_the_rim_with_its_register(build: Any) -> None:
    machine = replace(BENCH, rim=RIM)
    piece = build.piece(folds=(build.fold("fold 1", (0, 45), (100, 45)),))
    drawing = build.compiled(piece, build.way(), pretrimmed=True, machine=machine).drawing
    assert box(drawing, Role.FOLD) == (7.0, 50.0, 107.0, 50.0)
    assert box(drawing, Role.REGISTER) == (7.0, 5.0, 27.0, 25.0)


def test_bars_below_a_blank_are_inside_the_rim_too(build: Any) -> None:
    machine = replace(BENCH, rim=RIM)
    piece = build.piece(folds=(build.fold("fold 1", (0, 45), (100, 45)),))
    compiled = build.compiled(piece, build.way(), pretrimmed=True, machine=machine, size_bar=True)
    assert box(compiled.drawing, Role.SIZE_BAR)[:2] == (7.0, 5.0)
    assert box(compiled.drawing, Role.REGISTER)[:2] == (7.0, 21.0)
    assert [p.rule for p in told(compiled)] == ["corner-register"]


# Two faces.


@pytest.mark.parametrize("edge", TurnAbout)
def test_the_wider_rim_counts_where_the_sheet_is_turned(build: Any, edge: TurnAbout) -> None:
    """About an upright edge left and right change places, about a level one bottom and top."""
    machine = replace(BENCH, rim=Rim(left=1, right=3, bottom=2, top=5))
    way = from_the_back(build.way())
    drawing = build.compiled(f_part(), way, machine=machine, turn_about=edge).drawing
    left, bottom, right, top = box(drawing, side=Side.FRONT)
    assert (left, bottom) == ((3.0, 2.0) if edge.is_upright else (1.0, 5.0))
    # On the page of the back the same place lies as far in from the other side.
    back = box(drawing, Role.REGISTER, side=Side.BACK)
    if edge.is_upright:
        assert back == (120 - right, bottom, 120 - left, top)
    else:
        assert back == (left, 90 - top, right, 90 - bottom)


@given(
    st.sampled_from(Corner), st.sampled_from(Lies), st.sampled_from(TurnAbout),
    st.tuples(*[st.integers(0, 12)] * 4), st.booleans(), st.booleans(), st.booleans(),
)  # fmt: skip
def test_what_is_not_told_to_miss_is_within_reach_on_every_page(
    corner: Corner, face: Lies, edge: TurnAbout, rim: tuple[int, ...],
    pretrimmed: bool, size_bar: bool, mountain: bool,
) -> None:  # fmt: skip
    build = Build()
    left, right, bottom, top = (float(side) for side in rim)
    machine = replace(
        BENCH, origin=corner, face=face, rim=Rim(left=left, right=right, bottom=bottom, top=top)
    )
    folds: tuple[Fold, ...] = (fold("fold 1", Sense.VALLEY, spot(0, 45), spot(90, 45)),)
    if mountain:
        folds += (fold("fold 2", Sense.MOUNTAIN, spot(0, 20), spot(90, 20)),)
    piece = build.piece(outline=build.rectangle(0, 0, 90, 60), folds=folds)
    compiled = build.compiled(
        piece,
        from_the_back(build.way()),
        machine=machine,
        pretrimmed=pretrimmed,
        turn_about=edge,
        size_bar=size_bar,
    )
    reached = box(compiled.drawing)
    within = (
        reached[0] >= left - 1e-6 and reached[1] >= bottom - 1e-6
        and reached[2] <= 120 - right + 1e-6 and reached[3] <= 90 - top + 1e-6
    )  # fmt: skip
    assert within == ("does-not-fit" not in {one.rule for one in compiled.findings})


def test_a_machine_of_another_tool_is_refused(build: Any) -> None:
    way = build.way(tool=Tool.KNIFE)
    with pytest.raises(ProfileError) as caught:
        build.compiled(build.piece(), way, machine=replace(BENCH, tool=Tool.LASER))
    assert [one.rule for one in caught.value.problems] == ["machine-of-another-tool"]
    build.compiled(build.piece(), way, machine=replace(BENCH, tool=Tool.KNIFE))


def test_a_blank_without_a_line_has_nothing_that_could_miss(build: Any) -> None:
    machine = replace(BENCH, width=80.0)
    compiled = build.compiled(build.piece(), build.way(), pretrimmed=True, machine=machine)
    assert [one.rule for one in told(compiled)] == ["nothing-to-work"]
