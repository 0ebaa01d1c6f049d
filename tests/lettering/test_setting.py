"""Texts: widths add up, turns and sizes are exact, lines and mirrors lie where they should."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Path, Point, point, union_box
from foldwright.geometry.mirroring import mirrored
from foldwright.lettering import CAPITAL, PITCH, block_height, glyph_of, set_text
from foldwright.lettering.glyphs import glyphs

TEXTS = st.text(st.sampled_from([*glyphs(), "é", "ň", "\n", "折"]), max_size=12)
HEIGHTS = st.fractions(Fraction(1, 2), 50, max_denominator=8)
ORIGIN = point(0, 0)


def box(strokes: tuple[Path, ...]) -> tuple[float, float, float, float]:
    return union_box(stroke.box() for stroke in strokes)


@given(TEXTS, HEIGHTS)
def test_widths_add_up(text: str, height: Fraction) -> None:
    width = set_text(text, at=ORIGIN, height=height).width
    rows = [
        sum((set_text(sign, at=ORIGIN, height=height).width for sign in row), Fraction(0))
        for row in text.split("\n")
    ]
    assert width == max(rows)


@given(TEXTS, HEIGHTS, st.integers(-9, 9))
def test_a_text_is_moved_sized_and_turned_exactly(
    text: str, height: Fraction, quarters: int
) -> None:
    at = point(Fraction(7, 3), Fraction(-5, 2))
    plain = set_text(text, at=ORIGIN, height=CAPITAL).strokes
    made = set_text(text, at=at, height=height, angle=90.0 * quarters).strokes
    cos, sin = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]
    scale = height / CAPITAL
    for before, after in zip(plain, made, strict=True):
        for v, w in zip(before.vertices, after.vertices, strict=True):
            assert w.bulge == v.bulge
            assert w.at.x == at.x + scale * (v.at.x * cos - v.at.y * sin)
            assert w.at.y == at.y + scale * (v.at.x * sin + v.at.y * cos)
            assert w.at.exact


@given(TEXTS, st.floats(-360.0, 360.0))
def test_lengths_stay_at_any_angle(text: str, angle: float) -> None:
    plain = set_text(text, at=ORIGIN, height=3).strokes
    made = set_text(text, at=point(4, 5), height=3, angle=angle).strokes
    assert [p.length for p in made] == pytest.approx([p.length for p in plain])
    for before, after in zip(plain, made, strict=True):
        along = before.end - before.start
        turned = after.end - after.start
        cos, sin = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        assert float(turned.x) == pytest.approx(
            float(along.x) * cos - float(along.y) * sin, abs=1e-9
        )
        assert float(turned.y) == pytest.approx(
            float(along.x) * sin + float(along.y) * cos, abs=1e-9
        )


def test_capitals_are_as_tall_as_asked() -> None:
    made = set_text("H", at=point(10, 20), height=Fraction(3))
    assert box(made.strokes)[1::2] == (20.0, 23.0)
    assert made.width == Fraction(3)  # 12 units: 2, 8 and 2
    assert box(set_text("H", at=point(10, 20), height=2.5).strokes)[3] == pytest.approx(22.5)


def test_the_last_line_starts_at_the_place() -> None:
    made = set_text("H\nHH", at=point(10, 20), height=3)
    assert box(made.strokes)[1::2] == (20.0, 20.0 + 3.0 * PITCH + 3.0)
    assert block_height("H\nHH", 3.0) == 9.0
    assert made.width == 6
    # The first line is the upper one.
    upper = [stroke for stroke in made.strokes if stroke.box()[1] > 23.0]
    assert len(upper) == 3


def test_lines_stay_clear_of_each_other() -> None:
    """The deepest sign stands clear of the tallest accent.

    A drawing standard, ISO 3098, asks of base lines of texts with accents 1.9 times the
    height of capitals (from memory).
    """
    made = set_text("gţqĄ\nŐÅŇ", at=ORIGIN, height=CAPITAL)
    rows = [[s for s in made.strokes if (s.box()[1] > 18.0) is upper] for upper in (True, False)]
    assert box(tuple(rows[0]))[1] - box(tuple(rows[1]))[3] >= 1.0
    assert PITCH >= 1.9


@given(TEXTS, HEIGHTS)
def test_a_mirrored_text_fills_the_same_room(text: str, height: Fraction) -> None:
    plain = set_text(text, at=point(3, 4), height=height)
    made = set_text(text, at=point(3, 4), height=height, mirrored=True)
    assert (made.width, made.missing) == (plain.width, plain.missing)
    twice = 2 * 3 + plain.width
    # Seen from the other face, it reads as the plain one does from this one.
    assert tuple(mirrored(p, upright=True, twice=twice) for p in made.strokes) == plain.strokes


def test_a_letter_that_has_no_mirror_is_mirrored() -> None:
    plain, made = (set_text("F", at=ORIGIN, height=12, mirrored=m) for m in (False, True))
    stem = [min(s.box()[0] for s in made.strokes), max(s.box()[2] for s in made.strokes)]
    assert stem == [1.0, 8.0]
    assert [min(s.box()[0] for s in plain.strokes), max(s.box()[2] for s in plain.strokes)] == [
        2.0,
        9.0,
    ]


def test_signs_that_lack_are_told_once_and_drawn_as_boxes() -> None:
    made = set_text("a折紙a折\u0301", at=ORIGIN, height=12)
    assert made.missing == ("折", "紙", "折\u0301")
    boxes = [s for s in made.strokes if len(s.vertices) == 5 and s.start == s.end]
    assert [b.box()[2] - b.box()[0] for b in boxes] == [6.0, 6.0, 6.0]
    a = glyph_of("a")
    assert a is not None
    assert made.width == 2 * a.advance + 30


def test_what_combines_is_one_sign_however_it_is_written() -> None:
    for one, other in (("é", "e\u0301"), ("ế", "e\u0302\u0301"), ("Å", "\u212b"), ("ș", "s\u0326")):
        made = set_text(one, at=ORIGIN, height=3)
        assert made == set_text(other, at=ORIGIN, height=3)
        assert made.missing == ()


def test_no_text_is_nothing_and_blanks_are_blank() -> None:
    nothing = set_text("", at=ORIGIN, height=3)
    assert (nothing.strokes, nothing.missing, nothing.width) == ((), (), 0)
    assert set_text("\t", at=ORIGIN, height=3).width == set_text("    ", at=ORIGIN, height=3).width
    assert set_text("a\r\nb", at=ORIGIN, height=3) == set_text("a\nb", at=ORIGIN, height=3)


@pytest.mark.parametrize("height", [0, -1.0, float("nan")])
def test_letters_need_a_height(height: float) -> None:
    with pytest.raises(ValueError, match="height"):
        set_text("a", at=Point(0.0, 0.0), height=height)
