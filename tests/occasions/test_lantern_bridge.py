"""The lantern bridge, held to what is derived by hand.

With gutter g, height h, depth d and lanterns l high, the deck leaves the wall at g + h, its edge is
at g + h - d, the piers stand at g - d: deck and floor behind are both d, front and wall behind are
both h, so every slit and opening of the bridge closes at each angle.

At a right angle the edge of the deck is h above the river and d before the wall, and the tip of a
lantern, which lies l beyond that edge on the sheet and belongs to the front, is h + l above it.
Shut, the front lies from d to d + h from the gutter, and the lanterns reach l further: d + h + l
stays inside the page.
"""

from __future__ import annotations

import math

import pytest

from tests.patterns.posed import fold_angles, on_the_table

from .editions import proof, resolved

NAME = "lantern-bridge"

IN = 25.4

WORKED = pytest.mark.parametrize(
    ("variant", "width", "gutter", "high", "deck", "lantern", "pier", "arch"),
    [
        # Arches: (148 - 2 x 20 - 3 x 12) / 2 = 36 and (5 3/4 - 2 x 3/4 - 3 x 1/2) / 2 = 1 3/8.
        (None, 148, 105, 38, 32, 22, 12, 36),
        ("inch", 5.75 * IN, 4.125 * IN, 1.5 * IN, 1.25 * IN, 0.875 * IN, 0.5 * IN, 1.375 * IN),
        ("stiff", 148, 105, 38, 32, 22, 12, 36),
    ],
)


@WORKED
class TestTheBridge:
    def test_where_its_folds_lie(
        self,
        variant: str | None,
        width: float,
        gutter: float,
        high: float,
        deck: float,
        lantern: float,
        pier: float,
        arch: float,
    ) -> None:
        (piece,) = resolved(NAME, variant).pieces
        at = {
            fold.name: tuple(
                float(one) for end in (fold.path.start, fold.path.end) for one in (end.x, end.y)
            )
            for fold in piece.folds
        }
        edges = [at[f"edge {number}"][1] for number in (1, 2, 3, 4)]
        assert edges == pytest.approx([gutter + high - deck] * 4)
        assert at["back of the deck"][1] == pytest.approx(gutter + high)
        piers = [at[f"pier {number}"] for number in (1, 2, 3)]
        assert [one[2] - one[0] for one in piers] == pytest.approx([pier] * 3)
        assert [one[1] for one in piers] == pytest.approx([gutter - deck] * 3)
        assert piers[1][0] - piers[0][2] == pytest.approx(arch)
        assert piers[2][0] - piers[1][2] == pytest.approx(arch)

    def test_how_it_stands(
        self,
        variant: str | None,
        width: float,
        gutter: float,
        high: float,
        deck: float,
        lantern: float,
        pier: float,
        arch: float,
    ) -> None:
        found = proof(NAME, variant)
        angles = fold_angles(found, "standing")
        assert [abs(one) for one in angles.values()] == pytest.approx([90] * len(angles))
        front, edge = "front of the bridge", gutter + high - deck
        wall = on_the_table(found, "standing", "wall", width / 2, 2 * gutter)
        below = on_the_table(found, "standing", front, width / 2, gutter - deck)
        rim = on_the_table(found, "standing", front, width / 2, edge)
        tip = on_the_table(found, "standing", front, width / 2, edge + lantern)
        assert below[2] == pytest.approx(0, abs=1e-6)
        assert rim[2] == pytest.approx(high)
        assert tip[2] == pytest.approx(high + lantern)
        for place in (below, rim, tip):
            assert wall[1] - place[1] == pytest.approx(deck)

    def test_how_far_its_lanterns_reach_when_it_is_shut(
        self,
        variant: str | None,
        width: float,
        gutter: float,
        high: float,
        deck: float,
        lantern: float,
        pier: float,
        arch: float,
    ) -> None:
        found = proof(NAME, variant)
        front, edge = "front of the bridge", gutter + high - deck
        tip = on_the_table(found, "closed", front, width / 2, edge + lantern)
        spine = on_the_table(found, "closed", "wall", width / 2, gutter)
        page = on_the_table(found, "closed", "wall", width / 2, 2 * gutter)
        assert math.dist(tip[:2], spine[:2]) == pytest.approx(deck + high + lantern)
        assert math.dist(page[:2], spine[:2]) == pytest.approx(gutter)
        assert deck + high + lantern <= gutter - 2
