"""What lies in folds: heights of plies and packs by hand, and strips by their intervals alone."""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from foldwright.stacking.heights import Wrap, heights_at, length_round, wraps_of
from foldwright.stacking.order import PlyOrder, ply_order
from foldwright.stacking.thickness import thickness_of
from tests.folding.folded_samples import assembled
from tests.stacking.closed_cards import Card, stair, strip_card
from tests.stacking.stacks import closed_cover, senses_of, strip, strip_places

CALIPER = 0.2


def in_order(card: Card, names: str) -> PlyOrder:
    """The order of the panels of a card, from the bottom up, as if somebody had folded it so."""
    level = {card.panels[name]: place for place, name in enumerate(names.split())}
    pairs = {pair for cell in card.cover.cells for pair in _pairs(sorted(cell.panels))}
    return PlyOrder(above={(one, other): level[other] > level[one] for one, other in pairs})


def _pairs(keys: Sequence[tuple[str, int]]) -> list[tuple[tuple[str, int], tuple[str, int]]]:
    return [(one, other) for i, one in enumerate(keys) for other in keys[i + 1 :]]


def wraps(card: Card, names: str | None = None) -> dict[str, Wrap]:
    """What each fold wraps, by the name of the fold."""
    order = card.order if names is None else in_order(card, names)
    found = wraps_of(card.assembly, card.cover, order, card.thickness, card.calipers)
    return {
        card.assembly.divisions[piece].hinges[index].label: wrap
        for (piece, index), wrap in found.items()
    }


def card(text: str, caliper: float = CALIPER) -> Card:
    return Card(text, {"card": caliper})


# The length round a pack


def test_a_pack_that_reaches_the_fold_takes_up_its_height() -> None:
    # T10: two sharp folds of 90 degrees round a pack of 0.6 mm take 0.6 mm.
    assert length_round(0.6, 0.0) == pytest.approx(0.6, abs=1e-15)


def test_a_pack_that_ends_short_of_the_fold_takes_up_what_pythagoras_leaves() -> None:
    # sqrt(0.8^2 + 0.6^2) = 1 in place of 0.8.
    assert length_round(0.6, 0.4) == pytest.approx(0.2, abs=1e-15)


def test_nothing_takes_up_nothing() -> None:
    assert length_round(0.0, 0.0) == 0.0
    assert length_round(0.0, 5.0) == 0.0


@given(height=st.floats(1e-3, 20), clear=st.floats(0, 300))
def test_the_length_lies_under_the_height_and_near_its_square_over_four_times_the_room(
    height: float, clear: float
) -> None:
    length = length_round(height, clear)
    assert 0.0 < length <= height * (1.0 + 1e-12)
    assert 2.0 * clear + length == pytest.approx(math.hypot(2.0 * clear, height), rel=1e-12)
    if clear > 0.0:
        assert length <= height * height / (4.0 * clear) * (1.0 + 1e-12)


# Heights in a cell


def test_plies_lie_on_each_other() -> None:
    letter = card(strip_card([60, 60, 60], "VV"))
    (cell,) = letter.thickness.cells
    found = heights_at(
        cell, in_order(letter, "p1 p3 p2"), letter.assembly, letter.cover, letter.calipers
    )
    assert {letter.panels[name]: pytest.approx(z) for name, z in HEIGHTS.items()} == dict(found)
    assert list(found) == [letter.panels[name] for name in ("p1", "p3", "p2")]


HEIGHTS = {"p1": 0.1, "p3": 0.3, "p2": 0.5}

MAT = """
[[mat]]
on = "card"
panels = ["p2"]
face = "front"
margin = 5
stock = "print"
"""


def test_a_mat_lifts_what_lies_over_its_face() -> None:
    """The front of p2 looks down in the letter, onto p3: its mat of 0.15 mm lies between them."""
    letter = Card(strip_card([60, 60, 60], "VV", MAT), {"card": CALIPER, "print": 0.15})
    order = in_order(letter, "p1 p3 p2")
    over = next(cell for cell in letter.thickness.cells if cell.glued)
    found = heights_at(over, order, letter.assembly, letter.cover, letter.calipers)
    assert not letter.cover.footprints[letter.panels["p2"]].face_up
    lifted = {"p1": 0.1, "p3": 0.3, "p2": 0.65}
    assert {letter.panels[name]: pytest.approx(z) for name, z in lifted.items()} == dict(found)


# What folds wrap


def test_a_half_fold_and_a_zigzag_wrap_nothing() -> None:
    assert wraps(card(strip_card([60, 60], "V"))) == {}
    assert wraps(card(strip_card([60, 60, 60, 60], "VMV"))) == {}


def test_the_outer_fold_of_a_letter_wraps_one_ply() -> None:
    letter = card(strip_card([60, 60, 60], "VV"))
    found = wraps(letter, "p1 p3 p2")
    assert found == {"fold 1": Wrap(height_mm=CALIPER, clear_mm=0.0, panels=(letter.panels["p3"],))}


def test_a_panel_that_ends_short_of_the_fold_leaves_it_room() -> None:
    """T12: printers make the panel that is folded in 1/16 in shorter, and the fold is free."""
    letter = card(strip_card([60, 60, Fraction(117, 2)], "VV"))
    found = wraps(letter, "p1 p3 p2")["fold 1"]
    assert found.height_mm == pytest.approx(CALIPER)
    assert found.clear_mm == pytest.approx(1.5)
    assert found.length_mm == pytest.approx(math.sqrt(9.0 + CALIPER**2) - 3.0)


def test_a_roll_wraps_one_ply_more_at_every_fold() -> None:
    roll = card(strip_card([60, 60, 60, 60], "VVV"))
    found = wraps(roll, "p1 p3 p4 p2")
    # From the inside: fold 3 nothing, fold 2 the last panel, fold 1 both.
    assert {name: round(wrap.height_mm / CALIPER) for name, wrap in found.items()} == {
        "fold 1": 2,
        "fold 2": 1,
    }


def test_the_middle_fold_of_a_gate_wraps_both_gates() -> None:
    gate = card(strip_card([60, 60, 60, 60], "VVV"))
    found = wraps(gate, "p3 p4 p1 p2")
    assert {name: round(wrap.height_mm / CALIPER) for name, wrap in found.items()} == {"fold 2": 2}


GEM = """
[[extra]]
on = "card/p1"
at = [50, 30]
size = [10, 20]
height = 1.5
"""


def test_what_is_glued_in_a_fold_counts_with_its_height() -> None:
    """Its edge at x = 55 lies 5 mm from the fold at 60."""
    found = wraps(card(strip_card([60, 60], "V", GEM)))["fold 1"]
    assert (found.height_mm, found.clear_mm) == pytest.approx((1.5, 5.0))
    assert found.panels == ()


def test_what_is_glued_on_the_outside_is_not_in_the_fold() -> None:
    assert wraps(card(strip_card([60, 60], "M", GEM))) == {}


def test_steps_beside_a_gutter_do_not_lie_in_it() -> None:
    """The gutter runs beside the band: nothing lies straight before it, nor in the steps' folds."""
    assert wraps(card(stair(105, 105, [30, 30], [35, 35]))) == {}


def test_only_folds_that_are_shut_wrap() -> None:
    text = strip_card([60, 60, 60], "VV").replace('sense = "valley"', "sense = 'valley'\nangle = 0")
    assert wraps(card(text)) == {}


def test_stock_by_stock() -> None:
    """A strip in a folder of thicker stock: the folder's fold wraps what is glued in it."""
    folder = (
        strip_card([60, 60], "V")
        + """
[[piece]]
name = "slip"
stock = "thin"
outline = { rectangle = [40, 40] }
[[piece.panel]]
name = "slip"
at = [20, 20]
[stock.thin]
[[joint]]
glue = { panel = "slip/slip", face = "back", line = [[0, 0], [0, 40]] }
to = { panel = "card/p1", face = "front", line = [[15, 10], [15, 50]] }
"""
    )
    found = wraps(Card(folder, {"card": 0.4, "thin": 0.1}))["fold 1"]
    assert found.height_mm == pytest.approx(0.1)
    assert found.clear_mm == pytest.approx(5.0)


# Strips by their intervals


@settings(deadline=None, max_examples=60)
@given(
    widths=st.lists(st.integers(8, 40), min_size=2, max_size=7),
    letters=st.text("MV", min_size=6, max_size=6),
)
def test_strips_against_their_intervals(widths: list[int], letters: str) -> None:
    senses = senses_of(letters[: len(widths) - 1])
    assembly = assembled(strip(widths, senses))
    cover = closed_cover(assembly)
    order = ply_order(assembly, cover)
    assume(isinstance(order, PlyOrder))
    assert isinstance(order, PlyOrder)
    calipers = {"": CALIPER}
    thickness = thickness_of(assembly, cover, calipers)
    found = wraps_of(assembly, cover, order, thickness, calipers)
    places = strip_places(widths)
    # Panels are numbered from the left, as in the strip.
    spans = [(min(ends), max(ends)) for ends in places]
    for hinge in assembly.divisions["strip"].hinges:
        one, other = sorted((hinge.left, hinge.right))
        best = 0.0
        at = places[one][1]
        breaks = sorted({float(end) for span in spans for end in span})
        for low, high in pairwise(breaks):
            middle = (low + high) / 2
            here = [k for k, (a, b) in enumerate(spans) if a < middle < b]
            if one in here and other in here:
                inside = [
                    k
                    for k in here
                    if k not in (one, other)
                    and order.is_above(("strip", k), ("strip", one))
                    != order.is_above(("strip", k), ("strip", other))
                ]
                clear = min(abs(low - float(at)), abs(high - float(at)))
                best = max(best, length_round(len(inside) * CALIPER, clear))
        wrap = found.get(("strip", hinge.index))
        assert (wrap.length_mm if wrap else 0.0) == pytest.approx(best, abs=1e-9)
