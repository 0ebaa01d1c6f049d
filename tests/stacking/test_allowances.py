"""Lengths that folds take up: least squares by hand and against numpy, printers' panels."""

from __future__ import annotations

import math
import tomllib
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Piece, Slit
from foldwright.geometry import line
from foldwright.panels import Division, divide
from foldwright.profiles.load import load_material
from foldwright.stacking.allowances import displacements, granted, wants_of
from foldwright.stacking.heights import Wrap, wraps_of
from foldwright.stacking.least_squares import least_squares
from foldwright.stacking.paper import Floats
from tests.folding.folded_samples import M, V, at, fold, rectangle
from tests.stacking.closed_cards import strip_card
from tests.stacking.stacks import map_sheet, senses_of, strip
from tests.stacking.test_heights import card, in_order

FACTS: dict[str, dict[str, Any]] = {
    fact["id"]: fact
    for fact in tomllib.loads(
        (Path(__file__).parents[1] / "published" / "thickness_folds.toml").read_text()
    )["fact"]
}


def wants(division: Division, lengths: dict[str, float]) -> Floats:
    """Wants by the names of hinges."""
    found = np.zeros((len(division.hinges), 2))
    for hinge in division.hinges:
        wrap = Wrap(height_mm=lengths.get(hinge.label, 0.0), clear_mm=0.0, panels=())
        key = (division.piece.name, hinge.index)
        found += wants_of(division, {key: wrap}, 1.0, 1.0)
    return found


def gets(division: Division, asked: Floats) -> dict[str, tuple[float, float]]:
    """What each hinge gets, along x and y."""
    found = granted(division, displacements(division, asked))
    return {hinge.label: tuple(found[hinge.index].tolist()) for hinge in division.hinges}


def lacks(division: Division, asked: Floats) -> dict[str, float]:
    left = granted(division, displacements(division, asked)) - asked
    return {hinge.label: math.hypot(*left[hinge.index]) for hinge in division.hinges}


def box() -> Division:
    """A pop-up box 30 deep and 40 high on a page of 200 by 200 with the gutter at y = 100."""
    return divide(
        Piece(
            name="page",
            outline=rectangle(200, 200),
            slits=tuple(
                Slit(name=f"slit {x}", path=line(at(x, 70), at(x, 140))) for x in (60, 140)
            ),
            folds=(
                fold("left gutter", (0, 100), (60, 100)),
                fold("right gutter", (140, 100), (200, 100)),
                fold("foot", (60, 70), (140, 70)),
                fold("edge", (60, 110), (140, 110), sense=M),
                fold("head", (60, 140), (140, 140)),
            ),
        )
    )


# By hand


def test_a_box_whose_gutter_wraps_two_plies() -> None:
    """Two gutters want 2a, three folds of the band nothing; x is how far the pages part.

    2 (x - 2a)^2 + 3 (x / 3)^2 is least at x = 12a/7: each gutter lacks 2a/7, each fold of
    the band gets 4a/7 too much, and both sides of each slit have 12a/7.
    """
    a = 0.23
    page = box()
    asked = wants(page, {"left gutter": 2 * a, "right gutter": 2 * a})
    got = gets(page, asked)
    for name in ("left gutter", "right gutter"):
        assert tuple(map(abs, got[name])) == pytest.approx((0.0, 12 * a / 7), abs=1e-12)
    for name in ("foot", "edge", "head"):
        assert tuple(map(abs, got[name])) == pytest.approx((0.0, 4 * a / 7), abs=1e-12)
    assert lacks(page, asked) == pytest.approx(
        {
            "left gutter": 2 * a / 7,
            "right gutter": 2 * a / 7,
            "foot": 4 * a / 7,
            "edge": 4 * a / 7,
            "head": 4 * a / 7,
        },
        abs=1e-12,
    )


def test_a_map_folded_in_quarters() -> None:
    """One of the four folds round the vertex wraps 2a: a/2 is left at each of them."""
    sheet = divide(map_sheet(2, 2))
    asked = wants(sheet, {"upright 1#1": 0.4})
    assert lacks(sheet, asked) == pytest.approx(dict.fromkeys(gets(sheet, asked), 0.1), abs=1e-12)
    assert math.hypot(*gets(sheet, asked)["upright 1#1"]) == pytest.approx(0.3)


def test_a_letter_gets_all_and_grows_by_it() -> None:
    letter = divide(strip([60, 60, 60], senses_of("VV")))
    asked = wants(letter, {"fold 1": 0.2})
    assert gets(letter, asked)["fold 1"] == pytest.approx((0.2, 0.0), abs=1e-15)
    assert gets(letter, asked)["fold 2"] == pytest.approx((0.0, 0.0), abs=1e-15)
    assert max(lacks(letter, asked).values()) < 1e-14


def test_the_largest_panel_stays() -> None:
    letter = divide(strip([60, 70, 60], senses_of("VV")))
    moves = displacements(letter, wants(letter, {"fold 1": 0.2, "fold 2": 0.3}))
    assert moves == pytest.approx(np.array([[-0.2, 0.0], [0.0, 0.0], [0.3, 0.0]]), abs=1e-14)


def test_nothing_wanted_moves_nothing() -> None:
    for piece in (box().piece, map_sheet(3, 3)):
        division = divide(piece)
        assert not displacements(division, np.zeros((len(division.hinges), 2))).any()


def test_a_fold_takes_up_its_length_across_itself() -> None:
    slope = divide(
        Piece(name="card", outline=rectangle(80, 60), folds=(fold("slope", (0, 0), (80, 60)),))
    )
    (hinge,) = slope.hinges
    asked = wants_of(slope, {("card", 0): Wrap(height_mm=0.5, clear_mm=0.0, panels=())}, 0.3, 0.25)
    # A fold that rises 3 in 4: across it (0.6, -0.8), from the left panel to the right one.
    assert asked[0].tolist() == pytest.approx([0.6 * 0.6, -0.8 * 0.6], abs=1e-12)
    assert slope.panels[hinge.left].box[3] == 60.0


# Properties


def banded(gutter: int, marks: list[int], slit_x: int) -> Division:
    """A page with one slit, its gutter on the left, folds at `marks` on the right."""
    senses = [V if k % 2 == 0 else M for k in range(len(marks))]
    return divide(
        Piece(
            name="page",
            outline=rectangle(100, 200),
            slits=(Slit(name="slit", path=line(at(slit_x, marks[0]), at(slit_x, marks[-1]))),),
            folds=(
                fold("gutter", (0, gutter), (slit_x, gutter)),
                *(
                    fold(f"step {k}", (slit_x, y), (100, y), sense=sense)
                    for k, (y, sense) in enumerate(zip(marks, senses, strict=True))
                ),
            ),
        )
    )


bands = st.builds(
    banded,
    st.just(100),
    st.lists(st.integers(1, 18), min_size=2, max_size=7, unique=True).map(
        lambda tens: sorted({10 * ten for ten in tens} | {20, 180})
    ),
    st.integers(20, 80),
)


@settings(deadline=None, max_examples=50)
@given(page=bands, lengths=st.lists(st.floats(0, 3), min_size=12, max_size=12))
def test_both_sides_of_a_slit_get_the_same_and_the_normal_equations_hold(
    page: Division, lengths: list[float]
) -> None:
    named = {hinge.label: lengths[hinge.index] for hinge in page.hinges}
    asked = wants(page, named)
    given_ = granted(page, displacements(page, asked))
    # All folds run along x, so the panel on their left is the upper one.
    up = {hinge.label: -given_[hinge.index, 1] for hinge in page.hinges}
    steps = math.fsum(value for name, value in up.items() if name != "gutter")
    assert steps == pytest.approx(up["gutter"], abs=1e-9)
    left = given_ - asked
    for panel in page.panels:
        pull = np.zeros(2)
        for hinge in page.hinges:
            if panel.index == hinge.right:
                pull += left[hinge.index]
            if panel.index == hinge.left:
                pull -= left[hinge.index]
        assert pull == pytest.approx(np.zeros(2), abs=1e-9)
    # The same by hand: springs of n folds in a row against one gutter.
    count = len(page.hinges) - 1
    wanted = math.fsum(value for name, value in named.items() if name != "gutter")
    both = (named["gutter"] + wanted / count) / (1.0 + 1.0 / count)
    assert up["gutter"] == pytest.approx(both, abs=1e-9)


@settings(deadline=None, max_examples=50)
@given(
    rows=st.integers(1, 8),
    columns=st.integers(1, 8),
    seed=st.integers(0, 2**32 - 1),
    rank=st.integers(1, 8),
)
def test_least_squares_against_numpy(rows: int, columns: int, seed: int, rank: int) -> None:
    """Also where the columns depend on each other: of many answers the least one."""
    random = np.random.default_rng(seed)
    kept = min(rank, rows, columns)
    whole = random.integers(-3, 4, (rows, kept)) @ random.integers(-3, 4, (kept, columns))
    right = random.normal(size=(rows, 2))
    row, column = np.nonzero(np.ones_like(whole))
    found = least_squares(row, column, whole[row, column].astype(float), right, columns)
    wanted, *_ = np.linalg.lstsq(whole.astype(float), right, rcond=None)
    assert found == pytest.approx(wanted, abs=1e-6 * max(1.0, float(np.abs(wanted).max())))


# Printers' panels and the bend formulas

MM_PER_IN = 25.4
MATERIALS = Path(__file__).parents[2] / "profiles" / "materials"


def new_panels(widths: list[Fraction], names: str, caliper: float) -> list[float]:
    """The widths of the panels of a strip of valleys, once its folds have what they take up."""
    pack = card(strip_card(widths, "V" * (len(widths) - 1)), caliper)
    order = in_order(pack, names)
    (division,) = pack.assembly.divisions.values()
    wraps = wraps_of(pack.assembly, pack.cover, order, pack.thickness, pack.calipers)
    # The least that a sharp fold takes: one caliper for each ply.
    got = granted(division, displacements(division, wants_of(division, wraps, caliper, caliper)))
    found = [float(width) for width in widths]
    for hinge in division.hinges:
        for panel in (hinge.left, hinge.right):
            found[int(division.panels[panel].name[1:]) - 1] += abs(got[hinge.index, 0]) / 2.0
    return found


@pytest.mark.parametrize("material", ["text-120", "card-200"])
@pytest.mark.parametrize(
    ("fact", "order", "inside"),
    [
        # The last panel is folded in, under the first one.
        ("T12", "p1 p3 p2", ["p3"]),
        # Rolled up from the last panel.
        ("T14", "p1 p3 p4 p2", ["p3", "p4"]),
        # Both outer panels are folded in, then the middle is shut.
        ("T13", "p3 p4 p1 p2", ["p1", "p4"]),
    ],
)
def test_panels_that_are_folded_in_come_out_shorter_as_printers_make_them(
    material: str, fact: str, order: str, inside: list[str]
) -> None:
    """Of equal panels those inside end up shorter, by no more than printers take off."""
    printed = FACTS[fact]["value"]
    total = Fraction(str(sum(printed))) * Fraction(254, 10)
    widths = [total / len(printed)] * len(printed)
    found = new_panels(widths, order, load_material(material).caliper.value)
    longest = max(found)
    most = (max(printed) - min(printed)) * MM_PER_IN
    for number, width in enumerate(found, start=1):
        if f"p{number}" in inside:
            assert 0.0 < longest - width <= most
    if fact != "T13":
        # In the same order of size, the innermost the shortest.
        assert found[-1] == min(found)
        assert sorted(found[1:], reverse=True) == pytest.approx(found[1:])
    per_panel = FACTS["T15"]["value"]["per_panel"] * MM_PER_IN
    assert longest - min(found) <= per_panel * len(inside)


@pytest.mark.parametrize(("fact", "order"), [("T12", "p1 p3 p2"), ("T14", "p1 p3 p4 p2")])
def test_panels_as_printers_make_them_need_next_to_nothing_more(fact: str, order: str) -> None:
    """They end short of the folds that wrap them: nothing that a cutter could place is left."""
    printed = [Fraction(str(width)) * Fraction(254, 10) for width in FACTS[fact]["value"]]
    found = new_panels(printed, order, load_material("text-120").caliper.value)
    off = [width - float(before) for width, before in zip(found, printed, strict=True)]
    assert max(off) <= 0.02


def test_shipped_allowances_lie_between_sharp_and_round_folds() -> None:
    """T10 for one ply: between t and pi/2 (t + t)."""
    checked = 0
    for path in sorted(MATERIALS.glob("*.toml")):
        profile = load_material(path.stem)
        for way in profile.tools.values():
            if way.refused is None and way.score is not None:
                t = profile.caliper.value
                assert round_fold(t, t) >= way.score.allowance.value >= t * (1.0 - 1e-9)
                checked += 1
    assert checked >= 6


def round_fold(height: float, caliper: float) -> float:
    """The length of the middle of a sheet round a pack: the bend allowance for 180 degrees."""
    return bend(math.pi, height / 2.0, caliper)


def bend(angle: float, radius: float, caliper: float) -> float:
    """T01: angle in radians times (R + K T), the neutral line in the middle."""
    return angle * (radius + 0.5 * caliper)


def test_the_bend_formula_is_that_of_the_handbook() -> None:
    given_ = FACTS["T03"]["value"]
    one = bend(math.pi / 2.0, given_["R"], given_["T"])
    assert one == pytest.approx(FACTS["T04"]["value"]["BA_K05"], abs=5e-6)
    whole = sum(given_["flats"]) + 2.0 * one
    assert whole == pytest.approx(FACTS["T04"]["value"]["TDW_K05"], abs=5e-6)


def test_a_pack_of_several_plies_lies_between_the_published_bounds() -> None:
    known = FACTS["T10"]["value"]
    # Two plies of 0.3 mm, an allowance of one caliper for each: the lower bound itself.
    letter = divide(strip([60, 60], senses_of("V")))
    wrap = Wrap(height_mm=known["h"], clear_mm=0.0, panels=())
    (want,) = wants_of(letter, {("strip", 0): wrap}, known["t"], known["t"])
    assert math.hypot(*want) == pytest.approx(known["low"])
    assert round_fold(known["h"], known["t"]) == pytest.approx(known["high"], abs=5e-5)
    assert known["low"] <= math.hypot(*want) <= known["high"]


def test_nested_sheets_creep_by_what_their_folds_take_up() -> None:
    """T11: each of 8 nested sheets takes up 2t more than the one in it, half on each side."""
    known = FACTS["T11"]["value"]
    t, sheets = 0.10, 8
    folder = divide(strip([60, 60], senses_of("V")))
    wrap = Wrap(height_mm=2 * (sheets - 1) * t, clear_mm=0.0, panels=())
    (want,) = wants_of(folder, {("strip", 0): wrap}, t, t)
    creep = math.hypot(*want) / 2.0
    assert creep == pytest.approx(known["example_mm"])
    assert creep <= known["upper_mm"]
