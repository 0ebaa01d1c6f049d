"""The pattern side-steps: a plain strip beside steps.

Worked numbers: the five folds of the wide part lie at 35, 65, 100, 130 and 165 mm from the
top on a sheet of 148 x 210 mm, the gutter at 105 mm, the slit 50 mm from the left edge
(common practice, no source); the inch edition at 1 3/8, 2 1/2, 3 7/8, 5 and 6 3/8 in on
5 3/4 x 8 1/4 in.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design import load_pattern
from foldwright.folding import Verdict
from foldwright.measures import Unit
from foldwright.problems import DesignError

from .shipped import closed_mm, proof, resolved, rules_of


class TestSideSteps:
    @pytest.mark.parametrize(
        ("units", "factor", "sheet", "folds", "gutter", "slit"),
        [
            (Unit.MM, 1, (148, 210), (35, 65, 100, 130, 165), 105, (50, 35, 165)),
            (
                Unit.IN,
                Fraction("25.4"),
                (Fraction(23, 4), Fraction(33, 4)),
                (Fraction(11, 8), Fraction(5, 2), Fraction(31, 8), 5, Fraction(51, 8)),
                Fraction(33, 8),
                (2, Fraction(11, 8), Fraction(51, 8)),
            ),
        ],
    )
    def test_the_worked_example(
        self,
        units: Unit,
        factor: Fraction | int,
        sheet: tuple[Fraction, Fraction],
        folds: tuple[Fraction, ...],
        gutter: Fraction,
        slit: tuple[Fraction, Fraction, Fraction],
    ) -> None:
        (piece,) = resolved("side-steps", units).pieces
        width, length = sheet
        assert piece.outline.vertices[2].at.x == width * factor
        assert piece.outline.vertices[2].at.y == length * factor
        # From the top of the sheet down, as a person measures.
        by_name = {fold.name: fold for fold in piece.folds}
        found = [length * factor - by_name[f"steps {i}"].path.start.y for i in range(1, 6)]
        assert found == [place * factor for place in folds]
        assert length * factor - by_name["gutter"].path.start.y == gutter * factor
        assert [fold.senses for fold in (by_name[f"steps {i}"] for i in range(1, 6))] == [
            ("valley",), ("mountain",), ("valley",), ("mountain",), ("valley",),
        ]  # fmt: skip
        assert by_name["gutter"].senses == ("valley",)
        (cut,) = piece.slits
        assert {(at.x, length * factor - at.y) for at in (cut.path.start, cut.path.end)} == {
            (slit[0] * factor, slit[1] * factor),
            (slit[0] * factor, slit[2] * factor),
        }

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof("side-steps")) == (148, 105)
        assert closed_mm(proof("side-steps", Unit.IN)) == (146.05, 104.775)

    @pytest.mark.parametrize("steps", range(1, 9))
    def test_any_number_of_steps_closes(self, steps: int) -> None:
        found = proof(
            "side-steps",
            length="900", steps=str(steps), tread=f"240/{steps}", riser=f"200/{steps}",
        )  # fmt: skip
        assert found.verdict is Verdict.CLOSES
        (piece,) = found.pieces
        names = {panel.name for panel in piece.division.panels}
        assert names == {
            "wall",
            "floor",
            *(f"tread {i}" for i in range(1, steps + 1)),
            *(f"riser {i}" for i in range(1, steps + 1)),
        }
        assert len(piece.division.piece.folds) == 2 * steps + 2
        (loop,) = piece.closings
        assert loop.exact

    @given(
        st.integers(1, 8),
        st.fractions(12, 40, max_denominator=16),
        st.fractions(6, 40, max_denominator=16),
        st.fractions(0, 60, max_denominator=16),
        st.fractions(10, 130, max_denominator=16),
    )
    def test_any_sheet_within_the_limits_closes(
        self, steps: int, tread: Fraction, riser: Fraction, above: Fraction, strip: Fraction
    ) -> None:
        # A page long enough that nothing spills, whichever of the two rules binds.
        page = max(steps * tread + riser, steps * riser + tread) + 2 + above
        page = max(page, steps * max(tread, riser) + 8, Fraction(40))
        found = proof(
            "side-steps",
            length=str(2 * page), steps=str(steps), tread=str(tread), riser=str(riser),
            strip=str(strip),
        )  # fmt: skip
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0

    def test_panels_are_where_their_names_say(self) -> None:
        (piece,) = proof("side-steps").pieces
        box = {panel.name: panel.box for panel in piece.division.panels}
        for step, top in ((1, 175), (2, 110)):
            assert box[f"tread {step}"] == pytest.approx((50, top - 30, 148, top))
            assert box[f"riser {step}"] == pytest.approx((50, top - 65, 148, top - 30))
        assert box["wall"] == pytest.approx((0, 105, 148, 210))
        assert box["floor"] == pytest.approx((0, 0, 148, 105))

    def test_what_would_spill_is_refused(self) -> None:
        # The longer page is 105 mm; the band reaches 2 risers and a tread, or 2 treads and a
        # riser, beyond the gutter, and must end 2 mm short of it: 103 mm.
        resolved("side-steps", riser="36.5")
        assert rules_of("side-steps", riser="36.6") == {("above-most", "riser")}
        resolved("side-steps", tread="36", riser="31")
        assert rules_of("side-steps", tread="36.1", riser="31") == {("above-most", "tread")}

    def test_slits_keep_off_the_edges(self) -> None:
        # Two treads of 30 mm and 8 mm below the gutter; two risers of 35 mm and 8 mm above it.
        resolved("side-steps", gutter_y="132")
        assert rules_of("side-steps", gutter_y="132.1") == {("above-most", "gutter_y")}
        resolved("side-steps", gutter_y="68")
        assert rules_of("side-steps", gutter_y="67.9") == {("below-least", "gutter_y")}

    def test_counts_are_whole_and_bounded(self) -> None:
        assert ("above-most", "steps") in rules_of("side-steps", steps="9")
        assert ("above-most", "steps") in rules_of("side-steps", steps="1e9")
        assert ("below-least", "steps") in rules_of("side-steps", steps="0")
        assert ("not-a-count", "steps") in rules_of("side-steps", steps="1.5")
        assert ("below-least", "strip") in rules_of("side-steps", strip="9")
        assert ("above-most", "strip") in rules_of("side-steps", strip="139")
        assert ("below-least", "tread") in rules_of("side-steps", tread="11")

    def test_the_rule_of_spilling_is_told(self) -> None:
        about = load_pattern("side-steps").about
        assert "spills" in about
        assert "2 mm" in about


class TestWhatFits:
    """The limits of a pattern cannot be raised: it is told what fits, and what else to change."""

    def problems(self, units: Unit = Unit.MM, **overrides: str) -> list[tuple[str, str, str]]:
        with pytest.raises(DesignError) as caught:
            resolved("side-steps", units, **overrides)
        return [(one.rule, one.message, one.mend) for one in caught.value.problems]

    def test_too_many_steps_are_told_with_how_many_fit(self) -> None:
        # Two risers of 35 mm and a tread of 30 mm are 100 mm of the 103 that a page has.
        ((rule, message, mend),) = self.problems(steps="8")
        assert rule == "too-many-of-it"
        assert message == 'the measure "steps" is 8, and 2 is the most that fits here'
        # By hand: eight risers of 35 mm and a tread of 30 mm are 310 mm of half the length,
        # with 2 mm to its edge; no other measure alone makes room for them.
        assert mend == 'make it 2 or less, or "length" 624 mm to 900 mm'
        resolved("side-steps", steps="8", length="624")
        resolved("side-steps", steps="2")

    def test_more_than_the_pattern_ever_has(self) -> None:
        ((rule, message, mend),) = self.problems(steps="9")
        assert (rule, mend) == ("above-most", "make it 1 to 2")
        assert message == 'the measure "steps" is 9, its most is 8'

    def test_a_limit_is_told_as_a_range_and_what_it_follows_from(self) -> None:
        ((rule, message, mend),) = self.problems(strip="139")
        assert (rule, message) == (
            "above-most",
            'the measure "strip" is 139 mm, its most is 138 mm',
        )
        assert mend == 'make it 10 mm to 138 mm, or "width" 149 mm to 600 mm'

    def test_what_is_at_fault_is_told_and_not_what_has_no_room_for_it(self) -> None:
        # A riser of 120 mm leaves the gutter and the treads no room.  By hand, beside two
        # treads of 30 mm: 60 + r <= 103 and 2 r + 30 <= 103, so r <= 36.5.
        ((rule, message, mend),) = self.problems(riser="120")
        assert (rule, message) == (
            "above-most",
            'the measure "riser" is 120 mm, its most is 36.5 mm',
        )
        assert mend.startswith("make it 6 mm to 36.5 mm, or ")

    def test_the_values_that_are_told_keep_the_limits_of_the_others_too(self) -> None:
        # 2 t + 35 <= 103 would allow 34 mm, but then 2 * 35 + t <= 103 allows 33 only.
        ((_, _, mend),) = self.problems(tread="99")
        assert mend.startswith("make it 12 mm to 33 mm, or ")
        resolved("side-steps", tread="33")
        assert self.problems(tread="33.1")

    def test_where_no_one_value_will_do_the_way_out_is_told_once(self) -> None:
        # Two of each of 40 mm and one more, and 2 mm, are half of 244 mm.
        ((rule, _, mend),) = self.problems(length="100", tread="40", riser="40")
        assert (rule, mend) == ("no-room", 'make "length" 244 mm to 900 mm')
        resolved("side-steps", length="244", tread="40", riser="40")

    def test_limits_are_told_in_the_units_of_the_edition(self) -> None:
        ((_, message, mend),) = self.problems(Unit.IN, strip="5 3/8")
        assert message == 'the measure "strip" is 5 3/8 in, its most is 5.356 in'
        # Lines of a ruler inside the limits, 10 mm and 136.05 mm.
        assert mend == 'make it 7/16 in to 5 5/16 in, or "width" 5 13/16 in to 23 9/16 in'
        for strip in ("7/16", "5 5/16"):
            resolved("side-steps", Unit.IN, strip=strip)
