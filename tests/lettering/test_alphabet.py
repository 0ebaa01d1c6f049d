"""The alphabet: every sign is there, in its room, unlike every other; accents in their places."""

from __future__ import annotations

import math
import unicodedata
from fractions import Fraction
from itertools import combinations
from pathlib import Path as FilePath

import numpy as np
import pytest

from foldwright.geometry import Path
from foldwright.geometry.boxes import overlapping
from foldwright.geometry.meetings import Overlap, meetings
from foldwright.lettering import CAPITAL, Glyph, glyph_of
from foldwright.lettering.alphabet import ALIKE
from foldwright.lettering.composing import GAP
from foldwright.lettering.glyphs import accents, glyphs, read_glyphs
from foldwright.writers import WriteOptions
from foldwright.writers.svg import writer
from tests.lettering.specimen import SIGNS, specimen

GOLDEN = FilePath(__file__).parents[1] / "golden" / "lettering" / "specimen.svg"

# The printable signs of three blocks of Unicode, by the tables of Python's standard
# library (unicodedata, made from the Unicode Character Database): Basic Latin, Latin-1
# Supplement, Latin Extended-A.  What is a format character, as the soft hyphen, is no sign.
BLOCKS = tuple(
    chr(number)
    for first, last in ((0x20, 0x7F), (0x80, 0xFF), (0x100, 0x17F))
    for number in range(first, last + 1)
    if unicodedata.category(chr(number)) not in ("Cc", "Cf")
)

FURTHER = "–—−‘’“”„‹›…•€←→↑↓ẞȘșȚțŷẀẁẂẃẄẅỲỳ½¼¾⅛⅜⅝⅞ạẹịọụế"


def the(sign: str) -> Glyph:
    found = glyph_of(sign)
    assert found is not None, (sign, unicodedata.name(sign))
    return found


@pytest.mark.parametrize("sign", [*BLOCKS, *FURTHER])
def test_every_sign_is_there_and_in_its_room(sign: str) -> None:
    glyph = the(sign)
    assert glyph.advance > 0
    if unicodedata.category(sign) == "Zs":
        assert glyph.strokes == ()
        return
    left, bottom, right, top = glyph.box()
    assert left >= -0.05
    assert right <= glyph.advance + Fraction(1, 20)
    # Two accents above each other need more, and only they.
    assert bottom >= -5.05 and top <= (18.05 if len(unicodedata.normalize("NFD", sign)) < 3 else 20)
    for stroke in glyph.strokes:
        assert not stroke.closed
        assert all(segment.chord > 0.0 for segment in stroke.segments)
        assert all(vertex.at.exact for vertex in stroke.vertices)


STANDING = {
    (0.0, 12.0): "ABCDEFGHIJKLMNOPRSTUVWXYZ0123456789bdfhklß",
    (0.0, 11.0): "t",
    (0.0, 8.0): "acemnorsuvwxzæœı",
    (-4.0, 8.0): "gpqyµ",
    (-4.0, 11.5): "j",
}


@pytest.mark.parametrize(("bottom", "top"), STANDING)
def test_letters_stand_on_their_lines(bottom: float, top: float) -> None:
    for sign in STANDING[bottom, top]:
        assert the(sign).box()[1::2] == pytest.approx((bottom, top), abs=1e-6), sign


def test_figures_are_of_one_width() -> None:
    assert {the(sign).advance for sign in "0123456789"} == {10}


def dots(glyph: Glyph) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """Places along the strokes, a quarter of a unit apart, from the leftmost on."""
    places = [
        segment.at(step / count).floats()
        for stroke in glyph.strokes
        for segment in stroke.segments
        for count in (max(1, math.ceil(segment.length * 4.0)),)
        for step in range(count + 1)
    ]
    found = np.array(places)
    found[:, 0] -= found[:, 0].min()
    return found


def test_no_two_signs_look_the_same() -> None:
    """Laid on each other, some place of one is a whole width of a fine pen off the other."""
    signs = [s for s in dict.fromkeys((*BLOCKS, *FURTHER)) if s not in ALIKE and the(s).strokes]
    places = {sign: dots(the(sign)) for sign in signs}
    boxes = {
        sign: np.array([*found.min(axis=0), *found.max(axis=0)]) for sign, found in places.items()
    }
    for a, b in combinations(signs, 2):
        if np.abs(boxes[a] - boxes[b]).max() >= 0.6:
            continue
        apart = np.hypot(*(places[a][:, None] - places[b][None]).transpose(2, 0, 1))
        assert max(apart.min(axis=0).max(), apart.min(axis=1).max()) >= 0.6, (a, b)


def test_the_signs_that_are_alike_are_told_to_be() -> None:
    for sign, other in ALIKE.items():
        assert sign not in glyphs()
        assert glyph_of(sign) == the(other)


@pytest.mark.parametrize("sign", [*BLOCKS, *FURTHER])
def test_no_stroke_is_drawn_twice(sign: str) -> None:
    segments = [segment for stroke in the(sign).strokes for segment in stroke.segments]
    for i, j in overlapping([segment.box() for segment in segments], 1e-3):
        met = meetings(segments[i], segments[j], 1e-3)
        assert not any(isinstance(one, Overlap) for one in met), (segments[i], segments[j])


def shape(strokes: tuple[Path, ...]) -> list[tuple[tuple[float, float, float], ...]]:
    """The strokes without the place where they lie."""
    x, y = strokes[0].start.floats()
    return [
        tuple(
            (round(float(v.at.x) - x, 6), round(float(v.at.y) - y, 6), round(v.bulge, 9))
            for v in stroke.vertices
        )
        for stroke in strokes
    ]


# Words of Unicode's names and the combining accents that they mean (Unicode Character
# Database, as Python's standard library has it).
NAMED = {
    "GRAVE": "\u0300", "ACUTE": "\u0301", "CIRCUMFLEX": "\u0302", "TILDE": "\u0303",
    "MACRON": "\u0304", "BREVE": "\u0306", "DOT ABOVE": "\u0307", "DIAERESIS": "\u0308",
    "RING ABOVE": "\u030a", "DOUBLE ACUTE": "\u030b", "CARON": "\u030c",
    "CEDILLA": "\u0327", "OGONEK": "\u0328",
}  # fmt: skip

# Common practice, no source: Czech, Slovak and Latvian print.
OTHERWISE = {
    **dict.fromkeys("ďťľĽ", "\u0315"),
    **dict.fromkeys("ĢĶĻŅŖķļņŗ", "\u0326"),
    "ģ": "\u0312",
}

COMPOSED = [
    sign
    for sign in BLOCKS
    if " WITH " in unicodedata.name(sign, "") and len(unicodedata.normalize("NFD", sign)) == 2
]


def test_all_accented_letters_of_the_two_blocks_are_looked_at() -> None:
    assert len(COMPOSED) == 161
    assert {"é", "Ő", "ç", "ų"} <= set(COMPOSED)


@pytest.mark.parametrize("sign", COMPOSED)
def test_a_letter_has_the_accent_that_its_name_says(sign: str) -> None:
    name = unicodedata.name(sign).partition(" WITH ")[2]
    parts = unicodedata.normalize("NFD", sign)
    letter, mark = parts[0], parts[1]
    assert NAMED[name] == mark
    base = the({"i": "ı", "j": "ȷ"}.get(letter, letter) if mark not in "\u0327\u0328" else letter)
    count = len(base.strokes)
    strokes = the(sign).strokes
    assert shape(strokes[:count]) == shape(base.strokes)
    drawn = OTHERWISE.get(sign, mark)
    assert shape(strokes[count:]) == shape(accents()[drawn])
    # In its place: above or below the letter, or beside the tall ones.
    own = Glyph(strokes=strokes[:count], advance=base.advance).box()
    put = Glyph(strokes=strokes[count:], advance=base.advance).box()
    if sign in "ďťľĽ":
        assert put[0] > own[0] and put[3] == pytest.approx(CAPITAL)
    elif mark in "\u0327\u0328" and sign != "ģ":
        assert put[3] <= 1.05 and put[1] >= -5.05
    else:
        assert put[1] - own[3] >= float(GAP) - 0.05
        assert (put[0] + put[2]) / 2.0 == pytest.approx((own[0] + own[2]) / 2.0, abs=0.1)


def test_accents_have_their_shapes() -> None:
    """The acute rises to the right, the grave falls; the hat points up, the caron down."""

    def ends(mark: str) -> list[tuple[float, float]]:
        (stroke,) = accents()[mark]
        return [vertex.at.floats() for vertex in stroke.vertices]

    acute, grave = sorted(ends("\u0301")), sorted(ends("\u0300"))
    assert acute[0][1] < acute[1][1] and grave[0][1] > grave[1][1]
    hat, caron = ends("\u0302"), ends("\u030c")
    assert hat[1][1] > hat[0][1] == hat[2][1]
    assert caron[1][1] < caron[0][1] == caron[2][1]
    assert len(accents()["\u0308"]) == len(accents()["\u030b"]) == 2


def test_accents_stand_on_each_other() -> None:
    single, double = the("ê").box(), the("ế").box()
    assert double[3] - single[3] == pytest.approx(5.0, abs=0.05)
    assert the("ệ").box()[1] < -3.0


def test_what_is_not_there_is_none() -> None:
    for sign in ("折", "ж", "\u0301", "e\u20dd", "\ue000", "\xad", "\u200b", "Ά"):
        assert glyph_of(sign) is None


@pytest.mark.parametrize(
    "text",
    ["A 1", "AB 1 1 0,0 1,1", "A 1 1 0,0", "A 1 1 0,0 +90", "A 1 1 =B", "A 1 1 =A",
     "A 1 1 0,0 1,1\nA 1 1 0,0 1,2", "A 1 1 0;0 1,1"],
)  # fmt: skip
def test_a_line_that_is_no_sign_is_refused(text: str) -> None:
    with pytest.raises(ValueError):
        read_glyphs(text)


def test_a_line_is_read_as_its_table_says() -> None:
    found = read_glyphs("a 1 2  0,0 +180 2,0 / *4,.5\nb .5 1  =a 1,0 / 0,0 0,1")
    half, ring = found["a"].strokes
    assert half.vertices[0].bulge == pytest.approx(1.0)
    # It turns left on the way from left to right: below the line.
    assert half.box() == pytest.approx((1.0, -1.0, 3.0, 0.0))
    assert ring.box() == pytest.approx((4.5, 0.0, 5.5, 1.0))
    assert found["a"].advance == Fraction(15, 2)
    assert found["b"].box() == pytest.approx((0.5, -1.0, 6.0, 1.0))
    assert found["b"].advance == 7


def test_the_specimen(request: pytest.FixtureRequest) -> None:
    """All signs on one sheet, to be looked at; update it with `--update-goldens`."""
    assert len(SIGNS) > 300
    data = writer.write(specimen(), WriteOptions())
    if request.config.getoption("--update-goldens"):
        GOLDEN.parent.mkdir(exist_ok=True)
        GOLDEN.write_bytes(data)
    assert data == GOLDEN.read_bytes(), "update with --update-goldens"
