"""Whether loops close, and by how much they do not: closed forms and published theorems."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from foldwright.design.pieces import Fold, Piece, Resolved, Sense, Slit
from foldwright.folding import (
    Closing,
    Verdict,
    closed_size,
    closing,
    largest_panel,
    loops_of,
    vertex_folds,
)
from foldwright.folding.sides import sides_of
from foldwright.geometry import Point, line, point, polygon
from foldwright.panels import assemble, divide

PUBLISHED = tomllib.loads(
    (Path(__file__).parents[1] / "published" / "folding.toml").read_text(encoding="utf-8")
)
PieceOf = Callable[[str], Piece]


def closings(*pieces: Piece) -> list[Closing]:
    divisions = {piece.name: divide(piece) for piece in pieces}
    for division in divisions.values():
        assert division.problems == ()
    return [closing(loop) for loop in loops_of(assemble(divisions, ()))]


def fold(
    name: str,
    start: tuple[float | Fraction, float | Fraction],
    end: tuple[float | Fraction, float | Fraction],
    sense: Sense = Sense.VALLEY,
    angle: int = 180,
) -> Fold:
    return Fold(
        name=name,
        path=line(Point(*map(_number, start)), Point(*map(_number, end))),
        senses=(sense,),
        angle=Fraction(angle),
    )


def _number(value: float | Fraction) -> float | Fraction:
    return Fraction(value) if isinstance(value, int) else value


def step_card(
    treads: list[Fraction], risers: list[Fraction], gutter: Fraction, top: Fraction
) -> Piece:
    """A card 300 by 400 mm with a slit at x = 100; the band lies to its right."""
    places = [top]
    for tread, riser in zip(treads, risers, strict=True):
        places += [places[-1] - tread, places[-1] - tread - riser]
    senses = [Sense.VALLEY, Sense.MOUNTAIN]
    folds = [
        fold(f"steps {i + 1}", (100, y), (300, y), senses[i % 2]) for i, y in enumerate(places)
    ]
    return Piece(
        name="base",
        outline=polygon(point(0, 0), point(300, 0), point(300, 400), point(0, 400)),
        slits=(Slit(name="slit 1", path=line(point(100, places[-1]), point(100, top))),),
        folds=(*folds, fold("gutter", (0, gutter), (100, gutter))),
    )


lengths = st.fractions(min_value=5, max_value=30, max_denominator=64)


@given(treads=st.lists(lengths, min_size=1, max_size=4), data=st.data())
def test_steps_close_exactly_when_treads_make_the_floor(
    treads: list[Fraction], data: st.DataObject
) -> None:
    """The closure rule of a stepped band: sum of treads = floor, sum of risers = wall."""
    risers = data.draw(st.lists(lengths, min_size=len(treads), max_size=len(treads)))
    top = Fraction(380)
    piece = step_card(treads, risers, top - sum(risers), top)
    (one,) = closings(piece)
    assert (one.verdict, one.gap_mm, one.exact) == (Verdict.CLOSES, 0.0, True)


@given(
    treads=st.lists(lengths, min_size=1, max_size=4),
    data=st.data(),
    off=st.fractions(min_value=-4, max_value=4, max_denominator=1000).filter(lambda d: d != 0),
)
def test_one_line_moved_by_d_leaves_a_gap_of_two_d(
    treads: list[Fraction], data: st.DataObject, off: Fraction
) -> None:
    """In a loop of parallel folds with one line moved by d, the gap is 2 |d| (closed form)."""
    risers = data.draw(st.lists(lengths, min_size=len(treads), max_size=len(treads)))
    top = Fraction(370)
    piece = step_card(treads, risers, top - sum(risers), top)
    which = data.draw(st.integers(0, len(piece.folds) - 1))
    if which in (0, len(piece.folds) - 2):
        which = len(piece.folds) - 1  # the ends of the band carry the slit's ends along
    folds = list(piece.folds)
    moved = folds[which]
    (x0, y0), (x1, y1) = ((vertex.at.x, vertex.at.y) for vertex in moved.path.vertices)
    folds[which] = fold(moved.name, (x0, y0 + off), (x1, y1 + off), moved.senses[0])
    (one,) = closings(
        Piece(name="base", outline=piece.outline, slits=piece.slits, folds=tuple(folds))
    )
    assert one.gap_mm == pytest.approx(2 * abs(off), abs=1e-12)
    assert one.verdict in (Verdict.BUCKLES, Verdict.GAPES)
    assert one.exact


def test_a_miss_of_a_billionth_is_told_from_closing() -> None:
    hair = Fraction(1, 10**9)
    ten = [Fraction(10)]
    assert closings(step_card(ten, ten, Fraction(370), Fraction(380)))[0].verdict == "closes"
    (one,) = closings(step_card(ten, ten, Fraction(370) + hair, Fraction(380)))
    assert one.exact
    assert one.verdict is not Verdict.CLOSES
    assert one.gap_mm == pytest.approx(2e-9)


@pytest.mark.parametrize(
    ("riser", "verdict", "reached"),
    [(37, Verdict.BUCKLES, 14), (33, Verdict.GAPES, 6), (35, Verdict.CLOSES, 10)],
)
def test_the_longer_side_buckles_and_the_shorter_gapes(
    riser: int, verdict: Verdict, reached: int
) -> None:
    # Wall 70, floor 60: shut, the band must reach 70 - 60 = 10 from end to end.
    # With one riser too long and its tread too short by 2 it reaches
    # (37 + 35) - (30 + 28) = 14.
    piece = step_card(
        [Fraction(30), Fraction(65 - riser)],
        [Fraction(riser), Fraction(35)],
        Fraction(130),
        Fraction(200),
    )
    (one,) = closings(piece)
    assert one.verdict is verdict
    sides = sides_of(one.loop)
    assert sides is not None
    assert one.sides == (None if verdict is Verdict.CLOSES else sides)
    assert [step.label for step in sides.reference] == ["gutter"]
    assert (abs(sides.required_mm), abs(sides.reached_mm)) == (10, reached)
    assert sides.strip_mm == 130


def test_a_parallel_fold_pop_up_closes_as_a_parallelogram_only() -> None:
    """The parallel-fold rule: parts of b and a for places a and b (published)."""
    a, b = PUBLISHED["parallel_fold"]["a"], PUBLISHED["parallel_fold"]["b"]
    top, gutter = Fraction(300), Fraction(300) - Fraction(b)

    def card(tread: float) -> Closing:
        rest = Fraction(a) + Fraction(b) - Fraction(tread)
        return closings(step_card([Fraction(tread)], [rest], gutter, top))[0]

    assert card(a).verdict is Verdict.CLOSES
    assert card(b).verdict is not Verdict.CLOSES


def around(sectors: list[float], senses: list[Sense]) -> Piece:
    """A disc's worth of folds from the middle of a square, sectors anticlockwise."""
    folds, turn = [], 0.0
    for i, (sector, sense) in enumerate(zip(sectors, senses, strict=True)):
        reach = 100 / max(abs(math.cos(math.radians(turn))), abs(math.sin(math.radians(turn))))
        end = (
            100 + reach * math.cos(math.radians(turn)),
            100 + reach * math.sin(math.radians(turn)),
        )
        folds.append(fold(f"crease {i + 1}", (100, 100), end, sense))
        turn += sector
    return Piece(
        name="sheet",
        outline=polygon(point(0, 0), point(200, 0), point(200, 200), point(0, 200)),
        folds=tuple(folds),
    )


def alternating(count: int, mountains: int) -> list[Sense]:
    return [Sense.MOUNTAIN] * mountains + [Sense.VALLEY] * (count - mountains)


def test_kawasakis_worked_example_folds_flat() -> None:
    """Kawasaki's theorem, the published worked example."""
    sectors = PUBLISHED["kawasaki"]["folds_flat"]
    (one,) = closings(around(sectors, alternating(8, 5)))
    assert one.verdict is Verdict.CLOSES
    assert one.gap_mm == pytest.approx(0.0, abs=1e-9)
    folds = vertex_folds(one.loop)
    assert folds is not None
    assert sorted(folds.sectors) == pytest.approx(sorted(sectors))
    assert folds.kawasaki == pytest.approx(0.0, abs=1e-9)
    assert folds.alternate == pytest.approx((180.0, 180.0))


def test_kawasakis_counter_example_does_not_and_turns_by_the_alternating_sum() -> None:
    """The published counter-example, and the product of reflections (belcastro and Hull)."""
    sectors = PUBLISHED["kawasaki"]["does_not"]
    (one,) = closings(around(sectors, alternating(4, 3)))
    assert one.verdict is Verdict.GAPES
    assert one.turn_deg == pytest.approx(
        PUBLISHED["reflections"]["rotation_of_the_counter_example"]
    )
    folds = vertex_folds(one.loop)
    assert folds is not None
    assert abs(folds.kawasaki) == pytest.approx(PUBLISHED["kawasaki"]["alternating_sum"])
    # The gap is the chord of that turn at the farthest end of a fold.
    farthest = max(
        step.hinge.start.distance(step.hinge.end) for step in folds.steps if step.hinge is not None
    )
    assert one.gap_mm == pytest.approx(2 * farthest * math.sin(math.radians(20 / 2)))


@pytest.mark.parametrize(("mountains", "holds"), [(0, False), (1, True), (2, False), (3, True)])
def test_maekawa_asks_for_a_difference_of_two(mountains: int, holds: bool) -> None:
    """Maekawa's theorem (published): mountains and valleys differ by two."""
    (one,) = closings(around([90, 90, 90, 90], alternating(4, mountains)))
    folds = vertex_folds(one.loop)
    assert folds is not None
    assert abs(folds.mountains - folds.valleys) == abs(2 * mountains - 4)
    assert folds.maekawa is holds
    assert PUBLISHED["maekawa"]["difference"] == 2


@given(st.lists(st.integers(20, 100), min_size=3, max_size=3).filter(lambda s: 200 < sum(s) < 340))
def test_the_turn_left_over_is_the_alternating_sum(sectors: list[int]) -> None:
    whole = [*sectors, 360 - sum(sectors)]
    (one,) = closings(around([float(s) for s in whole], alternating(4, 3)))
    wanted = abs(whole[0] - whole[1] + whole[2] - whole[3])
    assert min(one.turn_deg, 360 - one.turn_deg) == pytest.approx(
        min(wanted, 360 - wanted), abs=1e-7
    )


def test_an_odd_number_of_half_turns_is_turned_and_has_no_gap() -> None:
    (one,) = closings(around([120, 120, 120], alternating(3, 2)))
    assert (one.verdict, one.gap_mm) == (Verdict.TURNED, None)


def test_folds_that_stay_flat_in_the_closed_pose_do_not_count(piece_of: PieceOf) -> None:
    piece = piece_of(
        """
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        sense = "valley"
        points = [[0, 50], [100, 50]]
        [[piece.fold]]
        sense = "mountain"
        points = [[50, 0], [50, 100]]
        angle = 0
        """
    )
    (one,) = closings(piece)
    assert one.verdict is Verdict.CLOSES
    folds = vertex_folds(one.loop)
    assert folds is not None
    assert len(folds.steps) == 2
    assert closed_size(divide(piece)) == pytest.approx((100, 50))


def test_a_vertex_that_lies_half_open_is_judged_in_space(piece_of: PieceOf) -> None:
    """Three square sectors turned 90 degrees each make the corner of a box, and close."""
    text = """
        outline = {{ polygon = [[0, 0], [100, 0], [100, 100], [50, 100], [50, 50], [0, 50]] }}
        [[piece.fold]]
        sense = "valley"
        points = [[50, 50], [50, 0]]
        angle = {angle}
        [[piece.fold]]
        sense = "valley"
        points = [[50, 50], [100, 50]]
        angle = 90
        """
    # The missing quarter leaves no vertex within the paper, so nothing to judge.
    assert closings(piece_of(text.format(angle=90))) == []
    cross = """
        outline = {{ rectangle = [100, 100] }}
        [[piece.fold]]
        sense = "valley"
        points = [[0, 50], [100, 50]]
        angle = {first}
        [[piece.fold]]
        sense = "valley"
        points = [[50, 0], [50, 100]]
        angle = {second}
        """
    (flat,) = closings(piece_of(cross.format(first=90, second=0)))
    assert (flat.verdict, flat.exact) == (Verdict.CLOSES, False)
    (both,) = closings(piece_of(cross.format(first=90, second=90)))
    # Two right-angled folds that cross: the commutator of two quarter turns
    # about perpendicular axes is a turn of 120 degrees (closed form).
    assert both.turn_deg == pytest.approx(120.0)
    # An end 50 mm out on one of the folds lies sqrt(2) * 50 from where it should.
    assert both.gap_mm == pytest.approx(50 * math.sqrt(2))
    assert both.verdict is Verdict.GAPES


def test_a_band_of_right_angles_closes_at_right_angles_and_not_when_sums_differ(
    piece_of: PieceOf,
) -> None:
    """A band of treads and risers closes at every angle when its sums are right (closed form)."""
    text = """
        outline = {{ rectangle = [148, 210] }}
        [[piece.slit]]
        points = [[50, 45], [50, 175]]
        [[piece.band]]
        name = "steps"
        from = [50, 175]
        to = [148, 175]
        walk = [30, {riser}, {tread}, 35]
        sense = "alternate"
        first = "valley"
        angle = {angle}
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, 105], [50, 105]]
        angle = {angle}
        """
    for angle in (90, 60, 135, 1):
        (one,) = closings(piece_of(text.format(riser=35, tread=30, angle=angle)))
        assert one.verdict is Verdict.CLOSES
        assert one.gap_mm == pytest.approx(0.0, abs=1e-9)
        assert one.turn_deg == pytest.approx(0.0, abs=1e-9)
    (one,) = closings(piece_of(text.format(riser=37, tread=28, angle=90)))
    # At a right angle one riser is 2 too high and one tread 2 too short.
    assert one.gap_mm == pytest.approx(math.hypot(2, 2))
    assert one.verdict is Verdict.GAPES


def zigzag_map(turn: float, *, falls: bool = False) -> Piece:
    """The map fold of parallelogram cells, turned about the origin by `turn` radians.

    Its zigzags rise from the left edge, or fall.
    """
    given_map = PUBLISHED["zigzag_map"]
    columns, rows = given_map["columns"], given_map["rows"]
    a, b, s = (Fraction(given_map[name]) for name in ("a", "b", "s"))

    def at(i: int, j: int) -> tuple[float | Fraction, float | Fraction]:
        x, y = a * i, b * j + ((-s if falls else s) if i % 2 else Fraction(0))
        if turn == 0.0:
            return x, y
        cos, sin = math.cos(turn), math.sin(turn)
        return float(x) * cos - float(y) * sin, float(x) * sin + float(y) * cos

    folds = []
    for j in range(1, rows):
        sense = Sense.MOUNTAIN if j % 2 else Sense.VALLEY
        folds += [fold(f"zigzag {j}.{i}", at(i, j), at(i + 1, j), sense) for i in range(columns)]
    for i in range(1, columns):
        for j in range(rows):
            sense = Sense.MOUNTAIN if (i + j) % 2 else Sense.VALLEY
            folds.append(fold(f"line {i}.{j}", at(i, j), at(i, j + 1), sense))
    corners = [
        *(at(i, 0) for i in range(columns + 1)),
        *(at(columns, j) for j in range(1, rows + 1)),
        *(at(i, rows) for i in range(columns - 1, -1, -1)),
        *(at(0, j) for j in range(rows - 1, 0, -1)),
    ]
    outline = polygon(*(Point(*corner) for corner in corners))
    return Piece(name="map", outline=outline, folds=tuple(folds))


def test_every_vertex_of_a_zigzag_map_closes() -> None:
    found = closings(zigzag_map(0.0))
    given_map = PUBLISHED["zigzag_map"]
    assert len(found) == (given_map["columns"] - 1) * (given_map["rows"] - 1)
    for one in found:
        assert (one.verdict, one.exact) == (Verdict.CLOSES, True)
        folds = vertex_folds(one.loop)
        assert folds is not None
        assert folds.maekawa


def test_a_zigzag_map_closes_to_its_footprint() -> None:
    """The closed footprint along the zigzag edges, by the closed form and as published."""
    given_map = PUBLISHED["zigzag_map"]
    a, b, s = given_map["a"], given_map["b"], given_map["s"]
    delta = math.atan(s / a)
    footprint = (
        a / math.cos(delta) + given_map["rows"] * b * math.sin(delta),
        b * math.cos(delta),
    )
    assert footprint == pytest.approx(given_map["footprint"], abs=0.05)
    # Turned so that the zigzag edges of the lowest panel, along which the
    # footprint is given, lie level.
    assert closed_size(divide(zigzag_map(delta, falls=True))) == pytest.approx(footprint, abs=1e-9)


def test_closed_sizes_by_hand(piece_of: PieceOf) -> None:
    letter = piece_of(
        """
        outline = { rectangle = [297, 210] }
        [[piece.fold]]
        sense = "valley"
        points = [[100, 0], [100, 210]]
        [[piece.fold]]
        sense = "valley"
        points = [[199, 0], [199, 210]]
        """
    )
    assert closed_size(divide(letter)) == pytest.approx((100, 210))
    spill = piece_of(
        """
        outline = { rectangle = [100, 100] }
        [[piece.fold]]
        sense = "valley"
        points = [[40, 0], [40, 100]]
        [[piece.fold]]
        sense = "mountain"
        points = [[55, 0], [55, 100]]
        """
    )
    # 45 wide from 55 to 100; the strip of 15 goes back to 70, the flap of 40 on to 30.
    assert closed_size(divide(spill)) == pytest.approx((70, 100))


@pytest.mark.parametrize("area", [1940.9039125, 1940.9039123, 1e6 / 3])
def test_of_panels_that_are_equal_the_lowest_stays(piece_of: PieceOf, area: float) -> None:
    """Floats may set equal areas to both sides of where a rounded one changes its last digit."""
    division = divide(
        piece_of(
            """
            outline = { rectangle = [100, 60] }
              [[piece.fold]]
              sense = "valley"
              points = [[0, 30], [100, 30]]
            """
        )
    )
    lower, upper = division.panels
    for ways in ((0.0, math.inf), (math.inf, 0.0)):
        one, other = (math.nextafter(area, way) for way in ways)
        alike = replace(division, panels=(replace(lower, area=one), replace(upper, area=other)))
        assert largest_panel(alike).index == lower.index
    larger = replace(division, panels=(lower, replace(upper, area=lower.area + 1e-5)))
    assert largest_panel(larger).index == upper.index


def test_a_rounded_corner_keeps_its_arc_in_the_closed_size(piece_of: PieceOf) -> None:
    piece = piece_of(
        """
        outline = { polygon = [[0, 0], [60, 0], [60, 100], [0, 100]] }
        [[piece.opening]]
        circle = [30, 75, 5]
        [[piece.fold]]
        sense = "valley"
        points = [[0, 45], [60, 45]]
        """
    )
    assert closed_size(divide(piece)) == pytest.approx((60, 55))
    tongue = piece_of(
        """
        outline = { path = [[0, 0], [60, 0], [60, 40], { arc_to = [0, 40], through = [30, 60] }] }
        [[piece.fold]]
        sense = "valley"
        points = [[0, 25], [60, 25]]
        """
    )
    # The tongue reaches to 60, 35 above the fold; folded down it reaches 10 below 0.
    assert closed_size(divide(tongue)) == pytest.approx((60, 35))


def test_a_joint_beyond_the_first_adds_a_loop(design_of: Callable[[str], Resolved]) -> None:
    """A box strip glued to both pages closes as a parallelogram, and not otherwise."""
    text = """
        [[piece]]
        name = "base"
        outline = {{ rectangle = [100, 200] }}
        [[piece.fold]]
        name = "gutter"
        sense = "valley"
        points = [[0, 100], [100, 100]]
        [[piece.panel]]
        name = "floor"
        at = [50, 50]
        [[piece.panel]]
        name = "wall"
        at = [50, 150]
        [[piece]]
        name = "strip"
        outline = {{ rectangle = [40, {length}] }}
        [[piece.band]]
        name = "strip"
        from = [0, {first}]
        to = [40, {first}]
        walk = [40, 30]
        sense = "alternate"
        first = "valley"
        [[piece.panel]]
        name = "lower foot"
        at = [20, 5]
        [[piece.panel]]
        name = "upper foot"
        at = [20, {upper}]
        [[joint]]
        glue = {{ panel = "strip/lower foot", face = "back", line = [[0, 10], [40, 10]] }}
        to = {{ panel = "base/floor", face = "front", line = [[30, {floor}], [70, {floor}]] }}
        slack = {slack}
        [[joint]]
        glue = {{ panel = "strip/upper foot", face = "back", line = [[0, 80], [40, 80]] }}
        to = {{ panel = "base/wall", face = "front", line = [[30, 130], [70, 130]] }}
        """

    def card(floor: int, slack: int = 0) -> Closing:
        resolved = design_of(text.format(length=90, first=80, upper=85, floor=floor, slack=slack))
        divisions = {piece.name: divide(piece) for piece in resolved.pieces}
        assembly = assemble(divisions, resolved.joints)
        assert assembly.problems == ()
        (one,) = [closing(loop) for loop in loops_of(assembly) if loop.round == "joint"]
        return one

    # Wall 30 and floor 40: a tread of 40 and a riser of 30 make the parallelogram.
    assert card(60).verdict is Verdict.CLOSES
    assert card(60).exact
    wrong = card(57)
    assert wrong.verdict is Verdict.GAPES
    assert wrong.gap_mm == pytest.approx(3)
    assert wrong.loop.name == "joint 2"
    assert card(57, slack=3).verdict is Verdict.CLOSES
