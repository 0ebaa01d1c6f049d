"""The pattern accordion: covers of width c, and folds inside that stay d back from their edges.

By hand, with the closed card from 0 to c and the first cover's free edge at 0.

Even.  Folds lie at c, d, c, d ... c, so all panels inside are c - d wide, and the last cover's
free edge is at 0 like the first one's.

Odd.  The last cover is turned round: its fold is at 0, its free edge at c.  Folds lie at c, d,
c - d, d, ... c - d, 0: the panels inside are c - d, c - 2 d ..., c - d wide.  Of three panels
both folds are those of covers, c and 0, so the middle one is c wide.

Closed.  c by the height.  Panels lie one on the other in turn, fronts up and down.

Worked: six panels of 74 mm with 1.5 mm have folds at 74, 146.5, 219, 291.5 and 364 mm on 438 mm;
of 3 in with 1/16 in at 3, 5 15/16, 8 7/8, 11 13/16 and 14 3/4 in on 17 3/4 in (common practice, no
source).  74 x 105 mm is A7, the half of A6.

Published: T15 of tests/published/thickness_folds.toml.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from foldwright.design import load_pattern
from foldwright.measures import Unit

from .posed import extent, pose_of
from .published import iso, taken
from .shipped import closed_mm, proof, resolved, rules_of
from .shut import box_of, front_up, lies_above, stack_of

IN = Fraction("25.4")

every_count = pytest.mark.parametrize("count", range(3, 17))


def names(count: int) -> list[str]:
    return ["first cover", *(f"page {page}" for page in range(1, count - 1)), "last cover"]


def widths(units: Unit = Unit.MM, **overrides: str) -> list[Fraction]:
    """The widths of the panels from the left."""
    (piece,) = resolved("accordion", units, **overrides).pieces
    places = [Fraction(fold.path.start.x) for fold in piece.folds]
    ends = [Fraction(0), *places, Fraction(piece.outline.vertices[2].at.x)]
    return [end - start for start, end in pairwise(ends)]


class TestWhereEverythingLies:
    def test_the_metric_edition(self) -> None:
        (piece,) = resolved("accordion", panels="6").pieces
        assert [fold.path.start.x for fold in piece.folds] == [
            74, Fraction("146.5"), 219, Fraction("291.5"), 364,
        ]  # fmt: skip
        assert piece.outline.vertices[2].at.x == 438
        assert [str(*fold.senses) for fold in piece.folds] == [
            "valley", "mountain", "valley", "mountain", "valley",
        ]  # fmt: skip

    def test_the_inch_edition(self) -> None:
        (piece,) = resolved("accordion", Unit.IN, panels="6").pieces
        assert [fold.path.start.x / IN for fold in piece.folds] == [
            3, Fraction("5.9375"), Fraction("8.875"), Fraction("11.8125"), Fraction("14.75"),
        ]  # fmt: skip
        assert piece.outline.vertices[2].at.x / IN == Fraction("17.75")

    def test_as_it_is_a_sheet_of_a4_makes_two(self) -> None:
        # 2 (74 + 72.5) = 293 mm of 297 mm, and 2 x 105 mm of 210 mm.
        (piece,) = resolved("accordion").pieces
        short, long = iso("A4")
        corner = piece.outline.vertices[2].at
        assert corner.floats() == (293, 105)
        assert corner.x <= long
        assert 2 * corner.y <= short

    def test_five_panels(self) -> None:
        assert widths(panels="5") == [74, Fraction("72.5"), 71, Fraction("72.5"), 74]

    def test_three_panels_are_a_z(self) -> None:
        assert widths(panels="3") == [74, 74, 74]

    def test_it_closes_to_a7(self) -> None:
        short, long = iso("A6")
        assert closed_mm(proof("accordion")) == (long // 2, short)
        assert closed_mm(proof("accordion", Unit.IN)) == pytest.approx((76.2, 107.95))

    def test_panels_inside_are_as_much_narrower_as_printers_make_them(self) -> None:
        (narrower,) = [p for p in load_pattern("accordion").parameters if p.name == "narrower"]
        assert Fraction(narrower.default_in) == taken("per_panel")
        cover, *inside, _ = (width / IN for width in widths(Unit.IN))
        assert {cover - width for width in inside} == {taken("per_panel")}


class TestClosed:
    @every_count
    def test_the_covers_are_flush_and_no_fold_creeps_out(self, count: int) -> None:
        found = proof("accordion", panels=str(count))
        first, *pages, last = (box_of(found, name) for name in names(count))
        assert {first, last} == {(0, 0, 74, 105)}
        # The folds inside lie back from every free edge of a cover: at the left the first one's,
        # and the last one's at the right where it is turned round.
        lefts, rights = [box[0] for box in pages], [box[2] for box in pages]
        if count % 2:
            assert lefts == [1.5] * (count - 3) + [0]
            assert rights == [74] + [72.5] * (count - 3)
        else:
            assert set(lefts) == {1.5}
            assert set(rights) == {74}

    @every_count
    def test_the_panels_lie_in_turn(self, count: int) -> None:
        found = proof("accordion", panels=str(count))
        row = names(count)
        for one, other in pairwise(row):
            assert lies_above(found, other, one)
            assert front_up(found, one) != front_up(found, other)
        # With an odd number both covers look the same way.
        assert (front_up(found, row[0]) == front_up(found, row[-1])) == bool(count % 2)
        thickest = stack_of(found).thickness.thickest
        assert thickest is not None
        assert len(thickest.plies) == count

    def test_nothing_need_be_narrower(self) -> None:
        assert widths(narrower="0", panels="5") == [74] * 5
        assert closed_mm(proof("accordion", narrower="0")) == (74, 105)


class TestStanding:
    def test_every_panel_stands_across_the_one_before(self) -> None:
        found = proof("accordion", panels="4", narrower="0")
        thin = [
            min((0, 2), key=lambda axis: spread(extent(found, "standing", name, axis)))
            for name in names(4)
        ]
        assert thin in ([0, 2, 0, 2], [2, 0, 2, 0])

    @pytest.mark.parametrize("count", [3, 4, 9, 16])
    def test_it_stands_on_its_lower_edges(self, count: int) -> None:
        standing = pose_of(proof("accordion", panels=str(count)), "standing").standing
        assert standing is not None
        rest = standing.asked
        assert (len(rest.touching), rest.lying, rest.stands) == (count, (), True)


class TestLimits:
    def test_counts(self) -> None:
        assert ("below-least", "panels") in rules_of("accordion", panels="2")
        assert ("above-most", "panels") in rules_of("accordion", panels="17")
        assert ("not-a-count", "panels") in rules_of("accordion", panels="4.5")

    def test_lengths(self) -> None:
        assert rules_of("accordion", cover="29") == {("below-least", "cover")}
        assert rules_of("accordion", narrower="5.1") == {("above-most", "narrower")}


def spread(ends: tuple[float, float]) -> float:
    return ends[1] - ends[0]
