"""The pattern belly-band: a ring of front, back and two edges round a card of a given depth.

By hand, with front and back w + e and edges d: the creases lie at w + e, w + e + d,
2 (w + e) + d and 2 (w + e + d), which is the girth.  Empty, crease 2 and crease 4 are shut and
the others flat, so that one side of the flat ring is back and edge, the other front and edge:
both w + d + e.  Round a card all four stand at 90 degrees, and the inside is a rectangle of
w + e by d.  With one crease at each edge front and back are w + d + e, and the girth is the same.

A girth of 2 (w + d) with an ease of 1 to 2 mm and an overlap of 15 to 25 mm is common practice,
no source.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.folding import Verdict
from foldwright.geometry import Point
from foldwright.measures import Unit

from .shipped import closed_mm, proof, resolved, rules_of


def creases(**overrides: str) -> list[float]:
    """Where the creases lie, from the left edge."""
    (piece,) = resolved("belly-band", Unit.MM, **overrides).pieces
    return [fold.path.vertices[0].at.floats()[0] for fold in piece.folds]


class TestBellyBand:
    @pytest.mark.parametrize(
        ("units", "factor", "folds", "end", "closed"),
        [
            (Unit.MM, 1.0, (106, 110, 216, 220), 240, (110, 50)),
            (Unit.IN, 25.4, (4.3125, 4.4375, 8.75, 8.875), 9.625, (4.4375, 2)),
        ],
    )
    def test_the_worked_numbers(
        self,
        units: Unit,
        factor: float,
        folds: tuple[float, ...],
        end: float,
        closed: tuple[float, float],
    ) -> None:
        found = proof("belly-band", units)
        (piece,) = found.resolved.pieces
        at = [fold.path.vertices[0].at.floats()[0] for fold in piece.folds]
        assert at == pytest.approx([fold * factor for fold in folds])
        assert piece.outline.vertices[2].at.floats()[0] == pytest.approx(end * factor)
        assert closed_mm(found) == pytest.approx([side * factor for side in closed])

    def test_round_a_card_it_is_a_rectangle_of_its_width_and_depth(self) -> None:
        found = proof("belly-band")
        (wrapped,) = [pose for pose in found.poses if pose.name == "round a card"]
        assert wrapped.folded.reached
        (piece,) = found.pieces
        number = {panel.name: panel.index for panel in piece.division.panels}
        first = wrapped.placed["band", number["back"]]
        front = wrapped.placed["band", number["front"]]
        # The edge of 4 mm apart, wherever they face each other.
        for x, facing in ((106, 110), (0, 216)):
            here = first.apply(Point(x, 0))
            assert math.dist(here, front.apply(Point(facing, 0))) == pytest.approx(4)

    def test_one_crease_at_each_edge(self) -> None:
        assert creases(creases="1", depth="0.5") == [106.5, 213]
        found = proof("belly-band", creases="1", depth="0.5")
        assert closed_mm(found) == (106.5, 50)

    @given(st.integers(1, 2), st.integers(20, 40), st.integers(1, 10))
    @settings(max_examples=8, deadline=None)
    def test_the_girth_is_that_of_the_card_and_its_ease(
        self, count: int, depth: int, ease: int
    ) -> None:
        values = {"depth": f"{depth / 10} mm", "ease": f"{ease / 2} mm"}
        girth = creases(creases=str(count), **values)[-1]
        assert girth == pytest.approx(2 * (105 + depth / 10 + ease / 2))
        assert proof("belly-band", Unit.MM, creases=str(count), **values).verdict is Verdict.CLOSES

    def test_panels_are_where_their_names_say(self) -> None:
        (piece,) = proof("belly-band").pieces
        box = {panel.name: panel.box for panel in piece.division.panels}
        assert box == {
            "back": pytest.approx((0, 0, 106, 50)),
            "first edge": pytest.approx((106, 0, 110, 50)),
            "front": pytest.approx((110, 0, 216, 50)),
            "second edge": pytest.approx((216, 0, 220, 50)),
            "overlap": pytest.approx((220, 0, 240, 50)),
        }

    def test_limits(self) -> None:
        # Two creases 2 mm apart are the least; one crease serves any depth below.
        assert rules_of("belly-band", depth="1.9") == {("below-least", "depth")}
        resolved("belly-band", creases="1", depth="0")
        assert rules_of("belly-band", depth="52.6") == {("above-most", "depth")}
        assert ("above-most", "creases") in rules_of("belly-band", creases="3")
        assert rules_of("belly-band", overlap="9") == {("below-least", "overlap")}
