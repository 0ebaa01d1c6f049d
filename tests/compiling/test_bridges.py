"""Tests of compiling.bridges, proved on the strokes that come out (contract R20)."""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest

from foldwright.compiling.bridges import leave
from foldwright.compiling.kerf import compensate
from foldwright.compiling.strokes import draw
from foldwright.drawing import Drawing, Role
from foldwright.geometry import Path, Point, Vertex, circle, line, point, polygon
from foldwright.geometry.nearest import nearest
from foldwright.problems import Severity

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
