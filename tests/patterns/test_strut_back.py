"""The pattern strut-back: a panel that leans back on a strut.

By hand, with the pivot k up the panel, a lean of a from upright and the foot q behind the panel's
lower edge: the pivot is k cos(a) high and k sin(a) behind that edge, so the leg is the third side
of a right triangle, sqrt((k cos a)^2 + (q - k sin a)^2).  As a formula of the triangle of panel,
table and leg that is k^2 + q^2 - 2 k q sin(a), which is k^2 at q = 2 k sin(a): then the leg that
is folded away ends at the lower edge, and a foot nearer than that ends inside
(tests/published/folding.toml, [strut]).  The pivot is turned by the angle between panel and leg,
taken here from their directions; the design has it by the law of cosines.
"""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.measures import Unit
from foldwright.proving import Proof

from .posed import fold_angles, on_the_table, pose_of
from .shipped import closed_mm, proof, resolved, rules_of

PUBLISHED = Path(__file__).parents[1] / "published" / "folding.toml"
EXAMPLE = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["strut"]

NAME = "strut-back"


def leg_of(found: Proof) -> float:
    """How long the leg is, from the pivot to the foot."""
    strut = found.resolved.pieces[1]
    return float(strut.folds[0].path.start.y)


class TestOnTheSheet:
    @pytest.mark.parametrize(
        ("units", "factor", "pivot", "foot", "tongue"),
        [(Unit.MM, 1.0, 100, 45, 20), (Unit.IN, 25.4, 3.75, 1.625, 0.75)],
    )
    def test_the_worked_example(
        self, units: Unit, factor: float, pivot: float, foot: float, tongue: float
    ) -> None:
        _, strut = resolved(NAME, units).pieces
        (fold,) = strut.folds
        leg = factor * math.sqrt(pivot**2 + foot**2 - 2 * pivot * foot * math.sin(math.radians(15)))
        assert float(fold.path.start.y) == pytest.approx(leg)
        assert float(strut.outline.vertices[2].at.y) == pytest.approx(leg + tongue * factor)

    def test_the_closed_size(self) -> None:
        assert closed_mm(proof(NAME)) == (105, 148)
        assert closed_mm(proof(NAME, Unit.IN)) == pytest.approx((4.25 * 25.4, 5.5 * 25.4))

    def test_the_leg_hangs_inside_the_panel(self) -> None:
        # Folded away it hangs from the pivot; its foot is above the panel's lower edge.
        found = proof(NAME)
        _, low, _ = on_the_table(found, "closed", "leg", 25, 0)
        assert low == pytest.approx(100 - leg_of(found))
        assert low > 0

    def test_the_published_limit(self) -> None:
        k, lean, most = (str(EXAMPLE[key]) for key in ("k", "lean", "largest_q"))
        found = proof(NAME, pivot=k, lean=lean, foot="2 * pivot * sin(lean)")
        assert float(found.resolved.measures["foot"]) == pytest.approx(float(most), abs=0.05)
        assert leg_of(found) == pytest.approx(EXAMPLE["k"])
        assert rules_of(NAME, pivot=k, lean=lean, foot="51.9") == {("above-most", "foot")}


class TestHowItStands:
    @given(st.integers(10, 20), st.integers(0, 8), st.integers(0, 8))
    @settings(max_examples=15, deadline=None)
    def test_panel_pivot_and_foot(self, degrees: int, up: int, back: int) -> None:
        a = math.radians(degrees)
        k = 82 + Fraction(up * 51, 8)
        low, high = float(k) * math.sin(a) + 8, 2 * float(k) * math.sin(a)
        q = round(low + 0.01 + (high - low - 0.02) * back / 8, 3)
        found = proof(NAME, lean=f"{degrees} deg", pivot=str(k), foot=str(q), tongue="10")
        edge = on_the_table(found, "standing", "face", 0, 0)
        pivot = on_the_table(found, "standing", "face", 0, k)
        foot = on_the_table(found, "standing", "leg", 0, 0)
        # Behind is where y grows: the face looks towards the viewer's side.
        assert edge[2] == pytest.approx(0, abs=1e-6)
        assert foot[2] == pytest.approx(0, abs=1e-6)
        assert pivot[1] - edge[1] == pytest.approx(float(k) * math.sin(a), abs=1e-6)
        assert pivot[2] == pytest.approx(float(k) * math.cos(a), abs=1e-6)
        assert foot[1] - edge[1] == pytest.approx(q, abs=1e-6)
        leg = (q - float(k) * math.sin(a), -float(k) * math.cos(a))
        panel = (-math.sin(a), -math.cos(a))
        turned = math.acos((leg[0] * panel[0] + leg[1] * panel[1]) / math.hypot(*leg))
        assert fold_angles(found, "standing")["pivot"] == pytest.approx(math.degrees(turned))
        standing = pose_of(found, "standing").standing
        assert standing is not None
        # The strut weighs too, and its middle is nearer to the foot than the panel's.
        assert standing.asked.margin_mm >= 5

    def test_the_crease_alone_holds_it(self) -> None:
        assert "held-by-the-crease-alone" in {one.rule for one in proof(NAME).findings}


class TestLimits:
    def test_the_foot(self) -> None:
        # 100 sin(15) + 8 = 33.88 mm, 200 sin(15) = 51.76 mm.
        assert rules_of(NAME, foot="33.8") == {("below-least", "foot")}
        assert not proof(NAME, foot="33.9").mends
        assert rules_of(NAME, foot="51.8") == {("above-most", "foot")}

    def test_the_pivot_is_above_the_middle_and_leaves_room_for_the_tongue(self) -> None:
        # 0.55 of 148 mm; 148 - 15 mm.
        assert ("below-least", "pivot") in rules_of(NAME, pivot="81.3", foot="40")
        assert ("above-most", "pivot") in rules_of(NAME, pivot="133.1", tongue="10", foot="50")
        assert rules_of(NAME, tongue="43.1") == {("above-most", "tongue")}

    def test_the_strut_is_hidden(self) -> None:
        assert rules_of(NAME, strut="85.1") == {("above-most", "strut")}
        assert rules_of(NAME, lean="9 deg", foot="30") == {("below-least", "lean")}
