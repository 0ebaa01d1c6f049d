"""Mass and centre of mass of panels with what is glued on them, against closed forms."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from pathlib import Path as File
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.folding.motion import STILL
from foldwright.panels import Assembly
from foldwright.stacking.mass import Balance, Masses, balance_of, masses_of, moved_by_extras
from tests.stacking.dressed import PLATE, card
from tests.stacking.placed import folded, motion

PUBLISHED = File(__file__).parents[1] / "published" / "mass.toml"
EVERY = ""


def fact(number: str) -> Mapping[str, Any]:
    facts = tomllib.loads(PUBLISHED.read_text(encoding="utf-8"))["fact"]
    found: Mapping[str, Any] = next(one["value"] for one in facts if one["id"] == number)
    return found


def weighed(text: str, grammages: Mapping[str, float]) -> Masses:
    assembly, resolved = card(text)
    return masses_of(assembly, resolved, grammages)


def balance(text: str, gsm: float = 200.0) -> Balance:
    """Of a card that lies flat, all its paper of one grammage."""
    assembly, resolved = card(text)
    masses = masses_of(assembly, resolved, {EVERY: gsm})
    found = balance_of(masses, dict.fromkeys(masses.panels, STILL))
    assert found is not None
    return found


def test_a_sheet_of_a4() -> None:
    sheet = '[[piece]]\nname = "sheet"\noutline = { rectangle = [210, 297] }\n'
    mass = weighed(sheet, {EVERY: 80.0}).mass_g
    assert mass == pytest.approx(fact("P04")["rounded_size_g"], rel=1e-12)
    assert mass == pytest.approx(fact("P04")["nominal_g"], abs=0.05)


def test_a_ream_of_cover_weighs_the_pounds_that_it_is_called_by() -> None:
    sheet = '[[piece]]\nname = "sheet"\noutline = { rectangle = ["20 in", "26 in"] }\n'
    for name, pounds in (("cover80", 80), ("cover100", 100)):
        mass = weighed(sheet, {EVERY: fact("P14")[name]}).mass_g
        assert mass is not None
        assert 500 * mass / 453.59237 == pytest.approx(pounds, abs=0.005)


@pytest.mark.parametrize(
    ("outline", "area", "middle"),
    [
        ("rectangle = [10, 20, 100, 60]", 6000, (60, 50)),
        ("polygon = [[0, 0], [90, 0], [30, 60]]", 2700, (40, 20)),
        ("circle = [50, 40, 30]", 900 * math.pi, (50, 40)),
        # A half disc: 4 r / (3 pi) from its diameter.
        (
            "path = [[0, 0], [60, 0], { arc_to = [0, 0], through = [30, 30] }]",
            450 * math.pi,
            (30, 40 / math.pi),
        ),
    ],
)
def test_shapes(outline: str, area: float, middle: tuple[float, float]) -> None:
    text = f'[[piece]]\nname = "card"\noutline = {{ {outline} }}\n'
    found = balance(text, 250.0)
    assert found.mass_g == pytest.approx(area * 250e-6, rel=1e-12)
    assert found.centre == pytest.approx((*middle, 0), abs=1e-9)


def test_an_annulus_and_a_disc_with_a_hole_aside() -> None:
    disc = '[[piece]]\nname = "card"\noutline = { circle = [40, 40, 40] }\n[[piece.opening]]\n'
    found = balance(disc + "circle = [40, 40, 20]\n")
    assert found.mass_g == pytest.approx(math.pi * (1600 - 400) * 200e-6, rel=1e-12)
    assert found.centre == pytest.approx((40, 40, 0), abs=1e-9)
    aside = balance(disc + "circle = [55, 40, 20]\n")
    assert aside.mass_g == pytest.approx(found.mass_g, rel=1e-12)
    assert aside.centre == pytest.approx((40 - 15 * 400 / 1200, 40, 0), abs=1e-9)


def test_a_mat_adds_its_own_paper() -> None:
    """300 g/m² on the left half of the card, 2 mm in, on either face."""
    folded_card = (
        PLATE.replace('name = "card"', 'name = "card"\nstock = "card"')
        + '[[piece.fold]]\nsense = "valley"\npoints = [[50, 0], [50, 60]]\n'
        + '[[mat]]\non = "card"\npanels = ["panel 1"]\nmargin = 2\nstock = "rich"\n'
    )
    for face in ("front", "back"):
        text = folded_card + f'face = "{face}"\n[stock.card]\n[stock.rich]\n'
        masses = weighed(text, {"card": 200.0, "rich": 300.0})
        paper, mat = 3000 * 200e-6, 46 * 56 * 300e-6
        left, right = masses.panels["card", 0], masses.panels["card", 1]
        assert (left.area_mm2, left.paper_g) == pytest.approx((3000, paper))
        assert (left.mass_g, right.mass_g) == pytest.approx((paper + mat, paper))
        assert masses.mass_g == pytest.approx(2 * paper + mat)
        found = balance_of(masses, dict.fromkeys(masses.panels, STILL))
        assert found is not None
        assert found.centre[0] == pytest.approx(
            (25 * (paper + mat) + 75 * paper) / (2 * paper + mat)
        )


EXTRA = '[[piece.panel]]\nname = "page"\nat = [1, 1]\n[[extra]]\non = "page"\n'


def test_an_extra_stands_up_from_the_front() -> None:
    """Paper of 1.2 g and 0.8 g of foam, 10 mm high, whatever its size."""
    for size in ("", "size = 8\n", "size = [8, 4]\n"):
        text = PLATE + EXTRA + f"at = [80, 20]\nheight = 10\nmass = 0.8\n{size}"
        found = balance(text)
        assert found.mass_g == pytest.approx(2.0)
        assert found.centre == pytest.approx(
            ((50 * 1.2 + 80 * 0.8) / 2, (30 * 1.2 + 20 * 0.8) / 2, 5 * 0.8 / 2)
        )


def test_the_centre_goes_with_the_panels() -> None:
    """An L of 50 mm each way: the middle is a quarter of an arm from both; foam inside it."""
    text = (
        PLATE
        + '[[piece.fold]]\nname = "gutter"\nsense = "valley"\npoints = [[50, 0], [50, 60]]\n'
        + '[[extra]]\non = "panel 2"\nat = [80, 30]\nheight = 4\nmass = 1.2\n'
    )
    assembly, resolved = card(text)
    masses = masses_of(assembly, resolved, {EVERY: 200.0})
    found = balance_of(masses, folded(assembly, {"gutter": 90.0}))
    assert found is not None
    # Paper 0.6 g at (25, 0) and at (50, 25), foam 1.2 g at (48, 30), of which the front
    # of the wall looks to -x.
    assert found.centre == pytest.approx(
        ((0.6 * 25 + 0.6 * 50 + 1.2 * 48) / 2.4, 30, (0.6 * 25 + 1.2 * 30) / 2.4)
    )
    wall = balance_of(masses, folded(assembly, {"gutter": 90.0}), [("card", 1)])
    assert wall is not None
    assert wall.mass_g == pytest.approx(1.8)


def test_every_copy_of_a_piece_counts_in_the_whole() -> None:
    text = PLATE + '[[piece]]\nname = "label"\ncopies = 3\noutline = { rectangle = [10, 10] }\n'
    masses = weighed(text, {EVERY: 200.0})
    assert masses.mass_g == pytest.approx((6000 + 3 * 100) * 200e-6)
    assert masses.panels["label", 0].mass_g == pytest.approx(100 * 200e-6)


# What is not known.


TWO_STOCKS = (
    PLATE.replace('name = "card"', 'name = "card"\nstock = "card"')
    + '[[piece]]\nname = "label"\nstock = "rich"\noutline = { rectangle = [10, 10] }\n'
    + '[[mat]]\non = "label"\nmargin = 0\nstock = "rare"\n'
    + "[stock.card]\n[stock.rich]\n[stock.rare]\n"
)


def test_an_unknown_grammage_leaves_the_mass_open() -> None:
    masses = weighed(TWO_STOCKS, {"card": 200.0, "rich": 100.0})
    assert masses.stocks == ("rare",)
    assert masses.mass_g is None
    assert masses.panels["card", 0].mass_g == pytest.approx(1.2)
    label = masses.panels["label", 0]
    assert (label.mass_g, label.centre) == (None, None)
    assert label.paper_g == pytest.approx(0.01)
    assert balance_of(masses, dict.fromkeys(masses.panels, STILL)) is None
    assert balance_of(masses, {("card", 0): STILL}) is not None
    assert weighed(TWO_STOCKS, {}).stocks == ("rare", "card", "rich")
    # Whatever serves every other stock serves these.
    every = weighed(TWO_STOCKS, {"card": 200.0, EVERY: 100.0})
    assert every.stocks == ()
    assert every.mass_g == pytest.approx(1.2 + 0.01 + 0.01)


def test_paper_without_a_stock_has_the_material_of_every_other() -> None:
    assert weighed(PLATE, {"card": 200.0}).stocks == (None,)
    assert weighed(PLATE, {EVERY: 200.0}).mass_g == pytest.approx(1.2)


def test_an_extra_of_unknown_mass_leaves_it_open() -> None:
    masses = weighed(PLATE + EXTRA + "at = [80, 20]\nheight = 10\n", {EVERY: 200.0})
    assert [extra.name for extra in masses.heavy] == ["extra 1"]
    assert (masses.mass_g, masses.stocks) == (None, ())


def test_an_extra_without_a_place_has_a_mass_and_no_centre() -> None:
    masses = weighed(PLATE + EXTRA + "height = 10\nmass = 0.8\n", {EVERY: 200.0})
    assert [extra.name for extra in masses.loose] == ["extra 1"]
    assert masses.mass_g == pytest.approx(2.0)
    assert masses.panels["card", 0].centre is None
    assert balance_of(masses, {("card", 0): STILL}) is None


def test_an_extra_without_a_height_lies_in_its_panel() -> None:
    masses = weighed(PLATE + EXTRA + "at = [80, 20]\nmass = 0.8\n", {EVERY: 200.0})
    assert [extra.name for extra in masses.flat] == ["extra 1"]
    centre = masses.panels["card", 0].centre
    assert centre is not None
    assert centre[2] == 0.0


def test_an_extra_without_weight_may_be_anywhere() -> None:
    masses = weighed(PLATE + EXTRA + "mass = 0\n", {EVERY: 200.0})
    assert (masses.heavy, masses.loose, masses.flat) == ((), (), ())
    assert masses.panels["card", 0].centre == pytest.approx((50, 30, 0))


def test_a_mat_of_which_nothing_is_left_weighs_nothing() -> None:
    text = (
        PLATE + '[[piece.fold]]\nsense = "valley"\npoints = [[8, 0], [8, 60]]\n'
        '[[mat]]\non = "card"\nmargin = 4\nstock = "rare"\n[stock.rare]\n'
    )
    masses = weighed(text, {EVERY: 200.0, "rare": 100.0})
    assert masses.panels["card", 0].mass_g == pytest.approx(8 * 60 * 200e-6)
    assert masses.panels["card", 1].mass_g == pytest.approx(92 * 60 * 200e-6 + 84 * 52 * 100e-6)


@given(
    st.lists(st.tuples(st.floats(0.1, 50), *[st.floats(-100, 100)] * 3), min_size=1, max_size=6),
    st.floats(0, 360),
    st.tuples(*[st.floats(-100, 100)] * 3),
)
def test_the_centre_is_moved_as_the_card_is(
    loads: list[tuple[float, float, float, float]],
    degrees: float,
    shift: tuple[float, float, float],
) -> None:
    extras = "".join(
        f'[[extra]]\non = "page"\nat = ["{x:.6f} mm", "{y:.6f} mm"]\nmass = {mass:.6f}\n'
        f"height = {abs(z) + 1:.6f}\n"
        for mass, x, y, z in loads
    )
    page = '[[piece.panel]]\nname = "page"\nat = [1, 1]\n'
    assembly, resolved = card(PLATE + page + extras)
    masses = masses_of(assembly, resolved, {EVERY: 200.0})
    move = motion((1, 2, -1), degrees, shift)
    flat, moved = (balance_of(masses, {("card", 0): one}) for one in (STILL, move))
    assert flat is not None
    assert moved is not None
    assert moved.mass_g == pytest.approx(flat.mass_g)
    assert moved.centre == pytest.approx(move.apply3(flat.centre), abs=1e-9)
    points = [(mass, x, y, (abs(z) + 1) / 2) for mass, x, y, z in loads] + [(1.2, 50, 30, 0)]
    whole = sum(point[0] for point in points)
    middle = tuple(sum(p[0] * p[axis] for p in points) / whole for axis in (1, 2, 3))
    assert flat.centre == pytest.approx(middle, abs=1e-4)


@given(
    st.lists(
        st.tuples(st.floats(0.1, 5), st.floats(1, 99), st.floats(1, 59)), min_size=1, max_size=4
    )
)
def test_an_extra_moves_the_centre_by_what_it_is_without_it(
    loads: list[tuple[float, float, float]],
) -> None:
    """Each extra is left out in turn: the difference of the two centres of mass."""
    page = '[[piece.panel]]\nname = "page"\nat = [1, 1]\n'
    texts = [
        f'[[extra]]\non = "page"\nat = ["{x:.6f} mm", "{y:.6f} mm"]\nheight = 2\n'
        f"mass = {mass:.6f}\n"
        for mass, x, y in loads
    ]
    move = motion((1, 2, -1), 40.0, (3.0, 4.0, 5.0))

    def centre(extras: list[str]) -> tuple[Masses, Assembly, Balance]:
        assembly, resolved = card(PLATE + page + "".join(extras))
        masses = masses_of(assembly, resolved, {EVERY: 200.0})
        found = balance_of(masses, {("card", 0): move})
        assert found is not None
        return masses, assembly, found

    masses, assembly, whole = centre(texts)
    moved = moved_by_extras(masses, {("card", 0): move}, assembly, whole)
    assert len(moved) == len(loads)
    for number, one in enumerate(moved):
        _, _, without = centre(texts[:number] + texts[number + 1 :])
        differs = [a - b for a, b in zip(whole.centre, without.centre, strict=True)]
        assert one.by == pytest.approx(differs, abs=1e-9)
