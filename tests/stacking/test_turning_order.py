"""The order in which folds turn one after another where all together clash."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from foldwright.design.pieces import Piece, Slit
from foldwright.folding import loops_of
from foldwright.folding.skeleton import HingeKey, placed_by, skeleton_of
from foldwright.geometry import line, point, polygon
from foldwright.panels import Assembly, assemble, divide
from foldwright.stacking import clashes_on_way
from foldwright.stacking.cover import cover_of
from foldwright.stacking.order import PlyOrder, ply_order
from foldwright.stacking.turning_order import Plies, turning_order
from tests.folding.folded_samples import M, V, assembled, fold, rectangle
from tests.stacking.placed import way_of

FULL = 180.0
STOPS = 24


def strip(*lengths: float, senses: str | None = None, turned_round: bool = False) -> Assembly:
    """A strip 20 wide, its folds `1`, `2` and so on from the left, in that order or its reverse."""
    places = list(itertools.accumulate(lengths[:-1]))
    signs = senses or "v" * len(places)
    folds = [
        fold(str(number), (x, 0), (x, 20), sense=V if sign == "v" else M)
        for number, (x, sign) in enumerate(zip(places, signs, strict=True), start=1)
    ]
    return assembled(
        Piece(
            name="a",
            outline=rectangle(sum(lengths), 20),
            folds=tuple(reversed(folds) if turned_round else folds),
        )
    )


def labels(assembly: Assembly) -> dict[HingeKey, str]:
    return {
        (name, hinge.index): hinge.label
        for name, division in assembly.divisions.items()
        for hinge in division.hinges
    }


def shut(assembly: Assembly) -> Plies | None:
    """The plies of the closed card, where an order of them is known."""
    turned = dict.fromkeys(labels(assembly), FULL)
    placed = placed_by(skeleton_of(assembly), turned)
    order = ply_order(assembly, cover_of(assembly, placed))
    return Plies(placed=placed, order=order) if isinstance(order, PlyOrder) else None


def order_of(
    assembly: Assembly,
    closed: Mapping[str, float] | None = None,
    plies: Plies | None = None,
    ties: Sequence[Sequence[HingeKey]] = (),
    begun: Mapping[str, float] | None = None,
) -> list[str] | None:
    """The labels in the order found, those of a step in one; all folds turn alike on the way."""
    called = labels(assembly)
    full = {key: FULL if closed is None else closed[label] for key, label in called.items()}
    start = {key: 0.0 if begun is None else begun.get(label, 0.0) for key, label in called.items()}
    way = [
        {key: first + stop / STOPS * (full[key] - first) for key, first in start.items()}
        for stop in range(1, STOPS + 1)
    ]
    found = turning_order(
        assembly,
        skeleton_of(assembly),
        start,
        way,
        ties=[*ties, *_round_loops(assembly)],
        plies=plies,
    )
    return None if found is None else ["+".join(called[key] for key in step) for step in found]


def _round_loops(assembly: Assembly) -> list[list[HingeKey]]:
    return [
        [(step.after[0], step.hinge.index) for step in loop.steps if step.hinge is not None]
        for loop in loops_of(assembly)
    ]


# Flaps that lie on each other


@pytest.mark.parametrize("turned_round", [False, True])
def test_the_inner_flap_of_a_letter_fold_is_turned_in_first(turned_round: bool) -> None:
    """Panels 98, 99.5, 99.5: the short one lies inside, whichever fold the design names first."""
    short_left = strip(98, 99.5, 99.5, turned_round=turned_round)
    assert order_of(short_left, plies=shut(short_left)) == ["1", "2"]
    short_right = strip(99.5, 99.5, 98, turned_round=turned_round)
    assert order_of(short_right, plies=shut(short_right)) == ["2", "1"]


def test_without_plies_the_order_is_that_of_the_design() -> None:
    """Two equal flaps that overlap, 60 over a middle of 100: either may be the inner one."""
    assert order_of(strip(60, 100, 60)) == ["1", "2"]
    assert order_of(strip(60, 100, 60, turned_round=True)) == ["2", "1"]


@pytest.mark.parametrize("panels", [3, 4, 5, 6])
@pytest.mark.parametrize("turned_round", [False, True])
def test_a_roll_fold_is_rolled_up_from_its_short_end(panels: int, turned_round: bool) -> None:
    lengths = [100.0 - number for number in range(panels)]
    rolled = strip(*lengths, turned_round=turned_round)
    plies = shut(rolled)
    assert plies is not None
    assert order_of(rolled, plies=plies) == [str(number) for number in range(panels - 1, 0, -1)]


def simulated(
    lengths: Sequence[int], senses: str, order: Sequence[int]
) -> dict[tuple[int, int], bool] | None:
    """Fold a strip along its folds in turn, each by 180 degrees, by lengths alone.

    The panels on the left of a fold stay, those on its right turn.  Those of them that lie
    beyond its line come off what stays there, so they must lie on the side to which they turn;
    what of them reaches back over the line turns the other way.  Then they arrive, from
    that side on this side of the line and from the other one beyond it.  None where they come
    off or arrive on the wrong side of what lies there already; else for every two panels that lie
    on each other whether the second lies above the first, seen from the first panel's front.
    """
    ends = [0, *itertools.accumulate(lengths)]
    spans = [(ends[number], ends[number + 1]) for number in range(len(lengths))]
    up = [True] * len(lengths)
    above: dict[tuple[int, int], bool] = {}

    def meetings(number: int, at: int, way: int) -> Iterator[tuple[tuple[int, int], bool]]:
        """The pairs that overlap, one of which stays: beyond the line, or on this side of it."""
        for pair in itertools.product(range(number), range(number, len(lengths))):
            low = max(spans[one][0] for one in pair)
            high = min(spans[one][1] for one in pair)
            if low < high and max(way * (low - at), way * (high - at)) > 0:
                yield pair, True
            if low < high and min(way * (low - at), way * (high - at)) < 0:
                yield pair, False

    for number in order:
        way = 1 if up[number - 1] else -1
        at = spans[number - 1][1 if way > 0 else 0]
        rises = (senses[number - 1] == "v") == up[number - 1]
        for pair, beyond in meetings(number, at, way):
            if above[pair] != (rises == beyond):
                return None
        for one in range(number, len(lengths)):
            spans[one] = (2 * at - spans[one][1], 2 * at - spans[one][0])
            up[one] = not up[one]
        for pair in itertools.product(range(number), range(number, len(lengths))):
            above.pop(pair, None)
        for pair, beyond in meetings(number, at, way):
            if above.setdefault(pair, rises != beyond) != (rises != beyond):
                return None
        # What turned over lies upside down.
        for pair in itertools.combinations(range(number, len(lengths)), 2):
            if pair in above:
                above[pair] = not above[pair]
    return above


@settings(max_examples=150, deadline=None)
@given(
    lengths=st.lists(st.integers(1, 4), min_size=3, max_size=5),
    senses=st.text("vm", min_size=4, max_size=4),
    known=st.booleans(),
)
def test_of_a_strip_an_order_is_found_where_there_is_one(
    lengths: list[int], senses: str, known: bool
) -> None:
    """Against all orders of its folds, tried one by one in one dimension."""
    lengths = [15 * length for length in lengths]
    folds = range(1, len(lengths))
    assembly = strip(*map(float, lengths), senses=senses[: len(folds)])
    plies = shut(assembly) if known else None

    def fits(above: Mapping[tuple[int, int], bool] | None) -> bool:
        if above is None or plies is None:
            return above is not None
        told = plies.order.above
        # The plies are seen with the largest panel's front up, the strip with the first one's.
        flips = plies.placed["a", 0].rows[2][2] < 0.0
        return all(
            told[("a", one), ("a", other)] == (over != flips)
            for (one, other), over in above.items()
        )

    found = order_of(assembly, plies=plies)
    if found is None:
        tried = itertools.permutations(folds)
        assert not any(fits(simulated(lengths, senses, order)) for order in tried)
    else:
        assert fits(simulated(lengths, senses, [int(label) for label in found]))


def test_flaps_longer_than_what_is_between_them_have_no_order() -> None:
    """Strip 30, 10, 30, both folds valleys: no order of plies there is, and none of turning.

    The first flap to come down lies across the other one's fold.  Source: the one-dimensional form
    of the big-little-big rule, Arkin and others, When can you fold a map (2004), from memory.
    """
    assert order_of(strip(30, 10, 30)) is None
    # Turned to a right angle the second one would carry the first.
    assert order_of(strip(30, 10, 30), {"1": 180.0, "2": 90.0}) is None
    # A gate of 10 has its leaves meet in the middle.
    assert order_of(strip(10, 20, 10)) == ["1", "2"]


def test_one_fold_has_no_order() -> None:
    assert order_of(strip(50, 50)) is None
    # A fold that stays flat is no step.
    assert order_of(strip(30, 10, 30), {"1": 180.0, "2": 0.0}) is None


# Flaps that stand


# The end of a box, opened out: a back 60 wide with a lid above, a side on either hand with
# a dust flap above, the lid as deep as a side is wide.
DEEP, WIDE, HIGH, DUST = 30.0, 60.0, 40.0, 25.0


def box_end(*, lid_first: bool) -> Assembly:
    a, b, c = DEEP, DEEP + WIDE, 2 * DEEP + WIDE
    outline = polygon(
        *(
            point(x, y)
            for x, y in (
                (0, 0), (c, 0), (c, HIGH), (c - 1, HIGH), (c - 1, HIGH + DUST),
                (b + 1, HIGH + DUST), (b + 1, HIGH), (b, HIGH), (b, HIGH + DEEP), (a, HIGH + DEEP),
                (a, HIGH), (a - 1, HIGH), (a - 1, HIGH + DUST), (1, HIGH + DUST), (1, HIGH),
                (0, HIGH),
            )
        )
    )  # fmt: skip
    lid = fold("lid", (a, HIGH), (b, HIGH))
    dust = (
        fold("left dust flap", (1, HIGH), (a - 1, HIGH)),
        fold("right dust flap", (b + 1, HIGH), (c - 1, HIGH)),
    )
    return assembled(
        Piece(
            name="a",
            outline=outline,
            folds=(
                *((lid, *dust) if lid_first else (*dust, lid)),
                fold("left edge", (a, 0), (a, HIGH)),
                fold("right edge", (b, 0), (b, HIGH)),
            ),
        )
    )


EDGES = {"left edge": 90.0, "right edge": 90.0}


@pytest.mark.parametrize("lid_first", [False, True])
def test_dust_flaps_are_turned_in_before_the_lid(lid_first: bool) -> None:
    """They lie 2 degrees beneath it: turned after it they would come through it from above."""
    dust = {"left dust flap": 92.0, "right dust flap": 92.0}
    closed = {**EDGES, **dust, "lid": 90.0}
    assembly = box_end(lid_first=lid_first)
    assert clashes_on_way(assembly, way_of(assembly, closed, STOPS))
    assert order_of(assembly, closed, begun=EDGES) == [*dust, "lid"]


def test_what_lies_above_the_lid_is_turned_in_after_it() -> None:
    dust = {"left dust flap": 90.0, "right dust flap": 90.0}
    closed = {**EDGES, **dust, "lid": 92.0}
    assert order_of(box_end(lid_first=False), closed, begun=EDGES) == ["lid", *dust]


def test_sides_may_swing_their_flaps_in_beneath_a_lid_that_is_down() -> None:
    """From the flat sheet on: the flaps turned first, they come in from the sides."""
    closed = {**EDGES, "left dust flap": 92.0, "right dust flap": 92.0, "lid": 90.0}
    found = order_of(box_end(lid_first=True), closed)
    assert found == ["lid", "left dust flap", "right dust flap", "left edge", "right edge"]


# Folds that turn together


def test_folds_that_a_loop_goes_round_are_one_step() -> None:
    """A step across a gutter, and a flap at either edge of the lower page: 70 over 120."""
    corners = (70, 0), (0, 0), (0, 60), (70, 60), (70, 220), (190, 220), (190, 60), (260, 60)
    gutter = (
        fold("g1", (70, 110), (110, 110)),
        fold("g2", (150, 110), (190, 110)),
        fold("low", (110, 90), (150, 90)),
        fold("ridge", (110, 110), (150, 110), sense=M),
        fold("high", (110, 130), (150, 130)),
    )
    assembly = assembled(
        Piece(
            name="a",
            outline=polygon(*(point(x, y) for x, y in reversed(((260, 0), *corners)))),
            slits=(
                Slit(name="left", path=line(point(110, 90), point(110, 130))),
                Slit(name="right", path=line(point(150, 90), point(150, 130))),
            ),
            folds=(
                fold("left flap", (70, 0), (70, 60)),
                *gutter,
                fold("right flap", (190, 0), (190, 60)),
            ),
        )
    )
    closed = dict.fromkeys(("g1", "g2", "low", "ridge", "high"), 120.0)
    closed |= {"left flap": 180.0, "right flap": 180.0}
    assert order_of(assembly, closed) == ["left flap", "g1+g2+low+ridge+high", "right flap"]


def test_folds_that_are_tied_are_one_step() -> None:
    """As lines that touch tie them: a letter fold of which both folds have to turn together."""
    letter = strip(98, 99.5, 99.5)
    assert order_of(letter, plies=shut(letter), ties=[tuple(labels(letter))]) is None


def test_a_loop_over_glue_alone_ties_nothing() -> None:
    """As two patches make that join the same two panels."""
    assert order_of(strip(60, 100, 60), ties=[()]) == ["1", "2"]


def test_a_slit_in_a_flap_changes_nothing() -> None:
    """It runs in from the edge of the upper flap of two, there and back along one line."""
    plain = strip(60, 100, 60).divisions["a"].piece
    slit = Slit(name="in", path=line(point(220, 10), point(190, 10)))
    slit_open = assemble({"a": divide(replace(plain, slits=(slit,)))}, ())
    assert len(slit_open.divisions["a"].panels) == 3
    assert order_of(slit_open) == ["1", "2"]


def test_folds_turned_beyond_shut_have_no_order() -> None:
    assert order_of(strip(98, 99.5, 99.5), {"1": 200.0, "2": 180.0}) is None


def test_of_very_many_folds_no_order_is_looked_for() -> None:
    """A roll of 26 panels has 25 steps, one more than are looked at."""
    lengths = [100.0 - number for number in range(26)]
    assert order_of(strip(*lengths)) is None
