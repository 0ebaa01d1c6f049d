"""The row of beach huts, held to what is derived by hand.

Each corner turns by 60 degrees, to and fro, so the huts of width w run along 0, 60, 0 and 60
degrees: from end to end the row is w times |2 + 2 exp(i 60 deg)| = 2 sqrt(3) w long.  A door of
width b stands open by 55 degrees, its free edge b sin 55 deg before its hut.  Shut, the doors lie
in their huts and all four gables on each other, so the card is as wide as a hut, as high as its
ridge.
"""

from __future__ import annotations

import math

import pytest

from foldwright.lettering import set_text
from tests.patterns.posed import fold_angles, on_the_table

from .editions import proof, resolved

NAME = "beach-huts"

IN = 25.4

WORKED = pytest.mark.parametrize(
    ("variant", "hut", "ridge", "door"),
    [
        (None, 92, 130, 34),
        ("inch", 3.625 * IN, 5.125 * IN, 1.375 * IN),
        ("larger", 102, 146, 38),
    ],
)


@WORKED
class TestTheRow:
    def test_how_long_it_stands(
        self, variant: str | None, hut: float, ridge: float, door: float
    ) -> None:
        found = proof(NAME, variant)
        first = on_the_table(found, "standing", "hut 1", 0, 0)
        last = on_the_table(found, "standing", "hut 4", 4 * hut, 0)
        assert math.dist(first, last) == pytest.approx(2 * math.sqrt(3) * hut)
        for number in (1, 2, 3, 4):
            top = on_the_table(found, "standing", f"hut {number}", (number - 0.5) * hut, ridge)
            assert top[2] == pytest.approx(ridge)

    def test_how_far_its_doors_stand_open(
        self, variant: str | None, hut: float, ridge: float, door: float
    ) -> None:
        found = proof(NAME, variant)
        for number in (1, 2, 3, 4):
            name = f"hut {number}"
            left, right = ((number - 1) * hut, number * hut)
            begin = on_the_table(found, "standing", name, left, 0)
            end = on_the_table(found, "standing", name, right, 0)
            free = on_the_table(
                found, "standing", f"door {number}", (left + right + door) / 2, ridge / 4
            )
            along = ((end[0] - begin[0]) / hut, (end[1] - begin[1]) / hut)
            # Distance before the hut, to the right of the way along it: the viewer's side.
            before = (free[0] - begin[0]) * along[1] - (free[1] - begin[1]) * along[0]
            assert before == pytest.approx(door * math.sin(math.radians(55)), abs=1e-6)

    def test_how_it_is_shut(
        self, variant: str | None, hut: float, ridge: float, door: float
    ) -> None:
        found = proof(NAME, variant)
        angles = fold_angles(found, "closed")
        assert sum(abs(angle) < 1e-9 for angle in angles.values()) == 4
        for x, y in ((hut / 2, ridge), (0, 0)):
            # The same place of every hut, its sides swapped from one to the next.
            tops = [
                on_the_table(
                    found,
                    "closed",
                    f"hut {number}",
                    (number - 1) * hut + (x if number % 2 else hut - x),
                    y,
                )[:2]
                for number in (1, 2, 3, 4)
            ]
            for top in tops[1:]:
                assert top == pytest.approx(tops[0], abs=1e-6)

    def test_each_word_is_in_the_middle_of_its_hut(
        self, variant: str | None, hut: float, ridge: float, door: float
    ) -> None:
        (piece,) = resolved(NAME, variant).pieces
        words = [mark for mark in piece.marks if mark.text]
        assert [mark.text for mark in words] == ["COME", "TO OUR", "SUMMER", "PARTY"]
        for number, mark in enumerate(words):
            assert mark.text is not None
            assert mark.at is not None
            assert mark.height is not None
            xs = [
                float(vertex.at.x)
                for path in set_text(mark.text, at=mark.at, height=mark.height).strokes
                for vertex in path.vertices
            ]
            middle = (min(xs) + max(xs)) / 2
            assert middle == pytest.approx((number + 0.5) * hut, abs=0.02 * hut)
