"""The pattern stepped-pop-up: boxes on each other, each one narrower and set back.

By hand, with gutter g, first height h, rise r, first depth d and set-back s: box k = 1, 2, ... is
d - (k - 1) s deep and its top lies at g + h + (k - 1) r on the sheet.  Its mountain lies its depth
below that, the valley at its foot its own height below the mountain, which is its depth below the
top of the box before (below the gutter for the first): so its top and front are as long as what
they cover, and its slits run from that valley to its top.

Standing at right angles its upper front edge is as high above the floor as all heights up to it,
and as far from the wall as it is deep.  Shut, that edge is the sum of the two from the gutter.

Every box adds two loops, one a slit, and one motion is left, none with the gutter held.  Shut, the
front of box k lies from its depth and the heights below it to its depth and the heights up to it,
its top from the heights up to it to the same place, less what the next box is cut from, the wall
from all heights on.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.problems import DesignError

from .posed import fold_angles, on_the_table, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

NAME = "stepped-pop-up"


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "factor", "tops", "edges", "feet", "lefts"),
        [
            (Unit.MM, 1, (135, 159, 183), (90, 129, 168), (60, 105, 144), (24, 40, 56)),
            (
                Unit.IN,
                Fraction("25.4"),
                (Fraction(11, 2), Fraction(51, 8), Fraction(29, 4)),
                (Fraction(15, 4), Fraction(41, 8), Fraction(13, 2)),
                (Fraction(5, 2), Fraction(17, 4), Fraction(45, 8)),
                (Fraction(7, 8), Fraction(3, 2), Fraction(17, 8)),
            ),
        ],
    )
    def test_the_worked_example(
        self,
        units: Unit,
        factor: Fraction | int,
        tops: tuple[Fraction, ...],
        edges: tuple[Fraction, ...],
        feet: tuple[Fraction, ...],
        lefts: tuple[Fraction, ...],
    ) -> None:
        (piece,) = resolved(NAME, units).pieces
        folds = {fold.name: fold for fold in piece.folds}
        slits = {slit.name: slit.path for slit in piece.slits}
        backs = ("left box 1 back", "left box 2 back", "box 3 back")
        for k in range(3):
            edge, foot, back = folds[f"box {k + 1} 1"], folds[f"box {k + 1} 2"], folds[backs[k]]
            assert (edge.senses, foot.senses, back.senses) == (
                ("mountain",), ("valley",), ("valley",),
            )  # fmt: skip
            assert edge.path.start.y == edges[k] * factor
            assert foot.path.start.y == feet[k] * factor
            assert back.path.start.y == tops[k] * factor
            slit = slits[f"box {k + 1} left"]
            assert (slit.start.x, slit.start.y) == (lefts[k] * factor, feet[k] * factor)
            assert (slit.end.x, slit.end.y) == (lefts[k] * factor, tops[k] * factor)
        # The fold at the back of a box ends where the next box is cut across it.
        assert folds["left box 1 back"].path.end.x == lefts[1] * factor
        assert folds["right box 2 back"].path.end.x == slits["box 2 right"].start.x

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof(NAME)) == (148, 105)
        assert closed_mm(proof(NAME, Unit.IN)) == pytest.approx((5.5 * 25.4, 4.25 * 25.4))


class TestHowItStands:
    @pytest.mark.parametrize("boxes", [2, 3, 4, 5])
    def test_any_number_of_boxes(self, boxes: int) -> None:
        found = proof(
            NAME, length="300", width="200", boxes=str(boxes), box_width="150", narrower="12",
            box_depth="60", set_back="10", box_height="30", rise="13",
        )  # fmt: skip
        assert found.verdict is Verdict.CLOSES
        (piece,) = found.pieces
        assert [loop.exact for loop in piece.closings] == [True] * (2 * boxes)
        # Three folds a box, each but the last with a fold on both sides at its back; two gutters.
        assert len(piece.division.piece.folds) == 2 + 4 * boxes - 1
        assert {panel.name for panel in piece.division.panels} == {
            "wall",
            "floor",
            *(f"top {k}" for k in range(1, boxes + 1)),
            *(f"front {k}" for k in range(1, boxes + 1)),
        }
        for k in range(boxes):
            depth, top = 60 - 10 * k, 150 + 30 + 13 * k
            _, y, z = on_the_table(found, "standing", f"top {k + 1}", 100, top - depth)
            assert (150 - y, z) == pytest.approx((depth, 30 + 13 * k))

    def test_one_motion_opens_all(self) -> None:
        found = proof(NAME)
        angles = fold_angles(found, "standing")
        assert list(angles.values()) == pytest.approx([90] * 13)
        standing = pose_of(found, "standing")
        freedom, released = standing.freedom, standing.released
        assert freedom is not None
        assert released is not None
        assert (freedom.count, released.count) == (0, 1)

    @given(
        st.fractions(12, 25, max_denominator=16),
        st.fractions(12, 25, max_denominator=16),
        st.fractions(5, 11, max_denominator=16),
    )
    @settings(max_examples=10, deadline=None)
    def test_any_steps_close_exactly(
        self, height: Fraction, rise: Fraction, set_back: Fraction
    ) -> None:
        found = proof(
            NAME, length="240", box_depth="36", set_back=str(set_back), box_height=str(height),
            rise=str(rise),
        )  # fmt: skip
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0
        for k in range(3):
            top = 120 + height + k * rise
            edge = top - (36 - k * set_back)
            _, y, z = on_the_table(found, "closed", f"front {k + 1}", 74, edge)
            # The closed card lies on its wall or its floor: so far from the gutter either way.
            assert (abs(120 - y), z) == pytest.approx((top - 120 + top - edge, 0), abs=1e-9)

    @pytest.mark.parametrize(
        ("values", "plies"),
        [
            # Fronts from 45 to 75, from 60 to 84 and from 69 to 93 mm; from 78 mm on the wall.  At
            # 72 mm: floor, front 1, top 1, front 2, top 2, front 3; at 80 mm floor, front 2, top 2,
            # front 3, top 3, wall.
            ({}, 6),
            # Fronts from 20 to 32 and from 24 to 74 mm, the wall from 62 mm on.
            (
                {
                    "boxes": "2",
                    "box_depth": "20",
                    "set_back": "8",
                    "box_height": "12",
                    "rise": "50",
                },
                4,
            ),
        ],
    )
    def test_the_plies_when_it_is_shut(self, values: dict[str, str], plies: int) -> None:
        found = proof(NAME, Unit.MM, **values)
        card = found.profiles["card"]
        assert card is not None
        assert found.closed is not None
        assert found.closed.thickness_mm == pytest.approx(plies * float(card.caliper.value))


class TestLimits:
    def test_the_first_and_the_last_box_stay_inside(self) -> None:
        # 105 - 2 mm are left to the first height and depth, and to all heights and the last depth.
        first = {"box_depth": "60", "set_back": "24"}
        assert not proof(NAME, Unit.MM, **first, box_height="43", rise="24").mends
        assert rules_of(NAME, Unit.MM, **first, box_height="43.1", rise="12") == {
            ("above-most", "box_height")
        }
        assert not proof(NAME, box_height="30", rise="29").mends
        assert rules_of(NAME, box_height="30", rise="29.1") == {("above-most", "rise")}

    def test_each_box_leaves_room_for_the_next(self) -> None:
        assert rules_of(NAME, narrower="9") == {("below-least", "narrower")}
        assert rules_of(NAME, narrower="21") == {("above-most", "narrower")}
        assert rules_of(NAME, set_back="16.6") == {("above-most", "set_back")}
        assert rules_of(NAME, rise="11") == {("below-least", "rise")}

    def test_how_many(self) -> None:
        assert rules_of(NAME, boxes="1") == {("below-least", "boxes")}
        assert rules_of(NAME, boxes="6") == {("above-most", "boxes")}

    def test_a_limit_of_a_count_is_whole(self) -> None:
        # (76.2 - 20) / 20 = 2.81 boxes find room.
        with pytest.raises(DesignError) as caught:
            resolved(NAME, width="76.2", length="152.4")
        (told,) = caught.value.problems
        assert 'the measure "boxes" is 3, its most is 2' in told.message
        # The narrower box of two: 76.2 - 20 mm.
        assert told.mend.startswith('make together "boxes" 2, "box_width" 56.2 mm')
