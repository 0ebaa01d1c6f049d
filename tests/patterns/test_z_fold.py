"""The pattern z-fold: three panels a, b, c, folded to and fro.

By hand, with the first panel from 0 to a: the first fold lies at a and the middle panel goes
back from it to a - b; there the second fold lies, and the last panel goes on to a - b + c.  The
closed card reaches from min(0, a - b) to max(a, a - b + c).  Where b <= a that is
max(a, a - b + c), and no less than b or c; else it is max(b, c), and no less than a or
a - b + c.  So it is always max(a, b, c, a - b + c) wide: 100, 50 and 100 mm close to 150 mm,
which is more than the widest panel.

Standing.  Each panel stands at right angles to the one before: like stairs from above.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.measures import Unit

from .posed import extent, pose_of
from .published import iso, quarter_letter_mm
from .shipped import closed_mm, proof, resolved, rules_of
from .shut import box_of, front_up, lies_above

IN = Fraction("25.4")


class TestWhereEverythingLies:
    @pytest.mark.parametrize(
        ("units", "factor", "folds", "sheet"),
        [
            (Unit.MM, 1, (105, 210), (315, 148)),
            (
                Unit.IN,
                IN,
                (Fraction("4.25"), Fraction("8.5")),
                (Fraction("12.75"), Fraction("5.5")),
            ),
        ],
    )
    def test_both_editions(
        self,
        units: Unit,
        factor: Fraction | int,
        folds: tuple[Fraction, ...],
        sheet: tuple[Fraction, Fraction],
    ) -> None:
        (piece,) = resolved("z-fold", units).pieces
        assert [fold.path.start.x for fold in piece.folds] == [place * factor for place in folds]
        assert [fold.senses for fold in piece.folds] == [("valley",), ("mountain",)]
        corner = piece.outline.vertices[2].at
        assert (corner.x, corner.y) == (sheet[0] * factor, sheet[1] * factor)

    def test_it_closes_to_a6_and_to_a_quarter_of_a_letter_sheet(self) -> None:
        assert closed_mm(proof("z-fold")) == iso("A6")
        assert closed_mm(proof("z-fold", Unit.IN)) == pytest.approx(quarter_letter_mm())

    def test_equal_panels_are_flush_and_lie_in_their_order(self) -> None:
        found = proof("z-fold")
        names = ("first", "middle", "last")
        assert {box_of(found, name) for name in names} == {(0, 0, 105, 148)}
        assert lies_above(found, "last", "middle")
        assert lies_above(found, "middle", "first")
        assert [front_up(found, name) for name in names] == [True, False, True]


class TestClosed:
    @pytest.mark.parametrize(
        ("first", "middle", "last", "width"),
        [
            (100, 100, 100, 100),
            # A half page in front.
            (50, 100, 100, 100),
            # The last panel reaches past the first by what the middle one is shorter.
            (100, 50, 100, 150),
            # A middle panel that both others leave free at one edge.
            (60, 100, 60, 100),
        ],
    )
    def test_worked_widths(self, first: int, middle: int, last: int, width: int) -> None:
        found = proof("z-fold", first=str(first), middle=str(middle), last=str(last))
        assert closed_mm(found) == (width, 148)

    @given(st.integers(20, 300), st.integers(20, 300), st.integers(0, 16))
    @settings(max_examples=20)
    def test_any_panels_lie_where_they_are_reckoned(
        self, first: int, middle: int, share: int
    ) -> None:
        least = max(20, middle - first)
        last = Fraction(least) + Fraction((300 - least) * share, 16)
        found = proof("z-fold", first=str(first), middle=str(middle), last=str(last))
        back = Fraction(first - middle)
        spans = {
            "first": (Fraction(0), Fraction(first)),
            "middle": (back, Fraction(first)),
            "last": (back, back + last),
        }
        left, right = min(Fraction(0), back), max(Fraction(first), back + last)
        for name, (start, end) in spans.items():
            # Where the middle panel is the largest, the card is seen from behind it.
            across = (float(start - left), float(end - left))
            if not front_up(found, "first"):
                across = (float(right - end), float(right - start))
            box = box_of(found, name)
            assert (box[0], box[2]) == pytest.approx(across, abs=1e-5)


class TestStanding:
    def test_each_panel_stands_across_the_one_before(self) -> None:
        # The first panel is the largest of equal ones, and stays where it is flat.
        found = proof("z-fold")
        assert extent(found, "standing", "first", 0) == (0, 105)
        assert extent(found, "standing", "middle", 0) == (105, 105)
        assert extent(found, "standing", "middle", 2) == (0, 105)
        assert extent(found, "standing", "last", 0) == (105, 210)
        assert extent(found, "standing", "last", 2) == (105, 105)

    def test_it_stands_on_its_lower_edges(self) -> None:
        standing = pose_of(proof("z-fold"), "standing").standing
        assert standing is not None
        rest = standing.asked
        assert (len(rest.touching), rest.lying, rest.stands) == (3, (), True)
        # Its centre is that of the middle edge, half way between the two others: from the line
        # from the free end of one to the far end of the middle one, 105 / sqrt(8) away.
        assert rest.margin_mm == pytest.approx(105 / 8**0.5, abs=1e-6)


class TestLimits:
    def test_the_last_panel_covers_what_the_first_leaves_free(self) -> None:
        resolved("z-fold", first="40", middle="100", last="60")
        assert rules_of("z-fold", first="40", middle="100", last="59.9") == {
            ("below-least", "last")
        }

    def test_panels_are_pages(self) -> None:
        # The middle panel is as wide as the first: one cause, told once.
        assert rules_of("z-fold", first="19.9", last="105") == {("below-least", "first")}
        assert ("above-most", "middle") in rules_of("z-fold", middle="301")
