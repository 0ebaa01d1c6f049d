"""Tests of compiling.kerf: outline out, openings in, all else stays, nothing lost in silence."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace
from fractions import Fraction
from pathlib import Path as File
from typing import Any

import pytest

from foldwright.compiling.kerf import compensate
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import Mark
from foldwright.drawing import Drawing, Role, Stroke
from foldwright.geometry import Path, Point, Vertex, circle, line, offset_trim, point, polygon
from foldwright.problems import Place as ProfilePlace
from foldwright.problems import Severity

KERF = tomllib.loads(
    (File(__file__).parents[1] / "published" / "kerf.toml").read_text(encoding="utf-8")
)["kerf"]


TRIMMED = offset_trim.trimmed


def only(drawing: Drawing, role: Role) -> Stroke:
    (stroke,) = (stroke for stroke in drawing.strokes if stroke.role is role)
    return stroke


def size(stroke: Stroke) -> tuple[float, float]:
    left, bottom, right, top = stroke.path.box()
    return right - left, top - bottom


def test_part_and_opening_are_drawn_as_published(build: Any) -> None:
    """Draw 2.2 x 4.2 for a part and 1.8 x 3.8 for an opening of 2 x 4: published/kerf.toml."""
    way = build.way(kerf=KERF["k_mm"])
    part = build.run(build.piece(outline=build.rectangle(0, 0, 2, 4)), way, draw, compensate)
    assert size(only(part.drawing, Role.OUTLINE)) == pytest.approx(KERF["part_drawn_mm"])
    window = build.opening("window", build.rectangle(10, 10, 12, 14))
    hole = build.run(build.piece(openings=(window,)), way, draw, compensate)
    assert size(only(hole.drawing, Role.OPENING)) == pytest.approx(KERF["opening_drawn_mm"])
    assert part.findings == hole.findings == ()


def test_slits_scores_and_marks_stay(build: Any) -> None:
    piece = build.piece(
        slits=(build.slit("slit 1", (20, 20), (80, 20)),),
        folds=(build.fold("fold 1", (0, 40), (100, 40)),),
        marks=(Mark(name="mark 1", path=line(point(1, 1), point(2, 2))),),
    )
    before = build.run(piece, build.way(), draw).drawing
    after = build.run(piece, build.way(kerf=0.2), draw, compensate).drawing
    for role in (Role.SLIT, Role.FOLD, Role.MARK):
        assert only(after, role) == only(before, role)
    assert only(after, Role.OUTLINE) != only(before, Role.OUTLINE)


def test_without_kerf_nothing_moves(build: Any) -> None:
    before = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw)
    after = build.run(build.step_card(), build.way(perforation=(2.0, 1.0)), draw, compensate)
    assert after.drawing == before.drawing


def test_an_unknown_kerf_is_told(build: Any) -> None:
    passed = build.run(build.piece(), build.way(kerf=None), draw, compensate)
    assert [(p.rule, p.severity) for p in passed.findings] == [("kerf-unknown", Severity.WARN)]
    assert size(only(passed.drawing, Role.OUTLINE)) == (100.0, 60.0)


def outline(*corners: tuple[Any, Any]) -> Path:
    return polygon(*(point(*at) for at in corners))


def slotted(width: Fraction) -> Path:
    """A card of 100 x 60 with a slot of that width, 40 deep, from the top."""
    return outline(
        (0, 0), (100, 0), (100, 60), (50 + width, 60), (50 + width, 20), (50, 20), (50, 60), (0, 60)
    )  # fmt: skip


def test_a_slot_narrower_than_the_kerf_is_told_and_the_rest_is_drawn(build: Any) -> None:
    piece = build.piece(outline=slotted(Fraction(3, 20)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    (warn,) = passed.findings
    assert (warn.rule, warn.severity) == ("kerf-changes-line", Severity.WARN)
    assert warn.at == pytest.approx((50.075, 20.0))
    assert "(50.075, 20) mm" in warn.message
    assert "kerf of 0.2 mm" in warn.message
    assert "a notch is only 0.15 mm wide" in warn.message
    assert warn.measure_mm == pytest.approx(0.15, abs=1e-4)
    assert warn.place.line == 3
    # The card without its slot, and no vertex where the slot was.
    path = only(passed.drawing, Role.OUTLINE).path
    assert len(path.vertices) == 4
    assert size(only(passed.drawing, Role.OUTLINE)) == pytest.approx((100.2, 60.2))


def test_a_slot_wider_than_the_kerf_is_cut_on_both_sides(build: Any) -> None:
    piece = build.piece(outline=slotted(Fraction(1, 4)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    assert passed.findings == ()
    assert len(only(passed.drawing, Role.OUTLINE).path.vertices) == 8


def notched(width: float, deep: float) -> Path:
    """A card of 100 x 60 with a notch like a V in its lower edge, its tip at (50, deep)."""
    return outline(
        (0, 0), (50 - width / 2, 0), (50, deep), (50 + width / 2, 0), (100, 0), (100, 60), (0, 60)
    )  # fmt: skip


@pytest.mark.parametrize(("kerf", "kerf_y"), [(0.2, None), (0.2, 0.1), (0.1, 0.3)])
def test_a_tip_that_the_tool_does_not_reach_is_told(
    build: Any, kerf: float, kerf_y: float | None
) -> None:
    """A wedge 1 mm wide and 30 mm deep is as wide as the tool where its circle touches both walls.

    With a kerf k that is k/2 * (1 / sin(half the angle) - 1) off the tip.  Scaled along y by
    the ratio of both kerfs an ellipse becomes a circle, and the wedge another wedge.
    """
    way = build.way(kerf=kerf)
    if kerf_y is not None:
        way = replace(way, kerf_y=build.figure(kerf_y))
    passed = build.run(build.piece(outline=notched(1.0, 30.0)), way, draw, compensate)
    (warn,) = passed.findings
    assert (warn.rule, warn.severity) == ("kerf-changes-line", Severity.WARN)
    assert warn.at == (50.0, 30.0)
    scale = 1.0 if kerf_y is None else kerf_y / kerf
    sine = math.sin(math.atan2(0.5, 30.0 / scale))
    left = kerf / 2.0 * (1.0 / sine - 1.0) * scale
    # The nearest place of the ellipse's path is its tip, straight below.
    assert warn.measure_mm == pytest.approx(left, abs=1e-3)
    assert "short of the tip of a notch" in warn.message
    assert warn.place.line == 3


def test_corners_as_blunt_as_the_mitre_limit_allows_are_not_told(build: Any) -> None:
    """23 degrees: 1 / sin(11.5 degrees) is 5.02, and 1 / sin(12 degrees) 4.81."""
    for degrees, count in ((23, 1), (24, 0)):
        width = 2.0 * 5.0 * math.tan(math.radians(degrees / 2.0))
        piece = build.piece(outline=notched(width, 5.0))
        assert len(build.run(piece, build.way(kerf=0.2), draw, compensate).findings) == count


def test_many_sharp_openings_tell_their_tips_as_one_does(build: Any) -> None:
    def wedge(at: int) -> Any:
        return build.opening(f"wedge {at}", outline((at, 10), (at + 1, 10), (at, 40)))

    for count in (1, 40):
        piece = build.piece(openings=tuple(wedge(2 * at + 5) for at in range(count)))
        passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
        assert [found.rule for found in passed.findings] == ["kerf-changes-line"] * count
        assert "short of the tip of a corner" in passed.findings[0].message
        assert passed.findings[0].at == (5.0, 40.0)


def test_a_room_behind_a_gap_that_closes_becomes_an_opening(build: Any) -> None:
    keyhole = outline(
        (0, 0), (20, 0), (20, 20), (Fraction(202, 20), 20), (Fraction(202, 20), 15), (15, 15),
        (15, 5), (5, 5), (5, 15), (10, 15), (10, 20), (0, 20),
    )  # fmt: skip
    passed = build.run(build.piece(outline=keyhole), build.way(kerf=0.2), draw, compensate)
    (warn,) = passed.findings
    assert warn.rule == "kerf-changes-line"
    assert "a gap is only 0.1 mm wide" in warn.message
    assert warn.at is not None and warn.at[0] == pytest.approx(10.05)
    outer, room = passed.drawing.strokes
    assert (outer.role, room.role) == (Role.OUTLINE, Role.OPENING)
    assert size(outer) == pytest.approx((20.2, 20.2))
    # The room is cut from inside: half a kerf smaller on each side.
    assert size(room) == pytest.approx((9.8, 9.8), abs=0.1)
    assert outer.path.area * room.path.area < 0.0


def test_an_opening_falls_apart_at_a_neck(build: Any) -> None:
    high = Fraction(83, 20)
    dumbbell = outline(
        (0, 0), (8, 0), (8, 4), (12, 4), (12, 0), (20, 0), (20, 9), (12, 9), (12, high), (8, high),
        (8, 9), (0, 9),
    )  # fmt: skip
    window = build.opening("window", dumbbell)
    passed = build.run(build.piece(openings=(window,)), build.way(kerf=0.2), draw, compensate)
    (warn,) = passed.findings
    assert "a neck is only 0.15 mm wide" in warn.message
    assert "falls apart" in warn.message
    assert warn.place.line == 30
    assert warn.at is not None and warn.at[1] == pytest.approx(4.075)
    parts = [stroke for stroke in passed.drawing.strokes if stroke.role is Role.OPENING]
    assert [size(part) for part in parts] == [pytest.approx((7.8, 8.8))] * 2
    assert {part.source for part in parts} == {"window"}


def test_a_corner_that_is_too_tight_is_told(build: Any) -> None:
    """A fillet of 0.05 mm in an L: the tool of 0.2 mm leaves one of 0.1 mm."""
    tight = 0.05
    path = Path(
        (
            Vertex(point(0, 0)),
            Vertex(point(20, 0)),
            Vertex(point(20, 10)),
            Vertex(Point(10.0 + tight, 10.0), -math.tan(math.pi / 8)),
            Vertex(Point(10.0, 10.0 + tight)),
            Vertex(point(10, 20)),
            Vertex(point(0, 20)),
        ),
        closed=True,
    )
    passed = build.run(build.piece(outline=path), build.way(kerf=0.2), draw, compensate)
    (warn,) = passed.findings
    assert "an inner corner of 0.05 mm is too tight" in warn.message
    assert "with a radius of 0.1 mm" in warn.message
    drawn = only(passed.drawing, Role.OUTLINE).path
    assert len(drawn.vertices) == 6
    assert drawn.area == pytest.approx(20.2 * 20.2 - 10.0 * 10.0)


def test_many_openings_are_moved_as_each_of_them_is(build: Any) -> None:
    """From some tens on they go through whole columns; among them one that vanishes."""
    openings = [
        build.opening(f"hole {i}", circle(point(2 * i + 3, 20), Fraction(i + 1, 20)))
        for i in range(40)
    ]
    way = build.way(kerf=0.2)
    together = build.run(build.piece(openings=tuple(openings)), way, draw, compensate)
    assert [stop.rule for stop in together.findings] == ["narrower-than-kerf"] * 2
    alone = [
        only(
            build.run(build.piece(openings=(opening,)), way, draw, compensate).drawing, Role.OPENING
        )
        for opening in openings[2:]
    ]
    assert [s for s in together.drawing.strokes if s.role is Role.OPENING] == alone


def test_many_notches_are_one_finding(build: Any) -> None:
    width = Fraction(1, 5)
    notches: list[tuple[Any, Any]] = []
    for x in (80, 60, 40, 20):
        notches += [(x + width, 60), (x + width, 50), (x, 50), (x, 60)]
    comb = outline((0, 0), (100, 0), (100, 60), *notches, (0, 60))
    passed = build.run(build.piece(outline=comb), build.way(kerf=0.3), draw, compensate)
    (warn,) = passed.findings
    assert "and at 3 more places " in warn.message
    assert len(only(passed.drawing, Role.OUTLINE).path.vertices) == 4


def test_an_opening_narrower_than_the_kerf_stops_and_the_others_are_drawn(build: Any) -> None:
    openings = (
        build.opening("pinhole", circle(point(20, 20), Fraction(1, 20))),
        build.opening("window", circle(point(60, 20), Fraction(5))),
    )
    kerf = replace(build.figure(0.2), place=ProfilePlace(file="mine.toml", line=7))
    way = replace(build.way(), kerf=kerf)
    passed = build.run(build.piece(openings=openings), way, draw, compensate)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("narrower-than-kerf", Severity.STOP)
    assert stop.place.line == 30
    assert '"pinhole"' in stop.message
    assert "at most 0.1 mm wide, at (20, 20) mm" in stop.message
    # The figure of the profile is named with its file and line.
    assert "the kerf is 0.2 mm (mine.toml:7)" in stop.message
    assert [s.source for s in passed.drawing.strokes] == ["window", "outline"]


def test_a_line_that_crosses_itself_is_left_out(build: Any) -> None:
    """There is no right answer: a stop, and never a wrong line."""
    bow = build.opening("bow", outline((10, 10), (20, 20), (20, 10), (10, 20)))
    passed = build.run(build.piece(openings=(bow,)), build.way(kerf=0.2), draw, compensate)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("kerf-loses-feature", Severity.STOP)
    assert "crosses itself" in stop.message
    assert [s.role for s in passed.drawing.strokes] == [Role.OUTLINE]


def test_a_path_that_had_to_be_fitted_is_told(build: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """The fallback is never used in silence."""
    monkeypatch.setattr(offset_trim, "trimmed", without_rings)
    piece = build.piece(outline=slotted(Fraction(3, 20)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    (warn,) = passed.findings
    assert (warn.rule, warn.severity) == ("kerf-path-fitted", Severity.WARN)
    assert "fitted to a flattened edge" in warn.message
    assert size(only(passed.drawing, Role.OUTLINE)) == pytest.approx((100.2, 60.2), abs=1e-3)


def without_rings(path: Path, by: float, **options: Any) -> offset_trim.Trimmed:
    """What the trimming gives where it fails."""
    return replace(TRIMMED(path, by, **options), rings=None)


class TestTwoKerfs:
    def test_each_side_moves_by_the_kerf_across_it(self, build: Any) -> None:
        way = replace(build.way(kerf=0.2), kerf_y=build.figure(0.3))
        window = build.opening("window", build.rectangle(10, 10, 20, 30))
        passed = build.run(build.piece(openings=(window,)), way, draw, compensate)
        assert passed.findings == ()
        assert size(only(passed.drawing, Role.OUTLINE)) == pytest.approx((100.2, 60.3))
        assert size(only(passed.drawing, Role.OPENING)) == pytest.approx((9.8, 19.7))

    def test_equal_kerfs_are_one(self, build: Any) -> None:
        piece = build.piece(openings=(build.opening("window", circle(point(60, 20), Fraction(5))),))
        one = build.run(piece, build.way(kerf=0.2), draw, compensate)
        way = replace(build.way(kerf=0.2), kerf_y=build.figure(0.2))
        assert build.run(piece, way, draw, compensate) == one

    def test_what_is_measured_along_a_cut_takes_the_wider_kerf(self, build: Any) -> None:
        way = replace(build.way(kerf=0.2), kerf_y=build.figure(0.3))
        job = build.job(build.piece(), way)
        assert (job.kerf, job.kerfs) == (0.3, (0.2, 0.3))

    def test_a_slot_wider_than_one_kerf_only_closes_if_it_lies_across_it(self, build: Any) -> None:
        """A slot of 0.25 mm along y: 0.2 along x passes through, 0.3 does not."""
        piece = build.piece(outline=slotted(Fraction(1, 4)))
        passes = replace(build.way(kerf=0.2), kerf_y=build.figure(0.3))
        assert build.run(piece, passes, draw, compensate).findings == ()
        closes = replace(build.way(kerf=0.3), kerf_y=build.figure(0.2))
        (warn,) = build.run(piece, closes, draw, compensate).findings
        assert warn.rule == "kerf-path-fitted"
        assert "kerf of 0.3 mm" in warn.message

    def test_an_opening_narrower_than_its_kerf_stops(self, build: Any) -> None:
        way = replace(build.way(kerf=0.2), kerf_y=build.figure(0.4))
        narrow = build.opening(
            "narrow", outline((10, 10), (20, 10), (20, Fraction(103, 10)), (10, Fraction(103, 10)))
        )
        (stop,) = build.run(build.piece(openings=(narrow,)), way, draw, compensate).findings
        assert stop.rule == "narrower-than-kerf"
        assert "0.3 mm wide" in stop.message


def test_a_very_sharp_corner_is_noted(build: Any) -> None:
    piece = build.piece(outline=polygon(point(0, 0), point(100, -4), point(100, 4)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    (note,) = passed.findings
    assert (note.rule, note.severity, note.at) == ("corner-rounded", Severity.NOTE, (0.0, 0.0))
    assert "1 corner " in note.message
    assert "0.1 mm" in note.message
    # Drawn all the same, and within half a kerf of the corner.
    assert only(passed.drawing, Role.OUTLINE).path.box()[0] == pytest.approx(-0.1)
