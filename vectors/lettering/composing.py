"""This module puts accents on letters: a sign that is not in the alphabet is made of its parts.

The parts are those of Unicode's canonical decomposition, which Python's own tables hold.
"""

from __future__ import annotations

import unicodedata
from fractions import Fraction
from functools import cache

from ..geometry import Path, Point, Vector, union_box
from . import alphabet
from .glyphs import CAPITAL, Glyph, accents, glyphs, on_grid

# How far an accent stands off the top of its letter, in units of the grid.
GAP = Fraction(5, 2)

# How near an accent may come to the edge of the sign before and after.
_LEAST_ASIDE = Fraction(1)

_ABOVE = 230  # Unicode's class of the accents that stand above

_CEDILLA, _OGONEK, _CARON = "\u0327", "\u0328", "\u030c"
_COMMA_BELOW, _COMMA_ABOVE, _COMMA_BESIDE = "\u0326", "\u0312", "\u0315"

# Letters lose their dot under an accent.
_DOTLESS = {"i": "\u0131", "j": "\u0237"}

# The cedilla of these letters is a comma, since they have no foot in their middle, and
# the caron of tall ones stands beside them (the habit of Latvian and of Czech and Slovak
# print: common practice, no source).
_WITH_COMMA = frozenset("GKLNRklnr")
_WITH_CARON_BESIDE = frozenset("dtlL")


@cache
def glyph_of(sign: str) -> Glyph | None:
    """The glyph of a sign, a letter with all that combines with it; None where a part lacks."""
    sign = alphabet.ALIKE.get(sign, sign)
    direct = glyphs().get(sign)
    if direct is not None:
        return direct
    parts = unicodedata.normalize("NFD", sign)
    letter, marks = parts[0], parts[1:]
    if not marks:
        return None
    if letter in _DOTLESS and any(unicodedata.combining(mark) == _ABOVE for mark in marks):
        letter = _DOTLESS[letter]
    base = glyphs().get(letter)
    if base is None or not base.strokes or not all(mark in accents() for mark in marks):
        return None
    strokes = base.strokes
    for mark in marks:
        strokes += _placed(letter, base, strokes, mark)
    return _with_room(base, strokes)


def _placed(letter: str, base: Glyph, so_far: tuple[Path, ...], mark: str) -> tuple[Path, ...]:
    """The strokes of an accent where it belongs, clear of those that are there already."""
    left, _, right, _ = base.box()
    _, bottom, _, top = union_box(stroke.box() for stroke in so_far)
    middle = on_grid((left + right) / 2.0)
    if mark == _CARON and letter in _WITH_CARON_BESIDE:
        high = max(Fraction(at.x) for at in _places(base) if at.y >= CAPITAL - 3)
        return _moved(_COMMA_BESIDE, high + GAP, Fraction(0))
    if mark == _CEDILLA and letter == "g":
        return _moved(_COMMA_ABOVE, middle, on_grid(top) + GAP)
    if mark == _OGONEK:
        # It hangs on the last foot of the letter.
        foot = max((at for at in _places(base) if at.y <= 1), key=lambda at: (at.x, -at.y))
        return _moved(mark, Fraction(foot.x), Fraction(foot.y))
    if mark == _CEDILLA and letter in _WITH_COMMA:
        mark = _COMMA_BELOW
    above = unicodedata.combining(mark) == _ABOVE
    return _moved(mark, middle, on_grid(top) + GAP if above else on_grid(min(bottom, 0.0)))


def _places(glyph: Glyph) -> list[Point]:
    return [vertex.at for stroke in glyph.strokes for vertex in stroke.vertices]


def _moved(mark: str, x: Fraction, y: Fraction) -> tuple[Path, ...]:
    return tuple(path.moved(Vector(x, y)) for path in accents()[mark])


def _with_room(base: Glyph, strokes: tuple[Path, ...]) -> Glyph:
    """The glyph, wider than its letter where an accent would touch the signs beside it."""
    left, _, right, _ = union_box(stroke.box() for stroke in strokes)
    before = max(Fraction(0), _LEAST_ASIDE - on_grid(left))
    after = max(Fraction(0), _LEAST_ASIDE - (base.advance - on_grid(right)))
    # Signs that had less room than that to begin with keep it.
    own_left, _, own_right, _ = base.box()
    before = before if left < own_left else Fraction(0)
    after = after if right > own_right else Fraction(0)
    by = Vector(before, Fraction(0))
    return Glyph(
        strokes=tuple(path.moved(by) for path in strokes), advance=base.advance + before + after
    )
