"""Where things have room: strips along folds in closed form, things on each other, limits."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Face
from foldwright.stacking.room import Held, Why, Zone, clear_of_fold, held_open, no_foam, seats_of
from tests.stacking.closed_cards import Card, stair, strip_card
from tests.stacking.test_thickness import ALL_MATS, BOTH, ON_STEPS, ON_STRIP

CARD = {"card": 0.25}
FOAM = '[[extra]]\nname = "{}"\non = "card/p{}"\nat = [{}, {}]\nsize = [{}, 10]\nheight = {}\n'


def zones(
    card: Card, height: float, limit: float | None = None, *, ordered: bool = True
) -> tuple[Zone, ...]:
    order = card.order if ordered else None
    return no_foam(card.assembly, card.cover, order, card.thickness, height, limit)


def held(card: Card, *, ordered: bool = True) -> tuple[Held, ...]:
    order = card.order if ordered else None
    return held_open(card.assembly, card.cover, order, card.thickness)


def of_folds(found: Sequence[Zone], card: Card) -> dict[tuple[str, Face], tuple[float, ...]]:
    """The boxes of the strips along folds, by panel and face."""
    names = {key: name for name, key in card.panels.items()}
    return {
        (names[zone.panel], zone.face): tuple(round(edge, 6) for edge in zone.shape.bounds)
        for zone in found
        if zone.why is Why.FOLD
    }


# Strips along folds


@pytest.mark.parametrize(
    ("sense", "face", "height", "wide"),
    [
        ("V", Face.FRONT, 3, 3),
        ("M", Face.BACK, 3, 3),
        ("V", Face.FRONT, 0.4, 1),
        ("V", Face.FRONT, 7.5, 7.5),
    ],
)
def test_a_strip_as_wide_as_the_thing_is_high(
    sense: str, face: Face, height: float, wide: float
) -> None:
    """On both panels of a fold at x = 50, on the faces that shut; 1 mm at least."""
    card = Card(strip_card([50, 50], sense), CARD)
    assert clear_of_fold(height) == wide
    assert of_folds(zones(card, height), card) == {
        ("p1", face): (50 - wide, 0, 50, 60),
        ("p2", face): (50, 0, 50 + wide, 60),
    }
    strips = [zone for zone in zones(card, height) if zone.why is Why.FOLD]
    assert [zone.shape.area for zone in strips] == [pytest.approx(60 * wide, abs=1e-5)] * 2


@given(st.integers(1, 8), st.integers(0, 12))
def test_a_flap_inside_a_fold(height: int, gap: int) -> None:
    """A flap of b - gap is turned in between a and b: its end lies `gap` from their fold.

    A strip h wide on both of its faces, less that gap; at its own fold one on the faces
    that shut.
    """
    card = Card(strip_card([40, 40, 40 - gap], "VV"), CARD)
    found = [
        zone
        for zone in zones(card, height)
        if zone.panel == card.panels["p3"] and zone.hinge == ("card", 0)
    ]
    wide = max(0, max(1, height) - gap)
    assert sum(zone.shape.area for zone in found) == pytest.approx(2 * 60 * wide, abs=1e-4)
    if wide:
        assert {zone.face for zone in found} == {Face.FRONT, Face.BACK}
        right = 120 - gap
        assert found[0].shape.bounds == pytest.approx((right - wide, 0, right, 60), abs=1e-5)
    # Without an order it is not known to lie inside.
    loose = zones(card, height, ordered=False)
    assert {zone.hinge for zone in loose if zone.panel == card.panels["p3"]} <= {("card", 1), None}


def test_a_strip_ends_where_no_paper_is_folded_over() -> None:
    """A front of 2 mm before a back of 60: a thing 5 high beyond those 2 holds nothing open."""
    card = Card(strip_card([2, 60], "V"), CARD)
    assert of_folds(zones(card, 5), card)["p2", Face.FRONT] == (2, 0, 4, 60)


def test_what_is_there_already_counts() -> None:
    """Mats of 0.2 on both pages, 1 inside: over them foam of 3 mm needs 3.4."""
    mats = '[[mat]]\non = "card"\nmargin = 1\nstock = "print"\n[stock.print]\n'
    card = Card(strip_card([50, 50], "V", mats), {"card": 0.25, "print": 0.2})
    (strip,) = (
        zone.shape
        for zone in zones(card, 3)
        if zone.why is Why.FOLD and zone.panel == card.panels["p1"]
    )
    assert strip.bounds == pytest.approx((50 - 3.4, 0, 50, 60), abs=1e-6)
    assert strip.area == pytest.approx(3 * 60 + 0.4 * 58, abs=1e-4)


def test_a_fold_that_is_not_shut_has_no_strip() -> None:
    text = strip_card([50, 50], "V").replace('sense = "valley"', 'sense = "valley"\nangle = 0')
    assert of_folds(zones(Card(text, CARD), 3), Card(text, CARD)) == {}


# Too thick


def test_where_foam_passes_the_limit() -> None:
    """Z of 40, 20, 30: three plies from 20 to 40, one elsewhere; 0.75 + 2 is over 2.5 there."""
    card = Card(strip_card([40, 20, 30], "VM"), CARD)
    names = {key: name for name, key in card.panels.items()}
    over = {
        (names[zone.panel], zone.face): zone.shape.bounds
        for zone in zones(card, 2, 2.5)
        if zone.why is Why.LIMIT
    }
    boxes = {"p1": (20, 0, 40, 60), "p2": (40, 0, 60, 60), "p3": (60, 0, 80, 60)}
    assert over == {
        (name, face): pytest.approx(box) for name, box in boxes.items() for face in Face
    }
    # Within the limit, but thicker than 0.75 where one ply lies.
    assert {names[zone.panel] for zone in zones(card, 2, 2.5) if zone.why is Why.GROWS} == {
        "p1",
        "p3",
    }
    # 0.5 on one ply is as thick as three.
    assert [zone for zone in zones(card, 0.5) if zone.why is Why.LIMIT] == []
    assert {zone.shape.bounds for zone in zones(card, 0.5) if zone.why is Why.GROWS} == {
        (20.0, 0.0, 40.0, 60.0),
        (40.0, 0.0, 60.0, 60.0),
        (60.0, 0.0, 80.0, 60.0),
    }


def test_the_worked_card_has_room_on_its_strip_only() -> None:
    """Six plies and mats, 2.77 mm, over the steps; two of each, 0.92 mm, on the strip of 50.

    Foam of 2 mm stays within 4.4 mm on the strip and not over the steps.
    """
    card = Card(stair(105, 105, [30, 30], [35, 35], ALL_MATS), BOTH)
    limit = zones(card, 2, 4.4)
    over = shapely.union_all([zone.shape for zone in limit if zone.why is Why.LIMIT])
    for name in ("tread 1", "riser 1", "tread 2", "riser 2"):
        assert card.panels[name] in {zone.panel for zone in limit if zone.why is Why.LIMIT}
    assert over.bounds[0] >= 50
    # 1.5 mm, the thinner of two common foams (common practice, no source), fits on the strip
    # without making the card thicker.
    grows = [zone.shape for zone in zones(card, 1.5) if zone.why is Why.GROWS]
    assert shapely.union_all(grows).bounds[0] >= 50
    thick = [zone.shape for zone in zones(card, 2) if zone.why is Why.GROWS]
    assert shapely.union_all(thick).bounds[0] < 50


# Folds held open


@given(st.integers(1, 12), st.integers(0, 12))
def test_a_fold_is_held_open_by_what_is_nearer_than_it_is_high(height: int, gap: int) -> None:
    foam = FOAM.format("foam", 1, 50 - gap - 5, 30, 10, height)
    card = Card(strip_card([50, 50], "V", foam), CARD)
    found = held(card)
    assert bool(found) is (gap < height)
    for one in found:
        assert (one.label, one.hinge) == ("fold 1", ("card", 0))
        assert one.needs_mm == height
        assert one.clear_mm == pytest.approx(gap)
        assert one.stays_open
        assert one.at.floats()[0] == pytest.approx(50 - gap)


def test_on_the_outside_nothing_is_in_the_way() -> None:
    """Extras lie on the front, which a mountain turns outwards."""
    foam = FOAM.format("foam", 1, 45, 30, 10, 5)
    assert held(Card(strip_card([50, 50], "M", foam), CARD)) == ()


def test_two_things_on_each_other_count_together() -> None:
    """1.5 mm on both pages, 2 from the fold: alone each has room, together they do not."""
    one, other = FOAM.format("a", 1, 43, 30, 10, 1.5), FOAM.format("b", 2, 57, 30, 10, 1.5)
    aside = FOAM.format("b", 2, 57, 45, 10, 1.5)
    assert held(Card(strip_card([50, 50], "V", one), CARD)) == ()
    assert held(Card(strip_card([50, 50], "V", one + aside), CARD)) == ()
    card = Card(strip_card([50, 50], "V", one + other), CARD)
    (found,) = held(card)
    assert {glued.part.name for glued in found.parts} == {"a", "b"}
    assert [found.needs_mm, found.clear_mm] == pytest.approx([3, 2])
    assert [len(seat.held) for seat in seats_of(card.thickness, [found])] == [1, 1]


def test_a_mat_nearer_than_a_millimetre_is_told_apart() -> None:
    """0.5 from the fold: as thin as it is it holds nothing open."""
    mat = '[[mat]]\non = "card"\npanels = ["p1"]\nmargin = 0.5\nstock = "print"\n[stock.print]\n'
    card = Card(strip_card([50, 50], "V", mat), {"card": 0.25, "print": 0.2})
    (found,) = held(card)
    assert found.stays_open is False
    assert found.clear_mm == pytest.approx(0.5)
    wide = Card(strip_card([50, 50], "V", mat.replace("0.5", "1")), {"card": 0.25, "print": 0.2})
    assert held(wide) == ()


def test_a_gem_without_a_size_is_a_place() -> None:
    gem = '[[extra]]\non = "card/p1"\nat = [48, 30]\nheight = 3\n'
    (found,) = held(Card(strip_card([50, 50], "V", gem), CARD))
    assert [found.clear_mm, found.needs_mm] == pytest.approx([2, 3])


def test_inside_a_fold_on_a_panel_between() -> None:
    """Foam on the front of a flap that is turned in, 2 from the fold of the other two."""
    foam = FOAM.format("foam", 3, 113, 30, 10, 3)
    card = Card(strip_card([40, 40, 40], "VV", foam), CARD)
    (found,) = held(card)
    assert found.hinge == ("card", 0)
    assert found.clear_mm == pytest.approx(2)
    assert found.panel == card.panels["p3"]
    assert held(card, ordered=False) == ()


# What an extra does


@pytest.mark.parametrize(("more", "on_steps"), [(ON_STEPS, True), (ON_STRIP, False)])
def test_by_how_much_a_thing_thickens_the_card(more: str, on_steps: bool) -> None:
    """Foam of 2 mm: all of it where most plies lie, and what is left over on the strip.

    Each ply with its mat is 0.462: six over the steps, two on the strip.
    """
    card = Card(stair(105, 105, [30, 30], [35, 35], ALL_MATS + more.format(2)), BOTH)
    (seat,) = seats_of(card.thickness, held(card), 4.5)
    assert seat.adds_mm == pytest.approx(2.0 if on_steps else 2 * 0.462 + 2.0 - 6 * 0.462)
    assert seat.over_limit is on_steps
    assert seat.held == ()
