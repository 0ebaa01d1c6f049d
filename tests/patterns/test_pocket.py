"""The pattern pocket: a back, a front folded up over it, two side flaps glued between.

By hand, with the bottom fold at y = height: a point of a flap's fold at height + t lies, the
front folded up, upon the point of the front at height - t.  So each flap's fold, which runs
from height + relief to 2 height - relief, meets the front from height - relief down to relief.
Closed, front and back cover each other, and the flaps, narrower than half the pocket, lie
between: width by height, three plies over the flaps, two between them, one at the notch.

Usual are flaps of 10 to 12 mm and a notch of 8 to 12 mm radius (common practice, no source).
"""

from __future__ import annotations

import pytest

from foldwright.folding import Verdict
from foldwright.measures import Unit

from .shipped import closed_mm, proof, resolved, rules_of


class TestPocket:
    @pytest.mark.parametrize(
        ("units", "factor", "width", "height", "flap"),
        [(Unit.MM, 1.0, 110.0, 80.0, 12.0), (Unit.IN, 25.4, 4.375, 3.125, 0.5)],
    )
    def test_where_the_folds_lie(
        self, units: Unit, factor: float, width: float, height: float, flap: float
    ) -> None:
        (piece,) = resolved("pocket", units).pieces
        at = {fold.name: [v.at.floats() for v in fold.path.vertices] for fold in piece.folds}
        ends = [(flap * factor, height * factor), ((flap + width) * factor, height * factor)]
        assert at["bottom"] == [pytest.approx(end) for end in ends]
        assert [x for x, _ in at["left side"]] == pytest.approx([flap * factor] * 2)
        assert [x for x, _ in at["right side"]] == pytest.approx([(flap + width) * factor] * 2)

    def test_closed_it_is_as_large_as_its_back(self) -> None:
        found = proof("pocket")
        assert found.verdict is Verdict.CLOSES
        assert found.gap_mm == 0.0
        assert closed_mm(found) == (110.0, 80.0)

    def test_flaps_lie_between_back_and_front(self) -> None:
        # Three plies of 0.23 mm where a flap is.
        found = proof("pocket").closed
        assert found is not None
        assert found.thickness_mm == pytest.approx(3 * 0.23)

    def test_it_is_glued_flat_and_moves_no_more(self) -> None:
        found = proof("pocket")
        (glued,) = [pose for pose in found.poses if pose.name == "glued"]
        assert glued.folded.reached
        assert glued.freedom is not None
        assert glued.freedom.count == 0

    def test_panels_are_where_their_names_say(self) -> None:
        (piece,) = proof("pocket").pieces
        box = {panel.name: panel.box for panel in piece.division.panels}
        assert box["front"] == pytest.approx((12, 0, 122, 80))
        assert box["back"] == pytest.approx((12, 80, 122, 160))
        assert box["left flap"] == pytest.approx((0, 81, 12, 159))
        assert box["right flap"] == pytest.approx((122, 81, 134, 159))

    def test_flaps_neither_meet_nor_show_in_the_notch(self) -> None:
        # 110 / 2 - 11 = 44 mm, which leaves the least notch of 6 mm and 5 mm beside it.
        resolved("pocket", flap="44", notch="6")
        assert rules_of("pocket", flap="44.1", notch="6") >= {("above-most", "flap")}
        # 110 / 2 - 12 - 5 = 38 mm.
        resolved("pocket", notch="38")
        assert rules_of("pocket", notch="38.1") == {("above-most", "notch")}
        assert rules_of("pocket", flap="9") == {("below-least", "flap")}
