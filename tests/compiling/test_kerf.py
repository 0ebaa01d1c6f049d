"""Tests of compiling.kerf: outline out, openings in, all else stays, nothing lost in silence."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from pathlib import Path as File
from typing import Any

import pytest

from foldwright.compiling.kerf import compensate
from foldwright.compiling.strokes import draw
from foldwright.design.pieces import Mark
from foldwright.drawing import Drawing, Role, Stroke
from foldwright.geometry import circle, line, point, polygon
from foldwright.problems import Severity

KERF = tomllib.loads(
    (File(__file__).parents[1] / "published" / "kerf.toml").read_text(encoding="utf-8")
)["kerf"]


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


def test_a_slot_narrower_than_the_kerf_stops_with_its_place(build: Any) -> None:
    slot = Fraction(1, 10)
    corners = (
        (0, 0), (100, 0), (100, 60), (50 + slot, 60), (50 + slot, 20), (50, 20), (50, 60), (0, 60),
    )  # fmt: skip
    piece = build.piece(outline=polygon(*(point(*at) for at in corners)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    (stop,) = passed.findings
    assert (stop.rule, stop.severity) == ("kerf-loses-feature", Severity.STOP)
    assert stop.at == pytest.approx((50.05, 20.0))
    assert "(50.05, 20) mm" in stop.message
    assert "kerf of 0.2 mm" in stop.message
    assert stop.measure_mm == 0.2
    # Left out: an outline that is wrong is never drawn.
    assert passed.drawing.strokes == ()


def test_an_opening_that_vanishes_stops_and_the_others_are_drawn(build: Any) -> None:
    openings = (
        build.opening("pinhole", circle(point(20, 20), Fraction(1, 20))),
        build.opening("window", circle(point(60, 20), Fraction(5))),
    )
    passed = build.run(build.piece(openings=openings), build.way(kerf=0.2), draw, compensate)
    (stop,) = passed.findings
    assert stop.rule == "kerf-loses-feature"
    assert stop.place.line == 30
    assert '"pinhole"' in stop.message
    assert "and at 1 more place " in stop.message
    assert "radius" in stop.mend
    assert [s.source for s in passed.drawing.strokes] == ["window", "outline"]


def test_a_very_sharp_corner_is_noted(build: Any) -> None:
    piece = build.piece(outline=polygon(point(0, 0), point(100, -4), point(100, 4)))
    passed = build.run(piece, build.way(kerf=0.2), draw, compensate)
    (note,) = passed.findings
    assert (note.rule, note.severity, note.at) == ("corner-rounded", Severity.NOTE, (0.0, 0.0))
    assert "1 corner " in note.message
    assert "0.1 mm" in note.message
    # Drawn all the same, and within half a kerf of the corner.
    assert only(passed.drawing, Role.OUTLINE).path.box()[0] == pytest.approx(-0.1)
