"""Places within a micrometre of each other are one, whether they are taken together or in turn."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from foldwright.geometry import Point
from foldwright.panels.noding import Nodes
from foldwright.panels.places import numbered, same_places

# Steps of 0.3 micrometres: chains in which every place is near the next one only.
NUMBER = st.tuples(st.integers(-2, 2), st.integers(0, 9)).map(lambda n: 7.0 * n[0] + 3e-4 * n[1])


@given(at=st.lists(st.tuples(NUMBER, NUMBER), min_size=1, max_size=80))
def test_places_taken_together_are_numbered_as_in_turn(at: list[tuple[float, float]]) -> None:
    x, y = np.array(at).T
    number, first = numbered(x, y, same_places(x, y))
    nodes = Nodes()
    assert number.tolist() == [nodes.number(Point(*one)) for one in at]
    assert [at[place] for place in first.tolist()] == [one.floats() for one in nodes.places]


def test_a_place_that_was_seen_stays_what_it_was() -> None:
    """Though a node that came in between lies near it too."""
    nodes = Nodes()
    there = Point(0.0005, 0.0)
    assert nodes.number(Point(0.0012, 0.0)) == 0
    assert nodes.number(there) == 0
    assert nodes.number(Point(-0.0002, 0.0)) == 1
    assert nodes.number(there) == 0


def test_different_places_are_told_apart_and_equal_ones_are_not() -> None:
    x = np.array([0.0, -0.0, 1.0, 0.0, 1e-12])
    y = np.array([2.0, 2.0, 2.0, 3.0, 2.0])
    same = same_places(x, y).tolist()
    assert same[0] == same[1]
    assert len({same[0], *same[2:]}) == 4
