"""Tests of compiling.texts: texts read from the face that they are on, and bad ones are told."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import LineString
from shapely.geometry import box as shapely_box

from foldwright.compiling import TurnAbout
from foldwright.compiling.overlaps import settle
from foldwright.compiling.strokes import draw
from foldwright.compiling.text_room import clear_of, clear_of_box
from foldwright.compiling.texts import letter
from foldwright.design.pieces import Mark
from foldwright.drawing import Layer, Role, Work
from foldwright.geometry import Path, Point, Vertex, circle, line, point, union_box
from foldwright.lettering import glyph_of, set_text
from foldwright.lettering.glyphs import glyphs
from foldwright.problems import Place, Problem, Severity
from foldwright.profiles.machine import Lies, Machine


def text(words: str, x: float, y: float, height: float = 4.0, name: str = "label") -> Mark:
    at = point(Fraction(x), Fraction(y))
    return Mark(name=name, text=words, at=at, height=Fraction(height), place=Place(line=40))


def lettered(build: Any, *marks: Mark, **parts: Any) -> Any:
    return build.run(build.piece(marks=marks, **parts), build.way(), letter)


def one(passed: Any, rule: str) -> Problem:
    (found,) = passed.findings
    assert isinstance(found, Problem)
    assert found.rule == rule
    return found


def test_a_text_becomes_strokes_of_the_mark_layer(build: Any) -> None:
    passed = lettered(build, text("TOP", 40, 30))
    assert passed.findings == ()
    strokes = passed.drawing.strokes
    assert {(s.layer, s.work, s.role, s.source) for s in strokes} == {
        (Layer.MARK, Work.DRAWN, Role.MARK, "label")
    }
    made = set_text("TOP", at=point(40, 30), height=Fraction(4)).strokes
    assert [s.path for s in strokes] == [path.rounded() for path in made]
    assert union_box(s.path.box() for s in strokes)[1::2] == pytest.approx((30.0, 34.0))


def test_signs_that_lack_are_told_with_the_line_of_the_file(build: Any) -> None:
    passed = lettered(build, text("A折折紙", 10, 30))
    found = one(passed, "glyph-missing")
    assert (found.severity, found.place.line, found.at) == (Severity.WARN, 40, (10.0, 30.0))
    assert found.message.startswith(
        'the alphabet lacks "折" (U+6298) and "紙" (U+7D19) of the text "A折折紙", drawn as boxes'
    )
    boxes = [s for s in passed.drawing.strokes if len(s.path.vertices) == 5]
    assert len(boxes) == 3
    hidden = one(lettered(build, text("a\u200b", 10, 30)), "glyph-missing")
    assert "lacks U+200B of" in hidden.message and hidden.message.endswith("drawn as a box")


@pytest.mark.parametrize(
    ("height", "told"), [(1.5, True), (1.99, True), (2.0, False), (3.0, False)]
)
def test_small_letters_are_told(build: Any, height: float, told: bool) -> None:
    found = lettered(build, text("TOP", 40, 30, height)).findings
    assert [(p.rule, p.severity, p.measure_mm) for p in found] == (
        [("text-small", Severity.NOTE, height)] if told else []
    )


def test_no_signs_draw_nothing_and_tell_nothing(build: Any) -> None:
    passed = lettered(build, text(" ", 200, 30, 1.0))
    assert (passed.drawing.strokes, passed.findings) == ((), ())


# Off the paper.


@pytest.mark.parametrize(
    ("x", "y", "by"),
    [
        # An H of 12 mm: its stems stand 2 and 10 mm from its place.
        (91, 30, 1.0),
        (-3.5, 30, 1.5),
        (40, 50.25, 2.25),
        (40, -0.75, 0.75),
        (110, 30, 20.0),
    ],
)
def test_letters_over_the_edge_are_told_with_how_far(
    build: Any, x: float, y: float, by: float
) -> None:
    found = one(lettered(build, text("H", x, y, 12.0)), "text-off-paper")
    assert found.severity is Severity.WARN
    assert found.measure_mm == pytest.approx(by)
    assert "over the outline" in found.message and found.place.line == 40
    assert found.at is not None
    assert not (0 <= found.at[0] <= 100 and 0 <= found.at[1] <= 60)


def test_letters_that_touch_the_edge_stay_on_it(build: Any) -> None:
    assert lettered(build, text("H", 90, 48, 12.0)).findings == ()


def test_a_text_in_an_opening_is_off_the_paper(build: Any) -> None:
    window = build.opening("window", build.rectangle(20, 10, 60, 50))
    found = one(lettered(build, text("I", 30, 20), openings=(window,)), "text-off-paper")
    assert 'over opening "window"' in found.message
    # The upper serif ends 5.5 units of a third of a millimetre from the place.
    assert found.measure_mm == pytest.approx(10.0 + 5.5 / 3.0)


# Over lines.


@pytest.mark.parametrize(
    ("place", "by", "towards"),
    [
        # The H of 12 mm at (40, 20) fills 42 to 50 and 20 to 32.
        (((0, 22), (100, 22)), 2.0, "up"),
        (((0, 31), (100, 31)), 1.0, "down"),
        (((43, 0), (43, 60)), 1.0, "to the right"),
        (((48.5, 0), (48.5, 60)), 1.5, "to the left"),
        (((46, 10), (46, 20.5)), 0.5, "up"),
        # Half of its width must go: the sloping line leaves no shorter way.
        (((42, 20), (50, 32)), 8.0, "to the left"),
    ],
)
def test_a_fold_through_a_text_is_told_with_the_way_out(
    build: Any, place: tuple[tuple[float, float], ...], by: float, towards: str
) -> None:
    path = line(*(Point(*at) for at in place))
    crossed = lettered(build, text("H", 40, 20, 12.0), folds=(build.fold("spine", path=path),))
    found = one(crossed, "text-over-line")
    assert found.severity is Severity.WARN
    assert found.measure_mm == pytest.approx(by)
    assert found.mend.startswith(f"move it {by:g} mm ")
    assert found.mend.split(", or")[0].endswith(towards)
    assert 'the text "H" lies on fold "spine"' in found.message
    # Once it has gone that way nothing is told any more.
    x, y = {"up": (0, by), "down": (0, -by), "to the left": (-by, 0), "to the right": (by, 0)}[
        towards
    ]
    moved = text("H", 40 + x, 20 + y, 12.0)
    assert lettered(build, moved, folds=(build.fold("spine", path=path),)).findings == ()


def test_slits_and_edges_of_openings_count_and_what_only_touches_does_not(build: Any) -> None:
    mark = text("H", 40, 20, 12.0)
    for slit in (build.slit("cut", (30, 22), (70, 22)), build.slit("cut", (46, 10), (46, 22))):
        found = one(lettered(build, mark, slits=(slit,)), "text-over-line")
        assert (found.measure_mm, 'slit "cut"' in found.message) == (2.0, True)
    touching = build.slit("cut", (30, 20), (70, 20)), build.slit("cut 2", (60, 0), (60, 60))
    assert lettered(build, mark, slits=touching).findings == ()
    # A hole between the two stems meets no stroke, but the text all the same.
    hole = build.opening("hole", circle(point(46, 23), Fraction(1)))
    found = one(lettered(build, mark, openings=(hole,)), "text-over-line")
    assert found.measure_mm == pytest.approx(4.0, abs=0.01)


def test_each_line_of_a_text_has_its_own_room(build: Any) -> None:
    """A fold between two lines of letters crosses neither."""
    mark = text("HH\nHH", 40, 20, 6.0)
    between = build.fold("spine", (0, 29), (100, 29))
    assert lettered(build, mark, folds=(between,)).findings == ()
    through = build.fold("spine", (0, 33), (100, 33))
    assert one(lettered(build, mark, folds=(through,)), "text-over-line").measure_mm == 1.0


def test_texts_on_each_other_are_told_once(build: Any) -> None:
    first, second = text("H", 40, 4, 12.0), text("I\nH", 47, 15, 12.0, name="other")
    found = one(lettered(build, first, second), "text-over-line")
    assert 'the text "I H" lies on the text "H"' in found.message
    # 42 to 50 and 4 to 16 against 49 to 57 and 15 to 27.
    assert found.measure_mm == 1.0
    apart = text("H", 48, 4, 12.0, name="other")
    assert lettered(build, first, apart).findings == ()


BOX = (10.0, 10.0, 30.0, 18.0)
SPOT = st.tuples(st.integers(0, 40), st.integers(0, 28))


@given(SPOT, SPOT)
def test_the_way_out_of_a_line_is_the_shortest(
    start: tuple[int, int], end: tuple[int, int]
) -> None:
    """Against shapely: whether the line runs through the box, and when it has left it."""
    if start == end:
        return
    ways = clear_of(BOX, line(point(*start), point(*end)))
    area, chord = shapely_box(*BOX), LineString([start, end])
    through = chord.relate_pattern(area, "T********")
    assert bool(ways) == through
    steps = {"up": (0, 1), "down": (0, -1), "to the left": (-1, 0), "to the right": (1, 0)}
    for way in ways:
        x, y = steps[way.towards]
        gone = affinity.translate(area, x * (way.by + 1e-9), y * (way.by + 1e-9))
        assert not chord.relate_pattern(gone, "T********")
        for x, y in steps.values():
            short = affinity.translate(area, x * way.by * 0.99, y * way.by * 0.99)
            assert chord.relate_pattern(short, "T********")


def test_an_arc_is_followed() -> None:
    """A half circle of 10 mm about (20, 5) rises to 15 over the middle of the box."""
    arc = Path((Vertex(point(30, 5), 1.0), Vertex(point(10, 5))))
    (way,) = clear_of(BOX, arc)
    assert way.towards == "up"
    assert way.by == pytest.approx(5.0, abs=0.01)
    assert clear_of_box(BOX, (30.0, 0.0, 40.0, 40.0)) == []


# From which face it reads.


@pytest.mark.parametrize("about", list(TurnAbout))
@pytest.mark.parametrize("face", list(Lies))
def test_on_the_page_a_text_never_comes_out_mirrored(
    build: Any, face: Lies, about: TurnAbout
) -> None:
    """The strokes of the page are those of the plain text, only moved, face down or up."""
    words = "FRg\nL2"
    machine = Machine(name="bench", width=400.0, height=300.0, face=face)
    compiled = build.compiled(
        build.piece(marks=(text(words, 20, 20, 6.0),)),
        build.way(),
        machine=machine,
        turn_about=about,
    )
    made = [s.path for s in compiled.drawing.strokes if s.role is Role.MARK]
    plain = set_text(words, at=point(20, 20), height=Fraction(6)).strokes

    def shapes(paths: Any) -> list[list[tuple[float, float]]]:
        """The places along each stroke, whichever way it is run."""
        left, bottom, _, _ = union_box(path.box() for path in paths)
        found = []
        for path in paths:
            places = [path.start, *(at for s in path.segments for at in (s.middle, s.end))]
            run = [
                (round(at.x - left, 6) + 0.0, round(at.y - bottom, 6) + 0.0)
                for at in (place.rounded() for place in places)
            ]
            found.append(min(run, run[::-1]))
        return sorted(found)

    assert shapes(made) == shapes(plain)


def test_face_down_the_text_fills_the_room_it_was_meant_for(build: Any) -> None:
    for about in TurnAbout:
        piece = build.piece(marks=(text("L\nLLL", 20, 20, 6.0),))
        machine = Machine(name="bench", width=400.0, height=300.0, face=Lies.DOWN)
        job = build.job(piece, build.way(), machine=machine, turn_about=about)
        strokes = letter(build.blank(piece), job).drawing.strokes
        left, bottom, right, top = union_box(s.path.box() for s in strokes)
        width = float(set_text("L\nLLL", at=point(20, 20), height=Fraction(6)).width)
        assert (bottom, top) == pytest.approx((20.0, 38.0))
        assert left >= 20.0 and right <= 20.0 + width + 1e-9


def test_no_sign_lies_on_itself_when_strokes_are_merged(build: Any) -> None:
    """The pass that merges lines finds nothing to do in any sign of the alphabet."""
    rows = "\n".join("".join(list(glyphs())[i : i + 20]) for i in range(0, len(glyphs()), 20))
    mark = text(rows + "\nàéîõüåçąőňķ", 5, 5, 3.0)
    outline = build.rectangle(0, 0, 300, 300)
    piece = build.piece(marks=(mark,), outline=outline)
    passed = build.run(piece, build.way(), letter, settle)
    assert passed.findings == ()
    count = sum(len(made.strokes) for made in map(glyph_of, rows.replace("\n", "")) if made)
    assert len(passed.drawing.strokes) >= count


def test_a_long_text_is_told_short(build: Any) -> None:
    found = one(lettered(build, text("a" * 40, 5, 20, 1.0)), "text-small")
    assert f'"{"a" * 29}…"' in found.message
    assert math.isclose(found.measure_mm or 0.0, 1.0)


def test_a_text_is_never_sent_off_the_paper(build: Any) -> None:
    """A text as wide as the paper cannot go aside past a slit that runs through it."""
    mark = text("H" * 7, 2, 20, 12.0)
    upright = build.slit("cut", (50, 0), (50, 60))
    found = one(lettered(build, mark, slits=(upright,)), "text-over-line")
    assert found.mend.startswith("make it smaller")
    assert "move" not in found.mend
    # One with room to the left of it is sent there.
    assert (
        "to the left"
        in one(lettered(build, text("H", 44, 20, 12.0), slits=(upright,)), "text-over-line").mend
    )


def test_a_line_along_a_bar_of_a_letter_is_told_once(build: Any) -> None:
    """The bar of this H lies on the fold: that the fold runs through it says it all."""
    mark, spine = text("H", 40, 20, 12.0), build.fold("spine", (0, 26), (100, 26))
    piece = build.piece(marks=(mark,), folds=(spine,))
    passed = build.run(piece, build.way(), draw, letter, settle)
    assert one(passed, "text-over-line").measure_mm == 6.0
    # A fold that only touches the foot of the text is told by what lies on it.
    foot = build.fold("spine", (0, 20), (100, 20))
    piece = build.piece(marks=(text("E", 40, 20, 12.0),), folds=(foot,))
    one(build.run(piece, build.way(), draw, letter, settle), "overlapping-strokes")
