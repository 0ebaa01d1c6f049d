"""The order of plies: held to exhaustive search, published counts, and known impossible folds."""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import product
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Face, Piece, Sense, Slit
from foldwright.geometry import line
from foldwright.panels import Assembly
from foldwright.stacking.cover import Cover, cover_of
from foldwright.stacking.order import Blocked, PlyOrder, Undecided, plies_at, ply_order
from foldwright.stacking.order_rules import Rules, Why, among, rules_of
from foldwright.stacking.order_search import orders
from tests.folding.folded_samples import (
    OTHER,
    M,
    Sample,
    V,
    accordion,
    assembled,
    at,
    easel,
    fold,
    glued,
    miura,
    page,
    parallel_box,
    rectangle,
    square_twist,
    stair,
    v_fold,
    vertex,
)

from .placed import motion
from .stacks import (
    Length,
    agrees,
    closed,
    closed_cover,
    every_order,
    fit,
    halved,
    map_orders,
    map_sheet,
    piled,
    senses_of,
    strip,
    with_senses,
)

PUBLISHED = {
    fact["id"]: fact
    for fact in tomllib.loads(
        (Path(__file__).parents[1] / "published" / "folding.toml").read_text(encoding="utf-8")
    )["fact"]
}


def ordered(card: Assembly, **how: Any) -> PlyOrder:
    found = ply_order(card, closed_cover(card), **how)
    assert isinstance(found, PlyOrder)
    return found


def blocked(card: Assembly, **how: Any) -> Blocked:
    found = ply_order(card, closed_cover(card), **how)
    assert isinstance(found, Blocked)
    return found


def count(card: Assembly) -> int:
    return sum(1 for _ in orders(rules_of(card, closed_cover(card))))


def patterns(folds: int) -> list[tuple[Sense, ...]]:
    return list(product((M, V), repeat=folds))


def word(senses: Sequence[Sense]) -> str:
    return "".join("M" if sense is M else "V" for sense in senses)


# Published counts.


@pytest.mark.parametrize("panels", range(1, 8))
def test_foldings_of_a_strip_of_stamps(panels: int) -> None:
    """F12: integer sequence A000136."""
    found = [count(assembled(strip([20] * panels, s))) for s in patterns(panels - 1)]
    assert sum(found) == PUBLISHED["F12"]["value"][panels - 1]
    assert all(found)


@pytest.mark.parametrize("size", ["2x2", "2x3", "2x4"])
def test_foldings_of_a_map(size: str) -> None:
    """F13: integer sequence A001415."""
    rows, columns = (int(part) for part in size.split("x"))
    sheet = assembled(map_sheet(columns, rows))
    cover = closed_cover(sheet)
    found = {
        senses: sum(1 for _ in orders(rules_of(with_senses(sheet, senses), cover)))
        for senses in patterns(len(sheet.divisions["map"].hinges))
    }
    assert sum(found.values()) == PUBLISHED["F13"]["value"][size]
    possible = [word(senses) for senses, ways in found.items() if ways]
    assert len(possible) == PUBLISHED["F13"]["patterns"][size]
    # Which they are, and in how many orders each, says the brute force.
    tried = [senses for senses, _ in map_orders(columns, rows)]
    assert {word(senses): ways for senses, ways in found.items() if ways} == {
        one: tried.count(one) for one in tried
    }


@pytest.mark.parametrize("name", sorted(PUBLISHED["F10"]["value"]))
def test_senses_with_which_a_vertex_folds_flat(name: str) -> None:
    """F10: T. Hull, Counting mountain-valley assignments for flat folds, 2003."""
    sectors = PUBLISHED["F10"]["sectors"][name]
    good = [
        senses
        for senses in patterns(len(sectors))
        if count(assembled(vertex(sectors[:-1], senses))) > 0
    ]
    assert len(good) == PUBLISHED["F10"]["value"][name]
    for senses in good:
        # Maekawa's theorem, which nothing in the rules says.
        assert abs(senses.count(M) - senses.count(V)) == 2
        for i, sector in enumerate(sectors):
            following = sectors[(i + 1) % len(sectors)]
            if sector < sectors[i - 1] and sector < following:
                # F05, the big-little-big lemma.
                assert senses[i] is not senses[(i + 1) % len(senses)]


def test_a_vertex_that_passes_maekawa_and_does_not_fold() -> None:
    """F11."""
    for senses in patterns(4):
        found = count(assembled(vertex((45, 90, 135), senses)))
        assert (found > 0) == (word(senses) in PUBLISHED["F11"]["value"]["valid"])
    for bad in PUBLISHED["F11"]["value"]["invalid"]:
        assert blocked(assembled(vertex((45, 90, 135), senses_of(bad))))


@pytest.mark.parametrize("name", sorted(PUBLISHED["F14"]["value"]))
def test_strips_with_a_short_or_a_long_middle(name: str) -> None:
    """F14: Arkin et al., When can you fold a map?, 2004."""
    widths = [10 * int(part) for part in name.split("_")[1:]]
    good = [word(s) for s in patterns(2) if count(assembled(strip(widths, s))) > 0]
    assert good == PUBLISHED["F14"]["value"][name]


# Exhaustive search.


def agrees_with_trial(widths: Sequence[Length], senses: Sequence[Sense]) -> bool:
    """Compare one strip with all permutations; whether it can be folded."""
    card = assembled(strip(widths, senses))
    cover = closed_cover(card)
    good = fit(widths, senses, every_order(len(widths)))
    # Orders of panels that do not overlap are free in a permutation and absent in ours, so
    # that several of its orders are one.
    pairs = {
        tuple(sorted((one[1], other[1])))
        for cell in cover.cells
        for one in cell.panels
        for other in cell.panels
        if one != other
    }
    columns = sorted(pairs)
    told = {
        tuple(bool(order[high] > order[low]) for low, high in columns) for order in good.tolist()
    }
    found = {
        tuple(bool(above[low] >> high & 1) for low, high in columns)
        for above in orders(rules_of(card, cover))
    }
    assert found == told
    answer = ply_order(card, cover)
    if not told:
        assert isinstance(answer, Blocked)
        return False
    assert isinstance(answer, PlyOrder)
    assert set(answer.above) == {(("strip", low), ("strip", high)) for low, high in columns}
    assert tuple(answer.above[("strip", a), ("strip", b)] for a, b in columns) in told
    return True


@pytest.mark.parametrize("panels", range(2, 9))
def test_strips_of_random_lengths_agree_with_every_permutation(panels: int) -> None:
    rng = random.Random(panels)
    possible = 0
    for _ in range(40 if panels < 8 else 15):
        # Few lengths, so that folds often come to lie on each other.
        widths = [rng.choice((10, 15, 20, 30)) for _ in range(panels)]
        senses = [rng.choice((M, V)) for _ in range(panels - 1)]
        possible += agrees_with_trial(widths, senses)
    assert possible or panels > 7


@given(
    widths=st.lists(st.integers(5, 60).map(lambda n: Fraction(n, 3)), min_size=2, max_size=6),
    data=st.data(),
)
@settings(deadline=None, max_examples=80)
def test_strips_of_any_lengths_agree_with_every_permutation(
    widths: list[Fraction], data: st.DataObject
) -> None:
    number = len(widths) - 1
    senses = data.draw(st.lists(st.sampled_from((M, V)), min_size=number, max_size=number))
    agrees_with_trial(widths, senses)


@pytest.mark.parametrize(("columns", "rows"), [(2, 2), (3, 2), (4, 2), (8, 1), (1, 7)])
def test_maps_agree_with_every_permutation(columns: int, rows: int) -> None:
    sheet = assembled(map_sheet(columns, rows))
    cover = closed_cover(sheet)
    division = sheet.divisions["map"]
    labels = [hinge.label.split("#")[0] for hinge in division.hinges]
    assert labels == [
        *(f"upright {i}" for i in range(1, columns) for _ in range(rows)),
        *(f"level {j}" for j in range(1, rows) for _ in range(columns)),
    ]
    found: dict[str, set[tuple[int, ...]]] = {}
    for senses, order in map_orders(columns, rows):
        found.setdefault(senses, set()).add(order)
    rng = random.Random(columns)
    for senses in rng.sample(sorted(found), min(len(found), 24)):
        card = with_senses(sheet, senses_of(senses))
        assert sum(1 for _ in orders(rules_of(card, cover))) == len(found[senses])
        answer = ply_order(card, cover)
        assert isinstance(answer, PlyOrder)
        assert tuple(piled(answer, columns * rows)) in found[senses]


# Known orders.


def test_an_accordion_lies_in_the_order_of_its_panels() -> None:
    card = assembled(accordion([20] * 9))
    cover = closed_cover(card)
    order = ply_order(card, cover)
    assert isinstance(order, PlyOrder)
    # The first fold is a valley, so all others lie on the first panel.
    assert plies_at(order, cover.cells[0]) == tuple(("strip", i) for i in range(9))


def test_a_letter_is_rolled_up_with_its_last_panel_inside() -> None:
    card = assembled(strip([30, 28, 26, 24], [V, V, V]))
    cover = closed_cover(card)
    order = ply_order(card, cover)
    assert isinstance(order, PlyOrder)
    deepest = max(cover.cells, key=lambda cell: len(cell.panels))
    # The first two are outside; each further one lies within those before it.
    assert plies_at(order, deepest) == tuple(("strip", i) for i in (0, 2, 3, 1))


def test_a_card_turned_over_is_turned_over_in_its_order() -> None:
    card = assembled(strip([30, 28, 26, 24], [V, V, V]))
    placed = closed(card)
    over = motion((1.0, 0.0, 0.0), 180.0)
    turned = ply_order(card, cover_of(card, {key: over @ one for key, one in placed.items()}))
    assert isinstance(turned, PlyOrder)
    usual = ordered(card)
    assert turned.above == {pair: not above for pair, above in usual.above.items()}


def test_turning_all_senses_round_turns_the_order_round() -> None:
    senses = halved(3)
    card = assembled(strip([20] * 8, senses))
    other = assembled(strip([20] * 8, [OTHER[sense] for sense in senses]))
    turned = {
        tuple(sorted(range(8), key=lambda i: -bin(above[i]).count("1")))
        for above in orders(rules_of(card, closed_cover(card)))
    }
    found = {
        tuple(sorted(range(8), key=lambda i: bin(above[i]).count("1")))
        for above in orders(rules_of(other, closed_cover(other)))
    }
    assert turned == found


@pytest.mark.parametrize("times", [2, 3, 4, 5, 6])
def test_a_strip_folded_in_half_again_and_again(times: int) -> None:
    panels = 2**times
    senses = halved(times)
    order = ordered(assembled(strip([20] * panels, senses)))
    heights = piled(order, panels)
    assert sorted(heights) == list(range(panels))
    assert len(fit([20] * panels, senses, np.array([heights]))) == 1
    assert agrees(order, {("strip", i): height for i, height in enumerate(heights)})


def test_maps_folded_by_hand_can_be_folded() -> None:
    """Folds one after another through all that lies there: such senses are always possible."""
    rng = random.Random(5)
    for columns, rows in ((3, 3), (5, 4), (6, 6)):
        sheet = assembled(map_sheet(columns, rows))
        cover = closed_cover(sheet)
        for _ in range(5):
            card = with_senses(sheet, folded_by_hand(columns, rows, rng))
            assert isinstance(ply_order(card, cover), PlyOrder)


def folded_by_hand(columns: int, rows: int, rng: random.Random) -> list[Sense]:
    """Senses, upright folds first, that come of random simple folds of all layers."""
    piles = {(i, j): [((i, j), True)] for i in range(columns) for j in range(rows)}
    size = [columns, rows]
    found: dict[tuple[tuple[int, int], tuple[int, int]], Sense] = {}
    while size != [1, 1]:
        axis = rng.choice([axis for axis in (0, 1) if size[axis] > 1])
        cut, over = rng.randrange(1, size[axis]), rng.random() < 0.5
        laid: dict[tuple[int, int], list[tuple[tuple[int, int], bool]]] = {}
        longest = max(cut, size[axis] - cut)
        for beside in range(size[1 - axis]):

            def place(along: int, beside: int = beside, axis: int = axis) -> tuple[int, int]:
                return (along, beside) if axis == 0 else (beside, along)

            for one, up in piles[place(cut - 1)]:
                for other, _ in piles[place(cut)]:
                    if abs(one[0] - other[0]) + abs(one[1] - other[1]) == 1:
                        pair = min(one, other), max(one, other)
                        found.setdefault(pair, V if up == over else M)
            for step in range(longest):
                low = piles[place(cut - 1 - step)] if step < cut else []
                turned = piles[place(cut + step)] if cut + step < size[axis] else []
                high = [(cell, not up) for cell, up in reversed(turned)]
                laid[place(longest - 1 - step)] = low + high if over else high + low
        piles = laid
        size[axis] = longest
    upright = [((i - 1, j), (i, j)) for i in range(1, columns) for j in range(rows)]
    level = [((i, j - 1), (i, j)) for j in range(1, rows) for i in range(columns)]
    return [found[pair] for pair in (*upright, *level)]


@pytest.mark.parametrize(
    "card",
    [
        assembled(stair([30], [40])),
        assembled(stair([10] * 5, [10] * 5)),
        assembled(stair([30, 20], [40, 25])),
        assembled(miura(6, 5, 60.0)),
        assembled(square_twist(20)),
        assembled(square_twist(20, senses=(M, V, M, V), brace=True)),
        v_fold().assembly,
        parallel_box(30, 50).assembly,
        easel().assembly,
    ],
)
def test_cards_that_fold_have_an_order_in_every_cell(card: Assembly) -> None:
    cover = closed_cover(card)
    order = ply_order(card, cover)
    assert isinstance(order, PlyOrder)
    for cell in cover.cells:
        plies = plies_at(order, cell)
        assert sorted(plies) == sorted(cell.panels)
        for place, one in enumerate(plies):
            for other in plies[:place]:
                assert order.is_above(one, other)
                assert not order.is_above(other, one)
    for name, division in card.divisions.items():
        for hinge in division.hinges:
            left, right = (name, hinge.left), (name, hinge.right)
            if (min(left, right), max(left, right)) in order.above and hinge.angle == 180:
                valley = hinge.sense is V
                up = cover.footprints[left].face_up
                assert order.is_above(right, left) == (valley == up)


def test_a_card_of_one_panel() -> None:
    order = ordered(assembled(strip([20], [])))
    assert order.above == {}


def test_panels_side_by_side_have_no_order() -> None:
    order = ordered(assembled(accordion([20, 20, 20], [0, 180])))
    assert set(order.above) == {(("strip", 1), ("strip", 2))}
    with pytest.raises(KeyError):
        order.is_above(("strip", 0), ("strip", 1))


def test_what_lies_over_a_flat_fold_lies_over_both_its_panels() -> None:
    """Panels 0 and 1 are one flat strip 30 long; 2 and 3 lie under it, from 5 on."""
    card = assembled(accordion([10, 20, 25, 30], [0, 180, 180]))
    rules = rules_of(card, closed_cover(card))
    (above,) = orders(rules)
    assert above[2] >> 0 & 1
    assert above[3] >> 0 & 1
    flat = [rule for rule in rules.alike if {0, 1} <= {*rule.one, *rule.other}]
    assert {rule.why for rule in flat} == {Why.FLAT}
    free = replace(rules, alike=tuple(rule for rule in rules.alike if rule not in flat))
    assert sum(1 for _ in orders(free)) > 1


def test_two_flat_folds_on_each_other_do_not_change_places() -> None:
    """A sheet of two flat halves, folded over on itself along its length."""
    piece = Piece(
        name="sheet",
        outline=rectangle(40, 60),
        folds=(
            fold("gutter", (0, 30), (40, 30)),
            fold("flat", (20, 0), (20, 30), (20, 60), angle=0),
        ),
    )
    card = assembled(piece)
    rules = rules_of(card, closed_cover(card))
    assert [rule.why for rule in rules.alike] == [Why.FLAT]
    # Without the gutter to the right nothing but that rule says how these two lie.
    free = replace(rules, fixed=rules.fixed[:1])
    assert sum(1 for _ in orders(free)) == 1
    assert sum(1 for _ in orders(replace(free, alike=()))) == 2


# Panels in each other's way.


def test_flaps_that_are_longer_than_what_is_between_them() -> None:
    card = assembled(strip([30, 10, 30], [V, V]))
    found = blocked(card)
    assert found.panels == tuple(("strip", i) for i in range(3))
    assert found.why == Why.ACROSS
    # The folds at 30 and at 40; where they are in the closed card.
    assert float(found.at.x) in (pytest.approx(20.0), pytest.approx(30.0))
    assert float(found.at.y) == pytest.approx(30.0)


def test_only_those_in_the_way_are_named() -> None:
    """The short panel between longer ones somewhere in a long strip."""
    widths = [20] * 8 + [60, 10, 60] + [20] * 8
    senses = [V if i % 2 else M for i in range(8)] + [V, V] + [M if i % 2 else V for i in range(8)]
    found = blocked(assembled(strip(widths, senses)))
    assert found.panels == tuple(("strip", i) for i in (8, 9, 10))


def nearly_folded_by_hand(columns: int, rows: int, rng: random.Random) -> list[Sense]:
    """Senses that pass Maekawa's theorem at every vertex, from those of a folding.

    Turning all folds round a cell changes two of the four senses at each vertex there, so
    that three of a vertex go on being alike.
    """
    senses = folded_by_hand(columns, rows, rng)
    for _ in range(2 * columns * rows):
        i, j = rng.randrange(columns), rng.randrange(rows)
        upright = [(i - 1) * rows + j] * (i > 0) + [i * rows + j] * (i < columns - 1)
        level = [(j - 1) * columns + i] * (j > 0) + [j * columns + i] * (j < rows - 1)
        for place in (*upright, *(rows * (columns - 1) + one for one in level)):
            senses[place] = OTHER[senses[place]]
    return senses


def test_without_any_one_of_them_the_others_can_be_ordered() -> None:
    rng = random.Random(8)
    columns, rows = 5, 5
    sheet = assembled(map_sheet(columns, rows))
    cover = closed_cover(sheet)
    number = {key: place for place, key in enumerate(cover.footprints)}
    sizes = []
    for _ in range(20):
        card = with_senses(sheet, nearly_folded_by_hand(columns, rows, rng))
        found = ply_order(card, cover)
        if isinstance(found, PlyOrder):
            continue
        assert isinstance(found, Blocked)
        panels = {number[key] for key in found.panels}
        sizes.append(len(panels))
        rules = rules_of(card, cover)
        assert not any(orders(among(rules, panels)))
        for panel in panels:
            assert any(orders(among(rules, panels - {panel})))
    # No vertex is at fault by itself, so it takes more than the four panels round one.
    assert len(sizes) > 5
    assert min(sizes) > 4


def test_folds_between_the_same_panels_that_contradict_each_other() -> None:
    piece = Piece(
        name="base",
        outline=rectangle(40, 60),
        folds=(fold("low", (20, 0), (20, 20)), fold("high", (20, 40), (20, 60), sense=M)),
        slits=(Slit(name="slit 1", path=line(at(20, 20), at(20, 40))),),
    )
    found = blocked(assembled(piece))
    assert found.panels == (("base", 0), ("base", 1))
    assert found.why == Why.SENSE


def test_two_folds_that_would_interleave() -> None:
    """Four cells round a vertex, all folds valleys: no flat state, by Maekawa's theorem."""
    found = blocked(assembled(map_sheet(2, 2)))
    assert found.panels == tuple(("map", i) for i in range(4))
    assert found.why in (Why.NEST, Why.ROUND)


# Glue.


def with_slip(faces: tuple[Face, Face], sense: Sense) -> Sample:
    """A page with a slip glued on its left half, folded shut."""
    joint = glued(
        "seam",
        ("slip", "panel 1", faces[0], (10, 5), (10, 35)),
        ("base", "left page", faces[1], (20, 10), (20, 40)),
    )
    base = page(120, 100)
    base = replace(base, folds=(replace(base.folds[0], senses=(sense,)),))
    return Sample(
        pieces=(base, Piece(name="slip", outline=rectangle(30, 40))),
        joints=(joint,),
    )


@pytest.mark.parametrize("faces", list(product((Face.FRONT, Face.BACK), repeat=2)))
@pytest.mark.parametrize("sense", [M, V])
def test_glue_says_on_which_face_a_panel_lies(faces: tuple[Face, Face], sense: Sense) -> None:
    card = with_slip(faces, sense).assembly
    cover = closed_cover(card)
    order = ply_order(card, cover)
    assert isinstance(order, PlyOrder)
    slip, left, right = ("slip", 0), ("base", 0), ("base", 1)
    on_front = faces[1] is Face.FRONT
    assert cover.footprints[left].face_up
    assert order.is_above(slip, left) == on_front
    # A valley shuts the card over its front: what lies there is between the pages.
    inside = (sense is V) == on_front
    assert (order.is_above(slip, left) != order.is_above(slip, right)) == inside
    assert order.between == ()


def tongue(length: int, glue_at: int) -> Sample:
    """A page with a tongue that folds in over it, and a slip glued on the page, back on front.

    The tongue is `length` long and folds in from the left; the slip covers 10 to 50 of the page
    and is glued on it along the line at `glue_at`.
    """
    base = Piece(
        name="base",
        outline=rectangle(100 + length, 100),
        folds=(fold("tongue", (length, 0), (length, 100)),),
    )
    slip = Piece(name="slip", outline=rectangle(40, 60))
    joint = glued(
        "seam",
        ("slip", "panel 1", Face.BACK, (glue_at - 10, 10), (glue_at - 10, 50)),
        ("base", "panel 2", Face.FRONT, (length + glue_at, 20), (length + glue_at, 60)),
    )
    return Sample(pieces=(base, slip), joints=(joint,))


def test_nothing_slips_between_faces_that_are_glued() -> None:
    card = tongue(30, 45).assembly
    rules = rules_of(card, closed_cover(card))
    # The tongue does not reach the line of the glue, yet by choice lies over the slip.
    assert rules.alike == ()
    assert len(rules.pressed) == 1
    assert sum(1 for _ in orders(rules)) == 1
    assert sum(1 for _ in orders(replace(rules, pressed=()))) == 2
    assert ordered(card).between == ()
    # One that reaches it has no choice.
    reaching = tongue(60, 45).assembly
    strict = rules_of(reaching, closed_cover(reaching))
    assert [rule.why for rule in strict.alike] == [Why.GLUE]
    assert sum(1 for _ in orders(strict)) == 1


def test_a_panel_may_lie_beside_the_line_of_the_glue_where_nothing_else_is_left() -> None:
    """Two slips, each glued on one page along a line, cross over each other's free ends."""
    card = crossed(near=False).assembly
    found = ordered(card)
    assert len(found.between) == 1
    ((_, page_of, panel),) = found.between
    assert page_of[0] == "base"
    assert panel[0] != "base"


def test_no_panel_lies_on_the_line_of_glue() -> None:
    found = blocked(crossed(near=True).assembly)
    assert found.why == Why.GLUE
    assert {piece for piece, _ in found.panels} == {"base", "low", "high"}


def crossed(*, near: bool) -> Sample:
    """A page with two slips glued on its front that overlap; `near` on each other's lines too."""
    base = Piece(name="base", outline=rectangle(100, 100))
    slips = tuple(Piece(name=name, outline=rectangle(40, 40)) for name in ("low", "high"))
    where = {"low": (20, 25 if not near else 45), "high": (40, 75 if not near else 55)}
    joints = tuple(
        glued(
            name,
            (name, "panel 1", Face.BACK, (where[name][1] - left, 5), (where[name][1] - left, 35)),
            ("base", "panel 1", Face.FRONT, (where[name][1], 35), (where[name][1], 65)),
        )
        for name, left in ((name, where[name][0]) for name in ("low", "high"))
    )
    return Sample(pieces=(base, *slips), joints=joints)


# The cap on guesses.


def keeps(rules: Rules, heights: Sequence[int]) -> bool:
    """Whether heights of panels that all lie on each other keep to every rule."""

    def holds(low: int, high: int) -> bool:
        return heights[low] < heights[high]

    return (
        sorted(heights) == list(range(rules.count))
        and all(holds(*rule.pair) for rule in rules.fixed)
        and all(holds(*rule.one) == holds(*rule.other) for rule in rules.alike)
        and not any(
            heights[a] < heights[c] < heights[b] < heights[d]
            or heights[c] < heights[a] < heights[d] < heights[b]
            for (a, b), (c, d), _ in rules.nested
        )
    )


def hard(seed: int) -> tuple[Assembly, Cover]:
    rng = random.Random(seed)
    sheet = assembled(map_sheet(4, 4))
    senses = folded_by_hand(4, 4, rng)
    for _ in range(rng.choice((0, 1, 4))):
        i = rng.randrange(len(senses))
        senses[i] = OTHER[senses[i]]
    card = with_senses(sheet, senses)
    return card, closed_cover(card)


@pytest.mark.parametrize("seed", range(15))
def test_the_cap_on_guesses_never_changes_an_answer(seed: int) -> None:
    pytest.importorskip("pysat")
    card, cover = hard(seed)
    free = ply_order(card, cover)
    for nodes in (0, 1, 3, 10):
        found = ply_order(card, cover, nodes=nodes)
        assert type(found) is type(free)
        if isinstance(found, PlyOrder):
            assert keeps(rules_of(card, cover), piled(found, 16))
        if isinstance(found, Blocked):
            assert not any(orders(rules_of(card, cover)))


@pytest.mark.parametrize("seed", range(15))
def test_without_a_solver_the_cap_is_told(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pysat", None)
    monkeypatch.setitem(sys.modules, "pysat.solvers", None)
    card, cover = hard(seed)
    free = ply_order(card, cover)
    assert not isinstance(free, Undecided)
    for nodes in (0, 1, 3):
        found = ply_order(card, cover, nodes=nodes)
        if isinstance(found, Undecided):
            assert found.why == "python-sat is not installed"
            assert found.guesses == nodes
        else:
            assert type(found) is type(free)


def test_a_solver_finds_orders_of_strips_that_trial_finds() -> None:
    pytest.importorskip("pysat")
    rng = random.Random(2)
    for _ in range(20):
        widths = [rng.choice((10, 20)) for _ in range(7)]
        senses = [rng.choice((M, V)) for _ in range(6)]
        card = assembled(strip(widths, senses))
        found = ply_order(card, closed_cover(card), nodes=0)
        good = fit(widths, senses, every_order(7))
        assert isinstance(found, PlyOrder) == (len(good) > 0)
        if isinstance(found, PlyOrder):
            heights = good.tolist()
            assert any(
                agrees(found, {("strip", i): order[i] for i in range(7)}) for order in heights
            )


def test_orders_are_told_each_once() -> None:
    card = assembled(strip([20] * 6, halved(3)[:5]))
    found = list(orders(rules_of(card, closed_cover(card))))
    assert len(found) == len(set(found)) > 1
