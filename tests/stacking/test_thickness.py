"""How thick the closed card is: closed forms, a worked card, sums at random places."""

from __future__ import annotations

import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from foldwright.stacking.thickness import ThickCell
from tests.stacking.closed_cards import Card, stair, strip_card

CARD = {"card": 0.27}
# Calipers of the worked card: 216 and 160 g/m² at assumed bulks of 1.25 and 1.2 cm³/g.
BOTH = {"card": 0.27, "print": 0.192}


def cells_at(card: Card, x: float, y: float) -> list[ThickCell]:
    return [one for one in card.thickness.cells if one.polygon.contains(shapely.Point(x, y))]


# Plies


@pytest.mark.parametrize("count", [1, 2, 3, 7, 12])
def test_an_accordion_is_as_thick_as_its_plies(count: int) -> None:
    """Panels of one width on each other: n plies of one caliper."""
    card = Card(strip_card([30] * count, ("VM" * count)[: count - 1]), CARD)
    assert card.thickness.mm == pytest.approx(count * 0.27, abs=1e-12)
    assert card.thickness.most_plies == count
    (cell,) = card.thickness.cells
    assert (cell.plies, cell.polygon.area) == (count, pytest.approx(30 * 60))


def test_panels_of_other_widths_lie_on_each_other_in_part() -> None:
    """Widths 40, 20, 30 in Z: the fold of 20 ends 20 from the first fold, 30 runs from there."""
    card = Card(strip_card([40, 20, 30], "VM"), CARD)
    # Panel 1 over 0 to 40, panel 2 over 20 to 40, panel 3 over 20 to 50.
    found = sorted((one.polygon.bounds[0], one.plies) for one in card.thickness.cells)
    assert found == [(0.0, 1), (20.0, 3), (40.0, 1)]
    thickest = card.thickness.thickest
    assert thickest is not None
    assert thickest.known_mm == pytest.approx(0.81)
    assert thickest.at.floats() == pytest.approx((30, 30))
    assert (thickest.panel, thickest.on_panel.floats()) == (card.panels["p1"], (30.0, 30.0))


@given(
    st.lists(st.integers(5, 60), min_size=1, max_size=8),
    st.lists(st.sampled_from("VM"), min_size=7, max_size=7),
)
def test_every_panel_is_counted_once(widths: list[int], senses: list[str]) -> None:
    """Plies times area, over all cells, is the area of the paper."""
    text = strip_card(widths, "".join(senses[: len(widths) - 1]))
    card = Card(text, CARD)
    found = card.thickness
    paper = sum(one.plies * one.polygon.area for one in found.cells)
    assert paper == pytest.approx(sum(widths) * 60, rel=1e-9)
    volume = sum(one.known_mm * one.polygon.area for one in found.cells)
    assert volume == pytest.approx(0.27 * sum(widths) * 60, rel=1e-9)


# Mats and extras


def test_a_mat_counts_over_its_own_shape() -> None:
    """A half fold 50 by 60 with one mat, 4 inside: 42 by 52 are thicker by it, not the rim."""
    mat = '[[mat]]\non = "card"\npanels = ["p1"]\nmargin = 4\nstock = "print"\n[stock.print]\n'
    card = Card(strip_card([50, 50], "V", mat), BOTH)
    rim, inside = sorted(card.thickness.cells, key=lambda one: one.polygon.area)
    assert [inside.mm, rim.mm] == pytest.approx([0.732, 0.54])
    areas = [inside.polygon.area, rim.polygon.area]
    assert areas == pytest.approx([42 * 52, 3000 - 42 * 52])
    assert (inside.plies, rim.plies) == (2, 2)
    assert card.thickness.mm == pytest.approx(0.732)


def test_mats_on_both_faces_of_all_panels_lie_on_each_other() -> None:
    mats = "".join(
        f'[[mat]]\non = "card"\npanels = "all"\nface = "{face}"\nmargin = 3\nstock = "print"\n'
        for face in ("front", "back")
    )
    card = Card(strip_card([40, 40, 40], "VM", mats + "[stock.print]\n"), BOTH)
    assert card.thickness.mm == pytest.approx(3 * 0.27 + 6 * 0.192)


@pytest.mark.parametrize(("size", "area"), [("10", math.pi * 25), ("[8, 12]", 96.0)])
def test_an_extra_counts_over_its_footprint(size: str, area: float) -> None:
    extra = f'[[extra]]\non = "card/p2"\nat = [75, 30]\nsize = {size}\nheight = 2\n'
    card = Card(strip_card([50, 50], "V", extra), CARD)
    (under,) = cells_at(card, 25, 30)
    assert under.mm == pytest.approx(2.54)
    # Chords leave a circle of radius 5 by 0.001 mm at most.
    assert under.polygon.area == pytest.approx(area, abs=0.001 * math.pi * 10)
    thickest = card.thickness.thickest
    assert thickest is not None
    assert [one.part.name for one in thickest.glued] == ["extra 1"]
    assert thickest.at.floats() == pytest.approx((25, 30))


def test_foam_between_two_panels_counts_once() -> None:
    """Whichever of two pages it is glued on; foam on each of them counts twice."""
    one = '[[extra]]\non = "card/p{}"\nat = [{}, 30]\nsize = [10, 10]\nheight = 3\n'
    first, second = one.format(1, 25), one.format(2, 75)
    for more, mm in ((first, 3.54), (second, 3.54), (first + second, 6.54)):
        assert Card(strip_card([50, 50], "V", more), CARD).thickness.mm == pytest.approx(mm)


def test_what_reaches_past_the_paper_is_there_too() -> None:
    """A ribbon 30 long, its middle on the edge x = 0: 15 of it lie beside the card."""
    ribbon = '[[extra]]\non = "card/p1"\nat = [0, 30]\nsize = [30, 6]\nheight = 0.4\n'
    card = Card(strip_card([50, 50], "V", ribbon), CARD)
    (beside,) = cells_at(card, -5, 30)
    assert (beside.plies, beside.mm) == (0, 0.4)
    assert beside.polygon.area == pytest.approx(90)
    (on_it,) = cells_at(card, 5, 30)
    assert on_it.plies == 2
    assert on_it.mm == pytest.approx(0.94)


def test_a_gem_without_a_size_counts_at_its_middle() -> None:
    gem = '[[extra]]\nname = "gem"\non = "card/p1"\nat = [12, 20]\nheight = 2.5\n'
    card = Card(strip_card([50, 50], "V", gem), CARD)
    found = card.thickness
    assert [one.name for one in found.sizeless] == ["gem"]
    assert found.mm == pytest.approx(3.04)
    assert found.thickest is not None
    assert found.thickest.on_panel.floats() == pytest.approx((12, 20))
    assert [one.mm for one in found.cells] == [pytest.approx(0.54)]
    (point,) = found.points
    assert point.plies == 2
    assert point.mm == pytest.approx(3.04)


@given(
    st.lists(
        st.tuples(st.integers(1, 4), st.integers(2, 28), st.integers(2, 58), st.integers(1, 20)),
        max_size=5,
    ),
    st.lists(st.tuples(st.floats(0.5, 29.5), st.floats(0.5, 59.5)), min_size=1, max_size=10),
)
def test_sums_at_random_places(
    extras: list[tuple[int, int, int, int]], places: list[tuple[float, float]]
) -> None:
    """An accordion of four: an extra on an even panel lies mirrored. Added up by hand."""
    more = ""
    boxes = []
    for panel, x, y, size in extras:
        along = 30 * (panel - 1) + (x if panel % 2 else 30 - x)
        more += f'[[extra]]\non = "card/p{panel}"\nat = [{along}, {y}]\nsize = [{size}, {size}]\n'
        more += f"height = {size / 10}\n"
        boxes.append((x, y, size))
    card = Card(strip_card([30] * 4, "VMV", more), CARD)
    for here in places:
        out = [max(abs(here[0] - left), abs(here[1] - low)) - size / 2 for left, low, size in boxes]
        lying = [box[2] for box, past in zip(boxes, out, strict=True) if past < 0]
        rims = [abs(past) for past in out]
        if min(rims, default=1.0) < 0.01:
            continue
        (cell,) = cells_at(card, *here)
        assert cell.mm == pytest.approx(4 * 0.27 + sum(size / 10 for size in lying))


# The worked card: two steps of 30 by 35 on a base of 148 by 210, mats 3 inside

ALL_MATS = '[[mat]]\non = "base"\npanels = "all"\nmargin = 3\nstock = "print"\n'
# A greeting panel of the printed paper on foam, over the first step and on the side strip.
ON_STEPS = '[[extra]]\non = "base/tread 1"\nat = [100, 160]\nsize = [60, 10]\nheight = {}\n'
ON_STRIP = '[[extra]]\non = "base/wall"\nat = [25, 160]\nsize = [40, 20]\nheight = {}\n'
# An envelope of three plies, 160 g/m² at a bulk of 1.25.
ENVELOPE = 0.6


@pytest.mark.parametrize(
    ("more", "in_envelope"),
    [
        ("", 3.4),
        (ON_STEPS.format(2.192), 5.6),
        (ON_STEPS.format(1.192), 4.6),
        (ON_STRIP.format(2.192), 3.7),
    ],
)
def test_the_worked_card_in_its_envelope(more: str, in_envelope: float) -> None:
    """Six plies and six mats over the steps, two of each on the strip; reckoned by hand."""
    card = Card(stair(105, 105, [30, 30], [35, 35], ALL_MATS + more), BOTH)
    assert card.thickness.most_plies == 6
    assert card.thickness.mm is not None
    assert round(card.thickness.mm + ENVELOPE, 1) == in_envelope


# What is not known


@pytest.mark.parametrize(
    ("more", "calipers", "stocks", "heights", "loose"),
    [
        ("", {}, ("card",), (), ()),
        ("", {"": 0.27}, (), (), ()),
        (
            '[[mat]]\non = "card"\nmargin = 3\nstock = "print"\n[stock.print]\n',
            {"card": 0.27},
            ("print",),
            (),
            (),
        ),
        ('[[extra]]\non = "card/p1"\nat = [9, 9]\nsize = 4\n', CARD, (), ("extra 1",), ()),
        ('[[extra]]\non = "card/p1"\nheight = 4\n', CARD, (), (), ("extra 1",)),
        ('[[extra]]\non = "card/p1"\nheight = 0\n', CARD, (), (), ()),
    ],
)
def test_nothing_is_guessed(
    more: str,
    calipers: dict[str, float],
    stocks: tuple[str, ...],
    heights: tuple[str, ...],
    loose: tuple[str, ...],
) -> None:
    found = Card(strip_card([50, 50], "V", more), calipers).thickness
    assert found.stocks == stocks
    assert tuple(one.name for one in found.heights) == heights
    assert tuple(one.name for one in found.loose) == loose
    known = not (stocks or heights or loose)
    assert found.known is known
    assert (found.mm is not None) is known


def test_what_is_known_still_counts() -> None:
    """A mat of unknown paper: the rim is known, the middle is at least as thick as its plies."""
    mat = '[[mat]]\non = "card"\nmargin = 3\nstock = "print"\n[stock.print]\n'
    found = Card(strip_card([50, 50], "V", mat), CARD).thickness
    inside, rim = sorted(found.cells, key=lambda one: one.mm is not None)
    assert inside.mm is None
    assert inside.known_mm == pytest.approx(0.54)
    assert rim.mm == pytest.approx(0.54)
    assert found.thickest is not None
    assert found.thickest.known_mm == pytest.approx(0.54)
