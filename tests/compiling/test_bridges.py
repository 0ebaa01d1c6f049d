"""Tests of compiling.bridges, proved on the strokes that come out (contract R20)."""

from __future__ import annotations

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from foldwright.compiling import bridges
from foldwright.compiling.bridges import leave
from foldwright.compiling.kerf import compensate
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import How
from foldwright.drawing import Drawing, Layer, Role, Stroke, Work
from foldwright.geometry import Path, Point, Vector, Vertex, circle, line, point, polygon
from foldwright.geometry.nearest import nearest
from foldwright.problems import Place, Severity
from foldwright.profiles.model import BridgeWay, SlitWay

BRIDGE = (0.4, 60.0, 5.0)


def parts(drawing: Drawing, role: Role) -> list[Path]:
    return [stroke.path for stroke in drawing.strokes if stroke.role is role]


def gaps(whole: Path, drawn: list[Path]) -> list[tuple[float, float]]:
    """The uncut stretches of a closed path: each one's middle and length along it."""
    total = whole.length
    runs = sorted((nearest(whole, p.start).along, nearest(whole, p.end).along) for p in drawn)
    found = []
    for (_, end), (start, _) in zip(runs, [*runs[1:], runs[0]], strict=True):
        length = (start - end) % total
        found.append(((end + length / 2.0) % total, length))
    return found


def bridged(build: Any, kerf: float = 0.1, **piece: Any) -> tuple[Drawing, Drawing, Any]:
    """The drawing before and after the pass, and its findings."""
    way = build.way(kerf=kerf, bridge=BRIDGE)
    before = build.run(build.piece(**piece), way, draw, compensate).drawing
    passed = build.run(build.piece(**piece), way, draw, compensate, leave)
    return before, passed.drawing, passed.findings


def test_an_outline_keeps_a_bridge_about_every_pitch(build: Any) -> None:
    """A perimeter of 320.4 mm at a pitch of 60 mm needs six."""
    before, after, findings = bridged(build)
    (whole,) = parts(before, Role.OUTLINE)
    drawn = parts(after, Role.OUTLINE)
    assert findings == ()
    assert len(drawn) == math.ceil(whole.length / 60.0) == 6
    assert not any(path.closed for path in drawn)
    uncut = gaps(whole, drawn)
    # The tool's kerf eats into the drawn gap; what stays is the bridge.
    assert [length for _, length in uncut] == [pytest.approx(0.4 + 0.1)] * 6
    assert math.fsum(path.length for path in drawn) == pytest.approx(whole.length - 6 * 0.5)
    for path in drawn:
        for segment in path.segments:
            for share in (0.0, 0.5, 1.0):
                assert nearest(whole, segment.at(share)).away < 1e-9


def test_bridges_are_evenly_spread(build: Any) -> None:
    before, after, _ = bridged(build)
    (whole,) = parts(before, Role.OUTLINE)
    middles = sorted(at for at, _ in gaps(whole, parts(after, Role.OUTLINE)))
    steps = [b - a for a, b in pairwise(middles)]
    assert max(steps) - min(steps) < 6.0


def test_a_small_part_has_at_least_two(build: Any) -> None:
    """Two bridges of 2 mm at least 4 mm apart would do on a pitch of 60; one would let it turn."""
    window = build.opening("window", circle(point(50, 30), Fraction(4)))
    before, after, findings = bridged(build, openings=(window,))
    (whole,) = parts(before, Role.OPENING)
    drawn = parts(after, Role.OPENING)
    assert findings == ()
    assert len(drawn) == 2
    first, second = sorted(at for at, _ in gaps(whole, drawn))
    assert second - first == pytest.approx(whole.length / 2.0)
    for path in drawn:
        assert {round(s.radius, 9) for s in path.segments} == {3.95}


def test_gaps_keep_clear_of_corners_and_of_lines_that_end_on_the_edge(build: Any) -> None:
    folds = tuple(build.fold(f"fold {i}", (0, y), (100, y)) for i, y in enumerate((18, 30, 42), 1))
    slits = (build.slit("slit 1", (50, 0), (50, 10)),)
    before, after, findings = bridged(build, folds=folds, slits=slits)
    (whole,) = parts(before, Role.OUTLINE)
    assert findings == ()
    forbidden = [vertex.at for vertex in whole.vertices]
    forbidden += [end for fold in folds for end in (fold.path.start, fold.path.end)]
    forbidden.append(slits[0].path.start)
    uncut = gaps(whole, parts(after, Role.OUTLINE))
    assert len(uncut) == 6
    for at in forbidden:
        along = nearest(whole, at).along
        for middle, length in uncut:
            away = min((middle - along) % whole.length, (along - middle) % whole.length)
            assert away - length / 2.0 >= 5.0 - 1e-6


def test_rounded_corners_are_corners_where_there_is_room_elsewhere(build: Any) -> None:
    """The corners of a 100 by 60 mm card rounded by 3 mm stay whole; common practice, no source."""
    quarter = math.tan(math.radians(90.0) / 4.0)
    corners = (((3, 0), (97, 0)), ((100, 3), (100, 57)), ((97, 60), (3, 60)), ((0, 57), (0, 3)))
    vertices = [
        Vertex(point(*at), bulge)
        for start, end in corners
        for at, bulge in ((start, 0.0), (end, quarter))
    ]
    before, after, findings = bridged(build, outline=Path(tuple(vertices), closed=True))
    (whole,) = parts(before, Role.OUTLINE)
    assert findings == ()
    uncut = gaps(whole, parts(after, Role.OUTLINE))
    assert len(uncut) == 6
    for middle, length in uncut:
        (x, y) = whole.stretch(0.0, middle).end.floats()
        along_x = x - length / 2.0 >= 8.0 - 0.1 and x + length / 2.0 <= 92.0 + 0.1
        along_y = y - length / 2.0 >= 8.0 - 0.1 and y + length / 2.0 <= 52.0 + 0.1
        assert along_x or along_y


def test_gentle_bends_are_no_corners(build: Any) -> None:
    """A ring of 120 sides turns by 3 degrees at each: bridges may lie anywhere."""
    ring = polygon(
        *(
            Point(50 + 30 * math.cos(math.radians(a)), 30 + 30 * math.sin(math.radians(a)))
            for a in range(0, 360, 3)
        )
    )
    _, after, findings = bridged(build, outline=ring)
    assert findings == ()
    assert len(parts(after, Role.OUTLINE)) == 4


def test_edges_that_should_stay_clean_do(build: Any) -> None:
    hidden = (line(point(0, 60), point(0, 0)), line(point(0, 0), point(100, 0)))
    before, after, findings = bridged(build, hide_bridges=hidden)
    (whole,) = parts(before, Role.OUTLINE)
    uncut = gaps(whole, parts(after, Role.OUTLINE))
    assert findings == ()
    # Of the 320 mm round the card 160 may hold bridges: at a pitch of 60 mm, three.
    assert len(uncut) == 3
    places = [whole.stretch(0.0, middle).end.floats() for middle, _ in uncut]
    assert all(x > 0.0 and y > 0.0 for x, y in places)


@pytest.mark.parametrize("start", [0, 1, 2, 3])
def test_the_pitch_holds_on_the_edges_that_are_left(build: Any, start: int) -> None:
    """Bridges do not crowd onto the one edge of 200 by 150 mm that need not stay clean."""
    corners = ((0, 0), (200, 0), (200, 150), (0, 150))
    turned = [corners[(start + i) % 4] for i in range(4)]
    hidden = (line(point(200, 0), point(0, 0), point(0, 150), point(200, 150)),)
    card = polygon(*(point(*at) for at in turned))
    before, after, findings = bridged(build, outline=card, hide_bridges=hidden)
    (whole,) = parts(before, Role.OUTLINE)
    assert findings == ()
    places = [
        whole.stretch(0.0, middle).end.floats()
        for middle, _ in gaps(whole, parts(after, Role.OUTLINE))
    ]
    assert [x for x, _ in places] == [pytest.approx(200.05)] * 3
    heights = sorted(y for _, y in places)
    # 150 mm at a pitch of 60 mm are three, each 50 mm from the next.
    assert [b - a for a, b in pairwise(heights)] == pytest.approx([50.0, 50.0], abs=1.0)


def test_edges_too_short_to_hold_a_part_are_not_left_alone(build: Any) -> None:
    """A free stretch of 1 mm has no room for two bridges: the whole way round is used."""
    hidden = (
        line(point(41, 0), point(0, 0), point(0, 60), point(100, 60), point(100, 0), point(42, 0)),
    )
    _, after, findings = bridged(build, hide_bridges=hidden)
    assert [p.rule for p in findings] == ["bridge-on-clean-edge"]
    assert len(parts(after, Role.OUTLINE)) == 6


def test_a_single_place_names_the_edge_that_it_lies_on(build: Any) -> None:
    before, after, _ = bridged(build, hide_bridges=(line(point(0, 30)), line(point(40, 60))))
    (whole,) = parts(before, Role.OUTLINE)
    uncut = gaps(whole, parts(after, Role.OUTLINE))
    places = [whole.stretch(0.0, middle).end.floats() for middle, _ in uncut]
    assert len(places) == 3
    assert all(x > 0.0 and y < 60.0 for x, y in places)


def test_where_all_edges_should_stay_clean_it_is_told(build: Any) -> None:
    hidden = (line(*(point(*at) for at in ((0, 0), (100, 0), (100, 60), (0, 60), (0, 0)))),)
    _, after, findings = bridged(build, hide_bridges=hidden)
    (warning,) = findings
    assert (warning.rule, warning.severity) == ("bridge-on-clean-edge", Severity.WARN)
    assert "6 of 6 bridges" in warning.message
    assert len(parts(after, Role.OUTLINE)) == 6


def test_a_part_without_room_says_how_many_found_some(build: Any) -> None:
    """Edges of 12 mm leave 1.6 mm clear of both corners: two bridges each; edges of 8 mm none."""
    window = build.opening("window", build.rectangle(20, 20, 28, 32))
    way = build.way(bridge=(0.4, 8.0, 5.0))
    passed = build.run(build.piece(openings=(window,)), way, draw, leave)
    warnings = [p for p in passed.findings if '"window"' in p.message]
    (warning,) = warnings
    assert (warning.rule, warning.severity) == ("bridges-no-room", Severity.WARN)
    assert warning.at == (20.0, 20.0)
    assert warning.place.line == 30
    drawn = parts(passed.drawing, Role.OPENING)
    whole = window.path.rounded()
    assert len(drawn) == 4
    assert "4 of 5 bridges" in warning.message
    assert all(
        whole.stretch(0.0, at).end.floats()[0] in (20.0, 28.0) for at, _ in gaps(whole, drawn)
    )


def test_a_part_too_small_for_any_stays_closed(build: Any) -> None:
    window = build.opening("window", build.rectangle(20, 20, 26, 26))
    _, after, findings = bridged(build, openings=(window,))
    assert [p.rule for p in findings] == ["bridges-no-room"]
    assert "0 of 2 bridges" in findings[0].message
    (path,) = parts(after, Role.OPENING)
    assert path.closed


def test_a_tool_without_bridges_leaves_none(build: Any) -> None:
    passed = build.run(build.piece(), build.way(), draw, leave)
    (path,) = parts(passed.drawing, Role.OUTLINE)
    assert path.closed
    assert passed.findings == ()


def test_slits_and_folds_have_no_bridges(build: Any) -> None:
    ring = circle(point(50, 30), Fraction(20))
    piece = build.piece(
        slits=(build.slit("slit 1", (5, 5), (95, 5)),), folds=(build.fold("fold 1", path=ring),)
    )
    way = build.way(bridge=BRIDGE)
    before = build.run(piece, way, draw).drawing
    after = build.run(piece, way, draw, leave).drawing
    for role in (Role.SLIT, Role.FOLD):
        assert parts(before, role) == parts(after, role)


def test_a_gap_on_an_arc_leaves_arcs_of_the_same_circle(build: Any) -> None:
    half = Path((Vertex(point(0, 0)), Vertex(point(60, 0), 1.0)), closed=True)
    _, after, _ = bridged(build, kerf=0.0, outline=half)
    arcs = [s for path in parts(after, Role.OUTLINE) for s in path.segments if not s.is_line]
    assert len(arcs) > 1
    for arc in arcs:
        assert arc.radius == pytest.approx(30.0)
        assert arc.centre.floats() == pytest.approx((30.0, 0.0), abs=1e-9)


def bridge_way(
    build: Any, length: float, pitch: float, clear: float, holds: float | None = None
) -> BridgeWay:
    return BridgeWay(
        length=build.figure(length),
        pitch=build.figure(pitch),
        clear=build.figure(clear),
        holds=None if holds is None else build.figure(holds),
    )


@pytest.mark.parametrize(("side", "expected"), [(99, 2), (100, 2), (101, 3), (150, 3)])
def test_a_part_longer_than_100_mm_has_at_least_three(build: Any, side: int, expected: int) -> None:
    """Common practice, no source: two bridges let a long part turn."""
    way = build.way(kerf=0.2, bridge=(0.4, 1000.0, 5.0))
    piece = build.piece(outline=build.rectangle(0, 0, side, 20))
    passed = build.run(piece, way, draw, compensate, leave)
    assert len(parts(passed.drawing, Role.OUTLINE)) == expected


@given(
    st.integers(20, 300), st.integers(20, 300), st.floats(0.05, 5.0), st.sampled_from((60.0, 400.0))
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_as_many_bridges_as_length_and_mass_ask_for(
    build: Any, width: int, height: int, holds: float, pitch: float
) -> None:
    """Card of 200 g/m²: a mm² weighs 0.0002 g, so 100 by 50 mm weigh 1 g."""
    way = replace(build.way(), bridge=bridge_way(build, 0.4, pitch, 1.0, holds))
    piece = build.piece(outline=build.rectangle(0, 0, width, height))
    passed = build.run(piece, way, draw, leave)
    mass = width * height * 200e-6
    least = 3 if max(width, height) > 100 else 2
    wanted = max(least, math.ceil(2 * (width + height) / pitch), math.ceil(mass / holds))
    count = len(parts(passed.drawing, Role.OUTLINE))
    if passed.findings:
        (finding,) = passed.findings
        assert finding.rule == "bridges-no-room"
        assert f"{count} of {wanted} bridges" in finding.message
    else:
        assert count == wanted


def test_waste_is_held_in_its_own_way_or_not_at_all(build: Any) -> None:
    window = build.opening("window", build.rectangle(20, 20, 80, 40))
    piece = build.piece(openings=(window,))
    like_the_piece = build.way(bridge=(0.4, 60.0, 5.0))
    own = replace(like_the_piece, waste=bridge_way(build, 0.3, 20.0, 2.0))
    loose = replace(like_the_piece, waste_loose=True)
    only_waste = replace(own, bridge=None)
    counts = []
    for way in (like_the_piece, own, loose, only_waste):
        passed = build.run(piece, way, draw, leave)
        assert passed.findings == ()
        counts.append([len(parts(passed.drawing, r)) for r in (Role.OPENING, Role.OUTLINE)])
    assert counts == [[3, 6], [8, 6], [1, 6], [8, 1]]
    drawn = parts(build.run(piece, own, draw, leave).drawing, Role.OPENING)
    assert {round(length, 9) for _, length in gaps(window.path.rounded(), drawn)} == {0.3}


def test_open_slits_are_bridged_where_the_profile_says_so(build: Any) -> None:
    """Of 80 mm, two at a pitch of 40: off both ends, and off the fold that ends on it."""
    piece = build.piece(
        slits=(build.slit("slit 1", (10, 30), (90, 30)),),
        folds=(build.fold("fold 1", (30, 30), (30, 60)),),
    )
    way = replace(build.way(bridge=(0.4, 40.0, 5.0)), slit=SlitWay(bridged=True))
    passed = build.run(piece, way, draw, leave)
    assert passed.findings == ()
    drawn = parts(passed.drawing, Role.SLIT)
    assert len(drawn) == 3
    assert drawn[0].start.floats() == (10.0, 30.0)
    assert drawn[-1].end.floats() == (90.0, 30.0)
    ends = [(a.end.floats()[0], b.start.floats()[0]) for a, b in pairwise(drawn)]
    assert [b - a for a, b in ends] == pytest.approx([0.4, 0.4])
    # The middles would be 30 and 70, but a fold ends on 30.
    assert [round((a + b) / 2, 6) for a, b in ends] == [24.8, 70.0]


def test_a_slit_that_has_room_for_one_bridge_has_one(build: Any) -> None:
    way = replace(build.way(bridge=(0.4, 60.0, 5.0)), slit=SlitWay(bridged=True))
    for end, expected in ((20.5, 2), (20.3, 1), (12.0, 1)):
        piece = build.piece(slits=(build.slit("slit 1", (10.0, 30.0), (end, 30.0)),))
        passed = build.run(piece, way, draw, leave)
        # A short slit needs none: it cuts nothing loose.
        assert passed.findings == ()
        assert len(parts(passed.drawing, Role.SLIT)) == expected


def test_a_slit_whose_folds_leave_no_room_is_told(build: Any) -> None:
    piece = build.piece(
        slits=(build.slit("slit 1", (10, 30), (25, 30)),),
        folds=(build.fold("fold 1", (17, 30), (17, 60)),),
    )
    way = replace(build.way(bridge=(0.4, 60.0, 5.0)), slit=SlitWay(bridged=True))
    passed = build.run(piece, way, draw, leave)
    (warning,) = passed.findings
    assert (warning.rule, warning.place.line) == ("bridges-no-room", 20)
    assert '0 of 1 bridges of 0.4 mm have room on slit "slit 1"' in warning.message


def test_a_slit_that_closes_on_itself_is_bridged_like_an_outline(build: Any) -> None:
    ring = replace(build.slit("ring", (0, 0), (1, 1)), path=circle(point(50, 30), Fraction(15)))
    passed = build.run(build.piece(slits=(ring,)), build.way(bridge=BRIDGE), draw, leave)
    assert len(parts(passed.drawing, Role.SLIT)) == 2
    torn = replace(ring, how=How.TEAR)
    way = build.way(bridge=BRIDGE, perforation=(2.0, 1.0))
    passed = build.run(build.piece(slits=(torn,)), way, draw, leave)
    (path,) = parts(passed.drawing, Role.SLIT)
    assert path.closed


def test_relief_holes_keep_no_bridges(build: Any) -> None:
    hole = Stroke(
        path=circle(point(20, 20), Fraction(1)).rounded(),
        layer=Layer.CUT,
        work=Work.THROUGH,
        piece="card",
        source="slit 1",
        role=Role.RELIEF,
    )
    drawing = build.blank(build.piece()).with_strokes((hole,))
    passed = leave(drawing, build.job(build.piece(), build.way(bridge=(0.2, 60.0, 0.0))))
    assert passed.drawing.strokes == (hole,)


def test_bridges_longer_than_any_edge_name_the_figure_and_the_line(build: Any) -> None:
    window = build.opening("window", build.rectangle(20, 20, 23, 22))
    written = Place(file="my-card.toml", line=44)
    figure = replace(build.figure(3.0), place=written)
    way = replace(build.way(), waste=replace(bridge_way(build, 3.0, 60.0, 0.0), length=figure))
    passed = build.run(build.piece(openings=(window,)), way, draw, leave)
    (warning,) = passed.findings
    assert (warning.rule, warning.severity) == ("bridge-longer-than-edge", Severity.WARN)
    assert warning.measure_mm == 3.0
    assert warning.place.line == 30
    assert "bridges of 3 mm (my-card.toml:44)" in warning.message


def test_no_room_names_the_figure_too(build: Any) -> None:
    window = build.opening("window", build.rectangle(20, 20, 26, 26))
    figure = replace(build.figure(0.4), place=Place(file="my-card.toml", line=44))
    way = replace(build.way(), waste=replace(bridge_way(build, 1, 60, 5), length=figure))
    passed = build.run(build.piece(openings=(window,)), way, draw, leave)
    (warning,) = passed.findings
    assert warning.rule == "bridges-no-room"
    assert "0 of 2 bridges of 0.4 mm (my-card.toml:44)" in warning.message


def test_bridges_that_carry_little_are_named_where_they_ask_for_many(build: Any) -> None:
    """100 by 60 mm of 200 g/m² are 1.2 g: 120 bridges of 0.01 g, and no room for so many."""
    way = bridge_way(build, 2, 60, 5, 0.01)
    holds = replace(build.figure(0.01), place=Place(file="my-card.toml", line=45))
    way = replace(build.way(), bridge=replace(way, holds=holds))
    (warning,) = build.run(build.piece(), way, draw, leave).findings
    assert " of 120 bridges of 2 mm" in warning.message
    assert warning.message.endswith(", for one carries 0.01 g (my-card.toml:45)")


SHAPES = st.one_of(
    st.floats(1.0, 30.0).map(lambda r: circle(Point(0.0, 0.0), r)),
    st.tuples(st.integers(3, 8), st.floats(3.0, 60.0)).map(
        lambda corners: polygon(
            *(
                Point(
                    corners[1] * math.cos(2 * math.pi * i / corners[0]),
                    corners[1] * math.sin(2 * math.pi * i / corners[0]),
                )
                for i in range(corners[0])
            )
        )
    ),
    st.tuples(st.floats(0.5, 12.0), st.floats(1.0, 80.0), st.floats(1.0, 80.0)).map(
        lambda sizes: Path(
            tuple(
                Vertex(Point(*at), bulge)
                for r, w, h in [sizes]
                for at, bulge in (
                    ((r, 0.0), 0.0),
                    ((r + w, 0.0), math.tan(math.pi / 8)),
                    ((2 * r + w, r), 0.0),
                    ((2 * r + w, r + h), math.tan(math.pi / 8)),
                    ((r + w, 2 * r + h), 0.0),
                    ((r, 2 * r + h), math.tan(math.pi / 8)),
                    ((0.0, r + h), 0.0),
                    ((0.0, r), math.tan(math.pi / 8)),
                )
            ),
            closed=True,
        )
    ),
)


@given(
    st.lists(SHAPES, min_size=1, max_size=6),
    st.sampled_from((0.3, 1.0)),
    st.sampled_from((15.0, 60.0)),
    st.sampled_from((0.5, 5.0)),
    st.sampled_from((None, 0.1)),
)
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_many_parts_at_once_are_held_as_each_by_itself(
    build: Any,
    shapes: list[Path],
    length: float,
    pitch: float,
    clear: float,
    holds: float | None,
) -> None:
    """The whole columns for many parts give what the plain search gives for each."""
    windows = tuple(
        build.opening(f"window {i}", shape.moved(Vector(200.0 * i, 0.0)))
        for i, shape in enumerate(shapes)
    )
    # A slit that starts on the first window takes the room round its end.
    first = windows[0].path.start.floats()
    slits = (build.slit("slit 1", first, (first[0] + 30.0, first[1] + 90.0)),)
    way = replace(build.way(kerf=0.1), waste=bridge_way(build, length, pitch, clear, holds))
    piece = build.piece(openings=windows, slits=slits)
    few = build.run(piece, way, draw, compensate, leave)
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(bridges, "_MANY", 0)
        many = build.run(piece, way, draw, compensate, leave)
    assert few.findings == many.findings
    assert len(few.drawing.strokes) == len(many.drawing.strokes)
    for one, other in zip(few.drawing.strokes, many.drawing.strokes, strict=True):
        assert (one.role, one.source) == (other.role, other.source)
        assert len(one.path.vertices) == len(other.path.vertices)
        for here, there in zip(one.path.vertices, other.path.vertices, strict=True):
            assert here.at.distance(there.at) < 1e-6
            assert here.bulge == pytest.approx(there.bulge, abs=1e-6)
