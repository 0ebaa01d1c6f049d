"""A stair: its folds and panels are sums of treads and risers, by hand."""

from __future__ import annotations

from fractions import Fraction

from foldwright.design.written import Written, expression
from foldwright.measures import Number, Scope, Unit, length
from foldwright.measures.grammar import LONGEST_TEXT
from foldwright.patterns.stairs import below, stair


def worked(written: Written, **mm: int) -> Number:
    """What an expression over lengths comes to."""
    measures = {name: length(Fraction(value)) for name, value in mm.items()}
    return expression(written, "a length").evaluate(Scope.of(Unit.MM, measures)).value


class TestStair:
    def test_unequal_steps(self) -> None:
        # From 100 mm down: a tread of 10, a riser of 6, a tread of 20, a riser of 8.
        band, panels = stair(
            "steps",
            sides=("left", "right"),
            top="top",
            treads=["short", "deep"],
            risers=["low", "high"],
        )
        mm = {"left": 30, "right": 90, "top": 100, "short": 10, "deep": 20, "low": 6, "high": 8}
        assert [worked(step, **mm) for step in band.walk] == [10, 6, 20, 8]
        assert {one.name: [worked(place, **mm) for place in one.at] for one in panels} == {
            "tread 1": [60, 95],
            "riser 1": [60, 87],
            "tread 2": [60, 74],
            "riser 2": [60, 60],
        }

    def test_equal_lengths_are_told_once(self) -> None:
        # Folds of many steps would outgrow the longest text of an expression.
        assert below("top", ["tread", "riser"] * 2) == "(top) - 2 * (tread) - 2 * (riser)"
        many = below("gutter_y + steps * riser", ["tread", "riser"] * 50)
        assert len(many) < LONGEST_TEXT
        assert worked(below("top", ["tread", "riser", "tread"]), top=100, tread=10, riser=5) == 75
