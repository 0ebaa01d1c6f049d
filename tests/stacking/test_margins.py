"""This module tests the margin of a mat where the design leaves it out.

3 mm, and 2 mm on panels narrower than 25 mm: common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from foldwright.design import parse_design, resolve
from foldwright.measures import Unit
from foldwright.panels import Panel, assemble, divide
from foldwright.stacking.margins import largest_circle, usual_margin
from foldwright.stacking.mats import MatShape, mat_shapes

HEAD = 'format = 1\nname = "margins"\nunits = "mm"\n'
STRIP = (
    '[[piece]]\nname = "card"\noutline = {{ rectangle = [{width}, 80] }}\n'
    '[[piece.fold]]\nname = "gutter"\nsense = "{sense}"\nangle = {angle}\n'
    "points = [[{at}, 0], [{at}, 80]]\n"
)
BOTH = '[[mat]]\non = "card"\nstock = "board"\n[[mat]]\non = "card"\nface = "back"\n'


def shapes(text: str, units: Unit = Unit.MM, **calipers: float) -> tuple[MatShape, ...]:
    resolved = resolve(parse_design(HEAD + text))
    divisions = {piece.name: divide(piece) for piece in resolved.pieces}
    return mat_shapes(assemble(divisions, ()), resolved.mats, units, calipers)


def strip(at: object = 40, width: object = 100, sense: str = "valley", angle: object = 180) -> str:
    return STRIP.format(at=at, width=width, sense=sense, angle=angle)


def panel_of(polygon: str) -> Panel:
    text = f'{HEAD}[[piece]]\nname = "card"\noutline = {{ polygon = {polygon} }}\n'
    return divide(resolve(parse_design(text)).pieces[0]).panels[0]


@pytest.mark.parametrize(
    ("width", "units", "margin"),
    [
        (25, Unit.MM, 3.0),
        (24.99, Unit.MM, 2.0),
        (25, Unit.IN, 25.4 / 16),
        (25.4, Unit.IN, 25.4 / 8),
    ],
)
def test_narrow_panels_have_the_smaller_margin(width: float, units: Unit, margin: float) -> None:
    (first, second) = shapes(strip(at=width) + '[[mat]]\non = "card"\n', units)
    assert first.margin == margin
    assert second.margin == (3.0 if units is Unit.MM else 25.4 / 8)
    assert first.area == pytest.approx((width - 2 * margin) * (80 - 2 * margin))


def test_a_panel_is_as_wide_as_the_largest_circle_on_it() -> None:
    # An L with arms of 20 mm: a circle at its outer corner touches the two outer sides and
    # the corner that points in, r = √2 (20 - r).
    panel = panel_of("[[0, 0], [100, 0], [100, 20], [20, 20], [20, 100], [0, 100]]")
    radius = 20 * math.sqrt(2) / (1 + math.sqrt(2))
    assert largest_circle(panel) == pytest.approx(radius, abs=2e-3)
    assert usual_margin(panel, Unit.MM) == 2.0
    # 3, 4, 5: the circle inside touches all three sides, r = (a + b - c) / 2.
    assert largest_circle(panel_of("[[0, 0], [40, 0], [0, 30]]")) == pytest.approx(10, abs=2e-3)


def test_two_mats_in_a_shut_valley_keep_as_far_from_it_as_both_are_thick() -> None:
    front, beyond, back, _ = shapes(strip() + BOTH + "[stock.board]\n", board=1.8)
    assert front.margin == beyond.margin == 3.6
    # Over the back the fold does not shut.
    assert back.margin == 3.0
    assert shapes(strip(sense="mountain") + BOTH + "[stock.board]\n", board=1.8)[0].margin == 3.0
    assert shapes(strip(angle=90) + BOTH + "[stock.board]\n", board=1.8)[0].margin == 3.0
    # What is written stays: the closed card is judged with it.
    given = BOTH.replace('stock = "board"', 'stock = "board"\nmargin = 1')
    assert shapes(strip() + given + "[stock.board]\n", board=1.8)[0].margin == 1.0


def test_mats_on_each_other_count_together() -> None:
    one = '[[mat]]\non = "card"\npanels = ["panel 1"]\nstock = "board"\n'
    lower, upper = shapes(strip() + one + one + "[stock.board]\n", board=1.8)
    assert lower.margin == upper.margin == 3.6
    (alone,) = shapes(strip() + one + "[stock.board]\n", board=1.8)
    assert alone.margin == 3.0
