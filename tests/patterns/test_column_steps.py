"""The pattern column-steps: stairs side by side, the lowest step of each a little higher.

By hand, with C columns of s steps, tread t, height H, lowest risers b(i) = low + (i - 1) rise for
i = 1 to C, gutter at g:

Folds.  Column i has the risers u(i) = (H - b(i)) / (s - 1), s - 1 times, then b(i).  From the top,
g + H, down: t, u, t, u ... t, b to g - s t.  With the worked measures (H = 80, t = 22, low = 22,
rise = 18, s = 2, g = 105) the columns have the risers 58 + 22, 40 + 40 and 22 + 58, and their
folds lie at 185, 163, then 105 and 83, 123 and 101, 141 and 119, all ending at 61.

Closure.  (s - 1) u(i) + b(i) = H and s t hold of every column, so any two of them, and each of
them and a strip of H above and s t below its gutter, reach equally far at every angle.

Closed.  Counted from the gutter, mountain fold k of column i lies at H + k t - (k - 1) u(i), linear
in k: from H + t to s t + b(i).  Its valley folds lie at H + k (t - u(i)), from H over
(s - 1) t + b(i), to s t.

Freedom.  With the left gutter held, wall and floor are fixed.  Each column is a chain of 2 s + 1
parallel folds that keeps three conditions of the plane: C (2 s - 2).

The worked measures are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import Resolved
from foldwright.folding import Verdict
from foldwright.measures import Unit

from .posed import extent, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

IN = Fraction("25.4")


def folds_of(found: Resolved, column: str) -> list[Fraction]:
    """Where the folds of a column lie, from the top down."""
    (piece,) = found.pieces
    prefix = f"column {column} "
    named = [fold for fold in piece.folds if fold.name is not None and fold.name.startswith(prefix)]
    senses = [str(*fold.senses) for fold in named]
    assert senses == [("valley", "mountain")[index % 2] for index in range(len(named))]
    return [Fraction(fold.path.start.y) for fold in named]


class TestWhereEverythingLies:
    def test_the_metric_edition(self) -> None:
        found = resolved("column-steps")
        assert folds_of(found, "A") == [185, 163, 105, 83, 61]
        assert folds_of(found, "B") == [185, 163, 123, 101, 61]
        assert folds_of(found, "C") == [185, 163, 141, 119, 61]
        (piece,) = found.pieces
        # 148 mm less two strips of 14 mm: three columns of 40 mm.
        assert [cut.path.start.x for cut in piece.slits] == [14, 54, 94, 134]
        for cut in piece.slits:
            assert sorted([cut.path.start.y, cut.path.end.y]) == [61, 185]

    def test_the_inch_edition(self) -> None:
        # Gutter at 4 1/8, H = 3 1/8, t = 7/8; risers 2 1/4 + 7/8, 1 9/16 + 1 9/16, 7/8 + 2 1/4.
        found = resolved("column-steps", Unit.IN)
        sixteenths = [[y / IN * 16 for y in folds_of(found, column)] for column in "ABC"]
        assert sixteenths == [
            [116, 102, 66, 52, 38],
            [116, 102, 77, 63, 38],
            [116, 102, 88, 74, 38],
        ]
        (piece,) = found.pieces
        assert [cut.path.start.x / IN * 8 for cut in piece.slits] == [5, 17, 29, 41]

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof("column-steps")) == (148, 105)
        assert closed_mm(proof("column-steps", Unit.IN)) == (146.05, 104.775)


class TestHowItCloses:
    @pytest.mark.parametrize("columns", range(2, 7))
    def test_any_number_of_columns(self, columns: int) -> None:
        found = proof("column-steps", columns=str(columns), rise="7.2")
        (piece,) = found.pieces
        # A slit between any two columns and one beside each strip, all exact.
        assert len(piece.closings) == columns + 1
        assert all(loop.exact for loop in piece.closings)
        assert found.gap_mm == 0

    @given(
        st.integers(2, 6),
        st.integers(2, 4),
        st.fractions(12, 30, max_denominator=16),
        st.fractions(6, 30, max_denominator=16),
        st.fractions(3, 20, max_denominator=16),
        st.fractions(0, 60, max_denominator=16),
    )
    @settings(max_examples=12)
    def test_any_heights(
        self,
        columns: int,
        steps: int,
        tread: Fraction,
        low: Fraction,
        rise: Fraction,
        more: Fraction,
    ) -> None:
        last = low + (columns - 1) * rise
        height = last + 6 * (steps - 1) + more
        # A page that neither slits nor columns leave.
        page = max(height + 8, height + tread + 2, steps * tread + 8, steps * tread + last + 2)
        page = max(page, Fraction(40))
        values: dict[str, Fraction | int] = {
            "length": 2 * page, "columns": columns, "steps": steps, "tread": tread,
            "height": height, "low": low, "rise": rise,
        }  # fmt: skip
        written = {name: str(value) for name, value in values.items()}
        found = resolved("column-steps", Unit.MM, **written)
        for index in range(columns):
            folds = folds_of(found, "ABCDEF"[index])
            apart = [upper - lower for upper, lower in pairwise(folds)]
            assert apart[0::2] == [tread] * steps
            assert sum(apart[1::2]) == height
            assert apart[-1] == low + index * rise
        proved = proof("column-steps", Unit.MM, **written)
        assert proved.verdict is Verdict.CLOSES
        assert proved.gap_mm == 0

    @pytest.mark.parametrize(("column", "lowest"), [("A", 22), ("B", 40), ("C", 58)])
    def test_how_far_a_column_reaches(self, column: str, lowest: int) -> None:
        found = proof("column-steps")
        stair = [f"column {column} {name} {i}" for name in ("tread", "riser") for i in (1, 2)]
        off = [abs(y - 105) for panel in stair for y in extent(found, "closed", panel, 1)]
        assert max(off) == max(80 + 22, 44 + lowest)
        assert min(off) == min(80, 22 + lowest, 44)

    @pytest.mark.parametrize(("low", "shows"), [("22", None), ("18", 4)])
    def test_a_low_step_shows_at_the_spine(self, low: str, shows: float | None) -> None:
        found = proof("column-steps", low=low)
        told = [one.measure_mm for one in found.findings if one.rule == "shows-beside"]
        assert told == ([] if shows is None else [pytest.approx(shows)])


class TestHowItStands:
    def test_each_step_is_higher_than_its_left_one(self) -> None:
        found = proof("column-steps")
        for column, lowest in (("A", 22), ("B", 40), ("C", 58)):
            # The gutter lies at 105 mm, the wall stands there; the table is z = 0.
            assert extent(found, "standing", f"column {column} tread 1", 2) == (80, 80)
            assert extent(found, "standing", f"column {column} tread 1", 1) == (83, 105)
            assert extent(found, "standing", f"column {column} tread 2", 2) == (lowest, lowest)
            assert extent(found, "standing", f"column {column} tread 2", 1) == (61, 83)
            assert extent(found, "standing", f"column {column} riser 2", 1) == (61, 61)

    @pytest.mark.parametrize(("columns", "steps"), [(2, 2), (3, 2), (2, 3)])
    def test_what_is_free(self, columns: int, steps: int) -> None:
        found = proof("column-steps", columns=str(columns), steps=str(steps), tread="15")
        pose = pose_of(found, "standing")
        assert pose.folded.reached
        assert pose.freedom is not None
        assert pose.freedom.count == columns * (2 * steps - 2)


class TestLimits:
    def test_what_would_spill_is_refused(self) -> None:
        # A page of 105 mm less 2 mm; a height and a tread, or two treads and the last lowest riser.
        resolved("column-steps", height="81")
        assert rules_of("column-steps", height="81.1") == {("above-most", "height")}
        resolved("column-steps", rise="18.5")
        assert rules_of("column-steps", rise="18.6") == {("above-most", "rise")}

    def test_columns_and_risers_keep_their_least(self) -> None:
        # 148 mm less three columns of 10 mm: strips of 59 mm.
        resolved("column-steps", strip="59")
        assert rules_of("column-steps", strip="59.1") == {("above-most", "strip")}
        # 80 mm less a riser of 6 mm above it, and 59 mm of page: 59 - 2 * 3 mm.
        resolved("column-steps", low="53", rise="3")
        assert rules_of("column-steps", low="53.1", rise="3") == {("above-most", "low")}
        assert rules_of("column-steps", rise="2.9") == {("below-least", "rise")}
        assert rules_of("column-steps", low="5.9") == {("below-least", "low")}

    def test_counts(self) -> None:
        assert rules_of("column-steps", columns="7") == {("above-most", "columns")}
        assert rules_of("column-steps", columns="1") == {("below-least", "columns")}
        assert rules_of("column-steps", steps="1") == {("below-least", "steps")}
        assert rules_of("column-steps", steps="5") == {("above-most", "steps")}
