"""The pattern letter-fold: a sheet in three, the lower panel shorter by the tuck.

By hand, with a sheet of length l and a tuck t: two panels p and one p - t are l together, so
p = (l + t) / 3; the folds lie at p - t and at 2 p - t from the lower edge.  Shut, the lower
panel lies from the lower fold up to t short of the upper one; the closed letter is as wide as
the sheet and p high.  On A4 with 1.5 mm: 99.5, 99.5 and 98 mm.

Published: T12 and T15 of tests/published/thickness_folds.toml.
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design import load_pattern
from foldwright.measures import Unit
from foldwright.profiles.model import Tool
from foldwright.proving import prove_design

from .posed import extent, order_of, pose_of
from .published import iso, letter, panels, taken
from .shipped import closed_mm, proof, resolved, rules_of, started
from .shut import box_of, lies_above

IN = Fraction("25.4")


def heights(units: Unit = Unit.MM, **overrides: str) -> list[Fraction]:
    """The heights of the three panels from the lower edge up."""
    (piece,) = resolved("letter-fold", units, **overrides).pieces
    lower, upper = (Fraction(fold.path.start.y) for fold in piece.folds)
    return [lower, upper - lower, Fraction(piece.outline.vertices[2].at.y) - upper]


class TestWhereEverythingLies:
    def test_a4(self) -> None:
        (piece,) = resolved("letter-fold").pieces
        assert piece.outline.box() == (0, 0, *iso("A4"))
        assert [fold.senses for fold in piece.folds] == [("valley",), ("valley",)]
        assert heights() == [98, Fraction("99.5"), Fraction("99.5")]
        assert closed_mm(proof("letter-fold")) == (210, 99.5)

    def test_a_letter_sheet_is_folded_as_printers_do(self) -> None:
        # T12: of 11 in, two panels of 3 11/16 in, and 3 5/8 in for the one inside.
        (piece,) = resolved("letter-fold", Unit.IN).pieces
        corner = piece.outline.vertices[2].at
        assert (corner.x / IN, corner.y / IN) == letter()
        assert sorted(height / IN for height in heights(Unit.IN)) == sorted(panels("T12"))
        assert heights(Unit.IN)[0] == min(panels("T12")) * IN
        assert closed_mm(proof("letter-fold", Unit.IN))[1] == pytest.approx(
            float(max(panels("T12")) * IN)
        )

    def test_the_tuck_is_what_printers_take_off(self) -> None:
        (tuck,) = [p for p in load_pattern("letter-fold").parameters if p.name == "tuck"]
        assert Fraction(tuck.default_in) == taken("per_panel")

    def test_the_lower_panel_lies_inside(self) -> None:
        found = proof("letter-fold")
        assert lies_above(found, "upper", "lower")
        assert lies_above(found, "lower", "middle")
        assert box_of(found, "middle") == box_of(found, "upper") == (0, 0, 210, 99.5)
        assert box_of(found, "lower") == (0, 0, 210, 98)

    @given(st.integers(120, 1800), st.integers(1, 12))
    @settings(max_examples=20)
    def test_any_letter_is_as_reckoned(self, length: int, tuck: int) -> None:
        # In half millimetres.
        given = {"length": f"{length}/2", "tuck": f"{tuck}/2"}
        panel = (Fraction(length, 2) + Fraction(tuck, 2)) / 3
        assert heights(Unit.MM, **given) == [panel - Fraction(tuck, 2), panel, panel]
        assert closed_mm(proof("letter-fold", Unit.MM, **given))[1] == pytest.approx(float(panel))


class TestThickness:
    @pytest.mark.parametrize("units", list(Unit))
    def test_with_the_tuck_no_fold_takes_up_anything(self, units: Unit) -> None:
        # The upper fold wraps the lower panel, which ends a tuck short of it.
        (one,) = prove_design(started("letter-fold", units), tool=Tool.KNIFE).thickness
        assert [wrap.clear_mm for wrap in one.wraps.values()] == [
            pytest.approx(1.5 if units is Unit.MM else 25.4 / 16)
        ]
        assert max(one.wants_mm) < 0.02
        assert one.moves_mm < 0.02


class TestHalfOpen:
    def test_both_outer_panels_stand_up_from_the_middle_one(self) -> None:
        found = proof("letter-fold")
        assert extent(found, "half open", "middle", 2) == (0, 0)
        for panel, reach, y in (("lower", 98, 98), ("upper", 99.5, 197.5)):
            assert extent(found, "half open", panel, 2) == (0, reach)
            assert extent(found, "half open", panel, 1) == (y, y)


class TestHalfShut:
    def test_folded_in_turn_no_panel_passes_through_another(self) -> None:
        # Turned together, lower and upper panel would meet half way.
        found = proof("letter-fold")
        assert pose_of(found, "closed").clashes_on_way
        assert order_of(found, "closed") == ["lower fold", "upper fold"]
        half = pose_of(found, "half shut")
        assert half.folded.reached
        assert not half.clashes_on_way
        assert extent(found, "half shut", "lower", 1) == (98, 196)
        assert extent(found, "half shut", "lower", 2) == (0, 0)
        assert extent(found, "half shut", "upper", 2) == (0, 99.5)


class TestLimits:
    def test_tucks(self) -> None:
        assert rules_of("letter-fold", tuck="0.4") == {("below-least", "tuck")}
        assert rules_of("letter-fold", tuck="6.1") == {("above-most", "tuck")}

    def test_what_printers_are_seen_to_take_off_is_within_them(self) -> None:
        # 1/32 to 1/8 in: common practice, no source.
        for tuck in ("1/32", "1/8"):
            resolved("letter-fold", Unit.IN, tuck=tuck)
