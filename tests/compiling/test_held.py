"""Tests of compiling.held and compiling.loose: what a drawing cuts free, and what should be held.

The parts that are found are held against a picture of the cuts in small squares, in
which every region is filled from a place in it: an oracle that shares no step with
the search for rings.
"""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from foldwright.compiling import Passed
from foldwright.compiling.bridges import leave
from foldwright.compiling.held import prove
from foldwright.compiling.kerf import compensate
from foldwright.compiling.loose import LoosePart, loose_parts
from foldwright.compiling.perforate import divide
from foldwright.compiling.strokes import draw
from foldwright.compiling.touching import touching
from foldwright.design.pieces import How, Opening
from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.geometry import Path, Point, Vertex, circle, line, point, polygon
from foldwright.geometry.ellipses import Ellipse
from foldwright.geometry.fitting import fit
from foldwright.problems import Place, Severity
from foldwright.profiles.model import Tool

BRIDGE = (0.4, 60.0, 5.0)


def cut(path: Path, source: str = "line", role: Role = Role.SLIT) -> Stroke:
    return Stroke(
        path=path.rounded(),
        layer=Layer.CUT,
        work=Work.THROUGH,
        piece="card",
        source=source,
        role=role,
    )


def drawing_of(*strokes: Stroke) -> Drawing:
    return Drawing(piece="card", title="test", width=0.0, height=0.0, strokes=strokes)


def squares_cut(drawing: Drawing, width: float, side: float) -> npt.NDArray[np.bool_]:
    """The squares of `side` mm within half of `width` of one that a cut runs through."""
    places = []
    for stroke in drawing.strokes:
        for segment in stroke.path.segments:
            steps = max(1, math.ceil(segment.length / (side / 2.0)))
            places += [segment.at(step / steps).floats() for step in range(steps + 1)]
    reach = math.ceil(width / 2.0 / side) + 1
    at = np.array(places)
    squares = np.floor((at - at.min(axis=0)) / side).astype(int) + reach + 1
    line_there = np.zeros(squares.max(axis=0) + reach + 2, dtype=np.bool_)
    line_there[squares[:, 0], squares[:, 1]] = True
    taken = line_there.copy()
    for i in range(-reach, reach + 1):
        for j in range(-reach, reach + 1):
            if math.hypot(i, j) * side <= width / 2.0:
                taken |= np.roll(line_there, (i, j), axis=(0, 1))
    return taken


def filled(taken: npt.NDArray[np.bool_], side: float) -> list[float]:
    """The areas in mm² of all regions that are closed in, by filling them; the largest first."""
    # Column by column, free squares that follow each other are one run, and runs of two
    # columns that lie side by side are one region.
    home: list[int] = [0]
    areas: list[float] = [0.0]

    def find(one: int) -> int:
        while home[one] != one:
            one = home[one]
        return one

    before: list[tuple[int, int, int]] = []
    for column in taken:
        steps = np.flatnonzero(np.diff(np.concatenate(([1], column.astype(int), [1]))))
        runs = []
        for low, high in zip(steps[::2].tolist(), steps[1::2].tolist(), strict=True):
            number = len(home)
            home.append(number)
            areas.append((high - low) * side * side)
            runs.append((low, high, number))
            for start, end, other in before:
                if low < end and start < high:
                    first, second = sorted((find(number), find(other)))
                    if first != second:
                        home[second] = first
                        areas[first] += areas[second]
        before = runs
    # The first square of all lies outside.
    outside = find(1)
    regions = [n for n in range(1, len(home)) if home[n] == n and n != outside]
    return sorted((areas[n] for n in regions), reverse=True)


# What is smaller than this, in mm², the squares tell no better than by chance.
SMALL = 1.0


def agree(drawing: Drawing, kerf: float, side: float = 0.1) -> tuple[LoosePart, ...]:
    """The loose parts, held against the filled picture: as many, and as large."""
    parts = loose_parts(drawing, kerf)
    expected = [area for area in filled(squares_cut(drawing, kerf, side), side) if area > SMALL]
    found = sorted((part.area for part in parts if part.area > SMALL), reverse=True)
    assert len(found) == len(expected), (found, expected)
    for one, other in zip(found, expected, strict=True):
        # Squares along the rim are counted whole or not at all.
        assert one == pytest.approx(other, abs=1.0 + 0.5 * math.sqrt(other), rel=0.05)
    return parts


def test_an_outline_and_its_openings_are_parts_of_their_own() -> None:
    drawing = drawing_of(
        cut(polygon(point(0, 0), point(30, 0), point(30, 20), point(0, 20)), role=Role.OUTLINE),
        cut(circle(point(8, 10), Fraction(4)), "hole", Role.OPENING),
        cut(polygon(point(15, 5), point(25, 5), point(20, 15)), "window", Role.OPENING),
    )
    piece, *waste = agree(drawing, 0.5)
    assert piece.role is Role.OUTLINE
    # 600 mm² less the holes, each of them with half the cut on either side.
    expected = 29.5 * 19.5 - math.pi * 4.25**2 - (50.0 + 0.25 * (10 + 2 * math.hypot(5, 10)))
    assert piece.area == pytest.approx(expected, abs=0.5)
    assert [part.role for part in waste] == [Role.OPENING, Role.OPENING]
    assert [part.lines for part in waste] == [
        ((Role.OPENING, "hole"),),
        ((Role.OPENING, "window"),),
    ]
    assert waste[0].at == pytest.approx((8.0, 10.0), abs=0.1)
    assert len(waste[0].polygon) > 100


def test_open_cuts_that_do_not_touch_free_nothing() -> None:
    drawing = drawing_of(
        cut(line(point(0, 0), point(20, 0), point(20, 10))),
        cut(line(point(20, 11), point(0, 11), point(0, 1))),
    )
    assert agree(drawing, 0.9) == ()


@pytest.mark.parametrize(("kerf", "count"), [(0.8, 0), (1.2, 1)])
def test_gaps_shorter_than_the_kerf_hold_nothing(kerf: float, count: int) -> None:
    """Two cuts that end 1 mm from each other at both ends."""
    drawing = drawing_of(
        cut(line(point(0, 0), point(20, 0), point(20, 10)), "a"),
        cut(line(point(20, 11), point(0, 11), point(0, 1)), "b"),
    )
    parts = agree(drawing, kerf)
    assert len(parts) == count
    if parts:
        assert set(parts[0].lines) == {(Role.SLIT, "a"), (Role.SLIT, "b")}


@pytest.mark.parametrize(
    "paths",
    [
        # A line that ends on itself, one that crosses itself, and a tight spiral.
        [line(point(0, 5), point(20, 5), point(20, 15), point(10, 15), point(10, 5))],
        [line(point(0, 5), point(20, 5), point(20, 15), point(10, 15), point(10, 0))],
        [
            Path(
                (
                    Vertex(point(0, 0), 1.0),
                    Vertex(point(20, 0), 1.0),
                    Vertex(Point(0.3, 0.0), 1.0),
                    Vertex(point(19, 0)),
                )
            )
        ],
        # A line and the arc over it, and an arc of three quarters over its end.
        [Path((Vertex(point(0, 0)), Vertex(point(20, 0), 0.5), Vertex(Point(2.0, 0.1))))],
        [Path((Vertex(point(0, 0), 2.4), Vertex(Point(0.2, 0.2))))],
        # Three lines in a triangle that cross, and two that only meet.
        [
            line(point(0, 0), point(20, 1)),
            line(point(18, -3), point(10, 15)),
            line(point(12, 15), point(1, -2)),
        ],
        [line(point(0, 0), point(20, 1)), line(point(20, 1), point(10, 15))],
        # A slit across a ring, and one that only enters it.
        [circle(point(10, 10), Fraction(8)), line(point(0, 10), point(20, 10))],
        [circle(point(10, 10), Fraction(8)), line(point(0, 10), point(12, 10))],
        # Two rings that touch, two that overlap, and one in the other.
        [circle(point(5, 5), Fraction(5)), circle(point(15, 5), Fraction(5))],
        [circle(point(5, 5), Fraction(5)), circle(point(12, 5), Fraction(5))],
        [circle(point(8, 8), Fraction(8)), circle(point(8, 8), Fraction(3))],
        # A slot as narrow as the cut, with a wider end.
        [
            polygon(
                Point(0.0, 0.0),
                Point(20.0, 0.0),
                Point(20.0, 8.0),
                Point(10.0, 8.0),
                Point(10.0, 0.3),
                Point(0.0, 0.3),
            )
        ],
    ],
)
def test_the_parts_are_those_of_the_filled_picture(paths: list[Path]) -> None:
    drawing = drawing_of(*(cut(path, f"line {i}") for i, path in enumerate(paths)))
    agree(drawing, 0.4, 0.05)


COORDINATE = st.integers(0, 12).map(lambda n: 2.5 * n)
PLACE = st.builds(Point, COORDINATE, COORDINATE)
BULGE = st.sampled_from((0.0, 0.0, 0.0, 0.4, -0.4, 1.0, -1.0, 1.6))
PATH = st.builds(
    lambda places, bulges, closed: Path(
        tuple(Vertex(at, bulge) for at, bulge in zip(places, bulges, strict=False)),
        closed and len(places) > 2,
    ),
    st.lists(PLACE, min_size=2, max_size=5, unique=True),
    st.lists(BULGE, min_size=5, max_size=5),
    st.booleans(),
)


@given(st.lists(PATH, min_size=1, max_size=4))
@settings(deadline=None, max_examples=40)
def test_any_lines_free_what_the_filled_picture_shows(paths: list[Path]) -> None:
    """Whatever the picture shows closed in is found, and nothing else."""
    drawing = drawing_of(*(cut(path, f"line {i}") for i, path in enumerate(paths)))
    kerf, side = 0.8, 0.15
    wide, narrow = (
        [area for area in filled(squares_cut(drawing, kerf + more, side), side) if area > SMALL]
        for more in (0.3, -0.3)
    )
    # Where a little more or less of a cut decides, the picture is too coarse to say.
    assume(len(wide) == len(narrow))
    areas = [part.area for part in loose_parts(drawing, kerf) if part.area > SMALL]
    assert len(areas) == len(narrow)
    assert math.fsum(wide) - 0.5 <= math.fsum(areas) <= math.fsum(narrow) + 0.5


@given(st.lists(PATH, min_size=1, max_size=4))
@settings(deadline=None, max_examples=60)
def test_plain_rings_are_what_areas_show_too(paths: list[Path]) -> None:
    """The short way over plain rings gives what bands of all lines would give."""
    from foldwright.compiling import loose

    drawing = drawing_of(*(cut(path, f"line {i}") for i, path in enumerate(paths)))
    quick = loose_parts(drawing, 0.4)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(
            loose,
            "touching",
            lambda paths, _: replace(touching([], 1.0), tangles=(tuple(range(len(paths))),)),
        )
        slow = loose_parts(drawing, 0.4)
    found, expected = ([p for p in parts if p.area > SMALL] for parts in (quick, slow))
    assert len(found) == len(expected)
    for one, other in zip(found, expected, strict=True):
        assert one.area == pytest.approx(other.area, rel=0.02, abs=1.0)


def proved(build: Any, way: Any, **piece: Any) -> Passed:
    passed: Passed = build.run(build.piece(**piece), way, draw, compensate, divide, leave, prove)
    return passed


def rules(passed: Passed) -> list[str]:
    return [finding.rule for finding in passed.findings]


def test_bridged_pieces_are_held_and_hand_cut_ones_need_not_be(build: Any) -> None:
    windows = (build.opening("window", build.rectangle(20, 20, 60, 50)),)
    for way in (build.way(kerf=0.1, bridge=BRIDGE), build.way()):
        assert rules(proved(build, way, openings=windows)) == []


def test_waste_without_room_for_a_bridge_is_told(build: Any) -> None:
    windows = (build.opening("window", build.rectangle(20, 20, 26, 26)),)
    passed = proved(build, build.way(kerf=0.1, bridge=BRIDGE), openings=windows)
    assert rules(passed) == ["bridges-no-room", "part-not-held"]
    told = passed.findings[1]
    assert told.severity is Severity.WARN
    assert told.at == pytest.approx((23.0, 23.0))
    assert told.place.line == 30
    assert 'opening "window" cuts it free' in told.message
    # 6 mm less the kerf on each side: half of it for the size, half for the cut.
    assert f'waste of piece "card", of {5.8 * 5.8:.3g} mm²' in told.message


def test_waste_that_may_lie_loose_is_not_told_but_found(build: Any) -> None:
    windows = (build.opening("window", build.rectangle(20, 20, 26, 26)),)
    way = replace(build.way(bridge=BRIDGE), waste_loose=True)
    passed = proved(build, way, openings=windows)
    assert rules(passed) == []
    (part,) = loose_parts(passed.drawing, 0.0)
    assert (part.role, part.lines) == (Role.OPENING, ((Role.OPENING, "window"),))
    assert part.area == pytest.approx(36.0, abs=0.05)


def test_a_piece_without_room_for_a_bridge_is_told(build: Any) -> None:
    way = build.way(bridge=(0.4, 60.0, 5.0))
    passed = proved(build, way, outline=build.rectangle(0, 0, 8, 8))
    assert rules(passed) == ["bridges-no-room", "part-not-held"]
    assert 'nothing holds piece "card", of 64 mm²' in passed.findings[1].message


@pytest.mark.parametrize(
    "spans",
    [
        # A corner of the card, a strip across it, a cell between two slits.
        [((20, 0), (0, 20))],
        [((30, 0), (30, 60))],
        [((20, 20), (60, 20), (60, 40)), ((60, 40), (20, 40), (20, 20))],
    ],
)
@pytest.mark.parametrize("bridge", [None, BRIDGE])
def test_a_part_that_slits_sever_is_a_stop(build: Any, spans: Any, bridge: Any) -> None:
    """With bridges or none: a bridge holds it to the sheet, not to the piece."""
    slits = tuple(build.slit(f"slit {i}", *span) for i, span in enumerate(spans, 1))
    passed = proved(build, build.way(kerf=0.1, bridge=bridge), slits=slits)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("part-cut-free", Severity.STOP)
    assert stop.place.line == 20
    assert all(f'"slit {i}"' in stop.message for i in range(1, len(spans) + 1))


@pytest.mark.parametrize("degrees", range(0, 360, 15))
def test_what_falls_out_of_relief_holes_at_both_ends_of_a_slit_is_no_part(degrees: int) -> None:
    """Both holes bear the name of their slit; the areas of one and the other are two."""
    turn = math.radians(degrees)
    ends = [Point(30.0, 30.0), Point(30.0 + 20.0 * math.cos(turn), 30.0 + 20.0 * math.sin(turn))]
    holes = [cut(circle(end, 0.5), "slit 1", Role.RELIEF) for end in ends]
    parts = loose_parts(drawing_of(*holes, cut(line(*ends), "slit 1")), 0.3)
    by_place = sorted((round(part.area, 3), part.role) for part in parts)
    # The kerf of the slit takes a part of the waste as well.
    assert [role for _, role in by_place] == [Role.RELIEF, Role.RELIEF]


def test_an_opening_that_fell_apart_is_waste_in_each_of_its_rings() -> None:
    """Two rings of one name, in two runs each; a strip of the first is severed by slits.

    The strip lies where a line from the last run of the one ring to the first of the
    other would run through it.
    """
    runs = []
    for left in (0.0, 20.0):
        ring = polygon(*(Point(left + x, y) for x, y in ((0, 0), (12, 0), (12, 8), (0, 8))))
        runs += [cut(ring.stretch(*at), "window", Role.OPENING) for at in ((36.5, 59), (21, 35.5))]
    slits = [
        cut(line(Point(12.0, 3.8), Point(1.0, 3.8), Point(1.0, 4.3), Point(12.0, 4.3)), "slit 1"),
        cut(line(Point(12.0, 6.0), Point(20.0, 6.0)), "slit 2"),
    ]
    (part,) = loose_parts(drawing_of(*runs, *slits), 0.1)
    assert part.role is Role.OPENING
    assert part.area == pytest.approx(10.9 * 0.4, rel=1e-3)


@pytest.mark.parametrize(("away", "severed"), [(0.3, False), (0.15, True)])
def test_a_neck_thinner_than_the_kerf_is_a_stop(build: Any, away: float, severed: bool) -> None:
    """A slit from the lower edge that ends a little below the upper one, at a kerf of 0.2 mm.

    The edge moved out by half the kerf, and either cut takes as much from the neck.
    """
    slits = (build.slit("slit 1", (30.0, 0.0), (30.0, 60.1 - away)),)
    passed = proved(build, build.way(kerf=0.2, bridge=BRIDGE), slits=slits)
    assert rules(passed) == (["part-cut-free"] if severed else [])


def test_bridged_slits_sever_nothing(build: Any) -> None:
    """A ring of slits keeps its bridges: the drawing holds what the design cuts loose."""
    ring = replace(build.slit("ring", (0, 0), (1, 1)), path=circle(point(50, 30), Fraction(15)))
    assert rules(proved(build, build.way(bridge=BRIDGE), slits=(ring,))) == []
    assert rules(proved(build, build.way(), slits=(ring,))) == ["part-cut-free"]
    torn = replace(ring, how=How.TEAR)
    way = build.way(bridge=BRIDGE, perforation=(2.0, 1.0))
    assert rules(proved(build, way, slits=(torn,))) == []


def test_a_half_cut_severs_nothing(build: Any) -> None:
    path = polygon(point(10, 10), point(40, 10), point(25, 40))
    stroke = replace(cut(path), work=Work.HALF_CUT)
    assert loose_parts(drawing_of(stroke), 0.2) == ()


def test_bridges_that_are_too_short_or_too_few_are_told(build: Any) -> None:
    """Strokes made by hand: a square with gaps of 0.3 and 0.5 mm, where 0.4 mm are asked for."""
    corners = ((0.0, 0.0), (40.0, 0.0), (40.0, 40.0), (0.0, 40.0))
    whole = polygon(*(Point(*at) for at in corners))
    figure = replace(build.figure(0.4), place=Place(file="my-card.toml", line=9))
    way = build.way(bridge=BRIDGE)
    assert way.bridge is not None
    way = replace(way, bridge=replace(way.bridge, length=figure))
    job = build.job(build.piece(outline=whole), way)
    for lengths, bridges in (
        ((0.5, 0.5), None),
        ((0.5, 0.3), "only 1 bridge"),
        ((0.3, 0.3), "no bridge"),
    ):
        first = whole.stretch(10.0, 100.0)
        second = whole.stretch(100.0 + lengths[0], 170.0 - lengths[1])
        strokes = [cut(path, "outline", Role.OUTLINE) for path in (first, second)]
        findings = prove(drawing_of(*strokes), job).findings
        if bridges is None:
            assert findings == ()
        else:
            (told,) = findings
            assert (told.rule, told.severity) == ("part-held-too-little", Severity.WARN)
            assert f"keeps {bridges} of 0.4 mm (my-card.toml:9) or more" in told.message


@pytest.mark.parametrize(
    ("tool", "how"),
    [
        (Tool.HAND, "hold the part down"),
        (Tool.KNIFE, "low-tack tape"),
        (Tool.LASER, "pin or weigh"),
    ],
)
def test_no_one_is_told_to_hold_a_part_under_a_machine(build: Any, tool: Tool, how: str) -> None:
    """A hand beside a moving knife or under a laser is what the cautions forbid."""
    bead = build.rectangle(0, 0, 3, 3)
    found = proved(build, build.way(tool=tool, bridge=BRIDGE), outline=bead).findings
    assert [one.rule for one in found] == ["bridges-no-room", "part-not-held"]
    for one in found:
        assert how in one.mend
        assert ("before the machine runs" in one.mend) is (tool is not Tool.HAND)
        assert "by hand" not in one.mend


def test_a_bridge_on_an_arc_is_measured_along_it(build: Any) -> None:
    """A bridge of 10 mm on a circle of radius 8 mm has a chord of 9.36 mm."""
    way = build.way(bridge=(10.0, 60.0, 0.0))
    passed = proved(build, way, outline=circle(point(0, 0), Fraction(8)))
    assert rules(passed) == []


@pytest.mark.parametrize("along_y", [3, 4])
def test_so_is_one_on_arcs_in_place_of_an_ellipse(build: Any, along_y: int) -> None:
    """Its bridges lie where arcs of several radii meet, at ends of radius 9/6 and 16/6 mm."""
    oval = fit(Ellipse(centre=Point(50.0, 30.0), rx=6.0, ry=float(along_y)))
    way = build.way(bridge=(1.5, 60.0, 0.0))
    passed = proved(build, way, openings=(build.opening("seed", oval),))
    assert rules(passed) == []


@given(
    st.lists(
        st.tuples(st.integers(2, 90), st.integers(2, 50), st.integers(2, 30), st.integers(2, 30)),
        max_size=4,
    ),
    st.sampled_from((0.0, 0.2)),
)
@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=40
)
def test_whatever_nothing_holds_is_told(
    build: Any, boxes: list[tuple[int, int, int, int]], kerf: float
) -> None:
    """No part that the picture shows closed in goes untold where all are to be held."""
    windows: list[tuple[Opening, tuple[int, int, int, int]]] = []
    for number, (left, bottom, width, height) in enumerate(boxes):
        right, top = min(98, left + width), min(58, bottom + height)
        apart = all(
            right < x0 or left > x1 or top < y0 or bottom > y1
            for x0, y0, x1, y1 in (w[1] for w in windows)
        )
        if left + 2 < right and bottom + 2 < top and apart:
            path = build.rectangle(left, bottom, right, top)
            windows.append((build.opening(f"window {number}", path), (left, bottom, right, top)))
    way = build.way(kerf=kerf, bridge=(1.0, 60.0, 3.0))
    passed = proved(build, way, openings=tuple(window for window, _ in windows))
    shown = filled(squares_cut(passed.drawing, max(kerf, 0.4), 0.2), 0.2)
    assert rules(passed).count("part-not-held") == len(shown)
