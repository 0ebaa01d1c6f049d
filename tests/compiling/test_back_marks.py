"""Tests of marks on the back of a piece: they are read there, and only they are worked there."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest

from foldwright.compiling import TurnAbout
from foldwright.compiling.texts import letter
from foldwright.design.pieces import Face, Mark
from foldwright.drawing import Drawing, Layer, Role, Side
from foldwright.geometry import line, point, union_box
from foldwright.lettering import set_text
from foldwright.profiles.machine import Lies, Machine

WORDS = Mark(name="letter", text="F", at=point(10, 30), height=Fraction(6), face=Face.BACK)
ARROW = Mark(name="up", path=line(point(20, 30), point(20, 40)), face=Face.BACK)


def compiled(build: Any, *marks: Mark, **options: Any) -> Any:
    return build.compiled(build.piece(marks=marks), build.way(), **options)


def letters(drawing: Drawing, side: Side) -> list[Any]:
    return [s for s in drawing.strokes if s.role is Role.MARK and s.side is side]


@pytest.mark.parametrize("about", list(TurnAbout))
def test_a_letter_of_the_back_is_upright_on_the_page_of_the_back(
    build: Any, about: TurnAbout
) -> None:
    made = compiled(build, WORDS, turn_about=about)
    found = letters(made.drawing, Side.BACK)
    assert not letters(made.drawing, Side.FRONT)
    box = union_box(stroke.path.box() for stroke in found)
    plain = set_text("F", at=point(0, 0), height=Fraction(6)).strokes
    at = union_box(path.box() for path in plain)
    # The same strokes, only moved: neither mirrored nor upside down.
    for stroke, path in zip(
        sorted(found, key=lambda s: s.path.length),
        sorted(plain, key=lambda p: p.length),
        strict=True,
    ):
        assert [float(c) - box[i % 2] for i, c in enumerate(stroke.path.box())] == pytest.approx(
            [float(c) - at[i % 2] for i, c in enumerate(path.box())]
        )


def test_the_note_counts_marks_where_no_fold_is_turned(build: Any) -> None:
    made = compiled(build, WORDS, ARROW)
    (note,) = [found for found in made.findings if found.rule == "second-face"]
    assert note.message.startswith('2 marks of piece "card" to be worked from the back')
    assert {stroke.layer for stroke in letters(made.drawing, Side.BACK)} == {Layer.MARK}


def test_a_job_that_lies_face_down_needs_no_turn_for_them(build: Any) -> None:
    machine = Machine(name="press", width=300.0, height=300.0, face=Lies.DOWN)
    made = compiled(build, WORDS, ARROW, machine=machine)
    assert made.drawing.sides == (Side.BACK,)


def test_a_text_on_the_back_does_not_lie_on_one_of_the_front(build: Any) -> None:
    front = replace(WORDS, name="other", face=Face.FRONT)
    passed = build.run(build.piece(marks=(WORDS, front)), build.way(), letter)
    assert passed.findings == ()
    both = replace(front, face=Face.BACK)
    passed = build.run(build.piece(marks=(WORDS, both)), build.way(), letter)
    assert [found.rule for found in passed.findings] == ["text-over-line"]


def test_lines_drawn_on_two_faces_do_not_lie_on_each_other(build: Any) -> None:
    front = replace(ARROW, name="front", face=Face.FRONT)
    made = compiled(build, ARROW, front)
    assert "overlapping-strokes" not in [found.rule for found in made.findings]
    assert len(letters(made.drawing, Side.BACK)) == len(letters(made.drawing, Side.FRONT)) == 1
    twice = compiled(build, ARROW, replace(ARROW, name="again"))
    assert "overlap-merged" in [found.rule for found in twice.findings]


def test_what_stays_on_the_front_is_drawn_there_whichever_face_lies_up(build: Any) -> None:
    machine = Machine(name="press", width=300.0, height=300.0, face=Lies.DOWN)
    front = replace(WORDS, name="front", face=Face.FRONT)
    goes = compiled(build, front, machine=machine)
    assert goes.drawing.sides == (Side.BACK,)
    stays = compiled(build, replace(front, stays=True), ARROW, machine=machine)
    assert letters(stays.drawing, Side.FRONT)
    assert len(letters(stays.drawing, Side.BACK)) == 1
    # The letter F has its stem at its left, as it is read from the front.
    up = compiled(build, replace(front, stays=True)).drawing
    boxes = [
        sorted(stroke.path.box()[0] - union_box(s.path.box() for s in found)[0] for stroke in found)
        for found in (letters(stays.drawing, Side.FRONT), letters(up, Side.FRONT))
        for stroke in found[:1]
    ]
    assert boxes[0] == pytest.approx(boxes[1])
